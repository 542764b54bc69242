//! Penalties: the least rise of the bound for each piece more or fewer of an offer, and the numbers of packs that they exclude.
//!
//! Method: penalties (N. J. Driebeek, "An algorithm for the solution of mixed integer programming problems", Management
//! Science 12 (1966) 576–587, from memory). They serve as reduced costs do: with an upper bound on the cost, they
//! tighten the limits on packs.
//!
//! Why it holds: the cost of the flow is convex in the pieces of an offer. So the first piece that is added to the
//! flow, or taken from it, raises the cost no more than any further piece does, and k pieces raise it at least k times as much.
//!
//! Cost: two runs of Dijkstra's algorithm for all offers together.

use super::{IndexedOffer, Relaxation, RelaxedSolution, Subproblem};
use crate::decision::OfferIndex;
use crate::units::{IndexTable, Position, saturated};

/// The least rise of the bound per piece that the pieces of an offer change by.
#[derive(Clone, Copy)]
pub(super) struct Penalty {
    /// For each piece more.
    pub more: i128,
    /// For each piece fewer.
    pub fewer: i128,
}

impl Relaxation<'_> {
    /// By offer, the penalties in scaled cost; `None` if the flow does not price pieces one by one (spare pieces, lots
    /// in several pieces).
    pub(super) fn penalties(
        &mut self,
        subproblem: &Subproblem,
        relaxed: &RelaxedSolution,
    ) -> Option<IndexTable<OfferIndex, Penalty>> {
        let is_fixed = |group: &usize| subproblem.fixed.iter().any(|(fixed, _)| fixed == group);
        let has_free_groups = self.multi_piece_groups.iter().any(|group| !is_fixed(group));
        if has_free_groups || self.question.limits.spare_per_10_000 > 0 {
            return None;
        }
        let mut flow = self.bounding_flow.take()?;
        let (one_more, one_fewer) = flow.marginal_costs();
        let price = |offer: OfferIndex| {
            let offer = &self.offers[offer];
            self.pack_cost(subproblem, offer) / i128::from(offer.terms.pack_size.0)
        };
        let penalty = |(index, offer): (OfferIndex, &IndexedOffer)| {
            let of_vessel = self.offers_in(offer.supply).positions();
            let others = of_vessel.filter(|&other| other != index);
            let is_only_one = relaxed.drawn[index] > 0 && others.clone().all(|other| relaxed.drawn[other] == 0);
            // One more piece may replace a piece of the same vessel from another offer.
            let replaced = if is_only_one { 0 } else { -flow.last_price(offer.supply) };
            let saved = one_more[offer.supply.index()].min(replaced);
            // A missing piece may be replaced by one of an offer at the same or a higher price; cheaper offers are used up.
            let has_packs_left = |other: &OfferIndex| subproblem.max_packs[*other] > subproblem.min_packs[*other];
            let replacing = others.filter(|other| has_packs_left(other) && price(*other) >= price(index));
            let replacement = replacing.map(price).fold(one_fewer[offer.supply.index()], i128::min);
            Penalty { more: (price(index) + saved).max(0), fewer: (replacement - price(index)).max(0) }
        };
        let penalties = self.offers.enumerated().map(penalty).collect();
        self.bounding_flow = Some(flow);
        Some(penalties)
    }

    /// Tightens the limits on the packs of each offer, so that every plan that costs less than `cutoff` is within them. True if the
    /// relaxed solution is outside them and the subproblem must be solved again; `None` if no plan is left.
    pub fn tighten_packs(
        &mut self,
        subproblem: &mut Subproblem,
        relaxed: &mut RelaxedSolution,
        cutoff: i128,
    ) -> Option<bool> {
        let Some(penalties) = self.penalties(subproblem, relaxed) else { return Some(false) };
        let slack = (cutoff - 1) * self.scale * self.budget_steps - relaxed.scaled_bound;
        let mut is_outside = false;
        for (index, penalty) in penalties.enumerated() {
            let terms = self.offers[index].terms;
            let size = i128::from(terms.pack_size.0);
            let used = i128::from(subproblem.min_packs[index]) * size + i128::from(relaxed.drawn[index] / 10_000);
            if let Some(pieces) = slack.checked_div(penalty.more) {
                let most = saturated((used + pieces).div_euclid(size)).min(subproblem.max_packs[index]);
                let most = if most < terms.min_packs.0 { 0 } else { most };
                if most < subproblem.max_packs[index] {
                    subproblem.max_packs[index] = most;
                    is_outside |= i128::from(most) * size < used;
                }
            }
            if let Some(pieces) = slack.checked_div(penalty.fewer) {
                let least = (used - pieces).div_euclid(size) + i128::from((used - pieces).rem_euclid(size) > 0);
                let least = i64::try_from(least).unwrap_or(0);
                let least = if least > 0 { least.max(terms.min_packs.0) } else { 0 };
                if least > subproblem.min_packs[index] {
                    relaxed.drawn[index] -= (least - subproblem.min_packs[index]) * terms.pack_size.0 * 10_000;
                    subproblem.min_packs[index] = least;
                    is_outside |= i128::from(least) * size > used;
                }
            }
            if subproblem.min_packs[index] > subproblem.max_packs[index] {
                return None;
            }
        }
        Some(is_outside)
    }
}
