//! Whole runs of the program on synthetic collections, what is asked of each beside what was measured:
//! `cargo bench --bench whole_runs`.
//!
//! Each run is the release binary reading a folder, deciding, auditing, and writing CSV and `plan.json` (`--papers none`).
//! Words after `--` choose the rows whose names hold one of them (`-- 2000x60`). A million specimens take minutes: they
//! run only where a word names them or is `all`. `-- packs` runs the second series of the generator, in which every vessel is sold in
//! packs, beside what is asked of the first. `-- projects` plans the demonstration at 41 budgets and the small projects of the
//! tests. `-- curve` runs seven sizes and draws how time and memory grow. With the second
//! solver built in (C++ compiler, cmake, libclang), `cargo bench --features highs --bench whole_runs -- highs` times the general
//! model with one row per specimen on it.

mod asked;
mod baseline;
mod curve;
#[cfg(feature = "highs")]
mod one_row_each;
mod program;
mod projects;
#[allow(dead_code, reason = "its main is for the command line")]
#[path = "../../examples/synthetic_collection.rs"]
mod synthetic_collection;

use std::error::Error;
use std::fs;

use asked::{Asked, Quality, Span};
use baseline::Baseline;
use synthetic_collection::{Packs, Recipe};

type Outcome<T> = Result<T, Box<dyn Error>>;

/// A collection, and what is asked of a run on it without and with a budget.
struct Collection {
    specimens: u32,
    vessels: u32,
    /// `solver.gap_pct` of its runs.
    gap_pct: f64,
    unlimited: Option<Asked>,
    budget: Option<Asked>,
    /// Runs only where it is named or all are.
    takes_minutes: bool,
}

const COLLECTIONS: [Collection; 5] = [
    Collection {
        specimens: 150,
        vessels: 40,
        gap_pct: 0.0,
        unlimited: None,
        budget: Some(Asked { quality: Quality::AllProved, span: Span::Seconds(0.1), peak_mb: None }),
        takes_minutes: false,
    },
    Collection {
        specimens: 2_000,
        vessels: 60,
        gap_pct: 0.0,
        unlimited: Some(Asked { quality: Quality::AllProved, span: Span::Seconds(0.25), peak_mb: None }),
        budget: Some(Asked { quality: Quality::CountsAndMoney, span: Span::Seconds(1.0), peak_mb: None }),
        takes_minutes: false,
    },
    Collection {
        specimens: 10_000,
        vessels: 100,
        gap_pct: 0.0,
        unlimited: Some(Asked { quality: Quality::AllProved, span: Span::Seconds(2.0), peak_mb: None }),
        budget: Some(Asked { quality: Quality::FirstBitingAndNext, span: Span::Seconds(3.0), peak_mb: None }),
        takes_minutes: false,
    },
    Collection {
        specimens: 100_000,
        vessels: 200,
        gap_pct: 0.002,
        unlimited: Some(Asked { quality: Quality::GapPct(0.002), span: Span::Seconds(2.0), peak_mb: None }),
        budget: Some(Asked { quality: Quality::FirstBiting, span: Span::Seconds(5.0), peak_mb: None }),
        takes_minutes: false,
    },
    Collection {
        specimens: 1_000_000,
        vessels: 300,
        gap_pct: 0.0005,
        unlimited: Some(Asked { quality: Quality::GapPct(0.0005), span: Span::Baselines(20.0), peak_mb: Some(2048.0) }),
        budget: None,
        takes_minutes: true,
    },
];

/// Budget of the second run, as a share of the money the first one spends.
const BUDGET_SHARE: f64 = 0.6;

