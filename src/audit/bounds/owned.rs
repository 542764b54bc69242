//! Owned fluids: all lots together pay only for what they need beyond the owned amount.

use super::Least;
use crate::audit::fluids::price_of;
use crate::project::Project;
use crate::rules::FluidId;
use crate::units::{Millilitres, Money, greatest_common_divisor};

/// The fluids that are owned and have a price.
pub(super) struct OwnedFluids {
    fluids: Vec<OwnedPrice>,
    /// Position in `fluids`, by fluid.
    position: Vec<Option<usize>>,
}

struct OwnedPrice {
    /// Millilitres owned.
    amount: i128,
    /// Of a litre, with loss and tax.
    price: Money,
}

impl OwnedFluids {
    pub(super) fn of(project: &Project) -> Self {
        let mut owned = OwnedFluids { fluids: Vec::new(), position: Vec::new() };
        for (_, index) in project.rules.fluids.iter().zip(0..) {
            let fluid = FluidId(index);
            let stock = project.stock.fluids.iter().filter(|stock| stock.fluid == fluid);
            let amount = stock.map(|stock| i128::from(stock.amount.0)).sum();
            let price = price_of(project, fluid);
            let counts = amount > 0 && price > Money::ZERO;
            owned.position.push(counts.then_some(owned.fluids.len()));
            if counts {
                owned.fluids.push(OwnedPrice { amount, price });
            }
        }
        owned
    }

    pub(super) fn len(&self) -> usize {
        self.fluids.len()
    }

    /// Position of a fluid in this list, if it is owned and has a price.
    pub(super) fn position(&self, fluid: FluidId) -> Option<usize> {
        self.position.get(usize::from(fluid.0)).copied().flatten()
    }

    /// Price of a litre.
    pub(super) fn price(&self, position: usize) -> Money {
        self.fluids[position].price
    }

    /// The greatest common divisor of their prices of a millilitre: it divides all that is paid for them.
    pub(super) fn unit(&self) -> u64 {
        let millilitre = |fluid: &OwnedPrice| fluid.price.per_litre(Millilitres(1)).parts().unsigned_abs();
        self.fluids.iter().map(millilitre).fold(0, greatest_common_divisor)
    }

    /// Σ multiplier · owned amount.
    pub(super) fn at(&self, multipliers: &[i64]) -> Least {
        let owned = self.fluids.iter().zip(multipliers);
        let products = owned.map(|(fluid, multiplier)| fluid.amount.checked_mul(i128::from(*multiplier)));
        Least::of(products.into_iter().try_fold(0_i128, |sum, product| sum.checked_add(product?)))
    }
}
