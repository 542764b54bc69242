//! The bench record, `done.xlsx`: a line for each lot to move, to be filled in at the bench.
//!
//! It is the one file of a plan's folder that people write in, so `plan.json` lists it without a digest. Whether anybody has
//! written in it can be told from the file alone: the column `plan` holds the plan's digest and a check of what is printed on
//! that line. A line whose check is right and which holds nothing more is as it was printed.

use std::collections::BTreeMap;
use std::io;

use rust_xlsxwriter::XlsxError;
use sha2::{Digest, Sha256};

use super::placed::{key_cells, key_head, key_heads};
use super::sheet::{ByHand, Cell, Head, Holds, Sheet, sheet};
use super::untimed;
use crate::plan::{Outcome, Placement, Plan};
use crate::project::Project;

/// What is printed on a line, after the key.
pub const PRINTED: [&str; 8] =
    ["scientificName", "location", "outcome", "vessel", "vessels", "fluid", "fluid_ml", PLAN];

/// The printed column that says of which plan a line is, and whether it is as it was printed.
pub const PLAN: &str = "plan";

/// What is to be filled in.
pub const BY_HAND: [ByHand; 10] = [
    by_hand("done", "yes or no", Holds::YesOrNo),
    by_hand("vessel_used", "the vessel it went into, if not the one printed", Holds::Words),
    by_hand("pieces_used", "how many of them, if not the number printed", Holds::Count),
    by_hand("ml_used", "fluid that went in, in ml, if not the amount printed", Holds::Amount),
    by_hand("broken", "pieces that broke", Holds::Count),
    by_hand("date", "when, as 2027-03-14", Holds::Day),
    by_hand("minutes", "how long it took", Holds::Amount),
    by_hand("by", "who", Holds::Words),
    by_hand("problem", "what went wrong, or is still to be done", Holds::Sentences),
    by_hand("note", "anything else", Holds::Sentences),
];

const fn by_hand(head: &'static str, meaning: &'static str, holds: Holds) -> ByHand {
    ByHand { head, meaning, holds }
}

/// The name of its sheet; further ones, where a sheet does not hold all lines, have a number.
const SHEET: &str = "done";

/// Lines on a sheet. A sheet has 1 048 576 rows. Source: Microsoft, Excel specifications and limits.
const MOST_LINES: usize = 1_000_000;

/// Digits of a plan's digest that a line shows, and of the check of the line.
const SHOWN: usize = 12;
const CHECK: usize = 6;

/// The workbook. `digest`: SHA-256 of the plan's `plan.json`, in hexadecimal.
///
/// # Errors
/// As of [`super::workbook`].
pub fn workbook(project: &Project, plan: &Plan, digest: &str) -> io::Result<Vec<u8>> {
    let to_move: Vec<&Placement> = plan.moved().collect();
    // One sheet with the heads where nothing is to move.
    let sheets = to_move.chunks(MOST_LINES).chain(to_move.is_empty().then_some(&[][..]));
    let sheets = (1..).zip(sheets).map(|(number, placements)| lines(project, placements, name_of(number), digest));
    book_of(sheets)
}

/// The name of a sheet, counted from 1.
fn name_of(number: usize) -> String {
    if number == 1 { SHEET.to_owned() } else { format!("{SHEET} {number}") }
}

fn book_of(sheets: impl Iterator<Item = Sheet>) -> io::Result<Vec<u8>> {
    let filled = || -> Result<Vec<u8>, XlsxError> {
        let mut book = untimed("Bench record")?;
        for lines in sheets {
            sheet(&mut book, &lines)?;
        }
        book.save_to_buffer()
    };
    // Names are our own and every text is cut to what a cell takes.
    filled().map_err(io::Error::other)
}

