//! Finds suppliers from whom no better plan orders.
//!
//! Problem: the relaxation orders nothing from a supplier until other splits make an order attractive, and then pays a small part of
//! the charge. So the same supplier would be split again deep down in many subtrees.
//!
//! Method: probing (M. W. P. Savelsbergh, "Preprocessing and probing techniques for mixed integer programming problems", ORSA Journal
//! on Computing 6 (1994) 445–454, from memory). At a node below splits on suppliers alone, at which no supplier is fractional, an
//! order from each idle supplier is tried for some iterations. If it takes the objective beyond the cutoff in every state, the node is
//! split on this supplier: the children with an order are soon closed, the other one has the solution of the node.

use super::{State, Tree};
use crate::assign::formulation::{Formulation, Variable};
use crate::assign::incumbent::Incumbent;
use crate::assign::linear::{Ended, Snapshot};

/// Simplex iterations on each state of an idle supplier.
const PROBE_ITERATIONS: u64 = 48;

impl Tree<'_> {
    /// A column of a supplier from whom nothing is ordered in the last solution, nor in any better plan of the node.
    pub(super) fn idle_supplier(
        &self,
        formulation: &mut Formulation,
        incumbent: &Incumbent,
        node: usize,
    ) -> Option<usize> {
        if !self.is_below_suppliers(formulation, node) {
            return None;
        }
        let of_supplier = |states: &[Option<usize>; 2]| states.iter().flatten().copied().collect::<Vec<usize>>();
        let suppliers: Vec<Vec<usize>> = formulation.suppliers.iter().map(of_supplier).collect();
        let undecided = |column: &usize| self.limits[*column].0 < self.limits[*column].1;
        let values = formulation.simplex.values();
        let fractional = |column: &usize| undecided(column) && (values[*column] - values[*column].round()).abs() > 1e-6;
        if suppliers.iter().flatten().any(fractional) {
            return None;
        }
        let is_idle = |columns: &Vec<usize>| {
            !columns.is_empty() && columns.iter().all(|column| undecided(column) && values[*column] < 0.5)
        };
        let idle: Vec<Vec<usize>> = suppliers.into_iter().filter(is_idle).collect();
        if idle.is_empty() {
            return None;
        }
        let cutoff = self.cutoff(formulation, incumbent).0;
        let snapshot = formulation.simplex.snapshot();
        let found = idle.into_iter().find(|columns| {
            columns.iter().all(|&ordered| order_exceeds(formulation, (columns, ordered), cutoff, &snapshot))
        });
        formulation.simplex.go_back(&snapshot);
        found.and_then(|columns| columns.first().copied())
    }

    /// Whether all splits above a node are on suppliers.
    fn is_below_suppliers(&self, formulation: &Formulation, node: usize) -> bool {
        let mut above = self.nodes[node].parent;
        while let Some(at) = above {
            let is_supplier = matches!(&self.nodes[at].state, State::Split(column, ..)
                if matches!(formulation.variables[*column], Variable::Supplier(..)));
            if !is_supplier {
                return false;
            }
            above = self.nodes[at].parent;
        }
        true
    }
}

/// Whether an order from a supplier takes the objective beyond the cutoff. `columns`: those of its states, of which `ordered` is 1.
fn order_exceeds(
    formulation: &mut Formulation,
    (columns, ordered): (&[usize], usize),
    cutoff: f64,
    snapshot: &Snapshot,
) -> bool {
    let simplex = &mut formulation.simplex;
    simplex.go_back(snapshot);
    let before: Vec<(usize, (f64, f64))> = columns.iter().map(|&column| (column, simplex.bounds(column))).collect();
    for &column in columns {
        let state = f64::from(u8::from(column == ordered));
        simplex.set_bounds(column, (state, state));
    }
    let ended = simplex.minimise(cutoff, PROBE_ITERATIONS, &|| false);
    let exceeds = matches!(ended, Ended::Infeasible | Ended::Cutoff) || simplex.objective() > cutoff;
    before.into_iter().for_each(|(column, bounds)| simplex.set_bounds(column, bounds));
    exceeds
}
