//! Reads suppliers' terms and the fluid on the shelf.

use std::collections::BTreeMap;

use super::cells::CellFault;
use super::columns::{FluidStockColumn, SupplierColumn as Column};
use super::findings::Findings;
use super::names::{self, FluidNames};
use super::table::{InputTable, TableRow, Zero};
use crate::diagnostics::{Code, nearest};
use crate::rules::Rules;
use crate::stock::{OwnedFluid, Supplier, SupplierId};
use crate::units::{Millilitres, Money, Position};

/// Looks suppliers up by name. Without a suppliers' file every name is accepted, without terms.
///
/// Ids are in the order in which names first occur; [`SupplierNames::sorted`] gives the final order.
pub struct SupplierNames {
    suppliers: Vec<Supplier>,
    by_name: BTreeMap<String, SupplierId>,
    /// Names whose row has errors, each with that row (`row 4`).
    unreadable: BTreeMap<String, String>,
    /// Name of the suppliers' file, if one was read.
    file: Option<String>,
    skips_bad_rows: bool,
}

impl SupplierNames {
    /// For no suppliers' file, or one that could not be read at all (reported elsewhere).
    pub fn any() -> Self {
        Self {
            suppliers: Vec::new(),
            by_name: BTreeMap::new(),
            unreadable: BTreeMap::new(),
            file: None,
            skips_bad_rows: false,
        }
    }

    /// Reads the suppliers' file.
    pub fn read(table: &InputTable<Column>, findings: &mut Findings) -> Self {
        let mut names =
            Self { file: Some(table.file().to_owned()), skips_bad_rows: findings.skips_bad_rows(), ..Self::any() };
        let mut lines: BTreeMap<String, usize> = BTreeMap::new();
        let mut unreadable = BTreeMap::new();
        table.each(findings, |row| {
            let Some(name) = row.required(Column::Supplier) else { return };
            let first = *lines.entry(name.to_owned()).or_insert(row.line);
            if first != row.line {
                let says = format!("this supplier is also in {}", row.line_named(first));
                row.fault(Column::Supplier, CellFault::new(Code::DuplicateSupplier, says, "keep one row per supplier"));
                return;
            }
            let supplier = supplier(row, name);
            if row.is_bad() {
                unreadable.insert(name.to_owned(), row.line_named(row.line));
            } else {
                names.add(supplier);
            }
        });
        names.unreadable = unreadable;
        names
    }

    fn add(&mut self, supplier: Supplier) -> SupplierId {
        let id = SupplierId::at(self.suppliers.len());
        self.by_name.insert(supplier.name.clone(), id);
        self.suppliers.push(supplier);
        id
    }

    /// The supplier with this name; without a suppliers' file, a new one.
    pub fn find(&mut self, name: &str) -> Result<SupplierId, CellFault> {
        if let Some(id) = self.by_name.get(name) {
            return Ok(*id);
        }
        let Some(file) = &self.file else { return Ok(self.add(without_terms(name))) };
        let Some(row) = self.unreadable.get(name) else {
            let near = nearest(name, self.by_name.keys().map(String::as_str));
            return Err(names::unknown(Code::UnknownSupplier, "supplier", near, file));
        };
        if self.skips_bad_rows {
            let says = format!("{row} of {file}, which describes this supplier, could not be read");
            return Err(CellFault::new(Code::SupplierLeftOut, says, format!("correct {row} of {file}")));
        }
        Ok(self.add(without_terms(name)))
    }

    /// All suppliers sorted by name, and the new id for each id of [`SupplierNames::find`].
    pub fn sorted(self) -> (Vec<Supplier>, Vec<SupplierId>) {
        let mut moved = vec![SupplierId(0); self.suppliers.len()];
        let mut suppliers = self.suppliers;
        for (rank, id) in self.by_name.values().enumerate() {
            moved[id.0 as usize] = SupplierId::at(rank);
        }
        suppliers.sort_by(|a, b| a.name.cmp(&b.name));
        (suppliers, moved)
    }
}

/// A supplier without charge or minimum order, whose lead time is unknown.
fn without_terms(name: &str) -> Supplier {
    Supplier {
        name: name.to_owned(),
        delivery_charge: Money::ZERO,
        free_delivery_over: None,
        minimum_order: Money::ZERO,
        lead_days: None,
    }
}

fn supplier(row: &mut TableRow<Column>, name: &str) -> Supplier {
    Supplier {
        name: name.to_owned(),
        delivery_charge: row.money(Column::DeliveryCharge).unwrap_or(Money::ZERO),
        free_delivery_over: row.money(Column::FreeDeliveryOver),
        minimum_order: row.money(Column::MinimumOrder).unwrap_or(Money::ZERO),
        lead_days: row.whole(Column::LeadDays),
    }
}

/// Reads the fluid on the shelf.
pub fn owned_fluids(table: &InputTable<FluidStockColumn>, rules: &Rules, findings: &mut Findings) -> Vec<OwnedFluid> {
    let mut fluids = FluidNames::new(rules);
    let mut owned = Vec::new();
    table.each(findings, |row| {
        if row.is_bad() {
            return;
        }
        let fluid = row.required(FluidStockColumn::Fluid).map(|typed| fluids.find(typed).kept.clone());
        let volume = row.required(FluidStockColumn::Litres).and(row.volume(FluidStockColumn::Litres, Zero::Allowed));
        match (fluid, volume) {
            (Some(Ok(fluid)), Some(volume)) => owned.push(OwnedFluid {
                fluid,
                amount: Millilitres::nearest(volume),
                location: row.text(FluidStockColumn::Location).to_owned(),
            }),
            (Some(Err(fault)), _) => row.fault(FluidStockColumn::Fluid, fault),
            _ => {}
        }
    });
    owned
}
