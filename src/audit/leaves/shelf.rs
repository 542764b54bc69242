//! Owned fluid at a leaf's prices: at any up to the full one, what is needed at it less what is owned at it is no more than
//! what is truly paid.

use crate::audit::exact::Exact;
use crate::audit::fluids::price_of;
use crate::decision::leaf::Numbers;
use crate::project::Project;
use crate::rules::FluidId;
use crate::units::{Millilitres, Money};

/// Prices of fluid at which leaves hold, and what is owned at them.
#[derive(PartialEq, Eq)]
pub(super) struct Shelf {
    /// Of a litre, by fluid.
    prices: Vec<Money>,
    /// In ten-millionths.
    pub(super) credit: i128,
}

impl Shelf {
    /// At the prices of numbers, which must be [`sound`]; what they do not name costs what it costs.
    pub(super) fn of(project: &Project, numbers: &Numbers) -> Self {
        let fluids = (0..project.rules.fluids.len()).map(|index| FluidId(index as u16));
        let mut prices: Vec<Money> = fluids.map(|fluid| price_of(project, fluid)).collect();
        numbers.fluid_prices.iter().for_each(|(fluid, price)| prices[usize::from(fluid.0)] = *price);
        let owned = project.stock.fluids.iter();
        let owned = owned.map(|owned| Exact::per_litre(prices[usize::from(owned.fluid.0)], i128::from(owned.amount.0)));
        let credit = owned.sum::<Exact>().0;
        Shelf { prices, credit }
    }

    pub(super) fn price(&self, fluid: FluidId) -> Money {
        self.prices[usize::from(fluid.0)]
    }
}

/// What is wrong with the prices of owned fluid, if anything: every one is of a fluid that is owned, once, in order, from nothing
/// to what it costs.
pub(super) fn sound(project: &Project, numbers: &Numbers) -> Result<(), String> {
    let named = |fluid: FluidId| {
        let known = project.rules.fluids.get(usize::from(fluid.0));
        known.map_or_else(|| format!("fluid number {}", fluid.0), |known| known.id.clone())
    };
    for &(fluid, price) in &numbers.fluid_prices {
        let mut owned = project.stock.fluids.iter();
        if !owned.any(|owned| owned.fluid == fluid && owned.amount > Millilitres::ZERO) {
            return Err(format!("a price of {}, which is not owned", named(fluid)));
        }
        if !(Money::ZERO..=price_of(project, fluid)).contains(&price) {
            return Err(format!("{} at {}", named(fluid), price.text()));
        }
    }
    let rising = numbers.fluid_prices.windows(2).all(|pair| pair[0].0 < pair[1].0);
    if rising { Ok(()) } else { Err("prices of fluid out of order".to_owned()) }
}
