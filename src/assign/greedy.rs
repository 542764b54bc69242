//! A plan that is always there: rows in order of priority, each by its cheapest choice as things stand.
//!
//! Suppliers whose minimum is not reached are closed and the whole is done again, so that the result keeps every
//! constraint; it is the solver's start, and the plan where the solver stops empty-handed.

use super::evaluate;
use crate::decision::{Class, Decision, OfferTerms, Question, Supply};
use crate::units::Money;

/// A decision that keeps every constraint.
pub fn decide(question: &Question) -> Decision {
    let mut closed = vec![false; question.suppliers.len()];
    loop {
        let decision = pass(question, &closed, None);
        let orders = evaluate::orders(question, &decision.packs);
        let short =
            orders.iter().zip(&question.suppliers).position(|(order, terms)| order.any && order.goods < terms.minimum);
        match short {
            Some(supplier) => closed[supplier] = true,
            None => return decision,
        }
    }
}

/// A decision with the rows it left deferred placed where they can be, its own rows and packs kept.
pub fn complete(question: &Question, decision: &Decision) -> Decision {
    let open: Vec<bool> = evaluate::orders(question, &decision.packs).iter().map(|order| order.any).collect();
    // A supplier with a minimum that is not ordered from yet might stay below it.
    let closed: Vec<bool> =
        question.suppliers.iter().zip(open).map(|(terms, open)| !open && terms.minimum > Money::ZERO).collect();
    pass(question, &closed, Some(decision))
}

/// What has been used and bought so far.
struct Shelf {
    used: Vec<i64>,
    packs: Vec<Vec<i64>>,
    goods: Vec<Money>,
    /// By supplier, packs ordered.
    ordered: Vec<i64>,
    /// Kinds of vessel bought.
    kinds: usize,
    spent: Money,
}

/// So many packs of an offer in all, instead of those there were.
#[derive(Clone, Copy)]
struct Purchase {
    offer: usize,
    packs: i64,
    /// What that adds, with the delivery it brings or saves.
    money: Money,
}

/// One round over all rows that the start leaves deferred.
fn pass(question: &Question, closed: &[bool], start: Option<&Decision>) -> Decision {
    let nothing = || Decision {
        chosen: question.classes.iter().map(|class| vec![None; class.members.len()]).collect(),
        packs: question.supplies.iter().map(|supply| vec![0; supply.offers.len()]).collect(),
        ..Decision::default()
    };
    let start = start.cloned().unwrap_or_else(nothing);
    let values = evaluate::values(question, &start);
    let mut shelf = Shelf {
        used: evaluate::pieces_used(question, &start.chosen),
        goods: evaluate::orders(question, &start.packs).iter().map(|order| order.goods).collect(),
        ordered: packs_ordered(question, &start.packs),
        kinds: start.packs.iter().filter(|packs| packs.iter().any(|&packs| packs > 0)).count(),
        spent: values.money + question.limits.labour_per_row * values.placed,
        packs: start.packs,
    };
    let mut chosen = start.chosen;
    let start_is_open: Vec<Vec<bool>> = chosen.iter().map(|row| row.iter().map(Option::is_none).collect()).collect();
    let mut order: Vec<usize> = (0..question.classes.len()).collect();
    // Rows with the fewest choices first within a priority: they have nowhere else to go.
    order.sort_by_key(|&index| (question.classes[index].priority, question.classes[index].choices.len()));
    for index in order {
        let class = &question.classes[index];
        // What a row costs at least beside its own, and the money of a row that found no place since one did: what costs as
        // much finds none either.
        let least = class.choices.iter().map(|choice| choice.money).min().unwrap_or_default();
        let least = least + question.limits.labour_per_row;
        let mut too_dear: Option<Money> = None;
        for member in (0..class.members.len()).filter(|&member| start_is_open[index][member]) {
            let money = class.members[member].money;
            let beyond = question.limits.budget.is_some_and(|budget| shelf.spent + least + money > budget);
            if beyond || too_dear.is_some_and(|least| money >= least) {
                continue;
            }
            chosen[index][member] = place(question, closed, class, member, &mut shelf);
            too_dear = if chosen[index][member].is_none() { Some(money) } else { None };
        }
    }
    Decision { chosen, packs: shelf.packs, ..Decision::default() }
}

