//! The cheapest move of one row from each place to each other, kept as rows come and go.
//!
//! For each two places the moves of all rows there stand in a heap. A row that leaves stays in it until it comes up (lazy
//! deletion, common practice, no source): most never do.

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

/// Moves between two places, the cheapest first; of equals the first arc's.
pub(super) type Heap = BinaryHeap<Reverse<Move>>;

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
        let first = place * self.places.len();
        while let Some(to) = self.places[place].stale.pop() {
            while let Some(&Reverse(top)) = self.heaps[first + to].peek() {
                let [from, taken] = [top.from, top.to].map(|arc| arc as usize);
                let still = self.sent[from] > 0 && !self.closed[taken];
                if still && self.next_on(taken).0 - self.last_on(from).0 == top.cost {
                    break;
                }
                self.heaps[first + to].pop();
                self.places[place].n_moves -= 1;
            }
            self.moves[first + to] = self.heaps[first + to].peek().map_or(Move::NONE, |Reverse(top)| *top);
        }
    }

    /// The moves that the rows of an arc could make, which were none so far.
    pub(super) fn offer_moves(&mut self, arc: u32) {
        let n_arcs = self.n_arcs(self.kind_of[arc as usize] as usize);
        let place = &mut self.places[self.arcs[arc as usize].place];
        place.n_arcs += n_arcs;
        if place.n_moves > 2 * place.n_arcs + MOST_LEFT {
            // Most of them are of rows that left.
            let here = place.here.clone();
            place.n_moves = 0;
            let first = self.arcs[arc as usize].place * self.places.len();
            self.heaps[first..first + self.places.len()].iter_mut().for_each(BinaryHeap::clear);
            here.into_iter().for_each(|arc| self.add_moves(arc));
        } else {
            self.add_moves(arc);
        }
    }

    pub(super) fn add_moves(&mut self, arc: u32) {
        let place = self.arcs[arc as usize].place;
        let cost = self.last_on(arc as usize).0;
        let first = place * self.places.len();
        let kind = self.kind_of[arc as usize] as usize;
        for to in self.first_arc[kind]..self.first_arc[kind + 1] {
            if to == arc as usize || self.closed[to] {
                continue;
            }
            let there = self.arcs[to].place;
            let step = Move { cost: self.next_on(to).0 - cost, from: arc, to: to as u32 };
            self.heaps[first + there].push(Reverse(step));
            self.places[place].n_moves += 1;
            let best = &mut self.moves[first + there];
            *best = step.min(*best);
        }
    }
}

/// So many moves of rows that left may stand in the heaps of a place, beside as many as there are of rows that did not.
const MOST_LEFT: usize = 1024;
