//! Min-cost flow of lots to vessels: the transportation problem, by successive shortest augmenting paths, warm-started.
//!
//! # Problem
//!
//! Source k has s(k) units. Each unit goes along one of the arcs of its source to a sink j. Find whole numbers x(k, j) that
//!
//! ```text
//! minimise   Σ c(k, j) x(k, j) + Σ R(k, x(k, last arc)) + Σ P(j, z(j))
//! subject to Σ_j x(k, j) = s(k),   z(j) = Σ_k x(k, j),   x ≥ 0
//! ```
//!
//! P(j, ·) is the cost of room at a sink, convex and piecewise linear: [`Segment`]s with a capacity and a price, in order
//! of price. R(k, ·) is an extra cost, also convex and piecewise linear, of the last arc of a source (deferral, see
//! [`convex`]). Units beyond the capacity of a sink cost [`BIG_M`] each, so there is always a flow.
//!
//! # Notation
//!
//! | symbol | in the code |
//! |---|---|
//! | s(k), c(k, j), x(k, j) | `supplies`, `Network::cost`, `flow` by arc |
//! | z(j) | [`Sink`]`::inflow` |
//! | price of the next unit, and of the last one, at j | `Sink::next`, `Sink::last` |
//! | π(j), the dual price (potential) of sink j | `Sink::potential` |
//! | d(i, j), the cheapest residual arc from sink i to sink j | `cheapest`: a unit leaves an arc to i and takes an arc of its source to j |
//!
//! # Method
//!
//! Successive shortest paths (W. S. Jewell, "Optimal Flow through Networks", 1958; R. G. Busacker and P. J. Gowen, "A
//! Procedure for Determining a Family of Minimal-Cost Network Flow Patterns", 1961; textbook: R. K. Ahuja, T. L.
//! Magnanti and J. B. Orlin, "Network Flows", 1993; all from memory). All units of a source are always at sinks, so the
//! residual network is kept between sinks alone ([`residual`]). A path is found by the algorithm of Dijkstra on reduced
//! costs ([`paths`]) and augmented ([`augment`]). After a change of supply, cost, arcs or room, only units that are no longer on
//! cheapest arcs are rerouted.
//!
//! # Why the flow is optimal after every call
//!
//! 1. Invariant: π(j) ≤ next price(j); last price(j) ≤ π(j) if j has units; and for all sinks i, j the reduced cost
//!    d(i, j) + π(j) − π(i) is ≥ 0.
//! 2. So no residual cycle has negative cost: its cost is at least the sum of the reduced costs on it. By the first part of 1 this
//!    also holds if the cycle frees room at one sink and takes room at another.
//! 3. A flow without a negative residual cycle is optimal, also for convex costs (negative cycle optimality, same
//!    textbook).
//! 4. An augmentation follows a shortest path, and the π of each sink nearer than the end of the path changes by the difference of
//!    the two distances. So 1 holds again.
//! 5. Hence, at the prices π, each unit is on a cheapest arc, and the cost of the flow equals the dual bound.
//!
//! # Cost and limits
//!
//! A path takes O(n²) for n sinks, and the time to put residual arcs into heaps. Memory: some hundred bytes an arc.
//! Costs are 128-bit whole numbers. The caller must keep them far below [`BIG_M`]; that is not checked here.

mod augment;
mod convex;
mod network;
mod paths;
mod residual;
mod sink;
#[cfg(test)]
mod tests;

use std::collections::HashMap;
use std::sync;

use crate::units::short_index;
use network::Network;
use paths::ShortestPaths;
use residual::{Heap, ResidualArc};
use sink::Sink;

/// The cost of an arc that does not exist.
const INFINITE: i128 = i128::MAX / 4;

/// The price of a unit beyond the capacity of a sink: more than any augmenting path saves.
pub const BIG_M: i128 = 1 << 110;

/// A capacity without limit.
pub const UNLIMITED: i64 = i64::MAX;

/// Units of room at the same price: one linear piece of a convex cost.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Segment {
    /// Number of units; [`UNLIMITED`] if there is no limit.
    pub capacity: i64,
    /// Price of a unit.
    pub price: i128,
}

/// An arc of a source.
#[derive(Clone, Copy, Debug)]
pub struct Arc {
    /// The sink it leads to.
    pub sink: usize,
    /// Cost of a unit, without the price of room at the sink.
    pub cost: i128,
}

