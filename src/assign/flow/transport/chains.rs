//! Shortest chains of moves from place to place.
//!
//! Each place has a price of its room with which every row is where it is cheapest: no move costs less than what the prices
//! save. So what moves cost beside the prices is nowhere below nothing, and the nearest place is settled once it is taken
//! up (Edmonds & Karp 1972, Tomizawa 1971, with the algorithm of Dijkstra 1959 for few places; cited from memory). What is
//! farther than the end of the chain is never looked at.

use super::{NONE, Transport};

/// A search for shortest chains.
#[derive(Clone, Debug)]
pub(super) struct Search {
    /// By place, how much farther it is than the prices say.
    pub distance: Vec<i128>,
    pub before: Vec<usize>,
    /// The best chain found and the place where it ends, or starts where it was sought backwards.
    pub end: (i128, usize),
    /// Places that were met and are not settled.
    open: Vec<usize>,
    settled: Vec<usize>,
}

/// No place stands before this one in a chain.
pub(super) const START: usize = usize::MAX;

impl Transport {
    /// For each place what one row more or fewer there would change elsewhere at least: what a row costs that comes, less
    /// what it cost where it was; and what a row costs where it goes. The price of its room here is in neither, and with
    /// each further row both only grow. Where there is no such row it is out of all proportion.
    pub fn margins(&mut self) -> (Vec<i128>, Vec<i128>) {
        let n = self.places.len();
        self.reach_from_all();
        let [mut coming, mut going] = [vec![NONE; n], vec![NONE; n]];
        for &from in &self.occupied {
            let distance = self.search.distance[from] - self.places[from].price;
            for (to, step) in self.moves[from * n..(from + 1) * n].iter().enumerate().filter(|(_, s)| s.cost < NONE) {
                coming[to] = coming[to].min(distance + step.cost);
            }
        }
        self.search.clear();
        for (place, at) in self.places.iter().enumerate() {
            self.search.meet(place, at.next.0 - at.price, START);
        }
        self.reach_back();
        for &from in &self.occupied {
            let moves = self.moves[from * n..(from + 1) * n].iter().enumerate().filter(|(_, step)| step.cost < NONE);
            let ends = moves.map(|(to, step)| step.cost + self.search.distance[to] + self.places[to].price);
            going[from] = ends.min().unwrap_or(NONE);
        }
        (coming, going)
    }

    /// By place, a price of its room with which every row is where it is cheapest and no step is better left or taken: the
    /// lowest such prices, none below nothing. Together they are a best solution of the dual problem.
    pub fn prices(&mut self) -> Vec<i128> {
        self.reach_from_all();
        let distances = self.places.iter().zip(&self.search.distance);
        distances.map(|(at, &distance)| if distance == NONE { 0 } else { (at.price - distance).max(0) }).collect()
    }

    /// The least that a row less where it is and one more at a place, by way of others, costs beside the room at the place.
    fn reach_from_all(&mut self) {
        self.refresh_all();
        self.search.clear();
        for &place in &self.occupied {
            let at = &self.places[place];
            self.search.meet(place, at.price - at.last.0, START);
        }
        self.reach_to(false);
    }

    /// Chains from the places that were met, the nearest first, until none ends nearer than the best one.
    pub(super) fn reach(&mut self) {
        self.reach_to(true);
    }

    fn reach_to(&mut self, ends: bool) {
        let n = self.places.len();
        while let Some((from, so_far)) = self.search.nearest() {
            if self.places[from].here.is_empty() {
                continue;
            }
            self.refresh(from);
            let so_far = so_far - self.places[from].price;
            for to in 0..n {
                let step = self.moves[from * n + to].cost;
                let at = &self.places[to];
                if step < NONE && so_far + step + at.price < self.search.distance[to] {
                    let distance = so_far + step + at.price;
                    self.search.meet(to, distance, from);
                    if ends {
                        self.search.end = self.search.end.min((distance + at.next.0 - at.price, to));
                    }
                }
            }
        }
    }

    /// The same backwards, to the places that were met.
    pub(super) fn reach_back(&mut self) {
        let n = self.places.len();
        while let Some((to, so_far)) = self.search.nearest() {
            let so_far = so_far + self.places[to].price;
            for &from in &self.occupied {
                let step = self.moves[from * n + to].cost;
                let at = &self.places[from];
                if step < NONE && so_far + step - at.price < self.search.distance[from] {
                    let distance = so_far + step - at.price;
                    self.search.meet(from, distance, to);
                    self.search.end = self.search.end.min((distance + at.price - at.last.0, from));
                }
            }
        }
    }

    /// Changes the prices of the places nearer than a distance by what they are nearer: then a chain of that length costs
    /// nothing beside them.
    pub(super) fn reprice(&mut self, distance: i128, sign: i128) {
        for &place in &self.search.settled {
            let nearer = distance - self.search.distance[place];
            if nearer > 0 {
                self.places[place].price += sign * nearer;
            }
        }
    }

    pub(super) fn chain(&self, end: usize) -> Vec<usize> {
        let mut chain = vec![end];
        while self.search.before[chain[chain.len() - 1]] != START {
            chain.push(self.search.before[chain[chain.len() - 1]]);
        }
        chain.reverse();
        chain
    }
}

impl Search {
    pub fn new(n_places: usize) -> Self {
        Search {
            distance: vec![NONE; n_places],
            before: vec![START; n_places],
            end: (NONE, START),
            open: Vec::new(),
            settled: Vec::new(),
        }
    }

    pub fn clear(&mut self) {
        for place in self.open.drain(..).chain(self.settled.drain(..)) {
            self.distance[place] = NONE;
            self.before[place] = START;
        }
        self.end = (NONE, START);
    }

    /// A way to a place that is shorter than any before.
    pub fn meet(&mut self, place: usize, distance: i128, before: usize) {
        if self.distance[place] == NONE {
            self.open.push(place);
        }
        self.distance[place] = distance;
        self.before[place] = before;
    }

    /// Settles the nearest place that is not yet, unless the end is as near.
    fn nearest(&mut self) -> Option<(usize, i128)> {
        let (at, place, distance) = self
            .open
            .iter()
            .enumerate()
            .map(|(at, &place)| (at, place, self.distance[place]))
            .min_by_key(|&(_, place, distance)| (distance, place))?;
        if distance >= self.end.0 {
            return None;
        }
        self.open.swap_remove(at);
        self.settled.push(place);
        Some((place, distance))
    }
}
