//! Variables that are left out until they are needed.
//!
//! Problem: of the many choices of a lot few are ever worth taking, and each is looked at in every pivot row.
//!
//! Method: sifting (R. E. Bixby, J. W. Gregory, I. J. Lustig, R. E. Marsten and D. F. Shanno, "Very large-scale linear
//! programming", Operations Research 40 (1992) 885–897, from memory). Variables that stand at a lower bound of 0 may be put to
//! sleep: they stay there, and neither rows nor prices are worked out for them. Whenever the method ends, but by a stop, they
//! are priced: where one has a reduced cost below 0, or could enter the row that shows that there is no solution, such
//! variables wake and the method goes on. So it ends only where it may end with all of them.

use super::{DUAL, Ended, PIVOT, Simplex, VariableState};
use crate::units::short_index;

impl Simplex {
    /// Puts those of the variables to sleep that stand at a lower bound of 0.
    pub fn put_to_sleep(&mut self, variables: impl Iterator<Item = usize>) {
        for variable in variables {
            if self.at[variable] == VariableState::Lower && self.bounds[variable].0 == 0.0 && !self.asleep[variable] {
                self.asleep[variable] = true;
                self.sleepers += 1;
                self.x[variable] = 0.0;
            }
        }
        let asleep = &self.asleep;
        self.by_row.iter_mut().for_each(|row| row.retain(|(variable, _)| !asleep[*variable as usize]));
    }

    /// Wakes those that sleep and are asked for; whether there are any.
    pub(super) fn wake(&mut self, asked: impl Fn(usize) -> bool) -> bool {
        let before = self.sleepers;
        if before == 0 {
            return false;
        }
        for variable in 0..self.asleep.len() {
            if self.asleep[variable] && asked(variable) {
                self.asleep[variable] = false;
                self.sleepers -= 1;
                for &(row, value) in &self.programme.columns[variable] {
                    self.by_row[row as usize].push((short_index(variable), value));
                }
            }
        }
        self.settled &= self.sleepers == before;
        self.sleepers < before
    }

    /// Wakes what the end of the method depends on; whether there is any.
    pub(super) fn wake_needed(&mut self, ended: Ended) -> bool {
        if self.sleepers == 0 {
            return false;
        }
        let column = |simplex: &Self, variable: usize, y: &[f64]| -> f64 {
            simplex.programme.columns[variable].iter().map(|&(row, value)| y[row as usize] * value).sum()
        };
        let needed: Vec<bool> = match ended {
            Ended::Stopped => return false,
            Ended::Optimal | Ended::Cutoff => {
                let mut y: Vec<f64> = self.head.iter().map(|&variable| self.cost[variable as usize]).collect();
                self.factor.solve_transposed(&mut y);
                let needed =
                    |variable| self.asleep[variable] && self.cost[variable] - column(self, variable, &y) < -DUAL;
                (0..self.asleep.len()).map(needed).collect()
            }
            Ended::Infeasible => {
                // The row of the leaving variable: what could enter it moves up from 0.
                let y = self.ray();
                let needed = |variable| self.asleep[variable] && column(self, variable, &y) > PIVOT;
                (0..self.asleep.len()).map(needed).collect()
            }
        };
        self.wake(|variable| needed[variable])
    }
}
