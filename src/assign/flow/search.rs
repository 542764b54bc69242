//! The search of our own: least cost with so many rows of each priority left deferred, proved by branching.
//!
//! Packs taken as divisible, what is left of the decision is a transportation problem ([`super::transport`]) with few
//! limited places: free pieces, packs already decided, and the deferred rows of a priority. Its cost is a bound; its
//! rows with packs rounded up are a plan. Branching decides suppliers (closed, paying, free), then lots divided over
//! several vessels, then the pack count whose rounding costs most. Where goods must reach a minimum or a threshold, a
//! multiplier on the supplier's prices lifts the bound (Geoffrion 1974, Mathematical Programming Study 2:82–114, cited from memory). All
//! amounts are whole numbers, so a bound that meets a plan is a proof.

mod plans;

use std::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;

use super::Standing;
use super::cost::Cost;
use super::relaxation::{Branch, Relaxation, Relaxed, State};
use crate::assign::evaluate::{self, Values};
use crate::decision::{Decision, Question};
use crate::units::Money;

/// What is searched for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Goal {
    /// Most rows left deferred, by priority.
    pub deferred: [i64; 4],
    /// Rows of a later priority are left out: all deferred.
    pub last_priority: u8,
    /// Money a litre weighs beside its price.
    pub litre_weight: Money,
    /// Least fluid among plans of least money.
    pub then_fluid: bool,
    /// Money that no plan may pass, beside what is minimised.
    pub within: Option<Money>,
    /// A plan within this budget is enough.
    pub enough: Option<Money>,
    /// So is one this near its bound, as a ratio.
    pub gap: f64,
}

impl Goal {
    /// The budget forbids plans that litres make cheap: money alone is not what is minimised.
    pub fn budget_weighs(&self) -> bool {
        self.within.is_some() && self.litre_weight > Money::ZERO
    }
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
        Search::with(question, Relaxation::new(question, goal), goal, start)
    }

    /// The same with what an earlier one solved its parts with, for a goal that differs in numbers alone.
    pub fn with(question: &'a Question, mut relaxation: Relaxation<'a>, goal: Goal, start: Option<&Decision>) -> Self {
        relaxation.aim_at(goal);
        let money = goal.budget_weighs().then(|| Relaxation::of_money(question, goal));
        let mut tree = Tree {
            question,
            goal,
            relaxation,
            money,
            best: None,
            open: BinaryHeap::new(),
            next: None,
            depth: 0,
            n_nodes: 0,
            dive_from: 1,
            neighboured: None,
            undivided: None,
        };
        if let Some(start) = start {
            tree.offer(start.clone());
        }
        Search { tree, begun: false }
    }

    /// What it solves its parts with, for whoever goes on from there.
    pub fn into_relaxation(self) -> Relaxation<'a> {
        self.tree.relaxation
    }

    /// How money and fluid make a cost here.
    pub fn terms_of_cost(&self) -> Cost {
        self.tree.relaxation.terms_of_cost()
    }

    /// Searches on until the goal is reached, so many parts were looked at or `stop` says so, telling now and then where it
    /// stands.
    pub fn run(&mut self, most_parts: u64, watch: &mut dyn FnMut(Standing), stop: &dyn Fn() -> bool) -> Found {
        let tree = &mut self.tree;
        if !self.begun && stop() {
            return Found { best: tree.best.clone(), bound: None, complete: false, empty_handed: true };
        }
        if !self.begun {
            self.begun = true;
            let root = tree.relaxation.root();
            tree.next = tree.add(root, i128::MIN);
        }
        let complete = tree.run(tree.n_nodes.saturating_add(most_parts), watch, stop);
        let open = tree.lowest();
        let best = tree.best.as_ref().map(|(cost, _)| *cost);
        let complete = complete && tree.undivided.is_none_or(|bound| best.is_some_and(|best| best <= bound));
        let bound = match (open, best) {
            (Some(open), Some(best)) => Some(open.min(best)),
            (open, best) => open.or(best),
        };
        Found { best: tree.best.clone(), bound, complete, empty_handed: false }
    }
}

/// Parts after which whoever waits is told where the search stands.
const TOLD_EVERY: u64 = 8;

/// Of so many parts each suggests a plan, of later ones every sixteenth: their flows differ too little.
const SUGGESTED_FROM_ALL: u64 = 40;

/// Where packs of one vessel give way to another's one by one, going on finds no end: then the least bound is taken up again.
const DEEPEST: usize = 40;

