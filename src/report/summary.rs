//! The plan for a terminal: a summary that can be read in ten seconds, then tables.

use std::collections::BTreeMap;

use itertools::Itertools;

use super::columns::placements::Placed;
use super::columns::purchases::Ordered;
use super::columns::tanks::Made;
use super::fluids;
use super::left_out;
use super::table::terminal::{SHOWN_ROWS, spared};
use super::table::{Field, Kind, Table};
use super::work;
use super::wrapping::wrapped;
use crate::collection::{Size, VesselChoice};
use crate::decision::{Aim, Level, Status};
use crate::options::table::{Unknown, undecided};
use crate::plan::renewals::{self, renewals};
use crate::plan::sheets;
use crate::plan::{Outcome, Placement, Plan, Tank, Totals};
use crate::project::Project;
use crate::tank::remarks::TankWarning;
use crate::units::{Money, decimal};
use crate::words::tank::warnings::warning as tank_warning;
use crate::words::{self, caution, warning};

/// The whole plan as text. `folder` is where its files are, if they were written, and `first` the one to open first.
pub fn plan(project: &Project, plan: &Plan, folder: Option<&str>, first: Option<&str>) -> String {
    let rest = folder.map_or("add --out DIR for the whole list".to_owned(), |dir| format!("see {dir}"));
    [
        skipped(plan),
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
        next_step(plan, folder, first),
    ]
    .concat()
}

