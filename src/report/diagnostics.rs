//! Diagnostics as text for a person, errors first, and as JSON for a program, one object on a line.

use std::collections::BTreeMap;

use serde_json::{Map, Value, json};

use super::message::{CURE, Message, Tone};
use super::wrapping::hanging;
use crate::diagnostics::{Code, Diagnostic, Severity};

/// Largest number of diagnostics of one kind in one file that are shown; the others are counted.
const SHOWN_OF_A_KIND: usize = 10;

/// All diagnostics, errors first, those above [`SHOWN_OF_A_KIND`] folded, and a closing count; empty if there are none.
pub fn text(diagnostics: &[Diagnostic]) -> Message {
    let errors = of(diagnostics, Severity::Error);
    let warnings = of(diagnostics, Severity::Warning);
    let groups =
        [(Tone::Error, "To correct:", &errors), (Tone::Warning, "To check (these do not stop the plan):", &warnings)];
    let mut message = Message::default();
    for (tone, title, group) in groups {
        if !group.is_empty() {
            message = message.and(tone, title).and(Tone::Plain, "\n").then(listed(group)).and(Tone::Plain, "\n");
        }
    }
    let counts = [(errors.len(), "to correct"), (warnings.len(), "to check")];
    let counts: Vec<String> = counts.iter().filter(|(n, _)| *n > 0).map(|(n, what)| format!("{n} {what}")).collect();
    if counts.is_empty() { message } else { message.and(Tone::Plain, format!("{}.\n", counts.join(", "))) }
}

fn of(diagnostics: &[Diagnostic], severity: Severity) -> Vec<&Diagnostic> {
    diagnostics.iter().filter(|diagnostic| diagnostic.severity == severity).collect()
}

fn listed(diagnostics: &[&Diagnostic]) -> Message {
    let mut seen: BTreeMap<(&str, Code), usize> = BTreeMap::new();
    let mut message = Message::default();
    for diagnostic in diagnostics {
        let n = seen.entry((diagnostic.place.file.as_str(), diagnostic.code)).or_default();
        *n += 1;
        if *n <= SHOWN_OF_A_KIND {
            message = message.then(wrapped(diagnostic));
        }
    }
    for ((file, code), n) in seen.into_iter().filter(|(_, n)| *n > SHOWN_OF_A_KIND) {
        let more = n - SHOWN_OF_A_KIND;
        let line = format!(
            "{file}: {more} more of the same kind, {n} in all; `rehouse check --format json` with the same files lists all  [{code}]"
        );
        message = message.and(Tone::Plain, hanging(&line, 4));
    }
    message
}

/// One diagnostic, wrapped to the width of the screen.
fn wrapped(diagnostic: &Diagnostic) -> Message {
    let (what, code) = (format!("{}: {}", diagnostic.place, diagnostic.message), diagnostic.code);
    match &diagnostic.cure {
        None => Message::from(hanging(&format!("{what}  [{code}]"), 4)),
        Some(cure) => {
            let lines = hanging(&format!("{CURE} {cure}  [{code}]"), 6);
            let rest = lines.get(CURE.len()..).unwrap_or_default().to_owned();
            Message::from(hanging(&what, 4)).and(Tone::Cure, CURE).and(Tone::Plain, rest)
        }
    }
}

/// Each diagnostic as an object: `severity`, `code`, `file`, `sheet`, `row` (as a spreadsheet counts), `column` (its name),
/// `at` (`file:line:character`), `message`, `cure`. Members that do not apply are left out.
pub fn objects(diagnostics: &[Diagnostic]) -> Vec<Value> {
    diagnostics.iter().map(object).collect()
}

fn object(diagnostic: &Diagnostic) -> Value {
    let place = &diagnostic.place;
    let mut object = Map::new();
    let mut put = |key: &str, value: Value| drop(object.insert(key.to_owned(), value));
    put("severity", json!(if diagnostic.severity == Severity::Error { "error" } else { "warning" }));
    put("code", json!(diagnostic.code.name()));
    put("file", json!(place.file));
    if let Some(sheet) = &place.sheet {
        put("sheet", json!(sheet));
    }
    if place.row > 0 {
        put("row", json!(place.row));
    }
    if !place.name.is_empty() {
        put("column", json!(place.name));
    }
    put("at", json!(place.position()));
    put("message", json!(diagnostic.message));
    if let Some(cure) = &diagnostic.cure {
        put("cure", json!(cure));
    }
    Value::Object(object)
}

/// The objects of [`objects`], one on a line.
pub fn lines(diagnostics: &[Diagnostic]) -> String {
    objects(diagnostics).iter().map(|object| format!("{object}\n")).collect()
}
