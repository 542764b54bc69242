//! Collects diagnostics while reading, and records whether one stops the plan.

use crate::diagnostics::{Diagnostic, Place, Severity};

/// A row that was left out.
#[derive(Clone, Debug)]
pub struct RowLeftOut {
    /// Place of the row.
    pub place: Place,
    /// Its errors, joined.
    pub message: String,
}

/// All diagnostics of one run.
#[derive(Debug, Default)]
pub struct Findings {
    /// Diagnostics, in the order they were found.
    pub diagnostics: Vec<Diagnostic>,
    /// Rows that were left out.
    pub skipped: Vec<RowLeftOut>,
    /// Whether rows with errors are left out instead of stopping the plan.
    skip_bad_rows: bool,
    /// Whether an error stops the plan.
    pub stopped: bool,
}

impl Findings {
    /// No findings yet.
    pub fn new(skip_bad_rows: bool) -> Self {
        Self { skip_bad_rows, ..Self::default() }
    }

    /// Whether rows with errors are left out instead of stopping the plan.
    pub fn skips_bad_rows(&self) -> bool {
        self.skip_bad_rows
    }

    /// Adds a diagnostic about a file as a whole: an error stops the plan.
    pub fn report(&mut self, diagnostic: Diagnostic) {
        self.stopped |= diagnostic.severity == Severity::Error;
        self.diagnostics.push(diagnostic);
    }

    /// Adds the findings of a later part of the same run.
    pub fn and(&mut self, later: Findings) {
        self.diagnostics.extend(later.diagnostics);
        self.skipped.extend(later.skipped);
        self.stopped |= later.stopped;
    }

    /// Adds all diagnostics of one row: an error stops the plan, or leaves the row out.
    pub fn row(&mut self, place: Place, found: Vec<Diagnostic>) {
        let said = |found: &Diagnostic| match &*found.place.name {
            "" => found.message.clone(),
            column => format!("{column}: {}", found.message),
        };
        let errors: Vec<String> = found.iter().filter(|d| d.severity == Severity::Error).map(said).collect();
        if !errors.is_empty() {
            if self.skip_bad_rows {
                self.skipped.push(RowLeftOut { place, message: errors.join("; ") });
            } else {
                self.stopped = true;
            }
        }
        self.diagnostics.extend(found);
    }
}
