//! The cheapest move of one row from each place to each other, kept as rows come and go.

use super::{Arc, NONE, Transport};

/// The cheapest move of one row between two places.
#[derive(Clone, Copy, Debug)]
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

/// Places, one bit each.
#[derive(Clone, Debug, Default)]
pub(super) struct Places {
    words: Vec<u64>,
    any: bool,
}

impl Places {
    /// None of so many.
    pub fn none_of(n: usize) -> Self {
        Places { words: vec![0; n.div_ceil(64)], any: false }
    }

    pub fn insert(&mut self, place: usize) {
        self.words[place / 64] |= 1 << (place % 64);
        self.any = true;
    }

    fn clear(&mut self) {
        self.words.fill(0);
        self.any = false;
    }
}

/// Which places each kind has arcs to, and which arcs: one bit a place, with the number of bits before each word.
#[derive(Clone, Debug)]
pub(super) struct Reach {
    n_words: usize,
    /// By kind, so many words.
    words: Vec<Word>,
    /// The arcs of each kind in order of place.
    by_place: Vec<u32>,
}

#[derive(Clone, Copy, Debug, Default)]
struct Word {
    bits: u64,
    /// Where in `by_place` the arc of its first bit stands.
    first: u32,
}

impl Reach {
    /// Of kinds whose arcs start where `first_arc` says, no two of a kind to one of the `n` places.
    pub fn new(first_arc: &[usize], arcs: &[Arc], n: usize) -> Self {
        let n_words = n.div_ceil(64);
        let mut by_place: Vec<u32> = (0..arcs.len() as u32).collect();
        let mut words = vec![Word::default(); (first_arc.len() - 1) * n_words];
        for (kind, range) in first_arc.windows(2).enumerate() {
            let of_kind = &mut by_place[range[0]..range[1]];
            of_kind.sort_by_key(|&arc| arcs[arc as usize].place);
            let words = &mut words[kind * n_words..(kind + 1) * n_words];
            for &arc in &*of_kind {
                let place = arcs[arc as usize].place;
                words[place / 64].bits |= 1 << (place % 64);
            }
            let mut first = range[0] as u32;
            for word in words {
                word.first = first;
                first += word.bits.count_ones();
            }
            debug_assert_eq!(first as usize, range[1], "two arcs of a kind to one place");
        }
        Reach { n_words, words, by_place }
    }

    /// The places that a kind reaches of these, each with its arc.
    fn among(&self, kind: usize, places: &Places, mut take: impl FnMut(usize, usize)) {
        let words = &self.words[kind * self.n_words..(kind + 1) * self.n_words];
        for (index, (word, wanted)) in words.iter().zip(&places.words).enumerate() {
            let mut common = word.bits & wanted;
            while common != 0 {
                let bit = common.trailing_zeros();
                common &= common - 1;
                let before = (word.bits & ((1 << bit) - 1)).count_ones();
                take(index * 64 + bit as usize, self.by_place[(word.first + before) as usize] as usize);
            }
        }
    }
}

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
        if !self.places[place].stale.any {
            return;
        }
        let first = place * self.places.len();
        let Transport { places, moves, arcs, kind_of, closed, reach, .. } = self;
        let place = &mut places[place];
        for &arc in &place.here {
            let cost = arcs[arc as usize].cost;
            reach.among(kind_of[arc as usize] as usize, &place.stale, |to, other| {
                offer_move(&mut moves[first + to], arc, other, arcs[other].cost - cost, closed);
            });
        }
        place.stale.clear();
    }

    /// The moves that the rows of an arc could make.
    pub(super) fn offer_moves(&mut self, arc: u32) {
        let Arc { place, cost } = self.arcs[arc as usize];
        let first = place * self.places.len();
        let kind = self.kind_of[arc as usize] as usize;
        for to in self.first_arc[kind]..self.first_arc[kind + 1] {
            let Arc { place, cost: there } = self.arcs[to];
            offer_move(&mut self.moves[first + place], arc, to, there - cost, &self.closed);
        }
    }
}

/// A move, where it is cheaper than the one there is; of equals the first arc's.
fn offer_move(best: &mut Move, arc: u32, to: usize, gained: i128, closed: &[bool]) {
    if (gained, arc) < (best.cost, best.from) && to != arc as usize && !closed[to] {
        *best = Move { cost: gained, from: arc, to: to as u32 };
    }
}
