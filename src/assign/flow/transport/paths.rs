//! Shortest augmenting paths between sinks, and the dual prices that follow from them.
//!
//! Problem: find a path of residual arcs from a sink (or from the arcs of a source) to any sink, such that the cost of its arcs
//! plus the price of the next unit of room at its end is least.
//!
//! Method: the algorithm of E. W. Dijkstra ("A note on two problems in connexion with graphs", 1959), without a heap,
//! on reduced costs d(i, j) + π(j) − π(i) ≥ 0 (J. Edmonds and R. M. Karp, "Theoretical
//! improvements in algorithmic efficiency for network flow problems", 1972; N. Tomizawa, "On some techniques useful for
//! solution of transportation network problems", 1971; all from memory). The search ends at the length of the shortest
//! complete path; farther sinks are not settled.
//!
//! Cost: O(n²) for n sinks.

use super::{INFINITE, Transport};

/// A search for shortest paths: Dijkstra's labels.
#[derive(Clone, Debug)]
pub(super) struct ShortestPaths {
    /// By sink, the length of the shortest known path, in reduced cost.
    pub distance: Vec<i128>,
    /// By sink, the sink before it on that path, or [`START`].
    pub before: Vec<usize>,
    /// Length of the shortest complete path, and the sink where it ends (where it starts, if searched backwards).
    pub end: (i128, usize),
    /// Sinks with a label that are not settled.
    open: Vec<usize>,
    settled: Vec<usize>,
}

/// In `before`, marks the first sink of a path.
pub(super) const START: usize = usize::MAX;

impl Transport {
    /// For each sink, the least change of cost elsewhere for one unit more, and for one unit fewer. One unit more: the cost of
    /// moving a unit here, less the price of the room that it frees. One unit fewer: the cost of moving a unit elsewhere with the price
    /// of room there. Neither includes the price of room at the sink itself. Both are convex in the number of units. [`INFINITE`] or
    /// nearly so if there is no such unit.
    pub fn marginal_costs(&mut self) -> (Vec<i128>, Vec<i128>) {
        let n = self.sinks.len();
        self.find_paths_from_all();
        let [mut one_more, mut one_fewer] = [vec![INFINITE; n], vec![INFINITE; n]];
        for &from in &self.sinks_in_use {
            let distance = self.paths.distance[from] - self.sinks[from].potential;
            let arcs = self.cheapest[from * n..(from + 1) * n].iter().enumerate();
            for (to, arc) in arcs.filter(|(_, arc)| arc.cost < INFINITE) {
                one_more[to] = one_more[to].min(distance + arc.cost);
            }
        }
        self.paths.clear();
        for (index, sink) in self.sinks.iter().enumerate() {
            self.paths.label(index, sink.next.price - sink.potential, START);
        }
        self.find_shortest_path_backwards();
        for &from in &self.sinks_in_use {
            let arcs = self.cheapest[from * n..(from + 1) * n].iter().enumerate();
            let arcs = arcs.filter(|(_, arc)| arc.cost < INFINITE);
            let ends = arcs.map(|(to, arc)| arc.cost + self.paths.distance[to] + self.sinks[to].potential);
            one_fewer[from] = ends.min().unwrap_or(INFINITE);
        }
        (one_more, one_fewer)
    }

    /// By sink, the lowest optimal dual price, raised to 0 if it is negative. At these prices each unit is on a cheapest arc, and it
    /// pays neither to free nor to take more room: an optimal solution of the dual.
    pub fn dual_prices(&mut self) -> Vec<i128> {
        self.find_paths_from_all();
        let distances = self.sinks.iter().zip(&self.paths.distance);
        let price = |(sink, &distance): (&super::Sink, &i128)| match distance {
            INFINITE => 0,
            distance => (sink.potential - distance).max(0),
        };
        distances.map(price).collect()
    }

    /// Shortest paths from the last units at all sinks to each sink.
    fn find_paths_from_all(&mut self) {
        self.refresh_all();
        self.paths.clear();
        for &index in &self.sinks_in_use {
            let sink = &self.sinks[index];
            self.paths.label(index, sink.potential - sink.last.price, START);
        }
        self.settle_sinks(false);
    }

