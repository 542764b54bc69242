//! The plan as a workbook: `plan.xlsx`.
//!
//! The sheets hold the cells of the CSV files, numbers as numbers; totals are formulas, each saved with the value that the
//! plan has for it. No time is written, so the same plan gives the same bytes. The form to fill in is a workbook of its own
//! ([`bench_record`]).

pub mod bench_record;
mod order;
mod placed;
mod summary;

use std::io;

use rust_xlsxwriter::{DocProperties, ExcelDateTime, Workbook, Worksheet, XlsxError};

use super::columns::Keys;
use super::columns::placements::Placed;
use super::table::workbook::{Sheet, SheetCell, sheet};
use super::table::{Table, cells};
use crate::plan::{Outcome, Plan};
use crate::project::Project;
use crate::system::threads::can_start;
use crate::units::truncated_count;

/// Above this many rows of the survey the workbook has no sheet with a line for each: `placements.csv` has.
pub const MOST_ROWS: usize = 20_000;

/// Colours of heads, those of the papers: what must be filled in, what may be, and what is only read.
pub const MUST: u32 = 0x0B5A5F;
/// What may be filled in.
pub const MAY: u32 = 0xCFE3E3;
/// What is only read.
pub const READ: u32 = 0xF1F3F0;

/// Pages that columns so wide together, in characters, are printed on side by side: one where it can still be read.
pub fn pages(width: f64) -> u16 {
    if width <= 190.0 { 1 } else { u16::try_from(truncated_count((width / 135.0).ceil())).unwrap_or(u16::MAX) }
}

/// The plan as a workbook.
///
/// # Errors
/// Where threads and files for a time are both refused: the library needs one of them.
pub fn workbook(project: &Project, plan: &Plan) -> io::Result<Vec<u8>> {
    workbook_by(SheetsMade::as_possible(), project, plan)
}

/// The same with its sheets made in one of the two ways: the cells are the same, the bytes are not.
///
/// # Errors
/// Where what that takes is refused.
pub fn workbook_by(way: SheetsMade, project: &Project, plan: &Plan) -> io::Result<Vec<u8>> {
    // Names and formulas are our own and every text is cut to what a cell takes.
    filled(way, project, plan).and_then(|mut book| book.save_to_buffer()).map_err(io::Error::other)
}

/// How the sheets of a workbook are put together. The library does each on a thread of its own and cannot do without, unless its
/// rows go through a file for a time, one after the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SheetsMade {
    /// All at once.
    InThreads,
    /// Through files.
    OneAfterTheOther,
}

impl SheetsMade {
    /// In threads where they can be started.
    pub fn as_possible() -> Self {
        if can_start(MOST_SHEETS) { SheetsMade::InThreads } else { SheetsMade::OneAfterTheOther }
    }

    /// Adds a sheet.
    ///
    /// # Errors
    /// Where no file can be made.
    pub fn add_to(self, book: &mut Workbook) -> Result<&mut Worksheet, XlsxError> {
        match self {
            SheetsMade::InThreads => Ok(book.add_worksheet()),
            SheetsMade::OneAfterTheOther => book.add_worksheet_with_low_memory(),
        }
    }
}

/// No workbook of ours has more sheets.
const MOST_SHEETS: usize = 12;

fn filled(way: SheetsMade, project: &Project, plan: &Plan) -> Result<Workbook, XlsxError> {
    let mut book = untimed("Plan")?;
    let in_full = plan.placements.len() <= MOST_ROWS;
    let carried = placed::headers_carried(project);
    let mut sheets = vec![summary::summary(project, plan, in_full), decisions(project, plan)];
    sheets.extend([order::order(project, plan), order::suppliers(project, plan)]);
    if in_full {
        sheets.push(placed::placements(project, plan, &carried));
    }
    sheets.extend([
        placed::groups(project, plan),
        placed::tanks(project, plan),
        placed::panes(project, plan),
        order::make_up(project, plan),
        order::fluid_orders(project, plan),
        order::spent(project, plan),
    ]);
    for made in &sheets {
        sheet(way, &mut book, made)?;
    }
    Ok(book)
}

/// An empty workbook that states no time of its own making.
fn untimed(title: &str) -> Result<Workbook, XlsxError> {
    let mut book = Workbook::new();
    let made = ExcelDateTime::from_ymd(2000, 1, 1)?;
    book.set_properties(&DocProperties::new().set_title(title).set_creation_datetime(&made));
    Ok(book)
}

/// Rows that a person must decide, with what for, and the kinds of vessel to look for.
fn decisions<'a>(project: &'a Project, plan: &'a Plan) -> Sheet<'a> {
    let fields = [Placed::NAME.wide(28.0), Placed::REASON.wide(50.0), Placed::WANTED.wide(50.0)];
    let keys = Keys::of(project);
    let columns = keys.columns.iter().map(|key| key.wide(KEYS_WIDE)).chain(fields.map(|field| field.column));
    let mut sheet = Sheet::new("needs a decision", Table::new("", columns));
    for placement in plan.placements.iter().filter(|row| row.outcome == Outcome::NeedsDecision) {
        let placed = Placed::of(project, plan, placement);
        sheet.table.row(keys.cells(placed.specimen).chain(cells(&fields, placed)).map(SheetCell::Value));
        if sheet.table.rows.len() == MOST_ROWS {
            sheet.table.row(["more in placements.csv".into()]);
            break;
        }
    }
    sheet
}

/// Characters that a key column is wide beside few others.
const KEYS_WIDE: f64 = 10.0;
