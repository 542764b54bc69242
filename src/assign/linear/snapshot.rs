//! A solution to go back to, for a few iterations at a time from the same place.
//!
//! A [`super::Basis`] is what a solution is found again from: its factors are kept, prices and values are worked out anew. A
//! snapshot keeps these too, so that going back costs no more than copying them.

use super::factor::LuFactors;
use super::{Simplex, VariableState};

/// Basis, prices and values of a solution.
pub struct Snapshot {
    head: Vec<u32>,
    at: Vec<VariableState>,
    weight: Vec<f64>,
    x: Vec<f64>,
    reduced: Vec<f64>,
    factor: LuFactors,
    sleepers: usize,
}

impl Simplex {
    /// The solution that was just found to be optimal.
    pub fn snapshot(&self) -> Snapshot {
        Snapshot {
            head: self.head.clone(),
            at: self.at.clone(),
            weight: self.weight.clone(),
            x: self.x.clone(),
            reduced: self.reduced.clone(),
            factor: self.factor.clone(),
            sleepers: self.sleepers,
        }
    }

    /// Goes back to a solution of this programme with as many rows; bounds that changed since are looked at afterwards.
    pub fn go_back(&mut self, to: &Snapshot) {
        self.head.copy_from_slice(&to.head);
        self.at.copy_from_slice(&to.at);
        self.weight.copy_from_slice(&to.weight);
        self.x.copy_from_slice(&to.x);
        self.reduced.copy_from_slice(&to.reduced);
        self.factor.go_back(&to.factor);
        self.factored = true;
        // What woke since has no price in the snapshot.
        self.settled = self.sleepers == to.sleepers;
    }
}
