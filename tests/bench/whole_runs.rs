//! Whole runs of the program, with the requirements of each beside the measurements: `cargo bench --bench whole_runs`.
//!
//! In each run the release binary reads a folder, decides, audits, and writes CSV files and `plan.json` (`--papers none`). A word
//! after `--` chooses a series:
//!
//! * none: synthetic collections; further words choose the rows whose names contain one of them (`-- 2000x60`)
//! * `packs`, `fine`: collections sold in packs, and collections in which almost no two rows are equal
//! * `random`: small projects with every feature, drawn at random (`-- random 5000` draws 5000 of them)
//! * `projects`: the demonstration project at 41 budgets, and the small projects of the tests
//! * `fluid`: collections with some fluid on the shelf, at five budgets
//! * `location`: published warehouse location problems and p-medians
//! * `curve`: seven sizes, and how time and memory grow
//! * `all`: all but `curve`, with the rows that take minutes; without it, such a row runs only if a word names it
//!
//! The word `loaded` is for a machine that is busy with other work: processor time is then compared with the requirements.
//!
//! With the second solver built in (C++ compiler, cmake, libclang; `--features highs`), it also decides each row, on the same
//! classes, and `highs` times it on the general model with one row per specimen.

mod asked;
mod baseline;
mod collections;
mod curve;
mod exhaustive;
mod findings;
mod location;
#[cfg(feature = "highs")]
mod one_row_each;
mod owned_fluid;
mod program;
mod projects;
mod random_project;
mod random_projects;
mod second_solver;
#[allow(dead_code, reason = "its main is for the command line")]
#[path = "../../examples/synthetic_collection.rs"]
mod synthetic_collection;

use std::error::Error;
use std::fs;

use findings::Findings;

type Outcome<T> = Result<T, Box<dyn Error>>;

/// Words that choose a series of their own.
const SERIES: [&str; 6] = ["highs", "curve", "projects", "random", "fluid", "location"];

fn main() -> Outcome<()> {
    let arguments: Vec<String> = std::env::args().skip(1).filter(|word| !word.starts_with('-')).collect();
    println!("{}", machine()?);
    println!(
        "{} s for the search unless the row says otherwise, --papers none; the baseline reads and keeps the survey alone\n",
        program::TIME_LIMIT_S
    );
    let mut findings = Findings::default();
    let (mut series, mut words): (Vec<&str>, Vec<&str>) =
        arguments.iter().map(String::as_str).partition(|word| SERIES.contains(word));
    if words.contains(&"loaded") {
        program::loaded();
        println!("a busy machine: each run once, seconds of the cores count\n");
        words.retain(|word| *word != "loaded");
    }
    let all = words.contains(&"all");
    if all {
        series = vec!["projects", "random", "fluid", "location"];
    }
    for (at, chosen) in series.iter().enumerate() {
        if at > 0 {
            println!();
        }
        match *chosen {
            "highs" => one_row_each()?,
            "curve" => curve::print()?,
            "projects" => projects::print(&mut findings)?,
            "random" => random_projects::print(&words, &mut findings)?,
            "fluid" => owned_fluid::print(&mut findings)?,
            _ => location::print(&mut findings)?,
        }
    }
    if all || series.is_empty() {
        collections::print(&words, &mut findings)?;
    }
    findings.at_the_end()
}

#[cfg(feature = "highs")]
fn one_row_each() -> Outcome<()> {
    one_row_each::compare(collections::of_the_ratio()?)
}

#[cfg(not(feature = "highs"))]
fn one_row_each() -> Outcome<()> {
    Err("built without it: cargo bench --features highs --bench whole_runs -- highs".into())
}

/// The processor's name, if the system gives it, and the number of cores.
fn machine() -> Outcome<String> {
    let cores = std::thread::available_parallelism()?;
    let told = fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let name = told.lines().find_map(|line| line.strip_prefix("model name")?.split_once(':'));
    let name = name.map_or(std::env::consts::ARCH, |(_, name)| name.trim());
    Ok(format!("{name}, {cores} cores, {}", std::env::consts::OS))
}
