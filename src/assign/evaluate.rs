//! Evaluates a decision in whole numbers: its values, and whether it satisfies every constraint.

use crate::decision::{
    Aim, Chosen, Decision, OfferTerms, OwnedSupply, PacksBought, Question, SupplierIndex, SupplyIndex,
};
use crate::settings::CountLimits;
use crate::units::{IndexTable, Millilitres, Money, Packs, Pieces, greatest_common_divisor, index, number_of};

/// The values of a decision.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Values {
    /// Deferred rows of priority 1 to 4.
    pub deferred: [i64; 4],
    /// The same with the weights of their priorities; 0 where priorities are not weighed.
    pub weighted_deferred: i64,
    /// Money for packs, delivery, fluid and tanks.
    pub money: Money,
    /// The same plus the weight of the litres.
    pub weighed: Money,
    /// Fluid of all charges.
    pub fluid: Millilitres,
    /// Rows placed.
    pub placed: i64,
}

/// The values of a decision, whether it satisfies the constraints or not.
pub fn values(question: &Question, decision: &Decision) -> Values {
    let mut values = Values::default();
    for (class, chosen) in question.classes.iter().zip(&decision.chosen) {
        for (member, choice) in class.members.iter().zip(chosen) {
            match choice {
                Some(index) => {
                    let choice = &class.choices[*index];
                    values.money += choice.money + member.money;
                    values.fluid += choice.fluid + member.fluid;
                    values.placed += 1;
                }
                None => {
                    values.deferred[usize::from(class.priority) - 1] += 1;
                    values.weighted_deferred += question.limits.priority_weight(class.priority);
                }
            }
        }
    }
    for (supply, packs) in question.supplies.iter().zip(&decision.packs) {
        values.money += supply.offers.iter().zip(packs).map(|(offer, packs)| offer.pack_price * *packs).sum();
    }
    for order in orders(question, &decision.packs) {
        values.money += order.delivery;
    }
    for fluid in &question.owned {
        values.money += fluid.price.per_litre(missing(fluid, decision));
    }
    values.weighed = values.money + question.limits.litre_weight.per_litre(values.fluid);
    values
}

/// Need of an owned fluid in a decision.
pub fn need(fluid: &OwnedSupply, decision: &Decision) -> Millilitres {
    let mut need = Millilitres::ZERO;
    for (class, chosen) in decision.chosen.enumerated() {
        if fluid.of_choice[class].is_empty() && fluid.of_member[class].is_empty() {
            continue;
        }
        for (member, choice) in chosen.iter().enumerate() {
            need += choice.map_or(Millilitres::ZERO, |choice| fluid.need(class, member, choice));
        }
    }
    need
}

/// The part of that need beyond the stock.
pub fn missing(fluid: &OwnedSupply, decision: &Decision) -> Millilitres {
    (need(fluid, decision) - fluid.amount).max(Millilitres::ZERO)
}

/// The order from one supplier.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Order {
    /// Packs × pack price.
    pub goods: Money,
    /// Whether any pack is bought.
    pub any: bool,
    /// Delivery charge to pay.
    pub delivery: Money,
}

/// The orders, by supplier.
pub fn orders(question: &Question, packs: &PacksBought) -> IndexTable<SupplierIndex, Order> {
    let nothing = Order { goods: Money::ZERO, any: false, delivery: Money::ZERO };
    let mut orders = question.suppliers.filled(nothing);
    for (supply, packs) in question.supplies.iter().zip(packs) {
        for (offer, &packs) in supply.offers.iter().zip(packs) {
            if let Some(supplier) = offer.supplier
                && packs > Packs::ZERO
            {
                orders[supplier].goods += offer.pack_price * packs;
                orders[supplier].any = true;
            }
        }
    }
    for (order, terms) in orders.iter_mut().zip(&question.suppliers) {
        let free = terms.free_over.is_some_and(|threshold| order.goods >= threshold);
        order.delivery = if order.any && !free { terms.charge } else { Money::ZERO };
    }
    orders
}

