//! Large surveys: branch and bound on a min-cost flow.
//!
//! # Problem
//!
//! The model of [`super`] with the more urgent priority first ([`super::weighted`]) and without owned fluid ([`super::owned`] counts it as bought), for surveys whose linear programme would
//! take too much time or memory.
//!
//! # Method
//!
//! Level by level, as in [`super`]. At a node packs are divisible, and the constraints on goods and budget are relaxed with
//! multipliers. What remains is a transportation problem from classes of lots to vessels ([`relaxation`]): a min-cost flow, solved
//! by successive shortest augmenting paths ([`transport`]), starting from the flow of the node before.
//!
//! 1. The number of deferred lots, priority by priority: [`fewest_deferred`].
//! 2. Weighed money and, among plans of least money, fluid, in one [`search`] with a [`cost`] made of both.
//! 3. For each level a [`certificate`]: a tree of splits on suppliers and packs, whose leaves have the dual prices of their flows
//!    as multipliers.
//!
//! # Why the result is what it claims
//!
//! The search only finds plans. Bounds are claimed only from the certificate. It is evaluated in whole numbers, leaf by leaf
//! ([`crate::decision::certificate`]), and again by the audit.
//!
//! # Two trees
//!
//! The search and the certificate have trees of their own. The search may branch on lots, tighten limits by the cost of the
//! incumbent, and try many numbers of deferred lots; leaves can express none of that. Measured, with a budget, 10 000 lots and 100
//! vessels: 128 nodes searched for two numbers of deferred lots, 74 leaves certify both. Money, searched and certified: 2000 lots
//! 21 nodes and 19 leaves; 10 000 lots 990 nodes (15 s) and 879 leaves (15 s, busy machine); 100 000 lots 10 and 10 (gap
//! 0.002 %). Without tightening, the search of 10 000 lots took 1325 nodes (12 s): for money alone one tree might do.
//!
//! # Cost and limits
//!
//! A node takes milliseconds to seconds. Memory is some hundred bytes for each pair of a class and a choice, and grows with the
//! square of the number of vessels. The bound is weaker than that of the linear relaxation of [`super::tree`], which also has
//! cuts. Leaves restrict suppliers and packs, not lots.

mod certificate;
mod cost;
mod fewest_deferred;
mod level_result;
mod relaxation;
mod search;
pub mod supplier_decision;
mod transport;

use certificate::CertificateTime;
use fewest_deferred::FewestDeferred;
use level_result::LevelResult;
use relaxation::Relaxation;
use search::{LevelProblem, Search, SearchProgress};

use super::clock::Clock;
use super::evaluate::{self, values};
use super::greedy;
use super::progress::{Doing, Progress};
use crate::decision::{Aim, Decision, Question};
use crate::units::{Millilitres, Money};

/// Share of the time left that the search for the fewest deferred lots of one priority may take.
const SHARE_OF_COUNT: f64 = 0.6;

/// Decides a question in which no fluid is owned. `report` is told the progress; `stop` ends the search early.
pub fn decide(
    question: &Question,
    clock: &Clock,
    report: &mut dyn FnMut(Progress),
    stop: &dyn Fn() -> bool,
) -> Decision {
    let mut levels = Levels::new(question);
    for priority in 1..=4 {
        levels.minimise_deferred(priority, clock, report, stop);
    }
    levels.minimise_money_and_fluid(clock, report, stop);
    levels.certified(clock, report, stop)
}

/// The incumbent, and the results of the levels searched so far.
struct Levels<'a> {
    question: &'a Question,
    incumbent: Decision,
    results: Vec<LevelResult>,
    /// Whether time ran out before the search of some level began.
    not_begun: bool,
    /// By level, the relaxation with the flow solved last, for its certificate.
    relaxations: Vec<(Aim, Relaxation<'a>)>,
}

impl<'a> Levels<'a> {
    fn new(question: &'a Question) -> Self {
        Levels {
            question,
            incumbent: greedy::decide(question),
            results: Vec::new(),
            not_begun: false,
            relaxations: Vec::new(),
        }
    }

    fn value(&self, aim: Aim) -> i64 {
        values(self.question, &self.incumbent).of(aim)
    }

    /// By priority, the most lots that may be deferred: the values of the levels searched so far, otherwise 0.
    fn max_deferred(&self) -> [i64; 4] {
        let mut most = [0; 4];
        for result in &self.results {
            if let Aim::Deferred(priority) = result.aim {
                most[usize::from(priority) - 1] = result.value;
            }
        }
        most
    }

    /// Minimises the deferred lots of a priority. For each number tried the flow minimises money, with the budget as the target.
    fn minimise_deferred(
        &mut self,
        priority: u8,
        clock: &Clock,
        report: &mut dyn FnMut(Progress),
        stop: &dyn Fn() -> bool,
    ) {
        let aim = Aim::Deferred(priority);
        let mut result = LevelResult { aim, value: self.value(aim), bound: 0, complete: true };
        if result.value > 0 {
            let problem = |deferred: i64| count_problem(self.question, self.max_deferred(), priority, deferred);
            let stop = clock.after(SHARE_OF_COUNT, stop);
            let known = fewest_deferred::minimise(self.question, (aim, result.value), problem, report, &stop);
            let FewestDeferred { value, bound, plan, not_begun, relaxation, .. } = known;
            result = LevelResult { value, bound, complete: bound == value, ..result };
            self.not_begun |= not_begun;
            self.relaxations.push((aim, relaxation));
            if let Some(decision) = plan {
                self.incumbent = greedy::complete(self.question, &decision);
            }
        }
        self.results.push(result);
    }

