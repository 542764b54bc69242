//! Plans that the parts of a search lead to: what a relaxation suggests, what rounding it comes to, and what is near the best.

use super::Tree;
use crate::assign::flow::relaxation::State;
use crate::assign::packs;
use crate::decision::Decision;

/// Neighbours of the best plan tried at a time, to each part that was looked at.
const NEIGHBOURS_TO_A_PART: u64 = 16;

impl Tree<'_> {
    /// Whole packs for the pieces that the relaxation takes; with those packs paid for, the rows again, and so on.
    pub(super) fn suggest(&mut self) {
        let mut pieces = self.relaxation.pieces();
        for _ in 0..3 {
            let Some(packs) = packs::cover(self.question, &pieces) else { return };
            let Some(cost) = self.relaxation.solve_with_packs(&packs) else { return };
            // Rows of several pieces cost more than the flow says.
            if self.best.as_ref().is_some_and(|(best, _)| cost >= *best) {
                return;
            }
            let chosen = self.relaxation.rows_with_packs();
            if !self.offer(Decision { chosen, packs, ..Decision::default() }) {
                return;
            }
            pieces = self.relaxation.pieces_with_packs();
        }
    }

    /// Rounds the packs of a part one offer after the other, each time where it costs least, down to a plan or until there is
    /// none that is better.
    pub(super) fn dive(&mut self, state: &State, stop: &dyn Fn() -> bool) {
        if self.goal.budget_weighs() || self.relaxation.has_lots() {
            return;
        }
        let mut state = state.clone();
        while !stop() {
            let Some(relaxed) = self.relaxation.solve(&mut state) else { return };
            if self.cutoff().is_some_and(|cutoff| relaxed.bound >= cutoff) {
                return;
            }
            match self.relaxation.rounded(&state, &relaxed) {
                Some(part) => state = part,
                None => {
                    let (chosen, packs) = (self.relaxation.rows(&state), self.relaxation.packs(&state, &relaxed));
                    self.offer(Decision { chosen, packs, ..Decision::default() });
                    return;
                }
            }
        }
    }

    /// Tries the neighbours of the best plan: a pack more or fewer of one offer, and one more of an offer for one fewer of
    /// another, until none is better.
    pub(super) fn try_neighbours(&mut self, stop: &dyn Fn() -> bool) {
        if self.goal.budget_weighs() || self.relaxation.has_lots() {
            return;
        }
        let Some((cost, best)) = &self.best else { return };
        if self.neighboured.is_some_and(|tried| tried <= *cost) {
            return;
        }
        let mut cost = *cost;
        let terms = self.relaxation.terms_of(&best.packs);
        let node = self.next.as_ref().or(self.open.peek());
        let multiplier = node.map_or_else(|| vec![0; terms.len()], |node| node.state.multiplier().to_vec());
        let mut packs: Vec<i64> = best.packs.iter().flatten().copied().collect();
        // Where not the best plan is sought but one that is enough, no more of them than the parts took.
        let near = self.goal.gap > 0.0 || self.goal.enough.is_some();
        let mut left = if near { NEIGHBOURS_TO_A_PART * self.n_nodes } else { u64::MAX };
        let mut any = true;
        while std::mem::take(&mut any) {
            for exchange in self.relaxation.exchanges(&packs, (&terms, &multiplier)) {
                if left == 0 || self.reached() || stop() {
                    return;
                }
                left -= 1;
                let before = packs.clone();
                exchange.iter().for_each(|&(offer, by)| packs[offer] += by);
                let better = exchange.iter().all(|&(offer, _)| self.relaxation.may_be(&packs, offer));
                let found = better.then(|| self.relaxation.solve_near(&packs, (&terms, &multiplier))).flatten();
                let taken = found.filter(|(found, _)| *found < cost).is_some_and(|(_, whole)| {
                    let chosen = self.relaxation.rows_with_packs();
                    self.offer(Decision { chosen, packs: whole, ..Decision::default() })
                });
                if taken {
                    any = true;
                    cost = self.best.as_ref().map_or(cost, |(best, _)| *best);
                } else {
                    packs = before;
                }
            }
        }
        self.neighboured = Some(cost);
    }
}
