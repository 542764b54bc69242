//! What each listed vessel is worth to the plan.

use serde_json::{Value, json};

use super::{bought_notes, offer, plan_value};
use crate::decision::Status;
use crate::inquiry::listed::{ListedVessel, ListedVessels};
use crate::project::Project;
use crate::report::columns::sizes::ListedLine;
use crate::report::curve::{EndedBy, said};
use crate::report::table::csv::file;
use crate::report::table::terminal::SHOWN_ROWS;
use crate::report::table::{Table, cells};
use crate::report::wrapping::wrapped;
use crate::units::index;

/// For a terminal. `ended`: why vessels are missing.
pub fn text(project: &Project, listed: &ListedVessels, ended: Option<EndedBy>) -> String {
    let fields = [
        ListedLine::VESSEL,
        ListedLine::LOTS,
        ListedLine::COST_WITHOUT,
        ListedLine::COST_WITH_PIECE,
        ListedLine::PACK_PRICE.headed("pack price"),
        ListedLine::BOUGHT,
        ListedLine::PROVED,
    ];
    let title = "What each vessel is worth to the plan";
    let mut table = Table::of_first(SHOWN_ROWS, title, &fields, lines(project, listed));
    table.currency = &project.settings.currency;
    let mut text = table.text("`--out FILE` writes all of them").trim_start().to_owned();
    notes(project, listed, ended).iter().for_each(|note| text.push_str(&wrapped(note, 2)));
    text
}

/// What is to be said below the table.
fn notes(project: &Project, listed: &ListedVessels, ended: Option<EndedBy>) -> Vec<String> {
    let cost = listed.now.values.money.on_screen();
    let lots: i64 = listed.now.without_place.iter().sum();
    let mut notes = vec![
        match lots {
            0 => format!("The plan as it is costs {cost}."),
            1 => format!("The plan as it is costs {cost}; 1 lot has no place in it."),
            lots => format!("The plan as it is costs {cost}; {lots} lots have no place in it."),
        },
        "Without it: what the plan costs more without the vessel, and how many lots then wait that have a place now. A \
         free piece more: the same with one more piece on the shelf."
            .to_owned(),
    ];
    notes.extend(bought_notes(listed.vessels.iter().flat_map(|vessel| &vessel.offers)));
    notes.extend(crate::words::not_audited(project));
    notes.extend(ended.map(said));
    let unproved = |vessel: &ListedVessel| !vessel.is_proved();
    if listed.now.status != Status::ProvedBest || listed.vessels.iter().any(unproved) {
        let limit = project.settings.time_limit.0;
        notes.push(format!(
            "Not proved: there may be a better plan. Each has {limit} s (--set solver.time_limit_s={:.0} allows more).",
            limit * 4.0
        ));
    }
    notes
}

fn lines<'a>(project: &'a Project, listed: &'a ListedVessels) -> impl Iterator<Item = ListedLine<'a>> {
    let now = &listed.now;
    listed.vessels.iter().flat_map(move |vessel| {
        let line = move |offer| ListedLine { project, now, listed: vessel, offer };
        let none = vessel.offers.is_empty().then_some(None);
        none.into_iter().chain(vessel.offers.iter().map(Some)).map(line)
    })
}

/// As `sizes.csv`; `left_out` are rows that could not be read.
pub fn csv(project: &Project, listed: &ListedVessels, left_out: &[String]) -> Vec<u8> {
    let columns = ListedLine::FILE.map(|field| field.column);
    file(&columns, left_out, lines(project, listed).map(|line| cells(&ListedLine::FILE, line)))
}

/// For a program, with the levels of each plan.
pub fn json(project: &Project, listed: &ListedVessels, left_out: &[String]) -> String {
    let object = json!({
        "of": "listed vessels",
        "currency": project.settings.currency,
        "skipped_rows": left_out,
        "whole": listed.is_whole(),
        "plan": plan_value(&listed.now),
        "vessels": listed.vessels.iter().map(|listed| vessel(project, listed)).collect::<Vec<_>>(),
    });
    serde_json::to_string_pretty(&object).expect("numbers and text") + "\n"
}

fn vessel(project: &Project, listed: &ListedVessel) -> Value {
    let key = |row: &u32| project.collection.specimens[index(*row)].key.to_string();
    json!({
        "vessel": project.stock.vessel(listed.vessel).id,
        "lots": listed.lots.iter().map(key).collect::<Vec<_>>(),
        "pieces_used": listed.used.0,
        "without": plan_value(&listed.without),
        "one_free_piece_more": listed.one_more.as_ref().map(plan_value),
        "offers": listed.offers.iter().map(|threshold| offer(project, threshold)).collect::<Vec<_>>(),
    })
}
