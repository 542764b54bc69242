//! What is known of a level once it is settled, as far as a search says.

use crate::decision::Aim;

/// A level as a search leaves it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Settled {
    /// Which.
    pub aim: Aim,
    /// What the best plan reaches.
    pub value: i64,
    /// No plan that does no worse on the earlier levels is below this, says whoever searched.
    pub bound: i64,
    /// Whether a complete search says that nothing is better.
    pub complete: bool,
}

impl Settled {
    /// True if nothing better exists.
    pub fn proved(&self) -> bool {
        self.value <= self.bound && self.complete
    }
}
