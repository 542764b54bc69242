//! One iteration of the dual simplex method: the leaving variable, its row, the ratio test, the update.

use super::{DUAL, FEASIBLE, PIVOT, Simplex, VariableState};
use crate::units::short_index;

/// Result of an iteration.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum SimplexStep {
    Done,
    /// No variable can enter: the row of the leaving variable proves infeasibility.
    NoEntering,
    /// The pivot is too small or inaccurate: new factors are needed.
    Unstable,
}

impl Simplex {
    /// Position of the leaving variable and its violation: positive above the upper bound, negative below the lower. Chosen by the
    /// largest squared violation over its steepest-edge weight.
    pub(super) fn leaving(&self) -> Option<(usize, f64)> {
        let mut best = None;
        let mut most = 0.0;
        for (position, &variable) in self.head.iter().enumerate() {
            let (lower, upper) = self.bounds[variable as usize];
            let x = self.x[variable as usize];
            let beyond = if x > upper {
                x - upper
            } else if x < lower {
                x - lower
            } else {
                continue;
            };
            let tolerance = FEASIBLE * (1.0 + x.abs());
            let size = beyond * beyond / self.weight[position];
            if beyond.abs() > tolerance && size > most {
                most = size;
                best = Some((position, beyond));
            }
        }
        best
    }

    pub(super) fn iterate(&mut self, position: usize, beyond: f64) -> SimplexStep {
        let m = self.m();
        let mut rho = vec![0.0; m];
        rho[position] = 1.0;
        self.factor.solve_transposed(&mut rho);
        self.form_pivot_row(&rho);
        let sign = if beyond > 0.0 { 1.0 } else { -1.0 };
        let Some((entering, flips)) = self.entering(sign, beyond.abs()) else {
            return self.forget(SimplexStep::NoEntering);
        };
        let alpha = self.pivot_row[entering];
        let mut column = vec![0.0; m];
        self.column(entering).iter().for_each(|&(row, value)| column[row as usize] = value);
        self.factor.solve(&mut column);
        if column[position].abs() < PIVOT || (column[position] - alpha).abs() > 1e-6 * (1.0 + alpha.abs()) {
            if self.factor.n_updates() > 0 {
                return self.forget(SimplexStep::Unstable);
            }
            if column[position].abs() < PIVOT {
                return self.forget(SimplexStep::Unstable);
            }
        }
        let leaving = self.head[position] as usize;
        self.flip(&flips);
        // A reduced cost of the wrong sign counts as 0.
        let right = if self.at[entering] == VariableState::Lower {
            self.reduced[entering] > 0.0
        } else {
            self.reduced[entering] < 0.0
        };
        let step = if right { self.reduced[entering] / alpha } else { 0.0 };
        self.degenerate = if step.abs() < 1e-12 { self.degenerate + 1 } else { 0 };
        if step != 0.0 {
            for &variable in &self.touched {
                let variable = variable as usize;
                self.reduced[variable] -= step * self.pivot_row[variable];
            }
        }
        self.reduced[entering] = 0.0;
        self.reduced[leaving] = -step;
        let (lower, upper) = self.bounds[leaving];
        let to = if beyond > 0.0 { upper } else { lower };
        let move_by = (self.x[leaving] - to) / column[position];
        for (at, value) in column.iter().enumerate().filter(|(_, value)| **value != 0.0) {
            self.x[self.head[at] as usize] -= move_by * value;
        }
        self.x[entering] += move_by;
        self.x[leaving] = to;
        self.update_weights(position, rho, &column);
        self.at[leaving] = if beyond > 0.0 { VariableState::Upper } else { VariableState::Lower };
        self.at[entering] = VariableState::Basic;
        self.head[position] = short_index(entering);
        self.factor.replace(position, &column);
        self.iterations += 1;
        self.forget(SimplexStep::Done)
    }

    fn forget(&mut self, step: SimplexStep) -> SimplexStep {
        for &variable in &self.touched {
            self.pivot_row[variable as usize] = 0.0;
            self.listed[variable as usize] = false;
        }
        self.touched.clear();
        step
    }

    /// Computes the pivot row: the entries of a row of B⁻¹ A in nonbasic variables.
    fn form_pivot_row(&mut self, rho: &[f64]) {
        let n = self.n();
        for (row, &value) in rho.iter().enumerate().filter(|(_, value)| value.abs() > 1e-14) {
            for &(variable, entry) in &self.by_row[row] {
                let variable_at = variable as usize;
                if self.at[variable_at] != VariableState::Basic {
                    if !std::mem::replace(&mut self.listed[variable_at], true) {
                        self.touched.push(variable);
                    }
                    self.pivot_row[variable_at] += value * entry;
                }
            }
            if self.at[n + row] != VariableState::Basic {
                self.touched.push(short_index(n + row));
                self.pivot_row[n + row] = -value;
            }
        }
    }

