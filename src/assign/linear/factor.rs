//! Sparse LU factors of a simplex basis.
//!
//! Problem: solve B x = b and Bᵀ y = c for a square sparse matrix B that changes by one column at a time.
//!
//! Method: left-looking sparse LU with threshold pivoting (J. R. Gilbert and T. Peierls, "Sparse partial pivoting in time
//! proportional to arithmetic operations", SIAM J. Sci. Stat. Comput. 9 (1988) 862–874, from memory). Singleton columns are
//! eliminated first, so that the mostly triangular bases of assignment problems stay sparse. A changed column is
//! kept as a product-form eta (G. B. Dantzig and W. Orchard-Hays 1954) until the next factorisation.
//!
//! Cost: a solve takes time proportional to the rows and the entries of factors and etas. Callers factor again when there are
//! too many etas ([`LuFactors::n_updates`]).

use crate::units::short_index;
use std::rc::Rc;

/// A sparse column: row and value.
pub type SparseColumn = [(u32, f64)];

/// LU factors with updates.
#[derive(Clone, Default)]
pub struct LuFactors {
    lu: Rc<Lu>,
    etas: Vec<Rc<Eta>>,
    work: Vec<f64>,
}

/// The factors of a basis, shared by bases that differ from it only by etas.
#[derive(Default)]
struct Lu {
    /// Below the diagonal, by step: row and value, divided by the diagonal.
    lower: SparseLists,
    /// Steps with entries below the diagonal: few, because most bases are nearly triangular.
    with_lower: Vec<u32>,
    /// Above the diagonal, by step: earlier step and value.
    upper: SparseLists,
    /// The same by row: for each step, the later steps with their values.
    upper_by_row: SparseLists,
    diagonal: Vec<f64>,
    /// By step, the pivot row; and the basis position of the column.
    pivot_row: Vec<u32>,
    position: Vec<u32>,
}

/// A sparse matrix by lists (rows or columns), stored one after the other.
#[derive(Default)]
struct SparseLists {
    /// End of each list in `entries`.
    ends: Vec<u32>,
    entries: Vec<(u32, f64)>,
}

impl SparseLists {
    fn push(&mut self, list: impl Iterator<Item = (u32, f64)>) {
        self.entries.extend(list);
        self.ends.push(short_index(self.entries.len()));
    }

    #[inline]
    fn of(&self, at: usize) -> &[(u32, f64)] {
        let from = at.checked_sub(1).map_or(0, |before| self.ends[before] as usize);
        &self.entries[from..self.ends[at] as usize]
    }

    fn is_empty(&self, at: usize) -> bool {
        self.of(at).is_empty()
    }

    /// The transpose, with `n` lists: entry (i, value) of list j becomes entry (j, value) of list i.
    fn transposed(&self, n: usize) -> SparseLists {
        let mut ends = vec![0u32; n];
        self.entries.iter().for_each(|&(to, _)| ends[to as usize] += 1);
        let mut end = 0;
        // First the number of entries of each list, then the position of its next entry, at last its end.
        for count in &mut ends {
            end += std::mem::replace(count, end);
        }
        let mut entries = vec![(0, 0.0); self.entries.len()];
        for at in 0..self.ends.len() {
            for &(to, value) in self.of(at) {
                entries[ends[to as usize] as usize] = (short_index(at), value);
                ends[to as usize] += 1;
            }
        }
        SparseLists { ends, entries }
    }
}

/// A replaced column of the basis: the new column, expressed in the basis before.
struct Eta {
    position: usize,
    pivot: f64,
    others: Vec<(u32, f64)>,
}

/// A pivot is at least this share of the largest entry of its column.
const THRESHOLD: f64 = 0.1;
/// Smaller entries are dropped.
const ZERO: f64 = 1e-13;

/// A singular basis: positions whose columns depend linearly on the others, and rows without a pivot.
pub struct Singular {
    pub positions: Vec<usize>,
    pub rows: Vec<usize>,
}

