//! Nodes of a tree.

use std::rc::Rc;

use crate::assign::bound::Multipliers;
use crate::assign::linear::Basis;

/// A node: how it came out of its parent, and what became of it.
#[derive(Clone)]
pub struct TreeNode {
    pub parent: Option<usize>,
    /// Column, least and most that the split leaves it.
    pub limits: Vec<(usize, i64, i64)>,
    pub state: State,
}

/// What became of a node.
#[derive(Clone)]
pub enum State {
    /// To be looked at; the numbers are of the parent.
    Open(Option<Rc<Multipliers>>),
    /// No better plan is in it.
    Closed(Rc<Multipliers>),
    /// Split on a column (any of a supplier's) into children.
    Split(usize, i64, Vec<usize>),
}

/// An open node with where to start.
#[derive(Clone)]
pub(super) struct Open {
    pub bound: f64,
    pub node: usize,
    pub basis: Rc<Basis>,
    /// How the split moved the column, for pseudo-costs: column, upwards, by how much, from which bound.
    pub moved: Option<(usize, bool, f64, f64)>,
}

impl PartialEq for Open {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}
impl Eq for Open {}
impl PartialOrd for Open {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Open {
    /// The least bound first, the first made of equals.
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        other.bound.total_cmp(&self.bound).then(other.node.cmp(&self.node))
    }
}
