//! What another place for one lot does to the whole plan.
//!
//! Each price is a decision of its own: of the project in which `must_use` of the lot names that vessel or the tank, or in which the
//! lot waits. It starts from the plan as it is, so that what need not change does not.

use std::collections::BTreeMap;

use itertools::Itertools;

use super::{Inquiry, Watch, WhatIf};
use crate::assign;
use crate::assign::evaluate::Values;
use crate::collection::VesselChoice;
use crate::decision::{Choice, Decision, Level, Member, OfferTerms, Question, Status};
use crate::options::Refusal;
use crate::options::judge::judge;
use crate::options::table::Row;
use crate::units::{Money, index};

pub use crate::plan::answers::Housing;

/// What it does to the plan that one lot goes elsewhere.
#[derive(Clone, Debug)]
pub struct Instead {
    /// Where it is to go.
    pub housing: Housing,
    /// What follows.
    pub follows: Follows,
}

/// What follows where a lot must go elsewhere.
#[derive(Clone, Debug)]
pub enum Follows {
    /// The rules do not allow it; by which one, where it is a vessel.
    Refused(Option<Refusal>),
    /// A tank without a price: it stands outside the decision.
    Unpriced,
    /// Another plan.
    Plan(Box<OtherPlan>),
}

/// The best plan in which one lot goes elsewhere.
#[derive(Clone, Debug)]
pub struct OtherPlan {
    /// Where the lot goes: it may wait where there is no piece or no money for it.
    pub got: Housing,
    /// What the plan comes to, with the lot among those that wait if it does.
    pub values: Values,
    /// How good the plan is.
    pub status: Status,
    /// What is proved of each level.
    pub levels: Vec<Level>,
    /// Other lots that go elsewhere, in survey order.
    pub others: Vec<Rehoused>,
}

/// A lot that goes elsewhere.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rehoused {
    /// Its row.
    pub row: usize,
    /// Where it goes in the plan as it is.
    pub from: Housing,
    /// Where it goes in the other.
    pub to: Housing,
}

/// What follows for each of these where the lot of a row goes there, beside a plan of the project as it is.
pub fn instead(inquiry: &mut Inquiry, row: usize, plan: &Decision, to: &[Housing], watch: &mut Watch) -> Vec<Instead> {
    let now = housings(inquiry, plan);
    let was = inquiry.rows()[row].clone();
    let must_use = inquiry.project.collection.specimens[row].particulars.must_use.clone();
    let mut found = Vec::new();
    for &housing in to {
        let change = match housing {
            Housing::In(choice) => WhatIf::MustUse { row, choices: vec![choice] },
            Housing::Waits => WhatIf::Waits { row },
        };
        inquiry.change(change);
        found.push(Instead { housing, follows: follows(inquiry, row, housing, &now, watch) });
        inquiry.change(WhatIf::MustUse { row, choices: must_use.clone() });
    }
    debug_assert!(inquiry.rows()[row] == was, "a lot is judged again as it was judged before");
    found
}

fn follows(
    inquiry: &Inquiry,
    row: usize,
    housing: Housing,
    now: &BTreeMap<usize, Housing>,
    watch: &mut Watch,
) -> Follows {
    if let (Housing::In(choice), Some(none)) = (housing, outside(inquiry, row)) {
        return match (none, choice) {
            (Follows::Refused(_), VesselChoice::Listed(id)) => {
                Follows::Refused(judge(&inquiry.project, &inquiry.project.collection.specimens[row], id).err())
            }
            (none, _) => none,
        };
    }
    let decision = match start(inquiry, row, housing, now) {
        Some(start) => inquiry.decide_from(&start, watch),
        None => inquiry.decide(watch),
    };
    let mut plan = other_plan(inquiry, row, &decision, now);
    if housing == Housing::Waits {
        let priority = inquiry.project.collection.specimens[row].priority;
        plan.values.deferred[usize::from(priority) - 1] += 1;
        plan.values.weighted_deferred += inquiry.question.limits.priority_weight(priority);
    }
    Follows::Plan(Box::new(plan))
}

