//! Numbers of leaves as they bound one level.

use super::orders::Orders;
use super::shelf::Shelf;
use super::{Least, Reached};
use crate::decision::Aim;
use crate::decision::leaf::{Leaf, Numbers, Weights};
use crate::project::Project;

/// Numbers as they bound one level.
pub(super) struct AtLevel<'a> {
    pub(super) numbers: &'a Numbers,
    pub(super) level: usize,
    pub(super) aim: Aim,
    /// The leaves that they bound.
    leaves: Vec<&'a Leaf>,
    /// Those of later levels are nothing.
    pub(super) weights: Weights,
    /// By vessel, price of a piece bought, and with its spare; last nothing, for a row in none.
    pub(super) prices: Vec<i128>,
    pub(super) with_spare: Vec<i128>,
    /// The same in 64 bits where all of them are few enough, and the dearest.
    pub(super) narrow: Option<(Vec<i64>, i64)>,
    /// Pieces bought for 10 000 used.
    pub(super) spare: i128,
}

impl<'a> AtLevel<'a> {
    pub(super) fn new(
        project: &Project,
        numbers: &'a Numbers,
        (level, aim): (usize, Aim),
        leaves: Vec<&'a Leaf>,
    ) -> Self {
        let spare = 10_000 + (project.settings.spare_pct.0 * 100.0).round() as i128;
        let mut prices = vec![0; project.stock.vessels.len() + 1];
        numbers.prices.iter().for_each(|(vessel, price)| prices[vessel.0 as usize] = i128::from(*price));
        let with_spare: Vec<i128> = prices.iter().map(|price| (price * spare).div_euclid(10_000)).collect();
        let narrow: Option<Vec<i64>> = with_spare.iter().map(|price| i64::try_from(*price).ok()).collect();
        let narrow = narrow.and_then(|prices| prices.iter().copied().max().map(|dearest| (prices, dearest)));
        let weights = numbers.weights.up_to(aim);
        AtLevel { numbers, level, aim, leaves, weights, prices, with_spare, narrow, spare }
    }

    /// The least that the leaves give where the rows come to so much.
    pub(super) fn bound(
        &self,
        project: &Project,
        shelf: &Shelf,
        occurs: &[bool],
        rows: Least,
        reached: &Reached,
    ) -> Least {
        let shared = self.shared(project, shelf, rows, reached);
        let mut orders: Option<(&Leaf, Orders)> = None;
        let mut least = Least::NoPlan;
        for leaf in &self.leaves {
            let known = orders.take().filter(|(of, _)| of.packs == leaf.packs);
            let (_, of_packs) =
                orders.insert(known.unwrap_or_else(|| (leaf, Orders::of(project, self, &leaf.packs, occurs))));
            least = least.min(self.over_own_weight(shared.and(of_packs.of_leaf(project, leaf))));
        }
        least
    }

    fn over_own_weight(&self, sum: Least) -> Least {
        let own = i128::from(self.weights.of(self.aim));
        match sum {
            Least::Of(sum) if own > 0 => Least::Of(sum.div_euclid(own) + i128::from(sum.rem_euclid(own) > 0)),
            Least::Of(sum) if sum > 0 => Least::NoPlan,
            Least::Of(_) => Least::NoBound,
            other => other,
        }
    }

    /// Rows, less what is free, the budget and what was reached before: the same in every leaf.
    fn shared(&self, project: &Project, shelf: &Shelf, rows: Least, reached: &Reached) -> Least {
        let mut sum = rows;
        for (id, vessel) in project.stock.listed() {
            let free = (self.prices[id.0 as usize] * self.spare).checked_mul(i128::from(vessel.free_pieces()));
            sum = sum
                .and(Least::of(free.map(|free| -(free.div_euclid(10_000) + i128::from(free.rem_euclid(10_000) > 0)))));
        }
        sum = sum.and(match project.settings.budget {
            Some(budget) => {
                let spent = i128::from(budget.parts()).saturating_add(shelf.credit);
                Least::of(i128::from(self.weights.budget).checked_mul(spent).map(|spent| -spent))
            }
            None if self.weights.budget > 0 => Least::NoBound,
            None => Least::Of(0),
        });
        for earlier in Aim::ALL.into_iter().filter(|earlier| *earlier < self.aim) {
            let held = i128::from(self.weights.of(earlier)).checked_mul(reached.of(earlier));
            sum = sum.and(Least::of(held.map(|held| -held)));
        }
        sum
    }
}
