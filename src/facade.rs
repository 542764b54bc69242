//! Runs a whole plan in five steps: [`read`], [`decide`], [`plan`], [`audit`], [`write`](fn@write).

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

/// Content of a project folder.
#[derive(Debug)]
pub struct Inputs {
    /// The survey, stock, rules and settings.
    pub project: Project,
    /// Warnings, which stop nothing.
    pub warnings: Vec<Diagnostic>,
    /// The files that were read; they are copied into the plan's folder.
    pub files: Vec<InputFile>,
}

/// The decision for a project.
pub struct Decided {
    rows: Vec<Row>,
    answer: Answered,
}

/// Reads a project folder.
///
/// # Errors
/// All diagnostics, each with its place and a cure, if an error stops the plan.
pub fn read(folder: &Path) -> Result<Inputs, Vec<Diagnostic>> {
    let sources = Sources::project(folder).map_err(|diagnostic| vec![diagnostic])?;
    let reading = intake::read(&sources, &[], false);
    match reading.project {
        Some(project) => Ok(Inputs { project, warnings: reading.diagnostics, files: reading.files }),
        None => Err(reading.diagnostics),
    }
}

/// Judges every specimen against every vessel and decides which vessel each gets, within the time limit of the settings.
pub fn decide(project: &Project) -> Decided {
    let rows = judge_all(project);
    let answer = assign::decide_rows(project, &rows, &mut |_| {}, &|| false);
    Decided { rows, answer }
}

/// Makes the plan from the decision.
pub fn plan(project: &Project, decided: &Decided) -> Plan {
    let Decided { rows, answer: Answered { question, decision } } = decided;
    let labour = assign::question::labour_per_row(project);
    crate::plan::plan(project, rows, question, decision, labour, Vec::new())
}

/// Derives every claim of a plan again. Returns those that do not hold; none for a correct plan.
pub fn audit(project: &Project, plan: &Plan) -> Vec<Finding> {
    crate::answers_audit::audit(project, plan)
}

/// Writes the plan's folder completely or not at all, with the papers that suit the size of the survey.
///
/// # Errors
/// If the folder cannot be written or holds files that no plan wrote; it is then unchanged.
pub fn write(inputs: &Inputs, plan: &Plan, folder: &Path) -> Result<(), OutputFailure> {
    let place = (folder, false);
    plan_folder::stage((&inputs.project, plan), inputs.files.clone(), &[], Papers::Some, place)?.publish()
}
