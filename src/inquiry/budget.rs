//! What money buys: the budgets at which a plan gets better, and what each step brings.
//!
//! # Problem
//!
//! Let d(B) be the lots that wait, by priority, in the best plan of budget B, compared priority by priority. d is a staircase: to
//! find are the budgets at which it falls, up to the budget at which no lot waits that need not.
//!
//! # Method
//!
//! From the plan with d = d(B) the next step is the least, over the priorities p with a waiting lot, of
//!
//! ```text
//! F(p) = least money with no more than d(q) waiting for q < p, and no more than d(p) − 1 of priority p
//! ```
//!
//! Each F(p) is a decision of its own with a certificate; one is used again while d(1), …, d(p) stay. The plan at the step is
//! the decision at that budget, as `plan` makes it.
//!
//! # Why the result is what it claims
//!
//! A plan is better than d exactly if, for some p, it keeps d(q) for q < p and has fewer waiting at p. So no budget below the
//! least F(p) holds a better plan, and the least F(p) itself does. What is proved of a step are both: that F(p) is least, and that
//! the plan at the step is best.
//!
//! # Cost and limits
//!
//! Two decisions a step, about. Where there would be more steps than asked for, or the question is too large for a linear
//! relaxation, the best plans at budgets spread evenly between the milestones are given instead.

use std::collections::BTreeMap;

use super::{Change, Inquiry, LeastMoney, Watch};
use crate::decision::{Decision, Level, Status};
use crate::units::Money;

/// What money buys.
#[derive(Clone, Debug, Default)]
pub struct BudgetCurve {
    /// By rising budget.
    pub points: Vec<BudgetPoint>,
    /// Whether these are all budgets at which the plan gets better.
    pub whole: bool,
    /// The least money with every lot placed that can be, up to each priority; `None` where that was not found out.
    pub milestones: [Option<Milestone>; 4],
}

/// The best plan at a budget.
#[derive(Clone, Debug)]
pub struct BudgetPoint {
    /// The budget: on a staircase the least at which this plan is to be had.
    pub budget: Money,
    /// What the plan takes of it.
    pub money: Money,
    /// Lots that wait, by priority.
    pub deferred: [i64; 4],
    /// Rows placed here that were not at the point before, in survey order.
    pub gained: Vec<u32>,
    /// Rows placed at the point before that are not here.
    pub lost: Vec<u32>,
    /// How good the plan is.
    pub status: Status,
    /// That no less money buys a better plan than that of the point before; `None` where the budget was given.
    pub step: Option<Level>,
    /// The decision.
    pub decision: Decision,
}

/// The least money with all lots placed that can be, up to a priority.
#[derive(Clone, Debug)]
pub struct Milestone {
    /// How much.
    pub money: Money,
    /// Lots of these priorities that wait all the same.
    pub deferred: i64,
    /// That no less will do.
    pub status: Status,
}

/// The staircase of an inquiry, whose own budget does not count, with no more than `most` steps.
pub fn staircase(
    inquiry: &mut Inquiry,
    most: usize,
    watch: &mut dyn FnMut(&BudgetPoint),
    stop: &dyn Fn() -> bool,
) -> BudgetCurve {
    inquiry.change(Change::Budget(None));
    let without_limit = inquiry.decide(&mut Watch { report: &mut |_| {}, stop });
    let mut curve = BudgetCurve::default();
    let mut steps = Steps { known: vec![without_limit], least: BTreeMap::new() };
    let mut budget = Money::ZERO;
    let mut step = None;
    while !stop() {
        let point = point(inquiry, budget, step.take(), curve.points.last(), stop);
        watch(&point);
        steps.known.push(point.decision.clone());
        let next = steps.next(inquiry, &point, stop);
        curve.points.push(point);
        let Some(next) = next else {
            curve.whole = !stop();
            break;
        };
        if curve.points.len() > most {
            break;
        }
        budget = Money::from_parts(next.value);
        step = Some(next);
    }
    curve
}

