//! The arcs of all sources with their costs. A flow does not change them, so copies of a flow share them.

use std::ops::Range;

use super::{Arc, FlowSource};

/// Arcs, sinks and extra costs are numbered in 32 bits. This is checked here, so no later conversion loses anything.
fn numbered(number: usize) -> u32 {
    u32::try_from(number).expect("a flow has fewer arcs than 32 bits count")
}

/// The arcs of all sources, one source after the other.
#[derive(Clone, Debug, Default)]
pub(super) struct Network {
    /// By source, its first arc; at the end the number of arcs.
    first_arc: Vec<u32>,
    /// By arc: its source, sink and cost.
    source_of: Vec<u32>,
    sink_of: Vec<u32>,
    cost_of: Vec<i128>,
    /// By source, its first extra cost; at the end the number of extra costs.
    first_extra: Vec<u32>,
    /// On the last arc of a source: the number of units up to which an extra cost applies, and the extra cost of each.
    extras: Vec<(i64, i128)>,
}

impl Network {
    /// The network of some sources, and their supplies.
    pub fn of(sources: impl Iterator<Item = FlowSource>) -> (Self, Vec<i64>) {
        let (mut network, mut supplies) = (Network::default(), Vec::new());
        network.first_arc.push(0);
        network.first_extra.push(0);
        for (index, source) in (0..).zip(sources) {
            for Arc { sink, cost } in source.arcs {
                network.sink_of.push(numbered(sink));
                network.cost_of.push(cost);
            }
            network.source_of.resize(network.sink_of.len(), index);
            network.first_arc.push(numbered(network.sink_of.len()));
            let mut end = 0;
            network.extras.extend(source.last_arc_extras.iter().map(|&(units, extra)| {
                end += units;
                (end, extra)
            }));
            network.first_extra.push(numbered(network.extras.len()));
            supplies.push(source.supply);
        }
        (network, supplies)
    }

    pub fn n_arcs(&self) -> usize {
        self.sink_of.len()
    }

    /// The arcs of a source.
    pub fn arcs(&self, source: usize) -> Range<usize> {
        self.first_arc[source] as usize..self.first_arc[source + 1] as usize
    }

    /// The source of an arc.
    pub fn source(&self, arc: usize) -> usize {
        self.source_of[arc] as usize
    }

    /// The sink of an arc.
    pub fn sink(&self, arc: usize) -> usize {
        self.sink_of[arc] as usize
    }

    /// Cost of a unit on an arc, without extra cost and the price of room.
    pub fn cost(&self, arc: usize) -> i128 {
        self.cost_of[arc]
    }

    pub fn set_cost(&mut self, arc: usize, cost: i128) {
        self.cost_of[arc] = cost;
    }

    /// Extra costs of the units on an arc: the number of units up to which each applies, and the extra cost. Empty except
    /// on the last arc of a source.
    pub fn extras(&self, arc: usize) -> &[(i64, i128)] {
        let source = self.source(arc);
        let is_last = arc + 1 == self.first_arc[source + 1] as usize;
        let extras = if is_last { self.first_extra[source]..self.first_extra[source + 1] } else { 0..0 };
        &self.extras[extras.start as usize..extras.end as usize]
    }
}
