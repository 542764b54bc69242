//! The price at which an offer would leave or enter the plan.
//!
//! # Problem
//!
//! Let a be the best plan that buys no packs of the offer, and b(p) the best that buys some at a price of p a pack. Plans are
//! compared as always: lots without a place by priority, then weighed money. The offer is bought where b(p) is better than a. To
//! find is the price up to which that holds.
//!
//! # Method
//!
//! A plan with y packs that is better than a at one price stays so as the price rises, until it costs as much as a, or reaches the
//! budget: the price can rise by what a costs more, divided by y, or by what is left of the budget, divided by y. From that price
//! and a ten-thousandth the project is decided again. If the offer is bought there, that plan is the next; if not, the price is
//! found. (Newton's method on a concave, piecewise linear function of the price; for a ratio: W. Dinkelbach, "On nonlinear fractional
//! programming", Management Science 13 (1967) 492–498, from memory.) The search starts at the present price where the offer is
//! bought, else at nothing.
//!
//! # Why the result is what it claims
//!
//! Up to the price found, a plan that buys the offer is at hand and better than a. A ten-thousandth above, the best plan of the
//! project, with its certificate, buys none of it. Above that none is bought at any price, as b(p) only rises.
//!
//! Where b(p) costs exactly as much as a, the plan may buy the offer for less fluid. That price is the one found: below it b is
//! better, above it a.
//!
//! # Minimum orders and free delivery
//!
//! A supplier's minimum order and threshold of free delivery are asked of the value of the goods, which rises with the price. So
//! b(p) may fall as p rises, and the offer may be bought, not be bought, and be bought again. A plan with y packs that is better
//! than a still stays so as the price rises, as above: the terms that it keeps it keeps at a higher price. So what is found is a
//! range: the offer is bought at each price from the start to its end, and not a ten-thousandth above the end. Nothing is claimed
//! of other prices. For an offer that is not bought now the search starts at half its price, at nothing, and at the price at which
//! one pack meets all terms, until a range is found.
//!
//! A dearer pack of the offer can also be replaced by another offer of the same vessel: their prices stay as they are.

use super::{Inquiry, PlanValue, Watch, WhatIf};
use crate::decision::{Decision, Status};
use crate::plan::Plan;
use crate::project::Project;
use crate::units::{Money, Packs, index};

/// The price of a pack up to which an offer is bought.
#[derive(Clone, Debug)]
pub struct BreakEven {
    /// Which offer of the stock list.
    pub offer: usize,
    /// Packs in the plan as it is.
    pub packs: Packs,
    /// Up to which price packs of it are bought.
    pub bought: BoughtUpTo,
    /// Where what its supplier asks depends on the value of the goods, the price from which on packs are bought up to there, or the
    /// last price that was tried. Nothing is known of other prices then.
    pub from: Option<Money>,
    /// The best plan that buys none.
    pub without: PlanValue,
    /// The best plan a ten-thousandth above the price; without a price, at the last price tried.
    pub above: PlanValue,
}

/// Up to which price packs are bought.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BoughtUpTo {
    /// Not even for nothing; in a range, at none of the prices that were tried.
    NoPrice,
    /// This.
    Price(Money),
    /// Whatever it is: without a budget, lots have a place that have none otherwise.
    AnyPrice,
}

impl BreakEven {
    /// Where what is bought is a range of prices, its first.
    pub fn bought_from(&self) -> Option<Money> {
        self.from.filter(|_| self.bought != BoughtUpTo::NoPrice)
    }

    /// Whether both plans are proved best.
    pub fn is_proved(&self) -> bool {
        [&self.without, &self.above].iter().all(|plan| plan.status == Status::ProvedBest)
    }
}

/// Whether an audit finds nothing wrong with the plan of a project.
pub type Audit<'a> = &'a dyn Fn(&Project, &Plan) -> bool;

impl Inquiry<'_> {
    /// What a decision comes to; not proved where the audit does not confirm its plan.
    pub fn confirmed(&self, decision: &Decision, audit: Audit) -> PlanValue {
        let found = self.plan_value(decision);
        let holds = found.status != Status::ProvedBest || audit(self.project(), &self.plan(decision));
        if holds { found } else { PlanValue { status: Status::BestFound, ..found } }
    }
}

/// The least step of a price.
pub const STEP: Money = Money::from_parts(1000);

/// Prices tried before a search is given up: each but the last is that of another plan.
const MOST_PRICES: usize = 60;

/// The price up to which an offer is bought, beside the plan as it is. `None` where the search was stopped.
pub fn break_even(inquiry: &Inquiry, plan: &Decision, offer: usize, watch: &mut Watch) -> Option<BreakEven> {
    break_even_confirmed(inquiry, plan, offer, &|_, _| true, watch)
}

