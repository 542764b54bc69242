//! Collects failures: runs that fail or exceed their time limit, and wrong values. A series goes on after a failure; all are
//! listed at its end.

use crate::Outcome;
use crate::program::Run;

/// Failures so far.
#[derive(Default)]
pub struct Findings(Vec<String>);

impl Findings {
    /// Prints a failure and keeps it.
    pub fn add(&mut self, name: &str, what: &str) {
        println!("{name}: {what}");
        self.0.push(format!("{name}: {what}"));
    }

    /// The run, unless it failed. A run that exceeded its limit by more than a second is returned and counts as a failure too.
    pub fn unless_failed(&mut self, name: &str, run: Outcome<Run>) -> Option<Run> {
        match run {
            Ok(run) => {
                if run.overran() {
                    self.add(name, &format!("OVER ITS LIMIT: {:.1} s, limit {} s", run.counted_s(), run.limit_s));
                }
                Some(run)
            }
            Err(error) => {
                self.add(name, &format!("FAILED: {error}"));
                None
            }
        }
    }

    /// An error that lists all failures, if there are any.
    pub fn at_the_end(self) -> Outcome<()> {
        match self.0.len() {
            0 => Ok(()),
            n => Err(format!("{n} found:\n{}", self.0.join("\n")).into()),
        }
    }
}
