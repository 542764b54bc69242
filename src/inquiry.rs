//! Questions about a project: what is changed in it, and the decision that follows.
//!
//! The lots are judged once. Limits and weights of the decision are changed, so an answer is the decision of the plan that has
//! these settings: the same lots in the same vessels, with a certificate for each level.

pub mod budget;

use std::borrow::Cow;

use crate::assign::{self, Progress, evaluate, question};
use crate::decision::{Aim, Decision, Goal, Level, Limits, Question};
use crate::options::table::Row;
use crate::plan::Plan;
use crate::project::Project;
use crate::units::Money;

/// A project and what is changed in it.
pub struct Inquiry<'a> {
    project: Cow<'a, Project>,
    rows: &'a [Row],
    question: Question,
    /// The same question where all that counts is the money of the budget.
    counted: Question,
}

/// What may be changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// The budget.
    Budget(Option<Money>),
    /// The most kinds of vessel bought.
    MostKinds(Option<u32>),
    /// The most suppliers ordered from.
    MostSuppliers(Option<u32>),
}

/// The plan that takes least money, and what shows that none takes less.
#[derive(Clone, Debug)]
pub struct LeastMoney {
    /// The plan.
    pub decision: Decision,
    /// Money that the budget counts, with its bound and certificate.
    pub level: Level,
}

impl<'a> Inquiry<'a> {
    /// A project as it is, with the options of every lot in survey order.
    pub fn about(project: &'a Project, rows: &'a [Row]) -> Self {
        let question = question::question(project, rows);
        let counted = counted(&question);
        Inquiry { project: Cow::Borrowed(project), rows, question, counted }
    }

    /// The project as changed.
    pub fn project(&self) -> &Project {
        &self.project
    }

    /// What is asked of the decision.
    pub fn question(&self) -> &Question {
        &self.question
    }

    /// Changes the project.
    pub fn change(&mut self, change: Change) {
        let settings = &mut self.project.to_mut().settings;
        match change {
            Change::Budget(budget) => settings.budget = budget,
            Change::MostKinds(most) => settings.max_vessel_types = most,
            Change::MostSuppliers(most) => settings.max_suppliers = most,
        }
        self.question.limits = question::limits(&self.project);
        self.counted.limits = counted_limits(self.question.limits);
    }

    /// Decides as a plan of the changed project does.
    pub fn decide(&self, report: &mut dyn FnMut(Progress), stop: &dyn Fn() -> bool) -> Decision {
        assign::decide_watched(&self.question, report, stop)
    }

    /// The plan of a decision.
    pub fn plan(&self, decision: &Decision) -> Plan {
        let labour = question::labour_per_row(&self.project);
        crate::plan::plan(&self.project, self.rows, &self.question, decision, labour, Vec::new())
    }

    /// Lots that wait in a decision, by priority.
    pub fn deferred(&self, decision: &Decision) -> [i64; 4] {
        evaluate::values(&self.question, decision).deferred
    }

    /// The money of a decision that the budget counts.
    pub fn counted_money(&self, decision: &Decision) -> Money {
        evaluate::values(&self.counted, decision).money
    }

    /// The least money that the budget counts at which no more lots wait than this, by priority, whatever the budget is. `start`
    /// is such a plan.
    pub fn least_money(&self, most_deferred: [i64; 4], start: &Decision, stop: &dyn Fn() -> bool) -> LeastMoney {
        let mut decision = self.decide_counted(&Goal::least_money(most_deferred), start, stop);
        let level = decision.levels.remove(0);
        LeastMoney { decision, level }
    }

    /// The plan of fewest waiting lots of one priority among those in which no more of the more urgent ones wait than in
    /// `start`, whatever the budget is.
    pub fn fewest_deferred(&self, priority: u8, start: &Decision, stop: &dyn Fn() -> bool) -> Decision {
        let most = (1..priority).map(Aim::Deferred).zip(self.deferred(start)).collect();
        self.decide_counted(&Goal { aims: vec![Aim::Deferred(priority)], at_most: most }, start, stop)
    }

    /// The cheapest plan with one more lot of a priority than a decision has, those after it waiting, the others as they are.
    pub fn with_one_more(&self, decision: &Decision, priority: u8) -> Option<Decision> {
        assign::with_one_more(&self.counted, decision, priority)
    }

    fn decide_counted(&self, goal: &Goal, start: &Decision, stop: &dyn Fn() -> bool) -> Decision {
        assign::decide_for(&self.counted, goal, start.clone(), &mut |_| {}, stop)
    }

    /// Whether goals other than a plan's can be decided: the linear relaxation of the question is not too large.
    pub fn takes_goals(&self) -> bool {
        assign::takes_goals(&self.question)
    }
}

/// A question whose money is what the budget counts: labour where it does, and no weight of litres.
fn counted(question: &Question) -> Question {
    let mut counted = question.clone();
    for class in &mut counted.classes {
        for member in &mut class.members {
            member.money += question.limits.labour_per_row;
        }
    }
    counted.limits = counted_limits(question.limits);
    counted
}

fn counted_limits(limits: Limits) -> Limits {
    Limits { budget: None, labour_per_row: Money::ZERO, litre_weight: Money::ZERO, ..limits }
}
