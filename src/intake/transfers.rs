//! Reads the table of transfers: the baths from one fluid or family to one fluid or to a family.
//!
//! If a row leads to a family, its last bath is the name of the family and stands for the fluid that the lot is to be kept in.
//! The row applies to every fluid of the family that has no row of its own from the same fluid or family. Baths of the family
//! that are at least as strong as that fluid are left out: a lot on its way to 50 % is not taken through 70 %.

use super::cells::{CellFault, quoted};
use super::columns::TransferColumn as Column;
use super::names;
use super::rule_tables::{FluidOrFamily, Named, fluid_or_family, text};
use super::table::TableRow;
use crate::diagnostics::{Code, nearest};
use crate::rules::{Family, Fluid, FluidId, Rules, Transfer};

/// A row of the table.
pub(super) struct TransferRow {
    /// A fluid's id or a family's name.
    from: String,
    to: FluidOrFamily,
    /// The baths; without the last one if the row leads to a family.
    baths: Vec<FluidId>,
    /// Days in each bath, including the last.
    days: Vec<f64>,
    source: String,
    note: String,
}

impl Named for TransferRow {
    fn names(&self) -> Vec<String> {
        let to = match self.to {
            FluidOrFamily::Fluid(id) => id.0.to_string(),
            FluidOrFamily::Family(family) => family.name().to_owned(),
        };
        vec![format!("{} to {to}", self.from)]
    }
}

/// Reads a row. With `passes_over_unknown`, a row that names an unknown fluid is passed over (a user's table may have left that
/// fluid out).
pub(super) fn way(row: &mut TableRow<Column>, rules: &Rules, passes_over_unknown: bool) -> Option<TransferRow> {
    let from = row.required(Column::From).map(|typed| fluid_or_family(rules, typed));
    let to = row.required(Column::To).map(|typed| fluid_or_family(rules, typed));
    row.required(Column::Baths);
    let mut typed: Vec<&str> = row.list(Column::Baths).collect();
    let family = match to {
        Some(Ok(FluidOrFamily::Family(family))) => Some(family),
        _ => None,
    };
    let ends_in_family = family.is_some_and(|family| typed.last().is_some_and(|last| *last == family.name()));
    if ends_in_family {
        typed.pop();
    }
    let baths: Result<Vec<FluidId>, CellFault> = typed.into_iter().map(|typed| bath(rules, typed)).collect();
    row.required(Column::DaysPerBath);
    let days = row.numbers(Column::DaysPerBath, 0.0..=3650.0);
    if passes_over_unknown && (matches!(from, Some(Err(_))) || matches!(to, Some(Err(_))) || baths.is_err()) {
        return None;
    }
    let from = from.and_then(|from| from.map_err(|fault| row.fault(Column::From, fault)).ok());
    let to = to.and_then(|to| to.map_err(|fault| row.fault(Column::To, fault)).ok());
    let baths = baths.map_err(|fault| row.fault(Column::Baths, fault)).ok();
    let (from, to, baths) = (from?, to?, baths?);
    let wanted = match to {
        FluidOrFamily::Fluid(id) if !baths.is_empty() && baths.last() != Some(&id) => Some(rules.fluid(id).id.as_str()),
        FluidOrFamily::Family(family) if !ends_in_family => Some(family.name()),
        _ => None,
    };
    if let Some(wanted) = wanted {
        let says = format!("the last bath must be {wanted}, the fluid it is kept in");
        row.fault(Column::Baths, CellFault::new(Code::WrongLastBath, says, "name the baths in order, separated by |"));
    }
    let days = days_of(row, days?, baths.len() + usize::from(ends_in_family))?;
    let from = match from {
        FluidOrFamily::Fluid(id) => rules.fluid(id).id.clone(),
        FluidOrFamily::Family(family) => family.name().to_owned(),
    };
    Some(TransferRow { from, to, baths, days, source: text(row, Column::Source), note: text(row, Column::Note) })
}

fn bath(rules: &Rules, typed: &str) -> Result<FluidId, CellFault> {
    rules.fluid_named(typed).ok_or_else(|| {
        let near = nearest(typed, rules.fluids.iter().map(|fluid| fluid.id.as_str()));
        let mut fault = names::unknown(Code::UnknownFluid, "fluid", near, "fluids.csv");
        fault.says = format!("no fluid {} is known", quoted(typed));
        fault
    })
}

/// Days in each of this many baths: one number applies to all.
fn days_of(row: &mut TableRow<Column>, days: Vec<f64>, baths: usize) -> Option<Vec<f64>> {
    match days[..] {
        [all] => Some(vec![all; baths]),
        ref each if each.len() == baths => Some(days),
        ref each => {
            let says = format!("{} numbers of days are given for {baths} baths", each.len());
            let cure = "write one number for all, or one for each";
            row.fault(Column::DaysPerBath, CellFault::new(Code::DaysAndBaths, says, cure));
            None
        }
    }
}

/// All transfers: first those to one fluid, in table order, then those that rows to families add.
pub(super) fn transfers_of(rules: &Rules, ways: Vec<TransferRow>) -> Vec<Transfer> {
    let mut transfers = Vec::new();
    let mut to_families = Vec::new();
    for way in ways {
        match way.to {
            FluidOrFamily::Fluid(to) => {
                let TransferRow { from, baths, days, source, note, .. } = way;
                transfers.push(Transfer { from, to, baths, days, source, note });
            }
            FluidOrFamily::Family(family) => to_families.push((way, family)),
        }
    }
    for (way, family) in &to_families {
        let of_family =
            rules.fluids.iter().enumerate().filter(|(_, fluid)| fluid.is_of(*family) && !fluid.present_only);
        for (i, fluid) in of_family {
            let to = FluidId::at(i);
            if fluid.id != way.from && !transfers.iter().any(|known| known.from == way.from && known.to == to) {
                transfers.push(within_family(rules, way, *family, fluid, to));
            }
        }
    }
    transfers
}

/// The transfer to one fluid of the family.
fn within_family(rules: &Rules, way: &TransferRow, family: Family, fluid: &Fluid, to: FluidId) -> Transfer {
    let weaker = |bath: &Fluid| match (bath.strength_pct, fluid.strength_pct) {
        (Some(bath), Some(wanted)) => bath < wanted,
        _ => true,
    };
    let steps = way.baths.iter().zip(&way.days);
    let steps = steps.filter(|(id, _)| !rules.fluid(**id).is_of(family) || weaker(rules.fluid(**id)));
    let (mut baths, mut days): (Vec<FluidId>, Vec<f64>) = steps.map(|(id, days)| (*id, *days)).unzip();
    baths.push(to);
    days.extend(way.days.last());
    Transfer { from: way.from.clone(), to, baths, days, source: way.source.clone(), note: way.note.clone() }
}
