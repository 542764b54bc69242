//! Linear programmes: minimise c·x subject to bounds lower ≤ x ≤ upper of variables and lower ≤ A x ≤ upper of rows.
//!
//! Method: the bounded dual simplex method with steepest-edge pricing (J. J. Forrest and D. Goldfarb, "Steepest-edge simplex
//! algorithms for linear programming", Mathematical Programming 57 (1992) 341–374) and a ratio test that flips bounds
//! (I. Maros, "Computational Techniques of the Simplex Method", 2003, chapter 10), both from memory. Each row i has a
//! logical variable equal to its activity, with column −eᵢ; structural variables come first.
//!
//! Every structural variable has finite bounds, so any basis becomes dual feasible: nonbasic variables are put on the bound
//! that the sign of their reduced cost requires. If a logical lacks that bound, its cost is shifted so that its reduced cost is 0.
//! After bounds change or rows are added, the method starts from the last basis.
//!
//! What is claimed: nothing. Results are floating point and only propose multipliers, which are evaluated in whole numbers
//! (`super::bound`).

mod asleep;
mod basis;
mod factor;
mod minimise;
mod pivot;
mod settle;
mod snapshot;

use std::rc::Rc;

use crate::units::short_index;
use asleep::SleepingColumns;
pub use basis::Basis;
use factor::LuFactors;
pub use snapshot::Snapshot;

/// A linear programme.
#[derive(Clone, Default)]
pub struct Programme {
    /// By structural variable: rows and coefficients.
    pub columns: Vec<Vec<(u32, f64)>>,
    /// Costs of structural variables.
    pub cost: Vec<f64>,
    /// Bounds of structural variables.
    pub bounds: Vec<(f64, f64)>,
    /// Bounds of the rows.
    pub rows: Vec<(f64, f64)>,
}

impl Programme {
    /// Adds a variable with its entries in existing rows; returns its number.
    pub fn variable(&mut self, cost: f64, bounds: (f64, f64), entries: Vec<(u32, f64)>) -> usize {
        self.columns.push(entries);
        self.cost.push(cost);
        self.bounds.push(bounds);
        self.columns.len() - 1
    }

    /// Adds an empty row with its bounds; returns its number.
    pub fn row(&mut self, least: f64, most: f64) -> u32 {
        let row = u32::try_from(self.rows.len()).expect(NUMBERED);
        self.rows.push((least, most));
        row
    }
}

/// Variables and logicals are numbered in 32 bits. This is checked wherever one is added, so no later conversion loses anything.
const NUMBERED: &str = "a programme has fewer variables and rows than 32 bits count";

/// Whether a variable is basic, or at which bound it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum VariableState {
    Basic,
    Lower,
    Upper,
}

/// How a solution ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ended {
    /// Optimal within tolerances.
    Optimal,
    /// No solution; [`Simplex::ray`] proves it.
    Infeasible,
    /// The objective passed the cutoff.
    Cutoff,
    /// The iteration limit was reached, `stop` said so, or the method failed numerically.
    Stopped,
}

/// The dual simplex method on one programme, whose bounds may change and which may gain rows.
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
    /// Whether the factors are those of the current basis.
    factored: bool,
    /// Whether reduced costs and values are those of the current basis and bounds.
    settled: bool,
    infeasible_row: Option<(usize, f64)>,
    /// Number of consecutive steps that did not change the objective.
    degenerate: u32,
    /// Whether costs are perturbed, so that steps change the objective.
    perturbed: bool,
    /// Iterations made so far.
    pub iterations: u64,
    pivot_row: Vec<f64>,
    touched: Vec<u32>,
    /// By variable, whether it is in `touched`.
    listed: Vec<bool>,
    /// By structural variable, whether it is asleep: left out of pivot rows and pricing until it is needed.
    asleep: Vec<bool>,
    /// Number of sleeping variables.
    sleepers: usize,
    /// The structural variables that are awake.
    awake: Rc<Vec<u32>>,
    /// Columns of the sleeping variables, if they are up to date.
    sleeping: Option<SleepingColumns>,
}

const FEASIBLE: f64 = 1e-9;
/// Dual tolerance: how far a reduced cost may have the wrong sign.
const DUAL: f64 = 1e-7;
const PIVOT: f64 = 1e-8;
const UPDATES: usize = 80;
/// Most updates of the factors with which optimality is accepted without new factors.
const TRUSTED: usize = 24;
const MOST_DEGENERATE: u32 = 40;
/// Most restarts with new factors within one solution.
const MOST_RETRIES: u32 = 20;

impl Simplex {
    /// A programme with the basis of all logicals.
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
            awake: Rc::new((0..short_index(n)).collect()),
            sleeping: None,
            programme,
        };
        simplex.start_from(&[]);
        simplex
    }

    /// Number of structural variables.
    fn n(&self) -> usize {
        self.programme.columns.len()
    }

    /// The programme.
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

    /// The current bounds of a structural variable.
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

    /// Changes the cost of a structural variable; the basis is kept.
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
        if let Some(sleeping) = &mut self.sleeping {
            sleeping.add_row(row, entries);
        }
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

    /// The objective at the current basic solution, at the programme's own costs.
    pub fn objective(&self) -> f64 {
        self.awake.iter().map(|&variable| self.x[variable as usize] * self.programme.cost[variable as usize]).sum()
    }

    /// Values of the structural variables.
    pub fn values(&self) -> &[f64] {
        &self.x[..self.n()]
    }

    /// The reduced cost of a structural variable in the last solution.
    pub fn reduced(&self, variable: usize) -> f64 {
        self.reduced[variable]
    }

    /// The duals of the rows: the rise of the objective per unit of a row's bound.
    pub fn multipliers(&mut self) -> Vec<f64> {
        self.solve_transposed(self.head.iter().map(|&variable| self.true_cost(variable as usize)).collect())
    }

    fn true_cost(&self, variable: usize) -> f64 {
        self.programme.cost.get(variable).copied().unwrap_or(0.0)
    }

    /// Solves Bᵀ y = c for the current basis, `c` by position of the basic variables, y by row.
    pub fn solve_transposed(&mut self, mut c: Vec<f64>) -> Vec<f64> {
        self.factor.solve_transposed(&mut c);
        c
    }

    /// The basic variables, by position.
    pub fn head(&self) -> &[u32] {
        &self.head
    }

    /// After [`Ended::Infeasible`]: the dual ray, multipliers of the rows that prove infeasibility.
    pub fn ray(&mut self) -> Vec<f64> {
        let mut y = vec![0.0; self.m()];
        if let Some((position, beyond)) = self.infeasible_row {
            // The row of B⁻¹ of the leaving variable, with the sign that makes its violation positive.
            y[position] = if beyond > 0.0 { 1.0 } else { -1.0 };
            self.factor.solve_transposed(&mut y);
            // In y·(A x) the leaving variable has coefficient ±1.
        }
        y
    }
}