impl LuFactors {
    /// Factors the columns of a basis.
    pub fn new<'a>(n_rows: usize, column: impl Fn(usize) -> &'a SparseColumn) -> Result<Self, Singular> {
        let order = order(n_rows, &column);
        let mut factor = Lu::default();
        let mut step_of_row = vec![u32::MAX; n_rows];
        let mut row_count = vec![0u32; n_rows];
        (0..n_rows).for_each(|at| column(at).iter().for_each(|(row, _)| row_count[*row as usize] += 1));
        let mut dense = vec![0.0; n_rows];
        let mut reach = Reach::new(n_rows);
        let mut dependent = Vec::new();
        let mut upper = Vec::new();
        for at in order {
            reach.of(column(at), &step_of_row, &factor.lower);
            column(at).iter().for_each(|&(row, value)| dense[row as usize] += value);
            // In topological order: the entry of each step is final before it is used.
            upper.clear();
            for &step in reach.steps.iter().rev() {
                let value = dense[factor.pivot_row[step as usize] as usize];
                if value.abs() > ZERO {
                    upper.push((step, value));
                    factor.lower.of(step as usize).iter().for_each(|&(row, l)| dense[row as usize] -= value * l);
                }
            }
            let largest = reach.rows.iter().map(|&row| dense[row as usize].abs()).fold(0.0, f64::max);
            let eligible = reach.rows.iter().copied().filter(|&row| {
                let value = dense[row as usize].abs();
                value > 1e-9 && value >= THRESHOLD * largest
            });
            match eligible.min_by_key(|&row| (row_count[row as usize], row)) {
                Some(pivot) => {
                    let diagonal = dense[pivot as usize];
                    let below = reach.rows.iter().filter(|row| **row != pivot);
                    let below = below.map(|&row| (row, dense[row as usize] / diagonal));
                    factor.lower.push(below.filter(|(_, value)| value.abs() > ZERO));
                    factor.upper.push(upper.drain(..));
                    factor.diagonal.push(diagonal);
                    step_of_row[pivot as usize] = short_index(factor.pivot_row.len());
                    factor.pivot_row.push(pivot);
                    factor.position.push(short_index(at));
                }
                None => dependent.push(at),
            }
            reach.steps.iter().for_each(|&step| dense[factor.pivot_row[step as usize] as usize] = 0.0);
            reach.rows.iter().for_each(|&row| dense[row as usize] = 0.0);
        }
        if dependent.is_empty() {
            factor.with_lower = (0..n_rows).filter(|&step| !factor.lower.is_empty(step)).map(short_index).collect();
            factor.upper_by_row = factor.upper.transposed(n_rows);
            return Ok(LuFactors { lu: Rc::new(factor), etas: Vec::new(), work: vec![0.0; n_rows] });
        }
        let rows = (0..n_rows).filter(|&row| step_of_row[row] == u32::MAX).collect();
        Err(Singular { positions: dependent, rows })
    }

    /// Restores earlier factors; cheap if only etas have been added since.
    pub fn go_back(&mut self, earlier: &LuFactors) {
        if Rc::ptr_eq(&self.lu, &earlier.lu) && self.etas.len() >= earlier.etas.len() {
            self.etas.truncate(earlier.etas.len());
        } else {
            *self = earlier.clone();
        }
    }

    /// Columns replaced since the factorisation.
    pub fn n_updates(&self) -> usize {
        self.etas.len()
    }

    /// Solves B x = b: `b` by row becomes x by basis position.
    pub fn solve(&mut self, b: &mut [f64]) {
        let lu = &self.lu;
        for &step in &lu.with_lower {
            let value = b[lu.pivot_row[step as usize] as usize];
            if value != 0.0 {
                lu.lower.of(step as usize).iter().for_each(|&(row, l)| b[row as usize] -= value * l);
            }
        }
        let x = &mut self.work;
        for (x, &row) in x.iter_mut().zip(&lu.pivot_row) {
            *x = b[row as usize];
        }
        for step in (0..lu.diagonal.len()).rev() {
            if x[step] != 0.0 {
                x[step] /= lu.diagonal[step];
                let value = x[step];
                lu.upper.of(step).iter().for_each(|&(earlier, u)| x[earlier as usize] -= value * u);
            }
        }
        for (&x, &position) in x.iter().zip(&lu.position) {
            b[position as usize] = x;
        }
        for eta in &self.etas {
            let Eta { position, pivot, others } = &**eta;
            let value = b[*position];
            if value != 0.0 {
                let value = value / pivot;
                b[*position] = value;
                others.iter().for_each(|&(other, entry)| b[other as usize] -= value * entry);
            }
        }
    }

    /// Solves Bᵀ y = c: `c` by basis position becomes y by row.
    pub fn solve_transposed(&mut self, c: &mut [f64]) {
        for eta in self.etas.iter().rev() {
            let Eta { position, pivot, others } = &**eta;
            let sum: f64 = others.iter().map(|&(other, entry)| entry * c[other as usize]).sum();
            c[*position] = (c[*position] - sum) / pivot;
        }
        let (lu, w) = (&self.lu, &mut self.work);
        w.iter_mut().zip(&lu.position).for_each(|(w, &position)| *w = c[position as usize]);
        for step in 0..lu.diagonal.len() {
            if w[step] != 0.0 {
                w[step] /= lu.diagonal[step];
                let value = w[step];
                lu.upper_by_row.of(step).iter().for_each(|&(later, u)| w[later as usize] -= value * u);
            }
        }
        w.iter().zip(&lu.pivot_row).for_each(|(&w, &row)| c[row as usize] = w);
        for &step in lu.with_lower.iter().rev() {
            let sum: f64 = lu.lower.of(step as usize).iter().map(|&(row, l)| l * c[row as usize]).sum();
            c[lu.pivot_row[step as usize] as usize] -= sum;
        }
    }

    /// Replaces the column at a basis position by one that is `column` when expressed in the current basis.
    pub fn replace(&mut self, position: usize, column: &[f64]) {
        let others = column.iter().enumerate().filter(|(at, value)| *at != position && value.abs() > ZERO);
        let others = others.map(|(at, value)| (short_index(at), *value)).collect();
        self.etas.push(Rc::new(Eta { position, pivot: column[position], others }));
    }
}

