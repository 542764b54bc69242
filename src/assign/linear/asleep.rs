//! Sleeping variables: left out of the method until they are needed.
//!
//! Problem: few of the many choices of a lot are ever taken, but each has an entry in pivot rows.
//!
//! Method: sifting (R. E. Bixby, J. W. Gregory, I. J. Lustig, R. E. Marsten and D. F. Shanno, "Very large-scale linear
//! programming", Operations Research 40 (1992) 885–897, from memory). Nonbasic variables at a lower bound of 0 may be put to
//! sleep. They stay at 0 and are left out of pivot rows and reduced costs. Whenever the method ends, except by a stop, they are
//! priced: those with a reduced cost below 0, or that could enter the row that proves infeasibility, wake and the method goes on.
//!
//! Why it holds: the method ends only when no sleeping variable could change the result.

use std::rc::Rc;

use super::{DUAL, Ended, PIVOT, Programme, Simplex, VariableState};
use crate::units::short_index;

/// The columns of sleeping variables in one array, because all are priced at each end of the method.
#[derive(Default)]
pub(super) struct SleepingColumns {
    variables: Vec<u32>,
    /// By position in `variables`, the end of its entries in `rows` and `values`.
    ends: Vec<u32>,
    rows: Vec<u32>,
    values: Vec<f64>,
    /// By variable, its position in `variables`.
    position: Vec<u32>,
    /// Entries of rows that were added since: position in `variables`, row and value.
    added: Vec<(u32, u32, f64)>,
}

impl SleepingColumns {
    fn of(programme: &Programme, asleep: &[bool]) -> Self {
        let mut columns = SleepingColumns { position: vec![u32::MAX; asleep.len()], ..SleepingColumns::default() };
        for (variable, column) in programme.columns.iter().enumerate().filter(|(variable, _)| asleep[*variable]) {
            columns.position[variable] = short_index(columns.variables.len());
            columns.variables.push(short_index(variable));
            columns.rows.extend(column.iter().map(|(row, _)| *row));
            columns.values.extend(column.iter().map(|(_, value)| *value));
            columns.ends.push(short_index(columns.rows.len()));
        }
        columns
    }

    /// Takes up a row that is added to the programme.
    pub(super) fn add_row(&mut self, row: u32, entries: &[(usize, f64)]) {
        let sleeping = entries.iter().map(|&(variable, value)| (self.position[variable], row, value));
        self.added.extend(sleeping.filter(|&(position, ..)| position != u32::MAX));
    }

    /// By position, the product of its column and the multipliers y.
    fn priced(&self, y: &[f64]) -> Vec<f64> {
        let mut from = 0;
        let product = |&end: &u32| {
            let entries = std::mem::replace(&mut from, end as usize)..end as usize;
            let entries = self.rows[entries.clone()].iter().zip(&self.values[entries]);
            entries.map(|(&row, value)| y[row as usize] * value).sum()
        };
        let mut products: Vec<f64> = self.ends.iter().map(product).collect();
        self.added.iter().for_each(|&(position, row, value)| products[position as usize] += y[row as usize] * value);
        products
    }
}

impl Simplex {
    /// Puts to sleep those of the given variables that are nonbasic at a lower bound of 0.
    pub fn put_to_sleep(&mut self, variables: impl Iterator<Item = usize>) {
        for variable in variables {
            if self.at[variable] == VariableState::Lower && self.bounds[variable].0 == 0.0 && !self.asleep[variable] {
                self.asleep[variable] = true;
                self.sleepers += 1;
                self.x[variable] = 0.0;
            }
        }
        self.sleeping = None;
        let asleep = &self.asleep;
        Rc::make_mut(&mut self.awake).retain(|variable| !asleep[*variable as usize]);
        self.by_row.iter_mut().for_each(|row| row.retain(|(variable, _)| !asleep[*variable as usize]));
    }

    /// Whether none sleeps.
    pub fn all_awake(&self) -> bool {
        self.sleepers == 0
    }

    /// Wakes those of the variables that sleep.
    pub fn wake_up(&mut self, variables: &[usize]) {
        let sleeping: Vec<usize> = variables.iter().copied().filter(|&variable| self.asleep[variable]).collect();
        self.wake_all(&sleeping);
    }

    /// Wakes the sleeping variables for which `asked` is true.
    pub(super) fn wake(&mut self, asked: impl Fn(usize) -> bool) {
        if self.sleepers == 0 {
            return;
        }
        let asked: Vec<usize> =
            (0..self.asleep.len()).filter(|&variable| self.asleep[variable] && asked(variable)).collect();
        self.wake_all(&asked);
    }

    /// Wakes the given variables, which must be asleep.
    pub(super) fn wake_all(&mut self, variables: &[usize]) {
        for &variable in variables {
            self.asleep[variable] = false;
            self.sleepers -= 1;
            for &(row, value) in &self.programme.columns[variable] {
                self.by_row[row as usize].push((short_index(variable), value));
            }
        }
        if !variables.is_empty() {
            self.settled = false;
            Rc::make_mut(&mut self.awake).extend(variables.iter().map(|&variable| short_index(variable)));
        }
    }

    /// Wakes the variables that could change how the method ended; true if there are any.
    pub(super) fn wake_needed(&mut self, ended: Ended) -> bool {
        if self.sleepers == 0 {
            return false;
        }
        let mut needed: Vec<usize> = Vec::new();
        let y = match ended {
            Ended::Stopped => return false,
            Ended::Optimal | Ended::Cutoff => {
                let mut y: Vec<f64> = self.head.iter().map(|&variable| self.cost[variable as usize]).collect();
                self.factor.solve_transposed(&mut y);
                y
            }
            Ended::Infeasible => self.ray(),
        };
        let sleeping = self.sleeping.get_or_insert_with(|| SleepingColumns::of(&self.programme, &self.asleep));
        for (&variable, sum) in sleeping.variables.iter().zip(sleeping.priced(&y)) {
            let variable = variable as usize;
            if !self.asleep[variable] {
                continue;
            }
            let is_needed = match ended {
                // It could enter the row of the leaving variable by rising from 0.
                Ended::Infeasible => sum > PIVOT,
                _ => {
                    self.reduced[variable] = self.cost[variable] - sum;
                    self.reduced[variable] < -DUAL
                }
            };
            if is_needed && self.bounds[variable].1 > 0.0 {
                needed.push(variable);
            }
        }
        self.wake_all(&needed);
        !needed.is_empty()
    }
}
