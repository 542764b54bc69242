//! The fewest lots of a priority that must be deferred to keep the budget.
//!
//! # Problem
//!
//! The least number n for which there is a plan within the budget that defers at most n lots of a priority, and of earlier
//! priorities at most their values. A plan for n is a plan for every larger number, so if n is infeasible, so is every smaller
//! number.
//!
//! # Method
//!
//! 1. A lower bound from the root relaxation: its cost is convex in n, so the dual price of one more deferred lot gives a line
//!    below the cost at every other n. The next n is the first at which this line is within the budget (Newton's method on a
//!    convex function; from memory). Every fourth step bisects instead.
//! 2. First plans: searches of few nodes at numbers from the lower bound upwards, in growing steps, then by bisection.
//! 3. Searches of more and more nodes, each at a number between the lower bound and the best plan, until these are equal.

use super::relaxation::Relaxation;
use super::search::{LevelProblem, Search, SearchProgress, SearchResult};
use crate::assign::progress::{Doing, Progress};
use crate::decision::{Aim, Decision, Question};
use crate::units::Money;

/// What is known of the fewest deferred lots.
pub struct FewestDeferred<'a> {
    /// The least number with a plan; the starting number if no plan was found.
    pub value: i64,
    /// Lower bound.
    pub bound: i64,
    /// The plan, if one was found.
    pub plan: Option<Decision>,
    /// Whether time ran out before the first search.
    pub not_begun: bool,
    /// The relaxation with the flow solved last.
    pub relaxation: Relaxation<'a>,
    /// Nodes bounded so far.
    nodes: u64,
}

/// Most nodes of the first search at a number.
const FIRST_NODES: u64 = 60;

/// Factor by which the limit grows with each round of later searches.
const MORE_NODES: u64 = 4;

/// Minimises the number of deferred lots of the priority of `aim`, starting from `value`, for which there is a plan, until
/// `stop` says so. `problem` makes the problem for a number.
pub fn minimise<'a>(
    question: &'a Question,
    (aim, value): (Aim, i64),
    problem: impl Fn(i64) -> LevelProblem,
    report: &mut dyn FnMut(Progress),
    stop: &dyn Fn() -> bool,
) -> FewestDeferred<'a> {
    let mut tell = |value: i64, bound: i64, nodes: u64| {
        report(Progress { aim, doing: Doing::Searching { nodes }, value, bound });
    };
    tell(value, 0, 0);
    // At `value` lots may be deferred, so the relaxation has the arcs that all numbers need.
    let mut relaxation = Relaxation::new(question, problem(value));
    let bound = root_bound(&mut relaxation, aim, value, &problem);
    let mut known = FewestDeferred { value, bound, plan: None, not_begun: false, relaxation, nodes: 0 };
    let mut begun = false;
    // First plans. `failed` is the greatest number at which a short search found none.
    let mut failed = known.bound - 1;
    let mut step = 1;
    while failed + 1 < known.value && !stop() {
        let middle = failed.midpoint(known.value).max(failed + 1);
        let number = if known.plan.is_none() { middle.min(failed + step) } else { middle };
        (known, begun) = (known.search(question, (number, problem(number)), FIRST_NODES, &mut tell, stop), true);
        if known.value > number {
            failed = number;
            step *= 2;
        }
    }
    // Then the gap between value and bound is closed.
    let mut most_nodes = FIRST_NODES;
    while known.bound < known.value && !stop() {
        most_nodes *= MORE_NODES;
        let mut number = known.value - 1;
        while known.bound <= number && number < known.value && !stop() {
            (known, begun) = (known.search(question, (number, problem(number)), most_nodes, &mut tell, stop), true);
            if number == known.bound {
                break;
            }
            number = known.bound.midpoint(number);
        }
    }
    known.not_begun = !begun && known.bound < known.value;
    known
}

impl<'a> FewestDeferred<'a> {
    /// Updates what is known by a search for a plan with this number of deferred lots.
    fn search(
        self,
        question: &'a Question,
        (number, problem): (i64, LevelProblem),
        most_nodes: u64,
        tell: &mut dyn FnMut(i64, i64, u64),
        stop: &dyn Fn() -> bool,
    ) -> Self {
        let FewestDeferred { mut value, mut bound, mut plan, relaxation, mut nodes, .. } = self;
        let mut search = Search::with(question, relaxation, problem, None);
        let before = nodes;
        let mut watch = |progress: SearchProgress| {
            nodes = before + progress.nodes;
            tell(value, bound, nodes);
        };
        let SearchResult { incumbent, complete, .. } = search.run(most_nodes, &mut watch, stop);
        let target = i128::from(problem.target.unwrap_or(Money::ZERO).parts());
        match incumbent.filter(|(cost, _)| *cost <= target) {
            Some((_, decision)) => (value, plan) = (number, Some(decision)),
            None if complete => bound = number + 1,
            None => {}
        }
        FewestDeferred { value, bound, plan, relaxation: search.into_relaxation(), nodes, ..self }
    }
}

/// The least number, at most `value`, at which the root relaxation is feasible within the target.
fn root_bound(relaxation: &mut Relaxation, aim: Aim, value: i64, problem: &impl Fn(i64) -> LevelProblem) -> i64 {
    let (mut low, mut high) = (0, value);
    let mut number = value / 2;
    let mut steps = 0;
    while low < high {
        relaxation.set_problem(problem(number));
        let target = |number: i64| problem(number).target.unwrap_or(Money::ZERO);
        match relaxation.excess_over_target(aim) {
            None => low = number + 1,
            Some((excess, price)) => {
                // One more deferred lot also raises the target by its labour.
                let per_lot = price + relaxation.scaled(target(number + 1) - target(number));
                if excess > 0 {
                    low = if per_lot > 0 { number + quotient_up(excess, per_lot) } else { high };
                } else {
                    high = number;
                    low = if per_lot > 0 { low.max(number - quotient_down(-excess, per_lot)) } else { low };
                }
            }
        }
        low = low.min(high);
        steps += 1;
        number = if steps % 4 == 0 { i64::midpoint(low, high) } else { low };
    }
    low
}

/// Quotient of a nonnegative number by a positive one, rounded up.
fn quotient_up(amount: i128, divisor: i128) -> i64 {
    quotient_down(amount + divisor - 1, divisor)
}

/// The same, rounded down.
fn quotient_down(amount: i128, divisor: i128) -> i64 {
    i64::try_from(amount / divisor).unwrap_or(i64::MAX / 4)
}
