//! What money buys: the budgets at which a plan gets better, and what each step brings.
//!
//! # Problem
//!
//! Let d(B) be the lots that wait, by priority, in the best plan of budget B, compared priority by priority. d is a staircase: to
//! find are the budgets at which it falls, up to the budget at which no lot waits that need not.
//!
//! Where priorities are weighed, d is the weighted number of waiting lots, and there is one F: with a number below d.
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
//! Two decisions a step, about; with owned fluid a step may take a search of many seconds. So it is for small questions without
//! ([`is_short`]). OtherPlace the best plans at budgets spread between the milestones are given.

use std::collections::{BTreeMap, BTreeSet};

use super::{Inquiry, LeastMoney, Watch, WhatIf};
use crate::decision::{Aim, Decision, Level, Status};
use crate::plan::Plan;
use crate::plan::answers::{Housing, PlanAnswer, PlanChange, to_hundredths};
use crate::project::Project;
use crate::units::Money;

/// What money buys.
#[derive(Clone, Debug)]
pub struct BudgetCurve {
    /// By rising budget.
    pub points: Vec<BudgetPoint>,
    /// Whether the points are the steps of the staircase, or plans at budgets that were chosen.
    pub steps: bool,
    /// True if no point is missing and, on a staircase, every step is proved.
    pub whole: bool,
    /// The least money with every lot placed that can be, up to each priority, as far as that was found out.
    pub milestones: Vec<Milestone>,
    /// Lots that are decided about, by priority.
    pub lots: [i64; 4],
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
    /// That no less money buys a better plan than that of the point before; `None` where the budget was chosen.
    pub step: Option<Level>,
    /// The decision; of an answer of a plan only its levels and status.
    pub decision: Decision,
}

impl BudgetPoint {
    /// Whether the plan is best, and the budget of a step the least.
    pub fn is_proved(&self) -> bool {
        self.status == Status::ProvedBest && self.step.as_ref().is_none_or(Level::proved)
    }
}

/// The least money with all lots placed that can be, up to a priority.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Milestone {
    /// Up to which.
    pub priority: u8,
    /// How much.
    pub money: Money,
    /// Lots of these priorities that wait all the same.
    pub deferred: i64,
    /// That no less will do.
    pub proved: bool,
}

/// Whether the staircase of a question takes no long search: few lots, and no owned fluid.
pub fn is_short(inquiry: &Inquiry) -> bool {
    let lots: i64 = lots(inquiry).iter().sum();
    inquiry.takes_goals() && inquiry.question().owned.is_empty() && lots <= MOST_LOTS
}

/// Lots of a short staircase.
const MOST_LOTS: i64 = 60;

/// Lots that are decided about, by priority.
fn lots(inquiry: &Inquiry) -> [i64; 4] {
    [1, 2, 3, 4].map(|priority| crate::assign::evaluate::rows_of(inquiry.question(), priority))
}

/// The milestones of an inquiry, whose own budget does not count.
///
/// Each is the money of a decision on the lots of these priorities alone, without a budget and without a weight of litres: the others
/// may always wait, and cost nothing then.
pub fn milestones(inquiry: &mut Inquiry, watch: &mut Watch) -> Vec<Milestone> {
    let settings = &inquiry.project().settings;
    let (budget, weight) = (settings.budget, settings.litre_weight);
    inquiry.change(WhatIf::Budget(None));
    inquiry.change(WhatIf::LitreWeight(Money::ZERO));
    let mut found: Vec<Milestone> = Vec::new();
    for priority in 1..=4 {
        inquiry.change(WhatIf::UpToPriority(priority));
        if (watch.stop)() {
            break;
        }
        let decision = inquiry.decide(watch);
        found.push(Milestone {
            priority,
            money: inquiry.counted_money(&decision),
            deferred: inquiry.deferred(&decision).iter().sum(),
            proved: decision.levels.iter().filter(|level| level.aim <= Aim::Money).all(Level::proved),
        });
    }
    for change in [WhatIf::UpToPriority(4), WhatIf::LitreWeight(weight), WhatIf::Budget(budget)] {
        inquiry.change(change);
    }
    found
}

