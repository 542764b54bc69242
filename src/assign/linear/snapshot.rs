//! Snapshots of a solution, for trials of a few iterations that all start from it.
//!
//! A [`super::Basis`] keeps the factors; reduced costs and values are recomputed from it. A snapshot keeps these too, so that
//! restoring it costs no more than copying them.

use std::rc::Rc;

use super::factor::LuFactors;
use super::{Simplex, VariableState};

/// Basis, factors, reduced costs and values of a solution.
pub struct Snapshot {
    head: Vec<u32>,
    at: Vec<VariableState>,
    weight: Vec<f64>,
    /// Value and reduced cost of the variables that were awake, then of the logicals.
    solved: Vec<(f64, f64)>,
    awake: Rc<Vec<u32>>,
    factor: LuFactors,
}

impl Simplex {
    /// Saves the current solution, which must be optimal.
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

    /// Restores a solution of this programme; no row may have been added since, and bounds must be as they were.
    pub fn go_back(&mut self, to: &Snapshot) {
        self.head.copy_from_slice(&to.head);
        self.at.copy_from_slice(&to.at);
        self.weight.copy_from_slice(&to.weight);
        let (n, m) = (self.n(), self.m());
        // Variables that have woken since were at 0, and have no reduced cost in the snapshot.
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