/// The same, where a plan that the audit does not confirm counts as not proved.
pub fn break_even_confirmed(
    inquiry: &Inquiry,
    plan: &Decision,
    offer: usize,
    audit: Audit,
    watch: &mut Watch,
) -> Option<BreakEven> {
    let search = PriceSearch { inquiry, plan, offer, audit };
    let packs = search.packs(inquiry, plan);
    let without = if packs > Packs::ZERO { search.without(watch) } else { inquiry.confirmed(plan, audit) };
    let now = inquiry.project().stock.offers[offer].pack_price;
    let terms_met = search.terms_met();
    let starts = match (packs > Packs::ZERO, terms_met) {
        (true, _) => vec![now],
        (false, Some(met)) => vec![half(now), Money::ZERO, met],
        (false, None) => vec![Money::ZERO],
    };
    let mut found: Option<(Money, BoughtUpTo, PlanValue)> = None;
    for start in starts {
        if found.as_ref().is_some_and(|(_, bought, _)| *bought != BoughtUpTo::NoPrice) {
            break;
        }
        let (bought, above) = search.from(start, &without, watch);
        if (watch.stop)() {
            return None;
        }
        found = Some((start, bought, above));
    }
    let (start, bought, above) = found?;
    Some(BreakEven { offer, packs, bought, from: terms_met.map(|_| start), without, above })
}

/// Half a price, in whole steps.
fn half(price: Money) -> Money {
    Money::from_parts(price.parts() / 2 / STEP.parts() * STEP.parts())
}

struct PriceSearch<'a> {
    inquiry: &'a Inquiry<'a>,
    plan: &'a Decision,
    offer: usize,
    audit: Audit<'a>,
}

impl PriceSearch<'_> {
    fn packs(&self, inquiry: &Inquiry, decision: &Decision) -> Packs {
        let supplies = inquiry.question().supplies.iter().zip(&decision.packs);
        let mut offers = supplies.flat_map(|(supply, packs)| supply.offers.iter().zip(packs));
        let found = offers.find(|(terms, _)| index(terms.offer) == self.offer);
        found.map_or(Packs::ZERO, |(_, packs)| *packs)
    }

    /// The price at which one pack is worth all that its supplier asks of the value of the goods; `None` where nothing is asked.
    fn terms_met(&self) -> Option<Money> {
        let stock = &self.inquiry.project().stock;
        let terms = stock.supplier(stock.offers[self.offer].supplier?);
        let minimum = Some(terms.minimum_order).filter(|least| *least > Money::ZERO);
        minimum.into_iter().chain(terms.free_delivery_over).max()
    }

    /// The best plan that buys none of it.
    fn without(&self, watch: &mut Watch) -> PlanValue {
        let mut other = self.inquiry.clone();
        other.change(WhatIf::NotBought(self.offer));
        let vessel = other.project().stock.offers[self.offer].vessel;
        if other.project().stock.is_proposed(vessel) {
            // It has no other offer, and lots keep their tanks beside it: the same is asked without what no lot can have.
            other.change(WhatIf::Without(vessel));
        }
        let decision = other.decide_near(self.inquiry.question(), self.plan, watch);
        other.confirmed(&decision, self.audit)
    }

    /// The price up to which it is bought, from a price on, and the best plan a step above it.
    fn from(&self, start: Money, without: &PlanValue, watch: &mut Watch) -> (BoughtUpTo, PlanValue) {
        let mut price = start;
        let mut last = self.at(price, watch);
        for tried in 0..MOST_PRICES {
            let (inquiry, decision) = &last;
            let plan_value = inquiry.plan_value(decision);
            let packs = self.packs(inquiry, decision);
            if packs == Packs::ZERO || plan_value.rank() > without.rank() {
                let bought = match tried {
                    0 => BoughtUpTo::NoPrice,
                    _ => BoughtUpTo::Price(price - STEP),
                };
                return (bought, inquiry.confirmed(decision, self.audit));
            }
            let Some(rise) = rise(inquiry, decision, &plan_value, without) else {
                return (BoughtUpTo::AnyPrice, inquiry.confirmed(decision, self.audit));
            };
            // Whole steps, and one more.
            let steps = rise.parts() / packs.0.max(1) / STEP.parts() + 1;
            price += STEP * steps;
            if (watch.stop)() {
                return (BoughtUpTo::NoPrice, plan_value);
            }
            last = self.at(price, watch);
        }
        let plan_value = PlanValue { status: Status::BestFound, ..last.0.plan_value(&last.1) };
        (BoughtUpTo::Price(price), plan_value)
    }

    /// The best plan at a price.
    fn at(&self, price: Money, watch: &mut Watch) -> (Inquiry<'_>, Decision) {
        let mut other = self.inquiry.clone();
        other.change(WhatIf::Price { offer: self.offer, price });
        let decision = other.decide_near(self.inquiry.question(), self.plan, watch);
        (other, decision)
    }
}

/// How much dearer a plan can become and still be better than another; `None` without a limit.
fn rise(inquiry: &Inquiry, decision: &Decision, plan_value: &PlanValue, without: &PlanValue) -> Option<Money> {
    let left = inquiry.question().limits.budget.map(|budget| budget - inquiry.counted_money(decision));
    let saved = without.values.weighed - plan_value.values.weighed;
    let same = plan_value.ranked == without.ranked;
    left.into_iter().chain(same.then_some(saved)).min()
}
