//! Rows to places at least cost: the transportation problem, solved exactly in whole numbers and solved again after a change.
//!
//! Successive shortest paths on the graph of places (Jewell 1958; Busacker & Gowen 1960; cited from memory): each row goes
//! along the cheapest chain of moves, and so does each row that a change of a place's prices pushes out or draws in. The
//! flow is the cheapest after every call, so a small change costs little.

mod chains;
mod moves;
mod network;
mod place;
mod rises;
mod sending;
#[cfg(test)]
mod tests;

use std::collections::HashMap;
use std::sync;

use chains::{START, Search};
use moves::{Heap, Move};
use network::Network;
use place::Place;

/// A cost no move has: there is none.
const NONE: i128 = i128::MAX / 4;

/// What a row costs where there is no room for it: more than any chain of moves saves.
pub const OVERFULL: i128 = 1 << 110;

/// Room that never fills.
pub const UNLIMITED: i64 = i64::MAX;

/// So many rows at one price each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Step {
    /// Rows; [`UNLIMITED`] where there is no end of them.
    pub room: i64,
    /// What each costs.
    pub price: i128,
}

/// Where a kind of rows may go.
#[derive(Clone, Copy, Debug)]
pub struct Arc {
    /// Which place.
    pub place: usize,
    /// What a row costs there beside the price of its room.
    pub cost: i128,
}

/// Rows that are the same.
#[derive(Clone, Debug, Default)]
pub struct Kind {
    /// How many.
    pub count: i64,
    /// Where each may go; no two arcs to one place.
    pub arcs: Vec<Arc>,
    /// What the rows on the last arc cost beside its cost, in rising order, for so many each: for all of them. Without any,
    /// nothing.
    pub rises: Vec<(i64, i128)>,
}

/// A cheapest flow of rows to places.
#[derive(Clone, Debug)]
pub struct Transport {
    network: sync::Arc<Network>,
    counts: Vec<i64>,
    /// Rows of a kind that has nowhere to go.
    stranded: i64,
    closed: Vec<bool>,
    /// By arc, rows on it.
    sent: Vec<i64>,
    places: Vec<Place>,
    /// Places with rows.
    occupied: Vec<usize>,
    /// By two places, the cheapest move from one to the other.
    moves: Vec<Move>,
    /// By two places, all moves.
    heaps: Vec<Heap>,
    /// By arc, whether its moves stand in the heaps, all but those that are lost.
    standing: Vec<bool>,
    /// Moves that came up while there were no rows to make them: by the arc left, the arcs taken.
    lost: HashMap<u32, Vec<u32>>,
    /// By arc, whether its moves are still to be offered.
    is_fresh: Vec<bool>,
    cost: i128,
    search: Search,
}

impl Transport {
    /// Sends all rows, one to a place; each place with its steps in order of price.
    pub fn new(kinds: impl Iterator<Item = Kind>, steps: &[Vec<Step>]) -> Self {
        let n = steps.len();
        let (network, counts) = Network::of(kinds);
        let n_arcs = network.n_arcs();
        let mut transport = Transport {
            network: sync::Arc::new(network),
            counts: vec![0; counts.len()],
            stranded: 0,
            closed: vec![false; n_arcs],
            sent: vec![0; n_arcs],
            places: steps.iter().map(|steps| Place::new(steps)).collect(),
            occupied: Vec::new(),
            moves: vec![Move::NONE; n * n],
            heaps: vec![Heap::new(); n * n],
            standing: vec![false; n_arcs],
            is_fresh: vec![false; n_arcs],
            lost: HashMap::new(),
            cost: 0,
            search: Search::new(n),
        };
        for (kind, count) in counts.into_iter().enumerate() {
            transport.set_count(kind, count);
        }
        transport
    }

