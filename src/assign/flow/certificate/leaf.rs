//! Leaves as a plan carries them.

use itertools::Itertools;

use super::bound::Part;
use crate::assign::flow::leaf::{Leaf, Leaves, MOST, MOST_LEAVES, Numbers, PackLimits, Terms, Weights};
use crate::assign::flow::relaxation::Prices;
use crate::decision::Question;
use crate::stock::SupplierId;

/// A part with the prices that bound it.
pub struct Bounded<'a> {
    pub part: &'a Part,
    pub prices: &'a Prices,
}

/// Parts with the prices that bound them, named as the stock names things. What is undecided about a supplier is
/// written out, as far as there may be so many leaves.
pub fn leaves(question: &Question, parts: &[Bounded]) -> Leaves {
    let mut leaves = Leaves::default();
    let written_out: usize =
        parts.iter().map(|bounded| n_decided(question, bounded.part)).fold(0, usize::saturating_add);
    for Bounded { part, prices } in parts {
        let numbers = numbers(question, prices);
        let known = leaves.numbers.iter().position(|known| *known == numbers);
        let position = known.unwrap_or(leaves.numbers.len());
        if known.is_none() {
            leaves.numbers.push(numbers);
        }
        let packs = packs(question, part);
        let leaf = |terms: Vec<Terms>| {
            let decided = terms.into_iter().enumerate().filter(|(_, terms)| *terms != Terms::Undecided);
            let suppliers = decided.map(|(supplier, terms)| (supplier_of(question, supplier), terms)).collect();
            Leaf { suppliers, packs: packs.clone(), numbers: position }
        };
        if written_out <= MOST_LEAVES {
            leaves.parts.extend(decided(question, part).map(leaf));
        } else {
            leaves.parts.push(leaf(part.terms.clone()));
        }
    }
    leaves
}

/// The terms of all suppliers with each that is undecided as all that it can be.
fn decided(question: &Question, part: &Part) -> impl Iterator<Item = Vec<Terms>> {
    let states = part.terms.iter().enumerate().map(|(supplier, terms)| match terms {
        Terms::Undecided => question.terms_of(supplier).to_vec(),
        terms => vec![*terms],
    });
    states.multi_cartesian_product()
}

/// How many these are.
fn n_decided(question: &Question, part: &Part) -> usize {
    let undecided = part.terms.iter().enumerate().filter(|(_, terms)| **terms == Terms::Undecided);
    undecided.map(|(supplier, _)| question.terms_of(supplier).len()).fold(1, usize::saturating_mul)
}

fn packs(question: &Question, part: &Part) -> Vec<PackLimits> {
    let mut packs = Vec::new();
    for (supply, limits) in question.supplies.iter().zip(&part.packs) {
        for (offer, &(least, most)) in supply.offers.iter().zip(limits).filter(|(_, limits)| **limits != (0, None)) {
            packs.push(PackLimits { offer: offer.offer as usize, least, most });
        }
    }
    packs
}

fn numbers(question: &Question, prices: &Prices) -> Numbers {
    // Numbers made for a leaf are no larger.
    let whole = |number: i128| number.clamp(0, MOST.into()) as i64;
    let pieces = question.supplies.iter().zip(&prices.pieces).filter(|(_, price)| **price > 0);
    let goods = prices.goods.iter().enumerate().filter(|(_, weight)| **weight > 0);
    let Weights { deferred, money, fluid, budget } = prices.weights;
    let weights =
        Weights { deferred: deferred.map(whole), money: whole(money), fluid: whole(fluid), budget: whole(budget) };
    Numbers {
        weights,
        prices: pieces.map(|(supply, &price)| (supply.vessel, whole(price))).collect(),
        goods: goods.map(|(position, &weight)| (supplier_of(question, position), whole(weight))).collect(),
    }
}

fn supplier_of(question: &Question, position: usize) -> SupplierId {
    SupplierId(question.suppliers[position].supplier)
}
