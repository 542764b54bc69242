//! What would change the place of a lot, one thing at a time: as a table, as CSV and as JSON.

use itertools::Itertools;
use serde_json::{Map, Value, json};

use super::columns::Keys;
use super::columns::threshold::ThresholdLine;
use super::table::csv::file;
use super::table::{Cell, Column, Table, cells};
use super::wrapping::hanging;
use crate::inquiry::threshold::{ChangeExtent, Crossing, Threshold};
use crate::project::Project;
use crate::saved::stated;
use crate::words;

/// A lot by its row, and what would change its place.
pub type LotThresholds = (usize, Vec<Threshold>);

/// For a terminal; empty where nothing is decided of the lot.
pub fn text(project: &Project, thresholds: &[Threshold]) -> String {
    if thresholds.is_empty() {
        return String::new();
    }
    let fields = [ThresholdLine::CHANGE, ThresholdLine::AS_IT_IS, ThresholdLine::AT, ThresholdLine::PLACE];
    let mut table = Table::new("What would change its place, one thing at a time", fields.map(|field| field.column));
    let changes = thresholds.iter().filter(|threshold| matches!(threshold.found, Crossing::At { .. }));
    changes.for_each(|threshold| table.row(cells(&fields, ThresholdLine { project, threshold })));
    let mut text = table.text("");
    let without =
        thresholds.iter().filter_map(|threshold| words::threshold::without_effect(project, threshold)).join("; ");
    if table.rows.is_empty() {
        text.push_str("Nothing that was tried changes its place.\n");
    }
    if !without.is_empty() {
        text.push_str(&hanging(&format!("No effect at what was tried: {without}."), 2));
    }
    if thresholds.iter().any(|threshold| matches!(threshold.found, Crossing::At { reach: ChangeExtent::Value, .. })) {
        text.push_str(&hanging(words::threshold::ONE_VALUE, 2));
    }
    if let Some(tried) = words::threshold::others_tried(project, thresholds) {
        text.push_str(&hanging(&tried, 2));
    }
    if thresholds.iter().any(|threshold| matches!(threshold.found, Crossing::Open)) {
        text.push_str("Stopped: the others were not tried to the end.\n");
    }
    text
}

/// Of all lots as CSV; `left_out` are rows that could not be read.
pub fn csv(project: &Project, lots: &[LotThresholds], left_out: &[String]) -> Vec<u8> {
    let keys = Keys::of(project);
    let ours = ThresholdLine::FILE.map(|field| field.column);
    let columns: Vec<Column> = keys.columns.iter().copied().chain(ours).collect();
    let rows = lots.iter().flat_map(|(row, thresholds)| {
        let (keys, specimen) = (&keys, &project.collection.specimens[*row]);
        let line = |threshold| ThresholdLine { project, threshold };
        thresholds.iter().map(move |one| keys.cells(specimen).chain(cells(&ThresholdLine::FILE, line(one))))
    });
    file(&columns, left_out, rows)
}

/// Those of one lot for a program, with the levels of the plan beyond each.
pub fn json(project: &Project, thresholds: &[Threshold]) -> Value {
    thresholds.iter().map(|threshold| one(project, threshold)).collect()
}

fn one(project: &Project, threshold: &Threshold) -> Value {
    let line = ThresholdLine { project, threshold };
    let mut object = Map::new();
    for field in ThresholdLine::FILE {
        let value = match (field.cell)(line) {
            Cell::Text(text) => json!(text),
            Cell::Whole(number) => json!(number),
            Cell::YesNo(yes) => json!(yes),
            _ => continue,
        };
        object.insert(field.column.name.to_owned(), value);
    }
    if let Crossing::At { plan, .. } = &threshold.found {
        object.insert("money".to_owned(), json!(plan.values.money.text()));
        object.insert("deferred".to_owned(), json!(plan.values.deferred));
        object.insert("litres".to_owned(), json!(plan.values.fluid.litres()));
        object.insert("levels".to_owned(), plan.levels.iter().map(stated).collect());
    }
    object.into()
}
