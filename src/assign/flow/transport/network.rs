//! Where rows may go and what that costs beside the price of room: nothing that a flow changes, so copies of a flow share it.

use std::ops::Range;

use super::{Arc, Kind};

/// The arcs of all kinds, one after the other.
#[derive(Clone, Debug, Default)]
pub(super) struct Network {
    /// By kind, where its arcs start; one more at the end.
    first_arc: Vec<u32>,
    /// By arc.
    kind_of: Vec<u32>,
    place_of: Vec<u32>,
    cost_of: Vec<i128>,
    /// By kind, where the steps start that the rows on its last arc rise by; one more at the end.
    first_rise: Vec<u32>,
    /// Up to how many rows, and what each costs beside the arc's cost.
    rises: Vec<(i64, i128)>,
}

impl Network {
    /// The network of some kinds, and how many rows there are of each.
    pub fn of(kinds: impl Iterator<Item = Kind>) -> (Self, Vec<i64>) {
        let (mut network, mut counts) = (Network::default(), Vec::new());
        network.first_arc.push(0);
        network.first_rise.push(0);
        for (index, kind) in (0..).zip(kinds) {
            for Arc { place, cost } in kind.arcs {
                network.place_of.push(place as u32);
                network.cost_of.push(cost);
            }
            network.kind_of.resize(network.place_of.len(), index);
            network.first_arc.push(network.place_of.len() as u32);
            let mut end = 0;
            network.rises.extend(kind.rises.iter().map(|&(rows, cost)| {
                end += rows;
                (end, cost)
            }));
            network.first_rise.push(network.rises.len() as u32);
            counts.push(kind.count);
        }
        (network, counts)
    }

    pub fn n_arcs(&self) -> usize {
        self.place_of.len()
    }

    /// The arcs of a kind.
    pub fn arcs(&self, kind: usize) -> Range<usize> {
        self.first_arc[kind] as usize..self.first_arc[kind + 1] as usize
    }

    /// The kind of an arc.
    pub fn kind(&self, arc: usize) -> usize {
        self.kind_of[arc] as usize
    }

    /// The place to which an arc leads.
    pub fn place(&self, arc: usize) -> usize {
        self.place_of[arc] as usize
    }

    /// What a row costs on an arc beside the price of its room, and what it may rise by.
    pub fn cost(&self, arc: usize) -> i128 {
        self.cost_of[arc]
    }

    pub fn set_cost(&mut self, arc: usize, cost: i128) {
        self.cost_of[arc] = cost;
    }

    /// Up to how many rows on an arc, and what each costs beside the arc's cost.
    pub fn rises(&self, arc: usize) -> &[(i64, i128)] {
        let kind = self.kind(arc);
        let is_last = arc + 1 == self.first_arc[kind + 1] as usize;
        let rises = if is_last { self.first_rise[kind]..self.first_rise[kind + 1] } else { 0..0 };
        &self.rises[rises.start as usize..rises.end as usize]
    }
}
