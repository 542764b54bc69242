//! What money buys: a line for each priority, the budgets at which the plan gets better, and the milestones.

use std::borrow::Cow;

use serde_json::{Value, json};

use super::{EndedBy, counted, said};
use crate::decision::Status;
use crate::inquiry::budget::{BudgetCurve, BudgetPoint, Milestone};
use crate::plan::answers::to_hundredths;
use crate::project::Project;
use crate::report::columns::curve::BudgetLine;
use crate::report::table::csv::file;
use crate::report::table::terminal::SHOWN_ROWS;
use crate::report::table::{Column, Table, cells};
use crate::report::wrapping::wrapped;
use crate::saved::stated;
use crate::units::{Money, index};
use crate::words::curve as words;

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
    let end = to_hundredths(most).on_screen();
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
        let proved = if milestone.proved { "yes" } else { "no" };
        table.row([words::priorities(milestone).into(), to_hundredths(milestone.money).into(), proved.into()]);
    }
    table.text("")
}

/// The points at which other lots are placed than at the one before.
fn table(project: &Project, curve: &BudgetCurve) -> String {
    let fields = [
        BudgetLine::NEEDED,
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

/// What is to be said below the tables.
fn notes(project: &Project, curve: &BudgetCurve, ended: Option<EndedBy>) -> Vec<String> {
    let mut notes = vec!["By priority: lots of priority 1/2/3/4.".to_owned()];
    notes.extend(crate::words::not_audited(project));
    let budgets = counted(curve.points.len() as u64, "budget");
    match ended {
        Some(ended) => notes.push(said(ended)),
        None if curve.steps => notes.push(format!("These are all {budgets} at which the plan gets better.")),
        None => notes.push(format!(
            "{budgets} were tried, the least money of each group above among them; those at which nothing changes are \
             not shown. --exact looks for the very amounts."
        )),
    }
    notes.extend(words::falls(project, curve).into_iter().map(Cow::into_owned));
    notes.extend(words::enough(curve).map(Cow::into_owned));
    if !curve.points.iter().all(BudgetPoint::is_proved) {
        notes.push(format!(
            "Not proved: there may be a better plan. Each has {} s (--set solver.time_limit_s={:.0} allows more).",
            project.settings.time_limit.0,
            project.settings.time_limit.0 * 4.0
        ));
    }
    notes
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
