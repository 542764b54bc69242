//! Runs the release binary on a project folder and measures time and memory.

use std::fs::{self, File};
use std::io::BufReader;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use serde::Deserialize;
use serde_json::Value;
use tempfile::TempDir;

use crate::Outcome;

/// Time limit of the search in seconds, unless the settings of a run give another.
pub const TIME_LIMIT_S: f64 = 30.0;

/// Whether the machine is busy with other work, so that a run waits for a core most of the time. Then the time limit of the
/// search is multiplied by `PATIENCE`, each run is made once, and the processor time of all threads is compared with the required
/// time. On two threads that is more than the run would take.
static LOADED: AtomicBool = AtomicBool::new(false);
const PATIENCE: f64 = 30.0;

/// Key of the time limit of the search.
pub const TIME_LIMIT: &str = "solver.time_limit_s";

/// Settings of a run by key; they take precedence over those of the project.
pub type Settings<'a> = &'a [(&'a str, String)];

/// A run shorter than this, in seconds, is made three times, and the median is used.
const SHORT: f64 = 10.0;

/// Treats the machine as busy from now on.
pub fn loaded() {
    LOADED.store(true, Ordering::Relaxed);
}

fn is_loaded() -> bool {
    LOADED.load(Ordering::Relaxed)
}

/// A plan, and what the run took.
pub struct Run {
    /// Elapsed seconds of the whole process.
    pub seconds: f64,
    /// Processor seconds of all threads, if GNU time is installed.
    pub of_cores_s: Option<f64>,
    /// Time limit of the search in seconds, without the factor for a busy machine.
    pub limit_s: f64,
    /// Peak of resident memory in MB, if GNU time is installed.
    pub peak_mb: Option<f64>,
    /// The plan.
    pub plan: Plan,
}

/// Contents of `plan.json` without the placements.
#[derive(Deserialize)]
pub struct Plan {
    /// Status of the plan.
    pub status: String,
    /// Levels in order of rank.
    pub levels: Vec<Level>,
    /// Totals.
    pub totals: Totals,
}

/// One level of the decision.
#[derive(Deserialize)]
pub struct Level {
    /// Its name.
    #[serde(rename = "level")]
    pub name: String,
    value: Value,
    bound: Value,
    proof: String,
}

/// The totals that are used here.
#[derive(Deserialize)]
pub struct Totals {
    /// Money as a decimal.
    money: String,
}

impl Totals {
    /// Money in units of currency.
    pub fn money(&self) -> f64 {
        self.money.parse().unwrap_or(f64::NAN)
    }
}

impl Level {
    /// Value that the plan reaches.
    pub fn value(&self) -> f64 {
        amount(&self.value)
    }

    /// Lower bound that no plan is below.
    pub fn bound(&self) -> f64 {
        amount(&self.bound)
    }

    /// Whether the bound proves the value.
    pub fn proved(&self) -> bool {
        self.proof != "none"
    }
}

/// A number, or a decimal number as text.
fn amount(value: &Value) -> f64 {
    value.as_str().map_or_else(|| value.as_f64(), |text| text.parse().ok()).unwrap_or(f64::NAN)
}

impl Plan {
    /// The level with this name.
    pub fn level(&self, name: &str) -> Option<&Level> {
        self.levels.iter().find(|level| level.name == name)
    }

    /// Whether every level is proved.
    pub fn proved(&self) -> bool {
        self.levels.iter().all(Level::proved)
    }
}

impl Run {
    /// Seconds that are compared with the requirement: elapsed seconds, or processor seconds on a busy machine.
    pub fn counted_s(&self) -> f64 {
        self.of_cores_s.filter(|_| is_loaded()).unwrap_or(self.seconds)
    }

    /// Processor seconds as text.
    pub fn of_cores(&self) -> String {
        self.of_cores_s.map_or("-".to_owned(), |seconds| format!("{seconds:.2}"))
    }

    /// Whether the whole run, with reading, audit and writing, took more than a second longer than the time limit of the search.
    pub fn overran(&self) -> bool {
        self.counted_s() > self.limit_s + 1.0
    }
}

/// A project in a temporary folder, which is removed with it, unless the program failed on it.
pub struct Project(TempDir);

impl Project {
    /// An empty project.
    pub fn new() -> Outcome<Self> {
        let project = Project(tempfile::tempdir()?);
        fs::create_dir(project.path())?;
        Ok(project)
    }

    /// A copy of a folder with its subfolders.
    pub fn copy_of(folder: &Path) -> Outcome<Self> {
        let project = Project::new()?;
        copy(folder, &project.path())?;
        Ok(project)
    }

    /// The folder of its files.
    pub fn path(&self) -> PathBuf {
        self.0.path().join("project")
    }

    /// Writes one of its files.
    pub fn write(&self, name: &str, text: &str) -> Outcome<()> {
        let path = self.path().join(name);
        path.parent().map_or(Ok(()), fs::create_dir_all)?;
        Ok(fs::write(path, text)?)
    }

    /// Keeps the folder when the project is dropped, and returns its path.
    pub fn keep(&mut self) -> String {
        self.0.disable_cleanup(true);
        self.path().display().to_string()
    }

    /// Plans the project once; if that is short, three times, and returns the run with the median time.
    pub fn measure(&mut self, settings: Settings) -> Outcome<Run> {
        let mut runs = vec![self.plan(settings)?];
        while runs[0].seconds < SHORT && runs.len() < 3 && !is_loaded() {
            runs.push(self.plan(settings)?);
        }
        runs.sort_by(|a, b| a.seconds.total_cmp(&b.seconds));
        Ok(runs.swap_remove(runs.len() / 2))
    }

    /// Plans the project once.
    pub fn plan(&mut self, settings: Settings) -> Outcome<Run> {
        run(self.0.path(), settings).map_err(|error| format!("{error}\n(kept: {})", self.keep()).into())
    }
}

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

fn run(folder: &Path, settings: Settings) -> Outcome<Run> {
    let (out, told) = (folder.join("plan"), folder.join("told"));
    if out.exists() {
        fs::remove_dir_all(&out)?;
    }
    let program = env!("CARGO_BIN_EXE_rehouse");
    // GNU time, if installed, gives the peak of resident memory in kilobytes and the seconds of user and system time.
    let mut command = match cfg!(target_os = "linux") && Path::new("/usr/bin/time").exists() {
        true => {
            let mut time = Command::new("/usr/bin/time");
            time.args(["-f", "%M %U %S", "-o"]).arg(&told).arg(program);
            time
        }
        false => Command::new(program),
    };
    command.arg("plan").arg(folder.join("project")).arg("--out").arg(&out);
    let given = settings.iter().find(|(key, _)| *key == TIME_LIMIT).and_then(|(_, value)| value.parse().ok());
    let limit_s = given.unwrap_or(TIME_LIMIT_S);
    let patience = if is_loaded() { PATIENCE } else { 1.0 };
    command.args(["--papers", "none", "--set", &format!("{TIME_LIMIT}={}", patience * limit_s)]);
    for (key, value) in settings.iter().filter(|(key, _)| *key != TIME_LIMIT) {
        command.args(["--set", &format!("{key}={value}")]);
    }
    let start = Instant::now();
    let output = command.stdout(Stdio::null()).stderr(Stdio::piped()).output()?;
    let seconds = start.elapsed().as_secs_f64();
    if !output.status.success() {
        return Err(format!("{}: {}", output.status, String::from_utf8_lossy(&output.stderr)).into());
    }
    let told = fs::read_to_string(&told).unwrap_or_default();
    let told: Vec<f64> = told.split_whitespace().filter_map(|number| number.parse().ok()).collect();
    let (peak_mb, of_cores_s) = match told[..] {
        [peak, user, system] => (Some(peak / 1024.0), Some(user + system)),
        _ => (None, None),
    };
    let plan = serde_json::from_reader(BufReader::new(File::open(out.join("plan.json"))?))?;
    Ok(Run { seconds, of_cores_s, limit_s, peak_mb, plan })
}
