//! The prices used by a plan that are still defaults, not the user's own.

use super::Plan;
use crate::project::Project;
use crate::rules::FluidId;
use crate::tank::cost::{self, TankPrice};
use crate::units::Money;

/// A price that is still the default. Those of tanks are one value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DefaultPrice {
    /// The price of a fluid.
    Fluid(FluidId),
    /// Prices of the parts of tanks, at least one.
    Tank(Vec<TankPrice>),
}

/// The default prices that a plan uses.
pub fn default_prices(project: &Project, plan: &Plan) -> Vec<DefaultPrice> {
    let of_fluid = plan.make_up.iter().map(|made| made.fluid).filter(|id| {
        let fluid = project.rules.fluid(*id);
        fluid.price_is_default && fluid.price > Money::ZERO
    });
    let mut prices: Vec<DefaultPrice> = of_fluid.map(DefaultPrice::Fluid).collect();
    let defaults = cost::defaults_in_use(&project.settings);
    if !defaults.is_empty() && plan.tanks.iter().any(|tank| tank.price_basis.is_estimate()) {
        prices.push(DefaultPrice::Tank(defaults));
    }
    prices
}
