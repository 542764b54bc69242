//! What simplicity costs: the cheapest plan that buys at most so many kinds of vessel, or orders from at most so many suppliers.
//!
//! # Method
//!
//! The plan without the limit comes first. Then the limit is 1, 2, …, each decision starting from the plan before, which keeps
//! the next limit too, until a plan is as good as the one without. That is the case at the latest where the limit is what the plan
//! without it uses.

use std::collections::BTreeMap;

use itertools::Itertools;

use super::{Inquiry, Watch, WhatIf};
use crate::assign::evaluate::{self, Values};
use crate::assign::question;
use crate::decision::{Aim, Decision, Level, Status};
use crate::plan::Plan;
use crate::plan::answers::{PlanAnswer, PlanChange};
use crate::project::Project;
use crate::units::{Packs, number_of};

/// What is limited.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LimitOf {
    /// Kinds of vessel bought.
    Kinds,
    /// Suppliers ordered from.
    Suppliers,
}

/// The best plans by how much is allowed.
#[derive(Clone, Debug)]
pub struct LimitCurve {
    /// What is limited.
    pub of: LimitOf,
    /// By rising limit.
    pub points: Vec<LimitPoint>,
    /// Without a limit.
    pub unlimited: LimitPoint,
    /// Whether the last point is as good as that.
    pub whole: bool,
}

/// The best plan at a limit.
#[derive(Clone, Debug)]
pub struct LimitPoint {
    /// The limit.
    pub at_most: Option<u32>,
    /// Kinds bought or suppliers ordered from.
    pub used: u32,
    /// What the plan comes to.
    pub values: Values,
    /// How good it is.
    pub status: Status,
    /// What is proved of each level.
    pub levels: Vec<Level>,
}

impl LimitOf {
    /// Its name in files and on the command line.
    pub fn name(self) -> &'static str {
        match self {
            LimitOf::Kinds => "kinds",
            LimitOf::Suppliers => "suppliers",
        }
    }

    fn at_most(self, most: Option<u32>) -> WhatIf {
        match self {
            LimitOf::Kinds => WhatIf::MostKinds(most),
            LimitOf::Suppliers => WhatIf::MostSuppliers(most),
        }
    }

    /// How many a decision uses.
    pub(super) fn used(self, inquiry: &Inquiry, decision: &Decision) -> u32 {
        let used = match self {
            LimitOf::Kinds => {
                decision.packs.iter().filter(|packs| packs.iter().any(|&packs| packs > Packs::ZERO)).count()
            }
            LimitOf::Suppliers => {
                evaluate::orders(inquiry.question(), &decision.packs).iter().filter(|order| order.any).count()
            }
        };
        u32::try_from(used).unwrap_or(u32::MAX)
    }
}

/// The curve of an inquiry, whose own limit of this kind does not count, of no more than `most_points` points.
pub fn limit_curve(inquiry: &mut Inquiry, of: LimitOf, most_points: u32, watch: &mut Watch) -> LimitCurve {
    inquiry.change(of.at_most(None));
    let without = inquiry.decide(watch);
    let unlimited = point(inquiry, of, None, &without);
    let mut curve = LimitCurve { of, points: Vec::new(), unlimited, whole: false };
    let mut last: Option<Decision> = None;
    for most in 1..=most_points {
        if curve.whole || (watch.stop)() {
            break;
        }
        inquiry.change(of.at_most(Some(most)));
        let decision = match last {
            _ if most >= curve.unlimited.used => without.clone(),
            Some(last) => inquiry.decide_from(&last, watch),
            None => inquiry.decide(watch),
        };
        let point = point(inquiry, of, Some(most), &decision);
        curve.whole = rank(inquiry, &point.values) <= rank(inquiry, &curve.unlimited.values);
        curve.points.push(point);
        last = Some(decision);
    }
    curve
}

impl LimitCurve {
    /// The curve that the answers of a plan give; `None` where it has none.
    pub fn of_answers(project: &Project, plan: &Plan, of: LimitOf) -> Option<Self> {
        let lots = plan.placements.iter().filter(|placement| plan.housing(placement).is_some()).count();
        let labour = question::limits(project).labour_per_row;
        let limited = |answer: &PlanAnswer| match (of, answer.change) {
            (LimitOf::Kinds, PlanChange::MostKinds(most)) | (LimitOf::Suppliers, PlanChange::MostSuppliers(most)) => {
                Some(most)
            }
            _ => None,
        };
        let point = |answer: &PlanAnswer| {
            let at_most = limited(answer)?;
            let deferred = answer.deferred;
            let placed = number_of(lots) - deferred.iter().sum::<i64>();
            let money = answer.money - labour * placed;
            let (weighted_deferred, weighed) = (answer.weighted_deferred(), answer.weighed());
            let values = Values { deferred, weighted_deferred, money, weighed, fluid: answer.fluid(), placed };
            let (used, levels) = (of.used_by(project, plan, answer), answer.levels.clone());
            Some(LimitPoint { at_most, used, values, status: answer.status, levels })
        };
        let answers: Vec<&PlanAnswer> = plan.answers.iter().filter(|answer| limited(answer).is_some()).collect();
        let (without, limits) = answers.split_first()?;
        let whole = limits.last().is_some_and(|last| last.rank() <= without.rank());
        let points = limits.iter().filter_map(|answer| point(answer)).collect();
        Some(LimitCurve { of, points, unlimited: point(without)?, whole })
    }
}

impl LimitOf {
    /// How many an answer uses.
    fn used_by(self, project: &Project, plan: &Plan, answer: &PlanAnswer) -> u32 {
        let mut packs: BTreeMap<usize, i64> = plan.purchases.iter().map(|line| (line.offer, line.packs)).collect();
        packs.extend(answer.packs.iter().copied());
        let bought = packs.into_iter().filter(|(_, packs)| *packs > 0).map(|(offer, _)| &project.stock.offers[offer]);
        let used = match self {
            LimitOf::Kinds => bought.map(|offer| offer.vessel).unique().count(),
            LimitOf::Suppliers => bought.filter_map(|offer| offer.supplier).unique().count(),
        };
        u32::try_from(used).unwrap_or(u32::MAX)
    }
}

/// The less, the better: lots that wait, then weighed money.
fn rank(inquiry: &Inquiry, values: &Values) -> Vec<i64> {
    let aims = inquiry.question().limits.aims().iter().filter(|aim| **aim <= Aim::Money);
    aims.map(|aim| values.of(*aim)).collect()
}

fn point(inquiry: &Inquiry, of: LimitOf, at_most: Option<u32>, decision: &Decision) -> LimitPoint {
    LimitPoint {
        at_most,
        used: of.used(inquiry, decision),
        values: inquiry.values(decision),
        status: decision.status,
        levels: decision.levels.clone(),
    }
}
