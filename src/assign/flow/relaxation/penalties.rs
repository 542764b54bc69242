//! What a pack more or fewer than the relaxation buys would cost at least, and what that rules out.
//!
//! Penalties (Driebeek 1966, Management Science 12:576–587, cited from memory): the cost of a part is convex in the packs
//! of an offer, so the first piece forced on the flow, or denied it, bounds all of them. Where that passes the best plan
//! known, fewer or no more packs are left to try.

use super::{Relaxation, Relaxed, State};

/// What the packs of one offer cost beyond what the relaxation buys.
#[derive(Clone, Copy)]
pub(super) struct Penalty {
    /// At least, for each piece more than are used.
    pub more: i128,
    /// At least, for each piece fewer.
    pub fewer: i128,
}

impl Relaxation<'_> {
    /// By offer, the penalties in scaled cost; `None` where pieces are not bought one by one.
    pub(super) fn penalties(&mut self, state: &State, relaxed: &Relaxed) -> Option<Vec<Penalty>> {
        let free_lot = self.lots.iter().any(|kind| !state.fixed.iter().any(|(fixed, _)| fixed == kind));
        if free_lot || self.question.limits.spare_per_10_000 > 0 {
            return None;
        }
        let mut solution = self.bounding.take()?;
        let (coming, going) = solution.margins();
        let price =
            |offer: usize| self.pack_cost(state, &self.offers[offer]) / i128::from(self.offers[offer].terms.pack_size);
        let penalty = |(index, offer): (usize, &super::FlatOffer)| {
            let of_vessel = self.first_offer[offer.supply]..self.first_offer[offer.supply + 1];
            let others = of_vessel.filter(|&other| other != index);
            let only = relaxed.amounts[index] > 0 && others.clone().all(|other| relaxed.amounts[other] == 0);
            // A piece more may take the place of one of the same vessel that another offer is drawn on for.
            let saved = coming[offer.supply].min(if only { 0 } else { -solution.last_price(offer.supply) });
            // Where a piece is denied, an offer as dear or dearer may stand in; those cheaper are drawn on in full.
            let dearer = others.filter(|&other| state.most[other] > state.least[other] && price(other) >= price(index));
            let instead = dearer.map(price).fold(going[offer.supply], i128::min);
            Penalty { more: (price(index) + saved).max(0), fewer: (instead - price(index)).max(0) }
        };
        let penalties = self.offers.iter().enumerate().map(penalty).collect();
        self.bounding = Some(solution);
        Some(penalties)
    }

    /// Narrows the packs of each offer to those with which a part could cost less than `cutoff`. True where the relaxation
    /// buys others, so that it is to be solved again; `None` where no packs are left.
    pub fn narrow(&mut self, state: &mut State, relaxed: &mut Relaxed, cutoff: i128) -> Option<bool> {
        let Some(penalties) = self.penalties(state, relaxed) else { return Some(false) };
        let slack = (cutoff - 1) * self.scale * self.budget_steps - relaxed.scaled_bound;
        let mut again = false;
        for (index, penalty) in penalties.iter().enumerate() {
            let terms = self.offers[index].terms;
            let size = i128::from(terms.pack_size);
            let used = i128::from(state.least[index]) * size + i128::from(relaxed.amounts[index] / 10_000);
            if let Some(pieces) = slack.checked_div(penalty.more) {
                let most = ((used + pieces).div_euclid(size)).min(i128::from(state.most[index])) as i64;
                let most = if most < terms.min_packs { 0 } else { most };
                if most < state.most[index] {
                    state.most[index] = most;
                    again |= i128::from(most) * size < used;
                }
            }
            if let Some(pieces) = slack.checked_div(penalty.fewer) {
                let least = (used - pieces).div_euclid(size) + i128::from((used - pieces).rem_euclid(size) > 0);
                let least = i64::try_from(least).unwrap_or(0);
                let least = if least > 0 { least.max(terms.min_packs) } else { 0 };
                if least > state.least[index] {
                    relaxed.amounts[index] -= (least - state.least[index]) * terms.pack_size * 10_000;
                    state.least[index] = least;
                    again |= i128::from(least) * size > used;
                }
            }
            if state.least[index] > state.most[index] {
                return None;
            }
        }
        Some(again)
    }
}
