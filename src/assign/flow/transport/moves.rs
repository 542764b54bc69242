//! The cheapest move of one row from each place to each other, kept as rows come and go.
//!
//! For each two places the moves of all rows there stand in a heap. A row that leaves stays in it until it comes up (lazy
//! deletion, common practice, no source): most never do, and if it comes back its moves are there already.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::{NONE, Transport};

/// The cheapest move of one row between two places.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Move {
    pub cost: i128,
    /// The arc that the row leaves.
    pub from: u32,
    /// The arc that it takes instead.
    pub to: u32,
}

impl Move {
    /// There is none.
    pub const NONE: Move = Move { cost: NONE, from: u32::MAX, to: u32::MAX };
}

/// A move in a heap: the same in three quarters of the room, for there are millions.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Stacked {
    high: i64,
    low: u64,
    from: u32,
    to: u32,
}

impl From<Move> for Stacked {
    fn from(Move { cost, from, to }: Move) -> Self {
        Stacked { high: (cost >> 64) as i64, low: cost as u64, from, to }
    }
}

impl From<Stacked> for Move {
    fn from(Stacked { high, low, from, to }: Stacked) -> Self {
        Move { cost: (i128::from(high) << 64) | i128::from(low), from, to }
    }
}

/// Moves between two places, the cheapest first; of equals the first arc's.
pub(super) type Heap = BinaryHeap<Reverse<Stacked>>;

impl Transport {
    pub(super) fn refresh_all(&mut self) {
        let occupied = std::mem::take(&mut self.occupied);
        for &place in &occupied {
            self.refresh(place);
        }
        self.occupied = occupied;
    }

    /// The cheapest moves out of a place, where rows that would have made them have left.
    pub(super) fn refresh(&mut self, place: usize) {
        for arc in std::mem::take(&mut self.places[place].fresh) {
            self.is_fresh[arc as usize] = false;
            if self.sent[arc as usize] > 0 {
                self.add_or_find_moves(arc);
            }
        }
        let first = place * self.places.len();
        while let Some(to) = self.places[place].stale.pop() {
            while let Some(&Reverse(top)) = self.heaps[first + to].peek() {
                let top = Move::from(top);
                let [from, taken] = [top.from, top.to].map(|arc| arc as usize);
                let there = self.sent[from] > 0 && !self.closed[taken];
                if there && self.next_on(taken).0 - self.last_on(from).0 == top.cost {
                    break;
                }
                self.heaps[first + to].pop();
                self.places[place].n_moves -= 1;
                if !there {
                    self.lost.entry(top.from).or_default().push(top.to);
                }
            }
            self.moves[first + to] = self.heaps[first + to].peek().map_or(Move::NONE, |Reverse(top)| Move::from(*top));
        }
    }

    /// Offers the moves that the rows of an arc could make, once anybody asks for moves from their place.
    pub(super) fn offer_moves(&mut self, arc: u32) {
        if !std::mem::replace(&mut self.is_fresh[arc as usize], true) {
            self.places[self.network.place(arc as usize)].fresh.push(arc);
        }
    }

    fn add_or_find_moves(&mut self, arc: u32) {
        let arcs = self.network.arcs(self.network.kind(arc as usize));
        let place = self.network.place(arc as usize);
        if self.standing[arc as usize] && self.costs_if_rising(arc as usize).is_none() {
            // They are where they were, but for those that came up meanwhile and the one whose cost may have changed.
            let last = arcs.end - 1;
            let rising = self.costs_if_rising(last).map(|_| last as u32);
            let lost = self.lost.remove(&arc).unwrap_or_default();
            let leaving = self.last_on(arc as usize).0;
            for to in lost.into_iter().filter(|to| Some(*to) != rising).chain(rising) {
                self.add_move(arc, to, self.next_on(to as usize).0 - leaving);
            }
        } else if self.places[place].n_moves > 2 * self.places[place].n_arcs + MOST_LEFT {
            // Most of them are of rows that left.
            let first = place * self.places.len();
            self.heaps[first..first + self.places.len()].iter_mut().for_each(BinaryHeap::clear);
            self.places[place].n_moves = 0;
            for arc in std::mem::take(&mut self.places[place].standing) {
                self.standing[arc as usize] = false;
            }
            for arc in self.places[place].here.clone() {
                self.add_moves(arc);
            }
        } else {
            self.add_moves(arc);
        }
    }

    /// All moves of an arc's rows.
    fn add_moves(&mut self, arc: u32) {
        if !self.standing[arc as usize] {
            self.standing[arc as usize] = true;
            self.places[self.network.place(arc as usize)].standing.push(arc);
        }
        self.lost.remove(&arc);
        let leaving = self.last_on(arc as usize).0;
        let arcs = self.network.arcs(self.network.kind(arc as usize));
        let last = arcs.end - 1;
        for to in arcs.filter(|&to| to != arc as usize) {
            // Only the last may rise.
            let coming = if to == last { self.next_on(to).0 } else { self.network.cost(to) };
            self.add_move(arc, to as u32, coming - leaving);
        }
    }

    fn add_move(&mut self, arc: u32, to: u32, cost: i128) {
        let place = self.network.place(arc as usize);
        if self.closed[to as usize] {
            self.lost.entry(arc).or_default().push(to);
            return;
        }
        let at = place * self.places.len() + self.network.place(to as usize);
        let step = Move { cost, from: arc, to };
        self.heaps[at].push(Reverse(step.into()));
        self.places[place].n_moves += 1;
        self.moves[at] = step.min(self.moves[at]);
    }
}

/// So many moves of rows that left may stand in the heaps of a place, beside as many as there are of rows that did not.
const MOST_LEFT: usize = 1024;
