//! What sizes of vessel are worth, as a table, as CSV and as JSON.

pub mod catalogue;
pub mod kept;
pub mod listed;
pub mod new_sizes;

use serde_json::{Value, json};

use crate::inquiry::PlanValue;
use crate::inquiry::break_even::{BoughtUpTo, BreakEven};
use crate::project::Project;
use crate::saved::stated;
use crate::units::Money;
use crate::words;

/// A plan for a program.
fn plan_value(plan: &PlanValue) -> Value {
    json!({
        "without_place": plan.without_place,
        "deferred": plan.values.deferred,
        "money": plan.values.money.text(),
        "weighed_money": plan.values.weighed.text(),
        "litres": plan.values.fluid.litres(),
        "status": plan.status.name(),
        "levels": plan.levels.iter().map(stated).collect::<Vec<_>>(),
    })
}

/// What "bought up to" means for these offers.
fn bought_notes<'a>(offers: impl Iterator<Item = &'a BreakEven> + Clone) -> impl Iterator<Item = String> {
    let is_range = |offer: &BreakEven| offer.from.is_some();
    let (ranges, all) = (offers.clone().any(is_range), offers.clone().all(is_range));
    let price = (!ranges || !all).then_some(words::sizes::BOUGHT_UP_TO);
    let range = ranges.then_some(words::sizes::BOUGHT_IN_RANGE);
    price.into_iter().chain(range).map(str::to_owned)
}

/// An offer with its price, for a program.
fn offer(project: &Project, threshold: &BreakEven) -> Value {
    let offer = &project.stock.offers[threshold.offer];
    let price = match threshold.bought {
        BoughtUpTo::NoPrice => threshold.from.map_or(json!(null), |_| json!("not found")),
        BoughtUpTo::Price(price) => json!(price.text()),
        BoughtUpTo::AnyPrice => json!("any"),
    };
    json!({
        "line": offer.line,
        "supplier": offer.supplier.map(|supplier| &project.stock.supplier(supplier).name),
        "order_code": offer.order_code,
        "pack_size": offer.pack_size,
        "pack_price": offer.pack_price.text(),
        "packs": threshold.packs.0,
        "bought_from": threshold.bought_from().map(Money::text),
        "bought_up_to": price,
        "none_bought": plan_value(&threshold.without),
        "just_above": plan_value(&threshold.above),
    })
}
