//! What money buys: a line for each priority, the budgets at which the plan gets better, and the milestones.

use serde_json::{Value, json};

use super::{EndedBy, counted, said};
use crate::decision::Status;
use crate::inquiry::budget::{BudgetCurve, BudgetPoint, Milestone};
use crate::project::Project;
use crate::report::columns::curve::BudgetLine;
use crate::report::table::csv::file;
use crate::report::table::terminal::SHOWN_ROWS;
use crate::report::table::{Column, Table, cells};
use crate::report::wrapping::wrapped;
use crate::saved::stated;
use crate::units::{Money, index};
use crate::words::counted_by_weight;

/// The curve for a terminal. `ended`: why it is not whole.
pub fn text(project: &Project, curve: &BudgetCurve, ended: Option<EndedBy>) -> String {
    let mut text = chart(curve);
    text.push_str(&milestones(project, curve));
    text.push_str(&table(project, curve));
    notes(project, curve, ended).iter().for_each(|note| text.push_str(&wrapped(note, 2)));
    text
}

/// Characters of a line of the chart.
const ACROSS: i64 = 48;

/// Eighths of the height of a character, from nothing to all.
const EIGHTHS: [char; 9] = [' ', '▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];

/// Lots placed by rising budget, a line for each priority.
fn chart(curve: &BudgetCurve) -> String {
    let most = curve.points.last().map_or(Money::ZERO, |point| point.budget);
    let mut text = "Lots placed, by budget\n".to_owned();
    for priority in (1..=4_usize).filter(|priority| curve.lots[priority - 1] > 0) {
        let lots = curve.lots[priority - 1];
        let at = |column: i64| {
            let budget = i128::from(most.parts()) * i128::from(column + 1) / i128::from(ACROSS);
            let reached = curve.points.iter().take_while(|point| i128::from(point.budget.parts()) <= budget).last();
            let placed = reached.map_or(0, |point| lots - point.deferred[priority - 1]);
            // Less than an eighth is shown where there is any.
            EIGHTHS[usize::try_from((placed * 8 + lots - 1) / lots).unwrap_or(0).min(8)]
        };
        let line: String = (0..ACROSS).map(at).collect();
        text.push_str(&format!("  priority {priority}  {line}  of {lots}\n"));
    }
    let end = most.on_screen();
    let width = usize::try_from(ACROSS).unwrap_or(0).saturating_sub(1);
    text.push_str(&format!("              0{end:>width$}\n"));
    text
}

fn milestones(project: &Project, curve: &BudgetCurve) -> String {
    let columns = [Column::text("all lots of priority"), Column::money("least money"), Column::text("proved")];
    let mut table = Table::new("Least money with all placed that can be", columns);
    table.currency = &project.settings.currency;
    // Nothing is said of a priority that no lot has.
    let has_lots = |milestone: &&Milestone| curve.lots[usize::from(milestone.priority) - 1] > 0;
    for milestone in curve.milestones.iter().filter(has_lots) {
        let priorities = if milestone.priority == 1 { "1".to_owned() } else { format!("1 to {}", milestone.priority) };
        let wait = match milestone.deferred {
            0 => String::new(),
            1 => " (but 1 that waits whatever the budget)".to_owned(),
            lots => format!(" (but {lots} that wait whatever the budget)"),
        };
        let proved = if milestone.proved { "yes" } else { "no" };
        table.row([(priorities + &wait).into(), milestone.money.into(), proved.into()]);
    }
    table.text("")
}

/// The points at which other lots are placed than at the one before.
fn table(project: &Project, curve: &BudgetCurve) -> String {
    let fields = [
        BudgetLine::BUDGET,
        BudgetLine::MONEY.headed("cost"),
        BudgetLine::PLACED,
        BudgetLine::BY_PRIORITY,
        BudgetLine::NEW,
        BudgetLine::PROVED,
    ];
    let title = if curve.steps { "Budgets at which the plan gets better" } else { "The best plan at some budgets" };
    let mut table = Table::new(title, fields.map(|field| field.column));
    table.currency = &project.settings.currency;
    let before = std::iter::once(None).chain(curve.points.iter().map(Some));
    let changed = curve.points.iter().zip(before).filter(|(point, before)| {
        before.is_none_or(|before| before.deferred != point.deferred || point.status != Status::ProvedBest)
    });
    for (at, (point, _)) in changed.enumerate() {
        match at < SHOWN_ROWS {
            true => table.row(cells(&fields, BudgetLine { project, curve, point })),
            false => table.more += 1,
        }
    }
    table.text("`--out FILE` writes all of them")
}

/// Falls of the total that are explained one by one.
const SHOWN_FALLS: usize = 5;

/// What is to be said below the tables.
fn notes(project: &Project, curve: &BudgetCurve, ended: Option<EndedBy>) -> Vec<String> {
    let mut notes = vec!["By priority: lots of priority 1/2/3/4.".to_owned()];
    let budgets = counted(curve.points.len() as u64, "budget");
    match ended {
        Some(ended) => notes.push(said(ended)),
        None if curve.steps => notes.push(format!("These are all {budgets} at which the plan gets better.")),
        None => notes.push(format!(
            "{budgets} were tried, the least money of each group above among them; those at which nothing changes are \
             not shown. --exact looks for the very amounts."
        )),
    }
    let falls: Vec<String> = curve.points.windows(2).filter_map(|pair| fall(project, curve, pair)).collect();
    notes.extend(falls.iter().take(SHOWN_FALLS).cloned());
    if falls.len() > SHOWN_FALLS {
        let more = counted((falls.len() - SHOWN_FALLS) as u64, "more budget");
        notes.push(format!("The total falls at {more} for the same reason."));
    }
    if let Some(last) = curve.milestones.last().filter(|last| last.priority == 4) {
        notes.push(format!("From {} on, more money places no further lot.", last.money.on_screen()));
    }
    if !curve.points.iter().all(BudgetPoint::is_proved) {
        notes.push(format!(
            "Not proved: there may be a better plan. Each has {} s (--set solver.time_limit_s={:.0} allows more).",
            project.settings.time_limit.0,
            project.settings.time_limit.0 * 4.0
        ));
    }
    notes
}

/// More urgent lots that are named where the total falls.
const SHOWN_GAINED: usize = 3;

/// Why the total falls from one point to the next, where it does.
fn fall(project: &Project, curve: &BudgetCurve, pair: &[BudgetPoint]) -> Option<String> {
    let [before, now] = pair else { return None };
    let placed = |point: &BudgetPoint| curve.lots.iter().sum::<i64>() - point.deferred.iter().sum::<i64>();
    if placed(now) >= placed(before) {
        return None;
    }
    if project.settings.weights_in_force().is_some() {
        return Some(format!(
            "From {} to {} the total falls from {} to {}: fewer lots wait, {}.",
            before.budget.on_screen(),
            now.budget.on_screen(),
            placed(before),
            placed(now),
            counted_by_weight(&project.settings)
        ));
    }
    let at = (0..4).find(|&at| now.deferred[at] != before.deferred[at])?;
    let urgent = before.deferred[at] - now.deferred[at];
    let gained: Vec<u32> = now.gained.iter().copied().filter(|row| priority(project, *row) == at + 1).collect();
    let number = |row: &u32| project.collection.specimens[index(*row)].key.catalog_number.as_str();
    let named: Vec<&str> = gained.iter().take(SHOWN_GAINED).map(number).collect();
    let others = if gained.len() > SHOWN_GAINED { " and others" } else { "" };
    let more = match urgent {
        1 => format!("1 more lot of priority {} comes first", at + 1),
        lots => format!("{lots} more lots of priority {} come first", at + 1),
    };
    Some(format!(
        "From {} to {} the total falls from {} to {}: {more} ({}{others}), and lots of later priorities wait for it.",
        before.budget.on_screen(),
        now.budget.on_screen(),
        placed(before),
        placed(now),
        named.join(", ")
    ))
}

fn priority(project: &Project, row: u32) -> usize {
    project.collection.specimens[index(row)].priority.into()
}

/// The curve as `curve.csv`; `left_out` are rows that could not be read.
pub fn csv(project: &Project, curve: &BudgetCurve, left_out: &[String]) -> Vec<u8> {
    let columns = BudgetLine::FILE.map(|field| field.column);
    let lines = curve.points.iter().map(|point| BudgetLine { project, curve, point });
    file(&columns, left_out, lines.map(|line| cells(&BudgetLine::FILE, line)))
}

/// The curve for a program, with the levels of each plan.
pub fn json(project: &Project, curve: &BudgetCurve, left_out: &[String]) -> String {
    let object = json!({
        "of": "budget",
        "currency": project.settings.currency,
        "skipped_rows": left_out,
        "steps": curve.steps,
        "whole": curve.whole,
        "lots": curve.lots,
        "milestones": curve.milestones.iter().map(milestone).collect::<Vec<_>>(),
        "points": curve.points.iter().map(|point| self::point(project, curve, point)).collect::<Vec<_>>(),
    });
    serde_json::to_string_pretty(&object).expect("numbers and text") + "\n"
}

fn milestone(milestone: &Milestone) -> Value {
    json!({
        "up_to_priority": milestone.priority,
        "money": milestone.money.text(),
        "deferred": milestone.deferred,
        "proved": milestone.proved,
    })
}

fn point(project: &Project, curve: &BudgetCurve, point: &BudgetPoint) -> Value {
    let keys = |rows: &[u32]| -> Vec<String> {
        rows.iter().map(|row| project.collection.specimens[index(*row)].key.to_string()).collect()
    };
    json!({
        "budget": point.budget.text(),
        "money": point.money.text(),
        "placed": BudgetLine { project, curve, point }.placed(),
        "deferred": point.deferred,
        "gained": keys(&point.gained),
        "lost": keys(&point.lost),
        "status": point.status.name(),
        "step": point.step.as_ref().map(stated),
        "levels": point.decision.levels.iter().map(stated).collect::<Vec<_>>(),
    })
}
