//! Decides which lot goes into which vessel, exactly: the model and the method.
//!
//! # Problem
//!
//! Lots that the decision cannot tell apart, but for a constant, are a *class*. Class c has n(c) lots; each takes one of its
//! *choices* (a vessel in so many pieces, or a tank) or waits. Lots of a class whose constants agree are a *run* r, n(r) lots.
//!
//! | variable | whole number of |
//! |---|---|
//! | x(c, o) | lots of class c in choice o, from vessel v(o), p(c, o) pieces each |
//! | w(c, r) | lots of run r of class c that wait |
//! | y(o) | packs of offer o: q(o) pieces of its vessel for the price a(o) |
//! | P(k), F(k) | 1 if supplier k is ordered from and paid for delivery, or delivers free |
//! | t(v) | 1 if any packs of vessel v are bought |
//! | e(u) | litres of owned fluid u bought beyond what there is (not whole) |
//!
//! Lexicographically minimise W(1), …, W(4), M, L: lots that wait by priority, weighed money, litres,
//!
//! ```text
//! W(q) = Σ_{c of priority q} Σ_r w(c, r)
//! M    = Σ f(c, o) x(c, o) + Σ_r k(r) (n(r) − w(c, r)) + Σ a(o) y(o) + Σ charge(k) P(k) + Σ price(u) e(u) + weight · L
//! L    = Σ l(c, o) x(c, o) + Σ_r l(r) (n(r) − w(c, r))
//! ```
//!
//! subject to
//!
//! ```text
//! Σ_o x(c, o) + Σ_r w(c, r) = n(c)                                   every lot somewhere
//! Σ_{o of v} q(o) y(o) ≥ ⌈(1 + spare) (Σ p(c, o) x(c, o) − free(v))⌉    pieces used are free or bought
//! min_packs(o) ≤ y(o) ≤ limit(o), or y(o) = 0
//! y(o) > 0 only if P(k) + F(k) = 1 for its supplier k, and t(v) = 1 for its vessel v
//! Σ_{o of k} a(o) y(o) ≥ minimum(k) P(k) + max(minimum(k), threshold(k)) F(k)
//! Σ t(v) ≤ max_vessel_types,   Σ P(k) + F(k) ≤ max_suppliers
//! e(u) ≥ need(u) − owned(u),   need(u) linear in x and w
//! M without weight · L, + labour · lots placed ≤ budget
//! ```
//!
//! # Method
//!
//! Level by level ([`levels`]): each is minimised by branch and bound ([`tree`]) among the plans that do no worse on the levels
//! before it. At a node
//!
//! 1. the linear relaxation ([`formulation`]) is solved by the dual simplex method ([`linear`]), strengthened, as long as there
//!    are not too many, by cuts of single vessels ([`cuts`]) and of orders that must reach an amount ([`goods`]);
//! 2. its duals become whole numbers ([`multipliers`]), at which the node is bounded exactly by weak duality ([`bound`]): once
//!    pieces, goods, owned fluid, budget, caps and earlier levels are priced, lots, offers, kinds and suppliers are each at their
//!    own least, whole packs, least packs and orders that must reach an amount ([`covering`]) included;
//! 3. a node whose bound is no less than the value of the best plan known is closed. Otherwise it is split ([`tree`]), on a
//!    supplier, on the packs of an offer, on the pieces of a vessel that a set of lots takes ([`counts`]), or on how many
//!    lots take a choice. Solutions are rounded to plans ([`rounding`]), at once and after a dive ([`diving`]), for the
//!    [`incumbent`].
//!
//! A complete tree is taken up by the next level: leaves whose numbers show that they hold no plan as good stay closed, others are
//! opened again.
//!
//! Why the result is what it claims: the tree with the numbers of its leaves is the certificate ([`certificate`]) of the level.
//! Every split is exhaustive, every leaf has a bound that anybody can evaluate ([`crate::decision::certificate`]); what is not
//! closed stands in it with the bound it has. No claim rests on the search having ended, nor on floating-point numbers. The
//! audit evaluates the certificates with code of its own, and only a bound that equals the value is a proof.
//!
//! Large surveys ([`flow`]): a min-cost flow with divisible packs comes before the programme, or takes its place; certificates are
//! the same.
//!
//! # Cost and limits
//!
//! The programme has a column for each pair of a class and a choice and one for each run, and a row for each class, vessel and
//! offer. A pivot takes time proportional to its rows and the entries of the pivot row. Up to [`MOST_PAIRS`] pairs it is
//! solved: at once up to [`FEWEST_PAIRS`], with owned fluid or a limit on suppliers, after the flow otherwise. Beyond, memory
//! is that of the flow: some hundred bytes a pair. Owned fluid is then decided at full price ([`owned`]). Of more pairs, and
//! more than [`core_problem::MANY_VESSELS`] vessels, only those choices are decided on that look best ([`core_problem`]): the
//! flow's memory grows with the square of their number. The general model ([`model`]) is solved by a library for comparison
//! ([`general`]); it proves nothing here.

mod backend;
mod bound;
mod certificate;
mod clock;
mod core_problem;
mod counts;
mod covering;
mod cuts;
mod diving;
pub mod evaluate;
mod exchange;
mod flow;
mod formulation;
mod general;
mod goods;
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
pub use exchange::with_one_more;
pub use general::{decide_by_model, decide_by_model_watched};
pub use progress::{Doing, Progress};

use crate::decision::{Aim, Chosen, Decision, Goal, Question, Status};
use crate::options::table::Row;
use crate::project::Project;
use clock::Clock;
use evaluate::Values;

