//! Decides which lot goes into which vessel, exactly: the model and the method.
//!
//! # Problem
//!
//! Each lot (a row of the survey) takes one of its *choices*, a number of pieces of one vessel or a tank made to measure, or is
//! deferred. Lots of one priority with the same choices, whose costs differ by a constant from lot to lot, form a *class*. Lots of
//! a class with equal constants form a *run*.
//!
//! Indices: class c, choice o of c, run r of c, vessel v, offer o of v, supplier k, owned fluid u, priority q. Variables are whole
//! numbers ≥ 0, except e(u) ≥ 0, which may be fractional. A limit that is not set is left out.
//!
//! | variable | meaning |
//! |---|---|
//! | x(c, o) | lots of class c in choice o |
//! | w(c, r) | lots of run r of class c that are deferred, at most n(r) |
//! | y(o) | packs bought of offer o |
//! | P(k) | 1 if supplier k is ordered from and its delivery charge is paid |
//! | F(k) | 1 if supplier k is ordered from and delivers free; 0 where k has no threshold of free delivery |
//! | t(v) | 1 if any packs of vessel v are bought |
//! | e(u) | litres of owned fluid u bought beyond the stock |
//!
//! | data | meaning |
//! |---|---|
//! | n(c), n(r) | lots of class c, of run r |
//! | p(c, o) | pieces of its vessel that one lot of c takes in choice o |
//! | f(c, o), l(c, o) | money and litres of choice o for one lot: the tank, and fluid that is not owned; vessels are paid for by the pack |
//! | f(r), l(r) | constants of run r: money and litres that each placed lot of r adds to those of its choice |
//! | need(u, c, o), need(u, r) | litres of owned fluid u, likewise |
//! | q(o), a(o) | pieces in a pack of offer o, price of the pack |
//! | min_packs(o), limit(o) | fewest packs if any are bought, most packs |
//! | free(v), spare | free pieces of v; share of spare pieces on top of the pieces used from purchase |
//! | charge(k), minimum(k), threshold(k) | delivery charge, least goods of an order, goods from which delivery is free |
//! | price(u), owned(u) | price of a litre, litres in stock |
//! | weight, labour | money that one litre weighs beside its price; money of labour per lot, if it counts against the budget |
//!
//! Lexicographically minimise W(1), W(2), W(3), W(4), M, L: deferred lots by priority, weighed money, litres. With
//! need(u) = Σ_{c, o} need(u, c, o) x(c, o) + Σ_{c, r} need(u, r) (n(r) − w(c, r)):
//!
//! ```text
//! W(q) = Σ_{c of priority q} Σ_r w(c, r)
//! L    = Σ_{c, o} l(c, o) x(c, o) + Σ_{c, r} l(r) (n(r) − w(c, r))
//! C    = Σ_{c, o} f(c, o) x(c, o) + Σ_{c, r} f(r) (n(r) − w(c, r)) + Σ_o a(o) y(o) + Σ_k charge(k) P(k) + Σ_u price(u) e(u)
//! M    = C + weight · L
//! ```
//!
//! subject to
//!
//! ```text
//! Σ_o x(c, o) + Σ_r w(c, r) = n(c)                                                for each class c
//! Σ_{o of v} q(o) y(o) ≥ ⌈(1 + spare) (Σ_{c, o in v} p(c, o) x(c, o) − free(v))⌉  for each vessel v
//! y(o) = 0 or min_packs(o) ≤ y(o) ≤ limit(o)                                      for each offer o
//! y(o) > 0 only if t(v) = 1 for its vessel v                                      for each offer o
//! y(o) > 0 only if P(k) + F(k) = 1 for its supplier k                             for each offer o that has a supplier
//! P(k) + F(k) ≤ 1                                                                 for each supplier k
//! Σ_{o of k} a(o) y(o) ≥ minimum(k) P(k) + max(minimum(k), threshold(k)) F(k)     for each supplier k
//! e(u) ≥ need(u) − owned(u)                                                       for each owned fluid u
//! Σ_v t(v) ≤ max_vessel_types over the vessels v that count as a kind,   Σ_k (P(k) + F(k)) ≤ max_suppliers
//! C + labour · Σ_{c, o} x(c, o) ≤ budget
//! ```
//!
//! Where priorities are weighed against each other, the weighted number H of deferred lots takes the place of W(1), …, W(4), with
//! ω(q) for what a deferred lot of priority q counts:
//!
//! ```text
//! H = Σ_q ω(q) W(q)
//! ```
//!
//! # Method
//!
//! The levels W(1), …, L are minimised in order ([`levels`]), each by branch and bound ([`tree`]) over the plans that are no worse
//! than the incumbent on the earlier levels. At each node:
//!
//! 1. The dual simplex method ([`linear`]) solves the linear relaxation ([`formulation`]). Cuts of single vessels ([`cuts`]) and of
//!    orders that must reach an amount of goods ([`goods`]) strengthen it, up to a limit on their number.
//! 2. Its dual prices are scaled and rounded to whole multipliers ([`multipliers`]). Weak duality turns these into an exact lower
//!    bound of the node ([`bound`]): the constraints on pieces, goods, owned fluid, budget, kinds, suppliers and earlier levels
//!    are relaxed at their multipliers, and then lots, offers, kinds and suppliers are minimised separately. Packs stay whole,
//!    `min_packs` holds, and orders that must reach an amount are minimised in whole packs ([`covering`]).
//! 3. If the bound is at least the value of the incumbent, the node is closed. Otherwise it is split: on the state of a
//!    supplier, on the packs of an offer, on the pieces of a vessel that a set of lots takes ([`counts`]), or on the number of
//!    lots in a choice or deferred.
//!
//! Rounding ([`rounding`]) of relaxed solutions, also after a dive ([`diving`]), gives plans for the [`incumbent`].
//!
//! The next level starts from the tree of the last one if that is complete (in large programmes a level that counts lots starts
//! anew). A leaf stays closed if its multipliers also close it on the new level; the others are opened again. Where the tree is not
//! complete after some hundred nodes, the level starts anew. If it counts lots under a budget, it is first searched for the least
//! money that a better number of deferred lots takes: if that exceeds the budget, no plan has such a number. The nodes are closed by
//! bounds of the same form.
//!
//! Why the result is what it claims: the tree with the multipliers of its leaves is the [`certificate`] of the level. Every split
//! is exhaustive, and anybody can evaluate the bound of a leaf ([`crate::decision::certificate`]). A node that is still open is a
//! leaf too, with the bound it has. So the bound needs neither a finished search nor floating-point numbers. The audit
//! evaluates certificates with code of its own. A value is proved best only if its bound equals it.
//!
//! # Size, cost and limits
//!
//! Size is counted in pairs of a class and one of its choices:
//!
//! * up to [`FEWEST_PAIRS`] pairs: the method above;
//! * up to [`MOST_PAIRS`] pairs: with owned fluid, a limit on suppliers, or more than [`core_problem::MANY_VESSELS`] vessels, the
//!   method above; otherwise a min-cost flow with divisible packs ([`flow`]) first, and the method above from its plan if the flow
//!   leaves a level unproved and beyond the gap;
//! * the same sizes where priorities are weighed: [`weighted`] in place of the flow;
//! * beyond, the flow alone, with certificates of the same form; owned fluid is then decided at its full price ([`owned`]);
//! * beyond, with more than [`core_problem::MANY_VESSELS`] vessels: only the most promising choices ([`core_problem`]), because the
//!   memory of the flow grows with the square of the number of vessels.
//!
//! The linear programme has a column for each pair and each run, and a row for each class, vessel and offer. A pivot takes time
//! proportional to the rows and to the entries of the pivot row. The flow takes some hundred bytes of memory a pair.
//!
//! The general integer model ([`model`]) goes to a solver library, for comparison alone ([`general`]); it proves nothing here.

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
mod weighted;

