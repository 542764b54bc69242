//! The questions that a plan answers beside itself, their answers, and the plan of an answer made again.
//!
//! # Questions
//!
//! What more money buys, what less fluid costs, what each vessel in use is worth, what waits for a lot that takes much of the budget, and
//! what fewer suppliers and kinds of vessel cost. What is asked next follows from the plan and the answers before ([`due`]), so that
//! nobody can leave out a question that is inconvenient.
//!
//! # Answers
//!
//! Each is the decision of the project as changed, with a certificate for each level. A search ends after some work and not after some
//! time, so no answer depends on the clock. An answer that is not proved within this work has the bound that it has. Answers about more
//! than [`crate::plan::answers::MOST_ROWS`] rows are not audited and so claim no proof.
//!
//! An answer is written as what differs from the plan ([`differing`]). From both, the decision and the plan of the answer are made
//! again ([`restored`]); then this plan is audited like any other.

mod differing;
pub mod due;

use super::limits::LimitOf;
use super::{Inquiry, Watch, WhatIf};
use crate::assign::evaluate;
use crate::decision::{Certificate, Decision, Level, Proof, Question, Status};
use crate::options::table::Row;
use crate::plan::Plan;
use crate::plan::answers::{PlanAnswer, PlanChange, Questions, are_audited};
use crate::project::Project;
use crate::system::threads::one_on_each_core;
use crate::units::Money;
use differing::{AsPlanned, answer};
use due::{Asking, pairs};

pub use differing::restored;

/// Limit on the work of one search, in calls of its `stop` function. The work between two calls grows with the number of pairs of a
/// class and a choice, so the limit falls with it. It was chosen by trial: the hardest budget of the demonstration takes a sixth
/// of the limit, and the hardest budget of a survey of 2 000 lots and 60 vessels takes two thirds. Answers without one vessel have a
/// lower limit, because there is one for each vessel in use, and some of these searches take long.
fn most_asked(question: &Question, asked: Questions, change: PlanChange) -> u64 {
    let most = match (asked, change) {
        (Questions::All, _) => 2_400_000_000,
        (_, PlanChange::Without(_)) => 20_000_000,
        _ => 240_000_000,
    };
    most / (pairs(question) as u64 + 200)
}

/// Asks the questions about a project beside its plan; `None` if it was stopped, or an answer is beyond what can be counted.
pub fn ask(
    project: &Project,
    rows: &[Row],
    plan: &Plan,
    asked: Questions,
    stop: &(dyn Fn() -> bool + Sync),
) -> Option<Vec<PlanAnswer>> {
    let as_it_is = Inquiry::about(project, rows);
    let asking = Asking { project, question: as_it_is.question(), plan, asked };
    let planned = AsPlanned::of(plan);
    let mut answers: Vec<PlanAnswer> = Vec::new();
    let mut found: Vec<(PlanChange, Decision)> = Vec::new();
    loop {
        let changes = asking.next(&answers);
        if changes.is_empty() {
            return Some(answers);
        }
        let about = |change: PlanChange| {
            let most_asked = Some(most_asked(as_it_is.question(), asked, change));
            let mut inquiry = Inquiry { most_asked, ..Inquiry::about(project, rows) };
            inquiry.apply(change);
            inquiry
        };
        // Each by itself, so that the result does not depend on how they are shared among the threads.
        let decided = one_on_each_core(&changes, |change| {
            let inquiry = about(*change);
            let decision = decide(&inquiry, *change, &planned, &found, stop);
            (inquiry, decision)
        });
        for (change, (inquiry, decision)) in changes.into_iter().zip(decided) {
            let mut watch = Watch { report: &mut |_| {}, stop: &|| stop() };
            let decision = match (change, found.last()) {
                (PlanChange::Budget(_), Some((PlanChange::Budget(_), last))) => {
                    inquiry.no_worse(decision, last, &mut watch)
                }
                _ => decision,
            };
            let answer = answer(&inquiry, &planned, change, &decision);
            answers.push(if are_audited(rows.len()) { answer } else { without_claims(inquiry.question(), answer) });
            found.push((change, decision));
        }
        // If the sums of any answer overflow, the plan is written without answers.
        if stop() || answers.iter().any(|answer| answer.money >= BEYOND_COUNTING) {
            return None;
        }
    }
}

/// An answer that nobody audits: with bounds that need no certificate.
fn without_claims(question: &Question, answer: PlanAnswer) -> PlanAnswer {
    let levels = answer.levels.into_iter().map(|level| Level {
        bound: evaluate::trivial_bound(question, level.aim).min(level.value),
        proof: Proof::None,
        certificate: Certificate::default(),
        ..level
    });
    PlanAnswer { levels: levels.collect(), status: Status::BestFound, ..answer }
}

/// A sum of at least this much may have been cut off at the largest amount that the type holds.
const BEYOND_COUNTING: Money = Money::from_parts(i64::MAX / 1000 * 999);

/// The decision of the project as changed; under a limit from what was found under the limit before, of a small change from the plan.
fn decide(
    inquiry: &Inquiry,
    change: PlanChange,
    planned: &AsPlanned,
    found: &[(PlanChange, Decision)],
    stop: &dyn Fn() -> bool,
) -> Decision {
    let mut watch = Watch { report: &mut |_| {}, stop };
    let (of, most) = match change {
        PlanChange::MostKinds(Some(most)) => (LimitOf::Kinds, most),
        PlanChange::MostSuppliers(Some(most)) => (LimitOf::Suppliers, most),
        PlanChange::UpToPriority(_) | PlanChange::Budget(_) => return inquiry.decide(&mut watch),
        _ => {
            return match planned.start(inquiry) {
                Some(start) => inquiry.decide_from(&start, &mut watch),
                None => inquiry.decide(&mut watch),
            };
        }
    };
    let without = found.iter().find(|(change, _)| *change == of.change(None));
    match (without, found.last()) {
        // The plan without the limit keeps it.
        (Some((_, without)), _) if of.used(inquiry, without) <= most => without.clone(),
        // The plan with the lower limit keeps this one too.
        (_, Some((_, last))) if most > 1 => inquiry.decide_from(last, &mut watch),
        _ => inquiry.decide(&mut watch),
    }
}

impl LimitOf {
    fn change(self, most: Option<u32>) -> PlanChange {
        match self {
            LimitOf::Kinds => PlanChange::MostKinds(most),
            LimitOf::Suppliers => PlanChange::MostSuppliers(most),
        }
    }
}

impl Inquiry<'_> {
    /// Changes what a question asks to be changed.
    pub fn apply(&mut self, change: PlanChange) {
        match change {
            PlanChange::UpToPriority(priority) => {
                self.change(WhatIf::Budget(None));
                self.change(WhatIf::LitreWeight(Money::ZERO));
                self.change(WhatIf::UpToPriority(priority));
            }
            PlanChange::Budget(budget) | PlanChange::NextBudget(budget) => self.change(WhatIf::Budget(Some(budget))),
            PlanChange::LitreWeight(weight) => self.change(WhatIf::LitreWeight(weight)),
            PlanChange::Waits(row) => self.change(WhatIf::Waits { row }),
            PlanChange::Without(vessel) => self.change(WhatIf::Without(vessel)),
            PlanChange::FreePiece(vessel) => {
                let free = self.project().stock.vessel(vessel).free_pieces() + 1;
                self.change(WhatIf::FreePieces { vessel, free });
            }
            PlanChange::MostKinds(most) => self.change(WhatIf::MostKinds(most)),
            PlanChange::MostSuppliers(most) => self.change(WhatIf::MostSuppliers(most)),
        }
    }
}
