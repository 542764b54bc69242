//! What is tried, and what must hold of it whatever the input is.

use std::cell::Cell;
use std::sync::LazyLock;
use std::time::Duration;

use rehouse::audit::{audit, left_out};
use rehouse::decision::Decision;
use rehouse::diagnostics::Severity;
use rehouse::intake::{Reading, cells, read_texts};
use rehouse::options::table::Row;
use rehouse::plan::Plan;
use rehouse::project::Project;
use rehouse::saved::{from_json, to_json};
use rehouse::{assign, options, plan, report};

use super::parts::{Files, archive, files};
use super::{questions, seeds};

/// One of the things that are tried.
pub struct Target {
    /// Its name.
    pub name: &'static str,
    /// Tries an input: what does not hold.
    pub holds: fn(&[u8]) -> Result<(), String>,
    /// Inputs to begin with.
    pub seeds: fn() -> Vec<Vec<u8>>,
    /// Inputs are no longer.
    pub most_bytes: usize,
    /// No input may take longer.
    pub limit: Duration,
}

/// All of them.
pub const TARGETS: [Target; 9] = [
    Target { name: "cells", holds: cell, seeds: cell_seeds, most_bytes: 200, limit: Duration::from_secs(2) },
    Target { name: "csv", holds: csv, seeds: seeds::csv, most_bytes: 6_000, limit: Duration::from_secs(5) },
    Target {
        name: "settings",
        holds: settings,
        seeds: seeds::settings,
        most_bytes: 16_000,
        limit: Duration::from_secs(5),
    },
    Target { name: "rules", holds: rules, seeds: seeds::rules, most_bytes: 8_000, limit: Duration::from_secs(5) },
    Target { name: "xlsx", holds: xlsx, seeds: seeds::xlsx, most_bytes: 8_000, limit: Duration::from_secs(10) },
    Target { name: "ods", holds: ods, seeds: seeds::ods, most_bytes: 8_000, limit: Duration::from_secs(10) },
    Target {
        name: "plan-json",
        holds: plan_json,
        seeds: plan_json_seeds,
        most_bytes: 60_000,
        limit: Duration::from_secs(10),
    },
    Target {
        name: "project",
        holds: project,
        seeds: seeds::projects,
        most_bytes: 12_000,
        limit: Duration::from_secs(30),
    },
    Target {
        name: "questions",
        holds: answers,
        seeds: seeds::projects,
        most_bytes: 12_000,
        limit: Duration::from_secs(60),
    },
];

/// A file of this name among the others means that rows with errors are left out.
const SKIP: &str = "!skip";

/// Reads files, and looks at what is said of them.
fn read(mut files: Files) -> Result<Reading, String> {
    let skip = files.remove(SKIP).is_some();
    let reading = read_texts(&files, &[], skip);
    for found in &reading.diagnostics {
        if found.place.file.is_empty() || found.message.is_empty() || found.cure.is_none() {
            return Err(format!("no place, cause or cure: {found}"));
        }
        let length = found.to_string().len();
        if length > 4000 {
            return Err(format!("a diagnostic of {length} bytes: {found:.300}"));
        }
    }
    let errors = reading.diagnostics.iter().filter(|found| found.severity == Severity::Error).count();
    match &reading.project {
        None if errors == 0 => Err("nothing was read, and no error was told".to_owned()),
        Some(_) if errors > 0 && !skip => Err("it was read in spite of errors".to_owned()),
        _ => Ok(reading),
    }
}

/// A small project with some files in place of its own.
fn with(own: Files) -> Files {
    let mut all = seeds::project();
    all.extend(own);
    all
}

fn csv(input: &[u8]) -> Result<(), String> {
    read(with(files(input))).map(|_| ())
}

fn rules(input: &[u8]) -> Result<(), String> {
    let reading = read(with(files(input)))?;
    let Some(project) = reading.project else { return Ok(()) };
    // What is let through is fit to be reckoned with.
    let sound = project.rules.fluids.iter().all(|fluid| fluid.density_g_ml.is_none_or(|density| density > 0.0));
    if sound { Ok(()) } else { Err("a fluid of no density".to_owned()) }
}

