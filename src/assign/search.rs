//! The search of our own: least cost with so many rows of each priority left deferred, proved by branching.
//!
//! Packs taken as divisible, what is left of the decision is a transportation problem ([`super::transport`]) with few
//! limited places: free pieces, packs already decided, and the deferred rows of a priority. Its cost is a bound; its
//! rows with packs rounded up are a plan. Branching decides suppliers (closed, paying, free), then lots divided over
//! several vessels, then the pack count whose rounding costs most. Where goods must reach a minimum or a threshold, a
//! multiplier on the supplier's prices lifts the bound (Geoffrion 1974, Mathematical Programming Study 2:82–114, cited from memory). All
//! amounts are whole numbers, so a bound that meets a plan is a proof.

use std::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;

use super::evaluate::{self, Values};
use super::packs;
use super::relaxation::{Branch, Relaxation, Relaxed, State};
use crate::decision::{Decision, Question};
use crate::units::Money;

/// What is searched for.
#[derive(Clone, Copy, Debug)]
pub struct Goal {
    /// Most rows left deferred, by priority.
    pub deferred: [i64; 4],
    /// Rows of a later priority are left out: all deferred.
    pub last_priority: u8,
    /// Money a litre weighs beside its price.
    pub litre_weight: Money,
    /// Least fluid among plans of least money.
    pub then_fluid: bool,
    /// A plan within this budget is enough.
    pub enough: Option<Money>,
    /// So is one this near its bound, as a ratio.
    pub gap: f64,
}

/// What was found.
#[derive(Clone, Debug)]
pub struct Found {
    /// The best plan and its cost, if there is one.
    pub best: Option<(i128, Decision)>,
    /// No plan costs less; `None` where there is no plan at all.
    pub bound: Option<i128>,
    /// The search came to its end.
    pub complete: bool,
    /// Not even the first part was looked at.
    pub empty_handed: bool,
}

/// A search that may be halted and taken up again.
pub struct Search<'a> {
    tree: Tree<'a>,
    begun: bool,
}

impl<'a> Search<'a> {
    /// A search that has not looked at anything yet, from a plan if there is one.
    pub fn new(question: &'a Question, goal: Goal, start: Option<&Decision>) -> Self {
        let relaxation = Relaxation::new(question, goal);
        let mut tree = Tree { question, goal, relaxation, best: None, open: BinaryHeap::new(), n_nodes: 0 };
        if let Some(start) = start {
            tree.offer(start.clone());
        }
        Search { tree, begun: false }
    }

    /// Takes a plan found elsewhere, if it is better.
    pub fn offer(&mut self, decision: &Decision) {
        self.tree.offer(decision.clone());
    }

    /// Searches on until the goal is reached or `stop` says so.
    pub fn run(&mut self, stop: &dyn Fn() -> bool) -> Found {
        let tree = &mut self.tree;
        if !self.begun && stop() {
            return Found { best: tree.best.clone(), bound: None, complete: false, empty_handed: true };
        }
        if !self.begun {
            self.begun = true;
            tree.add(tree.relaxation.root(), i128::MIN);
        }
        let complete = tree.run(stop);
        let open = tree.open.peek().map(|node| node.bound);
        let best = tree.best.as_ref().map(|(cost, _)| *cost);
        let bound = match (open, best) {
            (Some(open), Some(best)) => Some(open.min(best)),
            (open, best) => open.or(best),
        };
        Found { best: tree.best.clone(), bound, complete, empty_handed: false }
    }
}

/// Whether the relaxation of the whole leaves a plan possible: what it rules out is ruled out.
pub fn possible(question: &Question, goal: Goal) -> bool {
    let relaxation = Relaxation::new(question, goal);
    let enough = goal.enough.map(|money| relaxation.cost_of_money(money));
    let bound = relaxation.solve(&mut relaxation.root()).map(|relaxed| relaxed.bound);
    bound.is_some_and(|bound| enough.is_none_or(|enough| bound <= enough))
}

struct Tree<'a> {
    question: &'a Question,
    goal: Goal,
    relaxation: Relaxation<'a>,
    best: Option<(i128, Decision)>,
    open: BinaryHeap<Node>,
    n_nodes: u64,
}

/// A part of the decision that is still open, with its bound.
struct Node {
    bound: i128,
    number: u64,
    state: State,
    branch: Branch,
}

