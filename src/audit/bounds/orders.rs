//! What is ordered in a leaf, at what its numbers say of it.

use std::collections::{BTreeMap, BTreeSet};

use super::Least;
use super::lots::greatest_common_divisor;
use super::numbers::{AtNumbers, Columns, spare};
use super::tree::Limited;
use crate::decision::certificate::SupplierState;
use crate::project::Project;
use crate::stock::{Offer, SupplierId, VesselId};
use crate::units::Money;

/// Packs of each offer that a plan may need, whatever the leaf.
pub(super) struct Limits {
    /// The fewest if any.
    fewest: Vec<i64>,
    /// The smallest of the order limit and the most useful packs.
    most: Vec<i64>,
}

impl Limits {
    /// Where all lots together could use so many pieces of each vessel.
    pub(super) fn of(project: &Project, needed: &[i64]) -> Self {
        let offers = &project.stock.offers;
        Limits {
            fewest: offers.iter().map(|offer| i64::from(offer.min_packs).max(1)).collect(),
            most: offers.iter().map(|offer| most_packs(project, offer, needed)).collect(),
        }
    }

    /// The largest amount of which the packs that may be ordered, and what their suppliers charge, are multiples.
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

/// The most useful packs of an offer, within its order limit.
fn most_packs(project: &Project, offer: &Offer, needed: &[i64]) -> i64 {
    let (min_packs, size) = (i128::from(offer.min_packs), i128::from(offer.pack_size.max(1)));
    let free = i128::from(project.stock.vessel(offer.vessel).free_pieces());
    let missing = i128::from(needed[offer.vessel.0 as usize]) - free;
    let of_pieces = match missing {
        1.. => ceiling(ceiling(missing * spare(project), 10_000), size).max(min_packs),
        _ => 0,
    };
    let terms = offer.supplier.map(|supplier| project.stock.supplier(supplier));
    let of_goods = match terms {
        Some(terms) if offer.pack_price > Money::ZERO => {
            let (minimum, threshold) = (terms.minimum_order, terms.free_delivery_over);
            if minimum > Money::ZERO || threshold.is_some() {
                let goods = minimum.max(threshold.unwrap_or(Money::ZERO));
                ceiling(i128::from(goods.parts()), i128::from(offer.pack_price.parts())).max(min_packs)
            } else {
                0
            }
        }
        _ => 0,
    };
    let limit = offer.order_limit.map_or(i128::MAX, |pieces| i128::from(pieces / offer.pack_size.max(1)));
    (of_pieces + of_goods).min(limit).min(i64::MAX.into()) as i64
}

fn ceiling(amount: i128, divisor: i128) -> i128 {
    amount.div_euclid(divisor) + i128::from(amount.rem_euclid(divisor) > 0)
}

/// What the leaf before came to, for leaves that limit packs in the same way.
#[derive(Default)]
pub(super) struct Last(Option<(usize, BTreeMap<usize, (i64, Option<i64>)>, Orders)>);

impl Last {
    /// What a leaf's orders come to at least.
    pub(super) fn of_leaf(
        &mut self,
        project: &Project,
        limits: &Limits,
        (number, at, columns): (usize, &AtNumbers, &Columns),
        leaf: &Limited,
    ) -> Least {
        let same = self.0.take().filter(|(of, packs, _)| *of == number && *packs == leaf.packs);
        let (_, _, orders) = self.0.insert(same.unwrap_or_else(|| {
            let orders = Orders::of(project, limits, (at, columns), &leaf.packs);
            (number, leaf.packs.clone(), orders)
        }));
        orders.of_leaf(project, leaf)
    }
}

/// What orders come to at least, within limits on packs.
struct Orders {
    /// Offers without a supplier.
    without_supplier: Least,
    /// By supplier, what it comes to in each of its states.
    suppliers: Vec<OfSupplier>,
}

/// What one supplier's orders come to.
struct OfSupplier {
    closed: Least,
    paying: Least,
    free: Least,
}

impl Orders {
    /// With numbers of packs between these limits; 0 only where the least is.
    fn of(
        project: &Project,
        limits: &Limits,
        (at, columns): (&AtNumbers, &Columns),
        packs: &BTreeMap<usize, (i64, Option<i64>)>,
    ) -> Self {
        let Some(only) = kinds(project, packs) else {
            return Orders { without_supplier: Least::NoPlan, suppliers: Vec::new() };
        };
        let goods: BTreeMap<SupplierId, i64> = at.numbers.goods.iter().copied().collect();
        let goods =
            |supplier: Option<SupplierId>| supplier.and_then(|of| goods.get(&of)).map_or(0, |of| i128::from(*of));
        let shares: BTreeMap<usize, i64> = at.numbers.per_kind.iter().copied().collect();
        let money = i128::from(at.money);
        let mut bought = vec![Least::Of(0); project.stock.suppliers.len()];
        let mut must_buy = vec![false; project.stock.suppliers.len()];
        let mut without_supplier = Least::Of(0);
        for (index, offer) in project.stock.offers.iter().enumerate() {
            let (least, most) = packs.get(&index).copied().unwrap_or((0, None));
            let may_be = only.as_ref().is_none_or(|kinds| kinds.contains(&offer.vessel));
            let most = if may_be { most.map_or(limits.most[index], |most| most.min(limits.most[index])) } else { 0 };
            let price = i128::from(at.price(columns.of_vessel(offer.vessel.0 as usize)));
            let paid = (money - goods(offer.supplier)).checked_mul(i128::from(offer.pack_price.parts()));
            let each = paid.and_then(|paid| paid.checked_sub(price * i128::from(offer.pack_size)));
            let share = i128::from(shares.get(&index).copied().unwrap_or(0));
            let of_offer = of_offer((least, limits.fewest[index].max(least), most), each, share);
            match offer.supplier {
                Some(supplier) => {
                    bought[supplier.0 as usize] = bought[supplier.0 as usize].and(of_offer);
                    must_buy[supplier.0 as usize] |= least > 0;
                }
                None => without_supplier = without_supplier.and(of_offer),
            }
        }
        let per_supplier = Least::Of(i128::from(at.numbers.per_supplier));
        let suppliers = project.stock.suppliers.iter().enumerate().map(|(index, supplier)| {
            let weight = goods(Some(SupplierId(index as u32)));
            let product =
                |weight: i128, money: Money| Least::of(weight.checked_mul(i128::from(money.parts())));
            let ordered = bought[index].and(per_supplier);
            let reaching = |goods: Money| ordered.and(product(weight, goods));
            let threshold = supplier.free_delivery_over.map(|over| over.max(supplier.minimum_order));
            OfSupplier {
                closed: if must_buy[index] { Least::NoPlan } else { Least::Of(0) },
                paying: reaching(supplier.minimum_order).and(product(money, supplier.delivery_charge)),
                free: threshold.map_or(Least::NoPlan, reaching),
            }
        });
        Orders { without_supplier, suppliers: suppliers.collect() }
    }

