//! The curve of a limit.

use serde_json::{Value, json};

use super::{EndedBy, bar, counted, said};
use crate::decision::Status;
use crate::inquiry::limits::{LimitCurve, LimitOf, LimitPoint};
use crate::project::Project;
use crate::report::columns::curve::LimitLine;
use crate::report::table::csv::file;
use crate::report::table::{Cell, Column, Table, cells};
use crate::report::wrapping::wrapped;
use crate::saved::stated;

/// The curve of a limit for a terminal. `ended`: why it is not whole.
pub fn text(project: &Project, curve: &LimitCurve, ended: Option<EndedBy>) -> String {
    let title = match curve.of {
        LimitOf::Kinds => "The best plan that buys at most so many kinds of vessel",
        LimitOf::Suppliers => "The best plan that orders from at most so many suppliers",
    };
    let fields = [
        LimitLine::AT_MOST.headed("at most"),
        LimitLine::USED,
        LimitLine::WAITING.headed("waiting"),
        LimitLine::MONEY.headed("cost"),
        LimitLine::SAVES.headed("saves"),
    ];
    let columns = fields.iter().map(|field| field.column).chain([Column::text(""), LimitLine::PROVED.column]);
    let mut table = Table::new(title, columns).in_currency(&project.settings.currency);
    let most = curve.points.iter().map(|point| point.values.money).max().unwrap_or_default();
    for line in LimitLine::all(curve) {
        let bar = Cell::from(bar(line.point.values.money, most));
        table.row(cells(&fields, line).chain([bar]).chain(cells(&[LimitLine::PROVED], line)));
    }
    let mut text = table.text("").trim_start().to_owned();
    notes(project, curve, ended).iter().for_each(|note| text.push_str(&wrapped(note, 2)));
    text
}

/// What is to be said below the table.
fn notes(project: &Project, curve: &LimitCurve, ended: Option<EndedBy>) -> Vec<String> {
    let mut notes: Vec<String> = crate::words::not_audited(project).into_iter().collect();
    if curve.points.iter().any(|point| point.values.deferred != [0; 4]) {
        notes.push("Waiting: lots of priority 1/2/3/4.".to_owned());
    }
    let (thing, does) = match curve.of {
        LimitOf::Kinds => ("kind", "buys"),
        LimitOf::Suppliers => ("supplier", "orders from"),
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

fn waiting(point: &LimitPoint) -> String {
    let lots: i64 = point.values.deferred.iter().sum();
    match lots {
        0 => String::new(),
        1 => "; 1 lot waits".to_owned(),
        lots => format!("; {lots} lots wait"),
    }
}

/// The curve of a limit as `curve.csv`; `left_out` are rows that could not be read.
pub fn csv(curve: &LimitCurve, left_out: &[String]) -> Vec<u8> {
    let columns = LimitLine::FILE.map(|field| field.column);
    file(&columns, left_out, LimitLine::all(curve).map(|line| cells(&LimitLine::FILE, line)))
}

/// The curve of a limit for a program, with the levels of each plan.
pub fn json(project: &Project, curve: &LimitCurve, left_out: &[String]) -> String {
    let object = json!({
        "of": curve.of.name(),
        "currency": project.settings.currency,
        "skipped_rows": left_out,
        "whole": curve.whole,
        "points": curve.points.iter().map(point).collect::<Vec<_>>(),
        "without_limit": point(&curve.unlimited),
    });
    serde_json::to_string_pretty(&object).expect("numbers and text") + "\n"
}

fn point(point: &LimitPoint) -> Value {
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
