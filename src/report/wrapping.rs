//! Line breaks of running text on a terminal, and the width of the screen.

use std::sync::atomic::{AtomicUsize, Ordering};

/// A text broken to the width of the screen, if that is known: continued lines are indented like the first.
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

/// Characters of a line of running text where nothing is known of the screen.
const LINE: usize = 110;

/// Characters of a line of the screen; 0 where it is none, or nothing is known of it.
static SCREEN: AtomicUsize = AtomicUsize::new(0);

/// Sets how many characters a line of the screen has, for the whole run. Without it tables are as wide as they need.
pub fn set_screen_width(characters: usize) {
    SCREEN.store(characters.max(NARROWEST), Ordering::Relaxed);
}

/// The least width that text is broken to.
const NARROWEST: usize = 40;

/// Characters of a line of the screen, if that is known.
pub(super) fn width() -> Option<usize> {
    Some(SCREEN.load(Ordering::Relaxed)).filter(|width| *width > 0)
}

/// A sentence over as many lines as it needs, each indented by so many blanks.
pub fn wrapped(text: &str, indent: usize) -> String {
    broken(text, indent, indent)
}

/// The same with the first line not indented more than it says itself.
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
