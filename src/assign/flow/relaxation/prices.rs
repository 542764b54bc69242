//! The prices that the flow of a part puts on pieces and levels, in whole numbers: what a leaf carries.

use super::multipliers::STEPS;
use super::{Relaxation, State};
use crate::assign::flow::leaf::{MOST, Terms, Weights};
use crate::assign::flow::transport::OVERFULL;
use crate::decision::Aim;
use crate::units::Money;

/// Prices by the question's own positions.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Prices {
    /// What the levels and the budget weigh.
    pub weights: Weights<i128>,
    /// By supply, of a piece bought.
    pub pieces: Vec<i128>,
    /// By supplier, what goods weigh that must reach an amount.
    pub goods: Vec<i128>,
}

impl Prices {
    /// The same ratios in numbers that a leaf may have: the weight of the level itself is a power of two, as high as leaves
    /// room for the largest of them, and the others are rounded down. They have no common factor.
    ///
    /// Where money bounds fluid too, fluid's weight is that power, and money's a multiple of it, as it was.
    pub fn over_a_power_of_two(&mut self, aim: Aim) {
        let own = if self.weights.fluid > 0 { self.weights.fluid } else { self.weights.of(aim) };
        // A level that weighs nothing bounds nothing: only the others' ratios count.
        let over = if own > 0 { own } else { self.common_factor() };
        let largest = self.numbers().fold(0, |largest, number| largest.max(*number));
        let room = i128::from(MOST / 2) / (largest / over + 1);
        if room == 0 && self.weights.fluid > 0 {
            self.weights.fluid = 0;
            return self.over_a_power_of_two(aim);
        }
        let places = room.max(1).ilog2();
        self.numbers().for_each(|number| *number = times_power_of_two(*number, places, over).min(MOST.into()));
        let factor = self.common_factor();
        self.numbers().for_each(|number| *number /= factor);
    }

    fn common_factor(&mut self) -> i128 {
        self.numbers().fold(0, |factor, number| greatest_common_divisor(factor, *number)).max(1)
    }

    fn numbers(&mut self) -> impl Iterator<Item = &mut i128> {
        let Weights { deferred, money, fluid, budget } = &mut self.weights;
        let weights = deferred.iter_mut().chain([money, fluid, budget]);
        weights.chain(&mut self.pieces).chain(&mut self.goods)
    }
}

/// A number times a power of two over another number, rounded down; nearly so where that has more than 64 places.
fn times_power_of_two(number: i128, places: u32, over: i128) -> i128 {
    let (whole, rest) = (number / over, number % over);
    let beyond = (i128::BITS - over.leading_zeros()).saturating_sub(64);
    (whole << places) + ((rest >> beyond) << places) / (over >> beyond).max(1)
}

/// Of two numbers, not below nothing.
pub(super) fn greatest_common_divisor(a: i128, b: i128) -> i128 {
    if b == 0 { a.abs() } else { greatest_common_divisor(b, a % b) }
}

impl Relaxation<'_> {
    /// The prices of the part solved last. Where it was found impossible they show that.
    ///
    /// The flow's own prices (the lowest of those that make every row's place its cheapest) are a best solution of the dual,
    /// so with them the bound is the flow's cost. Where rows have no room, only what the lack of room costs is taken: then
    /// they say that there is none (the lemma of Farkas).
    pub fn prices(&mut self, state: &State, possible: bool) -> Prices {
        let n_suppliers = self.question.suppliers.len();
        let n_supplies = self.question.supplies.len();
        if let Some(short) = (0..n_suppliers).find(|&supplier| !possible && self.goods_out_of_reach(state, supplier)) {
            let mut goods = vec![0; n_suppliers];
            goods[short] = 1;
            return Prices { weights: Weights::default(), pieces: vec![0; n_supplies], goods };
        }
        let mut flow = self.bounding.as_mut().map(super::solution::Solution::prices).unwrap_or_default();
        flow.resize(n_supplies + 5, 0);
        let full = !possible || flow.iter().any(|&price| price > OVERFULL / 2);
        if full {
            flow.iter_mut().for_each(|price| *price = (*price + OVERFULL / 2).div_euclid(OVERFULL));
        }
        let weights = if full { Weights::default() } else { self.weights() };
        let labour = weights.budget * i128::from(self.question.limits.labour_per_row.parts());
        let pieces = flow[..n_supplies].iter().map(|price| price.max(&0)).copied().collect();
        let mut prices = Prices { weights, pieces, goods: vec![0; n_suppliers] };
        for (weight, price) in prices.weights.deferred.iter_mut().zip(&flow[n_supplies + 1..]) {
            *weight = price + labour;
        }
        if !full && self.priced_by_goods {
            let money = self.scaled_money(Money::from_parts(1));
            let multipliers = prices.goods.iter_mut().zip(&state.multiplier);
            multipliers.for_each(|(weight, steps)| *weight = money / i128::from(STEPS) * i128::from(*steps));
        }
        // The flow's price is of a piece with its spare beside it.
        let spare = 10_000 + i128::from(self.question.limits.spare_per_10_000);
        let shared = greatest_common_divisor(spare, 10_000);
        prices.numbers().for_each(|number| *number *= spare / shared);
        prices.pieces.iter_mut().for_each(|price| *price = *price / (spare / shared) * (10_000 / shared));
        prices
    }

    /// Priorities of which the goal places every row.
    pub fn never_deferred(&self) -> impl Iterator<Item = u8> + use<> {
        let (deferred, last) = (self.goal.deferred, self.goal.last_priority);
        (1..=last).filter(move |priority| deferred[usize::from(*priority) - 1] == 0)
    }

    /// What money, fluid and the budget weigh in scaled cost.
    fn weights(&self) -> Weights<i128> {
        let part = self.cost_of_money(Money::from_parts(1)) * self.scale;
        if self.goal.enough.is_some() {
            // Money is counted only because the budget limits it.
            return Weights { budget: part * self.budget_steps, ..Weights::default() };
        }
        Weights {
            money: part * self.budget_steps,
            fluid: if self.goal.then_fluid { self.scale * self.budget_steps } else { 0 },
            budget: part * self.budget_multiplier,
            ..Weights::default()
        }
    }

    /// Whether all packs that a part leaves of a supplier's offers are short of what its goods must reach.
    fn goods_out_of_reach(&self, state: &State, supplier: usize) -> bool {
        let ours =
            self.offers.iter().zip(&state.most).filter(|(offer, _)| offer.terms.supplier == Some(supplier as u32));
        let most: i128 = ours.map(|(offer, &most)| i128::from(offer.terms.pack_price.parts()) * i128::from(most)).sum();
        state.terms[supplier] != Terms::Undecided && most < i128::from(self.goods_needed(state, supplier).parts())
    }
}