/// Pieces used, by supply.
pub fn pieces_used(question: &Question, rows: &Chosen) -> IndexTable<SupplyIndex, Pieces> {
    let mut used = question.supplies.filled(Pieces::ZERO);
    for (class, chosen) in question.classes.iter().zip(rows) {
        for choice in chosen.iter().flatten() {
            let choice = &class.choices[*choice];
            if let Some(supply) = choice.supply {
                used[supply] += choice.pieces;
            }
        }
    }
    used
}

/// Pieces that must be bought if `used` are used: those beyond the free pieces with their spare pieces, rounded up.
pub fn pieces_to_buy(question: &Question, used: Pieces, free: Pieces) -> Pieces {
    let needed = (used - free).max(Pieces::ZERO).0 * (10_000 + question.limits.spare_per_10_000);
    Pieces(needed.div_euclid(10_000) + i64::from(needed.rem_euclid(10_000) > 0))
}

/// Checks every constraint; `Err` names the first that is violated.
pub fn check(question: &Question, decision: &Decision) -> Result<(), &'static str> {
    check_terms(question, decision)?;
    check_budget(question, &values(question, decision))
}

/// Checks the budget alone.
pub fn check_budget(question: &Question, values: &Values) -> Result<(), &'static str> {
    let limits = &question.limits;
    if limits.budget.is_some_and(|budget| values.money + limits.labour_per_row * values.placed > budget) {
        return Err("over the budget");
    }
    Ok(())
}

/// Checks every constraint except the budget.
pub fn check_terms(question: &Question, decision: &Decision) -> Result<(), &'static str> {
    let used = pieces_used(question, &decision.chosen);
    for ((supply, packs), used) in question.supplies.iter().zip(&decision.packs).zip(used) {
        let allowed = |(offer, packs): (&OfferTerms, &Packs)| {
            *packs == Packs::ZERO || (*packs >= offer.min_packs && offer.max_packs.is_none_or(|most| *packs <= most))
        };
        if !supply.offers.iter().zip(packs).all(allowed) {
            return Err("packs outside the offer's terms");
        }
        let bought: Pieces = supply.offers.iter().zip(packs).map(|(offer, packs)| offer.pack_size * *packs).sum();
        if bought < pieces_to_buy(question, used, supply.free) {
            return Err("more pieces used than there are");
        }
    }
    let orders = orders(question, &decision.packs);
    if orders.iter().zip(&question.suppliers).any(|(order, terms)| order.any && order.goods < terms.minimum) {
        return Err("an order below the supplier's minimum");
    }
    let CountLimits { max_vessel_types, max_suppliers } = question.limits.count_limits();
    let counted = question.supplies.iter().zip(&decision.packs).filter(|(supply, _)| supply.counts_as_kind);
    let types = counted.filter(|(_, packs)| packs.iter().any(|&packs| packs > Packs::ZERO)).count();
    if max_vessel_types.is_some_and(|most| types > index(most)) {
        return Err("more kinds of vessel bought than allowed");
    }
    let suppliers = orders.iter().filter(|order| order.any).count();
    if max_suppliers.is_some_and(|most| suppliers > index(most)) {
        return Err("more suppliers than allowed");
    }
    Ok(())
}

/// Most useful packs of an offer, Y(o) in [`crate::decision::certificate`], if at most `pieces` need be bought of its vessel: the
/// packs that hold all of them, plus those that alone reach the supplier's minimum and threshold.
pub fn most_useful_packs(question: &Question, offer: &OfferTerms, pieces: Pieces) -> Packs {
    let ceiling = |of: i64, by: i64| of.div_euclid(by) + i64::from(of.rem_euclid(by) > 0);
    let mut most = match pieces > Pieces::ZERO {
        true => pieces.in_packs_of(offer.pack_size.max(Pieces(1))).max(offer.min_packs),
        false => Packs::ZERO,
    };
    if let Some(supplier) = offer.supplier
        && offer.pack_price > Money::ZERO
    {
        let terms = &question.suppliers[supplier];
        let goods = terms.minimum.max(terms.free_over.unwrap_or(Money::ZERO));
        if goods > Money::ZERO {
            most += Packs(ceiling(goods.parts(), offer.pack_price.parts())).max(offer.min_packs);
        }
    }
    most.min(offer.max_packs.unwrap_or(Packs::MOST))
}