/// A source: units that may take the same arcs at the same costs.
#[derive(Clone, Debug, Default)]
pub struct FlowSource {
    /// Number of units.
    pub supply: i64,
    /// The arcs, no two of them to the same sink.
    pub arcs: Vec<Arc>,
    /// Extra cost of units on the last arc: numbers of units with the extra cost of each, in ascending order of cost, for all units
    /// of the source. Empty if there is none.
    pub last_arc_extras: Vec<(i64, i128)>,
}

/// A transportation problem with its optimal flow.
#[derive(Clone, Debug)]
pub struct Transport {
    network: sync::Arc<Network>,
    /// By source.
    supplies: Vec<i64>,
    /// Units of sources without an open arc.
    unrouted: i64,
    /// By arc, whether it is closed.
    closed: Vec<bool>,
    /// By arc, units on it.
    flow: Vec<i64>,
    sinks: Vec<Sink>,
    /// Sinks with units.
    sinks_in_use: Vec<usize>,
    /// By pair of sinks, the cheapest residual arc from the first to the second.
    cheapest: Vec<ResidualArc>,
    /// By pair of sinks, all residual arcs.
    heaps: Vec<Heap>,
    /// By arc, whether the residual arcs that leave it are in the heaps, except those in `popped`.
    is_listed: Vec<bool>,
    /// Residual arcs that were removed from a heap while no unit could take them: by arc to leave, the arcs to take.
    popped: HashMap<u32, Vec<u32>>,
    /// By arc, whether the residual arcs that leave it must still be put into the heaps.
    is_pending: Vec<bool>,
    cost: i128,
    paths: ShortestPaths,
}

impl Transport {
    /// The optimal flow from these sources to sinks with these segments, which must be in order of price.
    pub fn new(sources: impl Iterator<Item = FlowSource>, segments: &[Vec<Segment>]) -> Self {
        let n = segments.len();
        let (network, supplies) = Network::of(sources);
        let n_arcs = network.n_arcs();
        let mut transport = Transport {
            network: sync::Arc::new(network),
            supplies: vec![0; supplies.len()],
            unrouted: 0,
            closed: vec![false; n_arcs],
            flow: vec![0; n_arcs],
            sinks: segments.iter().map(|segments| Sink::new(segments)).collect(),
            sinks_in_use: Vec::new(),
            cheapest: vec![ResidualArc::NONE; n * n],
            heaps: vec![Heap::new(); n * n],
            is_listed: vec![false; n_arcs],
            is_pending: vec![false; n_arcs],
            popped: HashMap::new(),
            cost: 0,
            paths: ShortestPaths::new(n),
        };
        for (source, supply) in supplies.into_iter().enumerate() {
            transport.set_supply(source, supply);
        }
        transport
    }

    /// Cost of the flow; `None` if some unit has no open arc or no room.
    pub fn cost(&self) -> Option<i128> {
        let fits = self.unrouted == 0 && self.sinks.iter().all(|sink| sink.inflow <= sink.capacity);
        fits.then_some(self.cost)
    }

    /// Units at a sink.
    pub fn inflow(&self, sink: usize) -> i64 {
        self.sinks[sink].inflow
    }

    /// Units of a source by arc, in the order in which the arcs were given.
    pub fn flow_of(&self, source: usize) -> &[i64] {
        &self.flow[self.network.arcs(source)]
    }

    /// Price of the last unit of room in use at a sink.
    pub fn last_price(&self, sink: usize) -> i128 {
        self.sinks[sink].last.price
    }

    /// Replaces the segments of a sink, which must be in order of price.
    pub fn set_segments(&mut self, sink: usize, segments: &[Segment]) {
        let changed = &mut self.sinks[sink];
        self.cost -= changed.cost();
        changed.set_segments(segments);
        self.cost += changed.cost();
        self.augment_out_of(sink);
        self.augment_into(sink);
    }

    /// Changes the supply of a source.
    pub fn set_supply(&mut self, source: usize, supply: i64) {
        if supply < self.supplies[source] {
            self.withdraw(source);
        }
        let unrouted = self.network.arcs(source).all(|arc| self.closed[arc]);
        let mut left = supply - self.supplies[source];
        self.supplies[source] = supply;
        if unrouted {
            self.unrouted += left;
            left = 0;
        }
        while left > 0 {
            left -= match self.augment_directly(source, left) {
                0 => self.augment_from_source(source, left),
                sent => sent,
            };
        }
    }

