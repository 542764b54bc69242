//! Makes multipliers of a leaf from dual prices, with the least cost of all lots at them.

use super::CertificateTree;
use super::leaf_bound::{Restrictions, lower_to_unlimited_offers};
use super::lot_costs::{LotCosts, own_priority};
use crate::assign::flow::relaxation::DualPrices;

/// Multipliers, and the least cost of all lots at them, which is the same in every leaf.
#[derive(Clone)]
pub struct LeafPrices {
    pub prices: DualPrices,
    pub lot_costs: LotCosts,
    /// The scaled prices that they were made from.
    scaled: DualPrices,
}

impl LeafPrices {
    /// Whether they were made from these scaled prices.
    pub fn are_of(&self, scaled: &DualPrices) -> bool {
        self.scaled == *scaled
    }
}

impl CertificateTree<'_> {
    /// The dual prices of a node, scaled to numbers that a leaf may have.
    pub(super) fn scaled(&self, restrictions: &Restrictions, mut prices: DualPrices) -> DualPrices {
        let dearest = self.lot_costing.dearest_at_most(self.question, &prices);
        self.set_weights_of_placed(&mut prices, dearest);
        if let Some(own) = own_priority(self.lot_costing.aim(), self.placed()) {
            // Slightly more than the cost of the dearest lot, because that may be rounded up.
            let dearest = self.lot_costing.dearest(self.question, &prices, own);
            prices.weights.deferred[usize::from(own) - 1] = dearest + (dearest >> 20);
        }
        prices.scale_to_power_of_two(self.lot_costing.aim());
        // Comes after the rounding, which may make reduced costs of unlimited offers negative.
        lower_to_unlimited_offers(self.question, restrictions, &mut prices);
        prices
    }

    /// Leaf prices from scaled prices, with one pass over all lots.
    pub(super) fn leaf_prices(&self, scaled: Vec<DualPrices>) -> Vec<LeafPrices> {
        let lots = self.lot_costing.evaluate(self.question, self.placed(), &scaled);
        let of = scaled.into_iter().zip(lots).map(|(scaled, lots)| {
            let mut prices = scaled.clone();
            self.set_weights_of_placed(&mut prices, lots.weights);
            LeafPrices { prices, lot_costs: lots.costs, scaled }
        });
        of.collect()
    }

    /// By priority, whether the problem requires all lots to be placed.
    fn placed(&self) -> [bool; 4] {
        let mut placed = [false; 4];
        self.relaxation.never_deferred().for_each(|priority| placed[usize::from(priority) - 1] = true);
        placed
    }

    /// Sets d(q) for the priorities q of which all lots are placed.
    fn set_weights_of_placed(&self, prices: &mut DualPrices, weights: [i128; 4]) {
        let all = prices.weights.deferred.iter_mut().zip(weights).zip(self.placed());
        all.filter(|(_, placed)| *placed).for_each(|((weight, of_placed), _)| *weight = of_placed);
    }
}