/// What settings are read as is written as what is read again to the same.
fn settings(input: &[u8]) -> Result<(), String> {
    let with_settings = |text: Vec<u8>| with(Files::from([("settings.toml".to_owned(), text)]));
    let Some(project) = read(with_settings(input.to_vec()))?.project else { return Ok(()) };
    let written = project.settings.to_toml();
    let Some(again) = read(with_settings(written.clone().into_bytes()))?.project else {
        return Err("the settings as written are refused".to_owned());
    };
    if again.settings == project.settings { Ok(()) } else { Err("the settings as written are others".to_owned()) }
}

fn xlsx(input: &[u8]) -> Result<(), String> {
    workbook("specimens.xlsx", input)
}

fn ods(input: &[u8]) -> Result<(), String> {
    workbook("specimens.ods", input)
}

fn workbook(name: &str, input: &[u8]) -> Result<(), String> {
    let mut all = with(Files::from([(name.to_owned(), archive(files(input)))]));
    all.remove("specimens.csv");
    read(all).map(|_| ())
}

/// Numbers, units and money in cells: the first byte says with which decimal mark.
fn cell(input: &[u8]) -> Result<(), String> {
    let Ok(text) = std::str::from_utf8(input) else { return Ok(()) };
    for decimal_comma in [false, true] {
        let figure = match cells::figure(text, decimal_comma) {
            Ok(figure) => figure,
            Err(fault) => {
                return if fault.says.is_empty() || fault.cure.is_empty() {
                    Err("nothing is said".to_owned())
                } else {
                    Ok(())
                };
            }
        };
        let numbers = [cells::number(&figure), cells::signed(&figure)];
        if numbers.iter().flatten().any(|number| !number.is_finite())
            || numbers[0].as_ref().is_ok_and(|number| *number < 0.0)
        {
            return Err(format!("{numbers:?}"));
        }
        let _ = (cells::whole(&figure).is_ok(), cells::money(&figure).is_ok(), cells::quoted(text).len());
    }
    Ok(())
}

fn cell_seeds() -> Vec<Vec<u8>> {
    ["12", "1.5 cm", "1,234.5", "1.234,5", "−3", "3 1/2 in", "12,50", "0.0000001", "'=1"]
        .map(|cell| cell.as_bytes().to_vec())
        .into()
}

/// How often a search may ask whether it is to stop before it is told so.
const MOST_ASKED: usize = 3_000;

/// The plan of a project.
fn planned(project: &Project, skipped: Vec<String>) -> Plan {
    decided(project, &options::table::judge_all(project), skipped).1
}

/// What is decided of a project, and its plan.
fn decided(project: &Project, rows: &[Row], skipped: Vec<String>) -> (Decision, Plan) {
    let asked = Cell::new(0);
    let stop = || {
        asked.set(asked.get() + 1);
        asked.get() > MOST_ASKED
    };
    let assign::Answered { question, decision } = assign::decide_rows(project, rows, &mut |_| {}, &stop);
    let labour = assign::question::labour_per_row(project);
    let plan = plan::plan(project, rows, &question, &decision, labour, skipped);
    (decision, plan)
}

/// Larger ones are read and not planned.
fn is_small(project: &Project) -> bool {
    let lots = &project.collection.specimens;
    let individuals: u64 = lots.iter().map(|lot| u64::from(lot.individuals)).sum();
    lots.len() <= 20 && project.stock.vessels.len() <= 20 && individuals <= 500
}

/// A project that is small enough to be planned, with the rows that were left out.
fn small_project(input: &[u8]) -> Result<Option<(Project, Vec<String>)>, String> {
    let mut own = files(input);
    let own_rules = own.keys().any(|name| name.starts_with("rules/"));
    if !own_rules && own.len() > 12 {
        own.clear();
    }
    let Reading { project, skipped, .. } = read(own)?;
    Ok(project.filter(is_small).map(|project| (project, skipped)))
}