    /// What the flow costs; `None` where some row has no room.
    pub fn cost(&self) -> Option<i128> {
        let fits = self.stranded == 0 && self.places.iter().all(|place| place.used <= place.capacity);
        fits.then_some(self.cost)
    }

    /// Rows at a place.
    pub fn used(&self, place: usize) -> i64 {
        self.places[place].used
    }

    /// Rows of a kind by arc, in the order the arcs were given.
    pub fn sent(&self, kind: usize) -> &[i64] {
        &self.sent[self.network.arcs(kind)]
    }

    /// What the last row at a place costs there.
    pub fn last_price(&self, place: usize) -> i128 {
        self.places[place].last.0
    }

    /// Arcs of the kind that an arc is of.
    fn n_arcs_beside(&self, arc: usize) -> usize {
        self.network.arcs(self.network.kind(arc)).len()
    }

    /// Changes the prices of a place, in order of price.
    pub fn set_steps(&mut self, place: usize, steps: &[Step]) {
        let at = &mut self.places[place];
        self.cost -= at.cost();
        at.set_steps(steps);
        self.cost += at.cost();
        self.push_out(place);
        self.draw_in(place);
    }

    /// Changes the number of rows of a kind.
    pub fn set_count(&mut self, kind: usize, count: i64) {
        if count < self.counts[kind] {
            self.take_out(kind);
        }
        let stranded = self.network.arcs(kind).all(|arc| self.closed[arc]);
        let mut left = count - self.counts[kind];
        self.counts[kind] = count;
        if stranded {
            self.stranded += left;
            left = 0;
        }
        while left > 0 {
            left -= match self.send_directly(kind, left) {
                0 => self.send(kind, left),
                sent => sent,
            };
        }
    }

    /// Opens or closes an arc of a kind.
    pub fn set_closed(&mut self, kind: usize, arc: usize, closed: bool) {
        let count = self.counts[kind];
        self.take_out(kind);
        self.closed[self.network.arcs(kind).start + arc] = closed;
        self.set_count(kind, count);
    }

    /// Changes the cost of an arc of a kind.
    pub fn set_cost(&mut self, kind: usize, arc: usize, cost: i128) {
        let arcs = self.network.arcs(kind);
        let index = arcs.start + arc;
        if self.network.cost(index) == cost {
            return;
        }
        let count = self.counts[kind];
        self.take_out(kind);
        sync::Arc::make_mut(&mut self.network).set_cost(index, cost);
        // What stands in the heaps of it is another cost's.
        self.standing[arcs].fill(false);
        self.set_count(kind, count);
    }

    /// Takes all rows of a kind out.
    fn take_out(&mut self, kind: usize) {
        let arcs = self.network.arcs(kind);
        if arcs.clone().all(|arc| self.closed[arc]) {
            self.stranded -= self.counts[kind];
        }
        self.counts[kind] = 0;
        // What is drawn in may be rows of this kind from another place.
        while let Some(arc) = arcs.clone().find(|&arc| self.sent[arc] > 0) {
            let amount = self.sent[arc];
            let place = self.network.place(arc);
            self.cost -= self.cost_on(arc) + self.places[place].cost();
            self.take(arc as u32, amount);
            self.change_used(place, -amount);
            self.cost += self.places[place].cost();
            self.draw_in(place);
        }
    }

    /// Moves rows out of a place while one of them would be cheaper elsewhere.
    fn push_out(&mut self, place: usize) {
        loop {
            let Place { used, last, price, .. } = self.places[place];
            if used == 0 || last.0 <= price {
                return;
            }
            self.search.clear();
            self.search.end = (last.0 - price, START);
            self.search.meet(place, 0, START);
            self.reach();
            let (distance, end) = self.search.end;
            self.reprice(distance, 1);
            if end == START {
                return;
            }
            let chain = self.chain(end);
            self.shift_out(&chain, distance - (last.0 - price));
        }
    }

