//! Linear programmes: minimise c·x with lower ≤ x ≤ upper and lower ≤ A x ≤ upper, row by row.
//!
//! Method: the bounded dual simplex method with steepest-edge pricing (J. J. Forrest and D. Goldfarb, "Steepest-edge simplex
//! algorithms for linear programming", Mathematical Programming 57 (1992) 341–374) and a ratio test that flips bounds
//! (I. Maros, "Computational Techniques of the Simplex Method", 2003, chapter 10), both from memory. Each row i has a
//! logical variable equal to its activity, with column −eᵢ; structural variables come first.
//!
//! Every structural variable has finite bounds, so any basis becomes dual feasible by putting nonbasic variables on the
//! bound that the sign of their reduced cost asks for. A logical without that bound has its cost shifted to 0. After bounds
//! change or rows are added the last basis is a start.
//!
//! What is claimed: nothing. Results are in floating point and only propose multipliers; whoever uses them evaluates them
//! in whole numbers (`super::bound`).

mod asleep;
mod factor;
mod pivot;
mod snapshot;

use crate::units::short_index;
use factor::LuFactors;
pub use snapshot::Snapshot;

/// A linear programme.
#[derive(Clone, Default)]
pub struct Programme {
    /// By structural variable: rows and coefficients.
    pub columns: Vec<Vec<(u32, f64)>>,
    /// By structural variable.
    pub cost: Vec<f64>,
    /// Bounds of structural variables.
    pub bounds: Vec<(f64, f64)>,
    /// Bounds of the rows.
    pub rows: Vec<(f64, f64)>,
}

impl Programme {
    /// Adds a variable with its entries in rows that are there already.
    pub fn variable(&mut self, cost: f64, bounds: (f64, f64), entries: Vec<(u32, f64)>) -> usize {
        self.columns.push(entries);
        self.cost.push(cost);
        self.bounds.push(bounds);
        self.columns.len() - 1
    }

    /// Adds an empty row.
    pub fn row(&mut self, least: f64, most: f64) -> u32 {
        let row = u32::try_from(self.rows.len()).expect(NUMBERED);
        self.rows.push((least, most));
        row
    }
}

/// Variables and logicals are numbered in 32 bits: asked where there come more of them, so that `as u32` loses nothing elsewhere.
const NUMBERED: &str = "a programme has fewer variables and rows than 32 bits count";

/// Where a variable is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum VariableState {
    Basic,
    Lower,
    Upper,
}

/// A basis to start from.
#[derive(Clone)]
pub struct Basis {
    head: Vec<u32>,
    at: Vec<VariableState>,
    weight: Vec<f64>,
    factor: LuFactors,
    factored: bool,
}

/// How a solution ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ended {
    /// Optimal within tolerances.
    Optimal,
    /// No solution; the multipliers of [`Simplex::ray`] show it.
    Infeasible,
    /// The objective passed the cutoff.
    Cutoff,
    /// So many iterations were made, the caller said so, or the numbers failed.
    Stopped,
}

/// The dual simplex method on one programme whose bounds change.
pub struct Simplex {
    programme: Programme,
    /// By row: structural variables and coefficients.
    by_row: Vec<Vec<(u32, f64)>>,
    logical: Vec<Vec<(u32, f64)>>,
    bounds: Vec<(f64, f64)>,
    cost: Vec<f64>,
    head: Vec<u32>,
    at: Vec<VariableState>,
    x: Vec<f64>,
    reduced: Vec<f64>,
    weight: Vec<f64>,
    factor: LuFactors,
    /// The factors are of this basis.
    factored: bool,
    /// Prices and values are of this basis and these bounds.
    settled: bool,
    infeasible_row: Option<(usize, f64)>,
    /// Steps in a row that left the objective where it was.
    degenerate: u32,
    /// Costs differ a little from the programme's, so that steps move the objective.
    perturbed: bool,
    /// Iterations made so far.
    pub iterations: u64,
    pivot_row: Vec<f64>,
    touched: Vec<u32>,
    /// By variable, whether it is touched.
    listed: Vec<bool>,
    /// By structural variable, whether it is left out of rows and prices until it is needed, and how many are.
    asleep: Vec<bool>,
    sleepers: usize,
}

const FEASIBLE: f64 = 1e-9;
/// How far a reduced cost may be on the wrong side of nothing.
const DUAL: f64 = 1e-7;
const PIVOT: f64 = 1e-8;
const UPDATES: usize = 80;
/// Updates after which factors are still good enough to end on.
const TRUSTED: usize = 24;
const MOST_DEGENERATE: u32 = 40;
/// Fresh starts, with new factors, of one solution.
const MOST_RETRIES: u32 = 20;

