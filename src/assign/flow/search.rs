//! Branch and bound for plans of least cost with a limited number of deferred lots of each priority.
//!
//! # Problem
//!
//! A [`LevelProblem`]: minimise money, or money and then fluid, over the plans that defer at most a given number of lots of
//! each priority and keep the budget; or find any plan within a target.
//!
//! # Method
//!
//! Branch and bound (A. H. Land and A. G. Doig, "An automatic method of solving discrete programming problems",
//! Econometrica 28 (1960) 497–520, from memory) on the [`relaxation`](super::relaxation).
//!
//! 1. A node is bounded by the relaxation of its subproblem. It is closed if the bound meets the cutoff: the cost of
//!    the incumbent, or the target. Otherwise limits on packs are tightened by penalties and the node is solved again.
//! 2. Plans come from three heuristics ([`plans`]): rounding the relaxed solution, diving, and local search around the
//!    incumbent.
//! 3. A node is branched on, in this order: suppliers, lots in several pieces, vessels beyond `max_vessel_types`, packs.
//! 4. The search continues with a child of the current node, whose flow differs little from the flow just solved,
//!    at most [`DEEPEST`] times in a row; then with the open node of least bound.
//!
//! # Why the result is optimal
//!
//! 1. The children of a branch hold all plans of their parent.
//! 2. The bound of a node is a lower bound on all its plans.
//! 3. Tightened limits exclude no plan whose cost is below the cutoff.
//! 4. So if no node is left whose bound is below the cost of the incumbent, the incumbent is optimal.
//! 5. All costs are whole numbers; nothing is decided by a tolerance.
//!
//! The bounds of a decision do not depend on this: [`super::certificate`] computes them in a form that can be checked without a
//! search.
//!
//! # Cost and limits
//!
//! A node changes a flow a few times; the number of nodes may grow exponentially with the number of offers. Open nodes take
//! some kilobytes each. If a node cannot be branched and no plan has its bound, it stays open and the search is not complete.

mod plans;

use std::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;

use super::cost::CostScale;
use super::relaxation::{Branch, Relaxation, RelaxedSolution, Subproblem};
use crate::assign::evaluate::{self, Values};
use crate::decision::{Decision, Question};
use crate::units::Money;

/// The problem of one level.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LevelProblem {
    /// By priority, most lots that may be deferred.
    pub max_deferred: [i64; 4],
    /// Lots of later priorities are left out: all are deferred.
    pub last_priority: u8,
    /// Money that a litre weighs in the objective, beside its price.
    pub litre_weight: Money,
    /// Whether fluid is minimised among plans of least money.
    pub fluid_second: bool,
    /// Upper limit of money, if there is a budget and no target.
    pub budget: Option<Money>,
    /// The search ends at a plan of at most this money.
    pub target: Option<Money>,
    /// The search ends at a plan within this relative gap of the lower bound.
    pub gap: f64,
}

impl LevelProblem {
    /// Whether the objective is not money alone, so that the plan of least objective may exceed the budget.
    pub fn has_budget_beside_objective(&self) -> bool {
        self.budget.is_some() && self.litre_weight > Money::ZERO
    }
}

/// Progress of a search.
#[derive(Clone, Copy, Debug)]
pub struct SearchProgress {
    /// Nodes bounded so far.
    pub nodes: u64,
    /// Money of the incumbent, in ten-millionths.
    pub incumbent: Option<i64>,
    /// Least bound of the open nodes, as money in ten-millionths.
    pub lower_bound: Option<i64>,
}

/// The result of a search.
#[derive(Clone, Debug)]
pub struct SearchResult {
    /// The incumbent and its cost, if there is one.
    pub incumbent: Option<(i128, Decision)>,
    /// Lower bound on the cost; `None` if there is no plan, or nothing is known.
    pub lower_bound: Option<i128>,
    /// Whether the search is complete: no open node is left, or the target or the gap is met.
    pub complete: bool,
    /// Whether not even the root was solved.
    pub not_begun: bool,
}

