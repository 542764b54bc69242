//! What a plan takes of each fluid.

use std::collections::BTreeMap;

use super::{MakeUp, Placement, Tank};
use crate::options::Filling;
use crate::project::Project;
use crate::rules::FluidId;
use crate::units::{Millilitres, Money};

/// Fluid by kind, in table order: fillings, baths and what rows keep; tanks of unknown price apart.
pub fn make_up(project: &Project, placements: &[Placement], tanks: &[Tank]) -> Vec<MakeUp> {
    let outside: Vec<usize> = tanks.iter().filter(|tank| tank.cost.is_none()).map(|tank| tank.specimen).collect();
    let mut by_fluid: BTreeMap<FluidId, MakeUp> = BTreeMap::new();
    for placement in placements {
        let Some(filling) = filling(placement) else { continue };
        let own = project.collection.specimens[placement.specimen].fluid;
        let is_outside = outside.binary_search(&placement.specimen).is_ok();
        let made = by_fluid.entry(own).or_insert_with(|| none(own));
        made.rows += 1;
        if !is_outside {
            made.amount += filling.filled();
            made.reused += filling.reused;
            for &(bath, amount) in &filling.baths {
                by_fluid.entry(bath).or_insert_with(|| none(bath)).baths += amount;
            }
        }
        for (fluid, amount) in filling.needed(own) {
            let cost = project.fluid_price(fluid).per_litre(amount);
            let made = by_fluid.entry(fluid).or_insert_with(|| none(fluid));
            if is_outside {
                made.amount_outside += amount;
                made.cost_outside += cost;
            } else {
                made.cost += cost;
            }
        }
    }
    by_fluid.into_values().collect()
}

/// The fluid a placement takes, if it is placed.
pub fn filling(placement: &Placement) -> Option<Filling> {
    let Placement { charges, fluid, reused, baths, .. } = placement;
    fluid.map(|one| Filling { charges: *charges, one, reused: *reused, baths: baths.clone() })
}

fn none(fluid: FluidId) -> MakeUp {
    MakeUp {
        fluid,
        rows: 0,
        amount: Millilitres::ZERO,
        reused: Millilitres::ZERO,
        baths: Millilitres::ZERO,
        cost: Money::ZERO,
        amount_outside: Millilitres::ZERO,
        cost_outside: Money::ZERO,
    }
}
