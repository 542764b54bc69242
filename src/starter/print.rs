//! Makes the survey form as one page, to be printed and filled in at the shelf.

use crate::intake::columns::{CellKind, FileColumns, InputColumn};
use crate::report::html::page::{Markup, document, element, element_with, paragraph, to_fill_in};

/// Lines of the form: as many as fit on one page, A4 or Letter, landscape.
const LINES: usize = 17;

/// Common columns that are not asked for at the shelf.
const NOT_AT_THE_SHELF: [&str; 1] = ["row"];

/// Last of the common columns, which come first in the survey.
const LAST: &str = "hold";

/// One page with the required and the common columns and lines to write on.
pub fn form(file: &FileColumns) -> Vec<u8> {
    let common = file.columns.iter().position(|column| column.name == LAST).map_or(file.columns.len(), |at| at + 1);
    let columns: Vec<&InputColumn> =
        file.columns[..common].iter().filter(|column| !NOT_AT_THE_SHELF.contains(&column.name)).collect();
    let head = |column: &&InputColumn| {
        let class = if column.required() { "must" } else { "may" };
        let width = format!("width:{:.1}mm", width(column));
        element_with("th", &[("scope", "col"), ("class", class), ("style", &width)], column.name)
    };
    let number = element("th", "", "");
    let heads: Markup = std::iter::once(number).chain(columns.iter().map(head)).collect();
    let blanks: Markup = columns.iter().map(|_| Markup::fixed("<td></td>")).collect();
    let line = |n: usize| element("tr", "", element_with("th", &[("scope", "row")], n).with(blanks.clone()));
    let lines: Markup = (1..=LINES).map(line).collect();
    let table = element("table", "", element("thead", "", element("tr", "", heads)).with(element("tbody", "", lines)));
    let words = "Fill in the bold columns on every line; if a lot cannot be measured, leave its three sizes blank and \
        name the vessel it is in (current_vessel). Sizes in mm, including everything that goes in with the specimen: \
        how-to-measure.html shows how. Priority: 1 urgent, 2 this year, 3 in its turn, 4 can wait. Write unknown where \
        the fluid is not known. Copy each line into specimens.xlsx.";
    let body = element("h1", "", "Survey form")
        .with(to_fill_in(&["Place", "Date", "By", "Sheet"]))
        .with(table)
        .with(paragraph("note", words));
    document("Survey form", "print-form", STYLE, element("main", "", body))
}

/// Column width in mm: room for the header on one line and for what is written.
fn width(column: &InputColumn) -> f64 {
    let written = match (column.kind, column.name) {
        (_, "scientificName") => 27.5,
        (CellKind::Text, _) => 15.5,
        (CellKind::Word(_) | CellKind::List, _) => 13.0,
        _ => 11.0,
    };
    // Bold letters are wider.
    let letter = if column.required() { 1.32 } else { 1.12 };
    (column.name.chars().count() as f64 * letter + 1.6).max(written)
}

const STYLE: &str = "@page { size: landscape; margin: 8mm; @bottom-right { content: none; } } \
    .print-form main { max-width: none; padding: 0; } .print-form h1 { font-size: 15pt; } \
    .print-form table { table-layout: fixed; margin: 2mm 0; } \
    .print-form th, .print-form td { border: .5px solid var(--ink); padding: 0 .6mm; font-size: 6.2pt; vertical-align: bottom; } \
    .print-form thead th { height: 9mm; } .print-form tbody tr { height: 8.6mm; } .print-form tbody th, .print-form thead th:first-child { width: 6mm; } \
    .print-form .must { font-weight: 700; color: var(--ink); background: var(--wash); } .print-form .note { max-width: none; }";
