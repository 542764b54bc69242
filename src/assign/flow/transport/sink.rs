//! A sink: the convex cost of its room, its units and its dual price.

use super::{BIG_M, Segment, UNLIMITED};

/// A sink with its units.
#[derive(Clone, Debug)]
pub(super) struct Sink {
    /// Number of units up to which a price applies, and the price, in order of price. The last price is [`BIG_M`], without limit.
    segments: Vec<(i64, i128)>,
    pub capacity: i64,
    pub inflow: i64,
    /// π, the dual price of room here: at least the price of the last unit, at most that of the next.
    pub potential: i128,
    /// Price of the next unit.
    pub next: Marginal,
    /// Price of the last unit.
    pub last: Marginal,
    /// Arcs to here with units on them.
    pub arcs_in_use: Vec<u32>,
    /// Arcs to here whose residual arcs are in the heaps.
    pub listed: Vec<u32>,
    /// Arcs to here whose residual arcs must still be put into the heaps.
    pub pending: Vec<u32>,
    /// Sinks to which the cheapest residual arc from here must be found again.
    pub stale: Vec<usize>,
    /// Sum, over the arcs in use, of the number of arcs of their sources.
    pub n_arcs: usize,
    /// Number of residual arcs in the heaps of arcs from here.
    pub n_listed: usize,
}

/// A marginal price, and the number of units for which it applies.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Marginal {
    pub price: i128,
    pub units: i64,
}

impl Sink {
    /// A sink without units.
    pub fn new(segments: &[Segment]) -> Self {
        let mut sink = Sink {
            segments: Vec::new(),
            capacity: 0,
            inflow: 0,
            potential: 0,
            next: Marginal::default(),
            last: Marginal::default(),
            arcs_in_use: Vec::new(),
            listed: Vec::new(),
            pending: Vec::new(),
            stale: Vec::new(),
            n_arcs: 0,
            n_listed: 0,
        };
        sink.set_segments(segments);
        sink.potential = sink.next.price;
        sink
    }

    pub fn set_segments(&mut self, segments: &[Segment]) {
        self.segments.clear();
        self.capacity = 0;
        for segment in segments.iter().filter(|segment| segment.capacity > 0) {
            self.capacity = self.capacity.saturating_add(segment.capacity);
            self.segments.push((self.capacity, segment.price));
        }
        self.segments.push((UNLIMITED, BIG_M));
        self.update_marginal_prices();
    }

    /// Sets the prices of the next and the last unit for the inflow.
    pub fn update_marginal_prices(&mut self) {
        let mut start = 0;
        for &(end, price) in &self.segments {
            if start < self.inflow && self.inflow <= end {
                self.last = Marginal { price, units: self.inflow - start };
            }
            if self.inflow < end {
                self.next = Marginal { price, units: end - self.inflow };
                break;
            }
            start = end;
        }
        if self.inflow == 0 {
            self.last = Marginal { price: self.next.price, units: 0 };
        }
    }

    /// Cost of the room in use.
    pub fn cost(&self) -> i128 {
        let mut start = 0;
        let mut cost = 0;
        for &(end, price) in &self.segments {
            if self.inflow <= start {
                break;
            }
            cost += price * i128::from(self.inflow.min(end) - start);
            start = end;
        }
        cost
    }
}
