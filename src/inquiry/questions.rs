//! The questions that a plan answers beside itself, their answers, and the plan of an answer made again.
//!
//! # Questions
//!
//! The least money for the lots up to each priority; then the best plans at budgets spread between these amounts; then the best plans
//! that order from at most 1, 2, … suppliers, and that buy at most 1, 2, … kinds of vessel. What is asked next follows from the answers
//! before ([`next`]), so that nobody can leave out a question that is inconvenient.
//!
//! # Answers
//!
//! Each is the decision of the project as changed, with a certificate for each level. A search ends after some work and not after some
//! time, so no answer depends on the clock. An answer that is not proved within this work has the bound that it has.
//!
//! An answer is written as what differs from the plan ([`answer`]). From both, the decision and the plan of the answer are made again
//! ([`restored`]); then this plan is audited like any other.

use std::collections::{BTreeMap, BTreeSet};

use super::budget::budgets_between;
use super::instead::{self, Housing};
use super::limits::LimitOf;
use super::{Inquiry, Watch, WhatIf};
use crate::assign::evaluate;
use crate::decision::{Choice, Decision, Member, OfferTerms, Question};
use crate::options::table::Row;
use crate::plan::answers::{OtherPlace, PlanAnswer, PlanChange, Questions, rounded_up};
use crate::plan::{Placement, Plan};
use crate::project::Project;
use crate::system::threads::one_on_each_core;
use crate::units::{Money, Packs, index};

/// About how many budgets are asked for.
fn budgets(asked: Questions) -> u32 {
    match asked {
        Questions::All => 40,
        Questions::Some => 12,
        Questions::None => 0,
    }
}

/// The limits that are lowered, with the most numbers that are tried.
fn limits(asked: Questions, question: &Question) -> &'static [(LimitOf, usize)] {
    match asked {
        Questions::All => &[(LimitOf::Suppliers, 12), (LimitOf::Kinds, 24)],
        Questions::Some if pairs(question) <= FEW_PAIRS => &[(LimitOf::Suppliers, 6)],
        Questions::Some | Questions::None => &[],
    }
}

/// Pairs of a class and a choice up to which a limit on suppliers is decided at once.
const FEW_PAIRS: usize = 4_000;

/// Pairs beyond which an answer takes long, so that none is sought unless all are asked for.
const MOST_PAIRS: usize = 100_000;

fn pairs(question: &Question) -> usize {
    question.classes.iter().map(|class| class.choices.len()).sum()
}

/// Limit on the work of one search, in calls of its `stop` function. The work between two calls grows with the number of pairs of a
/// class and a choice, so the limit falls with it. Its size was found by trial: the hardest answer of the demonstration takes a sixth
/// of it, that of a survey of 2 000 lots and 60 vessels two thirds.
fn most_asked(question: &Question, asked: Questions) -> u64 {
    let most = match asked {
        Questions::All => 2_400_000_000,
        Questions::Some | Questions::None => 240_000_000,
    };
    most / (pairs(question) as u64 + 200)
}

/// The questions that follow these answers: all that are known by then; none after the last.
pub fn next(question: &Question, asked: Questions, answers: &[PlanAnswer]) -> Vec<PlanChange> {
    let has_lots = |priority: &u8| evaluate::rows_of(question, *priority) > 0;
    let priorities: Vec<u8> = (1..=4).filter(has_lots).collect();
    let is_large = asked == Questions::Some && pairs(question) > MOST_PAIRS;
    if asked == Questions::None || priorities.is_empty() || is_large {
        return Vec::new();
    }
    if answers.len() < priorities.len() {
        return priorities[answers.len()..].iter().copied().map(PlanChange::UpToPriority).collect();
    }
    let (milestones, rest) = answers.split_at(priorities.len());
    let budgets = budgets_between(milestones.iter().map(|answer| answer.money), budgets(asked));
    if rest.len() < budgets.len() {
        return budgets.into_iter().skip(rest.len()).map(PlanChange::Budget).collect();
    }
    let mut rest = &rest[budgets.len()..];
    for &(of, most) in limits(asked, question) {
        let Some((without, points)) = rest.split_first() else { return vec![of.change(None)] };
        let is_last = |(at, point): (usize, &PlanAnswer)| point.rank() <= without.rank() || at + 1 == most;
        let Some(last) = points.iter().enumerate().position(is_last) else {
            return vec![of.change(u32::try_from(points.len() + 1).ok())];
        };
        rest = &points[last + 1..];
    }
    Vec::new()
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
    let most_asked = most_asked(as_it_is.question(), asked);
    let planned = AsPlanned::of(plan);
    let mut answers: Vec<PlanAnswer> = Vec::new();
    let mut found: Vec<(PlanChange, Decision)> = Vec::new();
    loop {
        let changes = next(as_it_is.question(), asked, &answers);
        if changes.is_empty() {
            return Some(answers);
        }
        let about = |change: PlanChange| {
            let mut inquiry = Inquiry { most_asked: Some(most_asked), ..Inquiry::about(project, rows) };
            inquiry.apply(change);
            inquiry
        };
        // Each by itself, so that the result does not depend on how they are shared among the threads.
        let decided = one_on_each_core(&changes, |change| {
            let inquiry = about(*change);
            let decision = decide(&inquiry, *change, &found, stop);
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
            answers.push(answer(&inquiry, &planned, change, &decision));
            found.push((change, decision));
        }
        // If the sums of any answer overflow, the plan is written without answers.
        if stop() || answers.iter().any(|answer| answer.money >= BEYOND_COUNTING) {
            return None;
        }
    }
}

/// A sum of at least this much may have been cut off at the largest amount that the type holds.
const BEYOND_COUNTING: Money = Money::from_parts(i64::MAX / 1000 * 999);

/// The decision of the project as changed; under a limit from what was found under the limit before.
fn decide(
    inquiry: &Inquiry,
    change: PlanChange,
    found: &[(PlanChange, Decision)],
    stop: &dyn Fn() -> bool,
) -> Decision {
    let mut watch = Watch { report: &mut |_| {}, stop };
    let (of, most) = match change {
        PlanChange::MostKinds(Some(most)) => (LimitOf::Kinds, most),
        PlanChange::MostSuppliers(Some(most)) => (LimitOf::Suppliers, most),
        _ => return inquiry.decide(&mut watch),
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
            PlanChange::Budget(budget) => self.change(WhatIf::Budget(Some(budget))),
            PlanChange::MostKinds(most) => self.change(WhatIf::MostKinds(most)),
            PlanChange::MostSuppliers(most) => self.change(WhatIf::MostSuppliers(most)),
        }
    }
}

