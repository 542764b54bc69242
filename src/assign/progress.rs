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
        /// Parts of the decision looked at.
        parts: u64,
    },
    /// The bound is put into numbers that can be worked out again.
    Bounding {
        /// Leaves made.
        leaves: usize,
    },
}

/// Where a search stands: the parts it looked at, the cost of its best plan and the bound of what is open.
#[derive(Clone, Copy, Debug)]
pub struct Standing {
    /// Parts looked at.
    pub parts: u64,
    /// Of the best plan, in money.
    pub best: Option<i64>,
    /// Of what is open, in money.
    pub lowest: Option<i64>,
}
