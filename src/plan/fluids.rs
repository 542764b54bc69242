//! The volume of each fluid that a plan needs, what it is made from, and what must be bought.

use std::collections::BTreeMap;

use super::{FluidOrder, MadeFrom, MakeUp, Placement, Tank};
use crate::fluid::containers::{Container, cover};
use crate::fluid::formaldehyde::FormaldehydeStock;
use crate::fluid::recipe::{Concentrates, recipe};
use crate::fluid::{Solute, Solution};
use crate::options::Filling;
use crate::project::Project;
use crate::rules::FluidId;
use crate::settings::Settings;
use crate::units::{Millilitres, Money, Volume, truncated};

/// The amounts of each fluid, in table order: fillings, baths, present fluid kept, fluid on the shelf. Tanks of unknown price
/// are counted separately.
pub fn make_up(project: &Project, placements: &[Placement], tanks: &[Tank]) -> Vec<MakeUp> {
    let outside = outside(tanks);
    let mut by_fluid: BTreeMap<FluidId, MakeUp> = BTreeMap::new();
    for placement in placements {
        let Some(filling) = filling(placement) else { continue };
        let own = project.collection.specimens[placement.specimen].fluid;
        let is_outside = outside.binary_search(&placement.specimen).is_ok();
        let made = by_fluid.entry(own).or_insert_with(|| none(own));
        if is_outside {
            for (fluid, amount) in filling.needed(own) {
                by_fluid.entry(fluid).or_insert_with(|| none(fluid)).amount_outside += amount;
            }
            continue;
        }
        made.rows += 1;
        made.amount += filling.filled();
        made.reused += filling.reused;
        for &(bath, amount) in &filling.baths {
            by_fluid.entry(bath).or_insert_with(|| none(bath)).baths += amount;
        }
    }
    let concentrates = concentrates(&project.settings);
    for made in by_fluid.values_mut() {
        let price = project.fluid_price(made.fluid);
        let needed = made.needed();
        made.from_stock = owned(project, made.fluid).min(needed);
        let missing = needed - made.from_stock;
        made.cost = price.per_litre(missing);
        made.cost_outside = price.per_litre(made.amount_outside);
        made.to_make = with_loss(&project.settings, missing);
        made.made_from = made_from(&project.rules.fluid(made.fluid).id, &concentrates, made.to_make);
    }
    by_fluid.into_values().collect()
}

/// The rows that wait for the price of their tank, in survey order.
pub fn outside(tanks: &[Tank]) -> Vec<usize> {
    tanks.iter().filter(|tank| tank.cost.is_none()).map(|tank| tank.specimen).collect()
}

impl MakeUp {
    /// The volume needed for the rows in the totals.
    pub fn needed(&self) -> Millilitres {
        self.amount - self.reused + self.baths
    }
}

/// What must be bought, by id: concentrates, and fluids bought ready for use. Water is not bought.
pub fn orders(project: &Project, make_up: &[MakeUp]) -> Vec<FluidOrder> {
    let mut orders: BTreeMap<String, FluidOrder> = BTreeMap::new();
    for made in make_up.iter().filter(|made| made.to_make > Millilitres::ZERO) {
        let id = &project.rules.fluid(made.fluid).id;
        let (bought, amount) = match &made.made_from {
            Some(from) => (&from.concentrate, from.amount),
            None if id == WATER => continue,
            None => (id, made.to_make),
        };
        let order = orders.entry(bought.clone()).or_insert_with(|| FluidOrder {
            fluid: bought.clone(),
            needed: Millilitres::ZERO,
            from_stock: Millilitres::ZERO,
            containers: Vec::new(),
            cost: None,
            counted: Money::ZERO,
        });
        order.needed += amount;
        order.counted += made.cost;
    }
    for order in orders.values_mut() {
        let id = project.rules.fluids.iter().position(|fluid| fluid.id == order.fluid).map(FluidId::at);
        // Fluid that is used as it is has been taken from the shelf already.
        let shelf = id.map_or(Millilitres::ZERO, |id| {
            let used = make_up.iter().find(|made| made.fluid == id).map_or(Millilitres::ZERO, |made| made.from_stock);
            owned(project, id) - used
        });
        order.from_stock = shelf.min(order.needed);
        if let Some(sold) = project.settings.containers.get(&order.fluid) {
            let containers: Vec<Container> = sold.0.iter().map(|&(holds, price)| Container { holds, price }).collect();
            let counts = cover(order.needed - order.from_stock, &containers);
            let bought = containers.iter().zip(counts).filter(|(_, count)| *count > 0);
            order.containers = bought.map(|(container, count)| (container.holds, container.price, count)).collect();
            order.cost = Some(order.containers.iter().map(|(_, price, count)| *price * *count).sum());
        }
    }
    orders.into_values().collect()
}

