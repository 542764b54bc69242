//! What was found wrong while reading, and whether it stops the plan.

use crate::diagnostics::{Diagnostic, Place, Severity};

/// A row that was left out.
#[derive(Clone, Debug)]
pub struct RowLeftOut {
    /// Where it stands.
    pub place: Place,
    /// What is wrong with it.
    pub message: String,
}

/// Collects everything that is wrong or doubtful in one run.
#[derive(Debug, Default)]
pub struct Findings {
    /// In the order they were found.
    pub diagnostics: Vec<Diagnostic>,
    /// Rows that were left out, and why.
    pub skipped: Vec<RowLeftOut>,
    /// Leave out rows with errors instead of stopping.
    skip_bad_rows: bool,
    /// An error stops the plan.
    pub stopped: bool,
}

impl Findings {
    /// Nothing found yet.
    pub fn new(skip_bad_rows: bool) -> Self {
        Self { skip_bad_rows, ..Self::default() }
    }

    /// Whether rows with errors are left out.
    pub fn skips_bad_rows(&self) -> bool {
        self.skip_bad_rows
    }

    /// Something about a file as a whole: an error stops the plan.
    pub fn report(&mut self, diagnostic: Diagnostic) {
        self.stopped |= diagnostic.severity == Severity::Error;
        self.diagnostics.push(diagnostic);
    }

    /// What was found further on in the same run.
    pub fn and(&mut self, later: Findings) {
        self.diagnostics.extend(later.diagnostics);
        self.skipped.extend(later.skipped);
        self.stopped |= later.stopped;
    }

    /// All that was found in one row: an error stops the plan, or leaves the row out.
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