pub use backend::Backend;
pub use exchange::with_one_more;
pub use general::{decide_by_model, decide_by_model_watched, searched_by_model};
pub use progress::{Doing, Progress};

use crate::decision::{Aim, Chosen, Decision, Goal, Question, Status};
use crate::options::table::Row;
use crate::project::Project;
use crate::settings::CountLimits;
use clock::Clock;
use evaluate::Values;

/// The question about the lots of a project, and the decision.
#[derive(Clone, Debug)]
pub struct Answered {
    /// The question.
    pub question: Question,
    /// The decision.
    pub decision: Decision,
}

/// Which solver decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Solver {
    /// The method above, with certificates.
    #[default]
    Exact,
    /// The general integer model, solved by a library: at best the same plan, without a certificate.
    General(Backend),
}

/// Decides about the lots of a project by the exact method. `report` is told the progress; `stop` ends the search early.
pub fn decide_rows(
    project: &Project,
    rows: &[Row],
    report: &mut dyn FnMut(Progress),
    stop: &dyn Fn() -> bool,
) -> Answered {
    decide_rows_by(Solver::Exact, project, rows, report, stop)
}

/// Decides about the lots of a project by the given solver. `report` is told the progress; `stop` ends the search early.
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

/// Decides a question within its own time limit. `report` is told the progress; `stop` ends the search early.
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
    let rank = |decision: &Decision| {
        let values = evaluate::values(question, decision);
        question.limits.aims().iter().map(|aim| values.of(*aim)).collect::<Vec<i64>>()
    };
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