    /// Minimises weighed money and, among plans of least money, fluid, in one search.
    fn minimise_money_and_fluid(&mut self, clock: &Clock, report: &mut dyn FnMut(Progress), stop: &dyn Fn() -> bool) {
        let problem = money_problem(self.question, self.max_deferred());
        let mut search = Search::new(self.question, problem, Some(&self.incumbent));
        let [money, fluid] = self.search_money_and_fluid(&mut search, report, &clock.after(1.0, stop));
        self.relaxations.push((Aim::Money, search.into_relaxation()));
        self.results.extend([money, fluid]);
    }

    /// Runs a search of money and fluid and returns the results of both levels.
    fn search_money_and_fluid(
        &mut self,
        search: &mut Search,
        report: &mut dyn FnMut(Progress),
        stop: &dyn Fn() -> bool,
    ) -> [LevelResult; 2] {
        let value = self.value(Aim::Money);
        let mut watch = |SearchProgress { nodes, incumbent, lower_bound }: SearchProgress| {
            let value = incumbent.unwrap_or(value);
            let bound = lower_bound.unwrap_or(0).min(value);
            report(Progress { aim: Aim::Money, doing: Doing::Searching { nodes }, value, bound });
        };
        let found = search.run(u64::MAX, &mut watch, stop);
        self.not_begun |= found.not_begun;
        if let Some((_, decision)) = found.incumbent {
            self.incumbent = decision;
        }
        let (money, fluid) = (self.value(Aim::Money), self.value(Aim::Fluid));
        let scale = search.cost_scale();
        let least = evaluate::least_possible(self.question, Aim::Money);
        let bound = found.lower_bound.and_then(|bound| i64::try_from(scale.money(bound)).ok());
        let bound = bound.map_or(least, |bound| bound.clamp(least, money));
        // A search that ended within the gap proves only its bound.
        let cost = scale.of(Money::from_parts(money), Millilitres(fluid));
        let complete = found.complete && found.lower_bound.is_none_or(|bound| bound >= cost);
        let least = evaluate::least_possible(self.question, Aim::Fluid).min(fluid);
        [
            LevelResult { aim: Aim::Money, value: money, bound, complete: complete || bound == money },
            LevelResult { aim: Aim::Fluid, value: fluid, bound: if complete { fluid } else { least }, complete },
        ]
    }

    /// The incumbent with its levels and their certificates.
    fn certified(self, clock: &Clock, report: &mut dyn FnMut(Progress), stop: &dyn Fn() -> bool) -> Decision {
        let values = values(self.question, &self.incumbent);
        let problem = |result: &LevelResult| match result.aim {
            Aim::Deferred(priority) => {
                // The certificate must show that one lot fewer than the bound is infeasible.
                let deferred = (result.bound.min(values.of(result.aim)) - 1).max(0);
                count_problem(self.question, self.max_deferred(), priority, deferred)
            }
            Aim::WeightedDeferred | Aim::Money | Aim::Fluid => money_problem(self.question, values.deferred),
        };
        let results: Vec<(LevelResult, LevelProblem)> =
            self.results.iter().map(|result| (*result, problem(result))).collect();
        let plan = (&values, &self.incumbent.packs);
        let time = CertificateTime { stop, late: &|| clock.late() };
        let relaxations = self.relaxations;
        let levels = certificate::levels(self.question, relaxations, &results, plan, self.not_begun, (report, &time));
        let status = super::levels::status(self.question, &levels, !self.not_begun);
        Decision { levels, status, ..self.incumbent }
    }
}

/// The problem of finding a plan within the budget that defers at most `deferred` lots of a priority, and of earlier priorities
/// at most `max_deferred`.
fn count_problem(question: &Question, mut max_deferred: [i64; 4], priority: u8, deferred: i64) -> LevelProblem {
    max_deferred[usize::from(priority) - 1] = deferred;
    LevelProblem {
        max_deferred,
        last_priority: priority,
        litre_weight: Money::ZERO,
        fluid_second: false,
        budget: None,
        target: Some(budget_without_labour(question, &max_deferred, priority)),
        gap: 0.0,
    }
}

/// The problem of minimising money, then fluid, with at most `max_deferred` deferred lots.
fn money_problem(question: &Question, max_deferred: [i64; 4]) -> LevelProblem {
    let limits = &question.limits;
    LevelProblem {
        max_deferred,
        last_priority: 4,
        litre_weight: limits.litre_weight,
        fluid_second: true,
        budget: limits.budget.map(|_| budget_without_labour(question, &max_deferred, 4)),
        target: None,
        gap: limits.gap,
    }
}

/// The budget less the labour of the placed lots, if labour counts against it; practically infinite without a budget.
fn budget_without_labour(question: &Question, max_deferred: &[i64; 4], last_priority: u8) -> Money {
    let limits = &question.limits;
    let Some(budget) = limits.budget else { return Money::from_parts(i64::MAX) };
    let lots = (1..=last_priority).map(|priority| evaluate::rows_of(question, priority)).sum::<i64>();
    let placed = lots - max_deferred[..usize::from(last_priority)].iter().sum::<i64>();
    budget - limits.labour_per_row * placed
}
