//! Dual prices of a node's flow, in whole numbers: the multipliers of a leaf of the certificate.
//!
//! Problem: find multipliers at which the bound of a leaf by [`crate::decision::certificate`] equals the cost of its flow.
//!
//! Method: the potentials of the sinks are an optimal solution of the dual of the flow. That of a supply is π, the
//! price of a piece; that of the deferred lots of a priority is d; the multipliers of goods and budget are g and b. If
//! some lot has no room in the flow, the potentials in units of [`BIG_M`] are taken instead: they prove that the leaf
//! holds no plan (lemma of J. Farkas, 1902, from memory).
//!
//! Why it holds: any multipliers ≥ 0 give a true bound, so scaling and rounding can only lower it.

use super::multipliers::STEPS;
use super::{NodeFlow, Relaxation, Subproblem};
use crate::assign::flow::supplier_decision::SupplierDecision;
use crate::assign::flow::transport::BIG_M;
use crate::decision::certificate::MOST;
use crate::decision::{Aim, SupplierIndex, SupplyIndex};
use crate::units::{IndexTable, Money, greatest_common_divisor};

/// Multipliers by position in the question. The symbols are those of [`crate::decision::certificate`].
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct DualPrices {
    /// d, m, f, b.
    pub weights: LevelWeights,
    /// π, by supply.
    pub pieces: IndexTable<SupplyIndex, i128>,
    /// g, by supplier.
    pub goods: IndexTable<SupplierIndex, i128>,
}

/// The multipliers of the levels and of the budget.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct LevelWeights {
    /// d(q): per deferred lot of priority 1 to 4.
    pub deferred: [i128; 4],
    /// m: per ten-millionth of weighed money.
    pub money: i128,
    /// f: per millilitre.
    pub fluid: i128,
    /// b: per ten-millionth of money that counts against the budget.
    pub budget: i128,
}

impl LevelWeights {
    /// 1 for one level, 0 for all else.
    pub fn alone(aim: Aim) -> Self {
        let mut weights = Self::default();
        match aim {
            // The flow has no such level.
            Aim::WeightedDeferred => {}
            Aim::Deferred(priority) => weights.deferred[position_of(priority)] = 1,
            Aim::Money => weights.money = 1,
            Aim::Fluid => weights.fluid = 1,
        }
        weights
    }

    /// The multiplier of one level.
    pub fn of(&self, aim: Aim) -> i128 {
        match aim {
            Aim::WeightedDeferred => 0,
            Aim::Deferred(priority) => self.deferred[position_of(priority)],
            Aim::Money => self.money,
            Aim::Fluid => self.fluid,
        }
    }

    /// The same with 0 for every level after `aim`.
    pub fn up_to(mut self, aim: Aim) -> Self {
        for (priority, weight) in (1..).zip(&mut self.deferred) {
            if Aim::Deferred(priority) > aim {
                *weight = 0;
            }
        }
        if aim < Aim::Money {
            self.money = 0;
        }
        if aim < Aim::Fluid {
            self.fluid = 0;
        }
        self
    }
}

fn position_of(priority: u8) -> usize {
    usize::from(priority.clamp(1, 4)) - 1
}

impl DualPrices {
    /// Scales the multipliers so that that of the level itself, α, is a power of two, as high as [`MOST`] allows; rounds the others
    /// down; and divides all by their common factor.
    ///
    /// If the leaf of money bounds fluid too, the multiplier of fluid is that power, and that of money stays a multiple of it.
    pub fn scale_to_power_of_two(&mut self, aim: Aim) {
        let own = if self.weights.fluid > 0 { self.weights.fluid } else { self.weights.of(aim) };
        // If α is 0, the multipliers can only show that there is no plan, and only their ratios matter.
        let divisor = if own > 0 { own } else { self.common_factor() };
        let largest = self.numbers().fold(0, |largest, number| largest.max(*number));
        let room = i128::from(MOST / 2) / (largest / divisor + 1);
        if room == 0 && self.weights.fluid > 0 {
            self.weights.fluid = 0;
            return self.scale_to_power_of_two(aim);
        }
        let exponent = room.max(1).ilog2();
        self.numbers().for_each(|number| *number = times_power_of_two(*number, exponent, divisor).min(MOST.into()));
        let factor = self.common_factor();
        self.numbers().for_each(|number| *number /= factor);
    }

    fn common_factor(&mut self) -> i128 {
        self.numbers().fold(0, |factor, number| greatest_common_divisor(factor, *number)).abs().max(1)
    }

