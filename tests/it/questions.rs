//! The planner's questions: what money buys, what is limited, what else a lot could have.

pub mod answers;
mod budget;
mod fluid;
mod instead;
mod kept;
mod laws;
mod limits;
mod listed;
mod new_sizes;
mod offered;
mod threshold;

use std::path::Path;

use rehouse::options::table::{Row, judge_all};
use rehouse::project::Project;
use serde_json::Value;

use crate::properties::files::{ProjectTables, random_files};
use crate::support::{Ran, TestProject};

/// A command on the project of a case.
fn ran(case: &TestProject, command: &str, options: &[&str]) -> Ran {
    let project = case.project();
    let options = options.iter().map(Path::new);
    TestProject::run(&[Path::new(command), &project].into_iter().chain(options).collect::<Vec<_>>())
}

/// What a command answers as JSON.
fn answered(case: &TestProject, command: &str, options: &[&str]) -> Value {
    let ran = ran(case, command, &[options, &["--format", "json"]].concat());
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    serde_json::from_str(&ran.stdout).expect("JSON")
}

/// A project of a few lots and kinds of vessel: every plan of it can be tried.
pub fn small_files(seed: u64) -> ProjectTables {
    let mut files = random_files(seed);
    files.stock.retain(|offer| offer["vessel"].as_str() < "V04");
    files.survey.truncate(5);
    for lot in &mut files.survey {
        for column in ["must_use", "must_not_use", "current_vessel"] {
            lot.insert(column.to_owned(), String::new());
        }
        for (column, side) in [("length_mm", "70"), ("width_mm", "30"), ("height_mm", "25")] {
            if lot[column].is_empty() {
                lot.insert(column.to_owned(), side.to_owned());
            }
        }
    }
    files
}

/// The project of these files, and the options of its lots.
pub fn judged(files: &ProjectTables) -> (Project, Vec<Row>) {
    let reading = rehouse::intake::read_texts(&files.texts(), &[], false);
    let project = reading.project.unwrap_or_else(|| panic!("{:#?}", reading.diagnostics));
    let rows = judge_all(&project);
    (project, rows)
}
