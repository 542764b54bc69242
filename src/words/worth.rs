//! What the answers of a plan say of vessels and of single lots, in words.

use std::borrow::Cow;

use super::{counted, spoken};
use crate::decision::Status;
use crate::inquiry::listed::{ListedVessel, ListedVessels};
use crate::plan::answers::{PlanAnswer, PlanChange};
use crate::plan::{Outcome, Plan};
use crate::project::Project;
use crate::units::Money;

/// The vessel in use without which the plan gets worst, if any.
pub fn worth_most(project: &Project, plan: &Plan) -> Option<Cow<'static, str>> {
    let listed = ListedVessels::of_answers(project, plan)?;
    let worst = listed.by_worth().into_iter().next()?;
    let follows = follows(&listed, worst)?;
    let proved = proved(plan, worst.without.status);
    Some(spoken(format!(
        "Of the vessels in use {} is worth most: without it {follows} ({proved})",
        project.stock.vessel(worst.vessel).id
    )))
}

/// What follows without a vessel; `None` where the plan gets no worse.
fn follows(listed: &ListedVessels, vessel: &ListedVessel) -> Option<String> {
    let lost: i64 = listed.lost_without(vessel).iter().sum();
    let money = vessel.without.values.money - listed.now.values.money;
    match usize::try_from(lost).unwrap_or(0) {
        0 if money > Money::ZERO => Some(format!("the plan costs {} more", money.on_screen())),
        0 => None,
        lost => Some(counted(lost, "more lot has no place", "more lots have no place")),
    }
}

/// How many others could be placed without each lot that takes much of the budget.
pub fn without_costly(project: &Project, plan: &Plan) -> Vec<Cow<'static, str>> {
    let sentence = |answer: &PlanAnswer| match answer.change {
        PlanChange::Waits(row) => others_placed(project, plan, row, answer).map(spoken),
        _ => None,
    };
    plan.answers.iter().filter_map(sentence).collect()
}

fn others_placed(project: &Project, plan: &Plan, row: usize, answer: &PlanAnswer) -> Option<String> {
    let mut more = answer.deferred.map(|waits| -waits);
    for row in plan.placements.iter().filter(|row| row.outcome == Outcome::Deferred) {
        more[usize::from(project.collection.specimens[row.specimen].priority) - 1] += 1;
    }
    let number = |lots: i64| usize::try_from(lots).unwrap_or(0);
    let urgent = more.iter().position(|lots| *lots > 0)?;
    let placed = match more.iter().sum::<i64>() {
        lots if lots > 0 => counted(number(lots), "more lot could be placed", "more lots could be placed"),
        _ => format!(
            "{} of priority {} could be placed, and fewer of later ones",
            counted(number(more[urgent]), "more lot", "more lots"),
            urgent + 1
        ),
    };
    let key = &project.collection.specimens[row].key.catalog_number;
    Some(format!("Without {key} {placed} ({})", proved(plan, answer.status)))
}

fn proved(plan: &Plan, answer: Status) -> &'static str {
    let both = plan.status == Status::ProvedBest && answer == Status::ProvedBest;
    super::proved(plan, both)
}
