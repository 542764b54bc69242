//! Rows of one kind that cost the more, the more of them take the kind's last arc.

use std::cmp::Reverse;

use super::Transport;
use super::moves::Move;

impl Transport {
    /// What one row more costs on an arc, and for how many.
    pub(super) fn next_on(&self, arc: usize) -> (i128, i64) {
        let (cost, sent) = (self.network.cost(arc), self.sent[arc]);
        let rises = self.network.rises(arc);
        match rises.get(rises.partition_point(|(end, _)| *end <= sent)) {
            Some((end, more)) => (cost + more, end - sent),
            // No row of the kind is left that could come.
            None => (cost, i64::MAX),
        }
    }

    /// What the last row on an arc costs, and how many do.
    pub(super) fn last_on(&self, arc: usize) -> (i128, i64) {
        let (cost, sent) = (self.network.cost(arc), self.sent[arc]);
        let rises = self.network.rises(arc);
        let at = rises.partition_point(|(end, _)| *end < sent);
        let start = at.checked_sub(1).map_or(0, |before| rises[before].0);
        rises.get(at).map_or((cost, sent), |(_, more)| (cost + more, sent - start))
    }

    /// What all rows on an arc cost.
    pub(super) fn cost_on(&self, arc: usize) -> i128 {
        let sent = self.sent[arc];
        let mut start = 0;
        let mut more = 0;
        for &(end, each) in self.network.rises(arc) {
            more += each * i128::from(sent.clamp(start, end) - start);
            start = end;
        }
        self.network.cost(arc) * i128::from(sent) + more
    }

    /// Finds the moves to and from an arc again once its rows have become so many that they cost something else.
    pub(super) fn offer_moves_at_new_cost(&mut self, arc: usize) {
        let n = self.places.len();
        let place = self.network.place(arc);
        for to in 0..n {
            if self.moves[place * n + to].from == arc as u32 {
                self.moves[place * n + to] = Move::NONE;
                self.places[place].stale.push(to);
            }
        }
        if self.sent[arc] > 0 {
            self.offer_moves(arc as u32);
        }
        let next = self.next_on(arc).0;
        for other in self.network.arcs(self.network.kind(arc)) {
            if other == arc || self.sent[other] == 0 || self.closed[arc] {
                continue;
            }
            let (from, cost) = (self.network.place(other), self.network.cost(other));
            let step = Move { cost: next - cost, from: other as u32, to: arc as u32 };
            let best = &mut self.moves[from * n + place];
            if best.from == other as u32 {
                *best = Move::NONE;
                self.places[from].stale.push(place);
            }
            *best = step.min(*best);
            self.heaps[from * n + place].push(Reverse(step.into()));
            self.places[from].n_moves += 1;
        }
    }

    /// What the next row on an arc costs and the last one, where rows of it may cost more than the first.
    pub(super) fn costs_if_rising(&self, arc: usize) -> Option<(i128, i128)> {
        (self.network.rises(arc).len() > 1).then(|| (self.next_on(arc).0, self.last_on(arc).0))
    }
}
