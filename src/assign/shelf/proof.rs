//! What is proved at different prices of owned fluid, put together.

use std::cmp::Reverse;

use super::Answer;
use crate::assign::certificate::{AtPrices, Time, certificate, of_whole, sought};
use crate::assign::evaluate::{self, Values};
use crate::assign::progress::Progress;
use crate::assign::relaxation::Relaxation;
use crate::assign::{count_goal, money_goal};
use crate::decision::leaf::Leaves;
use crate::decision::{Aim, Level, Proof};
use crate::units::Money;

/// What needs no search: at full prices, for plans that reach whatever they like.
pub(super) fn unsearched(at_full_prices: &Answer) -> Vec<Level> {
    let Answer { question, credit, .. } = at_full_prices;
    let level = |aim| {
        let bound = evaluate::trivial_bound(question, aim) - credit_on(aim, *credit);
        Level { aim, value: i64::MAX, bound, proof: Proof::None, leaves: of_whole(question, aim) }
    };
    Aim::ALL.map(level).into()
}

/// What an answer proves, as it truly is: with what is owned taken off the money. Its leaves are at its prices.
pub(super) fn of_answer(answer: &Answer) -> Vec<Level> {
    let mut levels = answer.decision.levels.clone();
    for level in &mut levels {
        let credit = credit_on(level.aim, answer.credit);
        (level.value, level.bound) = (level.value - credit, level.bound - credit);
        level.leaves.numbers.iter_mut().for_each(|numbers| numbers.fluid_prices = answer.prices.clone());
    }
    levels
}

fn credit_on(aim: Aim, credit: Money) -> i64 {
    if aim == Aim::Money { credit.parts() } else { 0 }
}

/// The levels of a plan that comes to these values, each bounded by whatever is known that bounds it best.
///
/// `known` are levels as somebody proved them, [`unsearched`] first.
pub(super) fn together(known: &[Vec<Level>], values: &Values) -> Vec<Level> {
    // What is said of a level is said of plans that do no worse before it than whoever says it.
    let said = |at: usize, aim: Aim| {
        let mut earlier = known[at].iter().filter(|level| level.aim < aim);
        let holds = earlier.all(|level| level.value >= values.of(level.aim));
        known[at].iter().find(|level| level.aim == aim).filter(|_| holds)
    };
    let bound = |at: usize, aim: Aim| said(at, aim).map(|level| level.bound.min(values.of(aim)));
    // Fluid is bounded by the leaves of money.
    let money = (0..known.len()).max_by_key(|&at| (bound(at, Aim::Money), bound(at, Aim::Fluid), Reverse(at)));
    let mut levels: Vec<Level> = Vec::new();
    for aim in Aim::ALL {
        let value = values.of(aim);
        let best = match aim {
            // Of equals at the prices of money: the audit works out what options come to for each set of prices.
            Aim::Deferred(_) => (0..known.len()).max_by_key(|&at| (bound(at, aim), Some(at) == money, Reverse(at))),
            Aim::Money | Aim::Fluid => money,
        };
        let Some(best) = best.and_then(|at| said(at, aim)).or_else(|| said(0, aim)) else { continue };
        let bound = best.bound.min(value);
        let searched = |level: &Level| level.value == value && level.proof != Proof::None;
        let proof = match () {
            // Fluid is a question only among plans of proved least money.
            () if aim == Aim::Fluid && !levels.iter().all(Level::proved) => Proof::None,
            () if bound == value => Proof::Recomputed,
            () if (0..known.len()).filter_map(|at| said(at, aim)).any(searched) => Proof::BySearch,
            () => Proof::None,
        };
        levels.push(Level { aim, value, bound, proof, leaves: best.leaves.clone() });
    }
    levels
}

/// The levels of a plan, those that are open bounded part by part, each part at whichever of the answers' prices bounds it
/// best.
pub(super) fn part_by_part(
    answers: &[Answer],
    levels: &[Level],
    plan: (&Values, &[Vec<i64>]),
    (report, time): (&mut dyn FnMut(Progress), &Time),
) -> Vec<Level> {
    let mut levels = levels.to_vec();
    let (values, _) = plan;
    let mut tried: Vec<&Answer> = Vec::new();
    for answer in answers.iter().filter(|answer| answer.bounds_hold) {
        if tried.iter().all(|other| other.prices != answer.prices) {
            tried.push(answer);
        }
    }
    for position in 0..levels.len() {
        let Level { aim, value, bound, .. } = levels[position];
        let then = levels.get(position + 1).filter(|_| aim == Aim::Money);
        let open = !levels[position].proved() || then.is_some_and(|fluid| !fluid.proved());
        if aim == Aim::Fluid || !open || tried.len() < 2 || (time.stop)() {
            continue;
        }
        let at = tried.iter().map(|Answer { question, prices, credit, .. }| {
            let goal = match aim {
                Aim::Deferred(priority) => {
                    count_goal(question, values.deferred, priority, (bound.min(value) - 1).max(0))
                }
                Aim::Money | Aim::Fluid => money_goal(question, values.deferred),
            };
            AtPrices { question, relaxation: Relaxation::new(question, goal), fluid_prices: prices, credit: *credit }
        });
        let gap = tried[0].question.limits.gap;
        let sought = sought((aim, value), then.filter(|_| gap == 0.0).map(|fluid| fluid.value), gap);
        let made = certificate(at.collect(), &sought, plan, false, (&mut *report, time));
        let own = made.bounds[0].clamp(i64::MIN.into(), value.into()) as i64;
        let of_fluid = made.of_fluid(&tried[0].question, values);
        if (own, of_fluid) <= (bound, then.filter(|_| bound == value).map(|fluid| fluid.bound)) {
            continue;
        }
        (levels[position].bound, levels[position].leaves) = (own, made.leaves_for(of_fluid));
        if let Some(fluid) = levels.get_mut(position + 1).filter(|_| aim == Aim::Money) {
            let question = &tried[0].question;
            let least =
                || (evaluate::trivial_bound(question, Aim::Fluid).min(fluid.value), of_whole(question, Aim::Fluid));
            (fluid.bound, fluid.leaves) = of_fluid.map_or_else(least, |bound| (bound, Leaves::default()));
        }
    }
    levels
}