impl Simplex {
    /// A programme with a basis of logicals.
    pub fn new(programme: Programme) -> Self {
        let (n, m) = (programme.columns.len(), programme.rows.len());
        assert!(u32::try_from(n + m).is_ok(), "{NUMBERED}");
        let mut by_row = vec![Vec::new(); m];
        for (variable, column) in programme.columns.iter().enumerate() {
            column.iter().for_each(|&(row, value)| by_row[row as usize].push((short_index(variable), value)));
        }
        let mut simplex = Simplex {
            by_row,
            logical: (0..m).map(|row| vec![(short_index(row), -1.0)]).collect(),
            bounds: programme.bounds.iter().chain(&programme.rows).copied().collect(),
            cost: programme.cost.iter().copied().chain(std::iter::repeat_n(0.0, m)).collect(),
            head: Vec::new(),
            at: Vec::new(),
            x: vec![0.0; n + m],
            reduced: vec![0.0; n + m],
            weight: vec![1.0; m],
            factor: LuFactors::default(),
            factored: false,
            settled: false,
            infeasible_row: None,
            degenerate: 0,
            perturbed: false,
            iterations: 0,
            pivot_row: vec![0.0; n + m],
            touched: Vec::new(),
            listed: vec![false; n + m],
            asleep: vec![false; n],
            sleepers: 0,
            programme,
        };
        simplex.start_from(&[]);
        simplex
    }

    /// Goes to the basis of the given structural variables, each in a row of its own, and logicals elsewhere.
    pub fn start_from(&mut self, basic: &[(usize, u32)]) {
        self.wake(|_| true);
        let (n, m) = (self.n(), self.m());
        self.head = (0..m).map(|row| short_index(n + row)).collect();
        basic.iter().for_each(|&(variable, row)| self.head[row as usize] = short_index(variable));
        self.at = vec![VariableState::Lower; n + m];
        self.factored = false;
        self.settled = false;
        self.head.iter().for_each(|&variable| self.at[variable as usize] = VariableState::Basic);
        self.weight = vec![1.0; m];
    }

    /// Number of structural variables.
    fn n(&self) -> usize {
        self.programme.columns.len()
    }

    /// The programme it solves.
    pub fn programme(&self) -> &Programme {
        &self.programme
    }

    fn m(&self) -> usize {
        self.programme.rows.len()
    }

    fn column(&self, variable: usize) -> &[(u32, f64)] {
        let n = self.n();
        if variable < n { &self.programme.columns[variable] } else { &self.logical[variable - n] }
    }

    /// Changes the bounds of a structural variable.
    pub fn set_bounds(&mut self, variable: usize, bounds: (f64, f64)) {
        self.bounds[variable] = bounds;
        self.settled &= self.at[variable] == VariableState::Basic;
        if self.asleep[variable] && bounds.0 != 0.0 {
            self.wake(|other| other == variable);
        }
    }

    /// Bounds of a structural variable as they are.
    pub fn bounds(&self, variable: usize) -> (f64, f64) {
        self.bounds[variable]
    }

    /// Changes the bounds of a row.
    pub fn set_row(&mut self, row: u32, bounds: (f64, f64)) {
        self.settled = false;
        let n = self.n();
        self.bounds[n + row as usize] = bounds;
        self.programme.rows[row as usize] = bounds;
    }

    /// Changes the cost of a structural variable; the basis stays as a start.
    pub fn set_cost(&mut self, variable: usize, cost: f64) {
        self.settled = false;
        self.cost[variable] = cost;
        self.programme.cost[variable] = cost;
    }

    /// Adds a row with its entries; its logical becomes basic.
    pub fn add_row(&mut self, bounds: (f64, f64), entries: &[(usize, f64)]) -> u32 {
        let (n, row) = (self.n(), short_index(self.m()));
        let logical = u32::try_from(n + self.m()).expect(NUMBERED);
        self.factored = false;
        self.settled = false;
        self.programme.rows.push(bounds);
        let awake = entries.iter().filter(|(variable, _)| !self.asleep[*variable]);
        self.by_row.push(awake.map(|&(variable, value)| (short_index(variable), value)).collect());
        entries.iter().for_each(|&(variable, value)| self.programme.columns[variable].push((row, value)));
        self.logical.push(vec![(row, -1.0)]);
        self.bounds.push(bounds);
        self.cost.push(0.0);
        self.head.push(logical);
        self.at.push(VariableState::Basic);
        self.x.push(0.0);
        self.reduced.push(0.0);
        self.weight.push(1.0);
        self.pivot_row.push(0.0);
        self.listed.push(false);
        row
    }

    /// The basis, to go back to; rows added since get their logical.
    pub fn basis(&self) -> Basis {
        Basis {
            head: self.head.clone(),
            at: self.at.clone(),
            weight: self.weight.clone(),
            factor: self.factor.clone(),
            factored: self.factored,
        }
    }

    /// Goes back to a basis of this programme.
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