/// A decision beside the plan as it is, in which lots go as in `now`.
pub(in crate::inquiry) fn other_plan(
    inquiry: &Inquiry,
    row: usize,
    decision: &Decision,
    now: &BTreeMap<usize, Housing>,
) -> OtherPlan {
    let then = housings(inquiry, decision);
    let goes = |of: &BTreeMap<usize, Housing>, row| of.get(&row).copied().unwrap_or(Housing::Waits);
    let others = now.keys().filter(|&&other| other != row && goes(now, other) != goes(&then, other));
    let others = others.map(|&row| Rehoused { row, from: goes(now, row), to: goes(&then, row) }).collect();
    OtherPlan {
        got: goes(&then, row),
        values: inquiry.values(decision),
        status: decision.status,
        levels: decision.levels.clone(),
        others,
    }
}

/// Why the lot of a row is not in the decision, if it is not.
fn outside(inquiry: &Inquiry, row: usize) -> Option<Follows> {
    match &inquiry.rows()[row] {
        Row::Judged(judged) if !judged.fits.is_empty() => None,
        Row::Judged(judged) => match &judged.tank {
            Ok(tank) if tank.cost.is_none() => Some(Follows::Unpriced),
            Ok(_) => None,
            Err(_) => Some(Follows::Refused(None)),
        },
        Row::Held(_) | Row::Undecided(_) => Some(Follows::Refused(None)),
    }
}

/// Where each lot of the decision goes, by its row.
pub fn housings(inquiry: &Inquiry, decision: &Decision) -> BTreeMap<usize, Housing> {
    let question = &inquiry.question;
    let mut goes = BTreeMap::new();
    for (class, chosen) in question.classes.iter().zip(&decision.chosen) {
        for (member, choice) in class.members.iter().zip(chosen) {
            let housing = choice.map_or(Housing::Waits, |choice| in_choice(question, &class.choices[choice]));
            goes.insert(index(member.specimen), housing);
        }
    }
    goes
}

/// The plan as it is with one lot elsewhere, or waiting where that breaks a limit; `None` where neither is a plan.
pub(in crate::inquiry) fn start(
    inquiry: &Inquiry,
    row: usize,
    housing: Housing,
    now: &BTreeMap<usize, Housing>,
) -> Option<Decision> {
    let mut goes = now.clone();
    for there in [housing, Housing::Waits] {
        goes.insert(row, there);
        let chosen = inquiry.question.classes.map(|class| {
            let of = |member: &Member| {
                let housing = goes.get(&index(member.specimen))?;
                class.choices.positions().find(|&at| in_choice(&inquiry.question, &class.choices[at]) == *housing)
            };
            class.members.iter().map(of).collect()
        });
        let found = assign::covered(&inquiry.question, chosen);
        if found.is_some() {
            return found;
        }
    }
    None
}

/// Where else the lot of a row may go, what costs least by itself first; last that it waits. Empty where nothing is decided of it.
pub fn elsewhere(inquiry: &Inquiry, row: usize, plan: &Decision) -> Vec<Housing> {
    let question = &inquiry.question;
    let is_row = |member: &Member| index(member.specimen) == row;
    let Some(class) = question.classes.iter().find(|class| class.members.iter().any(is_row)) else { return Vec::new() };
    let by_itself = |choice: &Choice| {
        let supply = choice.supply.map(|supply| &question.supplies[supply]);
        let pieces = supply.filter(|supply| supply.free < choice.pieces).map_or(Money::ZERO, |supply| {
            let a_piece = |offer: &OfferTerms| Money::from_parts(offer.pack_price.parts() / offer.pack_size.0.max(1));
            supply.offers.iter().map(a_piece).min().unwrap_or_default() * choice.pieces
        });
        choice.money + pieces
    };
    let goes = housings(inquiry, plan).get(&row).copied();
    let choices = class.choices.iter().sorted_by_key(|choice| by_itself(choice));
    let choices = choices.map(|choice| in_choice(question, choice)).chain([Housing::Waits]);
    choices.filter(|housing| Some(*housing) != goes).collect()
}

/// Where a choice puts a lot.
pub(super) fn in_choice(question: &Question, choice: &Choice) -> Housing {
    Housing::In(match choice.supply {
        Some(supply) => VesselChoice::Listed(question.supplies[supply].vessel),
        None => VesselChoice::Tank,
    })
}
