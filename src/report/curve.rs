//! Curves: the best plans as something changes, as a table with bars, as CSV and as JSON.

use serde_json::{Value, json};

use super::columns::curve::LimitLine;
use super::table::csv::file;
use super::table::{Cell, Column, Table, cells};
use super::wrapping::wrapped;
use crate::decision::Status;
use crate::inquiry::limits::{LimitCurve, LimitPoint, Limited};
use crate::project::Project;
use crate::saved::stated;
use crate::units::Money;

/// Why a curve ends before its last point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EndedBy {
    /// No more points were asked for.
    Points(u64),
    /// The time was over, in seconds.
    Time(u64),
    /// Somebody stopped it.
    Interruption,
}

/// The curve of a limit for a terminal. `ended`: why it is not whole.
pub fn limit_text(project: &Project, curve: &LimitCurve, ended: Option<EndedBy>) -> String {
    let (title, bought) = match curve.of {
        Limited::Kinds => ("The best plan that buys at most so many kinds of vessel", "bought"),
        Limited::Suppliers => ("The best plan that orders from at most so many suppliers", "ordered from"),
    };
    let fields = [
        LimitLine::AT_MOST.headed("at most"),
        LimitLine::USED.headed(bought),
        LimitLine::WAITING.headed("waiting"),
        LimitLine::MONEY.headed("cost"),
        LimitLine::SAVES.headed("saves"),
    ];
    let columns = fields.iter().map(|field| field.column).chain([Column::text(""), Column::text("proof")]);
    let mut table = Table::new(title, columns).in_currency(&project.settings.currency);
    let most = curve.points.iter().map(|point| point.values.money).max().unwrap_or_default();
    for line in limit_lines(curve) {
        let bar = Cell::from(bar(line.point.values.money, most));
        let proof = Cell::from(proof(line.point.status));
        table.row(cells(&fields, line).chain([bar, proof]));
    }
    let mut text = table.text("").trim_start().to_owned();
    limit_notes(project, curve, ended).iter().for_each(|note| text.push_str(&wrapped(note, 2)));
    text
}

/// What is to be said below the table.
fn limit_notes(project: &Project, curve: &LimitCurve, ended: Option<EndedBy>) -> Vec<String> {
    let mut notes = Vec::new();
    if curve.points.iter().any(|point| point.values.deferred != [0; 4]) {
        notes.push("waiting: lots of priority 1 + 2 + 3 + 4".to_owned());
    }
    let (thing, does) = match curve.of {
        Limited::Kinds => ("kind", "buys"),
        Limited::Suppliers => ("supplier", "orders from"),
    };
    let used = counted(curve.unlimited.used.into(), thing);
    let cost = curve.unlimited.values.money.on_screen();
    notes.push(format!("Without a limit the best plan {does} {used} and costs {cost}{}.", waiting(&curve.unlimited)));
    match (curve.points.last(), ended) {
        (Some(last), _) if curve.whole => {
            let most = last.at_most.unwrap_or_default();
            notes.push(format!("Beyond {most} one more saves nothing."));
        }
        (_, Some(ended)) => notes.push(said(ended)),
        _ => {}
    }
    let rises = |pair: &[LimitPoint]| {
        let [before, now] = [&pair[0].values, &pair[1].values];
        (now.money > before.money).then_some(now.deferred == before.deferred)
    };
    let rises: Vec<bool> = curve.points.windows(2).filter_map(rises).collect();
    if rises.contains(&false) {
        notes.push("The cost rises where more urgent lots, or more of them, are placed.".to_owned());
    }
    if rises.contains(&true) {
        let weight = project.settings.litre_weight.text();
        notes.push(format!("The cost rises where less fluid counts for more (litre_weight {weight})."));
    }
    if curve.points.iter().chain([&curve.unlimited]).any(|point| point.status != Status::ProvedBest) {
        let limit = project.settings.time_limit.0;
        notes.push(format!(
            "Not proved: there may be a better plan. Each has {limit} s (--set solver.time_limit_s={:.0} allows more).",
            limit * 4.0
        ));
    }
    notes
}

fn counted(n: u64, thing: &str) -> String {
    if n == 1 { format!("1 {thing}") } else { format!("{n} {thing}s") }
}

fn waiting(point: &LimitPoint) -> String {
    let lots: i64 = point.values.deferred.iter().sum();
    match lots {
        0 => String::new(),
        1 => "; 1 lot waits".to_owned(),
        lots => format!("; {lots} lots wait"),
    }
}

/// Why a curve ends, and what to do.
fn said(ended: EndedBy) -> String {
    match ended {
        EndedBy::Points(points) => {
            format!("Ended after {}: more are to be had with --steps {}.", counted(points, "line"), points * 4)
        }
        EndedBy::Time(seconds) => {
            format!("Ended after {}: --time {} allows more.", counted(seconds, "second"), seconds * 4)
        }
        EndedBy::Interruption => "Interrupted: these are the lines found so far.".to_owned(),
    }
}

/// Whether a plan is proved best, for a narrow column.
fn proof(status: Status) -> &'static str {
    match status {
        Status::ProvedBest => "proved",
        Status::WithinGap => "within gap",
        Status::BestFound | Status::NotOptimised => "not proved",
    }
}

/// Characters of the longest bar.
const LONGEST_BAR: i64 = 12;

/// An amount as a bar beside the largest.
fn bar(amount: Money, most: Money) -> String {
    let most = i128::from(most.parts().max(1));
    let length = (i128::from(amount.parts().max(0)) * i128::from(LONGEST_BAR) * 2 + most) / (most * 2);
    "█".repeat(usize::try_from(length).unwrap_or(0))
}

fn limit_lines(curve: &LimitCurve) -> impl Iterator<Item = LimitLine<'_>> {
    let before = std::iter::once(None).chain(curve.points.iter().map(Some));
    curve.points.iter().zip(before).map(|(point, before)| LimitLine { of: curve.of, point, before })
}

/// The curve of a limit as `curve.csv`; `left_out` are rows that could not be read.
pub fn limit_csv(curve: &LimitCurve, left_out: &[String]) -> Vec<u8> {
    let columns = LimitLine::FILE.map(|field| field.column);
    file(&columns, left_out, limit_lines(curve).map(|line| cells(&LimitLine::FILE, line)))
}

/// The curve of a limit for a program, with the levels of each plan.
pub fn limit_json(project: &Project, curve: &LimitCurve, left_out: &[String]) -> String {
    let object = json!({
        "of": curve.of.name(),
        "currency": project.settings.currency,
        "skipped_rows": left_out,
        "whole": curve.whole,
        "points": curve.points.iter().map(limit_point).collect::<Vec<_>>(),
        "without_limit": limit_point(&curve.unlimited),
    });
    serde_json::to_string_pretty(&object).expect("numbers and text") + "\n"
}

fn limit_point(point: &LimitPoint) -> Value {
    json!({
        "at_most": point.at_most,
        "used": point.used,
        "deferred": point.values.deferred,
        "money": point.values.money.text(),
        "weighed_money": point.values.weighed.text(),
        "litres": point.values.fluid.litres(),
        "status": point.status.name(),
        "levels": point.levels.iter().map(stated).collect::<Vec<_>>(),
    })
}
