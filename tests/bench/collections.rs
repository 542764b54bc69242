//! Runs on synthetic collections of several sizes, seeds and kinds of packs, with the requirements of each.

use crate::asked::{self, Asked, Quality, Span};
use crate::baseline::Baseline;
use crate::program::{Project, Run};
use crate::synthetic_collection::{self, Packs, Recipe, Sizes};
use crate::{Findings, Outcome, second_solver};

/// A collection and the runs on it.
struct Collection {
    specimens: u32,
    vessels: u32,
    seed: u64,
    packs: Packs,
    sizes: Sizes,
    rows: &'static [Row],
    /// Runs only if its name or `all` is given.
    takes_minutes: bool,
}

/// One run and its requirements.
struct Row {
    money: Available,
    /// `solver.gap_pct`.
    gap_pct: f64,
    asked: Asked,
}

/// The budget of a run.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Available {
    Unlimited,
    /// [`BUDGET_SHARE`] of the money spent without a budget.
    Budget,
}

const BUDGET_SHARE: f64 = 0.6;

const fn proved(money: Available, seconds: f64) -> Row {
    Row { money, gap_pct: 0.0, asked: Asked::proved_in(seconds) }
}

const fn within(gap_pct: f64, seconds: f64) -> Row {
    let asked = Asked { quality: Quality::GapPct(gap_pct), span: Span::Seconds(seconds), peak_mb: None };
    Row { money: Available::Unlimited, gap_pct, asked }
}

/// With a budget, on a collection so large that only the first level that defers lots is required to be proved.
const fn first_biting(gap_pct: f64, span: Span) -> Row {
    Row { money: Available::Budget, gap_pct, asked: Asked { quality: Quality::FirstBiting, span, peak_mb: None } }
}

const fn in_memory(row: Row, peak_mb: f64) -> Row {
    Row { asked: Asked { peak_mb: Some(peak_mb), ..row.asked }, ..row }
}

const fn plain(specimens: u32, vessels: u32, seed: u64, rows: &'static [Row]) -> Collection {
    let takes_minutes = specimens >= 1_000_000;
    Collection { specimens, vessels, seed, packs: Packs::Small, sizes: Sizes::Whole, rows, takes_minutes }
}

/// A collection in which every vessel is sold in packs.
const fn packs(specimens: u32, vessels: u32, seed: u64, rows: &'static [Row]) -> Collection {
    Collection { packs: Packs::All, ..plain(specimens, vessels, seed, rows) }
}

/// A collection in which almost no two rows are equal.
const fn fine(specimens: u32, vessels: u32, rows: &'static [Row]) -> Collection {
    Collection { sizes: Sizes::Fine, ..plain(specimens, vessels, 1, rows) }
}

use Available::{Budget, Unlimited};

const COLLECTIONS: [Collection; 18] = [
    plain(150, 40, 1, &[proved(Budget, 0.07)]),
    plain(2_000, 60, 1, &[proved(Unlimited, 0.08), proved(Budget, 0.19)]),
    plain(10_000, 100, 1, &[proved(Unlimited, 1.4), proved(Budget, 1.1)]),
    plain(10_000, 100, 3, &[proved(Unlimited, 3.1), proved(Budget, 3.1)]),
    plain(100_000, 200, 1, &[within(0.002, 1.05), first_biting(0.002, Span::Seconds(3.8))]),
    plain(1_000_000, 300, 1, &[in_memory(within(0.0005, 7.8), 1_536.0)]),
    Collection { takes_minutes: true, ..plain(1_000, 100_000, 1, &[in_memory(proved(Unlimited, 30.0), 2_048.0)]) },
    packs(2_000, 60, 1, &[proved(Unlimited, 2.0)]),
    packs(2_000, 60, 2, &[within(0.01, 10.0)]),
    packs(2_000, 60, 3, &[proved(Unlimited, 2.0)]),
    packs(2_000, 60, 4, &[proved(Unlimited, 2.0)]),
    packs(2_000, 60, 5, &[within(0.01, 10.0)]),
    packs(4_000, 80, 1, &[within(0.003, 10.0)]),
    packs(10_000, 100, 1, &[within(0.01, 20.0)]),
    packs(10_000, 100, 2, &[within(0.01, 20.0)]),
    packs(10_000, 100, 3, &[within(0.01, 20.0)]),
    fine(100_000, 200, &[within(0.002, 1.5), proved(Unlimited, 5.0), first_biting(0.002, Span::Seconds(6.0))]),
    fine(1_000_000, 300, &[in_memory(within(0.0005, 12.0), 2_048.0), first_biting(0.0005, Span::Any)]),
];

