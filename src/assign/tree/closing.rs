//! Closes nodes by exact bounds, and computes the bound of the whole tree.

use std::rc::Rc;

use super::{State, Tree, whole};
use crate::assign::bound::{self, Bound, Multipliers};
use crate::assign::formulation::{Formulation, PARTS, TIE, Variable, in_units};
use crate::assign::incumbent::Incumbent;
use crate::assign::multipliers;
use crate::decision::Aim;
use crate::decision::certificate::MOST;
use crate::units::{Millilitres, saturated};

impl Tree<'_> {
    /// Two objectives of the programme. Above the first a node surely holds no better plan; above the second it probably holds
    /// none, so exact closing is worth trying.
    pub(super) fn cutoff(&self, formulation: &Formulation, incumbent: &Incumbent) -> (f64, f64) {
        let value = incumbent.value(self.aim) as f64;
        if let Some(budget) = self.instance.question.limits.budget.filter(|_| formulation.asks_for_better) {
            let (budget, constant) = (in_units(budget), formulation.constant);
            let beyond = |share: f64| budget + share * (1.0 + budget) - constant;
            return (beyond(1e-8), beyond(1e-9));
        }
        let (surely, perhaps) = match self.aim {
            Aim::WeightedDeferred | Aim::Deferred(_) => {
                ((value - 1.0 + 2.0 * TIE) * formulation.lot, (value - 1.0 + 1e-7) * formulation.lot)
            }
            Aim::Money => {
                let (value, unit) = (value / PARTS, in_units(self.instance.money_unit));
                let slack = 1e-8 * (1.0 + value.abs());
                (value + slack, value - 0.999 * unit - slack)
            }
            Aim::Fluid => ((value - 0.5) / 1e3, (value - 1.0) / 1e3 - 1e-6),
        };
        (surely - formulation.constant, perhaps - formulation.constant)
    }

    /// Closes a node by the multipliers of its parent, evaluated at its own limits, if they suffice.
    pub(super) fn close_as_parent(&mut self, formulation: &Formulation, node: usize, incumbent: &Incumbent) -> bool {
        let State::Open(Some(numbers)) = &self.nodes[node].state else { return false };
        let (numbers, value) = (numbers.clone(), incumbent.value(self.aim));
        let bound = self.bound(formulation, &numbers, value);
        let closes = self.closes(bound, value);
        if closes {
            self.nodes[node].state = State::Closed(numbers, bound);
        }
        closes
    }

    /// Closes a node by multipliers made from the duals of its relaxation; if they do not suffice, puts them into `numbers`.
    pub(super) fn close_by_duals(
        &mut self,
        formulation: &mut Formulation,
        node: usize,
        incumbent: &Incumbent,
        numbers: &mut Option<Rc<Multipliers>>,
    ) -> bool {
        let y = multipliers::duals(formulation);
        let made = Rc::new(multipliers::whole(self.instance, formulation, &y, (self.aim, &self.reached), false));
        let value = incumbent.value(self.aim);
        let bound = self.bound(formulation, &made, value);
        let closes = self.closes(bound, value);
        if closes {
            self.nodes[node].state = State::Closed(made, bound);
        } else {
            *numbers = Some(made);
        }
        closes
    }

    /// Closes a node whose money exceeds the budget, if it does: the multiplier of money is moved to the budget.
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
        let bound = self.bound(formulation, &made, value);
        let closes = self.closes(bound, value);
        if closes {
            self.nodes[node].state = State::Closed(Rc::new(made), bound);
        }
        closes
    }

    /// Closes a node in which every column is decided and whose plan exceeds the budget by less than floating point shows: the budget
    /// alone has a multiplier, and owned fluid that is bought its price.
    pub(super) fn close_as_decided(&mut self, formulation: &Formulation, node: usize, incumbent: &Incumbent) -> bool {
        if self.instance.question.limits.budget.is_none() {
            return false;
        }
        let mut made = Multipliers::none(self.instance);
        made.weights.budget = 1;
        let bought = formulation.variables.iter().zip(formulation.simplex.values());
        for (variable, _) in bought.filter(|(_, litres)| **litres > 0.0) {
            if let Variable::Bought(fluid) = *variable {
                made.owned[fluid] = self.instance.question.owned[fluid].price.per_litre(Millilitres(1)).parts();
            }
        }
        let value = incumbent.value(self.aim);
        let bound = self.bound(formulation, &made, value);
        let closes = self.closes(bound, value);
        if closes {
            self.nodes[node].state = State::Closed(Rc::new(made), bound);
        }
        closes
    }

    /// Closes a node whose relaxation is infeasible, by multipliers made from the dual ray, if they suffice.
    pub(super) fn close_by_ray(&mut self, formulation: &mut Formulation, node: usize, incumbent: &Incumbent) -> bool {
        let y = multipliers::ray(formulation);
        let numbers = multipliers::whole(self.instance, formulation, &y, (self.aim, &self.reached), true);
        let value = incumbent.value(self.aim);
        let bound = self.bound(formulation, &numbers, value);
        let closes = self.closes(bound, value);
        if closes {
            self.nodes[node].state = State::Closed(Rc::new(numbers), bound);
        }
        closes
    }

    /// The exact bound of the current node.
    pub(super) fn bound(&self, formulation: &Formulation, numbers: &Multipliers, value: i64) -> Bound {
        bound::of_node(self.instance, formulation, &self.limits, numbers, (self.aim, &self.reached), value)
    }

    /// Whether a bound excludes every plan below `value`.
    pub(super) fn closes(&self, bound: Bound, value: i64) -> bool {
        bound >= Bound::AtLeast(value.into())
    }

    /// The bound of the level: the least over all leaves as they are now, at most `value`. `reached` are the values of the plan on the
    /// earlier levels. `i64::MIN` if some leaf has no bound.
    pub fn lower_bound(&mut self, formulation: &mut Formulation, reached: Vec<(Aim, i64)>, value: i64) -> i64 {
        // A closed leaf has a bound of at least an earlier value, and values only fall: it still closes if `reached` is the same.
        let still_closed = self.reached == reached;
        self.reached = reached;
        self.limits = whole(&formulation.root);
        self.changed.clear();
        let mut least = i128::from(value);
        for node in self.preorder() {
            let numbers = match &self.nodes[node].state {
                State::Split(..) => continue,
                State::Closed(..) if still_closed => continue,
                State::Closed(numbers, _) | State::Open(Some(numbers)) => numbers.clone(),
                State::Open(None) => Rc::new(Multipliers::alone(self.instance, self.aim, &self.reached)),
            };
            self.enter(formulation, node);
            let mut bound = self.bound(formulation, &numbers, value);
            if bound == Bound::Unknown {
                // Multipliers of an earlier level give no bound of this one.
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
