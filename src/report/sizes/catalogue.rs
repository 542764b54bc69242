//! What a supplier's list is worth to the plan.

use serde_json::{Value, json};

use super::{bought_notes, offer, plan_value};
use crate::decision::Status;
use crate::inquiry::catalogue::{CatalogueRow, CatalogueWorth};
use crate::project::Project;
use crate::report::columns::sizes::OfferedLine;
use crate::report::curve::{EndedBy, said};
use crate::report::table::csv::file;
use crate::report::table::terminal::SHOWN_ROWS;
use crate::report::table::{Table, cells};
use crate::report::wrapping::wrapped;
use crate::units::index;

/// For a terminal. `project`: with the list. `ended`: why rows are missing.
pub fn text(project: &Project, worth: &CatalogueWorth, ended: Option<EndedBy>) -> String {
    let fields = [
        OfferedLine::ROW,
        OfferedLine::VESSEL,
        OfferedLine::LOTS,
        OfferedLine::PACKS,
        OfferedLine::PACK_PRICE.headed("pack price"),
        OfferedLine::BOUGHT,
        OfferedLine::PROVED,
    ];
    let title = "What the plan buys from this list, and up to which price";
    let mut table = Table::of_first(SHOWN_ROWS, title, &fields, lines(project, worth));
    table.currency = &project.settings.currency;
    let mut text = table.text("`--out FILE` writes all of them").trim_start().to_owned();
    notes(project, worth, ended).iter().for_each(|note| text.push_str(&wrapped(note, 2)));
    text
}

/// What is to be said below the table.
fn notes(project: &Project, worth: &CatalogueWorth, ended: Option<EndedBy>) -> Vec<String> {
    let said_of = |plan: &crate::inquiry::PlanValue| match plan.without_place.iter().sum::<i64>() {
        0 => plan.values.money.on_screen(),
        1 => format!("{} with 1 lot without a place", plan.values.money.on_screen()),
        lots => format!("{} with {lots} lots without a place", plan.values.money.on_screen()),
    };
    let (without, with) = (said_of(&worth.now), said_of(&worth.plan));
    let mut notes = vec![format!("The plan costs {without} without this list, and {with} with it.")];
    notes.extend(bought_notes(worth.rows.iter().map(|row| &row.threshold)));
    notes.extend(crate::words::not_audited(project));
    notes.extend(ended.map(said));
    let all = [&worth.now, &worth.plan].iter().all(|plan| plan.status == Status::ProvedBest);
    if !all || !worth.rows.iter().all(|row| row.threshold.is_proved()) {
        let limit = project.settings.time_limit.0;
        notes.push(format!(
            "Not proved: there may be a better plan. Each has {limit} s (--set solver.time_limit_s={:.0} allows more).",
            limit * 4.0
        ));
    }
    notes
}

fn lines<'a>(project: &'a Project, worth: &'a CatalogueWorth) -> impl Iterator<Item = OfferedLine<'a>> {
    worth.rows.iter().map(move |row| OfferedLine { project, worth, row })
}

/// As `sizes.csv`; `left_out` are rows that could not be read.
pub fn csv(project: &Project, worth: &CatalogueWorth, left_out: &[String]) -> Vec<u8> {
    let columns = OfferedLine::FILE.map(|field| field.column);
    file(&columns, left_out, lines(project, worth).map(|line| cells(&OfferedLine::FILE, line)))
}

/// For a program, with the levels of each plan.
pub fn json(project: &Project, worth: &CatalogueWorth, left_out: &[String]) -> String {
    let object = json!({
        "of": "a supplier's list",
        "currency": project.settings.currency,
        "skipped_rows": left_out,
        "whole": worth.is_whole(),
        "plan": plan_value(&worth.now),
        "with_the_list": plan_value(&worth.plan),
        "rows": worth.rows.iter().map(|row| self::row(project, row)).collect::<Vec<_>>(),
    });
    serde_json::to_string_pretty(&object).expect("numbers and text") + "\n"
}

fn row(project: &Project, row: &CatalogueRow) -> Value {
    let key = |row: &u32| project.collection.specimens[index(*row)].key.to_string();
    let mut object = offer(project, &row.threshold);
    let stock = &project.stock;
    object["vessel"] = json!(stock.vessel(stock.offers[row.threshold.offer].vessel).id);
    object["lots"] = json!(row.lots.iter().map(key).collect::<Vec<_>>());
    object
}
