//! Recomputes the flammable fluid in each place: that of lots where they stand, owned fluid on its shelf, and at the preparation
//! place what is made up, brought there, emptied, rinsed out, left over and spent.
//!
//! Amounts made, bought and taken from the shelf have been checked against the inputs before this runs.

use std::collections::{BTreeMap, BTreeSet};

use super::claims::Claims;
use super::fluids::{unpriced, waits};
use crate::plan::{FluidOrder, Placement, Plan};
use crate::project::Project;
use crate::rules::{Family, Fluid, FluidId};
use crate::settings::BathsIn;
use crate::units::Millilitres;

/// Millilitres now, rows whose volume is not stated, millilitres afterwards, millilitres at the peak.
type FlammableSums = [i128; 4];

/// Whether a fluid counts as flammable: an alcohol, an unidentified fluid, or one with a flash point up to 93 °C (where the
/// last hazard category of flammable liquids ends).
fn burns(fluid: &Fluid) -> bool {
    fluid.family == Family::Alcohol
        || fluid.family == Family::Unknown
        || fluid.flash_c.is_some_and(|flash| flash <= 93.0)
}

/// Recomputes the flammable fluid in each place from the lots, the fluid to make up and the fluid to buy, and compares the plan
/// with it.
pub(super) fn audit(project: &Project, plan: &Plan, claims: &mut Claims) {
    let mut places = Places { project, sums: BTreeMap::new() };
    let unpriced = unpriced(plan);
    for row in &plan.placements {
        places.lot(row, &unpriced);
    }
    let brought = places.owned(plan);
    let made: i128 = plan
        .make_up
        .iter()
        .map(|made| {
            let own = if burns(project.rules.fluid(made.fluid)) { made.to_make.0 } else { 0 };
            let from = made.made_from.as_ref().filter(|from| places.burns_by_id(&from.concentrate));
            i128::from(own.max(from.map_or(0, |from| from.amount.0)))
        })
        .sum();
    let left: i128 = plan.fluid_orders.iter().filter(|order| places.burns_by_id(&order.fluid)).map(left_over).sum();
    // Owned concentrate is part of the fluid that is made from it, so it is not counted twice.
    let from_shelves = plan.fluid_orders.iter().filter(|order| places.burns_by_id(&order.fluid));
    let from_shelves: i128 = from_shelves.map(|order| i128::from(order.from_stock.0)).sum();
    places.at_preparation([0, 0, left, made + left + brought - from_shelves]);
    places.sums.retain(|_, sums| *sums != [0; 4]);
    let stated: Vec<&str> = plan.flammable.iter().map(|place| place.location.as_str()).collect();
    let named: Vec<&str> = places.sums.keys().map(String::as_str).collect();
    // A place may have an empty name or a comma in its name; in quotes these differ from no place and from two places.
    claims.same("flammable: locations", format!("{stated:?}"), format!("{named:?}"));
    for (i, line) in plan.flammable.iter().enumerate() {
        let Some([before, unknown, after, peak]) = places.sums.get(&line.location) else { continue };
        let at = |field: &str| format!("flammable[{i}].{field}");
        claims.litres(at("litres_before"), i128::from(line.before.0), *before);
        claims.same(at("rows_not_stated"), line.not_stated as i128, *unknown);
        claims.litres(at("litres_after"), i128::from(line.after.0), *after);
        claims.litres(at("litres_peak"), i128::from(line.peak.0), *peak);
    }
}

/// Fluid left over in whole containers.
fn left_over(order: &FluidOrder) -> i128 {
    let bought = order.containers.iter();
    let bought: i128 = bought.map(|(holds, _, count)| i128::from(holds.0).saturating_mul(i128::from(*count))).sum();
    (bought - i128::from(order.needed.0) + i128::from(order.from_stock.0)).max(0)
}

struct Places<'a> {
    project: &'a Project,
    sums: BTreeMap<String, FlammableSums>,
}

