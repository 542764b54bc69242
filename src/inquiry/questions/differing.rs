//! An answer as what differs from the plan, and the plan of an answer made again from both.

use std::collections::{BTreeMap, BTreeSet};

use super::super::Inquiry;
use super::super::instead::{self, Housing};
use crate::assign::{self, evaluate};
use crate::decision::{Choice, Decision, Member, OfferTerms};
use crate::plan::answers::{OtherPlace, PlanAnswer, PlanChange, rounded_up};
use crate::plan::{Placement, Plan};
use crate::units::{Packs, index};

/// Where each lot goes in a plan, and the packs of each offer.
pub(super) struct AsPlanned<'a> {
    plan: &'a Plan,
    placements: BTreeMap<usize, &'a Placement>,
    packs: BTreeMap<usize, i64>,
}

impl<'a> AsPlanned<'a> {
    pub(super) fn of(plan: &'a Plan) -> Self {
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

    /// The plan in a changed project: lots that cannot stay where they are wait; `None` where that breaks a limit.
    pub(super) fn start(&self, inquiry: &Inquiry) -> Option<Decision> {
        let question = inquiry.question();
        let chosen = question.classes.map(|class| {
            let stays = |member: &Member| {
                let housing = self.housing(index(member.specimen))?;
                class.choices.positions().find(|&at| instead::in_choice(question, &class.choices[at]) == housing)
            };
            class.members.iter().map(stays).collect()
        });
        let packs = |offer: &OfferTerms| Packs(self.packs(index(offer.offer)));
        let packs = question.supplies.map(|supply| supply.offers.iter().map(packs).collect());
        let same = Decision { chosen, packs, ..Decision::default() };
        match evaluate::check(question, &same) {
            Ok(()) => Some(same),
            Err(_) => assign::covered(question, same.chosen),
        }
    }
}

/// The answer of a decision of the changed project, beside a plan of the project as it was.
pub(super) fn answer(inquiry: &Inquiry, planned: &AsPlanned, change: PlanChange, decision: &Decision) -> PlanAnswer {
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