    /// The shortest path from the labelled sinks to the next unit of room anywhere.
    pub(super) fn find_shortest_path(&mut self) {
        self.settle_sinks(true);
    }

    /// Dijkstra's algorithm from the labelled sinks. If `ends` is true, each sink may be the end of a path.
    fn settle_sinks(&mut self, ends: bool) {
        let n = self.sinks.len();
        while let Some((from, length)) = self.paths.settle_nearest() {
            if self.sinks[from].arcs_in_use.is_empty() {
                continue;
            }
            self.refresh(from);
            let length = length - self.sinks[from].potential;
            for to in 0..n {
                let cost = self.cheapest[from * n + to].cost;
                let sink = &self.sinks[to];
                if cost < INFINITE && length + cost + sink.potential < self.paths.distance[to] {
                    let distance = length + cost + sink.potential;
                    self.paths.label(to, distance, from);
                    if ends {
                        self.paths.end = self.paths.end.min((distance + sink.next.price - sink.potential, to));
                    }
                }
            }
        }
    }

    /// The shortest path from the last unit anywhere to the labelled sinks.
    pub(super) fn find_shortest_path_backwards(&mut self) {
        let n = self.sinks.len();
        while let Some((to, length)) = self.paths.settle_nearest() {
            let length = length + self.sinks[to].potential;
            for &from in &self.sinks_in_use {
                let cost = self.cheapest[from * n + to].cost;
                let sink = &self.sinks[from];
                if cost < INFINITE && length + cost - sink.potential < self.paths.distance[from] {
                    let distance = length + cost - sink.potential;
                    self.paths.label(from, distance, to);
                    self.paths.end = self.paths.end.min((distance + sink.potential - sink.last.price, from));
                }
            }
        }
    }

    /// Changes the dual price of each sink whose distance is less than the length of the path by the difference. Then all arcs of the
    /// path have reduced cost 0, and no arc has a negative one.
    pub(super) fn update_potentials(&mut self, length: i128, sign: i128) {
        for &sink in &self.paths.settled {
            let nearer = length - self.paths.distance[sink];
            if nearer > 0 {
                self.sinks[sink].potential += sign * nearer;
            }
        }
    }

    /// The sinks on the shortest path to a sink.
    pub(super) fn path_to(&self, end: usize) -> Vec<usize> {
        let mut path = vec![end];
        while self.paths.before[path[path.len() - 1]] != START {
            path.push(self.paths.before[path[path.len() - 1]]);
        }
        path.reverse();
        path
    }
}

impl ShortestPaths {
    pub fn new(n_sinks: usize) -> Self {
        ShortestPaths {
            distance: vec![INFINITE; n_sinks],
            before: vec![START; n_sinks],
            end: (INFINITE, START),
            open: Vec::new(),
            settled: Vec::new(),
        }
    }

    pub fn clear(&mut self) {
        for sink in self.open.drain(..).chain(self.settled.drain(..)) {
            self.distance[sink] = INFINITE;
            self.before[sink] = START;
        }
        self.end = (INFINITE, START);
    }

    /// Labels a sink with a shorter path.
    pub fn label(&mut self, sink: usize, distance: i128, before: usize) {
        if self.distance[sink] == INFINITE {
            self.open.push(sink);
        }
        self.distance[sink] = distance;
        self.before[sink] = before;
    }

    /// Settles the nearest labelled sink; `None` if some complete path is at most as long as the path to it.
    fn settle_nearest(&mut self) -> Option<(usize, i128)> {
        let (position, sink, distance) = self
            .open
            .iter()
            .enumerate()
            .map(|(position, &sink)| (position, sink, self.distance[sink]))
            .min_by_key(|&(_, sink, distance)| (distance, sink))?;
        if distance >= self.end.0 {
            return None;
        }
        self.open.swap_remove(position);
        self.settled.push(sink);
        Some((sink, distance))
    }
}
