//! The bounds that a plan's leaves give, worked out from the inputs by the formula of [`crate::decision::leaf`].
//!
//! Option by option of every row, as the rules of the options allow them, and with nothing of the solver's. Rows whose
//! options differ by a constant are weighed together, each at its own ([`alike`]). A row is asked once for all leaves, and what
//! its options come to is worked out once for each set of fluid prices that leaves have ([`shelf`]), mostly a single one; its
//! dearer options are passed over once even free pieces would make none of them the least. Sums that leave 128 bits are
//! no bound.

mod alike;
pub(super) mod coverage;
mod rows;
mod shelf;

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use itertools::Itertools;
pub(super) use rows::Rows;
use rows::greatest_common_divisor;
use shelf::Shelf;

use super::money::labour_per_row;

use crate::decision::leaf::{Leaf, MOST, PackLimits, Terms, Weights};
use crate::decision::{Aim, Level};
use crate::project::Project;
use crate::stock::{Offer, SupplierId, VesselId};
use crate::units::Money;

/// What a plan reaches, as derived.
pub(super) struct Reached {
    pub deferred: [i128; 4],
    /// Weighed.
    pub money: i128,
    pub fluid: i128,
}

impl Reached {
    pub fn of(&self, aim: Aim) -> i128 {
        match aim {
            Aim::Deferred(priority) => self.deferred[usize::from(priority.clamp(1, 4)) - 1],
            Aim::Money => self.money,
            Aim::Fluid => self.fluid,
        }
    }
}

/// Below which no plan is on a level that does no worse on the earlier ones; `None` where the leaves give no bound.
pub(super) type Bound = Option<i128>;

/// The leaves of all levels, before the rows of the survey are added up for them.
pub(super) struct Leaves<'a> {
    n_vessels: usize,
    n_levels: usize,
    /// Of one row, where it counts against the budget.
    labour: Money,
    at: Vec<AtPrices<'a>>,
}

/// Leaves that reckon fluid at the same prices.
struct AtPrices<'a> {
    shelf: Shelf,
    /// Of any level, whole ones and leaves.
    parts: Vec<Part<'a>>,
}

impl<'a> Leaves<'a> {
    /// Every number of the leaves must be [`sound`].
    pub(super) fn of(project: &Project, levels: &'a [Level]) -> Self {
        let mut leaves = Leaves {
            n_vessels: project.stock.vessels.len(),
            n_levels: levels.len(),
            labour: if project.settings.labour_in_budget { labour_per_row(project) } else { Money::ZERO },
            at: Vec::new(),
        };
        // Those of money first: what weighs no money is the same at any prices, and is weighed at theirs.
        for (index, level) in levels.iter().enumerate().sorted_by_key(|(_, level)| level.aim != Aim::Money) {
            let whole = |fluid_prices| Leaf { weights: alone(level.aim), fluid_prices, ..Leaf::default() };
            let mut prices: Vec<usize> = Vec::new();
            for leaf in of_level(levels, level) {
                let at = leaves.at(project, leaf);
                leaves.at[at].parts.push(Part::new(project, Cow::Borrowed(leaf), (index, level.aim), false));
                if level.aim == Aim::Money && !prices.contains(&at) {
                    prices.push(at);
                    let whole = Cow::Owned(whole(leaf.fluid_prices.clone()));
                    leaves.at[at].parts.push(Part::new(project, whole, (index, level.aim), true));
                }
            }
            if prices.is_empty() {
                let whole = whole(Vec::new());
                let at = if level.aim == Aim::Money || leaves.at.is_empty() { leaves.at(project, &whole) } else { 0 };
                leaves.at[at].parts.push(Part::new(project, Cow::Owned(whole), (index, level.aim), true));
            }
        }
        leaves
    }

    /// Where the leaves at the fluid prices of one of them are.
    fn at(&mut self, project: &Project, leaf: &Leaf) -> usize {
        let shelf = Shelf::of(project, leaf);
        self.at.iter().position(|at| at.shelf == shelf).unwrap_or_else(|| {
            self.at.push(AtPrices { shelf, parts: Vec::new() });
            self.at.len() - 1
        })
    }

    /// No row yet.
    pub(super) fn no_rows(&self) -> Rows {
        Rows::none(self)
    }

