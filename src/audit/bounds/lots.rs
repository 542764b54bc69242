//! The sum over the lots of the survey at each set of numbers: each lot at its cheapest option, or waiting.

use std::borrow::Cow;
use std::collections::HashMap;
use std::collections::hash_map::Entry;

use super::alike::{Alike, AlikeKey, Surplus, filled_alike};
use super::cuts::{CutLots, CutMember};
use super::gathered::Gathered;
use super::numbers::AtNumbers;
use super::priced::{LotPlace, Options, PricedChoice};
use super::{Bounds, Least};
use crate::options::table::Judged;
use crate::project::Project;
use crate::stock::VesselId;
use crate::system::threads::shares_in_threads;
use crate::units::{IndexTable, Millilitres, Money, greatest_common_divisor, saturated};

/// Sums over the lots of a survey, or of a share of it.
pub(in crate::audit) struct Lots {
    /// By numbers of all levels: the lots' part of N, without the lots in `alike`.
    pub(super) sums: Vec<Least>,
    /// The largest amount that divides the weighed money of every option.
    pub(super) unit: u64,
    /// need(v): by vessel, the pieces that all lots together could use.
    pub(super) needed: IndexTable<VesselId, i64>,
    /// By group of all levels, its lots.
    pub(super) groups: Vec<Gathered>,
    /// By cut of all levels, the number and the pieces of its lots.
    pub(super) cuts: Vec<CutLots>,
    /// Lots that are not weighed yet; those with the same [`AlikeKey`] are weighed together.
    alike: HashMap<AlikeKey, Alike>,
}

impl Lots {
    pub(super) fn none(bounds: &Bounds) -> Self {
        Lots {
            sums: vec![Least::Of(0); bounds.numbers.len()],
            unit: 0,
            needed: vec![0; bounds.n_vessels].into(),
            groups: bounds.groups.none(),
            cuts: vec![CutLots::default(); bounds.cuts.len()],
            alike: HashMap::new(),
        }
    }

    /// Adds the sums of another share.
    pub(in crate::audit) fn and(mut self, other: Self) -> Self {
        self.sums.iter_mut().zip(other.sums).for_each(|(sum, other)| *sum = sum.and(other));
        self.unit = greatest_common_divisor(self.unit, other.unit);
        self.needed.iter_mut().zip(other.needed).for_each(|(needed, more)| *needed = needed.saturating_add(more));
        self.groups.iter_mut().zip(other.groups).for_each(|(group, more)| group.extend(more));
        self.cuts.iter_mut().zip(other.cuts).for_each(|(cut, more)| *cut = cut.and(more));
        for (of, others) in other.alike {
            match self.alike.entry(of) {
                Entry::Occupied(mut alike) => alike.get_mut().first.extend(others.first),
                Entry::Vacant(none) => {
                    none.insert(others);
                }
            }
        }
        self
    }

    /// Adds a lot of the survey, with its options.
    pub(in crate::audit) fn add(&mut self, project: &Project, bounds: &Bounds, index: usize, judged: &Judged) {
        let specimen = &project.collection.specimens[index];
        for &group in bounds.groups.of_row(index) {
            let listed = PricedChoice::with_all_owned(project, bounds, specimen, judged);
            self.groups[group].add(index, specimen.priority, listed);
        }
        let of = AlikeKey::of(project, specimen, judged, bounds.cuts.membership(index));
        let alike = match of.map(|of| self.alike.entry(of)) {
            Some(Entry::Occupied(alike)) => alike.into_mut(),
            Some(Entry::Vacant(none)) if filled_alike(judged) => {
                none.insert(Alike { specimen: index, judged: judged.clone(), first: Vec::new() })
            }
            _ => return self.weigh(project, bounds, index, judged, &[]),
        };
        let first = Options::new(project, bounds, specimen, judged).of_first();
        alike.first.extend(first);
    }

