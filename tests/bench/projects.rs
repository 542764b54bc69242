//! Runs on whole projects: the demonstration project at 41 budgets, and the small projects of the tests. Each must be proved
//! within a second, and the counts of deferred lots must not be worse with a larger budget.

use std::fs;
use std::path::Path;

use crate::program::{Project, Run};
use crate::{Findings, Outcome, second_solver};

/// Seconds that each run may take.
const ASKED: f64 = 1.0;

/// Budgets of the demonstration project: 0 to `LAST` in steps of `STEP`.
const STEP: usize = 50;
const LAST: usize = 2000;

const COUNTS: [&str; 4] = ["deferred-1", "deferred-2", "deferred-3", "deferred-4"];

/// Prints the number of proved runs and their times.
pub fn print(findings: &mut Findings) -> Outcome<()> {
    println!(
        "{:<34} {:>6} {:>8} {:>10} {:>10} {:>14}  not proved in {ASKED} s",
        "projects", "runs", "proved", "median s", "slowest s", "most of cores"
    );
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut demo = Project::copy_of(&root.join("demo-data"))?;
    let mut runs = Vec::new();
    for budget in (0..=LAST).step_by(STEP) {
        let amount = budget.to_string();
        runs.extend(one(&amount, &mut demo, &[("budget", amount.clone())], findings)?);
    }
    line("demo-data, budgets 0 to 2000", &runs);
    compare(&runs, findings);
    let mut runs = Vec::new();
    let mut folders: Vec<_> = fs::read_dir(root.join("tests/reference/small-projects"))?
        .collect::<Result<Vec<_>, _>>()?
        .into_iter()
        .map(|entry| entry.path())
        .filter(|path| path.is_dir())
        .collect();
    folders.sort();
    for folder in folders {
        let name = folder.file_name().unwrap_or_default().to_string_lossy().into_owned();
        runs.extend(one(&name, &mut Project::copy_of(&folder)?, &[], findings)?);
    }
    line("small projects of the tests", &runs);
    Ok(())
}

type Named = (String, Run);

fn one(
    name: &str,
    project: &mut Project,
    settings: &[(&str, String)],
    findings: &mut Findings,
) -> Outcome<Option<Named>> {
    let measured = project.measure(settings);
    let Some(run) = findings.unless_failed(name, measured) else { return Ok(None) };
    second_solver::print(name, project, settings, &run, findings)?;
    Ok(Some((name.to_owned(), run)))
}

/// Reports budgets whose counts of deferred lots, in order of rank, are worse than those of the budget before.
fn compare(runs: &[Named], findings: &mut Findings) {
    let counts = |run: &Run| COUNTS.map(|name| run.plan.level(name).map_or(f64::NAN, |level| level.value()));
    let mut worse = false;
    for pair in runs.windows(2) {
        let [(less, before), (more, after)] = pair else { continue };
        if counts(after) > counts(before) {
            worse = true;
            findings.add(
                &format!("budget {more}"),
                &format!("WORSE than at {less}: {:?} {:?}", counts(after), counts(before)),
            );
        }
    }
    if !worse {
        println!("    deferred lots at a larger budget: never worse");
    }
}

fn line(name: &str, runs: &[Named]) {
    let mut seconds: Vec<f64> = runs.iter().map(|(_, run)| run.seconds).collect();
    seconds.sort_by(f64::total_cmp);
    let late: Vec<&str> = (runs.iter())
        .filter(|(_, run)| !run.plan.proved() || run.counted_s() > ASKED)
        .map(|(name, _)| name.as_str())
        .collect();
    println!(
        "{name:<34} {:>6} {:>8} {:>10.3} {:>10.3} {:>14.3}  {}",
        runs.len(),
        runs.iter().filter(|(_, run)| run.plan.proved()).count(),
        seconds.get(seconds.len() / 2).copied().unwrap_or(f64::NAN),
        seconds.last().copied().unwrap_or(f64::NAN),
        runs.iter().filter_map(|(_, run)| run.of_cores_s).fold(f64::NAN, f64::max),
        if late.is_empty() { "-".to_owned() } else { format!("!{}", late.join(", ")) },
    );
}
