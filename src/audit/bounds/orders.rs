//! The least cost of orders in a leaf: offers, kinds and suppliers, as the formula of [`crate::decision::certificate`] adds them.

use std::cell::OnceCell;
use std::collections::{BTreeMap, BTreeSet};

use super::covering::{OfferLine, covering_cost};
use super::cuts::{CutTerms, Reductions};
use super::numbers::{AtNumbers, PricedVessels, spare};
use super::tree::Limited;
use super::{Least, ceiling};
use crate::decision::certificate::SupplierState;
use crate::project::Project;
use crate::stock::{Offer, SupplierId, VesselId};
use crate::units::{IndexTable, Money, greatest_common_divisor, index, saturated};

/// By offer, least and most packs, where the leaf limits them.
type PacksOfLeaf = BTreeMap<usize, (i64, Option<i64>)>;

/// The allowed numbers of packs of each offer, before a leaf limits them.
pub(super) struct OrderLimits {
    /// Fewest packs, if any are bought.
    fewest: Vec<i64>,
    /// The smaller of the order limit and Y(o).
    most: Vec<i64>,
    /// By supplier, the greatest common divisor of the prices of its packs that may be bought.
    unit_of_supplier: IndexTable<SupplierId, u64>,
}

impl OrderLimits {
    /// `needed` is need(v).
    pub(super) fn of(project: &Project, needed: &IndexTable<VesselId, i64>) -> Self {
        let offers = &project.stock.offers;
        let fewest: Vec<i64> = offers.iter().map(|offer| i64::from(offer.min_packs).max(1)).collect();
        let most: Vec<i64> = offers.iter().map(|offer| most_packs(project, offer, needed)).collect();
        let mut unit_of_supplier: IndexTable<SupplierId, u64> = vec![0; project.stock.suppliers.len()].into();
        for (offer, (fewest, most)) in offers.iter().zip(fewest.iter().zip(&most)) {
            if let Some(supplier) = offer.supplier.filter(|_| fewest <= most) {
                let unit = &mut unit_of_supplier[supplier];
                *unit = greatest_common_divisor(*unit, offer.pack_price.parts().unsigned_abs());
            }
        }
        OrderLimits { fewest, most, unit_of_supplier }
    }

    /// The greatest common divisor of the prices of all packs that may be bought and of their suppliers' delivery charges.
    pub(super) fn unit(&self, project: &Project) -> u64 {
        let mut unit = 0;
        for ((offer, fewest), most) in project.stock.offers.iter().zip(&self.fewest).zip(&self.most) {
            if fewest <= most {
                let charge = offer.supplier.map_or(Money::ZERO, |of| project.stock.supplier(of).delivery_charge);
                for money in [offer.pack_price, charge] {
                    unit = greatest_common_divisor(unit, money.parts().unsigned_abs());
                }
            }
        }
        unit
    }
}

/// The smaller of Y(o) and the order limit.
fn most_packs(project: &Project, offer: &Offer, needed: &IndexTable<VesselId, i64>) -> i64 {
    let (min_packs, size) = (i128::from(offer.min_packs), i128::from(offer.pack_size.max(1)));
    let free = i128::from(project.stock.vessel(offer.vessel).free_pieces());
    let missing = i128::from(needed[offer.vessel]) - free;
    let of_pieces = match missing {
        1.. => ceiling(ceiling(missing * spare(project), 10_000), size).max(min_packs),
        _ => 0,
    };
    let terms = offer.supplier.map(|supplier| project.stock.supplier(supplier));
    let of_goods = match terms {
        Some(terms) if offer.pack_price > Money::ZERO => {
            let goods = terms.minimum_order.max(terms.free_delivery_over.unwrap_or(Money::ZERO));
            if goods > Money::ZERO {
                ceiling(i128::from(goods.parts()), i128::from(offer.pack_price.parts())).max(min_packs)
            } else {
                0
            }
        }
        _ => 0,
    };
    let limit = offer.order_limit.map_or(i128::MAX, |pieces| i128::from(pieces / offer.pack_size.max(1)));
    saturated((of_pieces + of_goods).min(limit))
}

/// The orders of the last leaf, kept for the next one if its numbers and limits on packs are the same.
#[derive(Default)]
pub(super) struct LastOrders(Option<(usize, PacksOfLeaf, Orders)>);

impl LastOrders {
    /// The orders within limits on packs, at one set of numbers.
    pub(super) fn within(
        &mut self,
        project: &Project,
        limits: &OrderLimits,
        (number, at, columns, held): (usize, &AtNumbers, &PricedVessels, &[CutTerms]),
        packs: &PacksOfLeaf,
    ) -> &Orders {
        let same = self.0.take().filter(|(of, before, _)| *of == number && before == packs);
        let (_, _, orders) = self.0.insert(same.unwrap_or_else(|| {
            let orders = Orders::of(project, limits, (at, columns, &Reductions::of(at, held)), packs);
            (number, packs.clone(), orders)
        }));
        orders
    }
}

/// How closely to bound the cost of the goods A that a state asks for.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Goods {
    /// By g(k) · A alone.
    Priced,
    /// Also by the covering cost.
    Reached,
}

