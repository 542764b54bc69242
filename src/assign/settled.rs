//! What is known of a level once it is settled, as far as a search says.

use super::evaluate;
use crate::decision::{Aim, Proof, Question};

/// A level as a search leaves it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Settled {
    /// Which.
    pub aim: Aim,
    /// What the best plan reaches.
    pub value: i64,
    /// No plan that does no worse on the earlier levels is below this, says whoever searched.
    pub bound: i64,
    /// How that is known.
    pub proof: Proof,
}

impl Settled {
    /// True if nothing better exists.
    pub fn proved(&self) -> bool {
        self.value <= self.bound && self.proof != Proof::None
    }
}

/// What two ways say about one level together: the better value and the higher bound, proved where they meet.
pub fn better(one: Settled, other: Settled) -> Settled {
    let value = one.value.min(other.value);
    let bound = one.bound.max(other.bound).min(value);
    let proof = match value == bound {
        true if one.proof == Proof::Recomputed || other.proof == Proof::Recomputed => Proof::Recomputed,
        true => Proof::Recomputed,
        false => Proof::None,
    };
    Settled { aim: one.aim, value, bound, proof }
}

/// The gap of a level: a count's over the rows of its priority, any other's over its value.
pub fn gap(question: &Question, aim: Aim, value: i64, bound: i64) -> f64 {
    let over = match aim {
        Aim::Deferred(priority) => evaluate::rows_of(question, priority),
        Aim::Money | Aim::Fluid => value,
    };
    if value == bound { 0.0 } else { (value - bound) as f64 / (over.max(1)) as f64 }
}