    /// Nonbasic variables that may enter the basis: the ratio of reduced cost to pivot, the pivot, and the variable.
    fn candidates(&self, sign: f64) -> Vec<(f64, f64, u32)> {
        let mut candidates: Vec<(f64, f64, u32)> = Vec::new();
        for &variable in &self.touched {
            let at = variable as usize;
            let alpha = sign * self.pivot_row[at];
            // Most fail here, before their bounds and reduced costs are fetched.
            let enters = match self.at[at] {
                VariableState::Lower => alpha > PIVOT,
                VariableState::Upper => alpha < -PIVOT,
                VariableState::Basic => false,
            };
            if enters && self.bounds[at].0 != self.bounds[at].1 {
                candidates.push(((self.reduced[at] / alpha).max(0.0), alpha, variable));
            }
        }
        candidates
    }

    /// The ratio test: the entering variable, and the variables that flip to their other bound. `None` if none can enter.
    fn entering(&mut self, sign: f64, mut slope: f64) -> Option<(usize, Vec<u32>)> {
        let mut candidates = self.candidates(sign);
        if candidates.is_empty() {
            return None;
        }
        // Mostly the slope ends in the first group of ratios, and no sort is needed.
        let until = candidates
            .iter()
            .fold(f64::INFINITY, |until, &(ratio, alpha, _)| until.min(ratio + 0.5 * DUAL / alpha.abs()));
        let first = candidates.iter().filter(|candidate| candidate.0 <= until);
        let drop = |&(_, alpha, variable): &(f64, f64, u32)| {
            let (lower, upper) = self.bounds[variable as usize];
            alpha.abs() * (upper - lower)
        };
        if slope - first.clone().map(drop).sum::<f64>() <= 0.0 {
            let best = first.max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()).then(b.2.cmp(&a.2)))?;
            return Some((best.2 as usize, Vec::new()));
        }
        candidates
            .sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(b.1.abs().total_cmp(&a.1.abs())).then(a.2.cmp(&b.2)));
        // A remaining slope within rounding error is not taken as infeasibility.
        let enough = 1e-9 * (1.0 + slope);
        let mut flips = Vec::new();
        let mut at = 0;
        while at < candidates.len() {
            // A group of nearly equal ratios: if the slope ends in it, its largest pivot enters (P. M. J. Harris 1973).
            let mut until = f64::INFINITY;
            let mut end = at;
            let mut drop = 0.0;
            while end < candidates.len() && candidates[end].0 <= until {
                until = until.min(candidates[end].0 + 0.5 * DUAL / candidates[end].1.abs());
                let (lower, upper) = self.bounds[candidates[end].2 as usize];
                drop += candidates[end].1.abs() * (upper - lower);
                end += 1;
            }
            if slope - drop <= 0.0 || end == candidates.len() {
                let best =
                    candidates[at..end].iter().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()).then(b.2.cmp(&a.2)))?;
                if slope - drop > enough && end == candidates.len() {
                    // Even with all candidates flipped the leaving variable violates its bound: no solution.
                    return None;
                }
                return Some((best.2 as usize, flips));
            }
            slope -= drop;
            flips.extend(candidates[at..end].iter().map(|candidate| candidate.2));
            at = end;
        }
        None
    }

    /// Moves variables to their other bounds and updates the basic variables.
    fn flip(&mut self, flips: &[u32]) {
        if flips.is_empty() {
            return;
        }
        let n = self.n();
        let mut b = vec![0.0; self.m()];
        for &variable in flips {
            let at = variable as usize;
            let (lower, upper) = self.bounds[at];
            let (to, by) = if self.at[at] == VariableState::Lower {
                (VariableState::Upper, upper - lower)
            } else {
                (VariableState::Lower, lower - upper)
            };
            self.at[at] = to;
            self.x[at] = if to == VariableState::Upper { upper } else { lower };
            if at < n {
                self.programme.columns[at].iter().for_each(|&(row, a)| b[row as usize] -= a * by);
            } else {
                b[at - n] += by;
            }
        }
        self.factor.solve(&mut b);
        for (position, by) in b.into_iter().enumerate().filter(|(_, by)| *by != 0.0) {
            self.x[self.head[position] as usize] += by;
        }
    }

    /// Updates the steepest-edge weights after the pivot.
    fn update_weights(&mut self, position: usize, mut rho: Vec<f64>, column: &[f64]) {
        let norm: f64 = rho.iter().map(|value| value * value).sum();
        self.factor.solve(&mut rho);
        let pivot = column[position];
        for (at, &value) in column.iter().enumerate() {
            if at != position && value != 0.0 {
                let ratio = value / pivot;
                let weight = self.weight[at] - 2.0 * ratio * rho[at] + ratio * ratio * norm;
                self.weight[at] = weight.max(1e-4);
            }
        }
        self.weight[position] = (norm / (pivot * pivot)).max(1e-4);
    }
}
