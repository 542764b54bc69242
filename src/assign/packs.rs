//! Cheap whole packs for the pieces that rows use, by a heuristic.
//!
//! Method: for each supply the cheapest of these: packs of one offer; full packs of one offer with the rest of another. If order
//! limits exclude both, offers in order of price a piece. Then each order below its supplier's minimum gets spare packs of one or
//! two offers; so does an order that reaches free delivery for less than the charge. (Common practice, no source.)
//!
//! Limits: every number of packs is within its offer's terms, but the limits on kinds and suppliers, the budget, and a minimum for
//! which no spare packs are found may be violated: callers check the plan ([`evaluate::check`]). The packs need not be the cheapest.

use itertools::Itertools;

use super::evaluate;
use crate::decision::{OfferTerms, PacksBought, Question, SupplierIndex, Supply, SupplyIndex};
use crate::units::{IndexTable, Money, Packs, Pieces};

/// Packs for the pieces used of each supply. Orders are raised to the supplier's minimum, and to free delivery if that saves
/// money. `None` if no packs are found that hold the pieces.
pub fn cover(question: &Question, used: &IndexTable<SupplyIndex, Pieces>) -> Option<PacksBought> {
    let mut packs = IndexTable::with_capacity(question.supplies.len());
    for (supply, used) in question.supplies.iter().zip(used) {
        packs.push(cheapest(supply, evaluate::pieces_to_buy(question, *used, supply.free))?);
    }
    lift_orders(question, &mut packs);
    Some(packs)
}

/// The cheapest packs found that hold `pieces`: of one offer alone, or full packs of one and the rest of another.
fn cheapest(supply: &Supply, pieces: Pieces) -> Option<Vec<Packs>> {
    let n = supply.offers.len();
    if pieces <= Pieces::ZERO {
        return Some(vec![Packs::ZERO; n]);
    }
    let mut best: Option<(Money, Vec<Packs>)> = None;
    let mut propose = |packs: Vec<Packs>| {
        let price = supply.offers.iter().zip(&packs).map(|(offer, packs)| offer.pack_price * *packs).sum();
        if best.as_ref().is_none_or(|(least, _)| price < *least) {
            best = Some((price, packs));
        }
    };
    for (first, offer) in supply.offers.iter().enumerate() {
        let all = pieces.in_packs_of(offer.pack_size);
        let most = all.min(offer.max_packs.unwrap_or(Packs::MOST));
        let full = most.min(Packs(pieces.0 / offer.pack_size.0));
        if let Some(whole) = allowed(offer, all) {
            let mut packs = vec![Packs::ZERO; n];
            packs[first] = whole;
            propose(packs);
        }
        for (second, other) in supply.offers.iter().enumerate().filter(|(second, _)| *second != first) {
            for some in [full, full - Packs(1)] {
                let rest = pieces - offer.pack_size * some;
                if some < offer.min_packs || rest <= Pieces::ZERO {
                    continue;
                }
                if let Some(whole) = allowed(other, rest.in_packs_of(other.pack_size)) {
                    let mut packs = vec![Packs::ZERO; n];
                    (packs[first], packs[second]) = (some, whole);
                    propose(packs);
                }
            }
        }
    }
    if best.is_none() {
        // Order limits exclude all of these: take offers in order of price a piece until the packs suffice.
        let mut packs = vec![Packs::ZERO; n];
        let mut left = pieces;
        let by_price = (0..n).sorted_by_key(|&index| {
            let offer = &supply.offers[index];
            (offer.pack_price.parts() * 1000 / offer.pack_size.0, index)
        });
        for index in by_price {
            let offer = &supply.offers[index];
            let wanted = left.in_packs_of(offer.pack_size).max(offer.min_packs);
            let taken = wanted.min(offer.max_packs.unwrap_or(Packs::MOST));
            if left > Pieces::ZERO && taken >= offer.min_packs {
                packs[index] = taken;
                left -= offer.pack_size * taken;
            }
        }
        return (left <= Pieces::ZERO).then_some(packs);
    }
    best.map(|(_, packs)| packs)
}