/// Whether branch and bound on the linear relaxation decides from the start: the question is small, or has what the flow does not
/// represent.
fn relaxed_at_once(question: &Question) -> bool {
    // Under a limit on suppliers the linear programme decides; under one on kinds of vessel the flow may.
    let CountLimits { max_vessel_types: _, max_suppliers } = question.limits.count_limits();
    let pairs = pairs(question);
    pairs <= MOST_PAIRS
        && (pairs <= FEWEST_PAIRS
            || !question.owned.is_empty()
            || max_suppliers.is_some()
            || question.supplies.len() > core_problem::MANY_VESSELS)
}

/// Decides a question by the method that suits its size (see the head of this file).
fn decide_by_size(
    question: &Question,
    clock: &Clock,
    report: &mut dyn FnMut(Progress),
    stop: &dyn Fn() -> bool,
) -> Decision {
    match () {
        () if relaxed_at_once(question) => levels::decide(question, greedy::decide(question), clock, report, stop),
        () if question.limits.priority_weights.is_some() => weighted::decide(question, clock, report, stop),
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

/// Most pairs of a class and a choice for which the linear programme is solved without the flow before it, and for which it is
/// solved at all. Between the two the flow comes first: it often proves a plan in a tenth of a second, and the programme takes longer.
const FEWEST_PAIRS: usize = 2_500;
const MOST_PAIRS: usize = 150_000;

/// Share of the time that the flow may take where linear relaxations may follow.
const SHARE_OF_FLOW: f64 = 0.4;

/// The relative gap of a level: value − bound, divided by the lots of the priority (deferred lots) or by the value (money, fluid).
pub fn gap(question: &Question, aim: Aim, value: i64, bound: i64) -> f64 {
    let over = match aim {
        Aim::WeightedDeferred => evaluate::weighted_rows(question),
        Aim::Deferred(priority) => evaluate::rows_of(question, priority),
        Aim::Money | Aim::Fluid => value,
    };
    if value == bound { 0.0 } else { (value - bound).max(0) as f64 / (over.max(1)) as f64 }
}

impl Values {
    /// The value of one level.
    pub fn of(&self, aim: Aim) -> i64 {
        match aim {
            Aim::WeightedDeferred => self.weighted_deferred,
            Aim::Deferred(priority) => self.deferred[usize::from(priority) - 1],
            Aim::Money => self.weighed.parts(),
            Aim::Fluid => self.fluid.0,
        }
    }
}
