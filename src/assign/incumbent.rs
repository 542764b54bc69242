//! The best plan known so far.

use super::evaluate::{self, Values};
use crate::decision::{Aim, Decision, Question};

/// The incumbent: a plan that keeps every constraint, and what it comes to.
pub struct Incumbent<'a> {
    question: &'a Question,
    /// Its choices and packs.
    pub decision: Decision,
    /// What it comes to.
    pub values: Values,
}

impl<'a> Incumbent<'a> {
    /// Begins with a plan that keeps every constraint.
    pub fn new(question: &'a Question, decision: Decision) -> Self {
        let values = evaluate::values(question, &decision);
        Incumbent { question, decision, values }
    }

    /// What is asked.
    pub fn question(&self) -> &'a Question {
        self.question
    }

    /// Takes a plan if it keeps every constraint and is better: fewer lots deferred by priority, then less money, then less fluid.
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

    /// What it reaches on a level.
    pub fn value(&self, aim: Aim) -> i64 {
        self.values.of(aim)
    }

    /// What it reaches on all levels before one.
    pub fn reached_before(&self, aim: Aim) -> Vec<(Aim, i64)> {
        Aim::ALL.into_iter().filter(|earlier| *earlier < aim).map(|earlier| (earlier, self.value(earlier))).collect()
    }
}

/// Less is better.
pub fn rank(values: &Values) -> ([i64; 4], i64, i64) {
    (values.deferred, values.weighed.parts(), values.fluid.0)
}
