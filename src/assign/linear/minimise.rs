//! The main loop of the dual simplex method: iterations, new factors when needed, and perturbed costs when steps are degenerate.

use super::pivot::SimplexStep;
use super::{Ended, MOST_DEGENERATE, MOST_RETRIES, Simplex, TRUSTED, UPDATES, VariableState};

impl Simplex {
    /// Minimises from the current basis; ends early if the objective exceeds `cutoff`, or after `most` iterations.
    pub fn minimise(&mut self, cutoff: f64, most: u64, stop: &dyn Fn() -> bool) -> Ended {
        let until = self.iterations + most;
        loop {
            let ended = self.minimise_awake(cutoff, until.saturating_sub(self.iterations), stop);
            if !self.wake_needed(ended) {
                return ended;
            }
        }
    }

    /// The same over the variables that are awake.
    fn minimise_awake(&mut self, cutoff: f64, most: u64, stop: &dyn Fn() -> bool) -> Ended {
        self.infeasible_row = None;
        self.degenerate = 0;
        self.restore_costs();
        if std::mem::take(&mut self.settled) {
            // Reduced costs and values are still valid.
        } else if self.factored && self.factor.n_updates() < UPDATES / 2 {
            self.price();
            self.settle();
        } else {
            self.refactor();
        }
        let mut restored = false;
        let until = self.iterations + most;
        let mut retried = 0;
        loop {
            if self.iterations >= until || (self.iterations.is_multiple_of(64) && stop()) {
                return Ended::Stopped;
            }
            if self.degenerate > MOST_DEGENERATE && !self.perturbed && !restored {
                self.perturb();
                self.refactor();
            }
            if self.factor.n_updates() >= UPDATES {
                self.refactor();
            }
            if self.iterations.is_multiple_of(16) && self.objective() > cutoff {
                return Ended::Cutoff;
            }
            let Some((position, beyond)) = self.leaving() else {
                if !self.confirm_optimal(&mut retried, &mut restored) {
                    continue;
                }
                return if self.objective() > cutoff { Ended::Cutoff } else { Ended::Optimal };
            };
            let step = self.iterate(position, beyond);
            if step == SimplexStep::Done {
                continue;
            }
            if step == SimplexStep::NoEntering && (self.factor.n_updates() == 0 || retried >= MOST_RETRIES) {
                self.infeasible_row = Some((position, beyond));
                return Ended::Infeasible;
            }
            retried += 1;
            if retried > MOST_RETRIES {
                return Ended::Stopped;
            }
            self.refactor();
        }
    }

    /// Checks a solution that seems optimal with new factors and the programme's own costs; false if the method must go on.
    fn confirm_optimal(&mut self, retried: &mut u32, restored: &mut bool) -> bool {
        if self.factor.n_updates() > TRUSTED {
            self.refactor();
            if self.leaving().is_some() && *retried < MOST_RETRIES {
                *retried += 1;
                return false;
            }
        }
        if self.perturbed {
            // `settle` moves variables whose reduced cost changes sign to their other bound.
            *restored = true;
            self.restore_costs();
            self.refactor();
            return false;
        }
        true
    }

    /// Perturbs the costs, the same way every time.
    fn perturb(&mut self) {
        let n = self.n();
        let largest = self.cost[..n].iter().fold(0.0, |most: f64, cost| most.max(cost.abs()));
        for variable in 0..n {
            // A fixed hash of the position, scaled to 0.5 to 1.5.
            let scrambled = (variable as u64 + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 40;
            let share = 0.5 + scrambled as f64 / (1u64 << 24) as f64;
            let by = share * (1e-6 * self.cost[variable].abs() + 1e-9 * largest + 1e-6);
            self.cost[variable] += if self.at[variable] == VariableState::Upper { -by } else { by };
        }
        self.perturbed = true;
        self.degenerate = 0;
    }

    pub(super) fn restore_costs(&mut self) {
        if std::mem::take(&mut self.perturbed) {
            let n = self.n();
            self.cost[..n].copy_from_slice(&self.programme.cost);
        }
    }
}