    /// Opens or closes an arc of a source.
    pub fn set_closed(&mut self, source: usize, arc: usize, closed: bool) {
        let supply = self.supplies[source];
        self.withdraw(source);
        self.closed[self.network.arcs(source).start + arc] = closed;
        self.set_supply(source, supply);
    }

    /// Changes the cost of an arc of a source.
    pub fn set_cost(&mut self, source: usize, arc: usize, cost: i128) {
        let arcs = self.network.arcs(source);
        let index = arcs.start + arc;
        if self.network.cost(index) == cost {
            return;
        }
        let supply = self.supplies[source];
        self.withdraw(source);
        sync::Arc::make_mut(&mut self.network).set_cost(index, cost);
        // Residual arcs of this source in the heaps have the old cost and must be put in again.
        self.is_listed[arcs].fill(false);
        self.set_supply(source, supply);
    }

    /// Takes all units of a source out of the flow.
    fn withdraw(&mut self, source: usize) {
        let arcs = self.network.arcs(source);
        if arcs.clone().all(|arc| self.closed[arc]) {
            self.unrouted -= self.supplies[source];
        }
        self.supplies[source] = 0;
        // Units of the same source on another arc may take the freed room, so this is repeated.
        while let Some(arc) = arcs.clone().find(|&arc| self.flow[arc] > 0) {
            let amount = self.flow[arc];
            let sink = self.network.sink(arc);
            self.cost -= self.cost_on(arc) + self.sinks[sink].cost();
            self.remove_flow(short_index(arc), amount);
            self.change_inflow(sink, -amount);
            self.cost += self.sinks[sink].cost();
            self.augment_into(sink);
        }
    }

    fn change_inflow(&mut self, sink: usize, by: i64) {
        self.sinks[sink].inflow += by;
        self.sinks[sink].update_marginal_prices();
    }

    /// Adds units to an arc.
    fn add_flow(&mut self, arc: u32, amount: i64) {
        let before = (self.flow[arc as usize] == 0, self.marginal_costs_if_convex(arc as usize));
        self.flow[arc as usize] += amount;
        self.list_residual_arcs_after_inflow(arc, before);
    }

    /// Updates the residual arcs of an arc after units were added: all are marked as pending if it had no units before; those whose
    /// cost changed are put into the heaps if its marginal costs changed.
    fn list_residual_arcs_after_inflow(&mut self, arc: u32, (was_empty, costs): (bool, Option<(i128, i128)>)) {
        if was_empty {
            let (sink, n_arcs) = (self.network.sink(arc as usize), self.n_arcs_of_same_source(arc as usize));
            if self.sinks[sink].arcs_in_use.is_empty() {
                self.sinks_in_use.push(sink);
            }
            self.sinks[sink].arcs_in_use.push(arc);
            self.sinks[sink].n_arcs += n_arcs;
            self.list_residual_arcs(arc);
        }
        if costs != self.marginal_costs_if_convex(arc as usize) {
            self.list_residual_arcs_at_new_cost(arc as usize);
        }
    }

    /// Takes units off an arc. If none is left, cheapest residual arcs that leave it become stale and are found again when needed.
    fn remove_flow(&mut self, arc: u32, amount: i64) {
        let costs = self.marginal_costs_if_convex(arc as usize);
        self.flow[arc as usize] -= amount;
        if self.flow[arc as usize] == 0 {
            let n = self.sinks.len();
            let n_arcs = self.n_arcs_of_same_source(arc as usize);
            let index = self.network.sink(arc as usize);
            let sink = &mut self.sinks[index];
            sink.arcs_in_use.retain(|&other| other != arc);
            sink.n_arcs -= n_arcs;
            if sink.arcs_in_use.is_empty() {
                self.sinks_in_use.retain(|&other| other != index);
            }
            for (to, cheapest) in self.cheapest[index * n..(index + 1) * n].iter_mut().enumerate() {
                if cheapest.leave == arc {
                    *cheapest = ResidualArc::NONE;
                    sink.stale.push(to);
                }
            }
        }
        if costs != self.marginal_costs_if_convex(arc as usize) {
            self.list_residual_arcs_at_new_cost(arc as usize);
        }
    }

    /// Number of arcs of the source of an arc.
    fn n_arcs_of_same_source(&self, arc: usize) -> usize {
        self.network.arcs(self.network.source(arc)).len()
    }
}
