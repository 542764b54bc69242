//! A place: what room in it costs, and the rows in it.

use super::{OVERFULL, Step, UNLIMITED};

/// A place with its rows.
#[derive(Clone, Debug)]
pub(super) struct Place {
    /// Rows up to which a price holds, in order of price; the last is endless.
    steps: Vec<(i64, i128)>,
    pub capacity: i64,
    pub used: i64,
    /// What its room is worth: no less than the last row costs, no more than the next, and every row is where it is cheapest
    /// at the prices of all places.
    pub price: i128,
    /// What one more row costs, and for how many.
    pub next: (i128, i64),
    /// What the last row cost, and how many did.
    pub last: (i128, i64),
    /// Arcs with rows here.
    pub here: Vec<u32>,
    /// Arcs with moves in the heaps from here.
    pub standing: Vec<u32>,
    /// Arcs with rows here whose moves are still to be offered.
    pub fresh: Vec<u32>,
    /// Places to which the cheapest move from here is to be sought again.
    pub stale: Vec<usize>,
    /// Arcs of the kinds that have rows here.
    pub n_arcs: usize,
    /// Moves in the heaps from here.
    pub n_moves: usize,
}

impl Place {
    /// One without rows.
    pub fn new(steps: &[Step]) -> Self {
        let (next, last) = ((0, 0), (0, 0));
        let (here, standing, fresh, stale) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        let mut place = Place {
            steps: Vec::new(),
            capacity: 0,
            used: 0,
            price: 0,
            next,
            last,
            here,
            standing,
            fresh,
            stale,
            n_arcs: 0,
            n_moves: 0,
        };
        place.set_steps(steps);
        place.price = place.next.0;
        place
    }

    pub fn set_steps(&mut self, steps: &[Step]) {
        self.steps.clear();
        self.capacity = 0;
        for step in steps.iter().filter(|step| step.room > 0) {
            self.capacity = self.capacity.saturating_add(step.room);
            self.steps.push((self.capacity, step.price));
        }
        self.steps.push((UNLIMITED, OVERFULL));
        self.reprice();
    }

    /// What the next row costs and what the last one cost.
    pub fn reprice(&mut self) {
        let mut start = 0;
        for &(end, price) in &self.steps {
            if start < self.used && self.used <= end {
                self.last = (price, self.used - start);
            }
            if self.used < end {
                self.next = (price, end - self.used);
                break;
            }
            start = end;
        }
        if self.used == 0 {
            self.last = (self.next.0, 0);
        }
    }

    /// What the room used costs.
    pub fn cost(&self) -> i128 {
        let mut start = 0;
        let mut cost = 0;
        for &(end, price) in &self.steps {
            if self.used <= start {
                break;
            }
            cost += price * i128::from(self.used.min(end) - start);
            start = end;
        }
        cost
    }
}
