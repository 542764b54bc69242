//! Primal heuristics: rounding, diving and local search.

use super::Search;
use crate::assign::flow::relaxation::Subproblem;
use crate::assign::packs;
use crate::decision::{Decision, OfferIndex};
use crate::units::IndexTable;

/// Most neighbours tried, per node bounded so far, if the search may end at a target or a gap.
const NEIGHBOURS_PER_NODE: u64 = 16;

/// Most times that packs and lots are rounded in turn.
const ROUNDS: usize = 3;

impl Search<'_> {
    /// Rounds the relaxed solution: whole packs for the pieces in use, then the best lots for those packs, and again.
    pub(super) fn round(&mut self) {
        let mut pieces = self.relaxation.pieces();
        for _ in 0..ROUNDS {
            let Some(packs) = packs::cover(self.question, &pieces) else { return };
            let Some(bound) = self.relaxation.solve_with_packs(&packs) else { return };
            // A lower bound of plans with these packs; it is exact unless lots take several pieces.
            if self.incumbent.as_ref().is_some_and(|(cost, _)| bound >= *cost) {
                return;
            }
            let chosen = self.relaxation.lot_choices_with_packs();
            if !self.propose(Decision { chosen, packs, ..Decision::default() }) {
                return;
            }
            pieces = self.relaxation.pieces_with_packs();
        }
    }

    /// Dives from a node: rounds the packs of one offer after the other, the one with the lowest penalty first, until the relaxed
    /// solution is a plan or no better plan is possible.
    pub(super) fn dive(&mut self, subproblem: &Subproblem, stop: &dyn Fn() -> bool) {
        if self.problem.has_budget_beside_objective() || self.relaxation.has_multi_piece_choices() {
            return;
        }
        let mut subproblem = subproblem.clone();
        while !stop() {
            let Some(relaxed) = self.relaxation.solve(&mut subproblem) else { return };
            if self.cutoff().is_some_and(|cutoff| relaxed.bound >= cutoff) {
                return;
            }
            match self.relaxation.rounded(&subproblem, &relaxed) {
                Some(child) => subproblem = child,
                None => {
                    let chosen = self.relaxation.lot_choices(&subproblem);
                    let packs = self.relaxation.packs(&subproblem, &relaxed);
                    self.propose(Decision { chosen, packs, ..Decision::default() });
                    return;
                }
            }
        }
    }

    /// Local search around the incumbent: one pack more or fewer of an offer, or one more of an offer for one fewer of another,
    /// until no such change improves it.
    pub(super) fn search_neighbourhood(&mut self, stop: &dyn Fn() -> bool) {
        if self.problem.has_budget_beside_objective() || self.relaxation.has_multi_piece_choices() {
            return;
        }
        let Some((cost, best)) = &self.incumbent else { return };
        if self.searched_around.is_some_and(|searched| searched <= *cost) {
            return;
        }
        let mut cost = *cost;
        let suppliers = self.relaxation.supplier_decisions_of(&best.packs);
        let node = self.next.as_ref().or(self.open.peek());
        let goods_multiplier =
            node.map_or_else(|| suppliers.filled(0), |node| node.subproblem.goods_multiplier().clone());
        let at = (&suppliers, &goods_multiplier);
        let mut packs: IndexTable<OfferIndex, i64> = best.packs.iter().flatten().map(|packs| packs.0).collect();
        let may_end_early = self.problem.gap > 0.0 || self.problem.target.is_some();
        let mut left = if may_end_early { NEIGHBOURS_PER_NODE * self.n_nodes } else { u64::MAX };
        let mut has_improved = true;
        while std::mem::take(&mut has_improved) {
            for exchange in self.relaxation.exchanges(&packs, at) {
                if left == 0 || self.is_solved() || stop() {
                    return;
                }
                left -= 1;
                let before = packs.clone();
                exchange.iter().for_each(|&(offer, by)| packs[offer] += by);
                let is_allowed = exchange.iter().all(|&(offer, _)| self.relaxation.packs_allowed(&packs, offer));
                let neighbour = is_allowed.then(|| self.relaxation.solve_near(&packs, at)).flatten();
                let is_taken = neighbour.filter(|(bound, _)| *bound < cost).is_some_and(|(_, packs)| {
                    let chosen = self.relaxation.lot_choices_with_packs();
                    self.propose(Decision { chosen, packs, ..Decision::default() })
                });
                if is_taken {
                    has_improved = true;
                    cost = self.incumbent.as_ref().map_or(cost, |(cost, _)| *cost);
                } else {
                    packs = before;
                }
            }
        }
        self.searched_around = Some(cost);
    }
}