/// The least cost of orders within limits on packs.
pub(super) struct Orders {
    /// Offers without a supplier.
    without_supplier: Least,
    suppliers: IndexTable<SupplierId, OfSupplier>,
}

/// The least cost of the orders from one supplier, by state.
struct OfSupplier {
    closed: Least,
    /// `None` where the state does not exist.
    paying: Option<OrderedState>,
    free: Option<OrderedState>,
    lines: Vec<OfferLine>,
    /// Divides all pack prices of `lines`.
    unit: u64,
}

/// The least cost of the state `Paying` or `Free`.
struct OrderedState {
    /// W · charge + σ, less what cuts of this supplier take off.
    beside: Least,
    /// g(k) · A, and the offers at (W − g(k)) · pack price.
    priced: Least,
    /// A: the goods that the state asks for.
    goods: Money,
    /// The covering cost, once it was asked for.
    reached: OnceCell<Least>,
}

impl OrderedState {
    fn least(&self, of: &OfSupplier, goods: Goods) -> Least {
        let amount = self.goods.parts();
        if goods == Goods::Priced || amount <= 0 {
            return self.priced.and(self.beside);
        }
        let reached = self.reached.get_or_init(|| covering_cost(&of.lines, amount, of.unit));
        (*reached).max(self.priced).and(self.beside)
    }
}

impl OfSupplier {
    fn of_state(&self, state: SupplierState, goods: Goods) -> Least {
        let ordered = match state {
            SupplierState::Closed => return self.closed,
            SupplierState::Paying => &self.paying,
            SupplierState::Free => &self.free,
        };
        ordered.as_ref().map_or(Least::NoPlan, |ordered| ordered.least(self, goods))
    }

    /// The least over all states.
    fn undecided(&self, goods: Goods) -> Least {
        let mut least = self.closed;
        for state in [SupplierState::Paying, SupplierState::Free] {
            // Not worked out for a state that is dearer without it.
            if self.of_state(state, Goods::Priced) < least {
                least = least.min(self.of_state(state, goods));
            }
        }
        least
    }
}

impl Orders {
    fn of(
        project: &Project,
        limits: &OrderLimits,
        (at, columns, taken): (&AtNumbers, &PricedVessels, &Reductions),
        packs: &PacksOfLeaf,
    ) -> Self {
        let Some(only) = kinds(project, packs) else {
            return Orders { without_supplier: Least::NoPlan, suppliers: IndexTable::new() };
        };
        let shares: BTreeMap<usize, i64> = at.numbers.per_kind.iter().copied().collect();
        let money = i128::from(at.money);
        let mut lines: IndexTable<SupplierId, Vec<OfferLine>> = vec![Vec::new(); project.stock.suppliers.len()].into();
        let mut without_supplier = of_kinds(project, (at, taken), &shares, (packs, only.as_ref()));
        for (index, offer) in project.stock.offers.iter().enumerate() {
            let (least, most) = packs.get(&index).copied().unwrap_or((0, None));
            let may_be = may_be_bought(project, only.as_ref(), offer.vessel);
            let most = if may_be { most.map_or(limits.most[index], |most| most.min(limits.most[index])) } else { 0 };
            let price = i128::from(at.price(columns.of_vessel(offer.vessel)));
            let paid = money.checked_mul(i128::from(offer.pack_price.parts()));
            let each = paid.and_then(|paid| paid.checked_sub(price * i128::from(offer.pack_size)));
            let each = each.and_then(|each| each.checked_sub(taken.pack(offer.vessel, offer.pack_size)?));
            let share = i128::from(shares.get(&index).copied().unwrap_or(0));
            let line = OfferLine {
                least,
                fewest: limits.fewest[index].max(least),
                most,
                each,
                share: Some(share),
                price: offer.pack_price.parts(),
            };
            match offer.supplier {
                Some(supplier) => lines[supplier].push(line),
                None => without_supplier = without_supplier.and(line.cheapest(0)),
            }
        }
        let goods: BTreeMap<SupplierId, i64> = at.numbers.goods.iter().copied().collect();
        let unit_of_supplier = |(id, lines): (SupplierId, Vec<OfferLine>)| {
            let weight = goods.get(&id).map_or(0, |of| i128::from(*of));
            let unit = limits.unit_of_supplier[id];
            OfSupplier::of(project, id, (at, taken, weight), (lines, unit))
        };
        Orders { without_supplier, suppliers: lines.positions().zip(lines).map(unit_of_supplier).collect() }
    }

    /// The orders, with each supplier in the state that the leaf gives it.
    pub(super) fn of_leaf(&self, project: &Project, leaf: &Limited, goods: Goods) -> Least {
        let Some(closed) = undecided_are_closed(project, leaf) else { return Least::NoPlan };
        let unit_of_supplier = |(of, state): (&OfSupplier, &Option<SupplierState>)| match state {
            Some(state) => of.of_state(*state, goods),
            None if closed => of.closed,
            None => of.undecided(goods),
        };
        self.suppliers.iter().zip(&leaf.suppliers).map(unit_of_supplier).fold(self.without_supplier, Least::and)
    }
}

