//! Parts bounded by numbers that a leaf may have, with the rows weighed at them.

use std::rc::Rc;

use super::AtPrices;
use super::bound::{self, NO_BOUND, NO_PLAN, Part};
use super::node::{Node, Proposed};
use super::priced::{Priced, fitted, priced};
use super::tree::Tree;
use crate::decision::Aim;

/// Numbers of other parts that are tried for a part before its own are weighed.
const OTHERS: usize = 8;

impl Tree<'_> {
    /// Weighs the parts that are closed; those that then fall short are open again.
    pub(super) fn weigh_closed(&mut self) {
        for mut node in std::mem::take(&mut self.closed) {
            self.weigh(&mut node);
            self.keep(node, None);
        }
    }

    /// Bounds a part by numbers of a leaf: those of another part that give what is needed, else its own.
    pub(super) fn weigh(&mut self, node: &mut Node) {
        let Proposed::Flow(at, prices) = &node.prices else { return };
        let will_do = |priced: &Priced| {
            let mut levels = self.sought.iter().zip(&self.needed);
            levels.all(|(&(aim, _), needed)| self.bound(&node.part, priced, aim) >= *needed)
        };
        let from = self.weighed.len().saturating_sub(OTHERS);
        let others = self.weighed[from..].iter().rposition(|priced| will_do(priced)).map(|position| from + position);
        let priced = match others {
            Some(position) => self.weighed.remove(position),
            None => {
                let own = fitted(&self.at[*at], &self.surveys[*at], &node.part, prices.clone());
                match self.weighed.iter().rposition(|priced| priced.is_of(*at, &own)) {
                    Some(position) => self.weighed.remove(position),
                    None => {
                        let own = priced(*at, &self.at[*at], &self.surveys[*at], vec![own]).pop();
                        let Some(own) = own else { return };
                        Rc::new(own)
                    }
                }
            }
        };
        node.bounds = self.bounds(&node.part, &priced);
        self.weighed.push(priced.clone());
        node.prices = Proposed::Weighed(priced);
    }

    /// What numbers give a part, by level.
    pub(super) fn bounds(&self, part: &Part, priced: &Priced) -> Vec<i128> {
        self.sought.iter().map(|&(aim, _)| self.bound(part, priced, aim)).collect()
    }

    /// What prices give, as it truly is: with what is owned taken off money.
    pub(super) fn bound(&self, part: &Part, Priced { at, prices, rows, .. }: &Priced, aim: Aim) -> i128 {
        let AtPrices { question, relaxation, credit, .. } = &self.at[*at];
        let more = |aim: Aim| if aim == Aim::Money { credit.parts() } else { 0 };
        let reached: Vec<(Aim, i64)> = self.reached.iter().map(|&(aim, value)| (aim, value + more(aim))).collect();
        match bound::bound(question, part, (prices, rows.of(aim)), aim, &reached) {
            bound if aim != Aim::Money || bound == NO_BOUND || bound == NO_PLAN => bound,
            bound => {
                let unit = relaxation.terms_of_cost().unit();
                (bound.div_euclid(unit) + i128::from(bound.rem_euclid(unit) > 0)) * unit - i128::from(credit.parts())
            }
        }
    }
}