    /// With the suppliers as a leaf decides them.
    fn of_leaf(&self, project: &Project, leaf: &Limited) -> Least {
        let Some(closed) = undecided_are_closed(project, leaf) else { return Least::NoPlan };
        let of_supplier = |(of, state): (&OfSupplier, &Option<SupplierState>)| match state {
            Some(SupplierState::Closed) => of.closed,
            Some(SupplierState::Paying) => of.paying,
            Some(SupplierState::Free) => of.free,
            None if closed => of.closed,
            None => of.closed.min(of.paying).min(of.free),
        };
        self.suppliers.iter().zip(&leaf.suppliers).map(of_supplier).fold(self.without_supplier, Least::and)
    }
}

/// Whether as many suppliers are ordered from as may be; `None` where there are more.
fn undecided_are_closed(project: &Project, leaf: &Limited) -> Option<bool> {
    let most = project.settings.max_suppliers.map_or(usize::MAX, |most| most as usize);
    let is_ordered = |state: &&Option<SupplierState>| matches!(state, Some(SupplierState::Paying | SupplierState::Free));
    let ordered = leaf.suppliers.iter().filter(is_ordered).count();
    (ordered <= most).then_some(ordered == most)
}

/// The kinds that alone may be bought, where a leaf asks for packs of as many as may be; `None` where it asks for more.
#[allow(clippy::option_option)]
fn kinds(project: &Project, packs: &BTreeMap<usize, (i64, Option<i64>)>) -> Option<Option<BTreeSet<VesselId>>> {
    let most = project.settings.max_vessel_types.map_or(usize::MAX, |most| most as usize);
    let asked = packs.iter().filter(|(_, (least, _))| *least > 0);
    let kinds: BTreeSet<VesselId> = asked.map(|(offer, _)| project.stock.offers[*offer].vessel).collect();
    (kinds.len() <= most).then(|| (kinds.len() == most).then_some(kinds))
}

/// The packs of an offer that cost least at so much for each and a share for any: none, or from the fewest to the most.
fn of_offer((least, fewest, most): (i64, i64, i64), each: Option<i128>, share: i128) -> Least {
    let none = if least == 0 { Least::Of(0) } else { Least::NoPlan };
    if most < fewest {
        return none;
    }
    let cost = each.and_then(|each| {
        let number = if each >= 0 { fewest } else { most };
        each.checked_mul(i128::from(number))?.checked_add(share)
    });
    none.min(Least::of(cost))
}
