//! Audits a plan with its answers.
//!
//! An answer is the plan of the project in which one thing is changed. That plan is made again from the plan and what differs from it,
//! and then audited like any other: the audit derives it from the changed project with code of its own, its levels and certificates
//! too. Which questions are asked, and in which order, follows from the answers.

use std::fmt::Display;

use crate::audit::{self, Finding};
use crate::inquiry::Inquiry;
use crate::inquiry::questions::due::Asking;
use crate::inquiry::questions::restored;
use crate::options::table::judge_all;
use crate::plan::answers::{PlanAnswer, PlanChange, Questions, are_audited, rounded_up};
use crate::plan::{Outcome, Plan};
use crate::project::Project;
use crate::stock::VesselId;
use crate::system::threads::one_on_each_core;
use crate::units::Money;

/// Every claim of a plan and its answers that the inputs do not confirm. Answers are checked beside a plan without findings: they
/// state only what differs from it. Those about a large survey claim nothing and are not checked, and all that shows them says so.
pub fn audit(project: &Project, plan: &Plan) -> Vec<Finding> {
    let findings = audit::audit(project, plan);
    let none = plan.questions == Questions::None && plan.answers.is_empty();
    if !findings.is_empty() || none || !are_audited(plan.placements.len()) {
        return findings;
    }
    answers(project, plan)
}

/// Findings about the answers of a plan that is right.
fn answers(project: &Project, plan: &Plan) -> Vec<Finding> {
    let rows = judge_all(project);
    let as_it_is = Inquiry::about(project, &rows);
    let asking = Asking { project, question: as_it_is.question(), plan, asked: plan.questions };
    if let Some(finding) = other_questions(asking) {
        return vec![finding];
    }
    let numbered: Vec<(usize, &PlanAnswer)> = plan.answers.iter().enumerate().collect();
    let found = one_on_each_core(&numbered, |(i, answer)| {
        let mut inquiry = Inquiry::about(project, &rows);
        inquiry.apply(answer.change);
        let findings = of_answer(&inquiry, plan, answer).into_iter();
        let place = |finding: &Finding| format!("answers[{i}].{}", finding.path());
        findings.map(|finding| Finding { placement: None, claim: place(&finding), ..finding }).collect::<Vec<_>>()
    });
    found.into_iter().flatten().collect()
}

/// The first question that is not the one that is due.
fn other_questions(asking: Asking) -> Option<Finding> {
    let (project, answers) = (asking.project, &asking.plan.answers);
    let mut at = 0;
    loop {
        let due = asking.next(&answers[..at]);
        if due.is_empty() {
            let one_too_many = answers.get(at)?;
            return Some(refuted(
                format!("answers[{at}].change"),
                shown(project, one_too_many.change),
                "no further question",
            ));
        }
        for due in due {
            let stated = answers.get(at).map(|answer| answer.change);
            if stated != Some(due) {
                let stated = stated.map_or_else(|| "no further answer".to_owned(), |stated| shown(project, stated));
                return Some(refuted(format!("answers[{at}].change"), stated, shown(project, due)));
            }
            at += 1;
        }
    }
}

fn of_answer(inquiry: &Inquiry, plan: &Plan, answer: &PlanAnswer) -> Vec<Finding> {
    let other = match restored(inquiry, plan, answer) {
        Ok(other) => other,
        Err((place, wrong)) => return vec![refuted(place, wrong, "another plan of the project as changed")],
    };
    let mut findings = audit::audit(inquiry.project(), &other);
    let totals = &other.totals;
    let money = rounded_up(totals.money + totals.saved_by_sharing + totals.labour_counted);
    if (money - answer.money).parts().abs() > Money::PER_UNIT / 10_000 {
        findings.push(refuted("money", answer.money.text(), money.text()));
    }
    let waiting = waiting(inquiry.project(), &other);
    if waiting != answer.deferred {
        let listed = |lots: [i64; 4]| lots.map(|lots| lots.to_string()).join("/");
        findings.push(refuted("deferred", listed(answer.deferred), listed(waiting)));
    }
    findings
}

/// Lots that wait in a plan, by priority.
fn waiting(project: &Project, plan: &Plan) -> [i64; 4] {
    let mut waiting = [0; 4];
    for row in plan.placements.iter().filter(|row| row.outcome == Outcome::Deferred) {
        waiting[usize::from(project.collection.specimens[row.specimen].priority.clamp(1, 4)) - 1] += 1;
    }
    waiting
}

fn refuted(claim: impl Display, stated: impl Display, derived: impl Display) -> Finding {
    Finding { placement: None, claim: claim.to_string(), stated: stated.to_string(), derived: derived.to_string() }
}

/// A question in words.
fn shown(project: &Project, change: PlanChange) -> String {
    let vessel = |id: VesselId| &project.stock.vessel(id).id;
    let most = |most: Option<u32>, things: &str| match most {
        Some(most) => format!("at most {most} {things}"),
        None => format!("any number of {things}"),
    };
    match change {
        PlanChange::UpToPriority(priority) => format!("the least money for priorities up to {priority}"),
        PlanChange::Budget(budget) => format!("a budget of {}", budget.text()),
        PlanChange::MostKinds(number) => most(number, "kinds of vessel"),
        PlanChange::MostSuppliers(number) => most(number, "suppliers"),
        PlanChange::NextBudget(budget) => format!("a budget of {} on the way to the next step", budget.text()),
        PlanChange::LitreWeight(weight) => format!("a litre that weighs {}", weight.text()),
        PlanChange::Waits(row) => format!("{} held where it is", project.collection.specimens[row].key),
        PlanChange::Without(id) => format!("no {}", vessel(id)),
        PlanChange::FreePiece(id) => format!("one more free piece of {}", vessel(id)),
    }
}
