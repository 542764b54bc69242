//! One set of numbers, prepared for the bound of one level.

use super::owned::OwnedFluids;
use super::{Least, Reached};
use crate::decision::certificate::{Numbers, Weights};
use crate::decision::{Aim, Level};
use crate::project::Project;
use crate::settings::CountLimits;
use crate::stock::VesselId;
use crate::units::{IndexTable, Millilitres, index, truncated};

/// Columns for the vessels that have a price in any set of numbers, or a cut: of many thousand vessels there may be few.
pub(super) struct PricedVessels {
    /// Column by vessel; the last column stands for all vessels without a price or cut.
    position: IndexTable<VesselId, u32>,
    priced: Vec<VesselId>,
}

impl PricedVessels {
    pub(super) fn of(project: &Project, levels: &[Level]) -> Self {
        let mut is_priced: IndexTable<VesselId, bool> = vec![false; project.stock.vessels.len()].into();
        let numbers = levels.iter().flat_map(|level| &level.certificate.numbers);
        numbers.flat_map(|numbers| &numbers.prices).for_each(|(vessel, _)| is_priced[*vessel] = true);
        let cuts = levels.iter().flat_map(|level| &level.certificate.cuts);
        cuts.for_each(|cut| is_priced[cut.vessel] = true);
        let priced: Vec<VesselId> = is_priced.positions().filter(|vessel| is_priced[*vessel]).collect();
        let beyond = u32::try_from(priced.len()).expect("no more vessels than a table holds");
        let mut position = is_priced.filled(beyond);
        (0..).zip(&priced).for_each(|(at, vessel)| position[*vessel] = at);
        PricedVessels { position, priced }
    }

    /// Column of a vessel. A tank, which is no vessel, has the last.
    pub(super) fn of_vessel(&self, vessel: VesselId) -> usize {
        self.position.get(vessel).map_or(self.priced.len(), |column| index(*column))
    }
}

/// One set of numbers, prepared for the bound of one level.
pub(super) struct AtNumbers<'a> {
    pub(super) numbers: &'a Numbers,
    pub(super) aim: Aim,
    /// With the weights of later levels set to 0.
    pub(super) weights: Weights,
    /// ω(q), by priority.
    priority_weights: [i64; 4],
    /// W = m + b.
    pub(super) money: i64,
    /// m · litre weight of a ml + f; `None` beyond 128 bits.
    millilitre: Option<i128>,
    /// λ(u), by position in [`OwnedFluids`].
    owned: Vec<i64>,
    /// π(v) by column; 0 in the last.
    prices: Vec<i64>,
    /// ⌊π(v) · (10 000 + s) / 10 000⌋ by column; empty if one does not fit in 64 bits.
    with_spare: Vec<i64>,
    /// The highest of `with_spare`; `None` if one does not fit in 64 bits.
    dearest: Option<i64>,
    /// 10 000 + s.
    spare: i128,
    /// π(v) as the certificate lists it.
    vessels: &'a [(VesselId, i64)],
    /// Position of the first cut of the level among those of all levels.
    pub(super) first_cut: usize,
}

impl<'a> AtNumbers<'a> {
    pub(super) fn new(
        project: &Project,
        numbers: &'a Numbers,
        aim: Aim,
        (columns, of_owned, first_cut): (&PricedVessels, &OwnedFluids, usize),
    ) -> Self {
        let spare = spare(project);
        let mut prices = vec![0; columns.priced.len() + 1];
        numbers.prices.iter().for_each(|(vessel, price)| prices[columns.of_vessel(*vessel)] = *price);
        let wide = |price: &i64| i64::try_from((i128::from(*price) * spare).div_euclid(10_000)).ok();
        let with_spare: Option<Vec<i64>> = prices.iter().map(wide).collect();
        let dearest = with_spare.as_ref().and_then(|prices| prices.iter().copied().max());
        let weights = numbers.weights.up_to(aim);
        let litre = project.settings.litre_weight.per_litre(Millilitres(1)).parts();
        let millilitre = i128::from(weights.money).checked_mul(i128::from(litre));
        let millilitre = millilitre.and_then(|of_money| of_money.checked_add(i128::from(weights.fluid)));
        let mut owned = vec![0; of_owned.len()];
        for (fluid, multiplier) in &numbers.owned {
            if let Some(position) = of_owned.position(*fluid) {
                owned[position] = *multiplier;
            }
        }
        AtNumbers {
            numbers,
            aim,
            weights,
            priority_weights: project.settings.weights_in_force().map_or([0; 4], |weights| weights.map(i64::from)),
            money: weights.money + weights.budget,
            millilitre,
            owned,
            prices,
            with_spare: with_spare.unwrap_or_default(),
            dearest,
            spare,
            vessels: &numbers.prices,
            first_cut,
        }
    }