    /// Moves rows into a place while one from elsewhere would be cheaper here.
    fn draw_in(&mut self, place: usize) {
        loop {
            let Place { next, price, .. } = self.places[place];
            if next.0 >= price {
                return;
            }
            self.refresh_all();
            self.search.clear();
            self.search.end = (price - next.0, START);
            self.search.meet(place, 0, START);
            self.reach_back();
            let (distance, start) = self.search.end;
            self.reprice(distance, -1);
            if start == START {
                return;
            }
            let mut chain = self.chain(start);
            chain.reverse();
            self.shift_out(&chain, distance - (price - next.0));
        }
    }

    /// Moves rows along a chain, out of the place where it starts and into the place where it ends.
    fn shift_out(&mut self, chain: &[usize], path: i128) {
        let (start, end) = (chain[0], chain[chain.len() - 1]);
        let amount = self.most_along(chain).min(self.places[start].last.1).min(self.places[end].next.1);
        self.shift(chain, amount);
        self.change_used(start, -amount);
        self.change_used(end, amount);
        self.cost += path * i128::from(amount);
    }

    /// Rows that can go along a chain at its price.
    fn most_along(&self, chain: &[usize]) -> i64 {
        let n = self.places.len();
        let moved = chain.windows(2).map(|pair| {
            let Move { from, to, .. } = self.moves[pair[0] * n + pair[1]];
            self.last_on(from as usize).1.min(self.next_on(to as usize).1)
        });
        moved.fold(i64::MAX, i64::min)
    }

    fn shift(&mut self, chain: &[usize], amount: i64) {
        let n = self.places.len();
        let moves: Vec<Move> = chain.windows(2).map(|pair| self.moves[pair[0] * n + pair[1]]).collect();
        for step in moves {
            self.take(step.from, amount);
            self.put(step.to, amount);
        }
    }

    fn change_used(&mut self, place: usize, by: i64) {
        self.places[place].used += by;
        self.places[place].reprice();
    }

    /// Adds rows to an arc; the cheapest moves from its place may become cheaper.
    fn put(&mut self, arc: u32, amount: i64) {
        let before = (self.sent[arc as usize] == 0, self.costs_if_rising(arc as usize));
        self.sent[arc as usize] += amount;
        self.offer(arc, before);
    }

    /// Offers the moves of an arc to which rows came, where there were none, or at whose cost they do not stand any longer.
    fn offer(&mut self, arc: u32, (newly_there, costs): (bool, Option<(i128, i128)>)) {
        if newly_there {
            let (place, n_arcs) = (self.network.place(arc as usize), self.n_arcs_beside(arc as usize));
            if self.places[place].here.is_empty() {
                self.occupied.push(place);
            }
            self.places[place].here.push(arc);
            self.places[place].n_arcs += n_arcs;
            self.offer_moves(arc);
        }
        if costs != self.costs_if_rising(arc as usize) {
            self.offer_moves_at_new_cost(arc as usize);
        }
    }

    /// Takes rows from an arc; where the last leaves, moves that were its own are sought again when they are asked for.
    fn take(&mut self, arc: u32, amount: i64) {
        let costs = self.costs_if_rising(arc as usize);
        self.sent[arc as usize] -= amount;
        if self.sent[arc as usize] == 0 {
            let n = self.places.len();
            let n_arcs = self.n_arcs_beside(arc as usize);
            let index = self.network.place(arc as usize);
            let place = &mut self.places[index];
            place.here.retain(|&other| other != arc);
            place.n_arcs -= n_arcs;
            if place.here.is_empty() {
                self.occupied.retain(|&other| other != index);
            }
            for (to, best) in self.moves[index * n..(index + 1) * n].iter_mut().enumerate() {
                if best.from == arc {
                    *best = Move::NONE;
                    place.stale.push(to);
                }
            }
        }
        if costs != self.costs_if_rising(arc as usize) {
            self.offer_moves_at_new_cost(arc as usize);
        }
    }
}