    /// Weighs the lots in `alike`, on all cores.
    pub(in crate::audit) fn weighed(mut self, project: &Project, bounds: &Bounds) -> Self {
        let alike: Vec<Alike> = std::mem::take(&mut self.alike).into_values().collect();
        let shares = shares_in_threads(&alike, |_, share| {
            let mut lots = Lots::none(bounds);
            for Alike { specimen, judged, first } in share {
                lots.weigh(project, bounds, *specimen, judged, first);
            }
            lots
        });
        shares.into_iter().fold(self, Lots::and)
    }

    /// Weighs one lot, or all lots of an [`Alike`], whose first options have the amounts `first`.
    fn weigh(&mut self, project: &Project, bounds: &Bounds, index: usize, judged: &Judged, first: &[i64]) {
        let specimen = &project.collection.specimens[index];
        let listed = PricedChoice::of(project, bounds, specimen, judged);
        if listed.options.is_empty() {
            return;
        }
        let beyond = Surplus::of(listed.amounts(0), first);
        for option in &listed.options {
            if let Some(needed) = self.needed.get_mut(option.vessel) {
                let pieces = i64::from(option.pieces).saturating_mul(saturated(beyond.n));
                *needed = needed.saturating_add(pieces);
            }
        }
        let members = bounds.cuts.of_row(&bounds.columns, index);
        for (cut, vessel) in members.iter().map(CutMember::counts) {
            if let Ok(option) = listed.options.binary_search_by_key(&vessel, |option| option.vessel) {
                self.cuts[cut].add(beyond.n, beyond.n * i128::from(listed.options[option].pieces));
            }
        }
        let lot = LotOptions::of(project, bounds, listed);
        self.divide(project, &lot, &beyond);
        for (at, sum) in bounds.numbers.iter().zip(&mut self.sums) {
            *sum = sum.and(at.of_lots(specimen.priority, bounds.labour, &lot, (&beyond, &members)));
        }
    }

    /// Reduces `unit` until it divides the weighed money of these lots too.
    fn divide(&mut self, project: &Project, lot: &LotOptions, beyond: &Surplus) {
        let litre = project.settings.litre_weight.per_litre(Millilitres(1)).parts();
        let options = (0..lot.options.len()).map(|option| lot.amounts(option));
        for amounts in options.chain(beyond.each().map(|(amounts, _)| amounts)) {
            if self.unit == 1 {
                return;
            }
            let weighed = litre.checked_mul(amounts[1]).and_then(|litres| litres.checked_add(amounts[0]));
            let Some(weighed) = weighed.map(i64::unsigned_abs) else {
                self.unit = 1;
                return;
            };
            // The unit nearly always divides it, and asking is far cheaper than computing the divisor.
            if self.unit == 0 || !weighed.is_multiple_of(self.unit) {
                self.unit = greatest_common_divisor(self.unit, weighed);
            }
        }
    }
}

/// The options of one lot, in an order in which the cheapest is found soon.
pub(super) struct LotOptions {
    pub(super) owned: Vec<usize>,
    /// Column of the vessel, and pieces. In order of weighed money, owned fluid at its full price.
    options: Vec<(usize, u32)>,
    /// The amounts of each option, one option after the other.
    amounts: Vec<i64>,
    /// The least of each amount over an option and all that follow it.
    least: Vec<i64>,
    /// The largest absolute value of each amount over all options.
    most: Vec<u64>,
    /// Whether no option takes more than one piece.
    single: bool,
}

