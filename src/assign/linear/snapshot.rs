//! A solution to go back to, for a few iterations at a time from the same place.
//!
//! A [`super::Basis`] is what a solution is found again from: its factors are kept, prices and values are worked out anew. A
//! snapshot keeps these too, so that going back costs no more than copying them.

use std::rc::Rc;

use super::factor::LuFactors;
use super::{Simplex, VariableState};

/// Basis, prices and values of a solution.
pub struct Snapshot {
    head: Vec<u32>,
    at: Vec<VariableState>,
    weight: Vec<f64>,
    /// Value and price of those that were awake, and of the logicals.
    solved: Vec<(f64, f64)>,
    awake: Rc<Vec<u32>>,
    factor: LuFactors,
}

impl Simplex {
    /// The solution that was just found to be optimal.
    pub fn snapshot(&self) -> Snapshot {
        let solved = |variable: usize| (self.x[variable], self.reduced[variable]);
        let (n, m) = (self.n(), self.m());
        let awake = self.awake.iter().map(|&variable| variable as usize);
        Snapshot {
            head: self.head.clone(),
            at: self.at.clone(),
            weight: self.weight.clone(),
            solved: awake.chain(n..n + m).map(solved).collect(),
            awake: self.awake.clone(),
            factor: self.factor.clone(),
        }
    }

    /// Goes back to a solution of this programme with as many rows; bounds that changed since are looked at afterwards.
    pub fn go_back(&mut self, to: &Snapshot) {
        self.head.copy_from_slice(&to.head);
        self.at.copy_from_slice(&to.at);
        self.weight.copy_from_slice(&to.weight);
        let (n, m) = (self.n(), self.m());
        // What woke since stood at 0, and has no price in the snapshot.
        self.settled = self.awake.len() == to.awake.len();
        if !self.settled {
            self.awake[to.awake.len()..].iter().for_each(|&variable| self.x[variable as usize] = 0.0);
        }
        let variables = to.awake.iter().map(|&variable| variable as usize).chain(n..n + m);
        for (variable, &(x, reduced)) in variables.zip(&to.solved) {
            (self.x[variable], self.reduced[variable]) = (x, reduced);
        }
        self.factor.go_back(&to.factor);
        self.factored = true;
    }
}
