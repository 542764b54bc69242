//! Where the specimens go: each by itself, by vessel, in tanks with their panes.

use std::collections::{BTreeMap, HashSet};

use super::sheet::{Cell, Head, Sheet, in_units};
use crate::plan::{Outcome, Plan};
use crate::project::Project;
use crate::report::columns::Keys;
use crate::report::csv;
use crate::report::old_table::in_currency;
use crate::report::table::csv::unguarded;

/// Heads of the key columns.
pub fn key_heads(project: &Project) -> impl Iterator<Item = Head> {
    project.collection.key_headers.iter().map(|head| key_head(head))
}

/// The head of one of them.
pub fn key_head(head: &str) -> Head {
    Head::text(head, 10.0)
}

/// The key of a specimen.
pub fn key_cells(project: &Project, specimen: usize) -> impl Iterator<Item = Cell> {
    let cells: Vec<Cell> = Keys::of(project)
        .cells(&project.collection.specimens[specimen])
        .map(|cell| match cell {
            crate::report::table::Cell::Text(text) => Cell::text(&text),
            _ => Cell::Blank,
        })
        .collect();
    cells.into_iter()
}

/// The sheet that holds what a CSV file holds. Columns named here are text, whatever they look like.
fn of_csv(project: &Project, name: &'static str, bytes: &[u8], texts: &[&str]) -> Sheet {
    let mut reader = ::csv::ReaderBuilder::new().has_headers(false).from_reader(bytes);
    let mut records = reader.records().flatten();
    let header = records.next().unwrap_or_default();
    let n_keys = project.collection.key_headers.len();
    let carried: HashSet<&str> = project.collection.carried_headers.iter().map(String::as_str).collect();
    let is_text = |index: usize| {
        let head = unguarded(&header[index]);
        let is_carried = carried.contains(head) || head.strip_prefix("input_").is_some_and(|own| carried.contains(own));
        index < n_keys || is_carried || texts.contains(&head)
    };
    let heads = (0..header.len()).map(|index| {
        let head = unguarded(&header[index]);
        match head {
            "reason" | "note" | "warnings" | "edges" => Head::text(head, 44.0),
            _ if is_text(index) => Head::text(head, 13.0),
            "cost" | "fluid_cost" => Head::number(in_currency(head, &project.settings.currency), 2),
            _ if head.ends_with("_mm") || head.ends_with("_pct") || head.ends_with("_kg") => Head::number(head, 1),
            _ if head.ends_with("_mpa") => Head::number(head, 3),
            _ => Head::number(head, 0),
        }
    });
    let mut sheet = Sheet::new(name, heads.collect());
    sheet.frozen = n_keys;
    for record in records {
        let cell = |(index, cell): (usize, &str)| match is_text(index) {
            true => Cell::text(unguarded(cell)),
            false => Cell::of(unguarded(cell)),
        };
        sheet.rows.push(record.iter().enumerate().map(cell).collect());
    }
    sheet
}

/// A line for each row of the survey, in its order.
pub fn placements(project: &Project, plan: &Plan) -> Sheet {
    let texts = [
        "outcome",
        "vessel",
        "posture",
        "fluid",
        "baths",
        "reason",
        "review",
        "nearest_vessel",
        "nearest_shortfall",
        "in_totals",
    ];
    of_csv(project, "placements", &csv::placements(project, plan), &texts)
}

/// A line for each tank, with what all of known price cost.
pub fn tanks(project: &Project, plan: &Plan) -> Sheet {
    let texts = ["posture", "fluid", "note", "construction", "seam_class", "warnings"];
    let mut sheet = of_csv(project, "tanks", &csv::tanks(project, plan), &texts);
    let cost = sheet.column("cost");
    let mut totals = vec![Cell::Blank; sheet.heads.len()];
    totals[0] = Cell::text("total");
    totals[cost] = Cell::Formula(format!("=SUM({})", sheet.range(cost)), in_units(plan.totals.tanks));
    sheet.totals = totals;
    sheet
}

/// The cut lists of all tanks.
pub fn panes(project: &Project, plan: &Plan) -> Sheet {
    of_csv(project, "panes", &csv::panes(project, plan), &["pane", "edges"])
}

/// What stands in place of the outcome for rows that wait for the price of their tank.
pub const NO_PRICE: &str = "tank without a price";

/// A line for each outcome and vessel; rows that wait for the price of their tank apart.
pub fn groups(project: &Project, plan: &Plan) -> Sheet {
    let mut found: BTreeMap<(usize, bool, &str), (usize, u64, i64)> = BTreeMap::new();
    let rank = |outcome: Outcome| Outcome::ALL.iter().position(|known| *known == outcome).unwrap_or_default();
    for placement in &plan.placements {
        let vessel = placement.vessel.map_or("", |id| project.stock.vessel(id).id.as_str());
        let group = found.entry((rank(placement.outcome), plan.waits_for_price(placement), vessel)).or_default();
        let charges = placement.fit.map_or(1, |fit| i64::from(fit.charges));
        group.0 += 1;
        group.1 += placement.fit.map_or(0, |fit| u64::from(fit.pieces));
        group.2 += placement.fluid.map_or(0, |fluid| fluid.0 * charges);
    }
    let heads = vec![
        Head::text("outcome", 18.0),
        Head::text("vessel", 24.0),
        Head::number("lots", 0),
        Head::number("pieces", 0),
        Head::number("litres", 3),
    ];
    let mut sheet = Sheet::new("groups", heads);
    for ((rank, waits, vessel), (rows, pieces, fluid)) in found {
        sheet.rows.push(vec![
            Cell::text(if waits { NO_PRICE } else { Outcome::ALL[rank].name() }),
            Cell::text(vessel),
            Cell::count(rows),
            Cell::Number(pieces as f64),
            Cell::Number(fluid as f64 / 1000.0),
        ]);
    }
    let total = Cell::Formula(format!("=SUM({})", sheet.range(2)), plan.placements.len() as f64);
    sheet.totals = vec![Cell::text("total"), Cell::Blank, total];
    sheet
}