impl PartialEq for Node {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}
impl Eq for Node {}
impl PartialOrd for Node {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Node {
    /// The least bound first, the newest of equals.
    fn cmp(&self, other: &Self) -> Ordering {
        (Reverse(self.bound), self.number).cmp(&(Reverse(other.bound), other.number))
    }
}

impl Tree<'_> {
    fn run(&mut self, stop: &dyn Fn() -> bool) -> bool {
        loop {
            if self.reached() {
                return true;
            }
            let Some(node) = self.open.pop() else { return true };
            if self.best.as_ref().is_some_and(|(best, _)| node.bound >= *best) {
                self.open.clear();
                return true;
            }
            if stop() {
                self.open.push(node);
                return false;
            }
            for state in self.relaxation.children(&node.state, &node.branch) {
                self.add(state, node.bound);
            }
        }
    }

    /// A plan that is good enough was found, or none that good can be.
    fn reached(&self) -> bool {
        let near = self.best.as_ref().zip(self.open.peek()).is_some_and(|((best, _), node)| {
            // As the level of money will be stated, in whole parts.
            let [best, bound] = [*best, node.bound].map(|cost| self.relaxation.money_of(cost));
            self.goal.gap > 0.0 && (best - bound) as f64 <= self.goal.gap * best as f64
        });
        let Some(enough) = self.goal.enough else { return near };
        let enough = self.relaxation.cost_of_money(enough);
        self.best.as_ref().is_some_and(|(best, _)| *best <= enough)
            || self.open.peek().is_some_and(|node| node.bound > enough)
    }

    /// Bounds a part, takes the plan that its relaxation suggests, and keeps it if it may hold a better one.
    fn add(&mut self, mut state: State, parent: i128) {
        let Some(relaxed) = self.relaxation.solve(&mut state) else { return };
        let bound = relaxed.bound.max(parent);
        if self.best.as_ref().is_some_and(|(best, _)| bound >= *best) {
            return;
        }
        self.suggest(&state, &relaxed);
        if self.best.as_ref().is_some_and(|(best, _)| bound >= *best) {
            return;
        }
        let branch = self.relaxation.branch(&state, &relaxed).or_else(|| {
            // Nothing is left to divide: the relaxation is a plan. Where the budget forbids it, rows are divided one by one.
            let chosen = self.relaxation.rows(&relaxed);
            let packs = self.relaxation.packs(&state, &relaxed);
            self.offer(Decision { chosen, packs, ..Decision::default() });
            let settled = self.best.as_ref().is_some_and(|(best, _)| bound >= *best);
            if settled { None } else { self.relaxation.branch_on_rows(&state, &relaxed) }
        });
        if let Some(branch) = branch {
            self.n_nodes += 1;
            self.open.push(Node { bound, number: self.n_nodes, state, branch });
        }
    }

    /// The relaxation's rows with whole packs; then, with those packs paid for, the rows again.
    fn suggest(&mut self, state: &State, relaxed: &Relaxed) {
        let mut rows = self.relaxation.rows(relaxed);
        for _ in 0..3 {
            let Some(packs) = packs::cover(self.question, &rows) else { return };
            let decision = Decision { chosen: rows, packs, ..Decision::default() };
            let packs = decision.packs.clone();
            if !self.offer(decision) {
                return;
            }
            let mut fixed = self.relaxation.with_packs(state, &packs);
            match self.relaxation.solve_once(&mut fixed) {
                Some(relaxed) => rows = self.relaxation.rows(&relaxed),
                None => return,
            }
        }
    }

    /// Takes a plan if it keeps the terms and is the best so far.
    fn offer(&mut self, decision: Decision) -> bool {
        if evaluate::check_terms(self.question, &decision).is_err() {
            return false;
        }
        let values = evaluate::values(self.question, &decision);
        let within = values.deferred.iter().zip(1u8..).zip(self.goal.deferred);
        let keeps = within
            .into_iter()
            .all(|((deferred, priority), most)| priority > self.goal.last_priority || *deferred <= most);
        let cost = self.relaxation.cost_of(&values);
        if !keeps || self.over_budget(&values) || self.best.as_ref().is_some_and(|(best, _)| cost >= *best) {
            return false;
        }
        self.best = Some((cost, decision));
        true
    }

    /// Where money is not what is minimised, the budget is a constraint of its own.
    fn over_budget(&self, values: &Values) -> bool {
        self.goal.enough.is_none() && evaluate::check_budget(self.question, values).is_err()
    }
}
