//! Which questions a plan is asked, and in which order: each follows from the plan and the answers before.
//!
//! # Order
//!
//! 1. What the plan alone decides: the least money for the lots up to each priority; the plan without each lot that takes much of the
//!    budget; without each vessel in use; with one more piece of each of these.
//! 2. Budgets spread between these amounts.
//! 3. From the first of them above the plan's budget that places more, or more urgent, lots: a hundredth less than its plan takes, and
//!    so on, until the plan is no better than the one as it is. The last that was better has then the least budget that is, in
//!    hundredths: a plan that takes less is a plan at the budget after it too.
//! 4. Weights of a litre: the largest, then between neighbours the weight at which both are equally good, as in [`super::super::fluid`].
//!    Of several such pairs those that lie farthest apart come first, so that a limit on their number leaves no part out.
//! 5. Limits on suppliers and kinds of vessel, rising until one more changes nothing.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use super::super::budget::budgets_between;
use super::super::fluid::{MoneyAndFluid, place, weight_between};
use super::super::limits::LimitOf;
use super::BEYOND_COUNTING;
use crate::assign::evaluate;
use crate::decision::Question;
use crate::plan::Plan;
use crate::plan::answers::{PlanAnswer, PlanChange, Questions, to_hundredths};
use crate::plan::costly::costly;
use crate::project::Project;
use crate::stock::VesselId;
use crate::units::Money;

/// What is known before the first answer.
#[derive(Clone, Copy)]
pub struct Asking<'a> {
    /// The project as it is.
    pub project: &'a Project,
    /// Its question.
    pub question: &'a Question,
    /// Its plan.
    pub plan: &'a Plan,
    /// How many questions are asked.
    pub asked: Questions,
}

/// How many of each kind are asked at most.
struct AskedOf {
    /// Budgets, about.
    budgets: u32,
    /// Budgets on the way to the least that is better than the plan's.
    steps: usize,
    /// Vessels that the plan is made without.
    without: usize,
    /// Whether one more piece of each of these is asked for.
    pieces: bool,
    /// Weights of a litre.
    weights: usize,
    /// The limits that are lowered, with the most numbers that are tried.
    limits: &'static [(LimitOf, usize)],
}

/// Pairs of a class and a choice up to which all that `some` may ask is decided at once.
const FEW_PAIRS: usize = 4_000;

/// Pairs beyond which an answer takes long, so that none is sought unless all are asked for.
const MOST_PAIRS: usize = 100_000;

/// Pairs of a class and a choice.
pub(super) fn pairs(question: &Question) -> usize {
    question.classes.iter().map(|class| class.choices.len()).sum()
}

/// How much is asked about a question; `None` where nothing is.
fn extent(asked: Questions, question: &Question) -> Option<AskedOf> {
    let pairs = pairs(question);
    match asked {
        Questions::None => None,
        Questions::All => Some(AskedOf {
            budgets: 40,
            steps: 40,
            without: usize::MAX,
            pieces: true,
            weights: 24,
            limits: &[(LimitOf::Suppliers, 12), (LimitOf::Kinds, 24)],
        }),
        Questions::Some if pairs <= FEW_PAIRS => Some(AskedOf {
            budgets: 12,
            steps: 8,
            without: 24,
            pieces: false,
            weights: 6,
            limits: &[(LimitOf::Suppliers, 6)],
        }),
        Questions::Some if pairs <= MOST_PAIRS => {
            Some(AskedOf { budgets: 12, steps: 4, without: 6, pieces: false, weights: 3, limits: &[] })
        }
        Questions::Some => None,
    }
}

/// The answers after those of a kind of question, or the questions of that kind that are due.
type After<'a> = Result<&'a [PlanAnswer], Vec<PlanChange>>;

