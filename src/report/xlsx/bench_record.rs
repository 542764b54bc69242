//! The bench record, `done.xlsx`: a line for each lot to move, to be filled in at the bench.
//!
//! It is the one file of a plan's folder that people write in, so `plan.json` lists it without a digest. The file itself shows
//! whether anybody has written in it: the column `plan` holds the start of the plan's digest and a check of what is printed on
//! the line. A line is unchanged if its check is right and its columns to fill in are blank.

use std::collections::BTreeMap;
use std::io;

use rust_xlsxwriter::XlsxError;
use sha2::{Digest, Sha256};

use super::{KEYS_WIDE, SheetsMade, untimed};
use crate::plan::{Placement, Plan};
use crate::project::Project;
use crate::report::columns::Keys;
use crate::report::columns::placements::Placed;
use crate::report::table::workbook::{ByHand, Holds, Sheet, SheetCell, sheet};
use crate::report::table::{Cell, Column, Field, Table, cells};

/// Columns printed on a line, after the key and before the mark.
const fn fields<'a>() -> [Field<'a, Placed<'a>>; N_FIELDS] {
    [
        Placed::NAME.wide(26.0),
        Placed::LOCATION.wide(WIDE),
        Placed::OUTCOME.wide(WIDE),
        Placed::VESSEL_OR_TANK.wide(WIDE),
        Placed::VESSELS_TO_FILL,
        Placed::FLUID.wide(WIDE),
        Placed::FLUID_ML,
    ]
}

const N_FIELDS: usize = 7;

/// Width of a column, in characters.
const WIDE: f64 = 12.0;

/// Headers of all printed columns after the key.
pub const PRINTED: [&str; N_FIELDS + 1] = {
    let (fields, mut heads, mut index) = (fields(), [PLAN; N_FIELDS + 1], 0);
    while index < N_FIELDS {
        heads[index] = fields[index].column.name;
        index += 1;
    }
    heads
};

/// The printed column with the mark: which plan a line belongs to, and a check of the line.
pub const PLAN: &str = "plan";

/// Columns to be filled in.
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

/// The name of its sheet. If one sheet does not hold all lines, further sheets have a number after the name.
const SHEET: &str = "done";

/// Largest number of lines on a sheet. A sheet has 1 048 576 rows. Source: Microsoft, Excel specifications and limits.
const MOST_LINES: usize = 1_000_000;

/// Number of digits of the plan's digest in a mark.
const SHOWN: usize = 12;
/// Number of digits of the check in a mark.
const CHECK: usize = 6;

/// The workbook. `digest`: SHA-256 of the plan's `plan.json`, in hexadecimal.
///
/// # Errors
/// As of [`super::workbook`].
pub fn workbook(project: &Project, plan: &Plan, digest: &str) -> io::Result<Vec<u8>> {
    let to_move: Vec<&Placement> = plan.moved().collect();
    // If no lot is moved, one sheet with headings only.
    let sheets = to_move.chunks(MOST_LINES).chain(to_move.is_empty().then_some(&[][..]));
    let sheets =
        (1..).zip(sheets).map(|(number, placements)| lines((project, plan), placements, name_of(number), digest));
    book_of(sheets)
}

/// The name of a sheet, counted from 1.
fn name_of(number: usize) -> String {
    if number == 1 { SHEET.to_owned() } else { format!("{SHEET} {number}") }
}

fn book_of<'a>(sheets: impl Iterator<Item = Sheet<'a>>) -> io::Result<Vec<u8>> {
    let filled = || -> Result<Vec<u8>, XlsxError> {
        let mut book = untimed("Bench record")?;
        for lines in sheets {
            sheet(SheetsMade::as_possible(), &mut book, &lines)?;
        }
        book.save_to_buffer()
    };
    // No sheet is refused: names are our own, and every text is cut to the limit of a cell.
    filled().map_err(io::Error::other)
}

/// The workbook as it was printed, made again from the texts of its sheets. `None` if they are not a form that this version
/// prints. Line breaks and outer spaces that reading the file has changed are not restored.
pub fn printed_anew(sheets: &[(&str, &[Vec<String>])]) -> Option<Vec<u8>> {
    let again = (1..).zip(sheets).map(|(number, (name, rows))| sheet_anew(number, name, rows));
    book_of(again.collect::<Option<Vec<Sheet>>>()?.into_iter()).ok()
}

/// One of its sheets made again; sheets are counted from 1.
fn sheet_anew<'a>(number: usize, name: &str, rows: &'a [Vec<String>]) -> Option<Sheet<'a>> {
    let heads = rows.first()?;
    let keys = heads.iter().position(|head| head == PRINTED[0])?;
    let mut sheet = empty(heads[..keys].iter().map(|head| Column::text(head)), keys, name_of(number));
    let same = heads.iter().eq(sheet.table.columns.iter().map(|column| column.name)) && name == sheet.name;
    let columns = sheet.table.columns[..keys + PRINTED.len()].to_vec();
    let cell = |(column, text): (&Column, &'a str)| match text.parse::<f64>() {
        _ if text.is_empty() || column.is_words() => Some(SheetCell::from(text)),
        number => number.ok().map(SheetCell::from),
    };
    for row in &rows[1..] {
        let texts = (0..).map(|index| row.get(index).map_or("", String::as_str));
        sheet.table.rows.push(columns.iter().zip(texts).map(cell).collect::<Option<Vec<SheetCell>>>()?);
    }
    same.then_some(sheet)
}

/// A sheet without lines.
fn empty<'a>(keys: impl Iterator<Item = Column<'a>>, frozen: usize, name: String) -> Sheet<'a> {
    let printed = fields().map(|field| field.column).into_iter().chain([Column::text(PLAN).wide(WIDE)]);
    let by_hand = BY_HAND.iter().map(|column| match column.holds {
        Holds::Count | Holds::Amount => Column::whole(column.head),
        Holds::Sentences => Column::text(column.head).wide(28.0),
        _ => Column::text(column.head).wide(11.0),
    });
    let columns = keys.map(|key| key.wide(KEYS_WIDE)).chain(printed).chain(by_hand);
    let mut sheet = Sheet::new(name, Table::new("", columns));
    (sheet.by_hand, sheet.frozen) = (&BY_HAND, frozen);
    sheet
}

fn lines<'a>(
    (project, plan): (&'a Project, &'a Plan),
    placements: &[&'a Placement],
    name: String,
    digest: &str,
) -> Sheet<'a> {
    let keys = Keys::of(project);
    let mut sheet = empty(keys.columns.iter().copied(), keys.columns.len(), name);
    for placement in placements {
        let placed = Placed::of(project, plan, placement);
        let ours = cells(&fields(), placed).collect::<Vec<Cell>>();
        let mut cells: Vec<SheetCell> = keys.cells(placed.specimen).chain(ours).map(SheetCell::Value).collect();
        let texts = sheet.table.columns.iter().zip(&cells);
        let texts = texts.map(|(column, cell)| (column.name.to_lowercase(), cell.shown(column)));
        let texts: BTreeMap<String, String> = texts.filter(|(_, text)| !text.is_empty()).collect();
        let mark = mark(&digest[..SHOWN], texts.iter().map(|(head, text)| (head.as_str(), text.as_str())));
        cells.push(mark.into());
        sheet.table.rows.push(cells);
    }
    sheet
}

/// The mark in the column `plan`: `plan` (the start of the plan's digest), a hyphen (so that no spreadsheet takes it for a
/// number), and the start of a SHA-256 of `plan` and of the line. `printed`: headers in lower case and texts of the other printed
/// cells, sorted by header, without blank ones.
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
