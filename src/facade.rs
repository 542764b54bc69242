//! A whole run in five steps: [`read`], [`decide`], [`plan`], [`audit`], [`write`](fn@write).

use std::path::Path;

use crate::assign::{self, Answered};
use crate::audit::Finding;
use crate::diagnostics::Diagnostic;
use crate::intake::{self, InputFile, Sources};
use crate::options::table::{Row, judge_all};
use crate::output::OutputFailure;
use crate::plan::Plan;
use crate::plan_folder::{self, Papers};
use crate::project::Project;

/// What a project folder holds.
#[derive(Debug)]
pub struct Inputs {
    /// What was read.
    pub project: Project,
    /// What is doubtful in it, and stops nothing.
    pub warnings: Vec<Diagnostic>,
    /// The files it was read from, for the plan's folder.
    pub files: Vec<InputFile>,
}

/// What was decided about a project.
pub struct Decided {
    rows: Vec<Row>,
    answer: Answered,
}

/// Reads a project folder.
///
/// # Errors
/// Everything that is wrong in it, each with its place and a cure.
pub fn read(folder: &Path) -> Result<Inputs, Vec<Diagnostic>> {
    let sources = Sources::project(folder).map_err(|diagnostic| vec![diagnostic])?;
    let reading = intake::read(&sources, &[], false);
    match reading.project {
        Some(project) => Ok(Inputs { project, warnings: reading.diagnostics, files: reading.files }),
        None => Err(reading.diagnostics),
    }
}

/// Judges every specimen against every vessel and decides which goes where, within the time limit of the settings.
pub fn decide(project: &Project) -> Decided {
    let rows = judge_all(project);
    let answer = assign::decide_rows(project, &rows, &mut |_| {}, &|| false);
    Decided { rows, answer }
}

/// Makes the plan of what was decided.
pub fn plan(project: &Project, decided: &Decided) -> Plan {
    let Decided { rows, answer: Answered { question, decision } } = decided;
    let labour = assign::question::labour_per_row(project);
    crate::plan::plan(project, rows, question, decision, labour, Vec::new())
}

/// Derives every claim of a plan again: what does not hold, nothing for a correct plan.
pub fn audit(project: &Project, plan: &Plan) -> Vec<Finding> {
    crate::audit::audit(project, plan)
}

/// Writes the plan's folder, whole or not at all, with the papers that can be read at the size of the survey.
///
/// # Errors
/// Then the folder is as it was before. One that holds files of anybody else is never replaced.
pub fn write(inputs: &Inputs, plan: &Plan, folder: &Path) -> Result<(), OutputFailure> {
    let place = (folder, false);
    plan_folder::stage((&inputs.project, plan), inputs.files.clone(), &[], Papers::Some, place)?.publish()
}