fn main() -> Outcome<()> {
    let mut words: Vec<String> = std::env::args().skip(1).filter(|word| !word.starts_with('-')).collect();
    println!("{}", machine()?);
    println!("{}, --papers none; the baseline reads and keeps the survey alone\n", program::TIME_LIMIT);
    if words.iter().any(|word| word == "highs") {
        return one_row_each();
    }
    if words.iter().any(|word| word == "curve") {
        return curve::print();
    }
    if words.iter().any(|word| word == "projects") {
        return projects::print();
    }
    let packs = if words.iter().any(|word| word == "packs") { Packs::All } else { Packs::Small };
    words.retain(|word| word != "packs");
    let named = |name: &str| words.iter().any(|word| word == "all" || name.contains(word.as_str()));
    asked::print_head();
    for collection in &COLLECTIONS {
        let series = if packs == Packs::All { " packs" } else { "" };
        let size = format!("{}x{}{series}", collection.specimens, collection.vessels);
        let wanted = |name: &str| named(name) || (words.is_empty() && !collection.takes_minutes);
        let of_budget = format!("{size} budget");
        let unlimited = collection.unlimited.as_ref().filter(|_| wanted(&size));
        let budget = collection.budget.as_ref().filter(|_| wanted(&of_budget));
        if unlimited.is_some() || budget.is_some() {
            let [unlimited, budget] = [(&size, unlimited), (&of_budget, budget)]
                .map(|(name, asked)| asked.map(|asked| (name.as_str(), asked)));
            collection.run(packs, unlimited, budget)?;
        }
    }
    if words.is_empty() {
        let named_only = COLLECTIONS.iter().filter(|collection| collection.takes_minutes);
        for Collection { specimens, vessels, .. } in named_only {
            println!("{specimens}x{vessels} takes minutes and was left out: name it, or say `all`");
        }
    }
    Ok(())
}

impl Collection {
    /// Makes the collection, runs what is wanted of it and prints a line for each.
    fn run(&self, packs: Packs, unlimited: Option<(&str, &Asked)>, budget: Option<(&str, &Asked)>) -> Outcome<()> {
        let folder = tempfile::tempdir()?;
        let project = self.project(folder.path(), packs)?;
        let baseline = Baseline::of(&project.join("specimens.csv"))?;
        let gap = format!("solver.gap_pct={}", self.gap_pct);
        // Its money is what the budget is a share of.
        let free = program::measure(folder.path(), &["--set", &gap])?;
        if let Some((name, asked)) = unlimited {
            asked.print(name, &free, &baseline);
        }
        if let Some((name, asked)) = budget {
            let amount = format!("{:.2}", BUDGET_SHARE * free.plan.totals.money.parse::<f64>()?);
            asked.print(name, &program::measure(folder.path(), &["--budget", &amount, "--set", &gap])?, &baseline);
        }
        Ok(())
    }

    fn project(&self, folder: &std::path::Path, packs: Packs) -> Outcome<std::path::PathBuf> {
        let project = folder.join("project");
        let Collection { specimens, vessels, .. } = *self;
        let recipe = Recipe { specimens, vessels, seed: 1, packs, budget: None };
        synthetic_collection::write(&project, &recipe)?;
        Ok(project)
    }
}

#[cfg(feature = "highs")]
fn one_row_each() -> Outcome<()> {
    let folder = tempfile::tempdir()?;
    let [_, collection, ..] = &COLLECTIONS;
    let project = collection.project(folder.path(), Packs::Small)?;
    one_row_each::compare(folder.path(), &project)
}

#[cfg(not(feature = "highs"))]
fn one_row_each() -> Outcome<()> {
    Err("built without it: cargo bench --features highs --bench whole_runs -- highs".into())
}

/// What this runs on: the processor's name where the system tells it, and its cores.
fn machine() -> Outcome<String> {
    let cores = std::thread::available_parallelism()?;
    let told = fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let name = told.lines().find_map(|line| line.strip_prefix("model name")?.split_once(':'));
    let name = name.map_or(std::env::consts::ARCH, |(_, name)| name.trim());
    Ok(format!("{name}, {cores} cores, {}", std::env::consts::OS))
}