/// The planner's questions about a project.
fn answers(input: &[u8]) -> Result<(), String> {
    let Some((project, skipped)) = small_project(input)? else { return Ok(()) };
    let rows = options::table::judge_all(&project);
    let (decision, plan) = decided(&project, &rows, skipped);
    // The program refuses such plans before it asks.
    if plan.totals.beyond_counting() { Ok(()) } else { questions::answered(&project, &rows, &decision, plan) }
}

/// A plan that the audit finds nothing wrong with, that reads back to itself, and of which all papers can be made.
fn project(input: &[u8]) -> Result<(), String> {
    let Some((project, skipped)) = small_project(input)? else { return Ok(()) };
    let plan = planned(&project, skipped.clone());
    let mut findings = audit(&project, &plan);
    findings.extend(left_out(&plan, &skipped));
    if let Some(finding) = findings.first() {
        return Err(format!("the audit finds: {finding}"));
    }
    let json = to_json(&project, &plan, &[]);
    let again = from_json(&project, &json).map_err(|wrong| format!("plan.json is refused: {}", wrong[0]))?;
    if to_json(&project, &again, &[]) != json {
        return Err("plan.json is read as another plan".to_owned());
    }
    if let Some(finding) = audit(&project, &again).first() {
        return Err(format!("the audit of plan.json finds: {finding}"));
    }
    let papers = [
        report::html::report(&project, &plan, &[]),
        report::fire_sheet::fire_sheet(&project, &plan),
        report::transfer_sheets::transfer_sheets(&project, &plan),
        report::labels::sheet(&project, &plan),
        report::csv::placements(&project, &plan),
        report::csv::tanks(&project, &plan),
        report::summary::plan(&project, &plan, None, None).into_bytes(),
    ];
    if papers.iter().any(|paper| std::str::from_utf8(paper).is_err()) {
        return Err("a paper is no text".to_owned());
    }
    report::xlsx::workbook(&project, &plan).map(|_| ()).map_err(|error| format!("no workbook: {error}"))
}

/// A project of which every kind of line occurs in the plan, its plan, and that as plan.json.
static PLANNED: LazyLock<(Project, Plan, Vec<u8>)> = LazyLock::new(|| {
    let mut all = files(&seeds::projects()[0]);
    all.insert("fluid-stock.csv".to_owned(), b"fluid,litres,location\nethanol-70,0.4,Bay 1\n".to_vec());
    let project = read_texts(&all, &[], false).project.expect("the project reads cleanly");
    let json = to_json(&project, &planned(&project, Vec::new()), &[]);
    // Money in a file is rounded.
    let plan = from_json(&project, &json).expect("a plan reads back");
    (project, plan, json)
});

fn plan_json_seeds() -> Vec<Vec<u8>> {
    vec![PLANNED.2.clone()]
}

/// Whatever is changed in a plan.json, it is refused, or found wrong, or describes the same plan. A bound may be stated lower
/// than it is, with another proof: that claims less.
fn plan_json(input: &[u8]) -> Result<(), String> {
    let (project, plan, json) = &*PLANNED;
    let other = match from_json(project, input) {
        Ok(other) => other,
        Err(wrong) if wrong.is_empty() || wrong.iter().any(String::is_empty) => {
            return Err("it is refused without a word".to_owned());
        }
        Err(_) => return Ok(()),
    };
    if !audit(project, &other).is_empty() || !left_out(&other, &[]).is_empty() {
        return Ok(());
    }
    let values = |plan: &Plan| plan.levels.iter().map(|level| (level.aim, level.value)).collect::<Vec<_>>();
    let same = Plan { levels: plan.levels.clone(), status: plan.status, ..other.clone() };
    if values(plan) != values(&other) || to_json(project, &same, &[]) != *json {
        return Err("another plan passes the audit".to_owned());
    }
    if other.levels.iter().any(|level| level.bound > level.value) {
        return Err("a bound above its value passes the audit".to_owned());
    }
    Ok(())
}