struct Tree<'a> {
    question: &'a Question,
    goal: Goal,
    relaxation: Relaxation<'a>,
    /// Where the budget is beside what is minimised: the same of money alone.
    money: Option<Relaxation<'a>>,
    best: Option<(i128, Decision)>,
    open: BinaryHeap<Node>,
    /// The part that is gone on with, until it comes to an end: little changes from each to the next.
    next: Option<Node>,
    /// How many parts it has been gone on with.
    depth: usize,
    n_nodes: u64,
    /// From so many parts on the next one is rounded to a plan.
    dive_from: u64,
    /// The cost of the plan whose neighbours were tried last.
    neighboured: Option<i128>,
    /// The least bound of parts that nothing divides and no plan reaches.
    undivided: Option<i128>,
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
    fn run(&mut self, most_nodes: u64, watch: &mut dyn FnMut(Standing), stop: &dyn Fn() -> bool) -> bool {
        loop {
            if self.n_nodes.is_multiple_of(TOLD_EVERY) {
                watch(self.standing());
            }
            if self.reached() {
                return true;
            }
            if self.next.as_ref().is_some_and(|node| self.near(node.bound)) {
                self.open.extend(self.next.take());
            }
            if self.next.is_none() {
                self.depth = 0;
                self.try_neighbours(stop);
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
                self.dive(&node.state, stop);
                self.dive_from = (self.n_nodes + 1).next_power_of_two().min(self.n_nodes + 16);
            }
            let children = self.relaxation.children(&node.state, &node.branch);
            let children = children.into_iter().filter_map(|state| self.add(state, node.bound));
            let mut children: Vec<Node> = children.collect();
            children.sort();
            self.depth += 1;
            if self.depth < DEEPEST {
                self.next = children.pop();
            }
            self.open.extend(children);
        }
    }

    fn standing(&self) -> Standing {
        let money = |cost: i128| i64::try_from(self.relaxation.money_of(cost)).ok();
        let best = self.best.as_ref().and_then(|(best, _)| money(*best));
        Standing { parts: self.n_nodes, best, lowest: self.lowest().and_then(money) }
    }

    /// The least bound of what is open or cannot be settled.
    fn lowest(&self) -> Option<i128> {
        let open = self.open.peek().map(|node| node.bound);
        let next = self.next.as_ref().map(|node| node.bound);
        open.into_iter().chain(next).chain(self.undivided).min()
    }

    /// From this cost on a plan is of no use.
    fn cutoff(&self) -> Option<i128> {
        let best = self.best.as_ref().map(|(best, _)| *best);
        best.into_iter().chain(self.relaxation.cost_beyond_enough()).min()
    }

    /// The best plan is as near a bound as is asked for.
    fn near(&self, bound: i128) -> bool {
        self.best.as_ref().is_some_and(|(best, _)| {
            // As the level of money will be stated, in whole parts.
            let [best, bound] = [*best, bound].map(|cost| self.relaxation.money_of(cost));
            self.goal.gap > 0.0 && (best - bound) as f64 <= self.goal.gap * best as f64
        })
    }

    /// A plan that is good enough was found.
    fn reached(&self) -> bool {
        let near = self.lowest().is_some_and(|bound| self.near(bound));
        let Some(enough) = self.goal.enough else { return near };
        self.best.as_ref().is_some_and(|(best, _)| *best <= self.relaxation.cost_of_money(enough))
    }

    /// Bounds a part, takes the plan that its relaxation suggests, and gives it back if it may hold a better one.
    fn add(&mut self, mut state: State, parent: i128) -> Option<Node> {
        if !self.affordable(&state) {
            return None;
        }
        let (mut bound, mut again) = (parent, false);
        let branch = loop {
            let relaxed = self.bound(&mut state, &mut bound)?;
            let branch = self.relaxation.branch(&state, &relaxed, self.cutoff());
            if let Some(branch) = branch {
                break branch;
            }
            // Nothing is left to divide: the relaxation is a plan. Where the budget forbids it, rows are divided one by one.
            let chosen = self.relaxation.rows(&state);
            let packs = self.relaxation.packs(&state, &relaxed);
            self.offer(Decision { chosen, packs, ..Decision::default() });
            if self.best.as_ref().is_some_and(|(best, _)| bound >= *best) {
                return None;
            }
            if let Some(branch) = self.relaxation.branch_on_rows(&state) {
                break branch;
            }
            if self.goal.budget_weighs() {
                // Every row is fixed: the part is that plan.
                return None;
            }
            if std::mem::replace(&mut again, true) {
                self.undivided = self.undivided.into_iter().chain([bound]).min();
                return None;
            }
            // Solved as it was narrowed, with multipliers of its own, it may be another plan, or hold none.
            state.wake_multipliers();
        };
        self.n_nodes += 1;
        Some(Node { bound, number: self.n_nodes, state, branch })
    }

    /// Bounds a part, narrowed to what may be better than the best plan, and takes the plan that its relaxation suggests; `None` where it
    /// holds none that is better.
    fn bound(&mut self, state: &mut State, bound: &mut i128) -> Option<Relaxed> {
        loop {
            let mut relaxed = self.relaxation.solve(state)?;
            *bound = relaxed.bound.max(*bound);
            if self.cutoff().is_some_and(|cutoff| *bound >= cutoff) {
                return None;
            }
            if self.n_nodes < SUGGESTED_FROM_ALL || self.n_nodes.is_multiple_of(16) {
                self.suggest();
            }
            let Some(cutoff) = self.cutoff() else { return Some(relaxed) };
            if *bound >= cutoff {
                return None;
            }
            if !self.relaxation.narrow(state, &mut relaxed, cutoff)? {
                return Some(relaxed);
            }
        }
    }

    /// Whether a part may hold a plan within the budget.
    fn affordable(&mut self, state: &State) -> bool {
        let (Some(money), Some(within)) = (&mut self.money, self.goal.within) else { return true };
        let relaxed = money.solve(&mut state.clone());
        relaxed.is_some_and(|relaxed| relaxed.bound <= money.cost_of_money(within))
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
