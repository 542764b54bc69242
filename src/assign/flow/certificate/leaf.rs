//! Leaves by the identifiers of the stock, as a certificate has them.

use itertools::Itertools;

use super::leaf_bound::{PackRange, Restrictions};
use crate::assign::flow::relaxation::{DualPrices, LevelWeights};
use crate::assign::flow::supplier_decision::SupplierDecision;
use crate::decision::Question;
use crate::decision::certificate::{MOST, Numbers, Weights};
use crate::stock::SupplierId;
use crate::units::{index, saturated};

/// Most leaves of a level for which undecided suppliers are expanded.
const MOST_WRITTEN_OUT: usize = 20_000;

/// The leaves of a level.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Leaves {
    /// Together they hold every plan, and no plan is in two.
    pub leaves: Vec<Leaf>,
    /// The multipliers that leaves name.
    pub numbers: Vec<Numbers>,
}

impl Leaves {
    /// Whether there is no leaf.
    pub fn is_empty(&self) -> bool {
        self.leaves.is_empty()
    }
}

/// A leaf: the restrictions of its plans, and its multipliers.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Leaf {
    /// The decided suppliers, ascending.
    pub suppliers: Vec<(SupplierId, SupplierDecision)>,
    /// The offers whose packs are limited, each once.
    pub packs: Vec<PackLimits>,
    /// Its multipliers, by position in [`Leaves::numbers`].
    pub numbers: usize,
}

/// Least and most packs of an offer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PackLimits {
    /// Index into the stock's offers.
    pub offer: usize,
    pub least: i64,
    /// `None` = no limit.
    pub most: Option<i64>,
}

/// A leaf by positions in the question.
pub struct LeafOf<'a> {
    pub restrictions: &'a Restrictions,
    pub prices: &'a DualPrices,
}

/// Leaves by the identifiers of the stock. A leaf with undecided suppliers is expanded to a leaf for each combination of their
/// states, unless there would be more than [`MOST_WRITTEN_OUT`].
pub fn leaves(question: &Question, of: &[LeafOf]) -> Leaves {
    let mut leaves = Leaves::default();
    let n_written_out: usize =
        of.iter().map(|leaf| n_written_out(question, leaf.restrictions)).fold(0, usize::saturating_add);
    for LeafOf { restrictions, prices } in of {
        let numbers = numbers(question, prices);
        let known = leaves.numbers.iter().position(|known| *known == numbers);
        let position = known.unwrap_or(leaves.numbers.len());
        if known.is_none() {
            leaves.numbers.push(numbers);
        }
        let packs = pack_limits(question, restrictions);
        let leaf = |decisions: Vec<SupplierDecision>| {
            let decided = question.suppliers.iter().zip(decisions);
            let decided = decided.filter(|(_, decision)| *decision != SupplierDecision::Undecided);
            let suppliers = decided.map(|(terms, decision)| (terms.supplier, decision)).collect();
            Leaf { suppliers, packs: packs.clone(), numbers: position }
        };
        if n_written_out <= MOST_WRITTEN_OUT {
            leaves.leaves.extend(written_out(question, restrictions).map(leaf));
        } else {
            leaves.leaves.push(leaf(restrictions.suppliers.to_vec()));
        }
    }
    leaves
}

/// All combinations of decisions about suppliers, each undecided supplier in each of its states.
fn written_out(question: &Question, restrictions: &Restrictions) -> impl Iterator<Item = Vec<SupplierDecision>> {
    let decisions = restrictions.suppliers.enumerated().map(|(supplier, decision)| match decision {
        SupplierDecision::Undecided => question.supplier_decisions(supplier).to_vec(),
        decided => vec![*decided],
    });
    decisions.multi_cartesian_product()
}

/// The number of these combinations.
fn n_written_out(question: &Question, restrictions: &Restrictions) -> usize {
    let decisions = restrictions.suppliers.enumerated();
    let undecided = decisions.filter(|(_, decision)| **decision == SupplierDecision::Undecided);
    undecided.map(|(supplier, _)| question.supplier_decisions(supplier).len()).fold(1, usize::saturating_mul)
}

fn pack_limits(question: &Question, restrictions: &Restrictions) -> Vec<PackLimits> {
    const NO_LIMIT: PackRange = (0, None);
    let mut limits = Vec::new();
    for (supply, ranges) in question.supplies.iter().zip(&restrictions.packs) {
        for (offer, &(least, most)) in supply.offers.iter().zip(ranges).filter(|(_, range)| **range != NO_LIMIT) {
            limits.push(PackLimits { offer: index(offer.offer), least, most });
        }
    }
    limits
}

fn numbers(question: &Question, prices: &DualPrices) -> Numbers {
    // Cuts nothing: scaled prices are within the limit, and those of the root leaf are 0 or 1.
    let whole = |number: i128| saturated(number.clamp(0, MOST.into()));
    let pieces = question.supplies.iter().zip(&prices.pieces).filter(|(_, price)| **price > 0);
    let goods = question.suppliers.iter().zip(&prices.goods).filter(|(_, goods)| **goods > 0);
    let LevelWeights { deferred, money, fluid, budget } = prices.weights;
    let weights = Weights {
        weighted_deferred: 0,
        deferred: deferred.map(whole),
        money: whole(money),
        fluid: whole(fluid),
        budget: whole(budget),
    };
    Numbers {
        weights,
        prices: pieces.map(|(supply, &price)| (supply.vessel, whole(price))).collect(),
        goods: goods.map(|(terms, &goods)| (terms.supplier, whole(goods))).collect(),
        ..Numbers::default()
    }
}
