//! How far a decision has come, for whoever waits for it.

use crate::decision::Aim;

/// How far a decision has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// What is being settled.
    pub aim: Aim,
    /// What is done about it.
    pub doing: Doing,
    /// The best value so far.
    pub value: i64,
    /// Nothing is below this, as far as is known.
    pub bound: i64,
}

/// What is done about a level.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Doing {
    /// Better plans are looked for.
    Searching {
        /// Nodes of the tree looked at.
        nodes: u64,
    },
}