/// What was asked about the lots of a project, and what was answered.
#[derive(Clone, Debug)]
pub struct Answered {
    /// The question.
    pub question: Question,
    /// The decision.
    pub decision: Decision,
}

/// What decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Solver {
    /// The method above, with certificates.
    #[default]
    Exact,
    /// The general integer model, by a solver library: the same plan at best, and no certificate.
    General(Backend),
}

/// Decides about the lots of a project, reporting how far it is, until `stop` says so.
pub fn decide_rows(
    project: &Project,
    rows: &[Row],
    report: &mut dyn FnMut(Progress),
    stop: &dyn Fn() -> bool,
) -> Answered {
    decide_rows_by(Solver::Exact, project, rows, report, stop)
}

/// Decides about the lots of a project by one of the solvers, reporting how far it is, until `stop` says so.
pub fn decide_rows_by(
    solver: Solver,
    project: &Project,
    rows: &[Row],
    report: &mut dyn FnMut(Progress),
    stop: &dyn Fn() -> bool,
) -> Answered {
    let question = question::question(project, rows);
    let decision = match solver {
        Solver::Exact => decide_watched(&question, report, stop),
        Solver::General(backend) => decide_by_model_watched(&question, backend, report, stop),
    };
    Answered { question, decision }
}

/// Decides a question within its own time limit.
pub fn decide(question: &Question) -> Decision {
    decide_watched(question, &mut |_| {}, &|| false)
}

/// Decides a question, reporting how far it is, until `stop` says so.
pub fn decide_watched(question: &Question, report: &mut dyn FnMut(Progress), stop: &dyn Fn() -> bool) -> Decision {
    let clock = Clock::new(question);
    if question.supplies.len() > core_problem::MANY_VESSELS && pairs(question) > MOST_PAIRS {
        return core_problem::decide(question, &clock, report, stop);
    }
    decide_by_size(question, &clock, report, stop)
}

/// Decides for any goal by linear relaxations, from a plan that keeps every constraint and the limits of the goal.
///
/// A question that is too large for them ([`takes_goals`]) is answered with the start and no bound.
pub fn decide_for(
    question: &Question,
    goal: &Goal,
    start: Decision,
    report: &mut dyn FnMut(Progress),
    stop: &dyn Fn() -> bool,
) -> Decision {
    let clock = Clock::new(question);
    let large = !takes_goals(question);
    levels::decide_for(question, goal, start, &clock, report, &|| large || stop())
}

/// Whether a question is small enough for goals other than a plan's.
pub fn takes_goals(question: &Question) -> bool {
    pairs(question) <= MOST_PAIRS
}

fn pairs(question: &Question) -> usize {
    question.classes.iter().map(|class| class.choices.len()).sum()
}

/// The same from a plan that keeps every constraint: never to one that is worse.
pub fn decide_from(
    question: &Question,
    start: Decision,
    report: &mut dyn FnMut(Progress),
    stop: &dyn Fn() -> bool,
) -> Decision {
    if relaxed_at_once(question) {
        return levels::decide(question, start, &Clock::new(question), report, stop);
    }
    let decision = decide_watched(question, report, stop);
    let rank = |decision: &Decision| Aim::ALL.map(|aim| evaluate::values(question, decision).of(aim));
    if rank(&decision) <= rank(&start) {
        return decision;
    }
    // The search ended early.
    levels::with_better_bounds(question, levels::with_trivial_bounds(question, start, true), decision.levels)
}

/// The plan of these choices with packs that cover them, if it keeps every limit.
pub fn covered(question: &Question, chosen: Chosen) -> Option<Decision> {
    let packs = packs::cover(question, &evaluate::pieces_used(question, &chosen))?;
    let decision = Decision { chosen, packs, ..Decision::default() };
    evaluate::check(question, &decision).is_ok().then_some(decision)
}

/// Whether the linear relaxation of a question is small, or what it is about is nothing for the flow.
fn relaxed_at_once(question: &Question) -> bool {
    let pairs = pairs(question);
    pairs <= MOST_PAIRS
        && (pairs <= FEWEST_PAIRS
            || !question.owned.is_empty()
            || question.limits.max_suppliers.is_some()
            || question.supplies.len() > core_problem::MANY_VESSELS)
}

/// Decides a question by what suits its size.
fn decide_by_size(
    question: &Question,
    clock: &Clock,
    report: &mut dyn FnMut(Progress),
    stop: &dyn Fn() -> bool,
) -> Decision {
    match () {
        () if relaxed_at_once(question) => levels::decide(question, greedy::decide(question), clock, report, stop),
        () if takes_goals(question) => {
            let by_flow = flow::decide(question, clock, report, &clock.after(SHARE_OF_FLOW, stop));
            let near = matches!(by_flow.status, Status::ProvedBest | Status::WithinGap);
            if near || stop() || clock.left().is_zero() {
                return by_flow;
            }
            let start = Decision { levels: Vec::new(), ..by_flow.clone() };
            levels::with_better_bounds(question, levels::decide(question, start, clock, report, stop), by_flow.levels)
        }
        () if question.owned.is_empty() => flow::decide(question, clock, report, stop),
        () => owned::decide_at_full_price(question, clock, report, stop),
    }
}

/// Pairs of a class and a choice up to which linear relaxations are solved at once, and at all. Between, the flow comes first: it
/// often proves in a tenth of a second what a programme of that size takes longer for.
const FEWEST_PAIRS: usize = 2_500;
const MOST_PAIRS: usize = 150_000;

/// Share of the time that the flow has where relaxations may follow.
const SHARE_OF_FLOW: f64 = 0.4;

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