    /// The bounds of all levels, once all rows are added up.
    pub(super) fn bounds(&self, project: &Project, rows: &Rows, reached: &Reached) -> Vec<Bound> {
        let of_orders = unit_of_orders(project, &rows.occurs);
        // By level, the best of whole ones, and the least over the leaves if there are any.
        let mut levels = vec![(Least::NoBound, None::<Least>); self.n_levels];
        for (AtPrices { shelf, parts }, of_rows) in self.at.iter().zip(&rows.at) {
            let reached = Reached { money: reached.money.saturating_add(shelf.credit), ..*reached };
            let unit = i128::from(greatest_common_divisor(of_rows.unit, of_orders).max(1));
            for (part, sum) in parts.iter().zip(&of_rows.sums) {
                let bound = match part.bound(project, shelf, &rows.occurs, *sum, &reached) {
                    Least::Of(least) if part.aim == Aim::Money => {
                        let units = least.div_euclid(unit) + i128::from(least.rem_euclid(unit) > 0);
                        Least::of(units.checked_mul(unit).and_then(|least| least.checked_sub(shelf.credit)))
                    }
                    bound => bound,
                };
                let (whole, leaves) = &mut levels[part.level];
                match part.whole {
                    true => *whole = bound.max(*whole),
                    false => *leaves = Some(leaves.map_or(bound, |least| least.min(bound))),
                }
            }
        }
        let bound = |(whole, leaves): (Least, Option<Least>)| match leaves.map_or(whole, |least| least.max(whole)) {
            Least::NoBound => None,
            Least::NoPlan => Some(i128::MAX),
            Least::Of(least) => Some(least),
        };
        levels.into_iter().map(bound).collect()
    }
}

/// The leaves that bound a level. Those of money bound fluid too, where any of them weighs it.
pub(super) fn of_level<'a>(levels: &'a [Level], level: &'a Level) -> &'a [Leaf] {
    if level.aim != Aim::Fluid {
        return &level.leaves;
    }
    let weighs = |money: &&Level| money.aim == Aim::Money && money.leaves.iter().any(|leaf| leaf.weights.fluid > 0);
    levels.iter().find(weighs).map_or(&[], |money| &money.leaves)
}

/// What is wrong with the numbers of a leaf, if anything: every one is there once, not below nothing and not beyond
/// measure, of an owned fluid not beyond its price.
pub(super) fn sound(project: &Project, leaf: &Leaf) -> Result<(), String> {
    let stock = &project.stock;
    let weights = leaf.weights.deferred.iter().chain([&leaf.weights.money, &leaf.weights.fluid, &leaf.weights.budget]);
    let numbers = weights.chain(leaf.prices.iter().map(|(_, price)| price)).chain(leaf.goods.iter().map(|(_, g)| g));
    if let Some(number) = numbers.into_iter().find(|number| !(0..=MOST).contains(*number)) {
        return Err(format!("the number {number}"));
    }
    let rising = |positions: Vec<usize>, n: usize| {
        positions.windows(2).all(|pair| pair[0] < pair[1]) && positions.last().is_none_or(|last| *last < n)
    };
    let vessels = leaf.prices.iter().map(|(vessel, _)| vessel.0 as usize).collect();
    let goods = leaf.goods.iter().map(|(supplier, _)| supplier.0 as usize).collect();
    let suppliers = leaf.suppliers.iter().map(|(supplier, _)| supplier.0 as usize).collect();
    let mut offers: Vec<usize> = leaf.packs.iter().map(|limits| limits.offer).collect();
    offers.sort_unstable();
    match () {
        () if !rising(vessels, stock.vessels.len()) => Err("prices out of order".to_owned()),
        () if !rising(goods, stock.suppliers.len()) => Err("goods out of order".to_owned()),
        () if !rising(suppliers, stock.suppliers.len()) => Err("suppliers out of order".to_owned()),
        () if !rising(offers, stock.offers.len()) => Err("packs of an offer twice, or of none".to_owned()),
        () if leaf.packs.iter().any(|limits| limits.least < 0) => Err("packs below nothing".to_owned()),
        () => shelf::sound(project, leaf),
    }
}

/// Nothing but one level counts.
fn alone(aim: Aim) -> Weights {
    let mut weights = Weights::default();
    match aim {
        Aim::Deferred(priority) => weights.deferred[usize::from(priority.clamp(1, 4)) - 1] = 1,
        Aim::Money => weights.money = 1,
        Aim::Fluid => weights.fluid = 1,
    }
    weights
}