/// The workbook as it was printed, from the texts of its sheets; `None` where they are no form as this version prints it. Texts
/// that a reader finds changed (line breaks, spaces around) are not put back.
pub fn printed_anew(sheets: &[(&str, &[Vec<String>])]) -> Option<Vec<u8>> {
    let again = |(number, (name, rows)): (usize, &(&str, &[Vec<String>]))| {
        let heads = rows.first()?;
        let keys = heads.iter().position(|head| head == PRINTED[0])?;
        let mut sheet = empty(heads[..keys].iter().map(|head| key_head(head)), keys, name_of(number));
        let same = heads.iter().eq(sheet.heads.iter().map(|head| &head.text)) && *name == sheet.name;
        let cell = |column: usize, text: &String| match heads[column].as_str() {
            "vessels" | "fluid_ml" if !text.is_empty() => text.parse().ok().map(Cell::Number),
            _ => Some(Cell::text(text)),
        };
        for row in &rows[1..] {
            let blank = String::new();
            let texts = (0..keys + PRINTED.len()).map(|column| (column, row.get(column).unwrap_or(&blank)));
            sheet.rows.push(texts.map(|(column, text)| cell(column, text)).collect::<Option<Vec<Cell>>>()?);
        }
        same.then_some(sheet)
    };
    let sheets: Option<Vec<Sheet>> = (1..).zip(sheets).map(again).collect();
    book_of(sheets?.into_iter()).ok()
}

/// A sheet without lines.
fn empty(keys: impl Iterator<Item = Head>, frozen: usize, name: String) -> Sheet {
    let printed = PRINTED.map(|head| match head {
        "vessels" | "fluid_ml" => Head::number(head, 0),
        "scientificName" => Head::text(head, 26.0),
        _ => Head::text(head, 12.0),
    });
    let by_hand = BY_HAND.iter().map(|column| match column.holds {
        Holds::Count | Holds::Amount => Head::number(column.head, 0),
        Holds::Sentences => Head::text(column.head, 28.0),
        _ => Head::text(column.head, 11.0),
    });
    let mut sheet = Sheet::new(name, keys.chain(printed).chain(by_hand).collect());
    (sheet.by_hand, sheet.frozen) = (&BY_HAND, frozen);
    sheet
}

fn lines(project: &Project, placements: &[&Placement], name: String, digest: &str) -> Sheet {
    let mut sheet = empty(key_heads(project), project.collection.key_headers.len(), name);
    for placement in placements {
        let mut cells: Vec<Cell> = line(project, placement).collect();
        let texts = sheet.heads.iter().zip(&cells).map(|(head, cell)| (head.text.to_lowercase(), cell.shown()));
        let texts: BTreeMap<String, String> = texts.filter(|(_, text)| !text.is_empty()).collect();
        let mark = mark(&digest[..SHOWN], texts.iter().map(|(head, text)| (head.as_str(), text.as_str())));
        cells.push(Cell::Text(mark));
        sheet.rows.push(cells);
    }
    sheet
}

/// What is printed on a line, the key first, but for its mark.
fn line(project: &Project, placement: &Placement) -> impl Iterator<Item = Cell> {
    let specimen = &project.collection.specimens[placement.specimen];
    let vessel = match (placement.outcome, placement.vessel) {
        (Outcome::CustomTank, _) => "@tank",
        (_, id) => id.map_or("", |id| project.stock.vessel(id).id.as_str()),
    };
    let cells = [
        Cell::text(&specimen.name),
        Cell::text(&specimen.location),
        Cell::text(placement.outcome.name()),
        Cell::text(vessel),
        Cell::number(placement.fit.map_or(1, |fit| fit.pieces)),
        Cell::text(&project.rules.fluid(specimen.fluid).id),
        placement.fluid.map_or(Cell::Blank, |fluid| Cell::Number(fluid.0 as f64)),
    ];
    key_cells(project, placement.specimen).chain(cells)
}

/// What stands in the column `plan`: the start of the plan's digest, a hyphen (so that no spreadsheet takes it for a
/// number), and a check of what else is printed on the line: heads in lower case and texts, in order of the heads, blank ones left out.
pub fn mark<'a>(plan: &str, printed: impl Iterator<Item = (&'a str, &'a str)>) -> String {
    let mut digest = Sha256::new();
    digest.update(plan);
    for text in printed.flat_map(|(head, text)| [head, text]) {
        digest.update([0]);
        digest.update(text.trim());
    }
    let check: String = digest.finalize().iter().map(|byte| format!("{byte:02x}")).collect();
    format!("{plan}-{}", &check[..CHECK])
}
