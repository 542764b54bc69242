//! The convex cost of the last arc of a source, which leads to deferral.
//!
//! Lots of one source differ by a constant that is paid only if they are placed. Deferring a lot saves its constant. The
//! lots with the largest constants are deferred first, and each further one saves less, so the cost of the arc is convex.

use std::cmp::Reverse;

use super::Transport;
use super::residual::ResidualArc;
use super::sink::Marginal;
use crate::units::short_index;

impl Transport {
    /// Cost of the next unit on an arc, without the price of room at its sink.
    pub(super) fn next_on(&self, arc: usize) -> Marginal {
        let (cost, flow) = (self.network.cost(arc), self.flow[arc]);
        let extras = self.network.extras(arc);
        match extras.get(extras.partition_point(|(end, _)| *end <= flow)) {
            Some((end, extra)) => Marginal { price: cost + extra, units: end - flow },
            // All units of the source are on it.
            None => Marginal { price: cost, units: i64::MAX },
        }
    }

    /// Cost of the last unit on an arc, without the price of room at its sink.
    pub(super) fn last_on(&self, arc: usize) -> Marginal {
        let (cost, flow) = (self.network.cost(arc), self.flow[arc]);
        let extras = self.network.extras(arc);
        let position = extras.partition_point(|(end, _)| *end < flow);
        let start = position.checked_sub(1).map_or(0, |before| extras[before].0);
        match extras.get(position) {
            Some((_, extra)) => Marginal { price: cost + extra, units: flow - start },
            None => Marginal { price: cost, units: flow },
        }
    }

    /// Cost of all units on an arc, without the price of room at its sink.
    pub(super) fn cost_on(&self, arc: usize) -> i128 {
        let flow = self.flow[arc];
        let mut start = 0;
        let mut sum = 0;
        for &(end, extra) in self.network.extras(arc) {
            sum += extra * i128::from(flow.clamp(start, end) - start);
            start = end;
        }
        self.network.cost(arc) * i128::from(flow) + sum
    }

    /// Costs of the next and of the last unit on an arc, if they may differ; `None` if the cost of the arc is linear.
    pub(super) fn marginal_costs_if_convex(&self, arc: usize) -> Option<(i128, i128)> {
        (self.network.extras(arc).len() > 1).then(|| (self.next_on(arc).price, self.last_on(arc).price))
    }

    /// Updates the residual arcs that leave or take an arc after its marginal costs changed.
    pub(super) fn list_residual_arcs_at_new_cost(&mut self, arc: usize) {
        let n = self.sinks.len();
        let (sink, short) = (self.network.sink(arc), short_index(arc));
        for to in 0..n {
            if self.cheapest[sink * n + to].leave == short {
                self.cheapest[sink * n + to] = ResidualArc::NONE;
                self.sinks[sink].stale.push(to);
            }
        }
        if self.flow[arc] > 0 {
            self.list_residual_arcs(short);
        }
        let next_cost = self.next_on(arc).price;
        for other in self.network.arcs(self.network.source(arc)) {
            if other == arc || self.flow[other] == 0 || self.closed[arc] {
                continue;
            }
            let (from, cost) = (self.network.sink(other), self.network.cost(other));
            let leave = short_index(other);
            let residual_arc = ResidualArc { cost: next_cost - cost, leave, take: short };
            let cheapest = &mut self.cheapest[from * n + sink];
            if cheapest.leave == leave {
                *cheapest = ResidualArc::NONE;
                self.sinks[from].stale.push(sink);
            }
            *cheapest = residual_arc.min(*cheapest);
            self.heaps[from * n + sink].push(Reverse(residual_arc.into()));
            self.sinks[from].n_listed += 1;
        }
    }
}
