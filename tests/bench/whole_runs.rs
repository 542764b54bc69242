//! Whole runs of the program on synthetic collections, as ratios to reading the survey: `cargo bench --bench whole_runs`.
//!
//! Each run is the release binary reading a folder, deciding, auditing and writing every file of the plan. The baseline
//! reads the same specimens.csv with the csv crate on one thread, each column to f64 or String, and keeps it. Words after
//! `--` choose the sizes whose names hold one of them: `cargo bench --bench whole_runs -- 2000x60`.

#[allow(dead_code, reason = "its main is for the command line")]
#[path = "../../examples/synthetic_collection.rs"]
mod synthetic_collection;

use std::error::Error;
use std::fs;
use std::hint::black_box;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

use serde_json::Value;
use synthetic_collection::{Packs, Recipe};

type Outcome<T> = Result<T, Box<dyn Error>>;

/// Specimens, vessels, and whether a run with a budget follows.
const SIZES: [(u32, u32, bool); 3] = [(150, 40, true), (2_000, 60, true), (10_000, 100, false)];

/// Seconds the search may take in each run.
const TIME_LIMIT: &str = "solver.time_limit_s=30";

/// Budget of the second run, as a share of the money the first one spends.
const BUDGET_SHARE: f64 = 0.6;

/// A run shorter than this, in seconds, is made three times, and the median counts.
const SHORT: f64 = 10.0;

fn main() -> Outcome<()> {
    let wanted: Vec<String> = std::env::args().skip(1).filter(|word| !word.starts_with('-')).collect();
    let cores = std::thread::available_parallelism()?;
    println!("{cores} cores, {TIME_LIMIT}\n");
    println!(
        "{:<18} {:>9} {:>8} {:>11} {:>10}  {:<14} {:<26} gap",
        "collection", "seconds", "peak MB", "baseline ms", "ratio", "status", "first level not proved"
    );
    for (specimens, vessels, budget_too) in SIZES {
        let name = format!("{specimens}x{vessels}");
        if !wanted.is_empty() && !wanted.iter().any(|word| name.contains(word.as_str())) {
            continue;
        }
        let folder = tempfile::tempdir()?;
        let project = folder.path().join("project");
        let recipe = Recipe { specimens, vessels, seed: 1, packs: Packs::Small, budget: None };
        synthetic_collection::write(&project, &recipe)?;
        let baseline = baseline(&project.join("specimens.csv"))?;
        let unlimited = measure(folder.path(), None)?;
        show(&name, &unlimited, baseline);
        if budget_too {
            let money: f64 = unlimited.plan["totals"]["money"].as_str().ok_or("no money in the plan")?.parse()?;
            let budget = format!("{:.2}", BUDGET_SHARE * money);
            show(&format!("{name} budget"), &measure(folder.path(), Some(&budget))?, baseline);
        }
    }
    Ok(())
}

/// One line of the table.
fn show(name: &str, run: &Run, baseline: f64) {
    let plan = &run.plan;
    let open = plan["levels"].as_array().into_iter().flatten().find(|level| level["proof"] == "none");
    let open = open.map_or(String::new(), |level| {
        format!("{} {} >= {}", text(&level["level"]), text(&level["value"]), text(&level["bound"]))
    });
    println!(
        "{name:<18} {:>9.3} {:>8} {:>11.2} {:>9.0}x  {:<14} {open:<26} {}",
        run.seconds,
        run.peak_mb.map_or("-".to_owned(), |peak| format!("{peak:.0}")),
        baseline * 1000.0,
        run.seconds / baseline,
        text(&plan["status"]),
        plan["gap"].as_f64().map_or("-".to_owned(), |gap| format!("{:.3} %", 100.0 * gap)),
    );
}

fn text(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string(), str::to_owned)
}

/// A plan, and what making it took.
struct Run {
    seconds: f64,
    peak_mb: Option<f64>,
    plan: Value,
}

/// Plans `project` in a folder: once, or the median of three where that is short.
fn measure(folder: &Path, budget: Option<&str>) -> Outcome<Run> {
    let mut runs = vec![run(folder, budget)?];
    while runs[0].seconds < SHORT && runs.len() < 3 {
        runs.push(run(folder, budget)?);
    }
    runs.sort_by(|a, b| a.seconds.total_cmp(&b.seconds));
    Ok(runs.swap_remove(runs.len() / 2))
}

fn run(folder: &Path, budget: Option<&str>) -> Outcome<Run> {
    let (out, peak) = (folder.join("plan"), folder.join("peak"));
    if out.exists() {
        fs::remove_dir_all(&out)?;
    }
    let program = env!("CARGO_BIN_EXE_rehouse");
    // GNU time, where there is one, tells the peak of resident memory in kilobytes.
    let mut command = match cfg!(target_os = "linux") && Path::new("/usr/bin/time").exists() {
        true => {
            let mut time = Command::new("/usr/bin/time");
            time.args(["-f", "%M", "-o"]).arg(&peak).arg(program);
            time
        }
        false => Command::new(program),
    };
    command
        .arg("plan")
        .arg(folder.join("project"))
        .arg("--out")
        .arg(&out)
        .args(["--papers", "none", "--set", TIME_LIMIT]);
    if let Some(budget) = budget {
        command.args(["--budget", budget]);
    }
    let start = Instant::now();
    let output = command.stdout(Stdio::null()).stderr(Stdio::piped()).output()?;
    let seconds = start.elapsed().as_secs_f64();
    if !output.status.success() {
        return Err(format!("{}: {}", output.status, String::from_utf8_lossy(&output.stderr)).into());
    }
    let peak_mb = fs::read_to_string(&peak).ok().and_then(|text| text.trim().parse::<f64>().ok()).map(|kb| kb / 1024.0);
    let plan = serde_json::from_slice(&fs::read(out.join("plan.json"))?)?;
    Ok(Run { seconds, peak_mb, plan })
}

/// What a row of the survey holds.
struct SurveyRow {
    texts: [String; 6],
    numbers: [f64; 6],
}

/// Seconds to read the survey and keep it: the median of 21.
fn baseline(survey: &Path) -> Outcome<f64> {
    let mut seconds = Vec::new();
    for _ in 0..21 {
        let start = Instant::now();
        black_box(read(survey)?);
        seconds.push(start.elapsed().as_secs_f64());
    }
    seconds.sort_by(f64::total_cmp);
    Ok(seconds[seconds.len() / 2])
}

fn read(survey: &Path) -> Outcome<Vec<SurveyRow>> {
    const TEXTS: [&str; 6] = ["catalogNumber", "scientificName", "outline", "posture", "fluid", "location"];
    const NUMBERS: [&str; 6] = ["individualCount", "length_mm", "width_mm", "height_mm", "tissue_ml", "priority"];
    let mut reader = csv::Reader::from_path(survey)?;
    let header = reader.headers()?.clone();
    let place = |name: &str| header.iter().position(|column| column == name).ok_or(format!("no column {name}"));
    let texts = TEXTS.map(place).into_iter().collect::<Result<Vec<_>, _>>()?;
    let numbers = NUMBERS.map(place).into_iter().collect::<Result<Vec<_>, _>>()?;
    let mut rows = Vec::new();
    for record in reader.records() {
        let record = record?;
        let mut row = SurveyRow { texts: Default::default(), numbers: [0.0; 6] };
        for (text, &column) in row.texts.iter_mut().zip(&texts) {
            *text = record[column].to_owned();
        }
        for (number, &column) in row.numbers.iter_mut().zip(&numbers) {
            *number = record[column].parse()?;
        }
        rows.push(row);
    }
    Ok(rows)
}