    fn numbers(&mut self) -> impl Iterator<Item = &mut i128> {
        let LevelWeights { deferred, money, fluid, budget } = &mut self.weights;
        let weights = deferred.iter_mut().chain([money, fluid, budget]);
        weights.chain(&mut self.pieces).chain(&mut self.goods)
    }
}

/// number · 2^exponent / divisor, rounded down; the divisor is cut to its 64 highest bits.
fn times_power_of_two(number: i128, exponent: u32, divisor: i128) -> i128 {
    let (whole, rest) = (number / divisor, number % divisor);
    let cut = (i128::BITS - divisor.leading_zeros()).saturating_sub(64);
    (whole << exponent) + ((rest >> cut) << exponent) / (divisor >> cut).max(1)
}

impl Relaxation<'_> {
    /// The multipliers of the flow solved last, which must be that of this subproblem. If it is infeasible, they prove that.
    pub fn dual_prices(&mut self, subproblem: &Subproblem, is_feasible: bool) -> DualPrices {
        let n_supplies = self.question.supplies.len();
        let is_short = |supplier: &SupplierIndex| !is_feasible && self.goods_out_of_reach(subproblem, *supplier);
        if let Some(short) = self.question.suppliers.positions().find(is_short) {
            let mut goods = self.question.suppliers.filled(0);
            goods[short] = 1;
            return DualPrices { weights: LevelWeights::default(), pieces: self.question.supplies.filled(0), goods };
        }
        let mut potentials = self.bounding_flow.as_mut().map(NodeFlow::dual_prices).unwrap_or_default();
        potentials.resize(n_supplies + 5, 0);
        let no_room = !is_feasible || potentials.iter().any(|&price| price > BIG_M / 2);
        if no_room {
            potentials.iter_mut().for_each(|price| *price = (*price + BIG_M / 2).div_euclid(BIG_M));
        }
        let weights = if no_room { LevelWeights::default() } else { self.weights() };
        let labour = weights.budget * i128::from(self.question.limits.labour_per_row.parts());
        let pieces = potentials[..n_supplies].iter().map(|price| price.max(&0)).copied().collect();
        let mut prices = DualPrices { weights, pieces, goods: self.question.suppliers.filled(0) };
        for (weight, price) in prices.weights.deferred.iter_mut().zip(&potentials[n_supplies + 1..]) {
            *weight = price + labour;
        }
        if !no_room && self.has_goods_constraints {
            let money = self.scaled_money(Money::from_parts(1));
            let multipliers = prices.goods.iter_mut().zip(&subproblem.goods_multiplier);
            multipliers.for_each(|(goods, steps)| *goods = money / i128::from(STEPS) * i128::from(*steps));
        }
        // A potential is the price of a piece used with its spare share; π is the price of a piece bought.
        let spare = 10_000 + i128::from(self.question.limits.spare_per_10_000);
        let shared = greatest_common_divisor(spare, 10_000);
        prices.numbers().for_each(|number| *number *= spare / shared);
        prices.pieces.iter_mut().for_each(|price| *price = *price / (spare / shared) * (10_000 / shared));
        prices
    }

    /// Priorities of which no lot may be deferred.
    pub fn never_deferred(&self) -> impl Iterator<Item = u8> + use<> {
        let (max_deferred, last) = (self.problem.max_deferred, self.problem.last_priority);
        (1..=last).filter(move |priority| max_deferred[usize::from(*priority) - 1] == 0)
    }

    /// The multipliers of money, fluid and budget in scaled cost.
    fn weights(&self) -> LevelWeights {
        let part = self.cost_of_money(Money::from_parts(1)) * self.scale;
        if self.problem.target.is_some() {
            // The level counts lots; money is limited by the budget.
            return LevelWeights { budget: part * self.budget_steps, ..LevelWeights::default() };
        }
        LevelWeights {
            money: part * self.budget_steps,
            fluid: if self.problem.fluid_second { self.scale * self.budget_steps } else { 0 },
            budget: part * self.budget_multiplier,
            ..LevelWeights::default()
        }
    }

    /// Whether all packs of a supplier that a subproblem allows together do not reach the goods needed.
    fn goods_out_of_reach(&self, subproblem: &Subproblem, supplier: SupplierIndex) -> bool {
        subproblem.suppliers[supplier] != SupplierDecision::Undecided
            && self.most_goods(subproblem, supplier) < i128::from(self.goods_needed(subproblem, supplier).parts())
    }
}
