//! The plan for a terminal: a summary that can be read in ten seconds, then tables.

mod lists;

use itertools::Itertools;

use self::lists::{cautions, decisions, deferred, held, loose, orders, placements, tanks};
use super::fluids;
use super::left_out;
use super::work;
use super::wrapping::wrapped;
use crate::collection::{Size, VesselChoice};
use crate::decision::{Aim, Level, Status};
use crate::options::table::{Unknown, undecided};
use crate::plan::renewals::{self, renewals};
use crate::plan::{Outcome, Placement, Plan, Totals};
use crate::project::Project;
use crate::units::{Money, decimal, items};
use crate::words::{counted_by_weight, curve, warning, worth};

pub use self::lists::ways_out;

/// The whole plan as text. `folder` is where its files are, if they were written, and `first` the one to open first.
pub fn plan(project: &Project, plan: &Plan, folder: Option<&str>, first: Option<&str>) -> String {
    let rest = folder.map_or("add --out DIR for the whole list".to_owned(), |dir| format!("see {dir}"));
    [
        skipped(&plan.skipped_rows),
        summary(project, plan),
        decisions(project, plan, &rest),
        orders(project, plan, &rest),
        tanks(project, plan, &rest),
        fluids::tables(project, plan),
        placements(project, plan, &rest),
        loose(project, plan, &rest),
        deferred(project, plan, &rest),
        held(project, plan, &rest),
        cautions(project, plan),
        headline(project, plan),
        answers(project, plan),
        next_step(plan, folder, first),
    ]
    .concat()
}

/// What the answers of the plan say in a line each: the next step of money, lots that take much of it, the vessel that is worth most.
fn answers(project: &Project, plan: &Plan) -> String {
    let step = curve::next_step(project, plan).into_iter();
    let lines = step.chain(worth::without_costly(project, plan)).chain(worth::worth_most(project, plan));
    let lines: String = lines.map(|line| wrapped(&format!("{line}."), 0)).collect();
    if lines.is_empty() { lines } else { format!("\n{lines}") }
}

/// Input rows that could not be read. Every output begins with them.
pub fn skipped(rows: &[String]) -> String {
    if rows.is_empty() {
        return String::new();
    }
    let lines = left_out::first(rows).map(|row| format!("  {row}\n")).collect::<String>();
    format!("LEFT OUT: {} that could not be read\n{lines}\n", counted(rows.len(), "line"))
}

fn counted(n: usize, thing: &str) -> String {
    if n == 1 { format!("1 {thing}") } else { format!("{n} {thing}s") }
}

fn counted_as(n: usize, one: &str, many: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {many}") }
}

fn money(project: &Project, amount: Money) -> String {
    let currency = &project.settings.currency;
    if currency.is_empty() { amount.on_screen() } else { format!("{} {currency}", amount.on_screen()) }
}

