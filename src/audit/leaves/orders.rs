//! What is ordered in a leaf, at what its numbers say of it.

use std::collections::{BTreeMap, BTreeSet};

use super::Least;
use super::level::AtLevel;
use crate::decision::leaf::{Leaf, PackLimits, Terms};
use crate::project::Project;
use crate::stock::{Offer, SupplierId, VesselId};
use crate::units::Money;

/// What orders come to at least, within limits on packs.
pub(super) struct Orders {
    /// Offers without a supplier.
    without_supplier: Least,
    /// By supplier, what it comes to as each of what it can be.
    suppliers: Vec<OfSupplier>,
}

/// What one supplier's orders come to.
struct OfSupplier {
    closed: Least,
    paying: Least,
    free: Least,
}

impl Orders {
    /// Of leaves with such limits on packs.
    pub(super) fn of(project: &Project, at: &AtLevel, packs: &[PackLimits], occurs: &[bool]) -> Self {
        let Some(may_be_bought) = kinds(project, packs, occurs) else {
            return Orders { without_supplier: Least::NoPlan, suppliers: Vec::new() };
        };
        let limits: BTreeMap<usize, PackLimits> = packs.iter().map(|limits| (limits.offer, *limits)).collect();
        let goods: BTreeMap<SupplierId, i64> = at.numbers.goods.iter().copied().collect();
        let goods =
            |supplier: Option<SupplierId>| supplier.and_then(|of| goods.get(&of)).map_or(0, |of| i128::from(*of));
        let money = i128::from(at.weights.money) + i128::from(at.weights.budget);
        let mut bought = vec![Least::Of(0); project.stock.suppliers.len()];
        let mut must_buy = vec![false; project.stock.suppliers.len()];
        let mut without_supplier = Least::Of(0);
        for (index, offer) in project.stock.offers.iter().enumerate() {
            let limits = limits.get(&index).copied().unwrap_or(PackLimits { offer: index, least: 0, most: None });
            let most = if may_be_bought[offer.vessel.0 as usize] { limits.most } else { Some(0) };
            let pieces = at.prices[offer.vessel.0 as usize] * i128::from(offer.pack_size);
            let each = (money - goods(offer.supplier)) * i128::from(offer.pack_price.parts()) - pieces;
            let packs = self::packs(offer, PackLimits { most, ..limits }, each);
            match offer.supplier {
                Some(supplier) => {
                    bought[supplier.0 as usize] = bought[supplier.0 as usize].and(packs);
                    must_buy[supplier.0 as usize] |= limits.least > 0;
                }
                None => without_supplier = without_supplier.and(packs),
            }
        }
        let suppliers = project.stock.suppliers.iter().enumerate().map(|(index, supplier)| {
            let weight = goods(Some(SupplierId(index as u32)));
            let reaching = |goods: Money| bought[index].and(Least::Of(weight * i128::from(goods.parts())));
            let charge = Least::Of(money * i128::from(supplier.delivery_charge.parts()));
            let threshold = supplier.free_delivery_over.map(|over| over.max(supplier.minimum_order));
            OfSupplier {
                closed: if must_buy[index] { Least::NoPlan } else { Least::Of(0) },
                paying: reaching(supplier.minimum_order).and(charge),
                free: threshold.map_or(Least::NoPlan, reaching),
            }
        });
        Orders { without_supplier, suppliers: suppliers.collect() }
    }

    /// With the suppliers as a leaf decides them.
    pub(super) fn of_leaf(&self, project: &Project, leaf: &Leaf) -> Least {
        let Some(terms) = terms(project, leaf) else { return Least::NoPlan };
        let of_supplier = |(of, terms): (&OfSupplier, Terms)| match terms {
            Terms::Closed => of.closed,
            Terms::Paying => of.paying,
            Terms::Free => of.free,
            Terms::Undecided => of.closed.min(of.paying).min(of.free),
        };
        self.suppliers.iter().zip(terms).map(of_supplier).fold(self.without_supplier, Least::and)
    }
}

/// What each supplier is; `None` where more are ordered from than may be. With as many, the undecided are closed.
fn terms(project: &Project, leaf: &Leaf) -> Option<Vec<Terms>> {
    let mut terms = vec![Terms::Undecided; project.stock.suppliers.len()];
    leaf.suppliers.iter().for_each(|(supplier, decided)| terms[supplier.0 as usize] = *decided);
    let most = project.settings.max_suppliers.map_or(usize::MAX, |most| most as usize);
    let ordered = terms.iter().filter(|terms| matches!(terms, Terms::Paying | Terms::Free)).count();
    if ordered == most {
        terms.iter_mut().filter(|terms| **terms == Terms::Undecided).for_each(|terms| *terms = Terms::Closed);
    }
    (ordered <= most).then_some(terms)
}

/// By vessel, whether it may be bought: if it serves some row, and while there are not as many kinds as may be; `None`
/// where there are more.
fn kinds(project: &Project, packs: &[PackLimits], occurs: &[bool]) -> Option<Vec<bool>> {
    let most = project.settings.max_vessel_types.map_or(usize::MAX, |most| most as usize);
    let asked = packs.iter().filter(|limits| limits.least > 0);
    let bought: BTreeSet<VesselId> = asked.map(|limits| project.stock.offers[limits.offer].vessel).collect();
    let full = bought.len() == most;
    let may_be = |(index, occurs): (usize, &bool)| *occurs && (!full || bought.contains(&VesselId(index as u32)));
    (bought.len() <= most).then(|| occurs.iter().enumerate().map(may_be).collect())
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

/// Packs of an offer, at most.
pub(super) fn most_packs(offer: &Offer) -> Option<i64> {
    offer.order_limit.map(|pieces| i64::from(pieces / offer.pack_size.max(1)))
}
