//! Runs on whole projects: the demonstration at 41 budgets, and the small projects of the tests. Each is asked to be proved
//! within a second.

use std::fs;
use std::path::Path;

use super::Outcome;
use super::program::{self, Run};

/// Seconds that each run may take.
const ASKED: f64 = 1.0;

/// Budgets of the demonstration: 0 to the last in equal steps.
const STEP: usize = 50;
const LAST: usize = 2000;

/// Prints how many runs are proved, and in what time.
pub fn print() -> Outcome<()> {
    println!(
        "{:<34} {:>6} {:>8} {:>10} {:>10}  not proved in {ASKED} s",
        "projects", "runs", "proved", "median s", "slowest s"
    );
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let demo = tempfile::tempdir()?;
    copy(&root.join("demo-data"), &demo.path().join("project"))?;
    let mut runs = Vec::new();
    for budget in (0..=LAST).step_by(STEP) {
        let amount = budget.to_string();
        runs.push((amount.clone(), program::measure(demo.path(), &["--budget", &amount])?));
    }
    line("demo-data, budgets 0 to 2000", &runs);
    let mut runs = Vec::new();
    let mut folders: Vec<_> = fs::read_dir(root.join("tests/reference/small-projects"))?
        .collect::<Result<Vec<_>, _>>()?
        .into_iter()
        .map(|entry| entry.path())
        .filter(|path| path.is_dir())
        .collect();
    folders.sort();
    for folder in folders {
        let own = tempfile::tempdir()?;
        copy(&folder, &own.path().join("project"))?;
        let name = folder.file_name().unwrap_or_default().to_string_lossy().into_owned();
        runs.push((name, program::measure(own.path(), &[])?));
    }
    line("small projects of the tests", &runs);
    Ok(())
}

fn line(name: &str, runs: &[(String, Run)]) {
    let is_proved = |run: &Run| run.plan.levels.iter().all(program::Level::proved);
    let mut seconds: Vec<f64> = runs.iter().map(|(_, run)| run.seconds).collect();
    seconds.sort_by(f64::total_cmp);
    let late: Vec<&str> =
        runs.iter().filter(|(_, run)| !is_proved(run) || run.seconds > ASKED).map(|(name, _)| name.as_str()).collect();
    println!(
        "{name:<34} {:>6} {:>8} {:>10.3} {:>10.3}  {}",
        runs.len(),
        runs.iter().filter(|(_, run)| is_proved(run)).count(),
        seconds.get(seconds.len() / 2).copied().unwrap_or(f64::NAN),
        seconds.last().copied().unwrap_or(f64::NAN),
        if late.is_empty() { "-".to_owned() } else { late.join(", ") },
    );
}

/// Copies the files of a folder, and those of the folders in it.
fn copy(from: &Path, to: &Path) -> Outcome<()> {
    fs::create_dir_all(to)?;
    for entry in fs::read_dir(from)? {
        let path = entry?.path();
        let target = to.join(path.file_name().unwrap_or_default());
        if path.is_dir() {
            copy(&path, &target)?;
        } else {
            fs::copy(&path, &target)?;
        }
    }
    Ok(())
}
