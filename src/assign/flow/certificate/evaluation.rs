//! Evaluates the bounds of nodes exactly, at multipliers that a leaf may have.

use std::rc::Rc;

use super::leaf_bound::{self, NO_BOUND, NO_PLAN, Restrictions};
use super::leaf_prices::LeafPrices;
use super::node::{NodePrices, PricedNode};
use super::tree::CertificateTree;
use crate::decision::Aim;

/// Number of multipliers of other nodes that are tried before a pass over all lots is made for a node's own.
const OTHERS_TRIED: usize = 8;

impl CertificateTree<'_> {
    /// Evaluates the closed nodes; those that fall short are opened again.
    pub(super) fn evaluate_closed(&mut self) {
        for mut node in std::mem::take(&mut self.closed) {
            self.evaluate(&mut node);
            self.keep(node, None);
        }
    }

    /// Evaluates a node at the multipliers of another node if these give the needed bounds, otherwise at its own.
    pub(super) fn evaluate(&mut self, node: &mut PricedNode) {
        let NodePrices::OfFlow(prices) = &node.prices else { return };
        let suffices = |known: &LeafPrices| {
            let mut levels = self.wanted.iter().zip(&self.needed);
            levels.all(|(&(aim, _), needed)| self.bound(&node.restrictions, known, aim) >= *needed)
        };
        let from = self.known_prices.len().saturating_sub(OTHERS_TRIED);
        let other = self.known_prices[from..].iter().rposition(|known| suffices(known));
        let known = other.map(|position| from + position);
        let known = match known {
            Some(position) => self.known_prices.remove(position),
            None => {
                let scaled = self.scaled(&node.restrictions, prices.clone());
                match self.known_prices.iter().rposition(|known| known.are_of(&scaled)) {
                    Some(position) => self.known_prices.remove(position),
                    None => {
                        let Some(own) = self.leaf_prices(vec![scaled]).pop() else { return };
                        Rc::new(own)
                    }
                }
            }
        };
        node.bounds = self.bounds(&node.restrictions, &known);
        self.known_prices.push(known.clone());
        node.prices = NodePrices::Evaluated(known);
    }

    /// The bounds of a node at given multipliers, by level.
    pub(super) fn bounds(&self, restrictions: &Restrictions, prices: &LeafPrices) -> Vec<i128> {
        self.wanted.iter().map(|&(aim, _)| self.bound(restrictions, prices, aim)).collect()
    }

    /// The bound of a node at given multipliers on one level. Money is rounded up to a multiple of its unit.
    pub(super) fn bound(&self, restrictions: &Restrictions, prices: &LeafPrices, aim: Aim) -> i128 {
        let LeafPrices { prices, lot_costs, .. } = prices;
        match leaf_bound::leaf_bound(self.question, restrictions, (prices, lot_costs.of(aim)), aim, &self.reached) {
            bound if aim != Aim::Money || bound == NO_BOUND || bound == NO_PLAN => bound,
            bound => {
                let unit = self.relaxation.cost_scale().unit();
                (bound.div_euclid(unit) + i128::from(bound.rem_euclid(unit) > 0)) * unit
            }
        }
    }
}
