//! `rehouse why`: prints the choice for some specimens and every vessel with its verdict.

use super::screen::{Working, words};
use super::{Ending, Failure, print_text, reading};
use crate::assign;
use crate::cli::{Format, WhyArguments};
use crate::collection::Specimen;
use crate::diagnostics::nearest;
use crate::options::table::judge_all;
use crate::{plan, report};

/// Prints every choice and refusal of the named specimens.
pub fn run(arguments: &WhyArguments) -> Result<Ending, Failure> {
    let reading = reading::read(&arguments.inputs, &arguments.beside, Format::Table)?;
    let Some(project) = reading.project else { return Ok(Ending::Findings) };
    let specimens = &project.collection.specimens;
    let mut wanted = Vec::new();
    for key in &arguments.keys {
        let is = |specimen: &Specimen| specimen.key.catalog_number == *key || specimen.key.to_string() == *key;
        let found: Vec<usize> = (0..specimens.len()).filter(|&index| is(&specimens[index])).collect();
        if found.is_empty() {
            // A key with a colon is compared with whole keys, any other with the catalogue numbers.
            let whole: Vec<String> = specimens.iter().map(|specimen| specimen.key.to_string()).collect();
            let numbers = specimens.iter().map(|specimen| specimen.key.catalog_number.as_str());
            let near = match key.contains(':') {
                true => nearest(key, whole.iter().map(String::as_str)),
                false => nearest(key, numbers),
            };
            let what = format!("no lot \"{key}\" in the survey");
            return Err(match near {
                Some(near) => Failure::cured(what, format!("did you mean {near}?")),
                None => Failure::new(what),
            });
        }
        wanted.extend(found);
    }
    let working = Working::on("deciding");
    let rows = judge_all(&project);
    let assign::Answered { question, decision } =
        assign::decide_rows(&project, &rows, &mut |progress| working.now(words(&progress)), &|| false);
    let labour = assign::question::labour_per_row(&project);
    let plan = plan::plan(&project, &rows, &question, &decision, labour, reading.skipped);
    drop(working);
    print_text(&report::summary::skipped(&plan))?;
    for index in wanted {
        print_text(&report::why::why(&project, &plan, index))?;
    }
    Ok(Ending::Done)
}