impl Places<'_> {
    fn burns(&self, fluid: FluidId) -> bool {
        burns(self.project.rules.fluid(fluid))
    }

    fn burns_by_id(&self, id: &str) -> bool {
        self.project.rules.fluids.iter().any(|fluid| fluid.id == id && burns(fluid))
    }

    fn at(&mut self, place: &str, more: FlammableSums) {
        let sums = self.sums.entry(place.to_owned()).or_default();
        for (sum, more) in sums.iter_mut().zip(more) {
            *sum = sum.saturating_add(more);
        }
    }

    fn at_preparation(&mut self, more: FlammableSums) {
        let place = self.project.settings.preparation_place.clone();
        self.at(&place, more);
    }

    /// Adds a lot where it stands, and its spent fluid at the preparation place.
    fn lot(&mut self, row: &Placement, unpriced: &BTreeSet<usize>) {
        let specimen = &self.project.collection.specimens[row.specimen];
        let present = specimen.current_fluid.unwrap_or(specimen.fluid);
        let stated = specimen.particulars.current_fluid_ml.map(|volume| i128::from(Millilitres::nearest(volume).0));
        let hazards = &specimen.particulars.known_hazards;
        let hazardous = hazards.iter().any(|id| self.project.rules.hazards.get(*id).flammable == Some(true));
        let burns_now = hazardous || self.burns(present);
        let (now, unknown) = match stated {
            _ if !burns_now => (0, 0),
            Some(now) => (now, 0),
            None => (0, 1),
        };
        let Some(one) = row.fluid.filter(|_| !waits(row, unpriced)) else {
            return self.at(&specimen.location, [now, unknown, now, now]);
        };
        let own = self.burns(specimen.fluid);
        let (one, kept) = if own { (i128::from(one.0), i128::from(row.reused.0)) } else { (0, 0) };
        self.at(&specimen.location, [now, unknown, one, now.saturating_add(one) - kept]);
        let poured = if stated.is_some() && burns_now { now - i128::from(row.reused.0) } else { 0 };
        let mut waste = poured.saturating_add(one.saturating_mul(i128::from(row.charges.max(1) - 1)));
        let (mut rinsed, mut burning) = (0_i128, burns_now);
        for &(bath, amount) in &row.baths {
            let amount = i128::from(amount.0);
            let is_water = self.project.rules.fluid(bath).family == Family::Aqueous;
            burning = if is_water { burning } else { self.burns(bath) };
            if burning {
                waste = waste.saturating_add(amount);
                rinsed = rinsed.saturating_add(if is_water { amount } else { 0 });
            }
            if self.burns(bath) && self.project.settings.baths_in == BathsIn::Vessel {
                self.at(&specimen.location, [0, 0, 0, amount]);
            }
        }
        self.at_preparation([0, 0, waste, poured.saturating_add(rinsed)]);
    }

    /// Adds owned fluid on its shelves, used from the preparation place first. Returns the amount brought there from other places.
    fn owned(&mut self, plan: &Plan) -> i128 {
        let mut shelves: BTreeMap<(FluidId, bool, String), i128> = BTreeMap::new();
        let preparation = self.project.settings.preparation_place.clone();
        for owned in &self.project.stock.fluids {
            let place = if owned.location.is_empty() { &preparation } else { &owned.location };
            let shelf = shelves.entry((owned.fluid, *place != preparation, place.clone())).or_default();
            *shelf = shelf.saturating_add(i128::from(owned.amount.0));
        }
        let mut taken: BTreeMap<FluidId, i128> = BTreeMap::new();
        let mut brought = 0_i128;
        for ((fluid, elsewhere, place), amount) in shelves {
            if !self.burns(fluid) {
                continue;
            }
            let id = &self.project.rules.fluid(fluid).id;
            let as_it_is =
                plan.make_up.iter().filter(|made| made.fluid == fluid).map(|made| i128::from(made.from_stock.0));
            let for_others = plan.fluid_orders.iter().filter(|order| order.fluid == *id);
            let used: i128 = as_it_is.chain(for_others.map(|order| i128::from(order.from_stock.0))).sum();
            let before = taken.entry(fluid).or_default();
            let from_here = amount.min(used - *before);
            *before += from_here;
            self.at(&place, [amount, 0, amount - from_here, amount]);
            brought = brought.saturating_add(if elsewhere { from_here } else { 0 });
        }
        brought
    }
}
