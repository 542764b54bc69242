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

/// An offer with its price, for a program.
fn offer(project: &Project, threshold: &BreakEven) -> Value {
    let offer = &project.stock.offers[threshold.offer];
    let price = match threshold.bought {
        BoughtUpTo::NoPrice => json!(null),
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
        "bought_up_to": price,
        "none_bought": plan_value(&threshold.without),
        "just_above": plan_value(&threshold.above),
    })
}
