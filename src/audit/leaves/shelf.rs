//! Prices of owned fluid: at any up to the full one, what is needed at it less what is owned at it is no more than what is
//! truly paid.

use std::collections::BTreeMap;

use crate::audit::claims::Claims;
use crate::audit::exact::Exact;
use crate::audit::fluids::price_of;
use crate::plan::Plan;
use crate::project::Project;
use crate::rules::FluidId;
use crate::units::Money;

/// Owned fluid at the prices at which a plan's bounds hold.
pub(in crate::audit) struct Shelf {
    prices: BTreeMap<FluidId, Money>,
    /// What is owned at these prices, in ten-millionths.
    pub(super) credit: i128,
}

impl Shelf {
    /// As the plan states them, each no more than the fluid costs; full prices where it states none.
    pub(in crate::audit) fn of(project: &Project, plan: &Plan, claims: &mut Claims) -> Self {
        let stated: BTreeMap<FluidId, Money> = plan.shelf_prices.iter().copied().collect();
        let mut prices = BTreeMap::new();
        let mut credit = 0_i128;
        for owned in &project.stock.fluids {
            let full = price_of(project, owned.fluid);
            let price = stated.get(&owned.fluid).copied().unwrap_or(full);
            let price = price.clamp(Money::ZERO, full);
            prices.insert(owned.fluid, price);
            credit = credit.saturating_add(Exact::per_litre(price, i128::from(owned.amount.0)).0);
        }
        for (i, (fluid, price)) in plan.shelf_prices.iter().enumerate() {
            let full = price_of(project, *fluid);
            if !prices.contains_key(fluid) || !(Money::ZERO..=full).contains(price) {
                let derived = format!("an owned fluid at no more than {}", full.text());
                claims.refute(format_args!("shelf_prices[{i}]"), price.text(), derived);
            }
        }
        Shelf { prices, credit }
    }

    pub(super) fn price(&self, project: &Project, fluid: FluidId) -> Money {
        self.prices.get(&fluid).copied().unwrap_or_else(|| price_of(project, fluid))
    }
}
