//! The plan as CSV files, with the columns that [`super::columns`] defines.

use std::io::{self, Write};

use super::columns::placements::Placed;
use super::columns::purchases::Ordered;
use super::columns::tanks::{CutLine, Made, OrderedSheets};
use super::columns::{Keys, carried, carried_headers, fluids};
use super::table::csv::{file, head, lines};
use super::table::{Column, Field, cells};
use crate::plan::{Placement, Plan};
use crate::project::Project;
use crate::system::threads::made_and_written;

pub use super::table::csv::{guarded, texts, unguarded};

fn columns<R>(fields: &[Field<'_, R>]) -> Vec<Column<'static>> {
    fields.iter().map(|field| field.column).collect()
}

/// Writes `placements.csv` block by block: input rows that could not be read, then a line for each row of the survey, in its
/// order.
///
/// # Errors
/// `out` cannot be written.
pub fn write_placements(project: &Project, plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
    let keys = Keys::of(project);
    let ours = columns(&Placed::FILE);
    let carried_headers = carried_headers(project, &ours);
    let carried_columns = carried_headers.iter().map(|header| Column::text(header));
    let columns: Vec<Column> = keys.columns.iter().copied().chain(ours).chain(carried_columns).collect();
    out.write_all(&head(&columns, &plan.skipped_rows))?;
    let make = |share: &[Placement]| {
        let rows = share.iter().map(|placement| {
            let placed = Placed::of(project, plan, placement);
            keys.cells(placed.specimen).chain(cells(&Placed::FILE, placed)).chain(carried(placed.specimen))
        });
        lines(&columns, rows)
    };
    made_and_written(&plan.placements, ROWS_AT_A_TIME, make, |lines| out.write_all(lines))
}

/// `placements.csv` as bytes.
pub fn placements(project: &Project, plan: &Plan) -> Vec<u8> {
    let mut bytes = Vec::new();
    write_placements(project, plan, &mut bytes).expect("memory takes all");
    bytes
}

/// Number of rows in a block that is made and written at once.
const ROWS_AT_A_TIME: usize = 50_000;

/// `purchases.csv`: a line per offer bought; after those of each supplier a line for its delivery.
pub fn purchases(project: &Project, plan: &Plan) -> Vec<u8> {
    let rows = Ordered::by_supplier(project, plan);
    file(&columns(&Ordered::FILE), &plan.skipped_rows, rows.into_iter().map(|row| cells(&Ordered::FILE, row)))
}

/// `tanks.csv`: a line per custom tank, in survey order.
pub fn tanks(project: &Project, plan: &Plan) -> Vec<u8> {
    let keys = Keys::of(project);
    let columns: Vec<Column> = keys.columns.iter().copied().chain(columns(&Made::FILE)).collect();
    let rows = Made::all(project, plan).map(|tank| keys.cells(tank.specimen).chain(cells(&Made::FILE, tank)));
    file(&columns, &plan.skipped_rows, rows)
}

/// `panes.csv`: the cut lists of all tanks, in survey order.
pub fn panes(project: &Project, plan: &Plan) -> Vec<u8> {
    let keys = Keys::of(project);
    let columns: Vec<Column> = keys.columns.iter().copied().chain(columns(&CutLine::FILE)).collect();
    let rows = Made::all(project, plan).flat_map(|tank| {
        let keys = &keys;
        tank.cuts().map(move |cut| keys.cells(tank.specimen).chain(cells(&CutLine::FILE, cut)))
    });
    file(&columns, &plan.skipped_rows, rows)
}

/// `sheets.csv`: the stock sheets to order, a line for each thickness and size, with the share that becomes panes.
pub fn sheets(plan: &Plan) -> Vec<u8> {
    let rows = OrderedSheets::all(plan).map(|sheets| cells(&OrderedSheets::FILE, sheets));
    file(&columns(&OrderedSheets::FILE), &plan.skipped_rows, rows)
}

/// `make-up.csv`: a line per fluid to be made up, then per fluid or concentrate to be bought, then per kind of spent
/// fluid; the first cell says which.
pub fn make_up(project: &Project, plan: &Plan) -> Vec<u8> {
    let rows = fluids::Line::all(project, plan).map(|line| cells(&fluids::Line::FILE, line));
    file(&columns(&fluids::Line::FILE), &plan.skipped_rows, rows)
}
