//! Decides which lot goes into which vessel.

mod backend;
mod bound;
mod certificate;
mod clock;
mod covering;
mod cuts;
pub mod evaluate;
mod flow;
mod formulation;
mod greedy;
mod incumbent;
mod instance;
mod levels;
mod linear;
mod model;
mod multipliers;
mod owned;
mod packs;
mod progress;
pub mod question;
mod rounding;
mod tree;

pub use backend::Backend;
pub use progress::{Doing, Progress};

use std::time::Duration;

use crate::decision::{Aim, Certificate, Decision, Level, Proof, Question};
use crate::options::table::Row;
use crate::project::Project;
use clock::Clock;
use evaluate::Values;
use incumbent::Incumbent;
use model::Model;

/// What was asked about the lots of a project, and what was answered.
#[derive(Clone, Debug)]
pub struct Answered {
    /// The question.
    pub question: Question,
    /// The decision.
    pub decision: Decision,
}

/// Decides about the lots of a project, reporting how far it is, until `stop` says so.
pub fn decide_rows(
    project: &Project,
    rows: &[Row],
    report: &mut dyn FnMut(Progress),
    stop: &dyn Fn() -> bool,
) -> Answered {
    let question = question::question(project, rows);
    let decision = decide_watched(&question, report, stop);
    Answered { question, decision }
}

/// Decides a question within its own time limit.
pub fn decide(question: &Question) -> Decision {
    decide_watched(question, &mut |_| {}, &|| false)
}

/// Decides a question, reporting how far it is, until `stop` says so.
pub fn decide_watched(question: &Question, report: &mut dyn FnMut(Progress), stop: &dyn Fn() -> bool) -> Decision {
    let clock = Clock::new(question);
    match () {
        () if !flow_suits(question) => levels::decide(question, &clock, report, stop),
        () if question.owned.is_empty() => flow::decide(question, &clock, report, stop),
        () => owned::decide_at_full_price(question, &clock, report, stop),
    }
}

/// Whether a question is decided by flow: the programme of a large one takes too long.
fn flow_suits(question: &Question) -> bool {
    let pairs: usize = question.classes.iter().map(|class| class.choices.len()).sum();
    pairs > if question.owned.is_empty() { MOST_PAIRS } else { MOST_PAIRS_WITH_OWNED_FLUID }
}

/// Pairs of a class and a choice up to which linear relaxations are solved; more where the flow would have to leave owned
/// fluid out of account.
const MOST_PAIRS: usize = 20_000;
const MOST_PAIRS_WITH_OWNED_FLUID: usize = 150_000;

/// Decides a question by the general integer model alone, one model a level. It proves nothing that could be recomputed.
pub fn decide_by_model(question: &Question, backend: Backend) -> Decision {
    let clock = Clock::new(question);
    let mut incumbent = Incumbent::new(question, greedy::decide(question));
    let mut complete = true;
    for aim in Aim::ALL {
        let held = incumbent.reached_before(aim);
        complete &= by_model(question, &mut incumbent, (aim, &held), backend, clock.left());
    }
    let level = |aim: Aim| {
        let (value, least) = (incumbent.value(aim), evaluate::trivial_bound(question, aim));
        let bound = least.min(value);
        let proof = if bound == value { Proof::Recomputed } else { Proof::None };
        Level { aim, value, bound, proof, certificate: Certificate::trivial(aim) }
    };
    let levels = Aim::ALL.map(level).to_vec();
    let status = levels::status(question, &levels, complete);
    Decision { levels, status, ..incumbent.decision }
}

/// One level by the general model, with the earlier ones held; whether the solver came to its end.
fn by_model(
    question: &Question,
    incumbent: &mut Incumbent,
    (aim, held): (Aim, &[(Aim, i64)]),
    backend: Backend,
    time: Duration,
) -> bool {
    let value = incumbent.value(aim);
    if value <= evaluate::trivial_bound(question, aim) {
        return true;
    }
    let Some(model) = Model::new(question, aim, held) else { return true };
    let objective = model.objective_at(value).abs().max(1e-9);
    let step = 0.9 * (model.objective_at(value) - model.objective_at(value - model.unit())) / objective;
    let start = model.start(&incumbent.decision);
    let Some(answer) = backend::solve(backend, &model, &start, step, time) else { return false };
    if let Some(decision) = model.decision(&answer.values) {
        incumbent.offer(decision);
    }
    answer.complete
}

/// The gap of a level: a count's over the lots of its priority, any other's over its value.
pub fn gap(question: &Question, aim: Aim, value: i64, bound: i64) -> f64 {
    let over = match aim {
        Aim::Deferred(priority) => evaluate::rows_of(question, priority),
        Aim::Money | Aim::Fluid => value,
    };
    if value == bound { 0.0 } else { (value - bound).max(0) as f64 / (over.max(1)) as f64 }
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