impl LotOptions {
    fn of(project: &Project, bounds: &Bounds, listed: PricedChoice) -> Self {
        let litre = i128::from(project.settings.litre_weight.per_litre(Millilitres(1)).parts());
        let millilitre = |owned: &usize| i128::from(bounds.owned.price(*owned).per_litre(Millilitres(1)).parts());
        let prices: Vec<i128> = [1, litre].into_iter().chain(listed.owned.iter().map(millilitre)).collect();
        let weighed = |option: usize| {
            let products = listed.amounts(option).iter().zip(&prices);
            products.map(|(amount, price)| i128::from(*amount).saturating_mul(*price)).fold(0, i128::saturating_add)
        };
        let mut order: Vec<(i128, usize)> = (0..listed.options.len()).map(|option| (weighed(option), option)).collect();
        order.sort_unstable();
        let stride = prices.len();
        let mut amounts: Vec<i64> = Vec::with_capacity(order.len() * stride);
        order.iter().for_each(|(_, option)| amounts.extend(listed.amounts(*option)));
        let (mut least, mut most) = (amounts.clone(), vec![0; stride]);
        for at in (0..least.len()).rev() {
            most[at % stride] = amounts[at].unsigned_abs().max(most[at % stride]);
            if let Some(&next) = least.get(at + stride) {
                least[at] = least[at].min(next);
            }
        }
        let place = |(_, option): &(i128, usize)| {
            let LotPlace { vessel, pieces } = listed.options[*option];
            (bounds.columns.of_vessel(vessel), pieces)
        };
        let options: Vec<(usize, u32)> = order.iter().map(place).collect();
        let single = options.iter().all(|(_, pieces)| *pieces == 1);
        LotOptions { owned: listed.owned, options, amounts, least, most, single }
    }

    fn amounts(&self, option: usize) -> &[i64] {
        let stride = self.most.len();
        &self.amounts[option * stride..(option + 1) * stride]
    }
}

impl AtNumbers<'_> {
    /// Least cost of lots: each at its cheapest option, or waiting.
    fn of_lots(
        &self,
        priority: u8,
        labour: Money,
        lot: &LotOptions,
        (beyond, cuts): (&Surplus, &[CutMember]),
    ) -> Least {
        let cut_cost = self.cut_cost(cuts);
        Least::of(cut_cost.and_then(|cut_cost| self.cheapest_of_lots(priority, labour, (lot, &cut_cost), beyond)))
    }

    fn cheapest_of_lots(
        &self,
        priority: u8,
        labour: Money,
        (lot, cut_cost): (&LotOptions, &[(usize, i128)]),
        beyond: &Surplus,
    ) -> Option<i128> {
        let weights = &self.amounts(&lot.owned)?;
        let deferred = self.deferred(priority);
        // The same for every option.
        let labour = i128::from(self.weights.budget).checked_mul(i128::from(labour.parts()))?;
        let (least, most) = (weigh(weights, &beyond.least)?, weigh(weights, &beyond.most)?);
        // If the cheapest option of the representing lot costs this or more, all lots wait.
        let enough = deferred.checked_sub(labour)?.checked_sub(least)?;
        let placed = match self.narrow_for(lot, weights, cut_cost) {
            Some((weights, prices)) => {
                let enough = saturated(enough);
                i128::from(cheapest_below(enough, lot, &weights, &prices))
            }
            None => self.cheapest(enough, lot, weights, cut_cost)?,
        };
        let placed = placed.checked_add(labour)?;
        if placed.checked_add(least)? >= deferred {
            return deferred.checked_mul(beyond.n);
        }
        if placed.checked_add(most)? <= deferred {
            return placed.checked_mul(beyond.n)?.checked_add(weigh_wide(weights, &beyond.sum)?);
        }
        let is_placed = |amounts: &[i64]| Some(placed.checked_add(weigh(weights, amounts)?)? < deferred);
        if let Some((sums, n)) = beyond.first(is_placed) {
            let all_placed = placed.checked_mul(n)?.checked_add(weigh_wide(weights, sums)?)?;
            return all_placed.checked_add(deferred.checked_mul(beyond.n - n)?);
        }
        let mut sum = 0_i128;
        for (amounts, n) in beyond.each() {
            let cost = placed.checked_add(weigh(weights, amounts)?)?.min(deferred);
            sum = sum.checked_add(cost.checked_mul(n)?)?;
        }
        Some(sum)
    }

    /// Weights and prices in 64 bits, if no sum over the options of a lot exceeds 64 bits.
    fn narrow_for(
        &self,
        lot: &LotOptions,
        weights: &[i128],
        cut_cost: &[(usize, i128)],
    ) -> Option<(Vec<i64>, Cow<'_, [i64]>)> {
        let (prices, dearest) = self.narrow()?;
        // The weight of a `Count` may be below 0; then `cheapest_below` would stop too early.
        if cut_cost.iter().any(|(_, more)| *more < 0) {
            return None;
        }
        let more = cut_cost.iter().map(|(_, more)| *more).max().unwrap_or(0);
        let mut all = i128::from(dearest).checked_add(more)?;
        for (weight, most) in weights.iter().zip(&lot.most) {
            all = all.checked_add(weight.checked_mul(i128::from(*most))?)?;
        }
        let weights: Option<Vec<i64>> = weights.iter().map(|weight| i64::try_from(*weight).ok()).collect();
        if !lot.single || all > i64::MAX.into() {
            return None;
        }
        let mut prices = Cow::Borrowed(prices);
        for (column, more) in cut_cost {
            // At most `all`, which fits in 64 bits.
            prices.to_mut()[*column] += saturated(*more);
        }
        Some((weights?, prices))
    }

    /// The cost of the cheapest option, or `enough` if none costs less.
    fn cheapest(&self, enough: i128, lot: &LotOptions, weights: &[i128], cut_cost: &[(usize, i128)]) -> Option<i128> {
        let mut cheapest = enough;
        for (option, (column, pieces)) in lot.options.iter().enumerate() {
            let in_vessel = self.pieces(*column, *pieces)?.checked_add(more(cut_cost, *column, *pieces)?)?;
            cheapest = cheapest.min(weigh(weights, lot.amounts(option))?.checked_add(in_vessel)?);
        }
        Some(cheapest)
    }
}

