//! The part of offers, kinds and suppliers in the bound of a node: each at its least cost.

use super::{NodeBounds, NodeLimits};
use crate::assign::covering::{self, Item};
use crate::decision::certificate::SupplierState;
use crate::decision::{OfferTerms, SupplierIndex, SupplyIndex};
use crate::units::{IndexTable, Money};

impl NodeBounds<'_> {
    /// The least cost of offers, kinds and suppliers; `None` if the limits leave no plan.
    pub(super) fn orders(&self) -> Option<i128> {
        let first = self.formulation.packs;
        let packs = &self.limits[first..first + self.instance.offers.len()];
        let kinds = self.kinds(packs)?;
        let states = self.states()?;
        let mut sum = self.cost_of_kinds(&kinds);
        let mut ordered = self.instance.question.suppliers.map(|_| OffersOfSupplier::default());
        for ((at, offer), &(least, most)) in self.instance.offers.enumerated().zip(packs) {
            let goods = offer.terms.supplier.map_or(0, |supplier| i128::from(self.multipliers.goods[supplier]));
            let price = i128::from(offer.terms.pack_price.parts());
            let each = (self.money() - goods) * price
                - i128::from(self.multipliers.pieces[offer.supply]) * i128::from(offer.terms.pack_size.0)
                + self.by_cuts(self.formulation.packs_of(at));
            let most = if kinds[offer.supply] == KindLimits::Closed { 0 } else { most.min(offer.most.0) };
            let any = i128::from(self.multipliers.per_kind[at]);
            let cheapest = cheapest_packs(offer.terms, (least, most), each, any);
            let Some(supplier) = offer.terms.supplier else {
                sum += cheapest?;
                continue;
            };
            let of = &mut ordered[supplier];
            of.offers = of.offers.zip(cheapest).map(|(cost, more)| cost + more);
            of.must |= least > 0;
            if self.covering {
                let item = Item {
                    size: 0,
                    cost: each + goods * price,
                    fixed: any,
                    may_be_none: least <= 0,
                    fewest: least.max(offer.terms.min_packs.0).max(1),
                    most,
                };
                of.items.push((offer.terms.pack_price, item));
            }
        }
        for ((supplier, ordered), state) in ordered.enumerated_mut().zip(states) {
            sum += self.cost_of_supplier(supplier, ordered, state)?;
        }
        Some(sum)
    }

    /// The least cost of all kinds.
    fn cost_of_kinds(&self, kinds: &IndexTable<SupplyIndex, KindLimits>) -> i128 {
        let of_kind = |(supply, kind): (SupplyIndex, &KindLimits)| {
            let offers = self.instance.offers_in(supply);
            let shares: i128 = self.multipliers.per_kind[offers].iter().map(|share| i128::from(*share)).sum();
            let is_counted = self.instance.question.supplies[supply].counts_as_kind;
            let counted = if is_counted { i128::from(self.multipliers.kinds) } else { 0 };
            let cost = counted - shares - self.bought_by_cuts[supply];
            match kind {
                KindLimits::Asked => cost,
                KindLimits::Open if !offers.is_empty() => cost.min(0),
                _ => 0,
            }
        };
        kinds.enumerated().map(of_kind).sum()
    }

    /// Cost of a supplier with its offers, in the state that is decided or else the cheapest; `None` if no state is possible.
    fn cost_of_supplier(
        &self,
        supplier: SupplierIndex,
        ordered: &mut OffersOfSupplier,
        state: Option<SupplierState>,
    ) -> Option<i128> {
        let (minimum, threshold) = self.instance.goods_asked(supplier);
        let goods = i128::from(self.multipliers.goods[supplier]);
        let per_supplier = i128::from(self.multipliers.per_supplier) - self.ordered_by_cuts[supplier];
        let charge = self.money() * i128::from(self.instance.question.suppliers[supplier].charge.parts());
        let (offers, must, items) = (ordered.offers, ordered.must, &mut ordered.items);
        // Cost of a state that requires goods; `None` if it is impossible, or costs at least `less_than`.
        let mut reaching = |asked: Money, beside: i128, less_than: Option<i128>| {
            let mut cost = offers? + goods * i128::from(asked.parts());
            if less_than.is_some_and(|least| cost + beside >= least) {
                return None;
            }
            if self.covering && asked > Money::ZERO {
                let step = self.instance.goods_step(supplier, asked);
                items.iter_mut().for_each(|(price, item)| item.size = price.in_steps_of(step));
                let items: Vec<&Item> = items.iter().map(|(_, item)| item).collect();
                cost = cost.max(covering::least_cost(&items, asked.in_steps_of(step))?);
            }
            Some(cost + beside)
        };
        // Cost of a state; `None` if it is impossible, or costs at least `less_than`.
        let mut cost = |state: SupplierState, less_than: Option<i128>| match state {
            SupplierState::Closed => (!must).then_some(0),
            SupplierState::Paying => reaching(minimum, per_supplier + charge, less_than),
            SupplierState::Free => reaching(threshold?, per_supplier, less_than),
        };
        if let Some(state) = state {
            return cost(state, None);
        }
        let mut least = cost(SupplierState::Closed, None);
        for state in [SupplierState::Paying, SupplierState::Free] {
            let cost = cost(state, least);
            least = least.into_iter().chain(cost).min();
        }
        least
    }

    /// By supplier, the state that is decided. With `max_suppliers` ordered from, the others are closed; `None` with more.
    fn states(&self) -> Option<Vec<Option<SupplierState>>> {
        let mut states: Vec<Option<SupplierState>> =
            self.formulation.suppliers.iter().map(|columns| decided(columns, self.limits)).collect();
        let ordered = states.iter().flatten().filter(|state| **state != SupplierState::Closed).count();
        let most = self.instance.question.limits.most_suppliers();
        if ordered == most {
            states.iter_mut().filter(|state| state.is_none()).for_each(|state| *state = Some(SupplierState::Closed));
        }
        (ordered <= most).then_some(states)
    }

    /// By supply, whether its kind may or must be bought. With `max_vessel_types` required, no other is; `None` with more.
    fn kinds(&self, packs: &NodeLimits) -> Option<IndexTable<SupplyIndex, KindLimits>> {
        let most = self.instance.question.limits.most_kinds();
        let asked = |supply| packs[self.instance.offers_in(supply).indices()].iter().any(|(least, _)| *least > 0);
        let kinds = self.instance.question.supplies.enumerated();
        let asked: Vec<(bool, bool)> = kinds.map(|(at, supply)| (asked(at), supply.counts_as_kind)).collect();
        let n = asked.iter().filter(|(asked, is_counted)| *asked && *is_counted).count();
        let kind = |(asked, is_counted): (bool, bool)| match asked {
            true => KindLimits::Asked,
            false if n < most || !is_counted => KindLimits::Open,
            false => KindLimits::Closed,
        };
        (n <= most).then(|| asked.into_iter().map(kind).collect())
    }
}

