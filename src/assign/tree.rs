//! Branch and bound on one level.
//!
//! Problem: the least value of a level over all plans that are no worse than `reached` on the earlier levels.
//!
//! Method: a node is the whole problem with limits on some columns of the formulation. Its linear relaxation is solved by the
//! dual simplex method from the basis of its parent. A node is closed only if its bound, evaluated exactly at whole multipliers
//! made from the duals, is at least the value of the incumbent. Otherwise it is split: on a supplier's state, on the packs of an
//! offer, on the pieces that a set of lots takes, or on how many lots of a class take a choice or are deferred. The split is
//! chosen by pseudo-costs, which start from a few iterations on both children (reliability branching: T. Achterberg, T.
//! Koch and A. Martin, "Branching rules revisited", Operations Research Letters 33 (2005) 42–54, from memory). The search
//! dives; at the end of a dive it continues with the open node of least bound.
//!
//! Why the result is what it claims: the tree becomes a [`Certificate`](crate::decision::Certificate), each leaf with its multipliers.
//! The splits are exhaustive. An open node becomes a leaf with the multipliers last known for it and the bound they give. If all
//! columns of a node are decided and its bound still does not close it, it stays open to the end, and the level is not proved.

mod branching;
mod closing;
mod node;
mod relaxation;
mod taken_up;

use std::collections::BinaryHeap;
use std::rc::Rc;

use super::bound::{self, Multipliers};
use super::formulation::{Formulation, PARTS, TIE, Variable};
use super::incumbent::Incumbent;
use super::instance::Instance;
use super::linear::{Basis, Ended};
use super::{cuts, multipliers};
use crate::decision::Aim;
use crate::units::truncated;
use branching::ColumnPseudoCosts;
use node::Open;
pub use node::{State, TreeNode};

/// The tree of one level.
#[derive(Clone)]
pub struct Tree<'a> {
    pub(super) instance: &'a Instance<'a>,
    pub(super) aim: Aim,
    /// Values of the plan on the earlier levels.
    pub(super) reached: Vec<(Aim, i64)>,
    pub(super) nodes: Vec<TreeNode>,
    open: BinaryHeap<Open>,
    pseudo_costs: ColumnPseudoCosts,
    /// Bounds of the columns in the current node.
    limits: Vec<(i64, i64)>,
    /// Columns whose limits differ from those of the root.
    changed: Vec<usize>,
    /// By supply, the classes and choices that use it.
    users: Rc<cuts::Users>,
    /// Number of nodes in which every column is decided, but which their bound does not close.
    given_up: usize,
    /// Simplex iterations that heuristic dives have taken.
    dived: u64,
    /// The basis that the last split left in the programme.
    left_at: Option<Rc<Basis>>,
    /// Whether a heuristic dive was made since the search last continued with a node that is not a child of the one before.
    dived_here: bool,
}

/// Progress of a search.
#[derive(Clone, Copy, Debug)]
pub struct SearchStanding {
    /// Nodes solved so far.
    pub nodes: u64,
    /// Value of the incumbent.
    pub value: i64,
    /// Least bound of the current and all other open nodes, by the relaxations of their parents; at most `value`.
    pub bound: i64,
}

impl<'a> Tree<'a> {
    /// A tree of the root alone, open. The formulation must have the objective of the level.
    pub fn new(instance: &'a Instance<'a>, formulation: &Formulation, aim: Aim, reached: Vec<(Aim, i64)>) -> Self {
        let root = TreeNode { parent: None, limits: Vec::new(), state: State::Open(None) };
        let mut tree = Tree {
            instance,
            aim,
            reached,
            nodes: vec![root],
            open: BinaryHeap::new(),
            pseudo_costs: ColumnPseudoCosts::new(formulation.variables.len()),
            limits: whole(&formulation.root),
            changed: Vec::new(),
            users: Rc::new(cuts::users(instance)),
            given_up: 0,
            dived: 0,
            left_at: None,
            dived_here: false,
        };
        tree.push_root(formulation);
        tree
    }

    fn push_root(&mut self, formulation: &Formulation) {
        let basis = Rc::new(formulation.simplex.basis());
        self.open.push(Open { bound: f64::NEG_INFINITY, node: 0, basis, moved: None });
    }

