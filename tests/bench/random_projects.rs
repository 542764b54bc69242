//! Small projects drawn at random: how many are proved within one second and within ten.

use crate::program::{self, Project, Run};
use crate::random_project::files;
use crate::{Findings, Outcome, second_solver};

/// Number of projects if none is given.
const PROJECTS: u64 = 200;

/// Times in seconds within which nearly all projects, and all, must be proved.
const SOON_S: f64 = 1.0;
const LATEST_S: f64 = 10.0;

/// Per cent of the projects that must be proved within these times.
const SOON_PCT: f64 = 99.5;
const LATEST_PCT: f64 = 100.0;

/// Plans each project once and prints how many are proved; a project that takes longer than the first time gets a line.
pub fn print(words: &[&str], findings: &mut Findings) -> Outcome<()> {
    let projects = words.iter().find_map(|word| word.parse().ok()).unwrap_or(PROJECTS);
    let settings = [(program::TIME_LIMIT, LATEST_S.to_string())];
    let (mut runs, mut waiting): (Vec<Run>, usize) = (Vec::new(), 0);
    for seed in 1..=projects {
        let name = format!("random {seed}");
        let mut project = Project::new()?;
        for (file, text) in files(seed) {
            project.write(file, &text)?;
        }
        let planned = project.plan(&settings);
        let Some(run) = findings.unless_failed(&name, planned) else { continue };
        if !run.plan.proved() || run.counted_s() > SOON_S {
            println!("{name}: {}, {:.2} s, {} s of cores", run.plan.status, run.seconds, run.of_cores());
        }
        if run.overran() || !run.plan.proved() {
            println!("  kept: {}", project.keep());
        }
        second_solver::print(&name, &project, &settings, &run, findings)?;
        waiting += usize::from(run.plan.levels.iter().take(4).any(|level| level.value() > 0.0));
        runs.push(run);
    }
    println!("{:<34} {:>6} {:>10} {:>10}", "random projects", "runs", "asked", "proved");
    for (most, pct) in [(SOON_S, SOON_PCT), (LATEST_S, LATEST_PCT)] {
        let proved = runs.iter().filter(|run| run.plan.proved() && run.counted_s() <= most).count();
        let reached = 100.0 * proved as f64 / projects as f64;
        let mark = if reached >= pct { "" } else { "!" };
        println!(
            "  {:<32} {projects:>6} {:>10} {:>10}",
            format!("within {most} s"),
            format!("{pct} %"),
            format!("{mark}{proved}")
        );
    }
    let mut seconds: Vec<f64> = runs.iter().map(|run| run.seconds).collect();
    seconds.sort_by(f64::total_cmp);
    let median = seconds.get(seconds.len() / 2).copied().unwrap_or(f64::NAN);
    let slowest = seconds.last().copied().unwrap_or(f64::NAN);
    let of_cores = runs.iter().filter_map(|run| run.of_cores_s).fold(f64::NAN, f64::max);
    println!(
        "  median {median:.3} s, slowest {slowest:.3} s, most of cores {of_cores:.2} s; lots wait in {waiting} of them"
    );
    Ok(())
}
