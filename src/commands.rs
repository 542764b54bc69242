//! Runs each command: reads its inputs, calls the library and prints the result. One file per command.

pub mod answer;
pub mod audit;
pub mod bench_record;
pub mod check;
pub mod compare;
pub mod curve;
pub mod mix;
pub mod papers;
pub mod plan;
pub mod reading;
pub mod rules;
pub mod saved_folder;
pub mod schema;
pub mod screen;
pub mod sizes;
pub mod starter;
pub mod tank;
pub mod why;

use std::io::Write;

use crate::diagnostics::Diagnostic;
use crate::output;
use crate::report::message::{Message, Tone};
use crate::report::visible::visible;
use crate::report::wrapping;
pub use screen::tell;

/// How a run ended; it gives the exit code.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// 0: done; lots left waiting are normal.
    Done,
    /// 1: the data has errors, rows were skipped, an audit failed, or `--strict` was not met.
    Findings,
    /// 2: usage, file or solver failure.
    Failed,
    /// 130: interrupted.
    Interrupted,
}

impl Ending {
    /// The exit code.
    pub fn code(self) -> u8 {
        match self {
            Ending::Done => 0,
            Ending::Findings => 1,
            Ending::Failed => 2,
            Ending::Interrupted => 130,
        }
    }
}

/// An error that is not in the data, for stderr: what is wrong and what to do.
#[derive(Debug)]
pub struct Failure(Message);

impl Failure {
    /// What is wrong.
    pub fn new(what: impl Into<Message>) -> Self {
        Failure(what.into())
    }

    /// What is wrong, and what to do.
    pub fn cured(what: impl Into<Message>, cure: impl AsRef<str>) -> Self {
        Failure(what.into().cure(cure.as_ref()))
    }

    /// The message for stderr, after the program's name.
    pub fn message(self) -> Message {
        Message::default().and(Tone::Error, "rehouse:").and(Tone::Plain, " ").then(self.0).and(Tone::Plain, "\n")
    }
}

impl From<output::OutputFailure> for Failure {
    fn from(failure: output::OutputFailure) -> Self {
        Failure::cured(failure.what(), failure.cure())
    }
}

impl From<&Diagnostic> for Failure {
    fn from(diagnostic: &Diagnostic) -> Self {
        Failure(diagnostic.into())
    }
}

/// Prints a result to stdout. Control characters are shown, not sent to the terminal. A closed pipe is no error: its reader needs
/// no more.
pub fn print(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    match out.write_all(visible(text).as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(Failure::new(format!("cannot write to standard output: {error}")))
        }
        _ => Ok(()),
    }
}

/// Prints text for people to stdout, wrapped to the width of the screen.
pub fn print_text(text: &str) -> Result<(), Failure> {
    print(&wrapping::to_screen(text))
}