/// The cost of the cheapest option in 64 bits, or `amount` if none costs less.
fn cheapest_below(amount: i64, lot: &LotOptions, weights: &[i64], prices: &[i64]) -> i64 {
    let weigh = |amounts: &[i64]| weights.iter().zip(amounts).map(|(weight, amount)| weight * amount).sum::<i64>();
    let stride = weights.len();
    let each = lot.least.chunks_exact(stride).zip(lot.amounts.chunks_exact(stride));
    let mut cheapest = amount;
    for ((least, amounts), (column, _)) in each.zip(&lot.options) {
        // No price is below 0, so neither this option nor any after it is cheaper.
        if weigh(least) >= cheapest {
            break;
        }
        cheapest = cheapest.min(weigh(amounts) + prices[*column]);
    }
    cheapest
}

/// What the cuts add to the cost of this number of pieces of the vessel of a column.
pub(super) fn more(cut_cost: &[(usize, i128)], column: usize, pieces: u32) -> Option<i128> {
    let of_piece = cut_cost.iter().find(|(of, _)| *of == column).map_or(0, |(_, more)| *more);
    of_piece.checked_mul(pieces.into())
}

/// Σ weight · amount; `None` beyond 128 bits.
pub(super) fn weigh(weights: &[i128], amounts: &[i64]) -> Option<i128> {
    let mut sum = 0_i128;
    for (weight, amount) in weights.iter().zip(amounts) {
        sum = sum.checked_add(weight.checked_mul(i128::from(*amount))?)?;
    }
    Some(sum)
}

fn weigh_wide(weights: &[i128], amounts: &[i128]) -> Option<i128> {
    let mut sum = 0_i128;
    for (weight, amount) in weights.iter().zip(amounts) {
        sum = sum.checked_add(weight.checked_mul(*amount)?)?;
    }
    Some(sum)
}