/// A search with its branch-and-bound tree; it may be stopped and continued.
pub struct Search<'a> {
    question: &'a Question,
    problem: LevelProblem,
    relaxation: Relaxation<'a>,
    /// The relaxation with money alone as the objective, if the budget is beside the objective.
    money: Option<Relaxation<'a>>,
    incumbent: Option<(i128, Decision)>,
    begun: bool,
    open: BinaryHeap<OpenNode>,
    /// The child to continue with before an open node is taken.
    next: Option<OpenNode>,
    /// How many times in a row the search has continued with a child.
    depth: usize,
    n_nodes: u64,
    /// The first node from this number on starts a dive.
    dive_from: u64,
    /// Cost of the incumbent whose neighbourhood was searched last.
    searched_around: Option<i128>,
    /// Least bound of the nodes that are not closed but cannot be branched.
    undivided: Option<i128>,
}

/// Nodes between two reports of progress.
const REPORT_EVERY: u64 = 8;

/// The relaxed solutions of the first `ROUND_FIRST` nodes are all rounded, later only every `ROUND_EVERY`th, because they differ
/// little.
const ROUND_FIRST: u64 = 40;
const ROUND_EVERY: u64 = 16;

/// Most times in a row that the search continues with a child. Without a limit it would exchange packs of one vessel for packs of
/// another, one by one.
const DEEPEST: usize = 40;

/// An open node.
struct OpenNode {
    bound: i128,
    number: u64,
    subproblem: Subproblem,
    branch: Branch,
}

impl PartialEq for OpenNode {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}
impl Eq for OpenNode {}
impl PartialOrd for OpenNode {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for OpenNode {
    /// The greatest is the node with the least bound; of equals, the newest.
    fn cmp(&self, other: &Self) -> Ordering {
        (Reverse(self.bound), self.number).cmp(&(Reverse(other.bound), other.number))
    }
}

impl<'a> Search<'a> {
    /// A search that has not begun, from a plan if there is one.
    pub fn new(question: &'a Question, problem: LevelProblem, start: Option<&Decision>) -> Self {
        Search::with(question, Relaxation::new(question, problem), problem, start)
    }

    /// The same with the relaxation, and so the flow, of an earlier search; it must suit the problem.
    pub fn with(
        question: &'a Question,
        mut relaxation: Relaxation<'a>,
        problem: LevelProblem,
        start: Option<&Decision>,
    ) -> Self {
        relaxation.set_problem(problem);
        let money = problem.has_budget_beside_objective().then(|| Relaxation::of_money(question, problem));
        let mut search = Search {
            question,
            problem,
            relaxation,
            money,
            incumbent: None,
            begun: false,
            open: BinaryHeap::new(),
            next: None,
            depth: 0,
            n_nodes: 0,
            dive_from: 1,
            searched_around: None,
            undivided: None,
        };
        if let Some(start) = start {
            search.propose(start.clone());
        }
        search
    }

    /// The relaxation with the flow solved last, for another search.
    pub fn into_relaxation(self) -> Relaxation<'a> {
        self.relaxation
    }

    /// The scale on which money and fluid are one cost.
    pub fn cost_scale(&self) -> CostScale {
        self.relaxation.cost_scale()
    }

    /// Searches until the problem is solved, `most_nodes` more nodes were bounded or `stop` says so.
    pub fn run(
        &mut self,
        most_nodes: u64,
        watch: &mut dyn FnMut(SearchProgress),
        stop: &dyn Fn() -> bool,
    ) -> SearchResult {
        if !self.begun && stop() {
            let incumbent = self.incumbent.clone();
            return SearchResult { incumbent, lower_bound: None, complete: false, not_begun: true };
        }
        if !self.begun {
            self.begun = true;
            let root = self.relaxation.root();
            self.next = self.bounded(root, i128::MIN);
        }
        let complete = self.branch_and_bound(self.n_nodes.saturating_add(most_nodes), watch, stop);
        let cost = self.incumbent.as_ref().map(|(cost, _)| *cost);
        let complete = complete && self.undivided.is_none_or(|bound| cost.is_some_and(|cost| cost <= bound));
        let lower_bound = match (self.least_bound(), cost) {
            (Some(open), Some(cost)) => Some(open.min(cost)),
            (open, cost) => open.or(cost),
        };
        SearchResult { incumbent: self.incumbent.clone(), lower_bound, complete, not_begun: false }
    }

