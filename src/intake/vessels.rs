//! Reads the stock list into vessels and offers. Each row of a vessel may make one offer; the facts of the vessel are collected
//! from all its rows and checked as a whole.

mod body;
mod kind;
mod prices;
mod stated;

use std::collections::BTreeMap;

use self::kind::{VesselKind, VesselRow};
use self::prices::Prices;
use super::cells::{CellFault, quoted};
use super::columns::VesselColumn as Column;
use super::findings::{Findings, RowLeftOut};
use super::suppliers::SupplierNames;
use super::table::{InputTable, TableRow};
use crate::diagnostics::Code;
use crate::rules::Rules;
use crate::stock::{Offer, Vessel, VesselId};
use crate::units::Position;

/// Result of reading the stock list.
pub struct StockList {
    /// Sorted by id.
    pub vessels: Vec<Vessel>,
    /// Sorted by vessel, then line.
    pub offers: Vec<Offer>,
    /// Every vessel name in the list, including those of rows with errors, each with the line of its first row, or of the row
    /// that was left out.
    pub names: BTreeMap<String, usize>,
}

/// Reads the stock list.
pub fn read(
    table: &InputTable<Column>,
    rules: &Rules,
    suppliers: &mut SupplierNames,
    findings: &mut Findings,
) -> StockList {
    let mut rows = VesselRows {
        table,
        rules,
        leaves_out: findings.skips_bad_rows(),
        names: BTreeMap::new(),
        kinds: BTreeMap::new(),
        left_out: BTreeMap::new(),
        prices: Prices::default(),
    };
    table.each(findings, |row| rows.add(row, suppliers));
    rows.end(findings)
}

/// The rows of the stock list, collected by vessel.
struct VesselRows<'a> {
    table: &'a InputTable<'a, Column>,
    rules: &'a Rules,
    /// Whether rows with errors are left out. If not, what can be read of them is still checked, so that all faults are reported
    /// in one run.
    leaves_out: bool,
    names: BTreeMap<String, usize>,
    kinds: BTreeMap<String, VesselKind>,
    /// Line of the first row left out, for each vessel that has one.
    left_out: BTreeMap<String, usize>,
    prices: Prices,
}

impl VesselRows<'_> {
    fn add(&mut self, row: &mut TableRow<Column>, suppliers: &mut SupplierNames) {
        let known_bad = row.is_bad();
        let Some(name) = row.required(Column::Vessel) else { return };
        self.names.entry(name.to_owned()).or_insert(row.line);
        if known_bad {
            return;
        }
        if name.starts_with('@') || name.contains('|') {
            let says = "must_use could not name it: @tank means a custom tank, and | separates names";
            row.fault(
                Column::Vessel,
                CellFault::new(Code::ReservedName, says, "choose a name that does not start with @ and has no |"),
            );
        }
        let read = VesselRow::read(row, self.rules, suppliers);
        self.prices.add(row, name);
        match self.kinds.get_mut(name) {
            None if row.is_bad() && self.leaves_out => {}
            None => {
                self.kinds.insert(name.to_owned(), VesselKind::new(row, read, self.table));
            }
            Some(kind) => kind.merge(row, read, self.leaves_out),
        }
        if row.is_bad() && self.leaves_out {
            self.left_out.entry(name.to_owned()).or_insert(row.line);
        }
    }

    fn end(self, findings: &mut Findings) -> StockList {
        let table = self.table;
        let mut vessels = Vec::new();
        let mut offers = Vec::new();
        for (name, kind) in self.kinds {
            let mut found = Vec::new();
            let vessel = kind.vessel(&name, table, self.rules, &mut found);
            if let Some(line) = self.left_out.get(&name) {
                kind.blame_row_left_out(&name, *line, table, &mut found);
            }
            findings.row(table.line_place(kind.at.line), found);
            match vessel {
                Some(vessel) => {
                    let id = VesselId::at(vessels.len());
                    offers.extend(kind.offers.into_iter().map(|offer| Offer { vessel: id, ..offer }));
                    vessels.push(vessel);
                }
                // The error about the vessel is reported for its first row; its other rows are left out too.
                None if self.leaves_out => {
                    let others = kind.lines.iter().filter(|line| **line != kind.at.line);
                    findings.skipped.extend(others.map(|line| RowLeftOut {
                        place: table.line_place(*line),
                        message: format!("an offer of {}, which is left out", quoted(&name)),
                    }));
                }
                None => {}
            }
        }
        self.prices.end(table, findings);
        let mut names = self.names;
        names.extend(self.left_out);
        StockList { vessels, offers, names }
    }
}
