//! What less fluid costs: money against litres among plans that place the same lots by priority.
//!
//! # Problem
//!
//! Among the plans that defer no more lots of any priority than the best plan does, those of which no other has both less money
//! and less fluid, or less of one and as much of the other: the front of two aims.
//!
//! # Method
//!
//! 1. The ends: the best plan without a weight of litres (least money, then least fluid), and the plan of least fluid, then least
//!    money.
//! 2. Between two plans of the front whose money and fluid differ by M and F, the weight of a litre at which they are equally good is
//!    M / F. A decision at that weight, in whole ten-millionths for a millilitre, finds a plan below the line through both, if
//!    there is one; then the same on both sides of it (Y. P. Aneja and K. P. K. Nair, "Bicriteria transportation problem",
//!    Management Science 25 (1979) 73–78, from memory). These plans are *supported*: some weight selects them.
//! 3. Between two neighbours of those: least money with a millilitre less fluid than the plan before, then least fluid at that
//!    money, until the next is reached (the ε-constraint method: Y. Y. Haimes, L. S. Lasdon and D. A. Wismer, IEEE Transactions on
//!    Systems, Man, and Cybernetics 1 (1971) 296–297, from memory). Fluid is in whole millilitres, so none is missed.
//!
//! Where not all can be found, those are looked for first whose neighbours lie farthest apart (by the product of money and fluid
//! between them), and the plans that a weight selects before the others. So a limit on their number leaves no part of the front out.
//!
//! # Why the result is what it claims
//!
//! Each plan is a decision with a certificate for each of its aims. If money is proved least within a limit on fluid, and fluid least at
//! that money, no plan has less of one and as little of the other. Nor has one if money and weighed litres together are proved least,
//! at a weight above 0. The front is whole if every decision is proved and no plan was left out.
//!
//! # Cost and limits
//!
//! Two or three decisions for each plan of the front. Questions that are too large for goals other than a plan's
//! ([`assign::takes_goals`]) have the first plan alone. The answers of a plan hold supported plans only ([`FluidCurve::of_answers`]):
//! a limit on fluid is no setting of a project.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use super::Watch;
use crate::assign;
use crate::assign::evaluate::{self, Values};
use crate::decision::{Aim, Decision, Goal, Level, Question, Status};
use crate::plan::Plan;
use crate::plan::answers::{Housing, PlanChange};
use crate::project::Project;
use crate::units::{Millilitres, Money, number_of};

/// Money against litres.
#[derive(Clone, Debug)]
pub struct FluidCurve {
    /// By rising money and falling fluid.
    pub points: Vec<FluidPoint>,
    /// Whether every plan of the front is here and proved.
    pub whole: bool,
    /// Whether the question is too large for more than the first plan.
    pub too_large: bool,
}

/// A plan of the front.
#[derive(Clone, Debug)]
pub struct FluidPoint {
    /// What the plan comes to, without a weight of litres.
    pub values: Values,
    /// The least weight of a litre that selects it; `None` if no weight does, or none that a setting can hold.
    pub litre_weight: Option<Money>,
    /// The weight of a litre at which its levels were decided.
    pub weighed_at: Money,
    /// What is proved of its money and its fluid; with a weight above 0, of both together.
    pub levels: Vec<Level>,
    /// The decision.
    pub decision: Decision,
}

impl FluidPoint {
    /// Whether no plan has less of one and as little of the other.
    pub fn is_proved(&self) -> bool {
        self.levels.iter().all(Level::proved)
    }

    fn place(&self) -> MoneyAndFluid {
        (self.values.money, self.values.fluid)
    }
}

