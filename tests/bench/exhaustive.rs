//! The least cost of a location problem, found by trying every set of warehouses. It uses no code of the program.
//!
//! Sets grow by one warehouse at a time, in order of index; each step keeps the cost of every customer so far. The bound of a set
//! is the cost of its open warehouses plus the least cost of each customer over the set and all later warehouses, without their
//! fixed costs. A set is not extended if its bound is no better than the best cost of every larger size.

/// The least cost with at most 1, 2, … `most` warehouses open; an open warehouse `w` costs `fixed[w]`.
pub fn least(costs: &[Vec<f64>], fixed: &[f64], most: usize) -> Vec<f64> {
    let warehouses = fixed.len();
    let from: Vec<Vec<f64>> = (0..warehouses).map(|w| costs.iter().map(|customer| customer[w]).collect()).collect();
    let mut after = vec![vec![f64::INFINITY; costs.len()]];
    for from in from.iter().rev() {
        let last = &after[after.len() - 1];
        after.push(cheaper(last, from));
    }
    after.reverse();
    let mut sets = Sets { from, after, fixed, best: vec![f64::INFINITY; most] };
    sets.grow(&vec![f64::INFINITY; costs.len()], 0.0, 0, 0);
    // The least cost with at most this many warehouses, not exactly this many.
    for size in 1..most {
        sets.best[size] = sets.best[size].min(sets.best[size - 1]);
    }
    sets.best
}

struct Sets<'a> {
    /// Cost by warehouse and customer.
    from: Vec<Vec<f64>>,
    /// By warehouse and customer: the least cost over this warehouse and all later ones.
    after: Vec<Vec<f64>>,
    fixed: &'a [f64],
    /// Least cost found so far, by number of warehouses less one.
    best: Vec<f64>,
}

fn cheaper(one: &[f64], other: &[f64]) -> Vec<f64> {
    one.iter().zip(other).map(|(one, other)| one.min(*other)).collect()
}

/// Sums the smaller costs in eight separate sums, so that the processor can add them at the same time.
fn sum_of_cheaper(one: &[f64], other: &[f64]) -> f64 {
    let mut sums = [0.0; 8];
    for (one, other) in one.chunks(8).zip(other.chunks(8)) {
        for ((sum, one), other) in sums.iter_mut().zip(one).zip(other) {
            *sum += if one < other { *one } else { *other };
        }
    }
    sums.iter().sum()
}

impl Sets<'_> {
    fn grow(&mut self, served: &[f64], opened: f64, size: usize, next: usize) {
        let most = self.best.len();
        for warehouse in next..self.from.len() {
            let bound = opened + sum_of_cheaper(served, &self.after[warehouse]);
            if self.best[size..].iter().all(|best| bound >= *best) {
                return;
            }
            let opened = opened + self.fixed[warehouse];
            let cost = opened + sum_of_cheaper(served, &self.from[warehouse]);
            self.best[size] = self.best[size].min(cost);
            if size + 1 < most {
                let served = cheaper(served, &self.from[warehouse]);
                self.grow(&served, opened, size + 1, warehouse + 1);
            }
        }
    }
}
