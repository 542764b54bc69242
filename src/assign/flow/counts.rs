//! Fewest rows of a priority left deferred: the least number for which there is a plan within the budget.
//!
//! Fewer rows deferred never cost less, so what rules a number out rules out all below it.

use super::Standing;
use super::relaxation::Relaxation;
use super::search::{Found, Goal, Search};
use crate::assign::progress::{Doing, Progress};
use crate::decision::{Aim, Decision, Question};
use crate::units::Money;

/// What is known of a number of rows deferred.
pub struct Counted<'a> {
    /// The least for which a plan was found, or the number to begin with.
    pub value: i64,
    /// There is none for fewer.
    pub bound: i64,
    /// The plan, where one was found.
    pub plan: Option<Decision>,
    /// The time was over before any number was looked at.
    pub empty_handed: bool,
    /// What they were searched with.
    pub relaxation: Relaxation<'a>,
    /// Parts of the decision looked at.
    parts: u64,
}

/// Seeks the fewest rows deferred, of so many for which there is a plan, until `stop` says so. `goal` is a plan's with a
/// number of rows deferred.
pub fn fewest<'a>(
    question: &'a Question,
    (aim, value): (Aim, i64),
    goal: impl Fn(i64) -> Goal,
    report: &mut dyn FnMut(Progress),
    stop: &dyn Fn() -> bool,
) -> Counted<'a> {
    let mut told = |value: i64, bound: i64, parts: u64| {
        report(Progress { aim, doing: Doing::Searching { nodes: parts }, value, bound });
    };
    told(value, 0, 0);
    // Rows that the easiest goal places, all place.
    let mut relaxation = Relaxation::new(question, goal(value));
    let bound = first_possible(&mut relaxation, aim, value, &goal);
    let mut counted = Counted { value, bound, plan: None, empty_handed: false, relaxation, parts: 0 };
    // First plans at numbers near the bound, sought with little patience: further and further from it until there is one, then
    // between.
    let mut hopeless = counted.bound - 1;
    let mut step = 1;
    let mut begun = false;
    while hopeless + 1 < counted.value && !stop() {
        let middle = hopeless.midpoint(counted.value).max(hopeless + 1);
        let number = if counted.plan.is_none() { middle.min(hopeless + step) } else { middle };
        (counted, begun) = (counted.with(question, (number, goal(number)), PATIENCE, &mut told, stop), true);
        if counted.value > number {
            hopeless = number;
            step *= 2;
        }
    }
    // Then the least that is not ruled out and the greatest that is are brought together, with more and more of it.
    let mut patience = PATIENCE;
    while counted.bound < counted.value && !stop() {
        patience *= 4;
        let mut number = counted.value - 1;
        while counted.bound <= number && number < counted.value && !stop() {
            (counted, begun) = (counted.with(question, (number, goal(number)), patience, &mut told, stop), true);
            if number == counted.bound {
                break;
            }
            number = counted.bound.midpoint(number);
        }
    }
    counted.empty_handed = !begun && counted.bound < counted.value;
    counted
}

/// Parts of the decision that a first search for a plan looks at before it tries another number.
const PATIENCE: u64 = 60;

impl<'a> Counted<'a> {
    /// What is known once a plan with so many rows deferred has been sought.
    fn with(
        self,
        question: &'a Question,
        (number, goal): (i64, Goal),
        patience: u64,
        told: &mut dyn FnMut(i64, i64, u64),
        stop: &dyn Fn() -> bool,
    ) -> Self {
        let Counted { mut value, mut bound, mut plan, relaxation, mut parts, .. } = self;
        let mut search = Search::with(question, relaxation, goal, None);
        let before = parts;
        let mut watch = |standing: Standing| {
            parts = before + standing.parts;
            told(value, bound, parts);
        };
        let Found { best, complete, .. } = search.run(patience, &mut watch, stop);
        let enough = i128::from(goal.enough.unwrap_or(Money::ZERO).parts());
        match best.filter(|(cost, _)| *cost <= enough) {
            Some((_, decision)) => (value, plan) = (number, Some(decision)),
            None if complete => bound = number + 1,
            None => {}
        }
        Counted { value, bound, plan, relaxation: search.into_relaxation(), parts, ..self }
    }
}

/// The first of the numbers up to one with which the relaxation of the whole leaves a plan possible.
///
/// What the rows cost is convex in the number deferred, so what one more of them saves at one number tells of every other
/// how much it costs at least: the next number looked at is the first that this leaves possible (the method of Newton).
fn first_possible(relaxation: &mut Relaxation, aim: Aim, value: i64, goal: &impl Fn(i64) -> Goal) -> i64 {
    let (mut low, mut high) = (0, value);
    let mut number = value / 2;
    let mut looked_at = 0;
    while low < high {
        relaxation.aim_at(goal(number));
        let enough = |number: i64| goal(number).enough.unwrap_or(Money::ZERO);
        match relaxation.beyond_enough(aim) {
            None => low = number + 1,
            Some((beyond, saved)) => {
                // Money that need not be kept for the labour of the row is as good as saved.
                let each = saved + relaxation.scaled(enough(number + 1) - enough(number));
                if beyond > 0 {
                    low = if each > 0 { number + whole(beyond, each, 1) } else { high };
                } else {
                    high = number;
                    low = if each > 0 { low.max(number - whole(-beyond, each, 0)) } else { low };
                }
            }
        }
        low = low.min(high);
        looked_at += 1;
        number = if looked_at % 4 == 0 { i64::midpoint(low, high) } else { low };
    }
    low
}

/// How often an amount, above nothing, holds another, rounded up where `up` is one.
fn whole(amount: i128, each: i128, up: i128) -> i64 {
    i64::try_from((amount + up * (each - 1)) / each).unwrap_or(i64::MAX / 4)
}
