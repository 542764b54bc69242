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

/// Largest number of survey rows for which the workbook has a sheet with a line for each. Above it only `placements.csv` has.
pub const MOST_ROWS: usize = 20_000;

/// Colour of the heading of a column that must be filled in. These colours are those of the papers.
pub const MUST_COLOUR: u32 = 0x0B5A5F;
/// Colour of the heading of a column that may be filled in.
pub const MAY_COLOUR: u32 = 0xCFE3E3;
/// Colour of the heading of a column that is only read.
pub const READ_COLOUR: u32 = 0xF1F3F0;

/// Number of pages side by side on which columns of this total width in characters are printed; one if that is legible.
pub fn pages(width: f64) -> u16 {
    if width <= 190.0 { 1 } else { u16::try_from(truncated_count((width / 135.0).ceil())).unwrap_or(u16::MAX) }
}

/// The plan as a workbook.
///
/// # Errors
/// Neither threads nor temporary files can be had: the library needs one of them.
pub fn workbook(project: &Project, plan: &Plan) -> io::Result<Vec<u8>> {
    workbook_by(SheetsMade::as_possible(), project, plan)
}

/// The plan as a workbook, its sheets made in one of two ways. The cells are the same, the bytes are not.
///
/// # Errors
/// The threads or temporary files that this way needs cannot be had.
pub fn workbook_by(way: SheetsMade, project: &Project, plan: &Plan) -> io::Result<Vec<u8>> {
    // No sheet is refused: names and formulas are our own, and every text is cut to the limit of a cell.
    filled(way, project, plan).and_then(|mut book| book.save_to_buffer()).map_err(io::Error::other)
}

/// How the sheets of a workbook are assembled. The library needs a thread for each sheet, unless the rows of a sheet go through
/// a temporary file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SheetsMade {
    /// All sheets at once, each in a thread.
    InThreads,
    /// One sheet after the other, through temporary files.
    OneAfterTheOther,
}

impl SheetsMade {
    /// In threads if they can be started.
    pub fn as_possible() -> Self {
        if can_start(MOST_SHEETS) { SheetsMade::InThreads } else { SheetsMade::OneAfterTheOther }
    }

    /// Adds a sheet to a workbook.
    ///
    /// # Errors
    /// No temporary file can be made.
    pub fn add_to(self, book: &mut Workbook) -> Result<&mut Worksheet, XlsxError> {
        match self {
            SheetsMade::InThreads => Ok(book.add_worksheet()),
            SheetsMade::OneAfterTheOther => book.add_worksheet_with_low_memory(),
        }
    }
}

/// Largest number of sheets in a workbook of ours.
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

/// An empty workbook with a fixed creation date, so that its bytes do not depend on the clock.
fn untimed(title: &str) -> Result<Workbook, XlsxError> {
    let mut book = Workbook::new();
    let made = ExcelDateTime::from_ymd(2000, 1, 1)?;
    book.set_properties(&DocProperties::new().set_title(title).set_creation_datetime(&made));
    Ok(book)
}

/// Lots that need a decision, with the reason and the vessel to look for.
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

/// Width of a key column on a sheet with few columns, in characters.
const KEYS_WIDE: f64 = 10.0;
