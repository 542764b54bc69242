//! What must not be: a run that fails or goes on too long, a value that is wrong. A series goes on and they are told again
//! at its end.

use crate::Outcome;
use crate::program::Run;

/// What was found so far.
#[derive(Default)]
pub struct Findings(Vec<String>);

impl Findings {
    /// Says what was found now, and keeps it.
    pub fn add(&mut self, name: &str, what: &str) {
        println!("{name}: {what}");
        self.0.push(format!("{name}: {what}"));
    }

    /// The run, unless it failed; one that went on for more than a second after its limit is among the findings too.
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

    /// An error that lists them, if there are any.
    pub fn at_the_end(self) -> Outcome<()> {
        match self.0.len() {
            0 => Ok(()),
            n => Err(format!("{n} found:\n{}", self.0.join("\n")).into()),
        }
    }
}
