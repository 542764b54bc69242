//! What a supplier's goods must reach, let go for a multiplier on its prices.
//!
//! Goods cost less, and what they must reach costs as much for it: a bound for every plan that reaches it (Geoffrion 1974, as
//! for the budget).

use super::{FlatOffer, Relaxation, Relaxed, State};
use crate::assign::flow::leaf::Terms;
use crate::units::Money;

/// Steps of a multiplier on a supplier's prices.
pub(super) const STEPS: i64 = 64;

/// Multipliers that were best where they were stay for so many parts of that part.
const RESTS: u32 = 7;

impl Relaxation<'_> {
    /// What a supplier's goods must reach in a part.
    pub(super) fn goods_needed(&self, state: &State, supplier: usize) -> Money {
        let terms = &self.question.suppliers[supplier];
        match state.terms[supplier] {
            Terms::Free => terms.minimum.max(terms.free_over.unwrap_or(Money::ZERO)),
            Terms::Paying => terms.minimum,
            _ => Money::ZERO,
        }
    }

    /// Price of a pack in scaled cost, as the supplier's multiplier lowers it.
    pub(super) fn pack_cost(&self, state: &State, offer: &FlatOffer) -> i128 {
        let full = self.scaled_money(offer.terms.pack_price);
        match offer.terms.supplier {
            Some(supplier) if self.priced_by_goods => {
                full / i128::from(STEPS) * i128::from(STEPS - state.multiplier[supplier as usize])
            }
            _ => full,
        }
    }

    /// Solves a part, lifting its bound by the suppliers' multipliers; `None` where it holds no plan.
    pub fn solve(&mut self, state: &mut State) -> Option<Relaxed> {
        let mut best = self.solve_once(state)?;
        if !self.priced_by_goods {
            return Some(best);
        }
        if state.rests > 0 {
            state.rests -= 1;
            return Some(best);
        }
        let before = state.multiplier.clone();
        for supplier in 0..state.terms.len() {
            let needed = i128::from(self.goods_needed(state, supplier).parts()) * self.scale;
            if needed == 0 {
                continue;
            }
            let decided: i128 = self.decided_goods(state, supplier);
            if decided >= i128::from(self.goods_needed(state, supplier).parts()) {
                if state.multiplier[supplier] > 0 {
                    state.multiplier[supplier] = 0;
                    best = self.solve_once(state)?;
                }
                continue;
            }
            // The bound is concave in the multiplier; goods below the need ask for a higher one. It is sought from where it
            // was for the part that this one is of, for it is seldom far off.
            let mut kept = state.multiplier[supplier];
            let direction = if best.goods[supplier] < needed { 1 } else { -1 };
            let mut step = 1;
            while (0..=STEPS).contains(&(kept + direction * step)) {
                state.multiplier[supplier] = kept + direction * step;
                let relaxed = self.solve_once(state)?;
                if relaxed.scaled_bound > best.scaled_bound {
                    (best, kept) = (relaxed, state.multiplier[supplier]);
                    step *= 2;
                } else if step > 1 {
                    step = 1;
                } else {
                    break;
                }
            }
            if state.multiplier[supplier] != kept {
                // The flow kept is that of the bound.
                state.multiplier[supplier] = kept;
                best = self.solve_once(state)?;
            }
        }
        if state.multiplier == before {
            state.rests = RESTS;
        }
        Some(best)
    }

    /// Goods of the least packs of a supplier's offers, in parts of money.
    fn decided_goods(&self, state: &State, supplier: usize) -> i128 {
        let offers = self.offers.iter().zip(&state.least);
        let ours = offers.filter(|(offer, _)| offer.terms.supplier == Some(supplier as u32));
        ours.map(|(offer, &least)| i128::from(offer.terms.pack_price.parts()) * i128::from(least)).sum()
    }
}