    /// The main loop; true if the search is complete, false if it was stopped.
    fn branch_and_bound(
        &mut self,
        most_nodes: u64,
        watch: &mut dyn FnMut(SearchProgress),
        stop: &dyn Fn() -> bool,
    ) -> bool {
        loop {
            if self.n_nodes.is_multiple_of(REPORT_EVERY) {
                watch(self.progress());
            }
            if self.is_solved() {
                return true;
            }
            if self.next.as_ref().is_some_and(|node| self.within_gap(node.bound)) {
                self.open.extend(self.next.take());
            }
            if self.next.is_none() {
                self.depth = 0;
                self.search_neighbourhood(stop);
            }
            let Some(node) = self.next.take().or_else(|| self.open.pop()) else { return true };
            if self.cutoff().is_some_and(|cutoff| node.bound >= cutoff) {
                continue;
            }
            if self.n_nodes >= most_nodes || stop() {
                self.open.push(node);
                return false;
            }
            if self.n_nodes >= self.dive_from {
                self.dive(&node.subproblem, stop);
                self.dive_from = (self.n_nodes + 1).next_power_of_two().min(self.n_nodes + 16);
            }
            self.divide(&node);
        }
    }

    /// Makes the children of a node and chooses the one to continue with.
    fn divide(&mut self, node: &OpenNode) {
        let children = self.relaxation.children(&node.subproblem, &node.branch);
        let children = children.into_iter().filter_map(|subproblem| self.bounded(subproblem, node.bound));
        let mut children: Vec<OpenNode> = children.collect();
        children.sort();
        self.depth += 1;
        if self.depth < DEEPEST {
            self.next = children.pop();
        }
        self.open.extend(children);
    }

    fn progress(&self) -> SearchProgress {
        let money = |cost: i128| i64::try_from(self.relaxation.money_of(cost)).ok();
        let incumbent = self.incumbent.as_ref().and_then(|(cost, _)| money(*cost));
        SearchProgress { nodes: self.n_nodes, incumbent, lower_bound: self.least_bound().and_then(money) }
    }

    /// The least bound of the nodes that are not closed.
    fn least_bound(&self) -> Option<i128> {
        let open = self.open.peek().map(|node| node.bound);
        let next = self.next.as_ref().map(|node| node.bound);
        open.into_iter().chain(next).chain(self.undivided).min()
    }

    /// The cutoff: nodes of this bound or more hold no better plan, or none within the target.
    fn cutoff(&self) -> Option<i128> {
        let cost = self.incumbent.as_ref().map(|(cost, _)| *cost);
        cost.into_iter().chain(self.relaxation.target_cutoff()).min()
    }

    /// Whether the incumbent is within the gap of a bound. Both are compared as money in whole ten-millionths, as the level states
    /// them.
    fn within_gap(&self, bound: i128) -> bool {
        self.incumbent.as_ref().is_some_and(|(cost, _)| {
            let [cost, bound] = [*cost, bound].map(|cost| self.relaxation.money_of(cost));
            self.problem.gap > 0.0 && (cost - bound) as f64 <= self.problem.gap * cost as f64
        })
    }

    /// Whether the incumbent meets the target or, without a target, the gap.
    fn is_solved(&self) -> bool {
        let within_gap = self.least_bound().is_some_and(|bound| self.within_gap(bound));
        let Some(target) = self.problem.target else { return within_gap };
        self.incumbent.as_ref().is_some_and(|(cost, _)| *cost <= self.relaxation.cost_of_money(target))
    }

