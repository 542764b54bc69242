//! Nodes of a tree.

use std::rc::Rc;

use crate::assign::bound::{Bound, Multipliers};
use crate::assign::linear::Basis;

/// A node: the limits that the split of its parent adds, and its state.
#[derive(Clone)]
pub struct TreeNode {
    pub parent: Option<usize>,
    /// Columns that the split restricts, each with least and most.
    pub limits: Vec<(usize, i64, i64)>,
    pub state: State,
}

/// State of a node.
#[derive(Clone)]
pub enum State {
    /// Still to be solved or split; the multipliers are the last known, at first those of the parent.
    Open(Option<Rc<Multipliers>>),
    /// These multipliers show that the node holds no better plan.
    Closed(Rc<Multipliers>, Bound),
    /// Split on a column (for a supplier, either of its columns): the column, most in the first child, the children.
    Split(usize, i64, Vec<usize>),
}

/// An open node with the basis that its relaxation starts from.
#[derive(Clone)]
pub(super) struct Open {
    pub bound: f64,
    pub node: usize,
    pub basis: Rc<Basis>,
    /// The split that made the node, for pseudo-costs: column, whether upwards, distance moved, objective of the parent.
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
    /// The greatest is the node with the least bound; of equals, the one made first.
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        other.bound.total_cmp(&self.bound).then(other.node.cmp(&self.node))
    }
}
