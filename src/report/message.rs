//! A message for standard error as a list of pieces of known kind, so that a screen can colour them without parsing text.

use std::fmt;

use crate::diagnostics::Diagnostic;

/// The kind of a piece of a message.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// Ordinary text.
    Plain,
    /// The heading of an error.
    Error,
    /// The heading of a warning.
    Warning,
    /// The mark before a cure.
    Cure,
}

/// A message as a list of pieces. Its text is their concatenation.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Message(Vec<(Tone, String)>);

/// The start of a line with a cure.
pub(super) const CURE: &str = "    →";

impl Message {
    /// The message with another piece appended.
    pub fn and(mut self, tone: Tone, text: impl Into<String>) -> Self {
        self.0.push((tone, text.into()));
        self
    }

    /// The message with a cure appended on its own line.
    pub fn cure(self, cure: &str) -> Self {
        self.and(Tone::Plain, "\n").and(Tone::Cure, CURE).and(Tone::Plain, format!(" {cure}"))
    }

    /// The message followed by `next`.
    pub fn then(mut self, next: Message) -> Self {
        self.0.extend(next.0);
        self
    }

    /// Its pieces, in order.
    pub fn pieces(&self) -> &[(Tone, String)] {
        &self.0
    }
}

impl From<&str> for Message {
    fn from(text: &str) -> Self {
        Message::default().and(Tone::Plain, text)
    }
}

impl From<String> for Message {
    fn from(text: String) -> Self {
        Message::default().and(Tone::Plain, text)
    }
}

impl From<&Diagnostic> for Message {
    /// `specimens.csv, row 14, length_mm: …`, then the cure on its own line, then the code.
    fn from(diagnostic: &Diagnostic) -> Self {
        let what = Message::from(format!("{}: {}", diagnostic.place, diagnostic.message));
        let what = match &diagnostic.cure {
            Some(cure) => what.cure(cure),
            None => what,
        };
        what.and(Tone::Plain, format!("  [{}]", diagnostic.code))
    }
}

impl fmt::Display for Message {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|(_, text)| f.write_str(text))
    }
}
