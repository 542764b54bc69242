//! Reuses the tree of one level for the next.

use std::rc::Rc;

use super::{ColumnPseudoCosts, MOST_ITERATIONS, Open, State, Tree, TreeNode, whole};
use crate::assign::bound::Bound;
use crate::assign::formulation::Formulation;
use crate::assign::incumbent::Incumbent;
use crate::assign::linear::Ended;
use crate::decision::Aim;

impl Tree<'_> {
    /// The same tree for a later level. Leaves that their multipliers no longer close are opened again, and a split all of whose
    /// children are open is undone.
    pub fn taken_up(
        mut self,
        formulation: &mut Formulation,
        aim: Aim,
        reached: Vec<(Aim, i64)>,
        value: i64,
        stop: &dyn Fn() -> bool,
    ) -> Self {
        // If the bound of a leaf exceeds the value reached on its own level, every plan of the leaf is worse on that level.
        let (before, then) = reached.split_at(self.reached.len());
        let same = before == self.reached;
        let reached_then = then.iter().find(|(of, _)| *of == self.aim).filter(|_| same).map(|(_, value)| *value);
        let holds_none = |bound: Bound| reached_then.is_some_and(|value| bound > Bound::AtLeast(value.into()));
        self.aim = aim;
        self.reached = reached;
        self.open.clear();
        self.given_up = 0;
        self.limits = whole(&formulation.root);
        self.changed.clear();
        self.pseudo_costs = ColumnPseudoCosts::new(formulation.variables.len());
        for at in self.preorder() {
            if let State::Closed(numbers, bound) = &self.nodes[at].state {
                let (numbers, bound) = (numbers.clone(), *bound);
                let bound = if holds_none(bound) {
                    Bound::NoPlan
                } else {
                    self.enter(formulation, at);
                    self.bound(formulation, &numbers, value)
                };
                self.nodes[at].state = match self.closes(bound, value) {
                    true => State::Closed(numbers, bound),
                    false => State::Open(Some(numbers)),
                };
            }
        }
        let is_open = |node: &TreeNode| matches!(node.state, State::Open(_));
        for at in self.preorder().into_iter().rev() {
            if let State::Split(_, _, children) = &self.nodes[at].state
                && children.iter().all(|&child| is_open(&self.nodes[child]))
            {
                self.nodes[at].state = State::Open(None);
            }
        }
        if matches!(self.nodes[0].state, State::Closed(..)) {
            return self;
        }
        self.enter(formulation, 0);
        if formulation.simplex.minimise(f64::INFINITY, MOST_ITERATIONS, stop) == Ended::Optimal {
            formulation.narrow(self.instance);
        }
        self.push_root(formulation);
        self
    }

    /// Solves a node that an earlier level has split. Either closes the whole subtree, or opens its children that are not closed
    /// and returns one of them. They start from its basis, which is nearer to theirs than that of the root.
    pub(super) fn go_down(
        &mut self,
        formulation: &mut Formulation,
        incumbent: &Incumbent,
        open: Open,
        children: &[usize],
        stop: &dyn Fn() -> bool,
    ) -> Option<Open> {
        let node = open.node;
        let ended = formulation.simplex.minimise(self.cutoff(formulation, incumbent).0, MOST_ITERATIONS, stop);
        if ended == Ended::Stopped && stop() {
            self.open.push(open);
            return None;
        }
        let objective = formulation.simplex.objective();
        let closed = match ended {
            Ended::Infeasible => self.close_by_ray(formulation, node, incumbent),
            Ended::Cutoff => self.close_by_duals(formulation, node, incumbent, &mut None),
            Ended::Optimal if objective >= self.cutoff(formulation, incumbent).1 => {
                self.close_by_duals(formulation, node, incumbent, &mut None)
            }
            _ => false,
        };
        if closed {
            return None;
        }
        let bound = if ended == Ended::Optimal { objective } else { open.bound };
        let basis = Rc::new(formulation.simplex.basis());
        let left = children.iter().filter(|&&child| self.is_open_below(child));
        let mut left: Vec<Open> = left.map(|&node| Open { bound, node, basis: basis.clone(), moved: None }).collect();
        let next = left.pop();
        self.open.extend(left);
        next
    }

    /// Whether a node is open, or one that it was split into.
    fn is_open_below(&self, node: usize) -> bool {
        let mut left = vec![node];
        while let Some(at) = left.pop() {
            match &self.nodes[at].state {
                State::Open(_) => return true,
                State::Closed(..) => {}
                State::Split(_, _, children) => left.extend(children),
            }
        }
        false
    }
}