    /// Bounds a subproblem; returns it as an open node with its branch, or `None` if it is closed.
    fn bounded(&mut self, mut subproblem: Subproblem, bound_of_parent: i128) -> Option<OpenNode> {
        if !self.is_affordable(&subproblem) {
            return None;
        }
        let (mut bound, mut solved_again) = (bound_of_parent, false);
        let branch = loop {
            let relaxed = self.solve(&mut subproblem, &mut bound)?;
            let branch = self.relaxation.branch(&subproblem, &relaxed, self.cutoff());
            if let Some(branch) = branch {
                break branch;
            }
            // The relaxed solution is a plan, but it may exceed the budget or cost more than the bound.
            let chosen = self.relaxation.lot_choices(&subproblem);
            let packs = self.relaxation.packs(&subproblem, &relaxed);
            self.propose(Decision { chosen, packs, ..Decision::default() });
            if self.incumbent.as_ref().is_some_and(|(cost, _)| bound >= *cost) {
                return None;
            }
            if let Some(branch) = self.relaxation.branch_on_lots(&subproblem) {
                break branch;
            }
            if self.problem.has_budget_beside_objective() {
                // Every lot is fixed: the node holds only that plan.
                return None;
            }
            if std::mem::replace(&mut solved_again, true) {
                self.undivided = self.undivided.into_iter().chain([bound]).min();
                return None;
            }
            // With its limits tightened and new multipliers, the node may have another relaxed solution, or none.
            subproblem.seek_multipliers_anew();
        };
        self.n_nodes += 1;
        Some(OpenNode { bound, number: self.n_nodes, subproblem, branch })
    }

    /// Solves the relaxation of a subproblem, rounds the solution and tightens the limits on packs, until that changes
    /// nothing more; `None` if the bound meets the cutoff.
    fn solve(&mut self, subproblem: &mut Subproblem, bound: &mut i128) -> Option<RelaxedSolution> {
        loop {
            let mut relaxed = self.relaxation.solve(subproblem)?;
            *bound = relaxed.bound.max(*bound);
            if self.cutoff().is_some_and(|cutoff| *bound >= cutoff) {
                return None;
            }
            if self.n_nodes < ROUND_FIRST || self.n_nodes.is_multiple_of(ROUND_EVERY) {
                self.round();
            }
            let Some(cutoff) = self.cutoff() else { return Some(relaxed) };
            if *bound >= cutoff {
                return None;
            }
            if !self.relaxation.tighten_packs(subproblem, &mut relaxed, cutoff)? {
                return Some(relaxed);
            }
        }
    }

    /// Whether a subproblem may hold a plan within the budget.
    fn is_affordable(&mut self, subproblem: &Subproblem) -> bool {
        let (Some(money), Some(budget)) = (&mut self.money, self.problem.budget) else { return true };
        let relaxed = money.solve(&mut subproblem.clone());
        relaxed.is_some_and(|relaxed| relaxed.bound <= money.cost_of_money(budget))
    }

    /// Makes a plan the incumbent if it is feasible and better; true if it is.
    fn propose(&mut self, decision: Decision) -> bool {
        if evaluate::check_terms(self.question, &decision).is_err() {
            return false;
        }
        let values = evaluate::values(self.question, &decision);
        let mut deferred = values.deferred.iter().zip(1u8..).zip(self.problem.max_deferred);
        let few_deferred =
            deferred.all(|((deferred, priority), most)| priority > self.problem.last_priority || *deferred <= most);
        let cost = self.relaxation.cost_of(&values);
        let is_better = self.incumbent.as_ref().is_none_or(|(best, _)| cost < *best);
        if !few_deferred || self.exceeds_budget(&values) || !is_better {
            return false;
        }
        self.incumbent = Some((cost, decision));
        true
    }

    /// Whether a plan exceeds the budget. With a target this is false: the target replaces the budget.
    fn exceeds_budget(&self, values: &Values) -> bool {
        self.problem.target.is_none() && evaluate::check_budget(self.question, values).is_err()
    }
}
