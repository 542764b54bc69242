//! What sizes of vessel are worth, as a table, as CSV and as JSON.

pub mod kept;
pub mod listed;

use serde_json::{Value, json};

use crate::inquiry::PlanValue;
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
