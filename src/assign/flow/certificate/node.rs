//! A part of the tree with the best prices known for it.

use std::cmp::Reverse;
use std::rc::Rc;

use super::bound::Part;
use super::priced::Priced;
use crate::assign::flow::relaxation::{Prices, State};

/// A part with the best prices known for it.
pub struct Node {
    /// By level; as its flow says until it is weighed.
    pub bounds: Vec<i128>,
    /// In the order in which they were made.
    pub number: usize,
    /// At each of the prices of owned fluid.
    pub states: Vec<State>,
    pub part: Part,
    pub prices: Proposed,
}

/// Prices for a part.
pub enum Proposed {
    /// As the flow has them, at which of the prices of owned fluid.
    Flow(usize, Prices),
    /// In numbers of a leaf.
    Weighed(Rc<Priced>),
}

impl Proposed {
    /// At which of the prices of owned fluid.
    pub fn at(&self) -> usize {
        match self {
            Proposed::Flow(at, _) => *at,
            Proposed::Weighed(priced) => priced.at,
        }
    }

    /// The numbers, once it is weighed.
    pub fn weighed(&self) -> Option<&Priced> {
        match self {
            Proposed::Flow(..) => None,
            Proposed::Weighed(priced) => Some(priced),
        }
    }
}

impl PartialEq for Node {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}
impl Eq for Node {}
impl PartialOrd for Node {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Node {
    /// The least bound first, the first made of equals.
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        (Reverse(&self.bounds), Reverse(self.number)).cmp(&(Reverse(&other.bounds), Reverse(other.number)))
    }
}
