//! Makes the children of a node, each with the best prices found for it.

use std::rc::Rc;

use super::leaf_bound::{NO_PLAN, Restrictions};
use super::node::{NodePrices, PricedNode};
use super::tree::CertificateTree;
use crate::assign::flow::relaxation::{DualPrices, RelaxedSolution, Subproblem};
use crate::decision::Aim;
use crate::units::Money;

/// Rounding of prices lowers a bound by less than one part in this many.
const ROUNDING_SHARE: i128 = 1_000_000;

/// The best bounds found for a child, and the prices that give them.
type Best = Option<(Vec<i128>, NodePrices)>;

/// Dual prices of the flow of a child, with the estimated bounds.
struct Estimate {
    child: usize,
    bounds: Vec<i128>,
    prices: DualPrices,
}

impl CertificateTree<'_> {
    /// Finds prices for each child and keeps the children as nodes. First without an optimal flow: if the flow costs enough before
    /// that, its prices suffice. Then, for the other children, at the optimal flow.
    pub(super) fn add_children(&mut self, mut subproblems: Vec<Subproblem>, restrictions: Vec<Restrictions>) {
        let mut best: Vec<Best> = restrictions.iter().map(|_| None).collect();
        let mut last_solved: Option<(usize, RelaxedSolution)> = None;
        let enough = self.enough();
        let before_its_end = |tree: &mut Self, child: usize| {
            let subproblem = &mut subproblems[child];
            let costs_enough = tree.relaxation.costs_at_least(subproblem, enough);
            let prices = costs_enough.then(|| tree.relaxation.dual_prices(subproblem, true))?;
            Some(Estimate { child, bounds: tree.needed.clone(), prices })
        };
        self.take_better(&restrictions, &mut best, before_its_end);
        let at_optimal_flow = |tree: &mut Self, child: usize| {
            let subproblem = &mut subproblems[child];
            subproblem.seek_multipliers_anew();
            let relaxed = tree.relaxation.solve(subproblem);
            let prices = tree.relaxation.dual_prices(subproblem, relaxed.is_some());
            let bounds = tree.bounds_at_cost(relaxed.as_ref().map(|relaxed| relaxed.bound));
            last_solved = relaxed.map(|relaxed| (child, relaxed));
            Some(Estimate { child, bounds, prices })
        };
        self.take_better(&restrictions, &mut best, at_optimal_flow);
        let children = subproblems.into_iter().zip(restrictions).zip(best).enumerate();
        for (child, ((subproblem, restrictions), best)) in children {
            let Some((bounds, prices)) = best else { continue };
            let relaxed = last_solved.take_if(|(solved, _)| *solved == child).map(|(_, relaxed)| relaxed);
            let number = self.n_made;
            self.n_made += 1;
            self.keep(PricedNode { bounds, number, subproblem, restrictions, prices }, relaxed);
        }
    }

    /// The cost at which a node has all wanted bounds, and slightly more because prices are rounded.
    fn enough(&self) -> i128 {
        let relaxation = &self.relaxation;
        let cost = relaxation.target_cutoff().unwrap_or_else(|| {
            let money = Money::from_parts(self.wanted_of(Aim::Money).unwrap_or(0));
            relaxation.cost_of_money(money) + i128::from(self.wanted_of(Aim::Fluid).unwrap_or(0))
        });
        cost + cost / ROUNDING_SHARE
    }

    /// The bound that is wanted of a level.
    fn wanted_of(&self, aim: Aim) -> Option<i64> {
        self.wanted.iter().find(|(of, _)| *of == aim).map(|(_, wanted)| *wanted)
    }

    /// Estimated bounds of a node by the cost of its flow; `None` = the node is infeasible.
    fn bounds_at_cost(&self, cost: Option<i128>) -> Vec<i128> {
        let Some(cost) = cost else { return vec![NO_PLAN; self.wanted.len()] };
        let bound = |&(aim, wanted): &(Aim, i64)| match aim {
            // The part of the cost beyond the wanted money: a bound for plans of that money.
            Aim::Fluid => {
                let money = Money::from_parts(self.wanted_of(Aim::Money).unwrap_or(wanted));
                cost - self.relaxation.cost_of_money(money)
            }
            _ => self.relaxation.money_of(cost),
        };
        self.wanted.iter().map(bound).collect()
    }

    /// Makes estimates for the children whose bounds fall short, and takes those that are better. On a level that counts lots,
    /// prices are evaluated at once, because the cost of a flow does not estimate the number of lots.
    fn take_better(
        &mut self,
        restrictions: &[Restrictions],
        best: &mut [Best],
        mut estimate: impl FnMut(&mut Self, usize) -> Option<Estimate>,
    ) {
        let mut estimates: Vec<Estimate> = Vec::new();
        for (child, best) in best.iter().enumerate() {
            if best.as_ref().is_none_or(|(bounds, _)| !self.reaches(bounds)) {
                estimates.extend(estimate(self, child));
            }
        }
        let mut evaluated = Vec::new().into_iter();
        if matches!(self.wanted[0].0, Aim::Deferred(_)) {
            let scaled =
                estimates.iter().map(|estimate| self.scaled(&restrictions[estimate.child], estimate.prices.clone()));
            evaluated = self.leaf_prices(scaled.collect()).into_iter();
        }
        for Estimate { child, bounds, prices } in estimates {
            let (bounds, prices) = match evaluated.next().map(Rc::new) {
                Some(prices) => (self.bounds(&restrictions[child], &prices), NodePrices::Evaluated(prices)),
                None => (bounds, NodePrices::OfFlow(prices)),
            };
            if best[child].as_ref().is_none_or(|(least, _)| bounds > *least) {
                best[child] = Some((bounds, prices));
            }
        }
    }
}