impl Asking<'_> {
    /// The questions that follow these answers: all that are known by then; none after the last.
    pub fn next(&self, answers: &[PlanAnswer]) -> Vec<PlanChange> {
        let has_lots = (1..=4).any(|priority| evaluate::rows_of(self.question, priority) > 0);
        let Some(extent) = extent(self.asked, self.question).filter(|_| has_lots) else { return Vec::new() };
        self.after_all(&extent, answers).err().unwrap_or_default()
    }

    fn after_all<'a>(&self, extent: &AskedOf, answers: &'a [PlanAnswer]) -> After<'a> {
        let after_first = after(self.first(extent), answers)?;
        let milestones = answers.iter().filter(|answer| matches!(answer.change, PlanChange::UpToPriority(_)));
        let budgets = budgets_between(milestones.map(|answer| answer.money), extent.budgets);
        let after_budgets = after(budgets.into_iter().map(PlanChange::Budget).collect(), after_first)?;
        let tried = &after_first[..after_first.len() - after_budgets.len()];
        let after_steps = self.after_steps(extent, tried, after_budgets)?;
        let after_weights = self.after_weights(extent, after_steps)?;
        after_limits(extent, after_weights)
    }

    /// What the plan alone decides.
    fn first(&self, extent: &AskedOf) -> Vec<PlanChange> {
        let priorities = (1..=4).filter(|priority| evaluate::rows_of(self.question, *priority) > 0);
        let costly = costly(self.project, self.plan).into_iter().map(|(row, _)| PlanChange::Waits(row));
        let in_use: Vec<VesselId> = self.in_use().into_iter().take(extent.without).collect();
        let pieces: Vec<PlanChange> = match extent.pieces {
            true => in_use.iter().copied().map(PlanChange::FreePiece).collect(),
            false => Vec::new(),
        };
        let without = in_use.into_iter().map(PlanChange::Without);
        priorities.map(PlanChange::UpToPriority).chain(costly).chain(without).chain(pieces).collect()
    }

    /// Vessels that hold lots or are bought, those with most lots first.
    fn in_use(&self) -> Vec<VesselId> {
        let held = self.plan.placements.iter().filter(|placement| self.plan.housing(placement).is_some());
        let held = held.filter_map(|placement| placement.vessel);
        let mut lots: BTreeMap<VesselId, usize> = BTreeMap::new();
        for vessel in held {
            *lots.entry(vessel).or_default() += 1;
        }
        for line in &self.plan.purchases {
            lots.entry(self.project.stock.offers[line.offer].vessel).or_default();
        }
        let mut order: Vec<(VesselId, usize)> = lots.into_iter().collect();
        order.sort_by_key(|(_, lots)| Reverse(*lots));
        order.into_iter().map(|(vessel, _)| vessel).collect()
    }

    /// Falling budgets from the first of those tried that is better than the plan's.
    fn after_steps<'a>(&self, extent: &AskedOf, tried: &[PlanAnswer], answers: &'a [PlanAnswer]) -> After<'a> {
        let Some(budget) = self.project.settings.budget else { return Ok(answers) };
        let is_better = |answer: &PlanAnswer| answer.waiting() < self.plan.waiting();
        let above = tried.iter().filter(|answer| matches!(answer.change, PlanChange::Budget(tried) if tried > budget));
        let Some(first) = above.into_iter().find(|answer| is_better(answer)) else { return Ok(answers) };
        let mut last = first;
        for at in 0..extent.steps {
            let below = step_below(last);
            if below <= budget {
                return Ok(&answers[at..]);
            }
            let Some(found) = answers.get(at) else { return Err(vec![PlanChange::NextBudget(below)]) };
            if !is_better(found) {
                return Ok(&answers[at + 1..]);
            }
            last = found;
        }
        Ok(&answers[extent.steps.min(answers.len())..])
    }

    /// The largest weight of a litre, and those between.
    fn after_weights<'a>(&self, extent: &AskedOf, answers: &'a [PlanAnswer]) -> After<'a> {
        let now = self.project.settings.litre_weight;
        let Some(as_it_is) = place(&self.plan.levels, now) else { return Ok(answers) };
        let Some(largest) = largest_weight(as_it_is) else { return Ok(answers) };
        let ends: BTreeSet<Money> = [Money::ZERO, largest].into_iter().filter(|weight| *weight != now).collect();
        let ends = after(ends.into_iter().map(PlanChange::LitreWeight).collect(), answers)?;
        let is_weight = |answer: &&PlanAnswer| matches!(answer.change, PlanChange::LitreWeight(_));
        let tried = answers.iter().take_while(is_weight).count();
        let between = ends.iter().take_while(is_weight).count();
        let mut points = vec![(now, as_it_is)];
        points.extend(answers[..tried].iter().filter_map(|answer| match answer.change {
            PlanChange::LitreWeight(weight) => Some((weight, place(&answer.levels, weight)?)),
            _ => None,
        }));
        points.sort_unstable();
        let mut open: Vec<(i128, Money)> =
            points.windows(2).filter_map(|pair| open_between(pair[0], pair[1])).collect();
        open.sort_by_key(|(area, weight)| (Reverse(*area), *weight));
        open.truncate(extent.weights.saturating_sub(between));
        match open.is_empty() {
            true => Ok(&answers[tried..]),
            false => Err(open.into_iter().map(|(_, weight)| PlanChange::LitreWeight(weight)).collect()),
        }
    }
}

/// A hundredth less than the money of an answer in whole hundredths.
pub fn step_below(answer: &PlanAnswer) -> Money {
    to_hundredths(answer.money) - Money::HUNDREDTH
}

/// The weight at which two neighbours are equally good, and how far they lie apart; `None` where no other weight lies between theirs.
fn open_between((low, one): (Money, MoneyAndFluid), (high, other): (Money, MoneyAndFluid)) -> Option<(i128, Money)> {
    let weight = weight_between(one, other).filter(|weight| low < *weight && *weight < high)?;
    Some((i128::from((other.0 - one.0).parts()) * i128::from((one.1 - other.1).0), weight))
}

/// A round weight of a litre beside which a hundredth of a litre outweighs ten times the cost of each; `None` where there is nothing
/// to weigh.
fn largest_weight((money, fluid): MoneyAndFluid) -> Option<Money> {
    let litres = fluid.0 as f64 / 1000.0;
    let each = if litres > 0.0 { money.approximate() / litres } else { return None };
    let steps = (0..10).flat_map(|power| [1.0, 2.0, 5.0].map(|digit| digit * 10_f64.powi(power)));
    let weight = steps.into_iter().find(|step| *step >= each * 1000.0).and_then(Money::estimate)?;
    (weight.per_litre(fluid) < BEYOND_COUNTING).then_some(weight)
}

/// The answers after those to a list of questions that is known as a whole.
fn after(questions: Vec<PlanChange>, answers: &[PlanAnswer]) -> After<'_> {
    match answers.split_at_checked(questions.len()) {
        Some((_, rest)) => Ok(rest),
        None => Err(questions.into_iter().skip(answers.len()).collect()),
    }
}

/// Rising limits, of each kind until one more changes nothing.
fn after_limits<'a>(extent: &AskedOf, answers: &'a [PlanAnswer]) -> After<'a> {
    let mut rest = answers;
    for &(of, most) in extent.limits {
        let Some((without, points)) = rest.split_first() else { return Err(vec![of.change(None)]) };
        let is_last = |(at, point): (usize, &PlanAnswer)| point.rank() <= without.rank() || at + 1 == most;
        let Some(last) = points.iter().enumerate().position(is_last) else {
            return Err(vec![of.change(u32::try_from(points.len() + 1).ok())]);
        };
        rest = &points[last + 1..];
    }
    Ok(rest)
}