/// The offers of a supplier in a node.
struct OffersOfSupplier {
    /// Their least cost; `None` if no number of packs of some offer is allowed.
    offers: Option<i128>,
    /// Whether the limits require packs of some offer.
    must: bool,
    /// For the covering cost: price of a pack, and the item.
    items: Vec<(Money, Item)>,
}

impl Default for OffersOfSupplier {
    fn default() -> Self {
        OffersOfSupplier { offers: Some(0), must: false, items: Vec::new() }
    }
}

/// Whether the limits of a node allow or require that a kind is bought.
#[derive(Clone, Copy, PartialEq, Eq)]
enum KindLimits {
    /// It must be bought.
    Asked,
    /// It may be bought.
    Open,
    /// It may not be bought.
    Closed,
}

/// The state of a supplier that the limits of its columns decide, if any.
fn decided(columns: &[Option<usize>; 2], limits: &NodeLimits) -> Option<SupplierState> {
    let [paying, free] = columns.map(|column| column.map(|column| limits[column]));
    match (paying, free) {
        (Some((1, 1)), _) => Some(SupplierState::Paying),
        (_, Some((1, 1))) => Some(SupplierState::Free),
        (Some((0, 0)), None | Some((0, 0))) => Some(SupplierState::Closed),
        _ => None,
    }
}

/// Least cost of the packs of one offer: `each` per pack, and `any` if any are bought. `None` if no number is allowed.
fn cheapest_packs(offer: &OfferTerms, (least, most): (i64, i64), each: i128, any: i128) -> Option<i128> {
    let fewest = least.max(offer.min_packs.0).max(1);
    let none = (least <= 0).then_some(0);
    if most < fewest {
        return none;
    }
    let some = each * i128::from(if each >= 0 { fewest } else { most }) + any;
    Some(none.map_or(some, |none| none.min(some)))
}