/// Places one member by its cheapest choice, if any is within the limits.
fn place(question: &Question, closed: &[bool], class: &Class, member: usize, shelf: &mut Shelf) -> Option<u32> {
    let constants = class.members[member];
    let weight = question.limits.litre_weight;
    let mut best: Option<(Money, u32, Option<Purchase>, Money)> = None;
    for (choice, index) in class.choices.iter().zip(0u32..) {
        let fluid = choice.fluid + constants.fluid;
        let own = choice.money + constants.money;
        let purchase = match choice.supply {
            Some(supply) => match buy(question, closed, shelf, supply as usize, i64::from(choice.pieces)) {
                Some(purchase) => purchase,
                None => continue,
            },
            None => None,
        };
        let bought = purchase.map_or(Money::ZERO, |purchase| purchase.money);
        let paid = own + bought + question.limits.labour_per_row;
        if question.limits.budget.is_some_and(|budget| shelf.spent + paid > budget) {
            continue;
        }
        let weighed = own + bought + weight.per_litre(fluid);
        if best.as_ref().is_none_or(|(least, ..)| weighed < *least) {
            best = Some((weighed, index, purchase, paid));
        }
    }
    let (_, index, purchase, paid) = best?;
    let choice = class.choices[index as usize];
    if let Some(supply) = choice.supply {
        let supply = supply as usize;
        shelf.used[supply] += i64::from(choice.pieces);
        if let Some(Purchase { offer, packs, .. }) = purchase {
            shelf.kinds += usize::from(shelf.packs[supply].iter().all(|&packs| packs == 0));
            let more = packs - shelf.packs[supply][offer];
            let terms = &question.supplies[supply].offers[offer];
            if let Some(supplier) = terms.supplier {
                shelf.goods[supplier as usize] += terms.pack_price * more;
                shelf.ordered[supplier as usize] += more;
            }
            shelf.packs[supply][offer] = packs;
        }
    }
    shelf.spent += paid;
    Some(index)
}

/// Packs of each supplier's offers.
fn packs_ordered(question: &Question, packs: &[Vec<i64>]) -> Vec<i64> {
    let mut ordered = vec![0; question.suppliers.len()];
    for (supply, packs) in question.supplies.iter().zip(packs) {
        for (offer, packs) in supply.offers.iter().zip(packs) {
            if let Some(supplier) = offer.supplier {
                ordered[supplier as usize] += packs;
            }
        }
    }
    ordered
}

/// What is bought to take so many more pieces of a supply, if anything need be; `None` where it cannot be.
fn buy(question: &Question, closed: &[bool], shelf: &Shelf, supply: usize, pieces: i64) -> Option<Option<Purchase>> {
    let terms: &Supply = &question.supplies[supply];
    let have = &shelf.packs[supply];
    let bought: i64 = terms.offers.iter().zip(have).map(|(offer, packs)| offer.pack_size * packs).sum();
    let needed = evaluate::pieces_to_buy(question, shelf.used[supply] + pieces, terms.free) - bought;
    if needed <= 0 {
        return Some(None);
    }
    let new_kind = have.iter().all(|&packs| packs == 0);
    if new_kind && question.limits.max_vessel_types.is_some_and(|most| shelf.kinds >= most as usize) {
        return None;
    }
    let mut best: Option<Purchase> = None;
    for (index, offer) in terms.offers.iter().enumerate() {
        if offer.supplier.is_some_and(|supplier| closed[supplier as usize] || !may_open(question, shelf, supplier)) {
            continue;
        }
        let more = (needed + offer.pack_size - 1) / offer.pack_size;
        let packs = (have[index] + more).max(offer.min_packs);
        if offer.max_packs.is_some_and(|most| packs > most) {
            continue;
        }
        let money = added(question, shelf, offer, packs - have[index]);
        if best.is_none_or(|best| money < best.money) {
            best = Some(Purchase { offer: index, packs, money });
        }
    }
    best.map(Some)
}

/// Whether a supplier is ordered from already, or may still be.
fn may_open(question: &Question, shelf: &Shelf, supplier: u32) -> bool {
    let Some(most) = question.limits.max_suppliers else { return true };
    shelf.ordered[supplier as usize] > 0 || shelf.ordered.iter().filter(|&&packs| packs > 0).count() < most as usize
}

/// What more packs of an offer add, with the delivery they bring or save.
fn added(question: &Question, shelf: &Shelf, offer: &OfferTerms, packs: i64) -> Money {
    let price = offer.pack_price * packs;
    let Some(supplier) = offer.supplier else { return price };
    let terms = &question.suppliers[supplier as usize];
    let before = shelf.goods[supplier as usize];
    let delivery = |goods: Money, any: bool| {
        let free = terms.free_over.is_some_and(|threshold| goods >= threshold);
        if any && !free { terms.charge } else { Money::ZERO }
    };
    price + delivery(before + price, true) - delivery(before, shelf.ordered[supplier as usize] > 0)
}
