//! The parts that a part is divided into, each with the best prices for it.

use std::rc::Rc;

use super::AtPrices;
use super::bound::{NO_PLAN, Part};
use super::node::{Node, Proposed};
use super::priced::{fitted, priced};
use super::tree::Tree;
use crate::assign::flow::relaxation::{Prices, Relaxed, State};
use crate::decision::Aim;
use crate::units::Money;

/// Rounding takes no more than such a share of a bound away.
const ROUNDED_OFF: i128 = 1_000_000;

/// Bounds, and the prices that give them.
type Best = Option<(Vec<i128>, Proposed)>;

/// Prices that a flow proposes for a part, and the bounds that it says they give.
struct OfFlow {
    child: usize,
    bounds: Vec<i128>,
    prices: Prices,
}

impl Tree<'_> {
    /// Finds the best prices for each of some parts, at whichever of the prices of owned fluid, and keeps it. Nothing is solved
    /// to its end where less will do. `states` are by price, then part.
    pub(super) fn add(&mut self, mut states: Vec<Vec<State>>, parts: Vec<Part>) {
        let mut best: Vec<Best> = parts.iter().map(|_| None).collect();
        let mut last: Option<(usize, usize, Relaxed)> = None;
        for (index, states) in states.iter_mut().enumerate() {
            let enough = self.enough(index);
            let soon = |tree: &mut Self, child: usize| {
                let (relaxation, state) = (&mut tree.at[index].relaxation, &mut states[child]);
                let costs_enough = relaxation.costs_enough(state, enough);
                let prices = costs_enough.then(|| relaxation.prices(state, true))?;
                Some(OfFlow { child, bounds: tree.needed.clone(), prices })
            };
            self.take_best(index, &parts, &mut best, soon);
            let solved = |tree: &mut Self, child: usize| {
                let (relaxation, state) = (&mut tree.at[index].relaxation, &mut states[child]);
                state.wake_multipliers();
                let relaxed = relaxation.solve(state);
                let prices = relaxation.prices(state, relaxed.is_some());
                let bounds = tree.bounds_at_cost(index, relaxed.as_ref().map(|relaxed| relaxed.bound));
                last = relaxed.map(|relaxed| (index, child, relaxed));
                Some(OfFlow { child, bounds, prices })
            };
            self.take_best(index, &parts, &mut best, solved);
        }
        for (child, (part, best)) in parts.into_iter().zip(best).enumerate() {
            let Some((bounds, prices)) = best else { continue };
            let states = states.iter().map(|states| states[child].clone()).collect();
            let relaxed = last.take_if(|(at, of, _)| (*at, *of) == (prices.at(), child)).map(|(.., relaxed)| relaxed);
            let number = self.n_made;
            self.n_made += 1;
            self.keep(Node { bounds, number, states, part, prices }, relaxed);
        }
    }

    /// What a part costs whose bounds are all that they are to reach, and a little more, for numbers are rounded.
    fn enough(&self, index: usize) -> i128 {
        let AtPrices { relaxation, credit, .. } = &self.at[index];
        let cost = relaxation.cost_beyond_enough().unwrap_or_else(|| {
            let money = Money::from_parts(self.sought_of(Aim::Money).unwrap_or(0)) + *credit;
            relaxation.cost_of_money(money) + i128::from(self.sought_of(Aim::Fluid).unwrap_or(0))
        });
        cost + cost / ROUNDED_OFF
    }

    fn sought_of(&self, aim: Aim) -> Option<i64> {
        self.sought.iter().find(|(of, _)| *of == aim).map(|(_, sought)| *sought)
    }

    /// The bounds of a part of money whose flow costs so much; `None` where it holds no plan.
    fn bounds_at_cost(&self, index: usize, cost: Option<i128>) -> Vec<i128> {
        let AtPrices { relaxation, credit, .. } = &self.at[index];
        let Some(cost) = cost else { return vec![NO_PLAN; self.sought.len()] };
        let bound = |&(aim, sought): &(Aim, i64)| match aim {
            // Of plans of the money that is sought.
            Aim::Fluid => {
                let money = Money::from_parts(self.sought_of(Aim::Money).unwrap_or(sought));
                cost - relaxation.cost_of_money(money + *credit)
            }
            _ => relaxation.money_of(cost) - i128::from(credit.parts()),
        };
        self.sought.iter().map(bound).collect()
    }

    /// Takes the prices that are proposed for those of some parts that still need better ones. What flows say is of money: of a
    /// count they are weighed at once.
    fn take_best(
        &mut self,
        at: usize,
        parts: &[Part],
        best: &mut [Best],
        mut proposed: impl FnMut(&mut Self, usize) -> Option<OfFlow>,
    ) {
        let mut of_flow: Vec<OfFlow> = Vec::new();
        for (child, best) in best.iter().enumerate() {
            if best.as_ref().is_none_or(|(bounds, _)| !self.reaches(bounds)) {
                of_flow.extend(proposed(self, child));
            }
        }
        let mut weighed = Vec::new().into_iter();
        if matches!(self.sought[0].0, Aim::Deferred(_)) {
            let (at_prices, survey) = (&self.at[at], &self.surveys[at]);
            let fitted = of_flow.iter().map(|of| fitted(at_prices, survey, &parts[of.child], of.prices.clone()));
            weighed = priced(at, at_prices, survey, fitted.collect()).into_iter();
        }
        for OfFlow { child, bounds, prices } in of_flow {
            let (bounds, prices) = match weighed.next().map(Rc::new) {
                Some(priced) => (self.bounds(&parts[child], &priced), Proposed::Weighed(priced)),
                None => (bounds, Proposed::Flow(at, prices)),
            };
            if best[child].as_ref().is_none_or(|(least, _)| bounds > *least) {
                best[child] = Some((bounds, prices));
            }
        }
    }
}
