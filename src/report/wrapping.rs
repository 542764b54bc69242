//! Line breaks of running text on a terminal, and the width of the screen.

use std::sync::atomic::{AtomicUsize, Ordering};

/// Text broken to the width of the screen, if that is known. Continued lines are indented by [`INDENT`] more than the first.
pub fn to_screen(text: &str) -> String {
    let Some(width) = width() else { return text.to_owned() };
    let mut lines = String::with_capacity(text.len());
    for line in text.split_inclusive('\n') {
        if line.trim_end().chars().count() <= width {
            lines.push_str(line);
            continue;
        }
        let own = line.chars().take_while(|c| *c == ' ').count();
        lines.push_str(&broken(line.trim(), own, own + INDENT));
    }
    lines
}

/// Indentation of lines below a heading.
pub(super) const INDENT: usize = 2;

/// Largest width of running text, in characters.
const LINE: usize = 110;

/// Width of the screen in characters; 0 if there is no screen, or its width is unknown.
static SCREEN: AtomicUsize = AtomicUsize::new(0);

/// Sets the width of the screen in characters, for the whole run. Without it tables are as wide as they need.
pub fn set_screen_width(characters: usize) {
    SCREEN.store(characters.max(NARROWEST), Ordering::Relaxed);
}

/// Smallest width that text is broken to.
const NARROWEST: usize = 40;

/// Width of the screen in characters, if that is known.
pub(super) fn width() -> Option<usize> {
    Some(SCREEN.load(Ordering::Relaxed)).filter(|width| *width > 0)
}

/// A sentence wrapped onto lines that are each indented by `indent` blanks.
pub fn wrapped(text: &str, indent: usize) -> String {
    broken(text, indent, indent)
}

/// The same, but the first line keeps its own indentation.
pub fn hanging(text: &str, indent: usize) -> String {
    let own = text.len() - text.trim_start().len();
    broken(text.trim_start(), own, indent)
}

fn broken(text: &str, first: usize, indent: usize) -> String {
    let most = width().map_or(LINE, |width| width.min(LINE));
    let mut lines = String::new();
    let mut line = " ".repeat(first);
    for word in text.split(' ') {
        if line.chars().count() + 1 + word.chars().count() > most && !line.trim().is_empty() {
            lines.push_str(line.trim_end());
            lines.push('\n');
            line = " ".repeat(indent);
        }
        if !line.trim().is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    lines + line.trim_end() + "\n"
}
