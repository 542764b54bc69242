//! A comparison for a program.

use serde_json::{Map, Value, json};

use super::{Compared, skipped};
use crate::comparison::orders::{OrderSums, OrderedItem};
use crate::comparison::{End, FluidChange, InputChange, InputValue, LotChange, MoneyChange, OrderChange};
use crate::report::columns::comparison::{LotRow, kinds};
use crate::units::Money;
use crate::words;

/// The whole comparison.
pub(super) fn json(compared: &Compared) -> String {
    let comparison = compared.comparison;
    let kinds: Map<String, Value> =
        kinds(comparison).into_iter().map(|row| (row.kind.name().to_owned(), json!(row.lots))).collect();
    let object = json!({
        "old": plan(compared, End::Old),
        "new": plan(compared, End::New),
        "currency": comparison.currency(),
        "skipped_rows": skipped(compared),
        "notes": compared.notes(),
        "nothing_differs": comparison.is_empty(),
        "money": comparison.money.iter().map(money).collect::<Vec<_>>(),
        "orders": comparison.orders.iter().map(order).collect::<Vec<_>>(),
        "fluid": comparison.fluids.iter().map(fluid).collect::<Vec<_>>(),
        "inputs": comparison.inputs.iter().map(input).collect::<Vec<_>>(),
        "kinds": kinds,
    });
    let mut text = serde_json::to_string_pretty(&object).expect("numbers and text");
    // The lots follow one by one, each on a line: as one value those of a large survey would fill much memory.
    text.truncate(text.trim_end_matches('}').trim_end().len());
    text.push_str(",\n  \"lots\": [");
    for (at, change) in comparison.lots.iter().enumerate() {
        text.push_str(if at == 0 { "\n    " } else { ",\n    " });
        text.push_str(&lot(compared, change).to_string());
    }
    text.push_str("\n  ]\n}\n");
    text
}

fn plan(compared: &Compared, end: End) -> Value {
    let plan = compared.comparison.at(end).plan;
    json!({
        "name": compared.names[usize::from(end == End::New)],
        "status": plan.status.name(),
        "placed": plan.totals.placed,
        "deferred": plan.totals.deferred,
        "needs_decision": plan.totals.needs_decision,
        "held": plan.totals.held,
        "litres": plan.totals.litres.litres(),
        "minutes": plan.totals.minutes,
    })
}

fn amount(amount: Option<Money>) -> Value {
    json!(amount.map(Money::text))
}

fn money(change: &MoneyChange) -> Value {
    json!({
        "line": change.line.name(),
        "old": amount(change.old),
        "new": amount(change.new),
        "difference": amount(change.difference()),
    })
}

fn order(change: &OrderChange) -> Value {
    let sums = |sums: Option<OrderSums>| {
        sums.map(|sums| json!({ "packs": sums.packs, "pieces": sums.pieces, "money": sums.money.text() }))
    };
    let mut object = json!({
        "supplier": change.line.supplier,
        "change": change.kind.name(),
        "old": sums(change.old),
        "new": sums(change.new),
        "pieces_difference": change.pieces(),
        "money_difference": change.money().text(),
    });
    match change.line.ordered {
        OrderedItem::Packs { vessel, order_code, pack_size, min_packs, nth: _ } => {
            object["vessel"] = json!(vessel);
            object["order_code"] = json!(order_code);
            object["pack_size"] = json!(pack_size);
            object["min_packs"] = json!(min_packs);
        }
        OrderedItem::Delivery => object["delivery"] = json!(true),
    }
    object
}

fn fluid(change: &FluidChange) -> Value {
    let [old, new] = change.money;
    json!({
        "fluid": change.fluid,
        "use": change.use_.name(),
        "litres_old": change.old.litres(),
        "litres_new": change.new.litres(),
        "litres_difference": change.difference().litres(),
        "money_old": amount(old),
        "money_new": amount(new),
    })
}

fn value(value: &InputValue) -> Value {
    match value {
        InputValue::Blank => Value::Null,
        InputValue::Absent => json!({ "listed": false }),
        InputValue::Present => json!({ "listed": true }),
        InputValue::OtherRow => json!({ "listed": true, "differs": true }),
        InputValue::Whole(number) => json!(number),
        InputValue::Number(number) => json!(number),
        InputValue::Length(length) => json!(length.mm()),
        other => json!(words::comparison::value(other)),
    }
}

fn input(change: &InputChange) -> Value {
    json!({
        "file": change.file.file(),
        "entry": change.entry,
        "column": change.column,
        "old": value(&change.old),
        "new": value(&change.new),
    })
}

fn lot(compared: &Compared, lot: &LotChange) -> Value {
    let row = LotRow { comparison: compared.comparison, lot };
    let place = |end: End, there: Option<u32>| there.map(|_| row.place(end));
    let causes = lot.causes.iter().map(|cause| words::comparison::cause(compared.comparison, lot, cause));
    let columns = words::comparison::columns(compared.comparison, lot);
    let columns = columns.iter().map(|change| {
        let (old, new) = (value(&change.old), value(&change.new));
        json!({ "column": change.column, "decides": change.decides, "old": old, "new": new })
    });
    json!({
        "key": row.key(),
        "change": lot.kind.name(),
        "old": place(End::Old, lot.old),
        "new": place(End::New, lot.new),
        "why": causes.collect::<Vec<_>>(),
        "survey": columns.collect::<Vec<_>>(),
    })
}
