//! `rehouse check`: reads the files and reports what was understood; makes no plan.

use serde_json::json;

use super::{Ending, Failure, print, print_text, reading};
use crate::cli::{CheckArguments, Format};
use crate::intake::Reading;
use crate::report;

/// Reads and reports.
pub fn run(arguments: &CheckArguments) -> Result<Ending, Failure> {
    let input = &arguments.input;
    if arguments.format == Format::Json {
        return as_json(&reading::read_silently(&input.inputs, &input.beside)?);
    }
    let reading = reading::read(&input.inputs, &input.beside, Format::Table)?;
    let Some(project) = &reading.project else { return Ok(Ending::Findings) };
    print_text(&report::understood::understood(project, &reading.skipped))?;
    Ok(if reading.skipped.is_empty() { Ending::Done } else { Ending::Findings })
}

/// Prints one JSON object: whether a plan can be made, how many rows were read, and all diagnostics.
fn as_json(reading: &Reading) -> Result<Ending, Failure> {
    let project = reading.project.as_ref();
    let object = json!({
        "can_be_planned": project.is_some(),
        "specimens": project.map(|project| project.collection.specimens.len()),
        "vessels": project.map(|project| project.stock.vessels.len()),
        "left_out": reading.skipped,
        "found": report::diagnostics::objects(&reading.diagnostics),
    });
    print(&format!("{object:#}\n"))?;
    Ok(if project.is_some() && reading.skipped.is_empty() { Ending::Done } else { Ending::Findings })
}
