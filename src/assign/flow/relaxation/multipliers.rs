//! Multipliers of goods constraints: orders of a supplier that must reach a minimum or the threshold of free delivery.
//!
//! Method: Lagrangean relaxation (A. M. Geoffrion 1974, as in [`super`]). With multiplier g of the constraint goods ≥
//! A, packs of the supplier cost 1 − g of their price and g · A is added. The bound is concave in g; the best g is
//! found by a line search with growing steps, from the g of the parent.
//!
//! Limits: suppliers are searched one after the other, once, so the multipliers are good but not the best. Any give a bound.

use super::{IndexedOffer, Relaxation, RelaxedSolution, Subproblem};
use crate::assign::flow::supplier_decision::SupplierDecision;
use crate::decision::SupplierIndex;
use crate::units::Money;

/// Steps of a multiplier between 0 and 1.
pub(super) const STEPS: i64 = 64;

/// Number of generations of nodes for which multipliers are kept after a search that did not change them.
const KEEP_MULTIPLIERS_FOR: u32 = 7;

impl Relaxation<'_> {
    /// The amount that the goods of a supplier must reach in a subproblem.
    pub(super) fn goods_needed(&self, subproblem: &Subproblem, supplier: SupplierIndex) -> Money {
        let terms = &self.question.suppliers[supplier];
        match subproblem.suppliers[supplier] {
            SupplierDecision::Free => terms.minimum.max(terms.free_over.unwrap_or(Money::ZERO)),
            SupplierDecision::Paying => terms.minimum,
            _ => Money::ZERO,
        }
    }

    /// Scaled cost of a pack, reduced by the multiplier of its supplier.
    pub(super) fn pack_cost(&self, subproblem: &Subproblem, offer: &IndexedOffer) -> i128 {
        let full = self.scaled_money(offer.terms.pack_price);
        match offer.terms.supplier {
            Some(supplier) if self.has_goods_constraints => {
                let multiplier = subproblem.goods_multiplier[supplier];
                full / i128::from(STEPS) * i128::from(STEPS - multiplier)
            }
            _ => full,
        }
    }

    /// Solves a subproblem and raises its bound by better multipliers; `None` if it is infeasible.
    pub fn solve(&mut self, subproblem: &mut Subproblem) -> Option<RelaxedSolution> {
        let mut best = self.solve_at_given_multipliers(subproblem)?;
        if !self.has_goods_constraints {
            return Some(best);
        }
        if subproblem.keep_multipliers_for > 0 {
            subproblem.keep_multipliers_for -= 1;
            return Some(best);
        }
        let before = subproblem.goods_multiplier.clone();
        for supplier in subproblem.suppliers.positions() {
            let needed = i128::from(self.goods_needed(subproblem, supplier).parts());
            if needed == 0 {
                continue;
            }
            if self.goods(supplier, &subproblem.min_packs) >= needed {
                // The least packs reach the goods needed, so the constraint is redundant.
                if subproblem.goods_multiplier[supplier] > 0 {
                    subproblem.goods_multiplier[supplier] = 0;
                    best = self.solve_at_given_multipliers(subproblem)?;
                }
                continue;
            }
            best = self.search_multiplier(subproblem, supplier, best)?;
        }
        if subproblem.goods_multiplier == before {
            subproblem.keep_multipliers_for = KEEP_MULTIPLIERS_FOR;
        }
        Some(best)
    }

    /// Searches the multiplier of a supplier from its current value: upwards if goods are short, otherwise downwards.
    fn search_multiplier(
        &mut self,
        subproblem: &mut Subproblem,
        supplier: SupplierIndex,
        mut best: RelaxedSolution,
    ) -> Option<RelaxedSolution> {
        let needed = i128::from(self.goods_needed(subproblem, supplier).parts()) * self.scale;
        let mut kept = subproblem.goods_multiplier[supplier];
        let direction = if best.goods[supplier] < needed { 1 } else { -1 };
        let mut step = 1;
        while (0..=STEPS).contains(&(kept + direction * step)) {
            subproblem.goods_multiplier[supplier] = kept + direction * step;
            let relaxed = self.solve_at_given_multipliers(subproblem)?;
            if relaxed.scaled_bound > best.scaled_bound {
                (best, kept) = (relaxed, subproblem.goods_multiplier[supplier]);
                step *= 2;
            } else if step > 1 {
                step = 1;
            } else {
                break;
            }
        }
        if subproblem.goods_multiplier[supplier] != kept {
            // The current flow must be that of the bound.
            subproblem.goods_multiplier[supplier] = kept;
            best = self.solve_at_given_multipliers(subproblem)?;
        }
        Some(best)
    }
}