/// Rows that were left out, which every output says first.
pub fn skipped(plan: &Plan) -> String {
    if plan.skipped_rows.is_empty() {
        return String::new();
    }
    let rows = left_out::first(&plan.skipped_rows).map(|row| format!("  {row}\n")).collect::<String>();
    format!("LEFT OUT: {} that could not be read\n{rows}\n", counted(plan.skipped_rows.len(), "line"))
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

/// A label and what is said beside it.
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

/// What becomes of the lots.
fn of_rows(project: &Project, plan: &Plan) -> Vec<LabelledLine> {
    let (totals, rows) = (&plan.totals, plan.placements.len());
    let mut lines: Vec<LabelledLine> = Vec::new();
    if totals.needs_decision > 0 {
        let kinds = decision_kinds(project, plan).into_iter().map(|(n, kind)| format!("{kind} ({n})")).join(", ");
        lines.push(("Needs a decision", format!("{}: {kinds}", counted(totals.needs_decision, "lot"))));
    }
    let placed = [(totals.on_hand, "on hand"), (totals.order, "to order"), (totals.custom_tank, "custom tank")];
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

/// What it costs, and what is to be paid.
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

/// The work, what it costs, and what comes after it.
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

/// What the money to pay is made up of, beside the money that the decision counts.
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

/// What closures ask for while lots are kept: a line for each kind, then what that comes to.
pub fn later(project: &Project, plan: &Plan) -> Vec<String> {
    let renewals = renewals(project, plan);
    let mut lines: Vec<String> = renewals
        .iter()
        .map(|due| {
            let closure = project.rules.closure(due.closure);
            let (lots, years) = (counted(due.lots, "lot"), decimal(due.years, 1));
            let times = counted(due.times as usize, "time");
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

/// Whether labour is in the budget, in words.
pub fn labour_counts(totals: &Totals) -> String {
    match totals.labour_counted {
        Money::ZERO => "outside the budget".to_owned(),
        counted if counted == totals.labour => "counted against the budget".to_owned(),
        counted => format!("of which {} for moves counts against the budget", counted.on_screen()),
    }
}

/// The plan in one sentence, said again at the end of a long list.
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

/// What rows that need a decision wait for, with counts: test first (2), measure first (3), no vessel is suitable (1). Told by the
/// survey, never by the words of the reason, which name vessels.
pub fn decision_kinds(project: &Project, plan: &Plan) -> Vec<(usize, &'static str)> {
    let kind = |placement: &Placement| {
        let specimen = &project.collection.specimens[placement.specimen];
        let pins = &specimen.particulars.must_use;
        match undecided(project, specimen) {
            Some(Unknown::Fluid | Unknown::PresentFluid) => "test the fluid first",
            Some(Unknown::Size) => "measure first",
            None if pins.iter().any(|pin| *pin != VesselChoice::Tank) => "the required vessel is not suitable",
            // Nothing is as large as its present vessel, or a tank cannot be made to it.
            None if !matches!(specimen.size, Size::Measured(_)) => "measure first",
            None if !pins.is_empty() => "the required vessel is not suitable",
            None => "no vessel is suitable",
        }
    };
    let needing = plan.placements.iter().filter(|placement| placement.outcome == Outcome::NeedsDecision);
    needing.map(kind).sorted().dedup_with_count().collect()
}

/// `; 5 wait for the price of a tank`, which are not among the placed.
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

/// What was proved, in a sentence, with the first level that was not.
pub fn proof(project: &Project, plan: &Plan) -> String {
    let open = plan.levels.iter().find(|level| !level.proved());
    match (plan.status, open) {
        (Status::ProvedBest, _) => {
            let shared = if plan.totals.saved_by_sharing > Money::ZERO { "; before tanks shared sizes" } else { "" };
            format!("proved best: fewest deferred by priority, then least cost, then least fluid{shared}")
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

/// The first of the lots, in these columns.
fn lots<'a>(
    title: &'a str,
    fields: &[Field<'a, Placed<'a>>],
    (project, plan): (&'a Project, &'a Plan),
    is_listed: fn(&Placement) -> bool,
) -> Table<'a> {
    let listed = plan.placements.iter().filter(|placement| is_listed(placement));
    Table::of_first(SHOWN_ROWS, title, fields, listed.map(|placement| Placed::of(project, plan, placement)))
}

/// The name of a lot.
const fn name<'a>() -> Field<'a, Placed<'a>> {
    Placed::NAME.headed("name").spared(spared::NAME)
}

fn decisions(project: &Project, plan: &Plan, rest: &str) -> String {
    let fields = [Placed::LOT, name(), Placed::REASON];
    let table = lots("Needs a decision", &fields, (project, plan), |lot| lot.outcome == Outcome::NeedsDecision);
    table.text(rest) + &look_for(project, plan, false)
}

/// Vessels to look for, for rows that nothing serves or for rows that get a tank, the first few.
fn look_for(project: &Project, plan: &Plan, instead_of_tank: bool) -> String {
    let wants = plan.wants.iter().filter(|want| want.instead_of.is_some() == instead_of_tank).collect_vec();
    let line = |want: &&crate::plan::Want| {
        let lots = counted(want.specimens.len(), "lot");
        let look_for = if instead_of_tank { "" } else { "look for: " };
        wrapped(&format!("{look_for}{}: {lots}", words::want(project, want)), 2)
    };
    let mut text: String = wants.iter().take(MOST_WANTS).map(line).collect();
    if wants.len() > MOST_WANTS {
        text.push_str(&format!("  {} more: see report.html\n", wants.len() - MOST_WANTS));
    }
    text
}

/// Kinds of vessel to look for that a terminal shows.
const MOST_WANTS: usize = 30;

fn orders(project: &Project, plan: &Plan, rest: &str) -> String {
    let fields = [
        Ordered::SUPPLIER,
        Ordered::ORDER_CODE.headed("order code").spared(spared::ORDER_CODE),
        Ordered::WHAT,
        Ordered::PACKS_OF,
        Ordered::SPARE.spared(spared::SPARE),
        Ordered::LINE_TOTAL.headed("price"),
    ];
    let table = Table::of_first(SHOWN_ROWS, "To order", &fields, Ordered::all(project, plan));
    table.in_currency(&project.settings.currency).text(rest)
}

/// What else may hold each fluid whose tank is not of bonded glass.
pub fn ways_out(project: &Project, plan: &Plan) -> BTreeMap<String, String> {
    let otherwise = plan.tanks.iter().filter(|tank| !tank.ways_out.is_empty());
    let said = |tank: &Tank| {
        let fluid = project.rules.fluid(project.collection.specimens[tank.specimen].fluid);
        (fluid.id.clone(), words::tank::ways_out(&tank.ways_out).into_owned())
    };
    otherwise.map(said).collect()
}

fn tanks(project: &Project, plan: &Plan, rest: &str) -> String {
    let fields = [
        Made::LOT,
        Made::CLEAR,
        Made::FLUID,
        Made::LITRES.headed("fluid, l").spared(spared::FLUID_LITRES),
        Made::GLASS.spared(spared::GLASS),
        Made::FULL.headed("full, kg").spared(spared::FULL),
        Made::PRICE,
        Made::SHORT_NOTE.spared(spared::NOTE),
    ];
    let title = "Custom tanks (length × width × height)";
    let table = Table::of_first(SHOWN_ROWS, title, &fields, Made::all(project, plan));
    let mut text = table.in_currency(&project.settings.currency).text(rest);
    text.push_str(&look_for(project, plan, true));
    for (fluid, ways) in ways_out(project, plan) {
        text.push_str(&wrapped(&format!("instead of bonded glass, for {fluid}: {ways}; price unknown"), 2));
    }
    let warnings = plan.tanks.iter().filter_map(|tank| tank.design.as_ref()).flat_map(|design| &design.warnings);
    let unproven = warnings.filter_map(|warning| match warning {
        TankWarning::Unproven { alcohol } => Some(*alcohol),
        _ => None,
    });
    let unproven = unproven.unique().map(|alcohol| tank_warning(&TankWarning::Unproven { alcohol }));
    text.extend(unproven.map(|sentence| wrapped(&sentence, 2)));
    for (thickness, count, whole, used) in sheets::by_thickness(&plan.sheets) {
        let what = if count == 1 { "sheet" } else { "sheets" };
        let (thickness, part) = (decimal(thickness.mm(), 1), decimal(100.0 * used / whole, 0));
        text.push_str(&format!("  {thickness} mm glass: {count} stock {what}, {part} % used\n"));
    }
    if plan.tanks.iter().any(|tank| tank.design.is_some()) {
        let list = "cut list: panes.csv, sheets to order: sheets.csv, stress, masses and warnings: tanks.csv (with \
            --out DIR); one tank on a page, \
                    with its order of work: `rehouse tank --specimen LENGTHxWIDTHxHEIGHT --fluid FLUID`";
        text.push_str(&wrapped(list, 2));
    }
    text
}

fn placements(project: &Project, plan: &Plan, rest: &str) -> String {
    let fields = [
        Placed::LOT,
        Placed::OUTCOME.spared(spared::OUTCOME),
        Placed::VESSELS,
        Placed::STANCE.spared(spared::POSTURE),
        Placed::WALL_GAP.headed("wall mm").spared(spared::WALL),
        Placed::COVER.headed("cover mm").spared(spared::COVER),
        Placed::FLUID_ML.headed("fluid ml"),
        Placed::REVIEW,
    ];
    let is_housed = |lot: &Placement| lot.vessel.is_some() && lot.fit.is_some();
    let mut text = lots("Placed in vessels", &fields, (project, plan), is_housed).text(rest);
    if plan.placements.iter().any(|p| p.fit.is_some() && project.collection.specimens[p.specimen].individuals > 1) {
        text.push_str("  wall and cover: for the largest individual of a lot\n");
    }
    text
}

/// Lots in vessels far too large for them, and the vessel to look for.
fn loose(project: &Project, plan: &Plan, rest: &str) -> String {
    // To two decimals: what is just below the limit is not shown as the limit.
    let fields = [
        Placed::LOT,
        Placed::VESSEL,
        Placed::TISSUE_SHARE.headed("tissue %").kind(Kind::Decimal(2)).spared(spared::TISSUE),
        Placed::SMALLER_VESSEL,
    ];
    let title =
        format!("Very loose: tissue below {} % of the filled volume", decimal(project.settings.very_loose_pct.0, 1));
    let is_loose = |lot: &Placement| lot.vessel.is_some() && lot.fit.is_some_and(|fit| fit.marks.very_loose);
    lots(&title, &fields, (project, plan), is_loose).text(rest)
}

fn deferred(project: &Project, plan: &Plan, rest: &str) -> String {
    let fields = [Placed::LOT, Placed::PRIORITY, name(), Placed::REASON];
    lots("Deferred", &fields, (project, plan), |lot| lot.outcome == Outcome::Deferred).text(rest)
}

fn held(project: &Project, plan: &Plan, rest: &str) -> String {
    let fields = [Placed::LOT, name(), Placed::REASON];
    lots("Held, not to be moved", &fields, (project, plan), |lot| lot.outcome == Outcome::Held).text(rest)
}

fn cautions(project: &Project, plan: &Plan) -> String {
    let lines: String = caution::sentences(&project.rules, plan).iter().map(|caution| wrapped(caution, 2)).collect();
    format!("\nCautions\n{lines}")
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
