//! The incumbent: the best plan known.

use super::evaluate::{self, Values};
use crate::decision::{Aim, Decision, Question};

/// A plan that satisfies every constraint, with its values.
pub struct Incumbent<'a> {
    question: &'a Question,
    /// Its choices and packs.
    pub decision: Decision,
    /// Its values on all levels.
    pub values: Values,
}

impl<'a> Incumbent<'a> {
    /// Starts with a plan, which must satisfy every constraint.
    pub fn new(question: &'a Question, decision: Decision) -> Self {
        let values = evaluate::values(question, &decision);
        Incumbent { question, decision, values }
    }

    /// The question.
    pub fn question(&self) -> &'a Question {
        self.question
    }

    /// Replaces the incumbent if the plan satisfies every constraint and is better by [`rank`]; true if so.
    pub fn offer(&mut self, decision: Decision) -> bool {
        if evaluate::check(self.question, &decision).is_err() {
            return false;
        }
        let values = evaluate::values(self.question, &decision);
        let better = rank(&values) < rank(&self.values);
        if better {
            (self.decision, self.values) = (decision, values);
        }
        better
    }

    /// Its value on a level.
    pub fn value(&self, aim: Aim) -> i64 {
        self.values.of(aim)
    }

    /// Its values on all earlier levels.
    pub fn reached_before(&self, aim: Aim) -> Vec<(Aim, i64)> {
        Aim::ALL.into_iter().filter(|earlier| *earlier < aim).map(|earlier| (earlier, self.value(earlier))).collect()
    }
}

/// The values in order of rank, less is better: deferred lots by priority, then weighed money, then fluid.
pub fn rank(values: &Values) -> ([i64; 4], i64, i64) {
    (values.deferred, values.weighed.parts(), values.fluid.0)
}
