//! Recomputes the factors, reduced costs and values of a basis.

use super::factor::LuFactors;
use super::{DUAL, Simplex, VariableState};
use crate::units::short_index;

impl Simplex {
    pub(super) fn refactor(&mut self) {
        let m = self.m();
        for _ in 0..8 {
            let head = &self.head;
            let (n, columns, logical) = (self.n(), &self.programme.columns, &self.logical);
            let column = |at: usize| {
                let variable = head[at] as usize;
                if variable < n { &columns[variable][..] } else { &logical[variable - n][..] }
            };
            match LuFactors::new(m, column) {
                Ok(factor) => {
                    self.factor = factor;
                    self.factored = true;
                    break;
                }
                Err(singular) => {
                    for (&position, &row) in singular.positions.iter().zip(&singular.rows) {
                        let out = self.head[position] as usize;
                        self.at[out] = VariableState::Lower;
                        let logical = self.n() + row;
                        self.head[position] = short_index(logical);
                        self.at[logical] = VariableState::Basic;
                        self.weight[position] = 1.0;
                    }
                }
            }
        }
        self.price();
        self.settle();
    }

    /// Recomputes the reduced costs.
    pub(super) fn price(&mut self) {
        let n = self.n();
        let mut y: Vec<f64> = self.head.iter().map(|&variable| self.cost[variable as usize]).collect();
        self.factor.solve_transposed(&mut y);
        for &variable in self.awake.iter() {
            let variable = variable as usize;
            let sum: f64 = self.programme.columns[variable].iter().map(|&(row, value)| y[row as usize] * value).sum();
            self.reduced[variable] = self.cost[variable] - sum;
        }
        for (row, y) in y.iter().enumerate() {
            self.reduced[n + row] = self.cost[n + row] + y;
        }
        self.head.iter().for_each(|&variable| self.reduced[variable as usize] = 0.0);
    }

    /// Puts nonbasic variables on the bound that fits their reduced cost, and recomputes the basic variables.
    pub(super) fn settle(&mut self) {
        let (n, m) = (self.n(), self.m());
        let mut b = vec![0.0; m];
        let awake = self.awake.clone();
        for variable in awake.iter().map(|&variable| variable as usize).chain(n..n + m) {
            if self.at[variable] == VariableState::Basic {
                continue;
            }
            let (lower, upper) = self.bounds[variable];
            let reduced = self.reduced[variable];
            let up = if !lower.is_finite() {
                true
            } else if !upper.is_finite() {
                false
            } else if reduced.abs() <= DUAL {
                self.at[variable] == VariableState::Upper
            } else {
                reduced < 0.0
            };
            self.at[variable] = if up { VariableState::Upper } else { VariableState::Lower };
            let value = if up { upper } else { lower };
            self.x[variable] = if value.is_finite() { value } else { 0.0 };
            // A reduced cost of the wrong sign without a bound on that side: the cost is shifted so that it is 0.
            let wrong = (up && !lower.is_finite() && reduced > 0.0) || (!up && !upper.is_finite() && reduced < 0.0);
            if wrong {
                self.reduced[variable] = 0.0;
            }
            let value = self.x[variable];
            if value != 0.0 {
                if variable < n {
                    self.programme.columns[variable].iter().for_each(|&(row, a)| b[row as usize] -= a * value);
                } else {
                    b[variable - n] += value;
                }
            }
        }
        self.factor.solve(&mut b);
        for (position, value) in b.into_iter().enumerate() {
            self.x[self.head[position] as usize] = value;
        }
    }
}