/// The best plan at a budget, and what it brings beyond the point before.
pub fn point(
    inquiry: &mut Inquiry,
    budget: Money,
    step: Option<Level>,
    before: Option<&BudgetPoint>,
    stop: &dyn Fn() -> bool,
) -> BudgetPoint {
    inquiry.change(Change::Budget(Some(budget)));
    let decision = inquiry.decide(&mut Watch { report: &mut |_| {}, stop });
    let (gained, lost) = before.map_or_else(
        || (inquiry.placed(&decision), Vec::new()),
        |before| {
            let (before, now) = (inquiry.placed(&before.decision), inquiry.placed(&decision));
            (beyond(&now, &before), beyond(&before, &now))
        },
    );
    BudgetPoint {
        budget,
        money: inquiry.counted_money(&decision),
        deferred: inquiry.deferred(&decision),
        gained,
        lost,
        status: decision.status,
        step,
        decision,
    }
}

/// Rows of the first list that are not in the other; both rise.
fn beyond(rows: &[u32], others: &[u32]) -> Vec<u32> {
    rows.iter().copied().filter(|row| others.binary_search(row).is_err()).collect()
}

impl Inquiry<'_> {
    /// Rows that a decision places, in survey order.
    pub fn placed(&self, decision: &Decision) -> Vec<u32> {
        let classes = self.question().classes.iter().zip(&decision.chosen);
        let members = classes.flat_map(|(class, chosen)| class.members.iter().zip(chosen));
        let mut placed: Vec<u32> =
            members.filter(|(_, choice)| choice.is_some()).map(|(member, _)| member.specimen).collect();
        placed.sort_unstable();
        placed
    }
}

/// Least money for each list of most waiting lots that was asked for, and plans to start from.
struct Steps {
    known: Vec<Decision>,
    /// By the most that wait of each priority up to one; `None` where there is no such plan.
    least: BTreeMap<Vec<i64>, Option<Level>>,
}

impl Steps {
    /// The least money for a plan better than that of a point; `None` where there is none.
    fn next(&mut self, inquiry: &Inquiry, point: &BudgetPoint, stop: &dyn Fn() -> bool) -> Option<Level> {
        let better = (1..=4_usize).filter(|p| point.deferred[p - 1] > 0);
        let of: Vec<Vec<i64>> = better
            .map(|p| {
                let mut most = point.deferred[..p].to_vec();
                most[p - 1] -= 1;
                most
            })
            .collect();
        for most in &of {
            if !self.least.contains_key(most) && !stop() {
                let found = self.least(inquiry, most, &point.decision, stop);
                self.known.extend(found.as_ref().map(|found| found.decision.clone()));
                self.least.insert(most.clone(), found.map(|found| found.level));
            }
        }
        of.iter().filter_map(|most| self.least.get(most)?.clone()).min_by_key(|level| level.value)
    }

    /// The least money with no more waiting than this of the first priorities.
    fn least(&self, inquiry: &Inquiry, most: &[i64], now: &Decision, stop: &dyn Fn() -> bool) -> Option<LeastMoney> {
        let mut all = [i64::from(u32::MAX); 4];
        all[..most.len()].copy_from_slice(most);
        let keeps =
            |decision: &&Decision| inquiry.deferred(decision).iter().zip(all).all(|(waits, most)| *waits <= most);
        let near = inquiry.with_one_more(now, most.len() as u8);
        let known = self.known.iter().chain(&near).filter(keeps);
        let start = known.min_by_key(|decision| inquiry.counted_money(decision)).cloned();
        let start = start.or_else(|| {
            let fewest = inquiry.fewest_deferred(most.len() as u8, now, stop);
            Some(fewest).filter(|decision| keeps(&decision))
        })?;
        Some(inquiry.least_money(all, &start, stop))
    }
}
