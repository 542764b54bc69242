//! The decision by the general integer model alone, for comparison.
//!
//! Method: one model a level ([`super::model`]), with earlier levels limited to their values, solved by a library
//! ([`super::backend`]). Its solution is rounded, evaluated again, and taken only if it satisfies every constraint and is better.
//!
//! What is claimed: only that the plan satisfies every constraint. The library gives no certificate, so a level is proved only if
//! its value equals the bound that needs no search.

use std::time::Duration;

use super::backend::{self, Backend};
use super::clock::Clock;
use super::incumbent::Incumbent;
use super::model::Model;
use super::progress::{Doing, Progress};
use super::{evaluate, greedy, levels};
use crate::decision::{Aim, Decision, Goal, Question};

/// Decides a question by the general integer model alone, within its own time limit.
pub fn decide_by_model(question: &Question, backend: Backend) -> Decision {
    decide_by_model_watched(question, backend, &mut |_| {}, &|| false)
}

/// Decides a question by the general integer model alone. `report` is told the current level; `stop` ends the search early.
pub fn decide_by_model_watched(
    question: &Question,
    backend: Backend,
    report: &mut dyn FnMut(Progress),
    stop: &dyn Fn() -> bool,
) -> Decision {
    searched(question, backend, report, stop).0
}

/// The same without a watcher, and whether the library completed its search of every level.
pub fn searched_by_model(question: &Question, backend: Backend) -> (Decision, bool) {
    searched(question, backend, &mut |_| {}, &|| false)
}

fn searched(
    question: &Question,
    backend: Backend,
    report: &mut dyn FnMut(Progress),
    stop: &dyn Fn() -> bool,
) -> (Decision, bool) {
    let clock = Clock::new(question);
    let goal = Goal::of_plan(&question.limits);
    let mut incumbent = Incumbent::new(question, &goal, greedy::decide(question));
    let aims = question.limits.aims();
    let rank = |incumbent: &Incumbent| aims.iter().map(|aim| incumbent.value(*aim)).collect::<Vec<i64>>();
    let start = rank(&incumbent);
    let mut complete = true;
    for &aim in aims {
        let (value, bound) = (incumbent.value(aim), evaluate::trivial_bound(question, aim));
        report(Progress { aim, doing: Doing::Searching { nodes: 0 }, value, bound: bound.min(value) });
        let held = incumbent.reached_before(aim);
        complete &= by_model(question, &mut incumbent, (aim, &held), backend, (clock.left(), stop));
    }
    // A run out of time is optimised all the same if it found a better plan than the one it began with.
    let begun = complete || rank(&incumbent) != start;
    (levels::with_trivial_bounds(question, incumbent.decision, begun), complete)
}

/// Solves one level by the general model, with earlier levels limited to `held`; true if the solver completed its search.
fn by_model(
    question: &Question,
    incumbent: &mut Incumbent,
    (aim, held): (Aim, &[(Aim, i64)]),
    backend: Backend,
    (time, stop): (Duration, &dyn Fn() -> bool),
) -> bool {
    let value = incumbent.value(aim);
    if value <= evaluate::trivial_bound(question, aim) {
        return true;
    }
    let Some(model) = Model::new(question, aim, held) else { return true };
    let objective = model.objective_at(value).abs().max(1e-9);
    let step = 0.9 * (model.objective_at(value) - model.objective_at(value - model.unit())) / objective;
    let start = model.start(&incumbent.decision);
    let Some(answer) = backend::solve(backend, &model, start, step, (time, stop)) else { return false };
    if let Some(decision) = model.decision(&answer.values) {
        incumbent.offer(decision);
    }
    answer.complete
}
