//! When a node is closed, and the bound that all leaves give.

use std::rc::Rc;

use super::{State, Tree, whole};
use crate::assign::bound::{self, Bound, Multipliers};
use crate::assign::formulation::{Formulation, PARTS, TIE, in_units};
use crate::assign::incumbent::Incumbent;
use crate::assign::multipliers;
use crate::decision::Aim;
use crate::decision::certificate::MOST;
use crate::units::saturated;

impl Tree<'_> {
    /// Objectives of the programme beyond which nothing better is: surely, and perhaps.
    pub(super) fn cutoff(&self, formulation: &Formulation, incumbent: &Incumbent) -> (f64, f64) {
        let value = incumbent.value(self.aim) as f64;
        let (surely, perhaps) = match self.aim {
            Aim::Deferred(_) => ((value - 1.0 + 2.0 * TIE) * formulation.lot, (value - 1.0 + 1e-7) * formulation.lot),
            Aim::Money => {
                let (value, unit) = (value / PARTS, in_units(self.instance.money_unit));
                let slack = 1e-8 * (1.0 + value.abs());
                (value + slack, value - 0.999 * unit - slack)
            }
            Aim::Fluid => ((value - 0.5) / 1e3, (value - 1.0) / 1e3 - 1e-6),
        };
        (surely - formulation.constant, perhaps - formulation.constant)
    }

    /// Closes a node by the numbers of its parent, at its own limits.
    pub(super) fn close_as_parent(&mut self, formulation: &Formulation, node: usize, incumbent: &Incumbent) -> bool {
        let State::Open(Some(numbers)) = &self.nodes[node].state else { return false };
        let (numbers, value) = (numbers.clone(), incumbent.value(self.aim));
        let closes = self.closes(self.bound(formulation, &numbers, value), value);
        if closes {
            self.nodes[node].state = State::Closed(numbers);
        }
        closes
    }

    /// Closes a node by the duals of its relaxation; if they do not, the numbers made of them are handed over.
    pub(super) fn close_by_duals(
        &mut self,
        formulation: &mut Formulation,
        node: usize,
        incumbent: &Incumbent,
        numbers: &mut Option<Rc<Multipliers>>,
    ) -> bool {
        let y = multipliers::duals(formulation);
        let made = Rc::new(multipliers::whole(self.instance, formulation, &y, (self.aim, &self.reached), false));
        let closes = self.closes(self.bound(formulation, &made, incumbent.value(self.aim)), incumbent.value(self.aim));
        if closes {
            self.nodes[node].state = State::Closed(made);
        } else {
            *numbers = Some(made);
        }
        closes
    }

    /// Closes a node whose money passes the budget: the weight of money is put on the budget.
    pub(super) fn close_by_budget(
        &mut self,
        formulation: &mut Formulation,
        node: usize,
        incumbent: &Incumbent,
    ) -> bool {
        if self.aim != Aim::Money || self.instance.question.limits.budget.is_none() {
            return false;
        }
        let y = multipliers::duals(formulation);
        let mut made = multipliers::whole(self.instance, formulation, &y, (self.aim, &self.reached), false);
        let weights = &mut made.weights;
        weights.budget = weights.budget.saturating_add(std::mem::take(&mut weights.money)).min(MOST);
        let value = incumbent.value(self.aim);
        let closes = self.closes(self.bound(formulation, &made, value), value);
        if closes {
            self.nodes[node].state = State::Closed(Rc::new(made));
        }
        closes
    }

    /// Closes a node that holds no solution, by the duals that show it.
    pub(super) fn close_by_ray(&mut self, formulation: &mut Formulation, node: usize, incumbent: &Incumbent) -> bool {
        let y = multipliers::ray(formulation);
        let numbers = multipliers::whole(self.instance, formulation, &y, (self.aim, &self.reached), true);
        let value = incumbent.value(self.aim);
        let closes = self.closes(self.bound(formulation, &numbers, value), value);
        if closes {
            self.nodes[node].state = State::Closed(Rc::new(numbers));
        }
        closes
    }

    /// The exact bound of the node that is looked at.
    pub(super) fn bound(&self, formulation: &Formulation, numbers: &Multipliers, value: i64) -> Bound {
        bound::of_node(self.instance, formulation, &self.limits, numbers, (self.aim, &self.reached), value)
    }

    /// Whether no better plan can meet a bound.
    pub(super) fn closes(&self, bound: Bound, value: i64) -> bool {
        bound >= Bound::AtLeast(value.into())
    }

    /// The bound that the leaves give as they stand, for a plan of this value that reaches so much on the earlier levels.
    pub fn lower_bound(&mut self, formulation: &mut Formulation, reached: Vec<(Aim, i64)>, value: i64) -> i64 {
        // A closed leaf was found to hold no better plan than one of no less a value; that still holds for the same earlier levels.
        let still_closed = self.reached == reached;
        self.reached = reached;
        self.limits = whole(&formulation.root);
        self.changed.clear();
        let mut least = i128::from(value);
        for node in self.preorder() {
            let numbers = match &self.nodes[node].state {
                State::Split(..) => continue,
                State::Closed(_) if still_closed => continue,
                State::Closed(numbers) | State::Open(Some(numbers)) => numbers.clone(),
                State::Open(None) => Rc::new(Multipliers::alone(self.instance, self.aim, &self.reached)),
            };
            self.enter(formulation, node);
            let mut bound = self.bound(formulation, &numbers, value);
            if bound == Bound::Unknown {
                // Numbers of an earlier level, which say nothing here.
                let alone = Rc::new(Multipliers::alone(self.instance, self.aim, &self.reached));
                bound = self.bound(formulation, &alone, value);
                self.nodes[node].state = State::Open(Some(alone));
            }
            match bound {
                Bound::Unknown => return i64::MIN,
                Bound::AtLeast(bound) => least = least.min(bound),
                Bound::NoPlan => {}
            }
        }
        saturated(least)
    }
}
