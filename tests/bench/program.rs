//! One run of the release binary on a project folder, and what it took.

use std::fs::{self, File};
use std::io::BufReader;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

use serde::Deserialize;
use serde_json::Value;

use crate::Outcome;

/// Seconds the search may take in each run.
pub const TIME_LIMIT: &str = "solver.time_limit_s=30";

/// A run shorter than this, in seconds, is made three times, and the median counts.
const SHORT: f64 = 10.0;

/// A plan, and what making it took.
pub struct Run {
    /// Of the whole process.
    pub seconds: f64,
    /// Peak of resident memory, where GNU time tells it.
    pub peak_mb: Option<f64>,
    /// What it made.
    pub plan: Plan,
}

/// What `plan.json` says of itself; its placements are passed over.
#[derive(Deserialize)]
pub struct Plan {
    /// How good it is as a whole.
    pub status: String,
    /// In order of rank.
    pub levels: Vec<Level>,
    /// Sums.
    pub totals: Totals,
}

/// One aim of the decision.
#[derive(Deserialize)]
pub struct Level {
    /// Its name.
    #[serde(rename = "level")]
    pub name: String,
    value: Value,
    bound: Value,
    proof: String,
}

/// The sums that are asked for here.
#[derive(Deserialize)]
pub struct Totals {
    /// Money as a decimal.
    pub money: String,
}

impl Level {
    /// What the plan reaches.
    pub fn value(&self) -> f64 {
        amount(&self.value)
    }

    /// What no plan is below.
    pub fn bound(&self) -> f64 {
        amount(&self.bound)
    }

    /// True if nothing better exists.
    pub fn proved(&self) -> bool {
        self.proof != "none"
    }
}

/// A number, or a decimal as text.
fn amount(value: &Value) -> f64 {
    value.as_str().map_or_else(|| value.as_f64(), |text| text.parse().ok()).unwrap_or(f64::NAN)
}

/// Plans `project` in a folder: once, or the median of three where that is short.
pub fn measure(folder: &Path, options: &[&str]) -> Outcome<Run> {
    let mut runs = vec![run(folder, options)?];
    while runs[0].seconds < SHORT && runs.len() < 3 {
        runs.push(run(folder, options)?);
    }
    runs.sort_by(|a, b| a.seconds.total_cmp(&b.seconds));
    Ok(runs.swap_remove(runs.len() / 2))
}

fn run(folder: &Path, options: &[&str]) -> Outcome<Run> {
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
    command.arg("plan").arg(folder.join("project")).arg("--out").arg(&out);
    command.args(["--papers", "none", "--set", TIME_LIMIT]).args(options);
    let start = Instant::now();
    let output = command.stdout(Stdio::null()).stderr(Stdio::piped()).output()?;
    let seconds = start.elapsed().as_secs_f64();
    if !output.status.success() {
        return Err(format!("{}: {}", output.status, String::from_utf8_lossy(&output.stderr)).into());
    }
    let peak_mb = fs::read_to_string(&peak).ok().and_then(|text| text.trim().parse::<f64>().ok()).map(|kb| kb / 1024.0);
    let plan = serde_json::from_reader(BufReader::new(File::open(out.join("plan.json"))?))?;
    Ok(Run { seconds, peak_mb, plan })
}
