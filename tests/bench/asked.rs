//! What is asked of a run, and whether a run keeps it.

use crate::baseline::Baseline;
use crate::program::{Level, Run};

/// What is asked of a run.
pub struct Asked {
    /// How good the plan is known to be.
    pub quality: Quality,
    /// Most time of the whole process.
    pub span: Span,
    /// Most resident memory, where any is asked.
    pub peak_mb: Option<f64>,
}

/// How good a plan is to be known to be.
pub enum Quality {
    /// Every level is proved.
    AllProved,
    /// Every count is proved or within 1 row, money is within 0.1 %.
    CountsAndMoney,
    /// The first priority of which rows wait is proved, the next within 1 row or 0.1 % of its rows.
    FirstBitingAndNext,
    /// The first priority of which rows wait is proved.
    FirstBiting,
    /// Every count is proved, and money is within so many per cent of its bound.
    GapPct(f64),
}

/// Time a run may take.
pub enum Span {
    /// In itself.
    Seconds(f64),
    /// As a multiple of the baseline.
    Baselines(f64),
}

/// Heads of the columns.
pub fn print_head() {
    println!(
        "{:<24} {:>12} {:>10} {:>10} {:>8}  {:<46} {:<38} status",
        "collection", "time asked", "seconds", "baselines", "peak MB", "proof asked", "measured"
    );
}

impl Asked {
    /// One line: what is asked, beside what was measured; what is not kept is marked with `!`.
    pub fn print(&self, name: &str, run: &Run, baseline: &Baseline) {
        let ratio = run.seconds / baseline.seconds;
        let (asked, in_time) = match self.span {
            Span::Seconds(most) => (format!("{most} s"), run.seconds <= most),
            Span::Baselines(most) => (format!("{most} baselines"), ratio <= most),
        };
        let in_memory = self.peak_mb.is_none_or(|most| run.peak_mb.is_none_or(|peak| peak <= most));
        let peak = run.peak_mb.map_or("-".to_owned(), |peak| format!("{peak:.0}"));
        let good = self.quality.kept(&run.plan.levels, &baseline.rows_of);
        let mark = |kept: bool| if kept { "" } else { "!" };
        println!(
            "{name:<24} {asked:>12} {:>10} {ratio:>9.0}x {:>8}  {:<46} {:<38} {}",
            format!("{}{:.3}", mark(in_time), run.seconds),
            format!("{}{peak}", mark(in_memory)),
            self.quality.words() + &self.peak_mb.map_or(String::new(), |most| format!(", at most {most} MB")),
            format!("{}{}", mark(good), measured(&run.plan.levels, &baseline.rows_of)),
            run.plan.status,
        );
    }
}

/// Rows that wait, and what is not proved: `deferred-2 310 proved, deferred-3 900 >= 899, deferred-3 within 0.01 %`.
fn measured(levels: &[Level], rows_of: &[u32; 4]) -> String {
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

/// Counts of rows that wait, with the position of their priority.
fn counts(levels: &[Level]) -> impl Iterator<Item = (usize, &Level)> {
    let names = ["deferred-1", "deferred-2", "deferred-3", "deferred-4"];
    names
        .into_iter()
        .enumerate()
        .filter_map(move |(i, name)| Some((i, levels.iter().find(|level| level.name == name)?)))
}

/// How far a level is from its bound: a count's as a share of the rows of its priority, others' of their value.
fn gap(level: &Level, rows_of: &[u32; 4]) -> f64 {
    let priority = level.name.strip_prefix("deferred-").and_then(|number| number.parse::<usize>().ok());
    let whole = priority.map_or(level.value(), |priority| f64::from(rows_of[priority - 1]));
    if whole == 0.0 { 0.0 } else { (level.value() - level.bound()) / whole }
}

impl Quality {
    fn words(&self) -> String {
        match self {
            Quality::AllProved => "every level proved".to_owned(),
            Quality::CountsAndMoney => "counts proved or within 1, money 0.1 %".to_owned(),
            Quality::FirstBitingAndNext => "first biting proved, next within 1 or 0.1 %".to_owned(),
            Quality::FirstBiting => "first biting proved".to_owned(),
            Quality::GapPct(most) => format!("money within {most} %"),
        }
    }

    fn kept(&self, levels: &[Level], rows_of: &[u32; 4]) -> bool {
        let money = levels.iter().find(|level| level.name == "money");
        let money_within = |most: f64| money.is_some_and(|money| gap(money, rows_of) <= most);
        let close = |level: &Level| level.proved() || level.value() - level.bound() <= 1.0;
        let mut biting = counts(levels).map(|(_, level)| level).skip_while(|level| level.value() == 0.0);
        match *self {
            Quality::AllProved => levels.iter().all(Level::proved),
            Quality::CountsAndMoney => counts(levels).all(|(_, level)| close(level)) && money_within(0.001),
            Quality::FirstBitingAndNext => {
                biting.next().is_none_or(Level::proved)
                    && biting.next().is_none_or(|level| close(level) || gap(level, rows_of) <= 0.001)
            }
            Quality::FirstBiting => biting.next().is_none_or(Level::proved),
            Quality::GapPct(most) => counts(levels).all(|(_, level)| level.proved()) && money_within(most / 100.0),
        }
    }
}