/// Where each lot goes in a plan, and the packs of each offer.
struct AsPlanned<'a> {
    plan: &'a Plan,
    placements: BTreeMap<usize, &'a Placement>,
    packs: BTreeMap<usize, i64>,
}

impl<'a> AsPlanned<'a> {
    fn of(plan: &'a Plan) -> Self {
        AsPlanned {
            plan,
            placements: plan.placements.iter().map(|placement| (placement.specimen, placement)).collect(),
            packs: plan.purchases.iter().map(|line| (line.offer, line.packs)).collect(),
        }
    }

    fn housing(&self, row: usize) -> Option<Housing> {
        self.plan.housing(self.placements.get(&row)?)
    }

    fn packs(&self, offer: usize) -> i64 {
        self.packs.get(&offer).copied().unwrap_or(0)
    }
}

/// The answer of a decision of the changed project, beside a plan of the project as it was.
fn answer(inquiry: &Inquiry, planned: &AsPlanned, change: PlanChange, decision: &Decision) -> PlanAnswer {
    let goes = instead::housings(inquiry, decision);
    let others = goes.into_iter().filter(|(row, to)| planned.housing(*row) != Some(*to));
    let bought = inquiry.question().supplies.iter().zip(&decision.packs);
    let bought = bought.flat_map(|(supply, packs)| supply.offers.iter().zip(packs));
    let bought = bought.map(|(offer, packs)| (index(offer.offer), packs.0));
    let mut packs: Vec<(usize, i64)> = bought.filter(|(offer, packs)| planned.packs(*offer) != *packs).collect();
    packs.sort_unstable();
    PlanAnswer {
        change,
        money: rounded_up(inquiry.counted_money(decision)),
        deferred: inquiry.deferred(decision),
        status: decision.status,
        levels: decision.levels.clone(),
        others: others.map(|(specimen, to)| OtherPlace { specimen, to }).collect(),
        packs,
    }
}

/// The plan of an answer, made again from what differs from the plan. The inquiry must be changed as the answer says.
///
/// # Errors
/// What is stated that is no plan of the changed project, and where in the answer.
pub fn restored(inquiry: &Inquiry, plan: &Plan, answer: &PlanAnswer) -> Result<Plan, (String, String)> {
    let planned = AsPlanned::of(plan);
    let goes: BTreeMap<usize, Housing> = answer.others.iter().map(|other| (other.specimen, other.to)).collect();
    let packs: BTreeMap<usize, i64> = answer.packs.iter().copied().collect();
    let question = inquiry.question();
    let members = question.classes.iter().flat_map(|class| &class.members);
    let asked: BTreeSet<usize> = members.map(|member| index(member.specimen)).collect();
    for (at, other) in answer.others.iter().enumerate() {
        let is_other = planned.housing(other.specimen) != Some(other.to) && asked.contains(&other.specimen);
        let rises = at == 0 || answer.others[at - 1].specimen < other.specimen;
        if !is_other || !rises {
            return Err((format!("others[{at}]"), "a lot twice, of another question, or where the plan has it".into()));
        }
    }
    let offers = || question.supplies.iter().flat_map(|supply| &supply.offers);
    for (at, (offer, packs)) in answer.packs.iter().enumerate() {
        let is_offered = offers().any(|terms| index(terms.offer) == *offer);
        let is_other = planned.packs(*offer) != *packs && (0..=Packs::MOST.0).contains(packs);
        let rises = at == 0 || answer.packs[at - 1].0 < *offer;
        if !is_offered || !is_other || !rises {
            return Err((format!("packs[{at}]"), "an offer twice, of another question, or as in the plan".into()));
        }
    }
    let mut homeless = None;
    let chosen = question.classes.map(|class| {
        let mut of = |member: &Member| {
            let row = index(member.specimen);
            let to = goes.get(&row).copied().or_else(|| planned.housing(row));
            let is_there = |choice: &Choice| to == Some(instead::in_choice(question, choice));
            let found = class.choices.positions().find(|&at| is_there(&class.choices[at]));
            if found.is_none() && to != Some(Housing::Waits) {
                homeless = Some(row);
            }
            found
        };
        class.members.iter().map(&mut of).collect()
    });
    if let Some(row) = homeless {
        let key = &inquiry.project().collection.specimens[row].key;
        return Err(("others".into(), format!("{key} where the rules do not allow it")));
    }
    let bought = |offer: &OfferTerms| {
        let offer = index(offer.offer);
        Packs(packs.get(&offer).copied().unwrap_or_else(|| planned.packs(offer)))
    };
    let packs = question.supplies.map(|supply| supply.offers.iter().map(bought).collect());
    let decision = Decision { chosen, packs, levels: answer.levels.clone(), status: answer.status };
    match evaluate::check(question, &decision) {
        Ok(()) => Ok(inquiry.plan(&decision)),
        Err(wrong) => Err(("packs".into(), wrong.into())),
    }
}