/// The least that something comes to.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Least {
    /// More than 128 bits, or less and less without end.
    NoBound,
    Of(i128),
    /// There is no way at all.
    NoPlan,
}

impl Least {
    fn of(least: Option<i128>) -> Self {
        least.map_or(Least::NoBound, Least::Of)
    }

    fn and(self, other: Self) -> Self {
        match (self, other) {
            (Least::NoPlan, _) | (_, Least::NoPlan) => Least::NoPlan,
            (Least::Of(one), Least::Of(other)) => Least::of(one.checked_add(other)),
            _ => Least::NoBound,
        }
    }
}

/// A leaf as it bounds one level.
struct Part<'a> {
    leaf: Cow<'a, Leaf>,
    level: usize,
    aim: Aim,
    /// Nothing but the level weighs, and nothing is limited.
    whole: bool,
    /// Those of later levels are nothing.
    weights: Weights,
    /// By vessel, price of a piece bought, and with its spare; last nothing, for a row in none.
    prices: Vec<i128>,
    with_spare: Vec<i128>,
    /// The same in 64 bits where all of them are few enough, and the dearest.
    narrow: Option<(Vec<i64>, i64)>,
    /// Pieces bought for 10 000 used.
    spare: i128,
}

impl<'a> Part<'a> {
    fn new(project: &Project, leaf: Cow<'a, Leaf>, (level, aim): (usize, Aim), whole: bool) -> Self {
        let spare = 10_000 + (project.settings.spare_pct.0 * 100.0).round() as i128;
        let mut prices = vec![0; project.stock.vessels.len() + 1];
        leaf.prices.iter().for_each(|(vessel, price)| prices[vessel.0 as usize] = i128::from(*price));
        let with_spare: Vec<i128> = prices.iter().map(|price| (price * spare).div_euclid(10_000)).collect();
        let narrow: Option<Vec<i64>> = with_spare.iter().map(|price| i64::try_from(*price).ok()).collect();
        let narrow = narrow.and_then(|prices| prices.iter().copied().max().map(|dearest| (prices, dearest)));
        let weights = leaf.weights.up_to(aim);
        Part { leaf, level, aim, whole, weights, prices, with_spare, narrow, spare }
    }

    /// What the leaf gives where the rows come to so much.
    fn bound(&self, project: &Project, shelf: &Shelf, occurs: &[bool], sum: Least, reached: &Reached) -> Least {
        let own = i128::from(self.weights.of(self.aim));
        match self.sum(project, shelf, occurs, sum, reached) {
            Least::Of(sum) if own > 0 => Least::Of(sum.div_euclid(own) + i128::from(sum.rem_euclid(own) > 0)),
            Least::Of(sum) if sum > 0 => Least::NoPlan,
            Least::Of(_) => Least::NoBound,
            other => other,
        }
    }

