//! The bound of a part at given prices, by classes: the formula of [`crate::assign::flow::leaf`].

use std::borrow::Cow;

use crate::assign::flow::leaf::{Terms, Weights};
use crate::assign::flow::relaxation::{Branch, Prices};
use crate::decision::{Aim, OfferTerms, Question};
use crate::units::Money;

/// A part of the decision, by the question's own positions.
#[derive(Clone, Debug)]
pub struct Part {
    /// By supplier.
    pub terms: Vec<Terms>,
    /// By supply and offer, least and most packs.
    pub packs: Vec<Vec<(i64, Option<i64>)>>,
}

impl Part {
    /// The whole decision.
    pub fn whole(question: &Question) -> Self {
        Part {
            terms: question.terms_of_whole(),
            packs: question.supplies.iter().map(|supply| vec![(0, None); supply.offers.len()]).collect(),
        }
    }
}

/// The parts that a branch makes of a part, as [`Relaxation::children`] makes them.
pub fn parts(question: &Question, part: &Part, branch: &Branch) -> Vec<Part> {
    match *branch {
        Branch::Supplier(supplier) => {
            let decided = |terms: &Terms| {
                let mut part = part.clone();
                part.terms[supplier] = *terms;
                part
            };
            question.terms_of(supplier).iter().map(decided).collect()
        }
        Branch::Packs(offer, whole) => {
            let (supply, offer) = supply_of_offer(question, offer);
            let [mut fewer, mut more] = [part.clone(), part.clone()];
            fewer.packs[supply][offer].1 = Some(whole);
            more.packs[supply][offer].0 = whole + 1;
            vec![fewer, more]
        }
        Branch::Lot(..) | Branch::Vessel(_) => Vec::new(),
    }
}

/// Supply and offer of an offer counted over all supplies.
fn supply_of_offer(question: &Question, mut offer: usize) -> (usize, usize) {
    for (supply, terms) in question.supplies.iter().enumerate() {
        if offer < terms.offers.len() {
            return (supply, offer);
        }
        offer -= terms.offers.len();
    }
    (question.supplies.len(), offer)
}

/// A piece costs no more than an offer without limit asks for it: such an offer would give back without end.
pub fn fit_in(question: &Question, part: &Part, prices: &mut Prices) {
    let money = prices.weights.money + prices.weights.budget;
    for ((supply, limits), price) in question.supplies.iter().zip(&part.packs).zip(&mut prices.pieces) {
        for (offer, (_, most)) in supply.offers.iter().zip(limits) {
            let supplier = offer.supplier.map(|supplier| supplier as usize);
            let closed = supplier.is_some_and(|supplier| part.terms[supplier] == Terms::Closed);
            if !closed && most.is_none() && offer.max_packs.is_none() {
                let weight = money - supplier.map_or(0, |supplier| prices.goods[supplier]);
                let piece = (weight * i128::from(offer.pack_price.parts())).div_euclid(i128::from(offer.pack_size));
                *price = (*price).min(piece).max(0);
            }
        }
    }
}

/// Of a part in which there is no plan.
pub const NO_PLAN: i128 = i128::MAX;

/// Where the prices say nothing, or more than 128 bits hold.
pub const NO_BOUND: i128 = i128::MIN;

/// What the plans of a part reach at least on a level, when they do no worse than `reached` on each before it and all rows
/// cost at least `rows`.
pub fn bound(
    question: &Question,
    part: &Part,
    (prices, rows): (&Prices, Option<i128>),
    aim: Aim,
    reached: &[(Aim, i64)],
) -> i128 {
    let Some(part) = within_caps(question, part) else { return NO_PLAN };
    let weights = prices.weights.up_to(aim);
    let own = weights.of(aim);
    match sum(question, &part, (prices, rows), &weights, aim, reached) {
        Sum::NoPlan => NO_PLAN,
        Sum::Least(least) if own == 0 && least > 0 => NO_PLAN,
        Sum::Least(least) if own > 0 => least.div_euclid(own) + i128::from(least.rem_euclid(own) > 0),
        Sum::Least(_) | Sum::NoBound => NO_BOUND,
    }
}

/// A part in which as many suppliers as may be are ordered from, or kinds of vessel bought, has no others; `None` where there
/// are more.
fn within_caps<'a>(question: &Question, part: &'a Part) -> Option<Cow<'a, Part>> {
    let limits = &question.limits;
    if limits.max_suppliers.is_none() && limits.max_vessel_types.is_none() {
        return Some(Cow::Borrowed(part));
    }
    let mut part = part.clone();
    let [most_suppliers, most_kinds] =
        [limits.max_suppliers, limits.max_vessel_types].map(|most| most.map_or(usize::MAX, |most| most as usize));
    let ordered = part.terms.iter().filter(|terms| matches!(terms, Terms::Paying | Terms::Free)).count();
    if ordered == most_suppliers {
        part.terms.iter_mut().filter(|terms| **terms == Terms::Undecided).for_each(|terms| *terms = Terms::Closed);
    }
    let bought = |packs: &[(i64, Option<i64>)]| packs.iter().any(|(least, _)| *least > 0);
    let kinds = part.packs.iter().filter(|packs| bought(packs)).count();
    if kinds == most_kinds {
        let others = part.packs.iter_mut().filter(|packs| !bought(packs));
        others.flatten().for_each(|(_, most)| *most = Some(0));
    }
    (ordered <= most_suppliers && kinds <= most_kinds).then_some(Cow::Owned(part))
}