/// The front of a question, whose own weight of litres does not count, of no more than `most_points` plans.
pub fn fluid_curve(question: &Question, most_points: u32, watch: &mut Watch) -> FluidCurve {
    let question = &at_weight(question, Money::ZERO);
    let first = assign::decide_watched(question, watch.report, watch.stop);
    let most = usize::try_from(most_points).unwrap_or(usize::MAX).max(1);
    let deferred = evaluate::values(question, &first).deferred;
    let is_open = !first.levels.iter().all(Level::proved);
    let first = point(question, Money::ZERO, first);
    let too_large = !assign::takes_goals(question);
    let mut front = Front {
        question,
        deferred: (1..=4).map(Aim::Deferred).zip(deferred).collect(),
        most,
        points: vec![first],
        is_open,
        watch,
    };
    if !too_large {
        front.find();
    }
    let whole = !too_large && !front.is_open && front.points.iter().all(FluidPoint::is_proved);
    let mut points = front.points;
    weigh(&mut points);
    FluidCurve { points, whole, too_large }
}

fn at_weight(question: &Question, weight: Money) -> Question {
    let mut question = question.clone();
    question.limits.litre_weight = weight;
    question
}

fn point(question: &Question, weighed_at: Money, decision: Decision) -> FluidPoint {
    let levels = decision.levels.iter().filter(|level| !level.aim.counts_lots()).cloned().collect();
    FluidPoint { values: evaluate::values(question, &decision), litre_weight: None, weighed_at, levels, decision }
}

/// A front in the making.
struct Front<'a, 'w> {
    question: &'a Question,
    /// The most lots that may be deferred.
    deferred: Vec<(Aim, i64)>,
    most: usize,
    /// By rising money and falling fluid.
    points: Vec<FluidPoint>,
    /// Whether a plan may be missing.
    is_open: bool,
    watch: &'a mut Watch<'w>,
}

impl Front<'_, '_> {
    fn find(&mut self) {
        let last = self.of_least_fluid();
        self.is_open |= !last.is_proved();
        if last.place() != self.points[0].place() {
            if self.is_full() {
                self.is_open = true;
                return;
            }
            self.points.push(last);
            self.supported();
            self.between();
        }
    }

    fn is_full(&self) -> bool {
        self.points.len() >= self.most || (self.watch.stop)()
    }

    /// Decides for these aims within these limits beside those on lots, from a plan that keeps them.
    fn decide(&mut self, question: &Question, aims: &[Aim], limit: Option<(Aim, i64)>, start: &Decision) -> Decision {
        let at_most = self.deferred.iter().copied().chain(limit).collect();
        let goal = Goal { aims: aims.to_vec(), at_most };
        assign::decide_for(question, &goal, start.clone(), self.watch.report, self.watch.stop)
    }

    /// The plan of least fluid and, among those, of least money.
    fn of_least_fluid(&mut self) -> FluidPoint {
        let question = self.question;
        let first = self.points[0].decision.clone();
        let least = self.decide(question, &[Aim::Fluid], None, &first);
        let fluid = evaluate::values(question, &least).fluid;
        let mut cheapest = self.decide(question, &[Aim::Money], Some((Aim::Fluid, fluid.0)), &least);
        cheapest.levels.extend(least.levels);
        point(question, Money::ZERO, cheapest)
    }

    /// Adds the plans that a weight selects.
    fn supported(&mut self) {
        let mut done = BTreeSet::new();
        while let Some(left) = self.widest(&done) {
            if self.is_full() {
                self.is_open = true;
                return;
            }
            match self.below_line(left) {
                Some(found) => self.points.insert(left + 1, found),
                None => drop(done.insert(self.points[left].place())),
            }
        }
    }

    /// The plan that lies farthest from the next, of those that are not done.
    fn widest(&self, done: &BTreeSet<MoneyAndFluid>) -> Option<usize> {
        let open = (0..self.points.len().saturating_sub(1)).filter(|&left| !done.contains(&self.points[left].place()));
        let apart = |left: &usize| {
            let [before, after] = [&self.points[*left], &self.points[left + 1]].map(FluidPoint::place);
            (i128::from((after.0 - before.0).parts()) * i128::from((before.1 - after.1).0), Reverse(*left))
        };
        open.max_by_key(apart)
    }