/// The collection that the general model decides with one row for each specimen.
#[cfg(feature = "highs")]
pub fn of_the_ratio() -> Outcome<Project> {
    COLLECTIONS[1].project()
}

/// Runs the rows whose names contain one of `words`; without words, all rows except those that take minutes. The words `packs`
/// and `fine` choose a series; `all` runs every row of the chosen series.
pub fn print(words: &[&str], findings: &mut Findings) -> Outcome<()> {
    asked::print_head();
    let of_series = |word: &&&str| ["packs", "fine"].contains(*word);
    let series: Vec<&str> = words.iter().filter(of_series).copied().collect();
    let names: Vec<&str> = words.iter().filter(|word| !of_series(word)).copied().collect();
    let whole = names.contains(&"all");
    let mut left_out = Vec::new();
    for collection in &COLLECTIONS {
        let chosen = if series.is_empty() { &["", "packs", "fine"][..if whole { 3 } else { 1 }] } else { &series };
        if !chosen.contains(&collection.series()) {
            continue;
        }
        let wanted: Vec<&Row> = (collection.rows.iter())
            .filter(|row| match names.is_empty() {
                true => !collection.takes_minutes,
                false => whole || names.iter().any(|word| collection.name(row).contains(word)),
            })
            .collect();
        if !wanted.is_empty() {
            collection.run(&wanted, findings)?;
        } else if names.is_empty() {
            left_out.push(collection);
        }
    }
    for Collection { specimens, vessels, .. } in left_out {
        println!("{specimens}x{vessels} takes minutes and was left out: name it, or say `all`");
    }
    Ok(())
}

impl Collection {
    fn series(&self) -> &'static str {
        match (self.packs, self.sizes) {
            (Packs::All, _) => "packs",
            (_, Sizes::Fine) => "fine",
            _ => "",
        }
    }

    fn name(&self, row: &Row) -> String {
        let to_the_end = self.rows.iter().any(|other| other.money == row.money && other.gap_pct > row.gap_pct);
        let parts = [
            format!("{}x{}", self.specimens, self.vessels),
            self.series().to_owned(),
            if self.seed == 1 { String::new() } else { format!("seed {}", self.seed) },
            if row.money == Budget { "budget".to_owned() } else { String::new() },
            if to_the_end { "to the end".to_owned() } else { String::new() },
        ];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
    }

    /// Makes the collection, runs the wanted rows and prints a line for each.
    fn run(&self, wanted: &[&Row], findings: &mut Findings) -> Outcome<()> {
        let mut project = self.project()?;
        let baseline = Baseline::of(&project.path().join("specimens.csv"))?;
        // The last run without a budget, from whose money a budget is computed.
        let mut unlimited: Option<Run> = None;
        for row in wanted {
            let name = self.name(row);
            let mut settings = vec![("solver.gap_pct", row.gap_pct.to_string())];
            if row.money == Budget {
                let free = match unlimited.take() {
                    Some(run) => Ok(run),
                    None => project.plan(&settings),
                };
                let Some(free) = findings.unless_failed(&name, free) else { continue };
                settings.push(("budget", format!("{:.2}", BUDGET_SHARE * free.plan.totals.money())));
            }
            let measured = project.measure(&settings);
            let Some(run) = findings.unless_failed(&name, measured) else { continue };
            println!("{}", row.asked.line(&name, &run, Some(&baseline)));
            second_solver::print(&name, &project, &settings, &run, findings)?;
            unlimited = (row.money == Unlimited).then_some(run);
        }
        Ok(())
    }

    fn project(&self) -> Outcome<Project> {
        let Collection { specimens, vessels, seed, packs, sizes, .. } = *self;
        let project = Project::new()?;
        synthetic_collection::write(&project.path(), &Recipe { specimens, vessels, seed, packs, sizes, budget: None })?;
        Ok(project)
    }
}