    /// Rows, suppliers and offers, less what is free, the budget and what was reached before.
    fn sum(&self, project: &Project, shelf: &Shelf, occurs: &[bool], rows: Least, reached: &Reached) -> Least {
        let mut sum = rows;
        let Some(terms) = self.terms(project) else { return Least::NoPlan };
        let Some(may_be_bought) = self.kinds(project, occurs) else { return Least::NoPlan };
        let goods: BTreeMap<SupplierId, i64> = self.leaf.goods.iter().copied().collect();
        let money = i128::from(self.weights.money) + i128::from(self.weights.budget);
        sum = sum.and(self.offers(project, None, &may_be_bought, money));
        for (index, supplier) in project.stock.suppliers.iter().enumerate() {
            let id = SupplierId(index as u32);
            let weight = i128::from(goods.get(&id).copied().unwrap_or(0));
            let bought = self.offers(project, Some(id), &may_be_bought, money - weight);
            let reaching = |goods: Money| bought.and(Least::Of(weight * i128::from(goods.parts())));
            let paying =
                reaching(supplier.minimum_order).and(Least::Of(money * i128::from(supplier.delivery_charge.parts())));
            let threshold = supplier.free_delivery_over.map(|over| over.max(supplier.minimum_order));
            let free = threshold.map_or(Least::NoPlan, reaching);
            let closed = if self.must_buy(project, id) { Least::NoPlan } else { Least::Of(0) };
            sum = sum.and(match terms[index] {
                Terms::Closed => closed,
                Terms::Paying => paying,
                Terms::Free => free,
                Terms::Undecided => closed.min(paying).min(free),
            });
        }
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

    /// What each supplier is; `None` where more are ordered from than may be. With as many, the undecided are closed.
    fn terms(&self, project: &Project) -> Option<Vec<Terms>> {
        let mut terms = vec![Terms::Undecided; project.stock.suppliers.len()];
        self.leaf.suppliers.iter().for_each(|(supplier, decided)| terms[supplier.0 as usize] = *decided);
        let most = project.settings.max_suppliers.map_or(usize::MAX, |most| most as usize);
        let ordered = terms.iter().filter(|terms| matches!(terms, Terms::Paying | Terms::Free)).count();
        if ordered == most {
            terms.iter_mut().filter(|terms| **terms == Terms::Undecided).for_each(|terms| *terms = Terms::Closed);
        }
        (ordered <= most).then_some(terms)
    }

    /// By vessel, whether it may be bought: if it serves some row, and while there are not as many kinds as may be; `None`
    /// where there are more.
    fn kinds(&self, project: &Project, occurs: &[bool]) -> Option<Vec<bool>> {
        let most = project.settings.max_vessel_types.map_or(usize::MAX, |most| most as usize);
        let asked = self.leaf.packs.iter().filter(|limits| limits.least > 0);
        let bought: BTreeSet<VesselId> = asked.map(|limits| project.stock.offers[limits.offer].vessel).collect();
        let full = bought.len() == most;
        let may_be = |(index, occurs): (usize, &bool)| *occurs && (!full || bought.contains(&VesselId(index as u32)));
        (bought.len() <= most).then(|| occurs.iter().enumerate().map(may_be).collect())
    }

    fn limits(&self, offer: usize) -> PackLimits {
        let own = self.leaf.packs.iter().find(|limits| limits.offer == offer);
        own.copied().unwrap_or(PackLimits { offer, least: 0, most: None })
    }

    fn must_buy(&self, project: &Project, supplier: SupplierId) -> bool {
        let packs = self.leaf.packs.iter();
        packs
            .into_iter()
            .any(|limits| limits.least > 0 && project.stock.offers[limits.offer].supplier == Some(supplier))
    }

    /// The offers of one supplier, or of none, at what money weighs there.
    fn offers(&self, project: &Project, supplier: Option<SupplierId>, may_be_bought: &[bool], money: i128) -> Least {
        let offers = project.stock.offers.iter().enumerate().filter(|(_, offer)| offer.supplier == supplier);
        let cost = |(index, offer): (usize, &Offer)| {
            let pieces = self.prices[offer.vessel.0 as usize] * i128::from(offer.pack_size);
            let limits = self.limits(index);
            let most = if may_be_bought[offer.vessel.0 as usize] { limits.most } else { Some(0) };
            packs(offer, PackLimits { most, ..limits }, money * i128::from(offer.pack_price.parts()) - pieces)
        };
        offers.map(cost).fold(Least::Of(0), Least::and)
    }
}

/// The packs of an offer that cost least at so much for each: none, or from its least to its most.
fn packs(offer: &Offer, limits: PackLimits, each: i128) -> Least {
    let most = limits.most.into_iter().chain(most_packs(offer)).min();
    let fewest = limits.least.max(i64::from(offer.min_packs)).max(1);
    let none = if limits.least == 0 { Least::Of(0) } else { Least::NoPlan };
    if most.is_some_and(|most| most < fewest) {
        return none;
    }
    let number = if each >= 0 { Some(fewest) } else { most };
    none.min(Least::of(number.and_then(|number| each.checked_mul(i128::from(number)))))
}

/// The largest amount of which the packs that may be ordered, and what their suppliers charge, are multiples.
fn unit_of_orders(project: &Project, occurs: &[bool]) -> u64 {
    let offers = project.stock.offers.iter().filter(|offer| occurs[offer.vessel.0 as usize]);
    let offers = offers.filter(|offer| most_packs(offer).is_none_or(|most| most >= i64::from(offer.min_packs)));
    let charge = |supplier: SupplierId| project.stock.supplier(supplier).delivery_charge;
    let amounts = offers.flat_map(|offer| [Some(offer.pack_price), offer.supplier.map(charge)]).flatten();
    amounts.fold(0, |unit, money| greatest_common_divisor(unit, money.parts().unsigned_abs()))
}

/// Packs of an offer, at most.
fn most_packs(offer: &Offer) -> Option<i64> {
    offer.order_limit.map(|pieces| i64::from(pieces / offer.pack_size.max(1)))
}
