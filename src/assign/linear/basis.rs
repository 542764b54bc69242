//! Saving and restoring the basis.

use super::factor::LuFactors;
use super::{Simplex, VariableState};
use crate::units::short_index;

/// A saved basis with its factors and steepest-edge weights.
#[derive(Clone)]
pub struct Basis {
    head: Vec<u32>,
    at: Vec<VariableState>,
    weight: Vec<f64>,
    factor: LuFactors,
    factored: bool,
}

impl Simplex {
    /// Starts from the basis of the given structural variables, each at the position of the given row, and logicals elsewhere.
    pub fn start_from(&mut self, basic: &[(usize, u32)]) {
        let (n, m) = (self.n(), self.m());
        let variables: Vec<usize> = basic.iter().map(|&(variable, _)| variable).collect();
        self.wake_up(&variables);
        self.head = (0..m).map(|row| short_index(n + row)).collect();
        basic.iter().for_each(|&(variable, row)| self.head[row as usize] = short_index(variable));
        self.at = vec![VariableState::Lower; n + m];
        self.factored = false;
        self.settled = false;
        self.head.iter().for_each(|&variable| self.at[variable as usize] = VariableState::Basic);
        self.weight = vec![1.0; m];
    }

    /// Saves the basis.
    pub fn basis(&self) -> Basis {
        Basis {
            head: self.head.clone(),
            at: self.at.clone(),
            weight: self.weight.clone(),
            factor: self.factor.clone(),
            factored: self.factored,
        }
    }

    /// Restores a basis of this programme; the logicals of rows added since become basic.
    pub fn set_basis(&mut self, basis: &Basis) {
        let (n, m, known) = (self.n(), self.m(), basis.head.len());
        self.head.clear();
        self.head.extend_from_slice(&basis.head);
        self.head.extend((known..m).map(|row| short_index(n + row)));
        self.at.clear();
        self.at.extend_from_slice(&basis.at);
        self.at.resize(n + m, VariableState::Basic);
        self.weight.clear();
        self.weight.extend_from_slice(&basis.weight);
        self.weight.resize(m, 1.0);
        self.factor = basis.factor.clone();
        self.factored = basis.factored && known == m;
        self.settled = false;
        self.wake(|variable| basis.at[variable] != VariableState::Lower);
    }
}
