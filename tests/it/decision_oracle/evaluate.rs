//! Checks that a decision keeps every rule of its question, and computes its levels.

use rehouse::decision::{Decision, OfferTerms, Question, SupplierIndex, SupplyIndex};
use rehouse::settings::CountLimits;
use rehouse::units::{IndexTable, Packs};

/// The levels of a plan, in order of rank: deferred rows of priority 1, 2, 3 and 4, weighed money in ten-millionths, fluid in
/// millilitres. With weights by priority the first is the weighted number of deferred rows, and the next three are 0.
pub type LevelValues = [i64; 6];

/// The levels of a decision, from the question and the decision's choices and packs alone.
///
/// Levels that the decision states are not read. Sums are wide enough that an absurd decision cannot overflow them.
///
/// # Errors
/// The first rule of the question that the decision breaks, in words.
pub fn evaluate(question: &Question, decision: &Decision) -> Result<LevelValues, String> {
    let placed = placed(question, decision)?;
    let order = ordered(question, decision, &placed.used)?;
    let limits = &question.limits;
    let money = placed.money + order.goods + order.delivery;
    if let Some(budget) = limits.budget {
        let labour = i128::from(limits.labour_per_row.parts()) * i128::from(placed.rows);
        refuse_if(money + labour > i128::from(budget.parts()), || {
            format!("money {money} and labour {labour} exceed the budget of {}", budget.parts())
        })?;
    }
    let most = |cap: Option<u32>| cap.map_or(usize::MAX, |cap| cap as usize);
    let CountLimits { max_vessel_types, max_suppliers } = limits.count_limits();
    refuse_if(order.kinds > most(max_vessel_types), || format!("{} kinds of vessel bought", order.kinds))?;
    refuse_if(order.suppliers > most(max_suppliers), || format!("{} suppliers ordered from", order.suppliers))?;
    let weighed = money + i128::from(limits.litre_weight.parts() / 1000) * placed.fluid;
    let whole = |sum: i128| i64::try_from(sum).map_err(|_| format!("{sum} is beyond any sum of money or fluid"));
    let [first, second, third, fourth] = match limits.priority_weights {
        None => placed.deferred,
        Some(weights) => [weights.iter().zip(placed.deferred).map(|(weight, rows)| weight * rows).sum(), 0, 0, 0],
    };
    Ok([first, second, third, fourth, whole(weighed)?, whole(placed.fluid)?])
}

/// Totals over the placed rows, without the price of vessels.
struct PlacedTotals {
    rows: i64,
    deferred: [i64; 4],
    used: IndexTable<SupplyIndex, i128>,
    money: i128,
    fluid: i128,
}

fn placed(question: &Question, decision: &Decision) -> Result<PlacedTotals, String> {
    let mut placed = PlacedTotals { rows: 0, deferred: [0; 4], used: question.supplies.filled(0), money: 0, fluid: 0 };
    same_length("classes", question.classes.len(), decision.chosen.len())?;
    for (class, chosen) in question.classes.iter().zip(&decision.chosen) {
        same_length("members of a class", class.members.len(), chosen.len())?;
        for (member, chosen) in class.members.iter().zip(chosen) {
            let Some(chosen) = chosen else {
                placed.deferred[usize::from(class.priority) - 1] += 1;
                continue;
            };
            let choice = class.choices.get(*chosen).ok_or_else(|| format!("there is no {chosen:?}"))?;
            placed.rows += 1;
            placed.money += i128::from(choice.money.parts()) + i128::from(member.money.parts());
            placed.fluid += i128::from(choice.fluid.0) + i128::from(member.fluid.0);
            if let Some(supply) = choice.supply {
                placed.used[supply] += i128::from(choice.pieces.0);
            }
        }
    }
    Ok(placed)
}

/// Totals over the order.
struct OrderedTotals {
    goods: i128,
    delivery: i128,
    kinds: usize,
    suppliers: usize,
}

fn ordered(question: &Question, decision: &Decision, used: &[i128]) -> Result<OrderedTotals, String> {
    let mut order = OrderedTotals { goods: 0, delivery: 0, kinds: 0, suppliers: 0 };
    let mut goods_from: IndexTable<SupplierIndex, Option<i128>> = question.suppliers.filled(None);
    same_length("supplies", question.supplies.len(), decision.packs.len())?;
    for (number, (supply, packs)) in question.supplies.iter().zip(&decision.packs).enumerate() {
        same_length("offers of a supply", supply.offers.len(), packs.len())?;
        let mut bought = 0;
        for (offer, &Packs(packs)) in supply.offers.iter().zip(packs) {
            may_be_ordered(offer, packs).map_err(|what| format!("supply {number}: {what}"))?;
            if packs == 0 {
                continue;
            }
            let goods = i128::from(packs) * i128::from(offer.pack_price.parts());
            bought += i128::from(packs) * i128::from(offer.pack_size.0);
            order.goods += goods;
            if let Some(supplier) = offer.supplier {
                *goods_from[supplier].get_or_insert(0) += goods;
            }
        }
        order.kinds += usize::from(supply.counts_as_kind && packs.iter().any(|&packs| packs > Packs::ZERO));
        let purchased = (used[number] - i128::from(supply.free.0)).max(0);
        let spare = i128::from(question.limits.spare_per_10_000);
        refuse_if(bought * 10_000 < purchased * (10_000 + spare), || {
            format!("supply {number}: {purchased} pieces are used from purchase, only {bought} bought")
        })?;
    }
    for (terms, goods) in question.suppliers.iter().zip(goods_from) {
        let Some(goods) = goods else { continue };
        order.suppliers += 1;
        refuse_if(goods < i128::from(terms.minimum.parts()), || {
            format!("goods of {goods} are below supplier {}'s minimum", terms.supplier.0)
        })?;
        let free = terms.free_over.is_some_and(|least| goods >= i128::from(least.parts()));
        order.delivery += if free { 0 } else { i128::from(terms.charge.parts()) };
    }
    Ok(order)
}

fn may_be_ordered(offer: &OfferTerms, packs: i64) -> Result<(), String> {
    refuse_if(packs < 0, || format!("{packs} packs"))?;
    refuse_if(packs > 0 && packs < offer.min_packs.0, || format!("{packs} packs, at least {}", offer.min_packs.0))?;
    let most = offer.max_packs.unwrap_or(Packs::MOST).0;
    refuse_if(packs > most, || format!("{packs} packs, at most {most}"))
}

fn same_length(what: &str, asked: usize, answered: usize) -> Result<(), String> {
    refuse_if(asked != answered, || format!("{asked} {what} asked, {answered} answered"))
}

fn refuse_if(broken: bool, why: impl FnOnce() -> String) -> Result<(), String> {
    if broken { Err(why()) } else { Ok(()) }
}
