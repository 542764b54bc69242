//! Questions in which priorities are weighed against each other, too large for a linear relaxation at once.
//!
//! # Problem
//!
//! The flow ([`super::flow`]) counts deferred lots by priority, and has no level for their weighted number.
//!
//! # Method
//!
//! 1. The flow decides as if the more urgent priority came first. If no lot is deferred, no weighted number is lower, and the plan
//!    is the best of both rules.
//! 2. Otherwise the flow decides again with all lots of one priority, and the plan of lower weighted number is taken. Up to
//!    [`super::MOST_PAIRS`] pairs the linear relaxation goes on from there.
//!
//! # Why the bounds hold
//!
//! In the notation of [`crate::decision::certificate`], for a leaf with the multipliers d(q) of a plan without deferred lots let h
//! be the largest ⌈d(q) / ω(q)⌉. Then h · ω(q) ≥ d(q), so no lot costs less, and neither h nor d(q) is multiplied by anything but 0
//! in the constants. So the leaf's bound with h is no lower.
//!
//! If all lots have one priority, a leaf of their number has α for a deferred lot. With h = α a deferred lot costs α · ω(q) ≥ α, so
//! the leaf's bound of the weighted number is no lower than that of the number.
//!
//! # Limits
//!
//! Beyond [`super::MOST_PAIRS`] pairs, a plan that defers lots is proved best only where all weights are equal. Its money and
//! fluid have no bound but the least possible.

use super::clock::Clock;
use super::progress::Progress;
use super::{MOST_PAIRS, evaluate, flow, levels, owned, pairs};
use crate::decision::certificate::{MOST, Node, Numbers, Weights};
use crate::decision::{Aim, Certificate, Decision, Level, Limits, Proof, Question, Status};

/// Decides a question with weights.
pub fn decide(
    question: &Question,
    clock: &Clock,
    report: &mut dyn FnMut(Progress),
    stop: &dyn Fn() -> bool,
) -> Decision {
    let plain = |decision: &Decision| Decision { levels: Vec::new(), ..decision.clone() };
    let strict = with_strict_priorities(question);
    let by_priority = by_flow(&strict, clock, report, &clock.after(SHARE, stop));
    let begun = by_priority.status != Status::NotOptimised;
    if evaluate::values(question, &by_priority).deferred == [0; 4] {
        let levels = by_priority.levels.iter().filter(|level| !level.aim.counts_lots());
        let bounded: Vec<Level> = levels.map(|level| weighed(question, level)).collect();
        return with_bounds(question, plain(&by_priority), &bounded, begun);
    }
    let equal = with_one_priority(&strict);
    let by_number = by_flow(&equal, clock, report, &clock.after(SHARE, stop));
    let number = by_number.levels.iter().find(|level| level.aim == Aim::Deferred(1)).map(of_weighted_number);
    let value = |decision: &Decision| evaluate::values(question, decision).weighted_deferred;
    let start = if value(&by_number) < value(&by_priority) { plain(&by_number) } else { plain(&by_priority) };
    let bounds: Vec<Level> = number.into_iter().collect();
    if pairs(question) > MOST_PAIRS {
        return with_bounds(question, start, &bounds, begun);
    }
    with_bounds(question, levels::decide(question, start, clock, report, stop), &bounds, begun)
}

/// Each of the two min-cost-flow decisions may use at most this share of the time that is left.
const SHARE: f64 = 0.3;

fn by_flow(question: &Question, clock: &Clock, report: &mut dyn FnMut(Progress), stop: &dyn Fn() -> bool) -> Decision {
    match question.owned.is_empty() {
        true => flow::decide(question, clock, report, stop),
        false => owned::decide_at_full_price(question, clock, report, stop),
    }
}

fn with_strict_priorities(question: &Question) -> Question {
    Question { limits: Limits { priority_weights: None, ..question.limits }, ..question.clone() }
}

fn with_one_priority(question: &Question) -> Question {
    let mut equal = question.clone();
    equal.classes.iter_mut().for_each(|class| class.priority = 1);
    equal
}

/// A level of a plan without deferred lots, with h for d(q).
fn weighed(question: &Question, level: &Level) -> Level {
    let of_numbers = |numbers: &Numbers| {
        let each = (1..=4).zip(numbers.weights.deferred).map(|(priority, deferred)| {
            let weight = question.limits.priority_weight(priority).max(1);
            deferred.div_euclid(weight) + i64::from(deferred.rem_euclid(weight) > 0)
        });
        let weighted_deferred = each.max().unwrap_or(0).min(MOST);
        Numbers { weights: Weights { weighted_deferred, deferred: [0; 4], ..numbers.weights }, ..numbers.clone() }
    };
    Level { certificate: with_numbers(&level.certificate, of_numbers), ..level.clone() }
}

/// The level of the number of lots of one priority, as that of the weighted number.
fn of_weighted_number(level: &Level) -> Level {
    let of_numbers = |numbers: &Numbers| {
        let [weighted_deferred, ..] = numbers.weights.deferred;
        Numbers { weights: Weights { weighted_deferred, deferred: [0; 4], ..numbers.weights }, ..numbers.clone() }
    };
    Level { aim: Aim::WeightedDeferred, certificate: with_numbers(&level.certificate, of_numbers), ..level.clone() }
}

/// A certificate with other multipliers. Leaves whose multipliers are now the same name them once.
fn with_numbers(certificate: &Certificate, of: impl Fn(&Numbers) -> Numbers) -> Certificate {
    let mut numbers: Vec<Numbers> = Vec::new();
    let mut positions: Vec<usize> = Vec::new();
    for old in &certificate.numbers {
        let new = of(old);
        let known = numbers.iter().position(|known| *known == new);
        positions.push(known.unwrap_or(numbers.len()));
        if known.is_none() {
            numbers.push(new);
        }
    }
    let node = |node: &Node| match *node {
        Node::Leaf { numbers } => Node::Leaf { numbers: positions[numbers] },
        other => other,
    };
    Certificate { nodes: certificate.nodes.iter().map(node).collect(), numbers, ..certificate.clone() }
}

/// A decision with these bounds where they are higher than its own, or than those that need no search.
fn with_bounds(question: &Question, decision: Decision, bounds: &[Level], begun: bool) -> Decision {
    let decision = match decision.levels.is_empty() {
        true => levels::with_trivial_bounds(question, decision, begun),
        false => decision,
    };
    let mut levels = decision.levels;
    for level in &mut levels {
        // An empty certificate of fluid stands for that of money.
        let better = bounds.iter().find(|other| other.aim == level.aim && other.bound.min(level.value) >= level.bound);
        let Some(better) = better.filter(|_| !level.proved()) else { continue };
        level.bound = better.bound.min(level.value);
        level.certificate = better.certificate.clone();
        level.proof = if level.bound == level.value { Proof::Recomputed } else { Proof::None };
    }
    let status = levels::status(question, &levels, begun);
    Decision { levels, status, ..decision }
}
