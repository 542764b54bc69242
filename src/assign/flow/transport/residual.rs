//! The residual network between sinks: for each pair of sinks the cheapest way to move one unit, kept up to date while the flow
//! changes.
//!
//! Method: a residual arc from sink i to sink j is a pair of arcs of one source: a unit leaves the first, to i, and
//! takes the second, to j. For each pair of sinks a heap holds all residual arcs. A residual arc whose units are gone stays in
//! the heap until it is on top (lazy deletion; common practice, no source): most never get there, and if units come back
//! the arc is still there. The heaps of a sink are updated only when a path search needs arcs out of it
//! ([`Transport::refresh`]).
//!
//! Limits: if sources have many arcs, heaps take most of the memory. The heaps of a sink are rebuilt when more than half
//! of their entries leave arcs without units.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::{INFINITE, Transport};
use crate::units::short_index;

/// A residual arc between two sinks: one unit of a source leaves one arc and takes another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct ResidualArc {
    pub cost: i128,
    /// The arc that the unit leaves.
    pub leave: u32,
    /// The arc that it takes instead.
    pub take: u32,
}

impl ResidualArc {
    /// Stands for no arc.
    pub const NONE: ResidualArc = ResidualArc { cost: INFINITE, leave: u32::MAX, take: u32::MAX };
}

/// A residual arc in a heap: 24 bytes instead of 32, because there are millions. Its order is the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct PackedResidualArc {
    cost_high: i64,
    cost_low: u64,
    leave: u32,
    take: u32,
}

impl From<ResidualArc> for PackedResidualArc {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "the lower half of the bits; the upper half is kept beside it"
    )]
    fn from(ResidualArc { cost, leave, take }: ResidualArc) -> Self {
        PackedResidualArc { cost_high: (cost >> 64) as i64, cost_low: cost as u64, leave, take }
    }
}

impl From<PackedResidualArc> for ResidualArc {
    fn from(PackedResidualArc { cost_high, cost_low, leave, take }: PackedResidualArc) -> Self {
        ResidualArc { cost: (i128::from(cost_high) << 64) | i128::from(cost_low), leave, take }
    }
}

/// Residual arcs between two sinks, the cheapest first; ties go to the lowest arc to leave.
pub(super) type Heap = BinaryHeap<Reverse<PackedResidualArc>>;

impl Transport {
    /// Updates the cheapest residual arcs out of all sinks.
    pub(super) fn refresh_all(&mut self) {
        let sinks_in_use = std::mem::take(&mut self.sinks_in_use);
        for &sink in &sinks_in_use {
            self.refresh(sink);
        }
        self.sinks_in_use = sinks_in_use;
    }

    /// Updates the cheapest residual arcs out of a sink: puts pending ones into the heaps, and removes those that no unit can take
    /// from their tops.
    pub(super) fn refresh(&mut self, sink: usize) {
        for arc in std::mem::take(&mut self.sinks[sink].pending) {
            self.is_pending[arc as usize] = false;
            if self.flow[arc as usize] > 0 {
                self.put_residual_arcs_into_heaps(arc);
            }
        }
        let first = sink * self.sinks.len();
        while let Some(to) = self.sinks[sink].stale.pop() {
            while let Some(&Reverse(top)) = self.heaps[first + to].peek() {
                let top = ResidualArc::from(top);
                let [leave, take] = [top.leave, top.take].map(|arc| arc as usize);
                let exists = self.flow[leave] > 0 && !self.closed[take];
                if exists && self.next_on(take).price - self.last_on(leave).price == top.cost {
                    break;
                }
                self.heaps[first + to].pop();
                self.sinks[sink].n_listed -= 1;
                if !exists {
                    self.popped.entry(top.leave).or_default().push(top.take);
                }
            }
            let cheapest = self.heaps[first + to].peek();
            self.cheapest[first + to] = cheapest.map_or(ResidualArc::NONE, |Reverse(top)| ResidualArc::from(*top));
        }
    }

    /// Marks the residual arcs that leave an arc as pending.
    pub(super) fn list_residual_arcs(&mut self, arc: u32) {
        if !std::mem::replace(&mut self.is_pending[arc as usize], true) {
            self.sinks[self.network.sink(arc as usize)].pending.push(arc);
        }
    }

    /// Puts the residual arcs that leave an arc into the heaps, unless they are there already.
    fn put_residual_arcs_into_heaps(&mut self, arc: u32) {
        let arcs = self.network.arcs(self.network.source(arc as usize));
        let sink = self.network.sink(arc as usize);
        if self.is_listed[arc as usize] && self.marginal_costs_if_convex(arc as usize).is_none() {
            // All are still there, except those that were popped and the one that takes the convex arc, whose cost may have changed.
            let last = arcs.end - 1;
            let convex = self.marginal_costs_if_convex(last).map(|_| short_index(last));
            let popped = self.popped.remove(&arc).unwrap_or_default();
            let last_cost = self.last_on(arc as usize).price;
            for take in popped.into_iter().filter(|take| Some(*take) != convex).chain(convex) {
                self.put_into_heap(arc, take, self.next_on(take as usize).price - last_cost);
            }
        } else if self.sinks[sink].n_listed > 2 * self.sinks[sink].n_arcs + OUTDATED_ALLOWED {
            self.rebuild_heaps(sink);
        } else {
            self.put_all_into_heaps(arc);
        }
    }

    /// Empties the heaps of a sink and fills them from the arcs with units.
    fn rebuild_heaps(&mut self, sink: usize) {
        let first = sink * self.sinks.len();
        self.heaps[first..first + self.sinks.len()].iter_mut().for_each(BinaryHeap::clear);
        self.sinks[sink].n_listed = 0;
        for arc in std::mem::take(&mut self.sinks[sink].listed) {
            self.is_listed[arc as usize] = false;
        }
        for arc in self.sinks[sink].arcs_in_use.clone() {
            self.put_all_into_heaps(arc);
        }
    }

    /// Puts all residual arcs that leave an arc into the heaps.
    fn put_all_into_heaps(&mut self, arc: u32) {
        if !self.is_listed[arc as usize] {
            self.is_listed[arc as usize] = true;
            self.sinks[self.network.sink(arc as usize)].listed.push(arc);
        }
        self.popped.remove(&arc);
        let last_cost = self.last_on(arc as usize).price;
        let arcs = self.network.arcs(self.network.source(arc as usize));
        let last = arcs.end - 1;
        for take in arcs.filter(|&take| take != arc as usize) {
            // Only the last arc of a source may have a convex cost.
            let next_cost = if take == last { self.next_on(take).price } else { self.network.cost(take) };
            self.put_into_heap(arc, short_index(take), next_cost - last_cost);
        }
    }

    fn put_into_heap(&mut self, leave: u32, take: u32, cost: i128) {
        let sink = self.network.sink(leave as usize);
        if self.closed[take as usize] {
            self.popped.entry(leave).or_default().push(take);
            return;
        }
        let pair = sink * self.sinks.len() + self.network.sink(take as usize);
        let residual_arc = ResidualArc { cost, leave, take };
        self.heaps[pair].push(Reverse(residual_arc.into()));
        self.sinks[sink].n_listed += 1;
        self.cheapest[pair] = residual_arc.min(self.cheapest[pair]);
    }
}

/// The heaps of a sink may have this many outdated residual arcs more than valid ones.
const OUTDATED_ALLOWED: usize = 1024;
