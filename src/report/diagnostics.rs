//! Diagnostics as lines: `file:line:column: error[code]: …`, then the cure.

use std::collections::BTreeMap;

use crate::diagnostics::{Diagnostic, Severity};

/// More of one kind in one file than this are folded into a count.
const SHOWN_OF_A_KIND: usize = 10;

/// All diagnostics, many of one kind folded, and a closing count; empty where there are none.
pub fn text(diagnostics: &[Diagnostic]) -> String {
    let mut seen: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    let mut text = String::new();
    for diagnostic in diagnostics {
        let n = seen.entry((diagnostic.place.file.as_str(), diagnostic.code)).or_default();
        *n += 1;
        if *n <= SHOWN_OF_A_KIND {
            text.push_str(&format!("{diagnostic}\n"));
        }
    }
    for ((file, code), n) in seen.into_iter().filter(|(_, n)| *n > SHOWN_OF_A_KIND) {
        text.push_str(&format!("{file}: and {} more [{code}]\n", n - SHOWN_OF_A_KIND));
    }
    let count = |severity| diagnostics.iter().filter(|diagnostic| diagnostic.severity == severity).count();
    let (errors, warnings) = (count(Severity::Error), count(Severity::Warning));
    if errors + warnings > 0 {
        text.push_str(&format!("{}, {}\n", counted(errors, "error"), counted(warnings, "warning")));
    }
    text
}

fn counted(n: usize, thing: &str) -> String {
    if n == 1 { format!("1 {thing}") } else { format!("{n} {thing}s") }
}