    /// d(q) + h · ω(q): what a deferred lot of a priority costs. 64 bits hold each factor, so 128 bits hold the sum.
    pub(super) fn deferred(&self, priority: u8) -> i128 {
        let counted = i128::from(self.priority_weights[usize::from(priority.clamp(1, 4)) - 1]);
        let by_priority = i128::from(self.weights.of(Aim::Deferred(priority)));
        by_priority + i128::from(self.weights.of(Aim::WeightedDeferred)) * counted
    }

    /// π of the vessel of a column.
    pub(super) fn price(&self, column: usize) -> i64 {
        self.prices[column]
    }

    /// ⌊π(v) · (10 000 + s) · pieces / 10 000⌋ for the vessel of a column.
    pub(super) fn pieces(&self, column: usize, pieces: u32) -> Option<i128> {
        let price = i128::from(self.prices[column]) * self.spare;
        Some(price.checked_mul(i128::from(pieces))?.div_euclid(10_000))
    }

    /// What a unit of each amount of an option weighs: money, fluid, then each owned fluid. `None` beyond 128 bits.
    pub(super) fn amounts(&self, owned: &[usize]) -> Option<Vec<i128>> {
        let mut weights = vec![i128::from(self.money), self.millilitre?];
        weights.extend(owned.iter().map(|fluid| i128::from(self.owned[*fluid])));
        Some(weights)
    }

    /// `with_spare` and its highest price, if 64 bits hold them.
    pub(super) fn narrow(&self) -> Option<(&[i64], i64)> {
        self.dearest.map(|dearest| (&self.with_spare[..], dearest))
    }

    /// The part of N that is the same in every leaf: minus free pieces, owned fluids, budget, limits on suppliers and kinds, and the
    /// values reached on earlier levels, each times its multiplier.
    pub(super) fn shared(&self, project: &Project, owned: &OwnedFluids, reached: &Reached) -> Least {
        let mut off = owned.at(&self.owned);
        for (id, price) in self.vessels {
            let free = project.stock.vessel(*id).free_pieces();
            let free = (i128::from(*price) * self.spare).checked_mul(i128::from(free));
            off =
                off.and(Least::of(free.map(|free| free.div_euclid(10_000) + i128::from(free.rem_euclid(10_000) > 0))));
        }
        let times = |multiplier: i64, limit: Option<i64>| match limit {
            Some(limit) => Least::of(i128::from(multiplier).checked_mul(i128::from(limit))),
            None if multiplier > 0 => Least::NoBound,
            None => Least::Of(0),
        };
        let CountLimits { max_vessel_types, max_suppliers } = project.settings.count_limits();
        off = off.and(times(self.weights.budget, project.settings.budget.map(|budget| budget.parts())));
        off = off.and(times(self.numbers.per_supplier, max_suppliers.map(i64::from)));
        off = off.and(times(self.numbers.kinds, max_vessel_types.map(i64::from)));
        for earlier in Aim::levels_of(&project.settings).iter().copied().filter(|earlier| *earlier < self.aim) {
            off = off.and(Least::of(i128::from(self.weights.of(earlier)).checked_mul(reached.of(earlier))));
        }
        Least::Of(0).less(off)
    }

    /// ⌈N / α⌉. Where α = 0, no plan if N > 0, otherwise no bound.
    pub(super) fn over_own_weight(&self, sum: Least) -> Least {
        let own = i128::from(self.weights.of(self.aim));
        match sum {
            Least::Of(sum) if own > 0 => Least::Of(sum.div_euclid(own) + i128::from(sum.rem_euclid(own) > 0)),
            Least::Of(sum) if sum > 0 => Least::NoPlan,
            Least::Of(_) => Least::NoBound,
            other => other,
        }
    }
}

/// 10 000 + s: pieces to buy for 10 000 used.
pub(super) fn spare(project: &Project) -> i128 {
    10_000 + i128::from(truncated((project.settings.spare_pct.0 * 100.0).round()))
}