impl OfSupplier {
    fn of(
        project: &Project,
        id: SupplierId,
        (at, taken, weight): (&AtNumbers, &Reductions, i128),
        (lines, unit): (Vec<OfferLine>, u64),
    ) -> Self {
        let supplier = project.stock.supplier(id);
        let product = |weight: i128, money: Money| Least::of(weight.checked_mul(i128::from(money.parts())));
        let bought = lines.iter().map(|line| line.cheapest(weight)).fold(Least::Of(0), Least::and);
        let per_supplier = i128::from(at.numbers.per_supplier);
        let beside = Least::of(taken.supplier(id).and_then(|taken| per_supplier.checked_sub(taken)));
        let ordered = |charge: Money, goods: Money| OrderedState {
            beside: beside.and(product(at.money.into(), charge)),
            priced: bought.and(product(weight, goods)),
            goods,
            reached: OnceCell::new(),
        };
        let threshold = supplier.free_delivery_over.map(|over| over.max(supplier.minimum_order));
        let closed = if lines.iter().any(|line| line.least > 0) { Least::NoPlan } else { Least::Of(0) };
        let paying = Some(ordered(supplier.delivery_charge, supplier.minimum_order));
        OfSupplier { closed, paying, free: threshold.map(|over| ordered(Money::ZERO, over)), lines, unit }
    }
}

/// Whether the leaf orders from as many suppliers as may be, so that undecided ones are `Closed`; `None` where from more.
fn undecided_are_closed(project: &Project, leaf: &Limited) -> Option<bool> {
    let most = project.settings.max_suppliers.map_or(usize::MAX, index);
    let is_ordered =
        |state: &&Option<SupplierState>| matches!(state, Some(SupplierState::Paying | SupplierState::Free));
    let ordered = leaf.suppliers.iter().filter(is_ordered).count();
    (ordered <= most).then_some(ordered == most)
}

/// The cost of the kinds of vessel: θ, of those that count, less the shares θ(o) and what cuts take off. For a kind that the leaf does not ask for, at
/// most 0; for one that may not be bought, 0.
fn of_kinds(
    project: &Project,
    (at, taken): (&AtNumbers, &Reductions),
    shares: &BTreeMap<usize, i64>,
    (packs, only): (&PacksOfLeaf, Option<&BTreeSet<VesselId>>),
) -> Least {
    let mut of_vessel: BTreeMap<VesselId, (i128, bool)> = BTreeMap::new();
    for (index, offer) in project.stock.offers.iter().enumerate() {
        let (sum, asked) = of_vessel.entry(offer.vessel).or_default();
        *sum += i128::from(shares.get(&index).copied().unwrap_or(0));
        *asked |= packs.get(&index).is_some_and(|(least, _)| *least > 0);
    }
    let mut all = Least::Of(0);
    for (vessel, (shares, asked)) in of_vessel {
        let of_limit = if project.stock.counts_as_kind(vessel) { i128::from(at.numbers.kinds) } else { 0 };
        let cost = taken.kind(vessel).and_then(|taken| (of_limit - shares).checked_sub(taken));
        all = all.and(match cost {
            Some(cost) if asked => Least::Of(cost),
            Some(cost) if may_be_bought(project, only, vessel) => Least::Of(cost.min(0)),
            Some(_) => Least::Of(0),
            None => Least::NoBound,
        });
    }
    all
}

/// Whether a kind may be bought, where of those that count only these may.
fn may_be_bought(project: &Project, only: Option<&BTreeSet<VesselId>>, vessel: VesselId) -> bool {
    only.is_none_or(|only| !project.stock.counts_as_kind(vessel) || only.contains(&vessel))
}

/// The only kinds that count and may be bought, where the leaf asks for packs of as many as may be; outer `None` where it asks for
/// more.
#[allow(clippy::option_option)]
fn kinds(project: &Project, packs: &PacksOfLeaf) -> Option<Option<BTreeSet<VesselId>>> {
    let most = project.settings.max_vessel_types.map_or(usize::MAX, index);
    let asked = packs.iter().filter(|(_, (least, _))| *least > 0);
    let asked = asked.map(|(offer, _)| project.stock.offers[*offer].vessel);
    let kinds: BTreeSet<VesselId> = asked.filter(|vessel| project.stock.counts_as_kind(*vessel)).collect();
    (kinds.len() <= most).then(|| (kinds.len() == most).then_some(kinds))
}

impl OfferLine {
    /// The least cost of the allowed numbers of packs, where goods have the weight `goods`.
    fn cheapest(&self, goods: i128) -> Least {
        let none = if self.least == 0 { Least::Of(0) } else { Least::NoPlan };
        if self.most < self.fewest {
            return none;
        }
        let each = self.each.and_then(|each| each.checked_sub(goods.checked_mul(self.price.into())?));
        let cost = each.and_then(|each| {
            let number = if each >= 0 { self.fewest } else { self.most };
            each.checked_mul(i128::from(number))?.checked_add(self.share?)
        });
        none.min(Least::of(cost))
    }
}