/// The staircase of an inquiry, whose own budget does not count, with no more than `most_points` points.
pub fn staircase(inquiry: &mut Inquiry, most_points: u32, watch: &mut Watch) -> BudgetCurve {
    let milestones = milestones(inquiry, watch);
    inquiry.change(WhatIf::Budget(None));
    let without_limit = inquiry.decide(watch);
    let lots = lots(inquiry);
    let mut curve = BudgetCurve { points: Vec::new(), steps: true, whole: false, milestones, lots };
    let mut steps = Staircase { known: vec![without_limit], least: BTreeMap::new(), is_open: false };
    let mut budget = Money::ZERO;
    let mut step = None;
    for _ in 0..most_points {
        if (watch.stop)() {
            break;
        }
        let point = point(inquiry, budget, step.take(), curve.points.last(), watch);
        steps.known.push(point.decision.clone());
        let next = steps.next(inquiry, &point, watch.stop);
        curve.points.push(point);
        let Some(next) = next else {
            curve.whole = !steps.is_open && curve.points.iter().all(BudgetPoint::is_proved);
            break;
        };
        budget = Money::from_parts(next.value);
        step = Some(next);
    }
    curve
}

impl BudgetCurve {
    /// The curve that the answers of a plan give; `None` where it has none.
    pub fn of_answers(project: &Project, plan: &Plan) -> Option<Self> {
        let mut lots = [0; 4];
        for placement in plan.placements.iter().filter(|placement| plan.housing(placement).is_some()) {
            lots[usize::from(project.collection.specimens[placement.specimen].priority) - 1] += 1;
        }
        let mut curve = BudgetCurve { points: Vec::new(), steps: false, whole: true, milestones: Vec::new(), lots };
        let mut before = Vec::new();
        for answer in &plan.answers {
            match answer.change {
                PlanChange::UpToPriority(priority) => curve.milestones.push(Milestone {
                    priority,
                    money: answer.money,
                    deferred: answer.deferred.iter().sum(),
                    proved: answer.money_is_proved(),
                }),
                PlanChange::Budget(budget) => {
                    let placed = placed_by(plan, answer);
                    let decision =
                        Decision { levels: answer.levels.clone(), status: answer.status, ..Decision::default() };
                    curve.points.push(BudgetPoint {
                        budget,
                        money: answer.money,
                        deferred: answer.deferred,
                        gained: beyond(&placed, &before),
                        lost: beyond(&before, &placed),
                        status: answer.status,
                        step: None,
                        decision,
                    });
                    before = placed;
                }
                _ => {}
            }
        }
        (!curve.points.is_empty()).then_some(curve)
    }
}

/// Rows that an answer places, rising.
pub fn placed_by(plan: &Plan, answer: &PlanAnswer) -> Vec<u32> {
    let placed = answer.places(plan).into_iter().filter(|(_, to)| *to != Housing::Waits);
    placed.filter_map(|(row, _)| u32::try_from(row).ok()).collect()
}

/// The best plans at about so many budgets: nothing, the milestones, and round amounts spread between them.
pub fn spread(inquiry: &mut Inquiry, budgets: u32, watch: &mut Watch) -> BudgetCurve {
    let milestones = milestones(inquiry, watch);
    let lots = lots(inquiry);
    let mut curve = BudgetCurve { points: Vec::new(), steps: false, whole: false, milestones, lots };
    let asked = budgets_between(curve.milestones.iter().map(|milestone| milestone.money), budgets);
    for &budget in &asked {
        if (watch.stop)() {
            break;
        }
        let point = point(inquiry, budget, None, curve.points.last(), watch);
        curve.points.push(point);
    }
    curve.whole = curve.points.len() == asked.len() && !(watch.stop)();
    curve
}

