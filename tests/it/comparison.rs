//! What differs between two plans: sums and counts of random pairs, the mirror, causes by hand, refusals, and the screen on the demo.

mod by_hand;
mod commands;
mod laws;

use rehouse::comparison::{ChangeCause, ChangeKind, Comparison, LotChange, ProjectPlan, compare};
use rehouse::intake;
use rehouse::plan::Plan;
use rehouse::project::Project;
use rehouse::report::comparison::Compared;

use crate::support::ProjectFiles;

/// A project of these files with its plan.
pub fn planned(files: &ProjectFiles) -> (Project, Plan) {
    let reading = intake::read_texts(files, &[], true);
    let project = reading.project.unwrap_or_else(|| panic!("{:#?}", reading.diagnostics));
    let decided = rehouse::decide(&project);
    let plan = Plan { skipped_rows: reading.skipped, ..rehouse::plan(&project, &decided) };
    (project, plan)
}

/// A plan with its project, to be compared.
pub fn side((project, plan): &(Project, Plan)) -> ProjectPlan<'_> {
    ProjectPlan { project, plan }
}

/// A comparison as the program shows it.
pub fn shown<'a>(comparison: &'a Comparison<'a>) -> Compared<'a> {
    Compared { comparison, names: ["one", "other"], versions: [None, None] }
}

/// The lot with this catalogue number.
fn lot<'c>(comparison: &'c Comparison, number: &str) -> &'c LotChange {
    let key = |lot: &LotChange| rehouse::words::comparison::key(comparison, lot);
    comparison.lots.iter().find(|lot| key(lot) == number).unwrap_or_else(|| panic!("no lot {number}"))
}

/// Kind, causes and reason in words of the lot with this catalogue number.
fn told(comparison: &Comparison, number: &str) -> (ChangeKind, Vec<ChangeCause>, String) {
    let lot = lot(comparison, number);
    (lot.kind, lot.causes.clone(), rehouse::words::comparison::why(comparison, lot).into_owned())
}
