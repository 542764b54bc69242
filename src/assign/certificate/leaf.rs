//! A leaf as a plan carries it.

use super::bound::Part;
use crate::assign::relaxation::Prices;
use crate::decision::Question;
use crate::decision::leaf::{Leaf, MOST, PackLimits, Terms, Weights};
use crate::rules::FluidId;
use crate::stock::SupplierId;
use crate::units::Money;

/// A part with its prices, named as the stock names things.
pub fn leaf(question: &Question, part: &Part, prices: &Prices, fluid_prices: &[(FluidId, Money)]) -> Leaf {
    let supplier = |position: usize| SupplierId(question.suppliers[position].supplier);
    let decided = part.terms.iter().enumerate().filter(|(_, terms)| **terms != Terms::Undecided);
    let mut packs = Vec::new();
    for (supply, limits) in question.supplies.iter().zip(&part.packs) {
        for (offer, &(least, most)) in supply.offers.iter().zip(limits).filter(|(_, limits)| **limits != (0, None)) {
            packs.push(PackLimits { offer: offer.offer as usize, least, most });
        }
    }
    // Reduced numbers are no larger.
    let whole = |number: i128| number.clamp(0, MOST.into()) as i64;
    let pieces = question.supplies.iter().zip(&prices.pieces).filter(|(_, price)| **price > 0);
    let goods = prices.goods.iter().enumerate().filter(|(_, weight)| **weight > 0);
    let Weights { deferred, money, fluid, budget } = prices.weights;
    let weights =
        Weights { deferred: deferred.map(whole), money: whole(money), fluid: whole(fluid), budget: whole(budget) };
    Leaf {
        suppliers: decided.map(|(position, &terms)| (supplier(position), terms)).collect(),
        packs,
        weights,
        prices: pieces.map(|(supply, &price)| (supply.vessel, whole(price))).collect(),
        goods: goods.map(|(position, &weight)| (supplier(position), whole(weight))).collect(),
        fluid_prices: fluid_prices.to_vec(),
    }
}