/// Nothing, the milestones in whole hundredths, and round amounts between, about so many in all, by rising amount.
pub(super) fn budgets_between(milestones: impl Iterator<Item = Money>, budgets: u32) -> BTreeSet<Money> {
    let milestones: Vec<Money> = milestones.map(to_hundredths).collect();
    let most = milestones.iter().copied().max().unwrap_or_default();
    let between = i64::from(budgets).saturating_sub(5).max(1);
    let steps = (-4..12).flat_map(|power: i32| ROUND.map(|digits| digits * 10_f64.powi(power - 1)));
    let step = steps.filter_map(Money::estimate).find(|step| *step > Money::ZERO && most.in_steps_of(*step) <= between);
    let round = step.into_iter().flat_map(|step| (1..most.in_steps_of(step)).map(move |times| step * times));
    [Money::ZERO].into_iter().chain(milestones).chain(round).collect()
}

/// Tenfold first digits of a round amount.
const ROUND: [f64; 9] = [10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0];

/// The best plan at a budget, and what it brings beyond the point before.
fn point(
    inquiry: &mut Inquiry,
    budget: Money,
    step: Option<Level>,
    before: Option<&BudgetPoint>,
    watch: &mut Watch,
) -> BudgetPoint {
    inquiry.change(WhatIf::Budget(Some(budget)));
    let decision = inquiry.decide(watch);
    let decision = match before {
        Some(before) => inquiry.no_worse(decision, &before.decision, watch),
        None => decision,
    };
    let (gained, lost) = before.map_or_else(
        || (inquiry.placed(&decision), Vec::new()),
        |before| {
            let (before, now) = (inquiry.placed(&before.decision), inquiry.placed(&decision));
            (beyond(&now, &before), beyond(&before, &now))
        },
    );
    let (money, deferred) = (inquiry.counted_money(&decision), inquiry.deferred(&decision));
    BudgetPoint { budget, money, deferred, gained, lost, status: decision.status, step, decision }
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
struct Staircase {
    known: Vec<Decision>,
    /// By the most that may wait on the first levels, up to one; `None` where there is no such plan.
    least: BTreeMap<Vec<(Aim, i64)>, Option<Level>>,
    /// Whether a search for such a plan ended early.
    is_open: bool,
}

impl Staircase {
    /// The least money for a plan better than that of a point; `None` where there is none.
    fn next(&mut self, inquiry: &Inquiry, point: &BudgetPoint, stop: &dyn Fn() -> bool) -> Option<Level> {
        let values = inquiry.values(&point.decision);
        let levels = inquiry.question().limits.aims().iter().filter(|aim| aim.counts_lots());
        let waits: Vec<(Aim, i64)> = levels.map(|aim| (*aim, values.of(*aim))).collect();
        let better = (0..waits.len()).filter(|&last| waits[last].1 > 0);
        let of: Vec<Vec<(Aim, i64)>> = better
            .map(|last| {
                let mut most = waits[..=last].to_vec();
                most[last].1 -= 1;
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

    /// The least money with no more waiting than this on the first levels.
    fn least(
        &mut self,
        inquiry: &Inquiry,
        most: &[(Aim, i64)],
        now: &Decision,
        stop: &dyn Fn() -> bool,
    ) -> Option<LeastMoney> {
        let keeps = |decision: &&Decision| {
            let values = inquiry.values(decision);
            most.iter().all(|(aim, most)| values.of(*aim) <= *most)
        };
        let (last, _) = *most.last()?;
        let near = (1..=4).filter(|priority| matches!(last, Aim::WeightedDeferred) || last == Aim::Deferred(*priority));
        let near: Vec<Decision> = near.filter_map(|priority| inquiry.with_one_more(now, priority)).collect();
        let known = self.known.iter().chain(&near).filter(keeps);
        let start = known.min_by_key(|decision| inquiry.counted_money(decision)).cloned();
        let start = start.or_else(|| {
            let fewest = inquiry.fewest_deferred(most, now, stop);
            let found = keeps(&&fewest);
            self.is_open |= !found && !fewest.levels.iter().all(Level::proved);
            found.then_some(fewest)
        })?;
        Some(inquiry.least_money(most.to_vec(), &start, stop))
    }
}