    /// Closes the root if multipliers of the level alone suffice; true if they do.
    pub fn close_at_once(&mut self, formulation: &mut Formulation, value: i64) -> bool {
        let alone = Rc::new(Multipliers::alone(self.instance, self.aim, &self.reached));
        self.enter(formulation, 0);
        let bound = self.bound(formulation, &alone, value);
        let closes = self.closes(bound, value);
        if closes {
            self.nodes.truncate(1);
            self.nodes[0].state = State::Closed(alone, bound);
            self.open.clear();
        }
        closes
    }

    /// The nodes of the tree, each before its children.
    fn preorder(&self) -> Vec<usize> {
        let mut order = Vec::new();
        let mut left = vec![0];
        while let Some(at) = left.pop() {
            order.push(at);
            if let State::Split(_, _, children) = &self.nodes[at].state {
                left.extend(children.iter().rev());
            }
        }
        order
    }

    /// Whether every node is split or closed.
    pub fn complete(&self) -> bool {
        self.open.is_empty() && self.given_up == 0
    }

    /// Searches until the tree is complete or near enough, `most` nodes were solved, or `stop` says so.
    pub fn grow(
        &mut self,
        formulation: &mut Formulation,
        incumbent: &mut Incumbent,
        most: u64,
        watch: &mut dyn FnMut(SearchStanding),
        stop: &dyn Fn() -> bool,
    ) {
        let mut looked_at = 0;
        let mut next = None;
        while looked_at < most && self.nodes.len() < MOST_NODES {
            self.dived_here &= next.is_some();
            let Some(open) = next.take().or_else(|| self.open.pop()) else { return };
            if stop() {
                self.open.push(open);
                return;
            }
            looked_at += 1;
            let (value, bound) = (incumbent.value(self.aim), self.least_open(formulation, &open));
            watch(SearchStanding { nodes: looked_at, value, bound: bound.min(value) });
            if self.near_enough(incumbent, bound) {
                self.open.push(open);
                return;
            }
            next = self.look_at(formulation, incumbent, open, stop);
            // The value of a better plan may equal the bound that needs no search.
            let better = incumbent.value(self.aim);
            if better < value && self.lower(formulation, better) {
                return;
            }
        }
        self.open.extend(next);
    }

    /// Takes up a better value of the incumbent; true if that closes the root.
    fn lower(&mut self, formulation: &mut Formulation, value: i64) -> bool {
        if formulation.asks_for_better {
            formulation.ask_below(self.aim, value);
        }
        self.close_at_once(formulation, value)
    }

    /// A tree of the root alone for the same level, with a programme that asks for the least money of a better value
    /// ([`Formulation::ask_for_better`]). Before this tree goes on, the programme must have the objective of the level again.
    pub fn asking_for_better(&mut self, formulation: &mut Formulation, value: i64) -> Self {
        self.left_at = None;
        formulation.ask_for_better(self.instance, (self.aim, &self.reached), value);
        Tree::new(self.instance, formulation, self.aim, self.reached.clone())
    }

    /// The least bound of a node taken from the heap and of those still in it.
    fn least_open(&self, formulation: &Formulation, taken: &Open) -> i64 {
        let least = self.open.peek().map_or(taken.bound, |open| open.bound.min(taken.bound));
        self.in_parts(formulation, least)
    }

    /// Whether money is within the gap of the least bound of the open nodes.
    fn near_enough(&self, incumbent: &Incumbent, least: i64) -> bool {
        let (gap, value) = (self.instance.question.limits.gap, incumbent.value(self.aim));
        self.aim == Aim::Money && gap > 0.0 && ((value - least) as f64) <= gap * value as f64
    }

    fn in_parts(&self, formulation: &Formulation, objective: f64) -> i64 {
        let objective = objective + formulation.constant;
        match self.aim {
            // Less money than the budget says only that fewer lots may be possible.
            _ if formulation.asks_for_better => 0,
            Aim::WeightedDeferred | Aim::Deferred(_) => truncated((objective / formulation.lot - TIE).ceil().max(0.0)),
            Aim::Money => truncated((objective * PARTS).max(0.0)),
            Aim::Fluid => truncated((objective * 1e3).max(0.0)),
        }
    }

