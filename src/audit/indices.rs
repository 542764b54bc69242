//! Checks, before anything else, that every row, vessel and offer that a plan names exists.

use std::fmt::Display;

use super::Finding;
use super::claims::Claims;
use crate::plan::{Caution, DefaultPrice, Plan, Warning};
use crate::project::Project;

/// Every row, vessel, offer, supplier and fluid that a plan names and its project does not have.
pub(super) fn outside(project: &Project, plan: &Plan) -> Vec<Finding> {
    let (stock, rules) = (&project.stock, &project.rules);
    let n_rows = project.collection.specimens.len();
    let mut claims = Claims::default();
    let mut within = |claim: &dyn Display, index: usize, n: usize| {
        if index >= n {
            // People count from 1.
            let (number, one) = (index.saturating_add(1), if n == 1 { "entry" } else { "entries" });
            claims.refute(claim, format!("entry {number} of a list"), format!("a list of {n} {one}"));
        }
    };
    for (i, row) in plan.placements.iter().enumerate() {
        within(&format_args!("placements[{i}].specimen"), row.specimen, n_rows);
        if let Some(vessel) = row.vessel {
            within(&format_args!("placements[{i}].vessel"), vessel.0 as usize, stock.vessels.len());
        }
        if let Some((vessel, _)) = row.near_miss.as_deref() {
            within(&format_args!("placements[{i}].near_miss.vessel"), vessel.0 as usize, stock.vessels.len());
        }
    }
    for (i, line) in plan.purchases.iter().enumerate() {
        within(&format_args!("purchases[{i}].offer"), line.offer, stock.offers.len());
    }
    for (i, line) in plan.deliveries.iter().enumerate() {
        within(&format_args!("deliveries[{i}].supplier"), line.supplier.0 as usize, stock.suppliers.len());
    }
    for (i, tank) in plan.tanks.iter().enumerate() {
        within(&format_args!("tanks[{i}].specimen"), tank.specimen, n_rows);
    }
    for (i, sheet) in plan.sheets.iter().enumerate() {
        for pane in &sheet.panes {
            within(&format_args!("sheets[{i}].panes"), pane.specimen, n_rows);
        }
    }
    for (i, line) in plan.make_up.iter().enumerate() {
        within(&format_args!("make_up[{i}].fluid"), usize::from(line.fluid.0), rules.fluids.len());
    }
    for (i, want) in plan.wants.iter().enumerate() {
        for &row in &want.specimens {
            within(&format_args!("wants[{i}].specimens"), row, n_rows);
        }
    }
    of_what_is_said(project, plan, &mut within);
    claims.findings
}

/// Vessels, hazards and fluids that warnings, cautions and default prices name.
fn of_what_is_said(project: &Project, plan: &Plan, within: &mut dyn FnMut(&dyn Display, usize, usize)) {
    let rules = &project.rules;
    for (i, warning) in plan.warnings.iter().enumerate() {
        if let Warning::LabelTooLarge { vessels } = warning {
            for vessel in vessels {
                within(&format_args!("warnings[{i}].vessels"), vessel.0 as usize, project.stock.vessels.len());
            }
        }
    }
    for (i, caution) in plan.cautions.iter().enumerate() {
        if let Caution::Hazard(hazard) = caution {
            within(&format_args!("cautions[{i}].hazard"), usize::from(hazard.0), rules.hazards.all().count());
        }
    }
    for (i, price) in plan.prices_not_yours.iter().enumerate() {
        if let DefaultPrice::Fluid(fluid) = price {
            within(&format_args!("prices_not_yours[{i}].fluid"), usize::from(fluid.0), rules.fluids.len());
        }
    }
}