    /// A plan below the line through a plan and the next, if a weight selects one.
    fn below_line(&mut self, left: usize) -> Option<FluidPoint> {
        let [before, after] = [&self.points[left], &self.points[left + 1]].map(FluidPoint::place);
        let (more, less) = ((after.0 - before.0).parts(), (before.1 - after.1).0);
        let weights = [more.div_euclid(less), more.div_euclid(less) + i64::from(more.rem_euclid(less) > 0)];
        let further = usize::from(weights[0] < weights[1]);
        for of_millilitre in weights.into_iter().take(1 + further).filter(|weight| *weight > 0) {
            let weight = Money::from_parts(of_millilitre) * 1000;
            let question = at_weight(self.question, weight);
            let weighed = |point: &FluidPoint| point.values.money + weight.per_litre(point.values.fluid);
            let [one, other] = [&self.points[left], &self.points[left + 1]];
            let start = if weighed(one) < weighed(other) { one } else { other }.decision.clone();
            let decision = self.decide(&question, &[Aim::Money], None, &start);
            self.is_open |= !decision.levels.iter().all(Level::proved);
            let found = FluidPoint { weighed_at: weight, ..point(self.question, weight, decision) };
            let (money, fluid) = found.place();
            let rises = i128::from((money - before.0).parts()) * i128::from(less);
            let line = i128::from(more) * i128::from((before.1 - fluid).0);
            if before.0 < money && money < after.0 && rises < line {
                return Some(found);
            }
        }
        None
    }

    /// Adds the plans between neighbours.
    fn between(&mut self) {
        let mut done = BTreeSet::new();
        while let Some(left) = self.widest(&done) {
            let (before, next) = (self.points[left].clone(), self.points[left + 1].clone());
            // No plan lies between this one and the next that is found.
            done.insert(before.place());
            if before.values.fluid.0 - 1 > next.values.fluid.0 {
                if self.is_full() {
                    self.is_open = true;
                    return;
                }
                let question = self.question;
                let limit = Some((Aim::Fluid, before.values.fluid.0 - 1));
                let decision = self.decide(question, &[Aim::Money, Aim::Fluid], limit, &next.decision);
                let found = point(question, Money::ZERO, decision);
                self.is_open |= !found.is_proved();
                if found.place() != next.place() {
                    self.points.insert(left + 1, found);
                }
            }
        }
    }
}

/// Money and fluid of a plan of the front.
pub type MoneyAndFluid = (Money, Millilitres);

/// Money and fluid of a plan whose money was weighed at this, rounded as a file shows it; `None` where its levels are not stated.
pub(super) fn place(levels: &[Level], weighed_at: Money) -> Option<MoneyAndFluid> {
    let value = |aim: Aim| levels.iter().find(|level| level.aim == aim).map(|level| level.value);
    let fluid = Millilitres(value(Aim::Fluid)?);
    let weighed = Money::from_parts(value(Aim::Money)?).rounded();
    Some((weighed - weighed_at.per_litre(fluid), fluid))
}

/// The least weight of a litre at which the second plan is as good as the first, which costs less and takes more fluid; `None` for
/// others, or where no setting can hold it.
pub(super) fn weight_between(one: MoneyAndFluid, other: MoneyAndFluid) -> Option<Money> {
    let (more, less) = ((other.0 - one.0).parts(), (one.1 - other.1).0);
    let each = (more > 0 && less > 0).then(|| more.div_euclid(less) + i64::from(more.rem_euclid(less) > 0))?;
    each.checked_mul(1000).map(Money::from_parts)
}