    /// Minimises, from the basis there is; stops where the objective passes `cutoff` or after so many iterations.
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
            // As it was left.
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

    /// Looks at what seems optimal once more, with fresh factors and the programme's own costs; false where the method goes on.
    fn confirm_optimal(&mut self, retried: &mut u32, restored: &mut bool) -> bool {
        if self.factor.n_updates() > TRUSTED {
            self.refactor();
            if self.leaving().is_some() && *retried < MOST_RETRIES {
                *retried += 1;
                return false;
            }
        }
        if self.perturbed {
            // Reduced costs that change sides send their variables to the other bound.
            *restored = true;
            self.restore_costs();
            self.refactor();
            return false;
        }
        true
    }

    /// Makes costs differ a little, always alike.
    fn perturb(&mut self) {
        let n = self.n();
        let largest = self.cost[..n].iter().fold(0.0, |most: f64, cost| most.max(cost.abs()));
        for variable in 0..n {
            // A fixed scramble of the position, between 0.5 and 1.5.
            let scrambled = (variable as u64 + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 40;
            let share = 0.5 + scrambled as f64 / (1u64 << 24) as f64;
            let by = share * (1e-6 * self.cost[variable].abs() + 1e-9 * largest + 1e-6);
            self.cost[variable] += if self.at[variable] == VariableState::Upper { -by } else { by };
        }
        self.perturbed = true;
        self.degenerate = 0;
    }

    fn restore_costs(&mut self) {
        if std::mem::take(&mut self.perturbed) {
            let n = self.n();
            self.cost[..n].copy_from_slice(&self.programme.cost);
        }
    }

    /// The objective at the present basic solution.
    pub fn objective(&self) -> f64 {
        self.x[..self.n()].iter().zip(&self.programme.cost).map(|(x, cost)| x * cost).sum()
    }

    /// The structural variables.
    pub fn values(&self) -> &[f64] {
        &self.x[..self.n()]
    }

    /// The reduced cost of a structural variable in the last solution.
    pub fn reduced(&self, variable: usize) -> f64 {
        self.reduced[variable]
    }

    /// The multipliers of the rows: what one unit more of a row's bound adds to the objective.
    pub fn multipliers(&mut self) -> Vec<f64> {
        self.solve_transposed(self.head.iter().map(|&variable| self.true_cost(variable as usize)).collect())
    }

    fn true_cost(&self, variable: usize) -> f64 {
        self.programme.cost.get(variable).copied().unwrap_or(0.0)
    }

    /// Solves Bᵀ y = c for the present basis, `c` by position of the basic variables.
    pub fn solve_transposed(&mut self, mut c: Vec<f64>) -> Vec<f64> {
        self.factor.solve_transposed(&mut c);
        c
    }

    /// The basic variables, by position.
    pub fn head(&self) -> &[u32] {
        &self.head
    }

    /// After [`Ended::Infeasible`]: multipliers of the rows that alone show that there is no solution.
    pub fn ray(&mut self) -> Vec<f64> {
        let mut y = vec![0.0; self.m()];
        if let Some((position, beyond)) = self.infeasible_row {
            // x_B = … : the row of the leaving variable, turned so that its violation is a positive bound.
            y[position] = if beyond > 0.0 { 1.0 } else { -1.0 };
            self.factor.solve_transposed(&mut y);
            // y·(A x) with the logicals: the basic variable stands at coefficient ±1.
        }
        y
    }

    fn refactor(&mut self) {
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

    /// Reduced costs anew.
    fn price(&mut self) {
        let n = self.n();
        let mut y: Vec<f64> = self.head.iter().map(|&variable| self.cost[variable as usize]).collect();
        self.factor.solve_transposed(&mut y);
        for variable in (0..n).filter(|&variable| !self.asleep[variable]) {
            let sum: f64 = self.programme.columns[variable].iter().map(|&(row, value)| y[row as usize] * value).sum();
            self.reduced[variable] = self.cost[variable] - sum;
        }
        for (row, y) in y.iter().enumerate() {
            self.reduced[n + row] = self.cost[n + row] + y;
        }
        self.head.iter().for_each(|&variable| self.reduced[variable as usize] = 0.0);
    }

    /// Nonbasic variables on the bound that fits their reduced cost, and the basic ones that follow.
    fn settle(&mut self) {
        let (n, m) = (self.n(), self.m());
        let mut b = vec![0.0; m];
        for variable in 0..n + m {
            if self.at[variable] == VariableState::Basic || (variable < n && self.asleep[variable]) {
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
            // The cost of a logical on the wrong side of nothing is shifted: its multiplier counts as nothing.
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

#[derive(Clone, Copy, PartialEq, Eq)]
enum SimplexStep {
    Done,
    /// No variable can enter: the row of the leaving one shows that there is no solution.
    NoEntering,
    Unstable,
}
