//! Augmentations: sends units along shortest paths, from a source or from sink to sink.

use super::paths::START;
use super::residual::ResidualArc;
use super::sink::{Marginal, Sink};
use super::{INFINITE, Transport};
use crate::units::short_index;

impl Transport {
    /// Sends up to `most` units of a source along the arc that is cheapest at the dual prices, while there is room at that price:
    /// an augmenting path of a single arc. Returns the number of units sent.
    pub(super) fn augment_directly(&mut self, source: usize, most: i64) -> i64 {
        let mut best = (INFINITE, true, START, 0);
        let mut others = INFINITE;
        for arc in self.network.arcs(source).filter(|&arc| !self.closed[arc]) {
            let sink = &self.sinks[self.network.sink(arc)];
            let is_full = sink.next.price > sink.potential;
            let this = (self.next_on(arc).price + sink.potential, is_full, self.network.sink(arc), arc);
            others = others.min(this.max(best).0);
            best = best.min(this);
        }
        let (_, is_full, sink, arc) = best;
        if is_full {
            return 0;
        }
        let before = (self.flow[arc] == 0, self.marginal_costs_if_convex(arc));
        let potential = self.sinks[sink].potential;
        let mut amount = 0;
        while amount < most {
            let (on_arc, at_sink) = (self.next_on(arc), self.sinks[sink].next);
            if at_sink.price > potential || on_arc.price + potential > others {
                break;
            }
            let sent = on_arc.units.min(at_sink.units).min(most - amount);
            self.flow[arc] += sent;
            self.change_inflow(sink, sent);
            self.cost += (on_arc.price + at_sink.price) * i128::from(sent);
            amount += sent;
        }
        self.list_residual_arcs_after_inflow(short_index(arc), before);
        amount
    }

    /// Sends up to `most` units of a source along one shortest path. Returns the number of units sent.
    pub(super) fn augment_from_source(&mut self, source: usize, most: i64) -> i64 {
        self.paths.clear();
        let arcs = self.network.arcs(source);
        let open: Vec<usize> = arcs.filter(|&arc| !self.closed[arc]).collect();
        let at_prices = |arc: &usize| self.next_on(*arc).price + self.sinks[self.network.sink(*arc)].potential;
        let costs: Vec<i128> = open.iter().map(at_prices).collect();
        let least = costs.iter().copied().min().unwrap_or(0);
        for (&arc, cost) in open.iter().zip(costs) {
            let (index, distance) = (self.network.sink(arc), cost - least);
            let sink = &self.sinks[index];
            self.paths.label(index, distance, START);
            self.paths.end = self.paths.end.min((distance + sink.next.price - sink.potential, index));
        }
        self.find_shortest_path();
        let (distance, end) = self.paths.end;
        self.update_potentials(distance, 1);
        let unit_cost = least + distance;
        let path = self.path_to(end);
        let arc = open.iter().copied().find(|&arc| self.network.sink(arc) == path[0]);
        let at_this_cost = arc.map_or(i64::MAX, |arc| self.next_on(arc).units);
        let amount = self.bottleneck(&path).min(self.sinks[end].next.units).min(most).min(at_this_cost);
        self.push_along(&path, amount);
        if let Some(arc) = arc {
            self.add_flow(short_index(arc), amount);
        }
        self.change_inflow(end, amount);
        self.cost += unit_cost * i128::from(amount);
        amount
    }

    /// Sends units from a sink to others while its last unit costs more than its dual price.
    pub(super) fn augment_out_of(&mut self, sink: usize) {
        loop {
            let Sink { inflow, last, potential, .. } = self.sinks[sink];
            if inflow == 0 || last.price <= potential {
                return;
            }
            self.paths.clear();
            self.paths.end = (last.price - potential, START);
            self.paths.label(sink, 0, START);
            self.find_shortest_path();
            let (distance, end) = self.paths.end;
            self.update_potentials(distance, 1);
            if end == START {
                return;
            }
            let path = self.path_to(end);
            self.augment_between_sinks(&path, distance - (last.price - potential));
        }
    }

    /// Sends units from other sinks to a sink while its next unit costs less than its dual price.
    pub(super) fn augment_into(&mut self, sink: usize) {
        loop {
            let Sink { next, potential, .. } = self.sinks[sink];
            if next.price >= potential {
                return;
            }
            self.refresh_all();
            self.paths.clear();
            self.paths.end = (potential - next.price, START);
            self.paths.label(sink, 0, START);
            self.find_shortest_path_backwards();
            let (distance, start) = self.paths.end;
            self.update_potentials(distance, -1);
            if start == START {
                return;
            }
            let mut path = self.path_to(start);
            path.reverse();
            self.augment_between_sinks(&path, distance - (potential - next.price));
        }
    }

    /// Sends units along a path, from the sink where it starts to the sink where it ends.
    fn augment_between_sinks(&mut self, path: &[usize], unit_cost: i128) {
        let (start, end) = (path[0], path[path.len() - 1]);
        let amount = self.bottleneck(path).min(self.sinks[start].last.units).min(self.sinks[end].next.units);
        self.push_along(path, amount);
        self.change_inflow(start, -amount);
        self.change_inflow(end, amount);
        self.cost += unit_cost * i128::from(amount);
    }

    /// The number of units that can take all residual arcs of a path at its cost.
    fn bottleneck(&self, path: &[usize]) -> i64 {
        let n = self.sinks.len();
        let residual_capacities = path.windows(2).map(|pair| {
            let ResidualArc { leave, take, .. } = self.cheapest[pair[0] * n + pair[1]];
            let (last, next): (Marginal, Marginal) = (self.last_on(leave as usize), self.next_on(take as usize));
            last.units.min(next.units)
        });
        residual_capacities.fold(i64::MAX, i64::min)
    }

    /// Moves units along the residual arcs of a path.
    fn push_along(&mut self, path: &[usize], amount: i64) {
        let n = self.sinks.len();
        let arcs: Vec<ResidualArc> = path.windows(2).map(|pair| self.cheapest[pair[0] * n + pair[1]]).collect();
        for ResidualArc { leave, take, .. } in arcs {
            self.remove_flow(leave, amount);
            self.add_flow(take, amount);
        }
    }
}
