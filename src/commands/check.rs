//! `rehouse check`: reads the files and says what was understood; plans nothing.

use super::{Ending, Failure, print, reading};
use crate::cli::CheckArguments;
use crate::report;

/// Reads and reports.
pub fn run(arguments: &CheckArguments) -> Result<Ending, Failure> {
    let reading = reading::read(&arguments.input.inputs, &arguments.input.beside)?;
    let Some(project) = &reading.project else { return Ok(Ending::Findings) };
    print(&report::understood::understood(project, &reading.skipped))?;
    Ok(if reading.skipped.is_empty() { Ending::Done } else { Ending::Findings })
}
