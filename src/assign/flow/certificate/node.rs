//! A node of the certificate's tree.

use std::cmp::Reverse;
use std::rc::Rc;

use super::leaf_bound::Restrictions;
use super::leaf_prices::LeafPrices;
use crate::assign::flow::relaxation::{DualPrices, Subproblem};

/// A node with the best prices known for it.
pub struct PricedNode {
    /// By level: estimates from the flow until it is evaluated, then exact.
    pub bounds: Vec<i128>,
    /// Number in the order in which nodes are made.
    pub number: usize,
    /// The node for the relaxation. Its limits may be tighter than the restrictions, by the terms of offers and by the limits on
    /// kinds and suppliers.
    pub subproblem: Subproblem,
    /// The restrictions that its leaf states.
    pub restrictions: Restrictions,
    pub prices: NodePrices,
}

/// Prices of a node.
pub enum NodePrices {
    /// The dual prices of its flow.
    OfFlow(DualPrices),
    /// The multipliers at which the node was evaluated.
    Evaluated(Rc<LeafPrices>),
}

impl NodePrices {
    /// The multipliers, if it is evaluated.
    pub fn evaluated(&self) -> Option<&LeafPrices> {
        match self {
            NodePrices::OfFlow(_) => None,
            NodePrices::Evaluated(prices) => Some(prices),
        }
    }
}

impl PartialEq for PricedNode {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}
impl Eq for PricedNode {}
impl PartialOrd for PricedNode {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for PricedNode {
    /// The greatest is the node with the least bound; of equals, the oldest.
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        (Reverse(&self.bounds), Reverse(self.number)).cmp(&(Reverse(&other.bounds), Reverse(other.number)))
    }
}