/// A label and the text beside it.
type LabelledLine = (&'static str, String);

fn summary(project: &Project, plan: &Plan) -> String {
    let mut lines = of_rows(project, plan);
    lines.extend(of_money(project, plan));
    lines.extend(of_work(project, plan));
    let by_fluid = plan.make_up.iter().filter(|made| made.amount.0 > 0);
    let by_fluid = by_fluid.map(|made| format!("{} {}", project.rules.fluid(made.fluid).id, made.amount.litres()));
    lines.push((
        "Fluid",
        format!("{} l: {}", plan.totals.litres.litres(), by_fluid.collect_vec().join(", "))
            .trim_end_matches(": ")
            .to_owned(),
    ));
    lines.push(("Proof", proof(project, plan)));
    if !plan.prices_not_yours.is_empty() {
        lines.push(("Default prices", warning::default_prices(project, plan).join(", ")));
    }
    let mut text: String =
        lines.iter().map(|(label, value)| format!("{label:<18}{}", wrapped(value, 18).trim_start())).collect();
    for warning in warning::sentences(project, plan) {
        text.push_str(&format!("{:<18}{}", "Note", wrapped(&warning, 18).trim_start()));
    }
    text
}

/// Number of lots by outcome.
fn of_rows(project: &Project, plan: &Plan) -> Vec<LabelledLine> {
    let (totals, rows) = (&plan.totals, plan.placements.len());
    let mut lines: Vec<LabelledLine> = Vec::new();
    if totals.needs_decision > 0 {
        let kinds = decision_kinds(project, plan).into_iter().map(|(n, kind)| format!("{kind} ({n})")).join(", ");
        lines.push(("Needs a decision", format!("{}: {kinds}", counted(totals.needs_decision, "lot"))));
    }
    let tanks = if totals.custom_tank == 1 { "custom tank" } else { "custom tanks" };
    let placed = [(totals.on_hand, "on hand"), (totals.order, "to order"), (totals.custom_tank, tanks)];
    let placed = placed.iter().filter(|(n, _)| *n > 0).map(|(n, what)| format!("{n} {what}")).join(", ");
    let placed = format!("{} of {rows} lots: {placed}", totals.placed).trim_end_matches(": ").to_owned();
    lines.push(("Placed", placed + &wait_for_price(totals)));
    if totals.deferred > 0 {
        let of = |priority| rows_deferred(project, plan, priority);
        let by_priority = (1..=4).filter(|&p| of(p) > 0).map(|p| format!("{} of priority {p}", of(p))).join(", ");
        lines.push(("Deferred", format!("{}: {by_priority}", counted(totals.deferred, "lot"))));
    }
    if totals.held > 0 {
        lines.push(("Held", format!("{}, not to be moved", counted(totals.held, "lot"))));
    }
    lines
}

/// Cost, and the amount to pay.
fn of_money(project: &Project, plan: &Plan) -> Vec<LabelledLine> {
    let totals = &plan.totals;
    let mut lines: Vec<LabelledLine> = Vec::new();
    let parts =
        [(totals.purchase, "vessels"), (totals.delivery, "delivery"), (totals.fluid, "fluid"), (totals.tanks, "tanks")];
    let parts =
        parts.iter().filter(|(m, _)| *m > Money::ZERO).map(|(m, what)| format!("{what} {}", m.on_screen())).join(" + ");
    let budget =
        project.settings.budget.map_or(String::new(), |budget| format!(" of a budget of {}", budget.on_screen()));
    lines
        .push(("Cost", format!("{}{budget}: {parts}", money(project, totals.money)).trim_end_matches(": ").to_owned()));
    if totals.to_pay != totals.money {
        lines.push(("To pay", format!("{}: {}", money(project, totals.to_pay), paid_for(totals))));
    }
    lines
}

/// The work, its cost, and later renewals.
fn of_work(project: &Project, plan: &Plan) -> Vec<LabelledLine> {
    let totals = &plan.totals;
    let mut lines: Vec<LabelledLine> = Vec::new();
    let work = work::of(project, plan);
    if work.rows() > 0 {
        lines.push(("Work", work::in_all(project, plan, &work)));
        lines.extend(work::stages(project, &work).into_iter().map(|stage| ("", stage)));
    }
    if totals.labour > Money::ZERO {
        lines.push(("Labour", format!("{}, {}", money(project, totals.labour), labour_counts(totals))));
    }
    lines.extend(
        later(project, plan).into_iter().enumerate().map(|(i, text)| (if i == 0 { "Later" } else { "" }, text)),
    );
    lines
}

/// The parts of the amount to pay: the cost, and what the decision does not count.
fn paid_for(totals: &Totals) -> String {
    let mut parts = "cost".to_owned();
    if totals.disposal > Money::ZERO {
        parts.push_str(&format!(" + disposal {}", totals.disposal.on_screen()));
    }
    if totals.containers > Money::ZERO {
        parts.push_str(&format!(" + {} more, as fluid comes in whole containers", totals.containers.on_screen()));
    } else if totals.containers < Money::ZERO {
        let less = (-totals.containers).on_screen();
        parts.push_str(&format!(" - {less}, as fluid costs less in whole containers than by the litre"));
    }
    parts
}

/// Renewals of closures while lots are kept: a line for each kind, then the total.
pub fn later(project: &Project, plan: &Plan) -> Vec<String> {
    let renewals = renewals(project, plan);
    let mut lines: Vec<String> = renewals
        .iter()
        .map(|due| {
            let closure = project.rules.closure(due.closure);
            let (lots, years) = (counted(due.lots, "lot"), decimal(due.years, 1));
            let times = counted(items(due.times), "time");
            format!("{}: {} every {years} years for {lots}, {times} in all", closure.id, closure.renewal)
        })
        .collect();
    let times: i64 = renewals.iter().map(|due| due.times).fold(0, i64::saturating_add);
    if times > 0 {
        let hours = work::hours(renewals::minutes(project, times));
        let cost = money(project, renewals::money(project, times));
        let of = if project.settings.rate_per_hour == Money::ZERO { "of materials" } else { "for work and materials" };
        lines.push(format!("in total {hours} h of work and {cost} {of} over the keeping period, outside the budget"));
    }
    lines
}

/// Whether labour counts against the budget, in words.
pub fn labour_counts(totals: &Totals) -> String {
    match totals.labour_counted {
        Money::ZERO => "outside the budget".to_owned(),
        counted if counted == totals.labour => "counted against the budget".to_owned(),
        counted => format!("of which {} for moves counts against the budget", counted.on_screen()),
    }
}

/// The plan in one sentence, repeated at the end of a long list.
pub fn headline(project: &Project, plan: &Plan) -> String {
    let totals = &plan.totals;
    let waiting =
        if totals.unpriced_tanks == 1 { "waits for the price of a tank" } else { "wait for the price of a tank" };
    let others = [
        (totals.unpriced_tanks, waiting),
        (totals.needs_decision, "to decide"),
        (totals.deferred, "deferred"),
        (totals.held, "held"),
    ];
    let others: String = others.iter().filter(|(n, _)| *n > 0).map(|(n, what)| format!(", {n} {what}")).collect();
    let budget =
        project.settings.budget.map_or(String::new(), |budget| format!(" of a budget of {}", budget.on_screen()));
    let sentence = format!(
        "In short: {} of {} placed{others}; {}{budget}; {} h of work; {}.",
        totals.placed,
        counted(plan.placements.len(), "lot"),
        money(project, totals.money),
        work::hours(totals.minutes as f64),
        plan.status.name(),
    );
    format!("\n{}", wrapped(&sentence, 0))
}

/// Kinds of decision that lots need, with their numbers: test the fluid first (2), measure first (3), no vessel is suitable (1).
/// The kind follows from the survey, not from the words of the reason, because these name vessels.
pub fn decision_kinds(project: &Project, plan: &Plan) -> Vec<(usize, &'static str)> {
    let kind = |placement: &Placement| {
        let specimen = &project.collection.specimens[placement.specimen];
        let pins = &specimen.particulars.must_use;
        match undecided(project, specimen) {
            Some(Unknown::Fluid | Unknown::PresentFluid) => "test the fluid first",
            Some(Unknown::Size) => "measure first",
            None if pins.iter().any(|pin| *pin != VesselChoice::Tank) => "the required vessel is not suitable",
            // Its size is taken from its present vessel, and no vessel is as large, or a tank cannot be made to that size.
            None if !matches!(specimen.size, Size::Measured(_)) => "measure first",
            None if !pins.is_empty() => "the required vessel is not suitable",
            None => "no vessel is suitable",
        }
    };
    let needing = plan.placements.iter().filter(|placement| placement.outcome == Outcome::NeedsDecision);
    needing.map(kind).sorted().dedup_with_count().collect()
}

/// `; 5 wait for the price of a tank`: lots that are not counted as placed.
pub fn wait_for_price(totals: &Totals) -> String {
    match totals.unpriced_tanks {
        0 => String::new(),
        1 => "; 1 waits for the price of a tank".to_owned(),
        n => format!("; {n} wait for the price of a tank"),
    }
}

fn rows_deferred(project: &Project, plan: &Plan, priority: u8) -> usize {
    let deferred = plan.placements.iter().filter(|placement| placement.outcome == Outcome::Deferred);
    deferred.filter(|placement| project.collection.specimens[placement.specimen].priority == priority).count()
}

/// The proof in a sentence, with the first level that is not proved.
pub fn proof(project: &Project, plan: &Plan) -> String {
    let open = plan.levels.iter().find(|level| !level.proved());
    match (plan.status, open) {
        (Status::ProvedBest, _) => {
            let shared = if plan.totals.saved_by_sharing > Money::ZERO { "; before tanks shared sizes" } else { "" };
            let fewest = match project.settings.weights_in_force() {
                None => "fewest deferred by priority".to_owned(),
                Some(_) => format!("fewest deferred, {}", counted_by_weight(&project.settings)),
            };
            format!("proved best: {fewest}, then least cost, then least fluid{shared}")
        }
        (Status::WithinGap, Some(level)) => format!("within the gap set: {}", open_level(project, level)),
        (Status::BestFound, Some(level)) => format!("best found, not proved: {}", open_level(project, level)),
        (Status::NotOptimised, _) => {
            let limit = decimal(project.settings.time_limit.0, 1);
            format!(
                "NOT OPTIMISED: {limit} s ran out before the search began. This plan keeps every rule but is not the \
                 best; allow \
                 more time: --set solver.time_limit_s=60"
            )
        }
        (status, None) => status.name().to_owned(),
    }
}

fn open_level(project: &Project, level: &Level) -> String {
    match level.aim {
        Aim::WeightedDeferred => format!(
            "deferred lots, {}, come to {}; no plan comes to less than {}",
            counted_by_weight(&project.settings),
            level.value,
            level.bound
        ),
        Aim::Deferred(priority) => {
            format!("{} of priority {priority} deferred, at least {} must be", level.value, level.bound)
        }
        Aim::Money => {
            let [value, bound] = [level.value, level.bound].map(Money::from_parts);
            let gap = 100.0 * (level.value - level.bound) as f64 / (level.value.max(1)) as f64;
            let weighed = if project.settings.litre_weight > Money::ZERO { " (litre_weight included)" } else { "" };
            format!(
                "cost {}{weighed}, no plan costs less than {} ({} % apart)",
                value.on_screen(),
                bound.on_screen(),
                decimal(gap, 5)
            )
        }
        Aim::Fluid => format!(
            "least cost proved; fluid {} l, no plan at that cost takes less than {} l",
            decimal(level.value as f64 / 1000.0, 3),
            decimal(level.bound as f64 / 1000.0, 3)
        ),
    }
}

/// One line that says what to do next.
fn next_step(plan: &Plan, folder: Option<&str>, first: Option<&str>) -> String {
    let totals = &plan.totals;
    let step = if plan.placements.is_empty() {
        "write a line for each specimen in the survey, then plan again".to_owned()
    } else if totals.needs_decision > 0 {
        format!(
            "decide on the {} it (`rehouse why KEY` shows each choice), then plan again",
            counted_as(totals.needs_decision, "lot that needs", "lots that need")
        )
    } else if !plan.purchases.is_empty() {
        "check the prices and send the orders; meanwhile move what goes into vessels on hand".to_owned()
    } else if totals.placed > 0 {
        "make up the fluid and move what goes into vessels on hand".to_owned()
    } else {
        "nothing can be placed: see the reasons above".to_owned()
    };
    let first = first.map_or(String::new(), |file| format!("; open {file} first"));
    let written = folder.map_or(String::new(), |dir| wrapped(&format!("Files: {dir}{first}."), 0));
    format!("\n{}{written}", wrapped(&format!("Next: {step}."), 0))
}