/// The steps and rows that the elimination of a column touches.
struct Reach {
    /// In reverse topological order.
    steps: Vec<u32>,
    /// Rows without a pivot yet.
    rows: Vec<u32>,
    seen: Vec<u32>,
    mark: u32,
    stack: Vec<(u32, usize)>,
}

impl Reach {
    fn new(n_rows: usize) -> Self {
        Reach { steps: Vec::new(), rows: Vec::new(), seen: vec![0; n_rows], mark: 0, stack: Vec::new() }
    }

    /// Depth-first search from the rows of a column through the columns of L.
    fn of(&mut self, column: &SparseColumn, step_of_row: &[u32], lower: &SparseLists) {
        self.steps.clear();
        self.rows.clear();
        self.mark += 1;
        for &(row, _) in column {
            self.visit(row, step_of_row);
            while let Some((step, next)) = self.stack.pop() {
                match lower.of(step as usize).get(next) {
                    Some(&(row, _)) => {
                        self.stack.push((step, next + 1));
                        self.visit(row, step_of_row);
                    }
                    None => self.steps.push(step),
                }
            }
        }
    }

    fn visit(&mut self, row: u32, step_of_row: &[u32]) {
        if std::mem::replace(&mut self.seen[row as usize], self.mark) != self.mark {
            match step_of_row[row as usize] {
                u32::MAX => self.rows.push(row),
                step => self.stack.push((step, 0)),
            }
        }
    }
}

/// Basis positions in an order that keeps L and U sparse: columns with one entry in the remaining rows first, the others by length.
fn order<'a>(n: usize, column: &impl Fn(usize) -> &'a SparseColumn) -> Vec<usize> {
    let mut left: Vec<u32> = Vec::with_capacity(n);
    // First the number of entries of each row, then the beginning of its entries in `positions`.
    let mut begin = vec![0u32; n + 1];
    for at in 0..n {
        column(at).iter().for_each(|(row, _)| begin[*row as usize + 1] += 1);
        left.push(short_index(column(at).len()));
    }
    (0..n).for_each(|row| begin[row + 1] += begin[row]);
    let mut positions = vec![0u32; begin[n] as usize];
    let mut next = begin.clone();
    for at in 0..n {
        for &(row, _) in column(at) {
            positions[next[row as usize] as usize] = short_index(at);
            next[row as usize] += 1;
        }
    }
    let mut taken = vec![false; n];
    let mut row_done = vec![false; n];
    let mut order = Vec::with_capacity(n);
    let mut queue: Vec<usize> = (0..n).filter(|&at| left[at] == 1).collect();
    while let Some(at) = queue.pop() {
        if taken[at] || left[at] != 1 {
            continue;
        }
        let Some(&(row, _)) = column(at).iter().find(|(row, _)| !row_done[*row as usize]) else { continue };
        taken[at] = true;
        order.push(at);
        row_done[row as usize] = true;
        for &other in &positions[begin[row as usize] as usize..begin[row as usize + 1] as usize] {
            left[other as usize] -= 1;
            if left[other as usize] == 1 && !taken[other as usize] {
                queue.push(other as usize);
            }
        }
    }
    let mut rest: Vec<usize> = (0..n).filter(|&at| !taken[at]).collect();
    rest.sort_by_key(|&at| (left[at], at));
    // The singletons come first: each eliminates one row and has no other entry below, so L has no entries for them.
    order.extend(rest);
    order
}
