//! The incumbent: the best plan known.

use super::evaluate::{self, Values};
use crate::decision::{Aim, Decision, Goal, Question};

/// A plan that satisfies every constraint, with its values.
pub struct Incumbent<'a> {
    question: &'a Question,
    goal: &'a Goal,
    /// Its choices and packs.
    pub decision: Decision,
    /// Its values on all levels.
    pub values: Values,
}

impl<'a> Incumbent<'a> {
    /// Starts with a plan, which must satisfy every constraint and the limits of the goal.
    pub fn new(question: &'a Question, goal: &'a Goal, decision: Decision) -> Self {
        let values = evaluate::values(question, &decision);
        Incumbent { question, goal, decision, values }
    }

    /// The question.
    pub fn question(&self) -> &'a Question {
        self.question
    }

    /// Replaces the incumbent if the plan satisfies every constraint and the limits of the goal, and is better by the aims of the
    /// goal; true if so.
    pub fn offer(&mut self, decision: Decision) -> bool {
        if evaluate::check(self.question, &decision).is_err() {
            return false;
        }
        let values = evaluate::values(self.question, &decision);
        let better = self.goal.allows(&values) && self.rank(&values).lt(self.rank(&self.values));
        if better {
            (self.decision, self.values) = (decision, values);
        }
        better
    }

    fn rank<'b>(&'b self, values: &'b Values) -> impl Iterator<Item = i64> + 'b {
        self.goal.aims.iter().map(|aim| values.of(*aim))
    }

    /// Its value on a level.
    pub fn value(&self, aim: Aim) -> i64 {
        self.values.of(aim)
    }

    /// The most that each limit of the goal allows, and its values on all earlier levels.
    pub fn reached_before(&self, aim: Aim) -> Vec<(Aim, i64)> {
        let earlier = self.goal.aims.iter().take_while(|earlier| **earlier != aim);
        let limits = self.goal.at_most.iter().copied();
        limits.chain(earlier.map(|earlier| (*earlier, self.value(*earlier)))).collect()
    }
}

impl Goal {
    /// Whether a plan that comes to this keeps the limits.
    pub fn allows(&self, values: &Values) -> bool {
        self.at_most.iter().all(|(aim, most)| values.of(*aim) <= *most)
    }
}