/// The larger of `packs` and the offer's minimum, if that is within its limit.
fn allowed(offer: &OfferTerms, packs: Packs) -> Option<Packs> {
    let packs = packs.max(offer.min_packs);
    offer.max_packs.is_none_or(|most| packs <= most).then_some(packs)
}

/// Adds spare packs where an order is below the supplier's minimum, or where free delivery saves more than they cost.
fn lift_orders(question: &Question, packs: &mut PacksBought) {
    for supplier in question.suppliers.positions() {
        let order = evaluate::orders(question, packs)[supplier];
        let terms = &question.suppliers[supplier];
        if !order.any {
            continue;
        }
        if order.goods < terms.minimum
            && let Some((_, more)) = spare(question, packs, supplier, terms.minimum - order.goods)
        {
            add(packs, &more);
        }
        let order = evaluate::orders(question, packs)[supplier];
        if let Some(threshold) = terms.free_over
            && order.goods < threshold
            && threshold - order.goods < order.delivery
            && let Some((price, more)) = spare(question, packs, supplier, threshold - order.goods)
            && price < order.delivery
        {
            add(packs, &more);
        }
    }
}

/// Packs to add: supply, offer, number.
type More = Vec<(SupplyIndex, usize, Packs)>;

fn add(packs: &mut PacksBought, more: &More) {
    for &(supply, offer, number) in more {
        packs[supply][offer] += number;
    }
}

/// The cheapest packs found, of one offer or of two, that raise a supplier's goods by an amount; with their price.
fn spare(question: &Question, packs: &PacksBought, supplier: SupplierIndex, amount: Money) -> Option<(Money, More)> {
    let mut offers: Vec<(SupplyIndex, usize, Money, Packs, Packs)> = Vec::new();
    // No new kind where the number of kinds is limited and it counts.
    let are_limited = question.limits.max_vessel_types.is_some();
    for (s, supply) in question.supplies.enumerated() {
        let bought = packs[s].iter().any(|&packs| packs > Packs::ZERO);
        let may_be_new = !are_limited || !supply.counts_as_kind;
        for (f, offer) in supply.offers.iter().enumerate() {
            let room = offer.max_packs.map_or(Packs::MOST, |most| most - packs[s][f]);
            let least = if packs[s][f] == Packs::ZERO { offer.min_packs } else { Packs(1) };
            let ours = offer.supplier == Some(supplier) && offer.pack_price > Money::ZERO;
            if ours && room >= least && (bought || may_be_new) {
                offers.push((s, f, offer.pack_price, least, room));
            }
        }
    }
    // Of many offers, those of low price are tried: they exceed the amount least.
    offers.sort_by_key(|&(s, f, price, ..)| (price, s, f));
    offers.truncate(MOST_OFFERS);
    let needed =
        |amount: Money, price: Money| Packs((amount.parts() + price.parts() - 1).div_euclid(price.parts()).max(0));
    let mut best: Option<(Money, More)> = None;
    let mut propose = |more: More, price: Money| {
        if best.as_ref().is_none_or(|(least, _)| price < *least) {
            best = Some((price, more));
        }
    };
    for &(s, f, price, least, room) in &offers {
        let all = needed(amount, price).max(least);
        if all <= room {
            propose(vec![(s, f, all)], price * all);
        }
        let most = all.min(room + Packs(1)).min(least + MOST_TRIED);
        for some in (least.0..most.0).map(Packs) {
            let left = amount - price * some;
            for &(s2, f2, price2, least2, room2) in offers.iter().filter(|other| (other.0, other.1) != (s, f)) {
                let rest = needed(left, price2).max(least2);
                if left > Money::ZERO && rest <= room2 {
                    propose(vec![(s, f, some), (s2, f2, rest)], price * some + price2 * rest);
                }
            }
        }
    }
    best
}

/// Most offers of one supplier that are tried as spare packs.
const MOST_OFFERS: usize = 64;

/// Numbers of packs of one offer that are tried beside another offer.
const MOST_TRIED: Packs = Packs(12);
