//! Reads the two fluids of a survey row: the one it is to be kept in, and the one it is in now.

use super::cells::CellFault;
use super::columns::SpecimenColumn as Column;
use super::names::{FluidNamed, FluidNames};
use super::references::References;
use super::table::TableRow;
use crate::diagnostics::Code;
use crate::rules::hazards::Action;
use crate::rules::{Family, FluidId};

/// The fluid that a row is to be kept in.
pub(super) fn fluid(row: &mut TableRow<Column>, fluids: &mut FluidNames, references: &References) -> FluidId {
    match row.stated(Column::Fluid) {
        Some(typed) => {
            let named = fluids.find(typed);
            return found(row, Column::Fluid, &named.kept, named, references).unwrap_or(FluidId(0));
        }
        None if row.has(Column::Fluid) => {
            let message = "this cell is blank".to_owned();
            row.error(Column::Fluid, Code::BlankCell, message, "write the fluid, or unknown");
        }
        None => {}
    }
    FluidId(0)
}

/// The fluid that a row is in now, if stated.
pub(super) fn current_fluid(
    row: &mut TableRow<Column>,
    fluids: &mut FluidNames,
    references: &References,
) -> Option<FluidId> {
    let typed = row.stated(Column::CurrentFluid)?;
    let named = fluids.find(typed);
    found(row, Column::CurrentFluid, &named.present, named, references)
}

/// Returns the fluid found for a name, or reports the fault. A name that is in no table but names a hazard (`Bouin's
/// fluid`) counts as an unknown fluid, with a warning: the hazard decides what is done with the lot, and no such fluid is
/// ever made up or stored. A listed fluid under another name (`glutaraldehyde`) must be given as the table names it, unless
/// its hazard holds the lot.
fn found(
    row: &mut TableRow<Column>,
    column: Column,
    found: &Result<FluidId, CellFault>,
    named: &FluidNamed,
    references: &References,
) -> Option<FluidId> {
    let fault = match found {
        Ok(id) => return Some(*id),
        Err(fault) => fault,
    };
    let rules = references.rules;
    let not_identified = rules.fluids.iter().position(|fluid| fluid.family == Family::Unknown);
    let mut hazards = named.hazards.iter().map(|id| rules.hazards.get(*id));
    let hazard = hazards.find(|hazard| hazard.action == Action::Held || !named.words_are_listed);
    let (Some(not_identified), Some(hazard)) = (not_identified, hazard) else {
        row.fault(column, fault.clone());
        return None;
    };
    let what = format!("this is a hazard ({}), not a fluid in fluids.csv: treated as an unknown fluid", hazard.id);
    let message = row.says(column, &what);
    row.warning(column, Code::HazardousFluid, message, hazard.words.clone());
    Some(FluidId::at(not_identified))
}