/// A lower bound of a level that needs no search.
pub fn trivial_bound(question: &Question, aim: Aim) -> i64 {
    match aim {
        Aim::WeightedDeferred | Aim::Deferred(_) => 0,
        Aim::Money | Aim::Fluid => least_possible(question, aim),
    }
}

/// A lower bound of money or fluid that needs no search: the sum over all lots of min(0, cost of the cheapest choice).
pub fn least_possible(question: &Question, aim: Aim) -> i64 {
    let weight = question.limits.litre_weight;
    let mut least = 0;
    for class in &question.classes {
        let cost = |money: Money, fluid: Millilitres| match aim {
            Aim::Fluid => fluid.0,
            _ => (money + weight.per_litre(fluid)).parts(),
        };
        let cheapest = class.choices.iter().map(|choice| cost(choice.money, choice.fluid)).min().unwrap_or(0);
        for member in &class.members {
            least += (cheapest + cost(member.money, member.fluid)).min(0);
        }
    }
    least
}

/// All rows, each with the weight of its priority.
pub fn weighted_rows(question: &Question) -> i64 {
    (1..=4).map(|priority| question.limits.priority_weight(priority) * rows_of(question, priority)).sum()
}

/// Number of rows of one priority.
pub fn rows_of(question: &Question, priority: u8) -> i64 {
    question.classes.iter().filter(|class| class.priority == priority).map(|class| number_of(class.members.len())).sum()
}

/// The largest amount that divides every amount of money in a question.
pub fn money_unit(question: &Question) -> Money {
    let weight = question.limits.litre_weight;
    let mut unit = 0;
    let mut meet = |money: Money| unit = greatest_common_divisor(unit, money.parts());
    for class in &question.classes {
        for choice in &class.choices {
            meet(choice.money);
            meet(weight.per_litre(choice.fluid));
        }
        for member in &class.members {
            meet(member.money);
            meet(weight.per_litre(member.fluid));
        }
    }
    for offer in question.supplies.iter().flat_map(|supply| &supply.offers) {
        meet(offer.pack_price);
    }
    for terms in &question.suppliers {
        meet(terms.charge);
    }
    for fluid in &question.owned {
        meet(fluid.price.per_litre(Millilitres(1)));
    }
    meet(question.limits.labour_per_row);
    Money::from_parts(unit.abs().max(1))
}

/// The largest amount that is known to divide the weighed money of every plan.
pub fn weighed_unit(question: &Question) -> Money {
    let weight = question.limits.litre_weight;
    let weighed = |money: Money, fluid: Millilitres| match weight {
        Money::ZERO => money.parts(),
        weight => (money + weight.per_litre(fluid)).parts(),
    };
    let mut unit = 0;
    let mut meet = |parts: i64| {
        // Nearly always `unit` divides already; the test is quicker than the divisor.
        if unit != 1 && (unit == 0 || parts % unit != 0) {
            unit = greatest_common_divisor(unit, parts);
        }
    };
    for class in &question.classes {
        let (Some(first), Some(member)) = (class.choices.first(), class.members.first()) else { continue };
        // If one sum of a choice and a member, and all differences from it, are multiples, so is every sum.
        meet(weighed(first.money + member.money, first.fluid + member.fluid));
        class.choices.iter().for_each(|choice| meet(weighed(choice.money - first.money, choice.fluid - first.fluid)));
        class.members.iter().for_each(|other| meet(weighed(other.money - member.money, other.fluid - member.fluid)));
    }
    question.supplies.iter().flat_map(|supply| &supply.offers).for_each(|offer| meet(offer.pack_price.parts()));
    question.suppliers.iter().for_each(|terms| meet(terms.charge.parts()));
    question.owned.iter().for_each(|fluid| meet(fluid.price.per_litre(Millilitres(1)).parts()));
    Money::from_parts(unit.abs().max(1))
}
