//! Options → decision: the integer model, a greedy start and the search, level by level.
//!
//! Each level is one integer model: least deferred rows of priority 1, 2, 3 and 4, then least weighed money, then least
//! fluid, each with the levels before it held. What comes back is counted again in whole numbers before it is believed.

mod backend;
pub mod evaluate;
mod greedy;
mod model;
pub mod question;

use std::time::{Duration, Instant};

pub use backend::Backend;
use evaluate::{Values, values};
use model::Model;

use crate::decision::{Aim, Decision, Level, Proof, Question, Status};

/// What the search is doing, for a line on stderr.
#[derive(Clone, Copy, Debug)]
pub struct Progress {
    /// The level being solved.
    pub aim: Aim,
    /// The best value so far.
    pub value: i64,
    /// Seconds since the start.
    pub seconds: f64,
}

/// Decides a question with the default solver.
pub fn decide(question: &Question) -> Decision {
    decide_with(question, Backend::default(), &mut |_| {})
}

/// Decides a question with a solver of choice, reporting each level as it begins.
pub fn decide_with(question: &Question, backend: Backend, report: &mut dyn FnMut(Progress)) -> Decision {
    let start = Instant::now();
    let limit = Duration::try_from_secs_f64(question.limits.time_limit_s).unwrap_or(Duration::MAX);
    let mut search = Search { question, backend, best: greedy::decide(question), levels: Vec::new(), empty_handed: false };
    for aim in Aim::ALL {
        let value = values(question, &search.best).of(aim);
        report(Progress { aim, value, seconds: start.elapsed().as_secs_f64() });
        let level = search.solve(aim, limit.saturating_sub(start.elapsed()));
        search.levels.push(level);
    }
    search.finish()
}

struct Search<'a> {
    question: &'a Question,
    backend: Backend,
    best: Decision,
    levels: Vec<Level>,
    /// A model was left without any answer of the solver's own.
    empty_handed: bool,
}

impl Search<'_> {
    /// Solves one level with the earlier ones held, keeps the better plan, and says what is proved.
    fn solve(&mut self, aim: Aim, time: Duration) -> Level {
        let value = values(self.question, &self.best).of(aim);
        let least = self.trivial_bound(aim);
        if value <= least {
            return Level { aim, value, bound: least, proof: Proof::Recomputed };
        }
        let unproved = Level { aim, value, bound: least, proof: Proof::None };
        // Fluid is a question only among plans of proved least money; a level is not worth asking once one is open.
        if self.levels.iter().any(|level| !level.proved()) && matches!(aim, Aim::Fluid) {
            return unproved;
        }
        let Some(model) = Model::new(self.question, aim, &self.held()) else { return unproved };
        let objective = model.objective_at(value).abs().max(1e-9);
        let step = 0.9 * (model.objective_at(value) - model.objective_at(value - model.unit())) / objective;
        let gap = if aim == Aim::Money { step.max(self.question.limits.gap * value as f64 / model.in_parts(objective)) } else { step };
        let Some(answer) = backend::solve(self.backend, &model, &model.start(&self.best), gap, time) else {
            self.empty_handed |= matches!(aim, Aim::Money | Aim::Deferred(_));
            return unproved;
        };
        if let Some(candidate) = model.decision(&answer.values)
            && self.improves(&candidate, aim)
        {
            self.best = candidate;
        }
        let value = values(self.question, &self.best).of(aim);
        let bound = (answer.bound.map_or(least, |bound| model.bound(bound))).clamp(least, value);
        let complete = answer.complete && bound >= value;
        Level { aim, value, bound, proof: if complete { Proof::BySearch } else { Proof::None } }
    }

    /// What the earlier levels hold.
    fn held(&self) -> Vec<(Aim, i64)> {
        self.levels.iter().map(|level| (level.aim, level.value)).collect()
    }

    /// True if a plan keeps every constraint, does no worse on the earlier levels and is better on this one.
    fn improves(&self, candidate: &Decision, aim: Aim) -> bool {
        if evaluate::check(self.question, candidate).is_err() {
            return false;
        }
        let (new, old) = (values(self.question, candidate), values(self.question, &self.best));
        self.levels.iter().all(|level| new.of(level.aim) <= level.value) && new.of(aim) < old.of(aim)
    }

    /// What no plan can beat, without any search.
    fn trivial_bound(&self, aim: Aim) -> i64 {
        match aim {
            Aim::Deferred(_) => 0,
            Aim::Money | Aim::Fluid => evaluate::least_possible(self.question, aim),
        }
    }

    fn finish(self) -> Decision {
        let first_open = self.levels.iter().find(|level| !level.proved());
        let status = match first_open {
            None => Status::ProvedBest,
            Some(_) if self.empty_handed => Status::NotOptimised,
            Some(level) if self.question.limits.gap > 0.0 && gap(self.question, level) <= self.question.limits.gap => {
                Status::WithinGap
            }
            Some(_) => Status::BestFound,
        };
        Decision { levels: self.levels, status, ..self.best }
    }
}

/// The gap of a level: a count's over the rows of its priority, any other's over its value.
fn gap(question: &Question, level: &Level) -> f64 {
    let over = match level.aim {
        Aim::Deferred(priority) => evaluate::rows_of(question, priority),
        Aim::Money | Aim::Fluid => level.value,
    };
    if level.value == level.bound { 0.0 } else { (level.value - level.bound) as f64 / (over.max(1)) as f64 }
}

impl Values {
    /// The value of one level.
    pub fn of(&self, aim: Aim) -> i64 {
        match aim {
            Aim::Deferred(priority) => self.deferred[usize::from(priority) - 1],
            Aim::Money => self.weighed.parts(),
            Aim::Fluid => self.fluid.0,
        }
    }
}
