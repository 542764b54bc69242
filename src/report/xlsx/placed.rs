//! Sheets on placements: every lot, groups by outcome and vessel, tanks and their panes.

use crate::report::left_out::first;
use std::collections::BTreeMap;

use crate::plan::{Outcome, Plan};
use crate::project::Project;
use crate::report::columns::placements::Placed;
use crate::report::columns::tanks::{CutLine, Made};
use crate::report::columns::{Keys, carried, carried_headers};
use crate::report::table::workbook::{Sheet, SheetCell};
use crate::report::table::{Cell, Column, Table, cells};
use crate::units::Millilitres;

/// A sheet with the columns of a CSV file and the input rows that were left out. The key columns stay in sight.
fn of_file<'a>(
    (project, plan): (&'a Project, &'a Plan),
    name: &'static str,
    ours: impl IntoIterator<Item = Column<'a>>,
) -> (Sheet<'a>, Keys<'a>) {
    let keys = Keys::of(project);
    let columns = keys.columns.iter().copied().chain(ours);
    let mut table = Table::new("", columns).in_currency(&project.settings.currency);
    for row in first(&plan.skipped_rows) {
        let blank = std::iter::repeat_n(Cell::Blank, table.columns.len().saturating_sub(2));
        table.rows.push(["left out".into(), row.into()].into_iter().chain(blank).map(SheetCell::Value).collect());
    }
    let mut sheet = Sheet::new(name, table);
    sheet.frozen = keys.columns.len();
    (sheet, keys)
}

/// A line for each row of the survey, in its order. `carried_headers`: headers of survey columns that are only copied.
pub fn placements<'a>(project: &'a Project, plan: &'a Plan, carried_headers: &'a [String]) -> Sheet<'a> {
    let ours = Placed::FILE.map(|field| field.column).into_iter();
    let columns = ours.chain(carried_headers.iter().map(|header| Column::text(header)));
    let (mut sheet, keys) = of_file((project, plan), "placements", columns);
    for placement in &plan.placements {
        let placed = Placed::of(project, plan, placement);
        let ours = cells(&Placed::FILE, placed);
        let row = keys.cells(placed.specimen).chain(ours).chain(carried(placed.specimen));
        sheet.table.row(row.map(SheetCell::Value));
    }
    sheet
}

/// Headers of survey columns that are only copied.
pub fn headers_carried(project: &Project) -> Vec<String> {
    carried_headers(project, &Placed::FILE.map(|field| field.column))
}

/// A line for each tank, and the total of the known prices.
pub fn tanks<'a>(project: &'a Project, plan: &'a Plan) -> Sheet<'a> {
    let (mut sheet, keys) = of_file((project, plan), "tanks", Made::FILE.map(|field| field.column));
    for tank in Made::all(project, plan) {
        sheet.table.row(keys.cells(tank.specimen).chain(cells(&Made::FILE, tank)).map(SheetCell::Value));
    }
    sheet.totals(&[("cost", plan.totals.tanks.into())]);
    sheet
}

/// The cut lists of all tanks.
pub fn panes<'a>(project: &'a Project, plan: &'a Plan) -> Sheet<'a> {
    let (mut sheet, keys) = of_file((project, plan), "panes", CutLine::FILE.map(|field| field.column));
    for tank in Made::all(project, plan) {
        for cut in tank.cuts() {
            sheet.table.row(keys.cells(tank.specimen).chain(cells(&CutLine::FILE, cut)).map(SheetCell::Value));
        }
    }
    sheet
}

/// Shown instead of the outcome for lots that wait for the price of their tank.
pub const NO_PRICE: &str = "tank without a price";

/// A line for each outcome and vessel; lots that wait for the price of their tank have a line of their own.
pub fn groups<'a>(project: &'a Project, plan: &'a Plan) -> Sheet<'a> {
    let mut found: BTreeMap<(usize, bool, &str), (usize, i64, Millilitres)> = BTreeMap::new();
    let rank = |outcome: Outcome| Outcome::ALL.iter().position(|known| *known == outcome).unwrap_or_default();
    for placement in &plan.placements {
        let vessel = placement.vessel.map_or("", |id| project.stock.vessel(id).id.as_str());
        let group = found.entry((rank(placement.outcome), plan.waits_for_price(placement), vessel)).or_default();
        let charges = placement.fit.map_or(1, |fit| i64::from(fit.charges));
        group.0 += 1;
        group.1 += placement.fit.map_or(0, |fit| i64::from(fit.pieces));
        group.2 += placement.fluid.map_or(Millilitres::ZERO, |fluid| fluid * charges);
    }
    let columns = [
        Column::text("outcome").wide(18.0),
        Column::text("vessel").wide(24.0),
        Column::whole("lots"),
        Column::whole("pieces"),
        Column::litres("litres"),
    ];
    let mut sheet = Sheet::new("groups", Table::new("", columns));
    for ((rank, waits, vessel), (rows, pieces, fluid)) in found {
        let outcome = if waits { NO_PRICE } else { Outcome::ALL[rank].name() };
        sheet.table.row([outcome.into(), vessel.into(), rows.into(), pieces.into(), fluid.into()]);
    }
    sheet.totals(&[("lots", plan.placements.len().into())]);
    sheet
}
