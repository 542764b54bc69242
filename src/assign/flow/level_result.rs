//! The result of the search of one level.

use crate::decision::Aim;

/// The result of the search of one level. The certificate is made afterwards and may prove less.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LevelResult {
    /// The level.
    pub aim: Aim,
    /// Its value in the incumbent.
    pub value: i64,
    /// The search's lower bound over all plans that are no worse on the earlier levels.
    pub bound: i64,
    /// Whether the search ended because no open node can hold a better plan.
    pub complete: bool,
}

impl LevelResult {
    /// Whether the search found the value to be optimal.
    pub fn is_optimal(&self) -> bool {
        self.value <= self.bound && self.complete
    }
}
