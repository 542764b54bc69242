//! The bound of a leaf at given multipliers: the formula of [`crate::decision::certificate`] without cuts, covering costs and most
//! useful packs.
//!
//! The part of the lots comes from [`super::lot_costs`]; the parts of offers, suppliers, free pieces, budget and earlier levels are
//! here.

use std::borrow::Cow;

use crate::assign::flow::relaxation::{Branch, DualPrices, LevelWeights};
use crate::assign::flow::supplier_decision::SupplierDecision;
use crate::decision::{Aim, OfferIndex, OfferTerms, Question, SupplierIndex, SupplierTerms, SupplyIndex};
use crate::settings::CountLimits;
use crate::units::{IndexTable, Money, Position, index};

/// The restrictions of the branches on the way to a node, by positions in the question.
#[derive(Clone, Debug)]
pub struct Restrictions {
    pub suppliers: IndexTable<SupplierIndex, SupplierDecision>,
    /// By supply and offer.
    pub packs: IndexTable<SupplyIndex, Vec<PackRange>>,
}

/// Least and most packs of an offer; `None` = no limit.
pub type PackRange = (i64, Option<i64>);

impl Restrictions {
    /// The restrictions of the root.
    pub fn none(question: &Question) -> Self {
        Restrictions {
            suppliers: question.undecided_suppliers(),
            packs: question.supplies.map(|supply| vec![(0, None); supply.offers.len()]),
        }
    }

    /// The restrictions of the children of a branch, in the order of [`super::Relaxation::children`]; empty for branches that leaves
    /// cannot express.
    pub fn of_children(&self, question: &Question, branch: &Branch) -> Vec<Restrictions> {
        match *branch {
            Branch::Supplier(supplier) => {
                let decided = |decision: &SupplierDecision| {
                    let mut child = self.clone();
                    child.suppliers[supplier] = *decision;
                    child
                };
                question.supplier_decisions(supplier).iter().map(decided).collect()
            }
            Branch::Packs(offer, at_most) => {
                let Some((supply, offer)) = supply_of_offer(question, offer) else { return Vec::new() };
                let [mut fewer, mut more] = [self.clone(), self.clone()];
                fewer.packs[supply][offer].1 = Some(at_most);
                more.packs[supply][offer].0 = at_most + 1;
                vec![fewer, more]
            }
            Branch::Lot(..) | Branch::Vessel(_) => Vec::new(),
        }
    }

    /// The same with suppliers and vessels closed that `max_suppliers` and `max_vessel_types` exclude; `None` if one is exceeded.
    fn within_caps(&self, question: &Question) -> Option<Cow<'_, Restrictions>> {
        let CountLimits { max_vessel_types, max_suppliers } = question.limits.count_limits();
        if max_suppliers.is_none() && max_vessel_types.is_none() {
            return Some(Cow::Borrowed(self));
        }
        let mut closed = self.clone();
        let [most_suppliers, most_kinds] = [max_suppliers, max_vessel_types].map(|most| most.map_or(usize::MAX, index));
        let ordered_from = closed.suppliers.iter().filter(|decision| decision.is_ordered_from()).count();
        if ordered_from == most_suppliers {
            let undecided = closed.suppliers.iter_mut().filter(|decision| **decision == SupplierDecision::Undecided);
            undecided.for_each(|decision| *decision = SupplierDecision::Closed);
        }
        let is_bought = |packs: &[PackRange]| packs.iter().any(|(least, _)| *least > 0);
        let counted = |supply: SupplyIndex| question.supplies[supply].counts_as_kind;
        let vessels = closed.packs.enumerated().filter(|(supply, packs)| counted(*supply) && is_bought(packs)).count();
        if vessels == most_kinds {
            let others = closed.packs.enumerated_mut().filter(|(supply, packs)| counted(*supply) && !is_bought(packs));
            others.flat_map(|(_, packs)| packs).for_each(|(_, most)| *most = Some(0));
        }
        (ordered_from <= most_suppliers && vessels <= most_kinds).then_some(Cow::Owned(closed))
    }
}

/// The supply of an offer and its position there, from its position in the list of all offers.
fn supply_of_offer(question: &Question, offer: OfferIndex) -> Option<(SupplyIndex, usize)> {
    let mut offer = offer.index();
    for (supply, terms) in question.supplies.enumerated() {
        if offer < terms.offers.len() {
            return Some((supply, offer));
        }
        offer -= terms.offers.len();
    }
    None
}

