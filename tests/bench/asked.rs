//! What is required of a run, and whether a run meets it.

use crate::baseline::Baseline;
use crate::program::{Level, Run};

/// What is required of a run.
pub struct Asked {
    /// How far the plan must be proved.
    pub quality: Quality,
    /// Longest time of the whole process.
    pub span: Span,
    /// Largest resident memory in MB, if limited.
    pub peak_mb: Option<f64>,
}

/// How far a plan must be proved.
pub enum Quality {
    /// Every level is proved.
    AllProved,
    /// The first level that defers lots is proved.
    FirstBiting,
    /// Every count of deferred lots is proved, and money is within this many per cent of its bound.
    GapPct(f64),
}

/// Longest time of a run.
pub enum Span {
    /// This many seconds.
    Seconds(f64),
    /// No limit: only the proof is required.
    Any,
}

/// Prints the column headers.
pub fn print_head() {
    println!(
        "{:<33} {:>10} {:>8} {:>8} {:>9} {:>7}  {:<36} {:<38} status",
        "project", "time asked", "seconds", "of cores", "baselines", "peak MB", "proof asked", "measured"
    );
}

impl Asked {
    /// Requires that all levels are proved within this many seconds.
    pub const fn proved_in(seconds: f64) -> Self {
        Asked { quality: Quality::AllProved, span: Span::Seconds(seconds), peak_mb: None }
    }

    /// Whether a run meets all requirements.
    pub fn kept(&self, run: &Run, baseline: Option<&Baseline>) -> bool {
        let good = self.quality.kept(&run.plan.levels, baseline.map(|baseline| &baseline.rows_of));
        good && self.in_time(run) && self.in_memory(run)
    }

    fn in_time(&self, run: &Run) -> bool {
        match self.span {
            Span::Seconds(most) => run.counted_s() <= most,
            Span::Any => true,
        }
    }

    fn in_memory(&self, run: &Run) -> bool {
        self.peak_mb.is_none_or(|most| run.peak_mb.is_none_or(|peak| peak <= most))
    }

    /// One line with the requirements and the measurements; a measurement that fails its requirement is marked with `!`. Without
    /// a baseline, the gap of a count is relative to the count.
    pub fn line(&self, name: &str, run: &Run, baseline: Option<&Baseline>) -> String {
        let asked = match self.span {
            Span::Seconds(most) => format!("{most} s"),
            Span::Any => "-".to_owned(),
        };
        let ratio = baseline.map_or("-".to_owned(), |baseline| format!("{:.0}x", run.seconds / baseline.seconds));
        let rows_of = baseline.map(|baseline| &baseline.rows_of);
        let peak = run.peak_mb.map_or("-".to_owned(), |peak| format!("{peak:.0}"));
        let good = self.quality.kept(&run.plan.levels, rows_of);
        let mark = |kept: bool| if kept { "" } else { "!" };
        format!(
            "{name:<33} {asked:>10} {:>8} {:>8} {ratio:>9} {:>7}  {:<36} {:<38} {}",
            format!("{}{:.3}", mark(self.in_time(run)), run.seconds),
            run.of_cores(),
            format!("{}{peak}", mark(self.in_memory(run))),
            self.quality.words() + &self.peak_mb.map_or(String::new(), |most| format!(", at most {most} MB")),
            format!("{}{}", mark(good), measured(&run.plan.levels, rows_of)),
            run.plan.status,
        )
    }
}

/// Deferred lots and the gap of the first level not proved: `deferred-2 310 proved, deferred-3 900 >= 899, deferred-3 within 0.01
/// %`.
fn measured(levels: &[Level], rows_of: Option<&[u32; 4]>) -> String {
    let open = levels.iter().find(|level| !level.proved());
    let counts = counts(levels).filter(|(_, level)| level.value() > 0.0).map(|(_, level)| match level.proved() {
        true => format!("{} {} proved", level.name, level.value()),
        false => format!("{} {} >= {}", level.name, level.value(), level.bound()),
    });
    let gap = match open {
        None => "all proved".to_owned(),
        Some(level) => format!("{} within {:.5} %", level.name, 100.0 * gap(level, rows_of)),
    };
    counts.chain([gap]).collect::<Vec<_>>().join(", ")
}

/// The levels that count deferred lots, each with the index of its priority.
fn counts(levels: &[Level]) -> impl Iterator<Item = (usize, &Level)> {
    let names = ["deferred-1", "deferred-2", "deferred-3", "deferred-4"];
    names
        .into_iter()
        .enumerate()
        .filter_map(move |(i, name)| Some((i, levels.iter().find(|level| level.name == name)?)))
}

/// Gap of a level: for a count, relative to the number of rows of its priority; for other levels, relative to the value.
fn gap(level: &Level, rows_of: Option<&[u32; 4]>) -> f64 {
    let priority = level.name.strip_prefix("deferred-").and_then(|number| number.parse::<usize>().ok());
    let rows = rows_of.zip(priority).map(|(rows_of, priority)| f64::from(rows_of[priority - 1]));
    let whole = rows.unwrap_or(level.value());
    if whole == 0.0 { 0.0 } else { (level.value() - level.bound()) / whole }
}

impl Quality {
    fn words(&self) -> String {
        match self {
            Quality::AllProved => "every level proved".to_owned(),
            Quality::FirstBiting => "first biting proved".to_owned(),
            Quality::GapPct(most) => format!("money within {most} %"),
        }
    }

    fn kept(&self, levels: &[Level], rows_of: Option<&[u32; 4]>) -> bool {
        let money = levels.iter().find(|level| level.name == "money");
        let money_within = |most: f64| money.is_some_and(|money| gap(money, rows_of) <= most);
        let mut biting = counts(levels).map(|(_, level)| level).skip_while(|level| level.value() == 0.0);
        match *self {
            Quality::AllProved => levels.iter().all(Level::proved),
            Quality::FirstBiting => biting.next().is_none_or(Level::proved),
            Quality::GapPct(most) => counts(levels).all(|(_, level)| level.proved()) && money_within(most / 100.0),
        }
    }
}
