//! Progress reports of a decision.

use crate::decision::Aim;

/// The progress of a decision.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// The current level.
    pub aim: Aim,
    /// The current step.
    pub doing: Doing,
    /// The value of the best plan so far on the level.
    pub value: i64,
    /// Lower bound of the level as the search sees it; not certified.
    pub bound: i64,
}

/// A step in deciding a level.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Doing {
    /// Searching for better plans.
    Searching {
        /// Nodes of the tree solved so far.
        nodes: u64,
    },
}