/// Lowers π so that no pack of an unlimited offer has a negative reduced cost, at which its least cost would be minus infinity.
pub fn lower_to_unlimited_offers(question: &Question, restrictions: &Restrictions, prices: &mut DualPrices) {
    let money = prices.weights.money + prices.weights.budget;
    for ((supply, ranges), price) in question.supplies.iter().zip(&restrictions.packs).zip(&mut prices.pieces) {
        for (offer, (_, most)) in supply.offers.iter().zip(ranges) {
            let supplier = offer.supplier;
            let is_closed =
                supplier.is_some_and(|supplier| restrictions.suppliers[supplier] == SupplierDecision::Closed);
            if !is_closed && most.is_none() && offer.max_packs.is_none() {
                let weight = money - supplier.map_or(0, |supplier| prices.goods[supplier]);
                let piece = (weight * i128::from(offer.pack_price.parts())).div_euclid(i128::from(offer.pack_size.0));
                *price = (*price).min(piece).max(0);
            }
        }
    }
}

/// The bound of a leaf that holds no plan.
pub const NO_PLAN: i128 = i128::MAX;

/// The bound of a leaf if the multipliers give none, or a sum overflows 128 bits.
pub const NO_BOUND: i128 = i128::MIN;

/// Lower bound of a level over the plans of a leaf that are no worse than `reached` on each earlier level. `lot_cost` is the least
/// cost of all lots at these multipliers.
pub fn leaf_bound(
    question: &Question,
    restrictions: &Restrictions,
    (prices, lot_cost): (&DualPrices, Option<i128>),
    aim: Aim,
    reached: &[(Aim, i64)],
) -> i128 {
    let Some(restrictions) = restrictions.within_caps(question) else { return NO_PLAN };
    let weights = prices.weights.up_to(aim);
    let own = weights.of(aim);
    let (orders, without_supplier) = offers(question, &restrictions, (prices, &weights), LeastCost::of(lot_cost));
    let sum = suppliers(question, &restrictions, (prices, &weights), &orders, without_supplier);
    match constants(question, (prices, &weights), (aim, reached), sum) {
        LeastCost::NoPlan => NO_PLAN,
        LeastCost::Cost(least) if own == 0 && least > 0 => NO_PLAN,
        LeastCost::Cost(least) if own > 0 => least.div_euclid(own) + i128::from(least.rem_euclid(own) > 0),
        LeastCost::Cost(_) | LeastCost::Unknown => NO_BOUND,
    }
}

/// A least cost.
#[derive(Clone, Copy, PartialEq, Eq)]
enum LeastCost {
    Cost(i128),
    /// There is no plan.
    NoPlan,
    /// Minus infinity, or an overflow of 128 bits.
    Unknown,
}

impl LeastCost {
    fn of(cost: Option<i128>) -> Self {
        cost.map_or(LeastCost::Unknown, LeastCost::Cost)
    }

    fn plus(self, other: Self) -> Self {
        match (self, other) {
            (LeastCost::NoPlan, _) | (_, LeastCost::NoPlan) => LeastCost::NoPlan,
            (LeastCost::Unknown, _) | (_, LeastCost::Unknown) => LeastCost::Unknown,
            (LeastCost::Cost(one), LeastCost::Cost(other)) => LeastCost::of(one.checked_add(other)),
        }
    }

    fn or(self, other: Self) -> Self {
        match (self, other) {
            (LeastCost::NoPlan, other) | (other, LeastCost::NoPlan) => other,
            (LeastCost::Unknown, _) | (_, LeastCost::Unknown) => LeastCost::Unknown,
            (LeastCost::Cost(one), LeastCost::Cost(other)) => LeastCost::Cost(one.min(other)),
        }
    }
}

/// The packs of one supplier.
#[derive(Clone, Copy)]
struct SupplierPacks {
    least: LeastCost,
    /// Whether the leaf requires packs of some offer.
    must_buy: bool,
}

