//! Diagnostics for a person, what stops the plan first, and for a program, an object on a line.

use std::collections::BTreeMap;

use serde_json::{Map, Value, json};

use super::wrapping::hanging;
use crate::diagnostics::{Diagnostic, Severity};

/// More of one kind in one file than this are folded into a count.
const SHOWN_OF_A_KIND: usize = 10;

/// All diagnostics, what must be put right first, many of one kind folded, and a closing count; empty where there are none.
pub fn text(diagnostics: &[Diagnostic]) -> String {
    let errors = of(diagnostics, Severity::Error);
    let warnings = of(diagnostics, Severity::Warning);
    let mut text = String::new();
    for (title, group) in [("To correct:", &errors), ("To check (these do not stop the plan):", &warnings)] {
        if !group.is_empty() {
            text.push_str(&format!("{title}\n{}\n", listed(group)));
        }
    }
    let counts = [(errors.len(), "to correct"), (warnings.len(), "to check")];
    let counts: Vec<String> = counts.iter().filter(|(n, _)| *n > 0).map(|(n, what)| format!("{n} {what}")).collect();
    if !counts.is_empty() {
        text.push_str(&format!("{}.\n", counts.join(", ")));
    }
    text
}

fn of(diagnostics: &[Diagnostic], severity: Severity) -> Vec<&Diagnostic> {
    diagnostics.iter().filter(|diagnostic| diagnostic.severity == severity).collect()
}

fn listed(diagnostics: &[&Diagnostic]) -> String {
    let mut seen: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    let mut text = String::new();
    for diagnostic in diagnostics {
        let n = seen.entry((diagnostic.place.file.as_str(), diagnostic.code)).or_default();
        *n += 1;
        if *n <= SHOWN_OF_A_KIND {
            for (line, indent) in diagnostic.to_string().lines().zip([4, 6]) {
                text.push_str(&hanging(line, indent));
            }
        }
    }
    for ((file, code), n) in seen.into_iter().filter(|(_, n)| *n > SHOWN_OF_A_KIND) {
        let more = n - SHOWN_OF_A_KIND;
        let line = format!(
            "{file}: {more} more of the same kind, {n} in all; `rehouse check --format json` with the same files lists all  [{code}]"
        );
        text.push_str(&hanging(&line, 4));
    }
    text
}

/// Each of them as an object: `severity`, `code`, `file`, `sheet`, `row` (as a spreadsheet counts), `column` (its name),
/// `at` (`file:line:character`), `message`, `cure`. What does not apply is left out.
pub fn objects(diagnostics: &[Diagnostic]) -> Vec<Value> {
    diagnostics.iter().map(object).collect()
}

fn object(diagnostic: &Diagnostic) -> Value {
    let place = &diagnostic.place;
    let mut object = Map::new();
    let mut put = |key: &str, value: Value| drop(object.insert(key.to_owned(), value));
    put("severity", json!(if diagnostic.severity == Severity::Error { "error" } else { "warning" }));
    put("code", json!(diagnostic.code));
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
    if let Some(cure) = &diagnostic.help {
        put("cure", json!(cure));
    }
    Value::Object(object)
}

/// The same, one on a line.
pub fn lines(diagnostics: &[Diagnostic]) -> String {
    objects(diagnostics).iter().map(|object| format!("{object}\n")).collect()
}