    /// Solves a node; returns the child to continue with, if there is one.
    fn look_at(
        &mut self,
        formulation: &mut Formulation,
        incumbent: &mut Incumbent,
        open: Open,
        stop: &dyn Fn() -> bool,
    ) -> Option<Open> {
        let node = open.node;
        self.enter(formulation, node);
        // If the incumbent has improved since, the multipliers of the parent may close the node.
        if open.bound >= self.cutoff(formulation, incumbent).1 && self.close_as_parent(formulation, node, incumbent) {
            return None;
        }
        // The child that is solved next starts from the solution of its parent, which is still in the programme.
        if !self.left_at.take().is_some_and(|left| Rc::ptr_eq(&left, &open.basis)) {
            formulation.simplex.set_basis(&open.basis);
        }
        if let State::Split(_, _, children) = &self.nodes[node].state {
            let children = children.clone();
            return self.go_down(formulation, incumbent, open, &children, stop);
        }
        let (ended, objective, mut numbers) = self.relax(formulation, incumbent, open, stop)?;
        if ended == Ended::Infeasible
            && (self.close_by_ray(formulation, node, incumbent) || self.close_as_parent(formulation, node, incumbent))
        {
            return None;
        }
        if ended == Ended::Optimal
            && objective >= self.cutoff(formulation, incumbent).1
            && (self.close_by_duals(formulation, node, incumbent, &mut numbers)
                || self.close_as_parent(formulation, node, incumbent))
        {
            return None;
        }
        let numbers = match numbers {
            Some(numbers) => numbers,
            None => {
                let y = multipliers::duals(formulation);
                Rc::new(multipliers::whole(self.instance, formulation, &y, (self.aim, &self.reached), false))
            }
        };
        self.split(formulation, incumbent, node, objective, ended == Ended::Optimal, numbers, stop)
    }

    /// Puts the limits of a node into the programme.
    fn enter(&mut self, formulation: &mut Formulation, node: usize) {
        let before = std::mem::take(&mut self.changed);
        for &column in &before {
            let root = formulation.root[column];
            self.limits[column] = (truncated(root.0), truncated(root.1));
        }
        let mut at = Some(node);
        while let Some(node) = at {
            for &(column, least, most) in &self.nodes[node].limits {
                let (own_least, own_most) = self.limits[column];
                self.limits[column] = (own_least.max(least), own_most.min(most));
                self.changed.push(column);
            }
            at = self.nodes[node].parent;
        }
        // Bounds that do not change leave the solution of the last node valid.
        for &column in before.iter().chain(&self.changed) {
            let (least, most) = self.limits[column];
            let bounds = (least as f64, (most as f64).max(least as f64));
            if formulation.simplex.bounds(column) != bounds {
                formulation.simplex.set_bounds(column, bounds);
            }
        }
    }

    /// Integer columns with a fractional value, or packs below the offer's minimum, in the last solution; with their values.
    fn fractional<'b>(&'b self, formulation: &'b Formulation) -> impl Iterator<Item = (usize, f64)> + 'b {
        let values = formulation.simplex.values().iter().enumerate();
        values
            .filter(|&(column, &value)| {
                bound::is_whole(formulation.variables[column]) && (value - value.round()).abs() > 1e-6
                    || self.below_least_packs(formulation, column, value)
            })
            .map(|(column, &value)| (column, value))
    }

    fn below_least_packs(&self, formulation: &Formulation, column: usize, value: f64) -> bool {
        match formulation.variables[column] {
            Variable::Packs(offer) => {
                let least = self.instance.offers[offer].terms.min_packs.0;
                least > 1 && value > 1e-6 && value < least as f64 - 1e-6
            }
            _ => false,
        }
    }
}

/// Bounds of the root in whole numbers.
fn whole(root: &[(f64, f64)]) -> Vec<(i64, i64)> {
    root.iter().map(|&(least, most)| (truncated(least), truncated(most))).collect()
}

const MOST_ITERATIONS: u64 = 50_000;
const MOST_CUTS: usize = 1500;
/// Most nodes of the tree of a level, so that the audit evaluates the certificate quickly.
pub const MOST_NODES: usize = 40_000;