/// The id of water, which is not bought.
const WATER: &str = "water";

/// Cost of whole containers less the cost of their fluid by the litre.
pub fn containers(orders: &[FluidOrder]) -> Money {
    orders.iter().filter_map(|order| order.cost.map(|cost| cost - order.counted)).sum()
}

/// The fluid a placement takes, if it is placed.
pub fn filling(placement: &Placement) -> Option<Filling> {
    let Placement { charges, fluid, reused, baths, .. } = placement;
    fluid.map(|one| Filling { charges: *charges, one, reused: *reused, baths: baths.clone() })
}

/// The owned volume of a fluid, in all places together.
pub fn owned(project: &Project, fluid: FluidId) -> Millilitres {
    project.stock.fluids.iter().filter(|owned| owned.fluid == fluid).map(|owned| owned.amount).sum()
}

/// A volume with losses added, rounded up to a millilitre.
fn with_loss(settings: &Settings, amount: Millilitres) -> Millilitres {
    Millilitres(truncated((amount.0 as f64 * (1.0 + settings.fluid_loss_pct.ratio()) - LEAST_LOSS).ceil()))
}

/// Differences below this, in millilitres, are rounding errors.
const LEAST_LOSS: f64 = 1e-6;

/// The concentrates and conditions for making up fluids, from the settings.
pub fn concentrates(settings: &Settings) -> Concentrates {
    let of = [
        (Solute::Ethanol, settings.ethanol_pct),
        (Solute::DenaturedAlcohol, settings.denatured_pct),
        (Solute::Isopropanol, settings.isopropanol_pct),
        (Solute::Glycerol, settings.glycerol_pct),
    ];
    let labelled = settings.formaldehyde_pct.0;
    Concentrates {
        solutions: of.into_iter().filter_map(|(solute, strength)| Solution::of(solute, strength.0)).collect(),
        formaldehyde: (labelled, FormaldehydeStock::labelled(labelled).unwrap_or(FormaldehydeStock::usual())),
    }
}

fn made_from(id: &str, concentrates: &Concentrates, made: Millilitres) -> Option<MadeFrom> {
    let recipe = recipe(id, concentrates, Volume::at_least_zero(made.0 as f64))?;
    Some(MadeFrom {
        concentrate: recipe.concentrate,
        amount: Millilitres::nearest(recipe.amount),
        water: recipe.water.map(Millilitres::nearest),
        salts: recipe
            .salts
            .iter()
            .map(|(name, mass)| ((*name).to_owned(), truncated((mass.g() * 1000.0).round())))
            .collect(),
    })
}

fn none(fluid: FluidId) -> MakeUp {
    MakeUp {
        fluid,
        rows: 0,
        amount: Millilitres::ZERO,
        reused: Millilitres::ZERO,
        baths: Millilitres::ZERO,
        from_stock: Millilitres::ZERO,
        cost: Money::ZERO,
        to_make: Millilitres::ZERO,
        made_from: None,
        amount_outside: Millilitres::ZERO,
        cost_outside: Money::ZERO,
    }
}