impl FluidCurve {
    /// The plans of the front that the answers of a plan give, and the plan itself; `None` where none was asked for. None is whole.
    pub fn of_answers(project: &Project, plan: &Plan) -> Option<Self> {
        let lots = number_of(plan.placements.iter().filter(|placement| plan.housing(placement).is_some()).count());
        let now = project.settings.litre_weight;
        let deferred = |levels: &[Level]| -> Vec<i64> {
            levels.iter().filter(|level| level.aim.counts_lots()).map(|level| level.value).collect()
        };
        let mut waits = [0; 4];
        for row in plan.placements.iter().filter(|row| plan.housing(row) == Some(Housing::Waits)) {
            waits[usize::from(project.collection.specimens[row.specimen].priority) - 1] += 1;
        }
        let point = |weighed_at: Money, levels: &[Level], status: Status| {
            let (money, fluid) = place(levels, weighed_at)?;
            let placed = lots - waits.iter().sum::<i64>();
            let weighed = money + weighed_at.per_litre(fluid);
            let weighted_deferred = levels.iter().find(|level| level.aim == Aim::WeightedDeferred);
            let weighted_deferred = weighted_deferred.map_or(0, |level| level.value);
            let values = Values { deferred: waits, weighted_deferred, money, weighed, fluid, placed };
            let levels = levels.iter().filter(|level| !level.aim.counts_lots()).cloned().collect();
            let decision = Decision { status, ..Decision::default() };
            Some(FluidPoint { values, litre_weight: None, weighed_at, levels, decision })
        };
        let weights = plan.answers.iter().filter_map(|answer| match answer.change {
            PlanChange::LitreWeight(weight) if answer.waiting() == deferred(&plan.levels) => Some((weight, answer)),
            _ => None,
        });
        let others = weights.filter_map(|(weight, answer)| point(weight, &answer.levels, answer.status));
        let mut points: Vec<FluidPoint> = others.collect();
        if points.is_empty() {
            return None;
        }
        points.extend(point(now, &plan.levels, plan.status));
        points.sort_by_key(|point| (Reverse(point.values.fluid), point.values.money, point.weighed_at));
        // An answer that is not proved may cost more than one of less fluid.
        let mut front: Vec<FluidPoint> = Vec::new();
        for point in points {
            let is_worse = |last: &FluidPoint| last.place() != point.place() && last.values.money >= point.values.money;
            while front.last().is_some_and(is_worse) {
                front.pop();
            }
            if front.last().is_none_or(|last| last.values.fluid > point.values.fluid) {
                front.push(point);
            }
        }
        weigh(&mut front);
        Some(FluidCurve { points: front, whole: false, too_large: false })
    }
}

/// The least weight that selects each plan: at the weight at which it and the plan before are equally good, a decision takes
/// that of less fluid.
fn weigh(points: &mut [FluidPoint]) {
    let places: Vec<MoneyAndFluid> = points.iter().map(FluidPoint::place).collect();
    let slope = |one: usize, other: usize| {
        let (more, less) = (places[other].0 - places[one].0, places[one].1 - places[other].1);
        (i128::from(more.parts()), i128::from(less.0))
    };
    // The lower hull, from the left.
    let mut hull: Vec<usize> = Vec::new();
    for at in 0..places.len() {
        while let [.., before, last] = hull[..] {
            let ((one_more, one_less), (all_more, all_less)) = (slope(before, last), slope(before, at));
            if one_more * all_less < all_more * one_less {
                break;
            }
            hull.pop();
        }
        hull.push(at);
    }
    for (place, &at) in hull.iter().enumerate() {
        let ceiling = |(more, less): (i128, i128)| more.div_euclid(less) + i128::from(more.rem_euclid(less) > 0);
        let least = place.checked_sub(1).map_or(0, |before| ceiling(slope(hull[before], at)));
        // The next plan is selected from the weight on at which it is as good.
        let stays = hull.get(place + 1).is_none_or(|&next| {
            let (more, less) = slope(at, next);
            least * less < more
        });
        let weight = i64::try_from(least).ok().filter(|_| stays).and_then(|least| least.checked_mul(1000));
        points[at].litre_weight = weight.map(Money::from_parts);
    }
}