/// A sum of least costs.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Sum {
    Least(i128),
    NoPlan,
    NoBound,
}

impl Sum {
    fn of(least: Option<i128>) -> Self {
        least.map_or(Sum::NoBound, Sum::Least)
    }

    fn plus(self, other: Self) -> Self {
        match (self, other) {
            (Sum::NoPlan, _) | (_, Sum::NoPlan) => Sum::NoPlan,
            (Sum::NoBound, _) | (_, Sum::NoBound) => Sum::NoBound,
            (Sum::Least(one), Sum::Least(other)) => Sum::of(one.checked_add(other)),
        }
    }

    fn or(self, other: Self) -> Self {
        match (self, other) {
            (Sum::NoPlan, other) | (other, Sum::NoPlan) => other,
            (Sum::NoBound, _) | (_, Sum::NoBound) => Sum::NoBound,
            (Sum::Least(one), Sum::Least(other)) => Sum::Least(one.min(other)),
        }
    }
}

fn sum(
    question: &Question,
    part: &Part,
    (prices, rows): (&Prices, Option<i128>),
    weights: &Weights<i128>,
    aim: Aim,
    reached: &[(Aim, i64)],
) -> Sum {
    let spare = 10_000 + i128::from(question.limits.spare_per_10_000);
    let mut sum = Sum::of(rows);
    let money = weights.money + weights.budget;
    // By supplier, what its packs come to at least, and whether some must be bought.
    let mut orders = vec![(Sum::Least(0), false); question.suppliers.len()];
    for ((supply, limits), price) in question.supplies.iter().zip(&part.packs).zip(&prices.pieces) {
        for (offer, limits) in supply.offers.iter().zip(limits) {
            let supplier = offer.supplier.map(|supplier| supplier as usize);
            let weight = supplier.map_or(0, |supplier| prices.goods[supplier]);
            let pack = (money - weight).checked_mul(i128::from(offer.pack_price.parts()));
            let pieces = price.checked_mul(i128::from(offer.pack_size));
            let cost = pack.zip(pieces).and_then(|(pack, pieces)| pack.checked_sub(pieces));
            let least = cost.map_or(Sum::NoBound, |cost| packs(offer, *limits, cost));
            match supplier {
                Some(supplier) => {
                    let (ordered, must_buy) = &mut orders[supplier];
                    (*ordered, *must_buy) = (ordered.plus(least), *must_buy || limits.0 > 0);
                }
                None => sum = sum.plus(least),
            }
        }
    }
    for (supplier, (terms, &(ordered, must_buy))) in question.suppliers.iter().zip(&orders).enumerate() {
        let weight = prices.goods[supplier];
        let closed = if must_buy { Sum::NoPlan } else { Sum::Least(0) };
        let reaching = |goods: Money| Sum::of(weight.checked_mul(i128::from(goods.parts()))).plus(ordered);
        let charge = Sum::of(money.checked_mul(i128::from(terms.charge.parts())));
        let paying = charge.plus(reaching(terms.minimum));
        let free = terms.free_over.map_or(Sum::NoPlan, |threshold| reaching(threshold.max(terms.minimum)));
        sum = sum.plus(match part.terms[supplier] {
            Terms::Closed => closed,
            Terms::Paying => paying,
            Terms::Free => free,
            Terms::Undecided => closed.or(paying).or(free),
        });
    }
    for (supply, price) in question.supplies.iter().zip(&prices.pieces) {
        let free = price.checked_mul(spare).and_then(|price| price.checked_mul(i128::from(supply.free)));
        sum = sum.plus(Sum::of(free.map(|free| -(free.div_euclid(10_000) + i128::from(free.rem_euclid(10_000) > 0)))));
    }
    let budget = match question.limits.budget {
        Some(budget) => weights.budget.checked_mul(i128::from(budget.parts())),
        None => (weights.budget == 0).then_some(0),
    };
    sum = sum.plus(Sum::of(budget.map(|budget| -budget)));
    for &(earlier, value) in reached.iter().filter(|(earlier, _)| *earlier < aim) {
        sum = sum.plus(Sum::of(weights.of(earlier).checked_mul(i128::from(value)).map(|held| -held)));
    }
    sum
}

/// What the packs of one offer cost at least.
fn packs(offer: &OfferTerms, (least, most): (i64, Option<i64>), cost: i128) -> Sum {
    let most = most.into_iter().chain(offer.max_packs).min();
    let some = least.max(offer.min_packs).max(1);
    let none = if least <= 0 { Sum::Least(0) } else { Sum::NoPlan };
    if most.is_some_and(|most| most < some) {
        return none;
    }
    let number = if cost >= 0 { Some(some) } else { most };
    none.or(Sum::of(number.and_then(|number| cost.checked_mul(i128::from(number)))))
}
