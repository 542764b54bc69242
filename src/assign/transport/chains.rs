//! Shortest chains of moves from place to place.

use std::collections::VecDeque;

use super::{NONE, Transport};

/// A search for shortest chains.
#[derive(Clone, Debug)]
pub(super) struct Search {
    pub distance: Vec<i128>,
    pub before: Vec<usize>,
    /// The best chain found and the place where it ends, or starts where it was sought backwards.
    pub end: (i128, usize),
    pub queue: VecDeque<usize>,
    pub queued: Vec<bool>,
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
        let mut coming = vec![NONE; n];
        for &from in &self.occupied {
            for (to, step) in self.moves[from * n..(from + 1) * n].iter().enumerate().filter(|(_, s)| s.cost < NONE) {
                coming[to] = coming[to].min(self.search.distance[from] + step.cost);
            }
        }
        self.search.clear();
        for place in 0..n {
            self.search.distance[place] = self.places[place].next.0;
        }
        let mut going = vec![NONE; n];
        let mut shorter = true;
        while shorter {
            shorter = false;
            for &from in &self.occupied {
                let moves = self.moves[from * n..(from + 1) * n].iter().zip(&self.search.distance);
                let least =
                    moves.filter(|(step, _)| step.cost < NONE).map(|(step, end)| step.cost + end).min().unwrap_or(NONE);
                going[from] = least;
                if least < self.search.distance[from] {
                    self.search.distance[from] = least;
                    shorter = true;
                }
            }
        }
        (coming, going)
    }

    /// By place, a price of its room with which every row is where it is cheapest and no step is better left or taken: the
    /// lowest such prices, none below nothing. Together they are a best solution of the dual problem.
    pub fn prices(&mut self) -> Vec<i128> {
        self.reach_from_all();
        let distances = self.search.distance.iter();
        distances.map(|&distance| if distance == NONE { 0 } else { (-distance).max(0) }).collect()
    }

    /// The least that a row less where it is and one more at a place, by way of others, costs beside the room at the place.
    fn reach_from_all(&mut self) {
        let n = self.places.len();
        self.search.clear();
        self.refresh_all();
        for &place in &self.occupied {
            self.search.distance[place] = -self.places[place].last.0;
            self.search.add(place);
        }
        while let Some(from) = self.search.queue.pop_front() {
            self.search.queued[from] = false;
            let so_far = self.search.distance[from];
            for (to, step) in self.moves[from * n..(from + 1) * n].iter().enumerate() {
                if step.cost < NONE && so_far + step.cost < self.search.distance[to] {
                    self.search.distance[to] = so_far + step.cost;
                    if !self.places[to].here.is_empty() {
                        self.search.add(to);
                    }
                }
            }
        }
    }

    /// Shortens chains from the places in the queue until none can be. A row that passes a place saves no more than the
    /// last row there costs, or the flow would not have been the cheapest: what that leaves dearer than an end is left.
    pub(super) fn reach(&mut self) {
        let n = self.places.len();
        while let Some(from) = self.search.queue.pop_front() {
            self.search.queued[from] = false;
            self.refresh(from);
            let so_far = self.search.distance[from];
            for to in 0..n {
                let step = self.moves[from * n + to].cost;
                if step < NONE && so_far + step < self.search.distance[to] {
                    self.search.distance[to] = so_far + step;
                    self.search.before[to] = from;
                    self.search.end = self.search.end.min((so_far + step + self.places[to].next.0, to));
                    self.go_on_from(to);
                }
            }
        }
    }

    pub(super) fn go_on_from(&mut self, place: usize) {
        let at = &self.places[place];
        if at.used > 0 && self.search.distance[place] + at.last.0 < self.search.end.0 {
            self.search.add(place);
        }
    }

    /// The same backwards, from where chains end: a row that passes a place has saved no more than the next costs there.
    pub(super) fn reach_back(&mut self) {
        let n = self.places.len();
        while let Some(to) = self.search.queue.pop_front() {
            self.search.queued[to] = false;
            let so_far = self.search.distance[to];
            for &from in &self.occupied {
                let step = self.moves[from * n + to].cost;
                if step < NONE && so_far + step < self.search.distance[from] {
                    self.search.distance[from] = so_far + step;
                    self.search.before[from] = to;
                    let at = &self.places[from];
                    self.search.end = self.search.end.min((so_far + step - at.last.0, from));
                    if so_far + step - at.next.0 < self.search.end.0 {
                        self.search.add(from);
                    }
                }
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
            queue: VecDeque::new(),
            queued: vec![false; n_places],
        }
    }

    pub fn clear(&mut self) {
        self.distance.fill(NONE);
        self.before.fill(START);
        self.end = (NONE, START);
    }

    pub fn add(&mut self, place: usize) {
        if !self.queued[place] {
            self.queued[place] = true;
            self.queue.push_back(place);
        }
    }
}