/// By supplier, the least cost of its packs; and `sum` plus the least cost of offers without supplier.
fn offers(
    question: &Question,
    restrictions: &Restrictions,
    (prices, weights): (&DualPrices, &LevelWeights),
    mut sum: LeastCost,
) -> (IndexTable<SupplierIndex, SupplierPacks>, LeastCost) {
    let money = weights.money + weights.budget;
    let mut orders = question.suppliers.filled(SupplierPacks { least: LeastCost::Cost(0), must_buy: false });
    for ((supply, ranges), price) in question.supplies.iter().zip(&restrictions.packs).zip(&prices.pieces) {
        for (offer, range) in supply.offers.iter().zip(ranges) {
            let supplier = offer.supplier;
            let goods = supplier.map_or(0, |supplier| prices.goods[supplier]);
            let pack = (money - goods).checked_mul(i128::from(offer.pack_price.parts()));
            let pieces = price.checked_mul(i128::from(offer.pack_size.0));
            let reduced_cost = pack.zip(pieces).and_then(|(pack, pieces)| pack.checked_sub(pieces));
            let least = reduced_cost.map_or(LeastCost::Unknown, |reduced_cost| packs(offer, *range, reduced_cost));
            match supplier {
                Some(supplier) => {
                    let order = &mut orders[supplier];
                    order.least = order.least.plus(least);
                    order.must_buy |= range.0 > 0;
                }
                None => sum = sum.plus(least),
            }
        }
    }
    (orders, sum)
}

/// The least cost of the packs of one offer.
fn packs(offer: &OfferTerms, (least, most): PackRange, reduced_cost: i128) -> LeastCost {
    let most = most.into_iter().chain(offer.max_packs.map(|most| most.0)).min();
    let some = least.max(offer.min_packs.0).max(1);
    let none = if least <= 0 { LeastCost::Cost(0) } else { LeastCost::NoPlan };
    if most.is_some_and(|most| most < some) {
        return none;
    }
    let number = if reduced_cost >= 0 { Some(some) } else { most };
    none.or(LeastCost::of(number.and_then(|number| reduced_cost.checked_mul(i128::from(number)))))
}

/// `sum` plus the least cost of each supplier in its state, or in the cheapest if it is undecided.
fn suppliers(
    question: &Question,
    restrictions: &Restrictions,
    (prices, weights): (&DualPrices, &LevelWeights),
    orders: &IndexTable<SupplierIndex, SupplierPacks>,
    mut sum: LeastCost,
) -> LeastCost {
    let money = weights.money + weights.budget;
    for ((supplier, terms), order) in question.suppliers.enumerated().zip(orders) {
        let SupplierTerms { charge, minimum, free_over, .. } = *terms;
        let closed = if order.must_buy { LeastCost::NoPlan } else { LeastCost::Cost(0) };
        let reaching = |amount: Money| {
            LeastCost::of(prices.goods[supplier].checked_mul(i128::from(amount.parts()))).plus(order.least)
        };
        let charge = LeastCost::of(money.checked_mul(i128::from(charge.parts())));
        let paying = charge.plus(reaching(minimum));
        let free = free_over.map_or(LeastCost::NoPlan, |threshold| reaching(threshold.max(minimum)));
        sum = sum.plus(match restrictions.suppliers[supplier] {
            SupplierDecision::Closed => closed,
            SupplierDecision::Paying => paying,
            SupplierDecision::Free => free,
            SupplierDecision::Undecided => closed.or(paying).or(free),
        });
    }
    sum
}

/// `sum` less free pieces, the budget and the values of earlier levels, each times its multiplier.
fn constants(
    question: &Question,
    (prices, weights): (&DualPrices, &LevelWeights),
    (aim, reached): (Aim, &[(Aim, i64)]),
    mut sum: LeastCost,
) -> LeastCost {
    let spare = 10_000 + i128::from(question.limits.spare_per_10_000);
    for (supply, price) in question.supplies.iter().zip(&prices.pieces) {
        let free = price.checked_mul(spare).and_then(|price| price.checked_mul(i128::from(supply.free.0)));
        let rounded_up = |free: i128| free.div_euclid(10_000) + i128::from(free.rem_euclid(10_000) > 0);
        sum = sum.plus(LeastCost::of(free.map(|free| -rounded_up(free))));
    }
    let budget = match question.limits.budget {
        Some(budget) => weights.budget.checked_mul(i128::from(budget.parts())),
        None => (weights.budget == 0).then_some(0),
    };
    sum = sum.plus(LeastCost::of(budget.map(|budget| -budget)));
    for &(earlier, value) in reached.iter().filter(|(earlier, _)| *earlier < aim) {
        let reached = weights.of(earlier).checked_mul(i128::from(value));
        sum = sum.plus(LeastCost::of(reached.map(|reached| -reached)));
    }
    sum
}
