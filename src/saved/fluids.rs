//! Make-up, fluid orders, spent and flammable fluid in plan.json, written and read.

use serde_json::{Value, json};

use super::names::{PlanReading, named};
use super::object::{Object, count, litres as litres_read, money, text, whole};
use super::{litres, number};
use crate::plan::{Flammable, FluidOrder, MadeFrom, MakeUp, Spent};
use crate::project::Project;
use crate::rules::Family;
use crate::units::{Millilitres, Money, truncated};

pub(super) fn make_up_written(project: &Project, line: &MakeUp) -> Value {
    let made_from = line.made_from.as_ref().map(|from| {
        let salt = |(name, mg): &(String, i64)| json!({"salt": name, "g": number(*mg as f64 / 1000.0)});
        json!({
            "concentrate": from.concentrate,
            "litres": litres(from.amount),
            "water_litres": from.water.map(litres),
            "salts": from.salts.iter().map(salt).collect::<Vec<_>>(),
        })
    });
    json!({
        "fluid": project.rules.fluid(line.fluid).id,
        "rows": line.rows,
        "litres": litres(line.amount),
        "litres_kept": litres(line.reused),
        "litres_in_baths": litres(line.baths),
        "litres_from_stock": litres(line.from_stock),
        "litres_to_make": litres(line.to_make),
        "cost": line.cost.text(),
        "made_from": made_from,
        "litres_outside": litres(line.amount_outside),
        "cost_outside": line.cost_outside.text(),
    })
}

pub(super) fn order_written(order: &FluidOrder) -> Value {
    let container = |&(holds, price, count): &(Millilitres, Money, i64)| json!({"litres": litres(holds), "price": price.text(), "count": count});
    json!({
        "fluid": order.fluid,
        "litres": litres(order.needed),
        "litres_from_stock": litres(order.from_stock),
        "containers": order.containers.iter().map(container).collect::<Vec<_>>(),
        "cost": order.cost.map(Money::text),
        "counted": order.counted.text(),
    })
}

pub(super) fn spent_written(spent: &Spent) -> Value {
    json!({"family": spent.family.name(), "litres": litres(spent.amount), "cost": spent.cost.text()})
}

pub(super) fn flammable_written(place: &Flammable) -> Value {
    json!({
        "location": place.location,
        "litres_before": litres(place.before),
        "rows_not_stated": place.not_stated,
        "litres_after": litres(place.after),
        "litres_peak": litres(place.peak),
    })
}

const LITRES: &str = "litres to the millilitre";
const MONEY: &str = "money as text";

impl PlanReading<'_> {
    pub(super) fn make_up(&self, line: &Object) -> Option<MakeUp> {
        let fluid = line.read("fluid", "a fluid of the rules", |value| self.fluid(value));
        let rows = line.read("rows", "a whole number", count);
        let litres = |key| line.read(key, LITRES, litres_read);
        let (amount, reused, baths) = (litres("litres"), litres("litres_kept"), litres("litres_in_baths"));
        let (from_stock, to_make) = (litres("litres_from_stock"), litres("litres_to_make"));
        let amount_outside = litres("litres_outside");
        let cost = line.read("cost", MONEY, money);
        let cost_outside = line.read("cost_outside", MONEY, money);
        let made_from = match line.field("made_from") {
            Some(Value::Null) => Some(None),
            Some(value) => {
                Object::new(&line.at("made_from"), value, line.findings).and_then(|from| made_from(&from)).map(Some)
            }
            None => None,
        };
        Some(MakeUp {
            fluid: fluid?,
            rows: rows?,
            amount: amount?,
            reused: reused?,
            baths: baths?,
            from_stock: from_stock?,
            cost: cost?,
            to_make: to_make?,
            made_from: made_from?,
            amount_outside: amount_outside?,
            cost_outside: cost_outside?,
        })
    }
}

fn made_from(from: &Object) -> Option<MadeFrom> {
    let concentrate = from.read("concentrate", "text", text);
    let amount = from.read("litres", LITRES, litres_read);
    let water = from.nullable("water_litres", LITRES, litres_read);
    let salts = from.objects("salts", |salt| {
        let name = salt.read("salt", "text", text);
        let grams = salt.read("g", "grams to the milligram", super::object::number);
        Some((name?.to_owned(), truncated((grams? * 1000.0).round())))
    });
    from.done();
    Some(MadeFrom { concentrate: concentrate?.to_owned(), amount: amount?, water: water?, salts: salts? })
}

pub(super) fn order(order: &Object) -> Option<FluidOrder> {
    let fluid = order.read("fluid", "text", text);
    let needed = order.read("litres", LITRES, litres_read);
    let from_stock = order.read("litres_from_stock", LITRES, litres_read);
    let containers = order.objects("containers", |container| {
        let holds = container.read("litres", LITRES, litres_read);
        let price = container.read("price", MONEY, money);
        let count = container.read("count", "a whole number", whole);
        Some((holds?, price?, count?))
    });
    let cost = order.nullable("cost", MONEY, money);
    let counted = order.read("counted", MONEY, money);
    Some(FluidOrder {
        fluid: fluid?.to_owned(),
        needed: needed?,
        from_stock: from_stock?,
        containers: containers?,
        cost: cost?,
        counted: counted?,
    })
}

pub(super) fn spent(spent: &Object) -> Option<Spent> {
    let families: Vec<Family> = Family::NAMES.iter().map(|(_, family)| *family).collect();
    let family = spent.read("family", "a family of fluids", |value| named(value, &families, Family::name));
    let amount = spent.read("litres", LITRES, litres_read);
    let cost = spent.read("cost", MONEY, money);
    Some(Spent { family: family?, amount: amount?, cost: cost? })
}

pub(super) fn flammable(place: &Object) -> Option<Flammable> {
    let location = place.read("location", "text", text);
    let before = place.read("litres_before", LITRES, litres_read);
    let not_stated = place.read("rows_not_stated", "a whole number", count);
    let after = place.read("litres_after", LITRES, litres_read);
    let peak = place.read("litres_peak", LITRES, litres_read);
    Some(Flammable {
        location: location?.to_owned(),
        before: before?,
        not_stated: not_stated?,
        after: after?,
        peak: peak?,
    })
}
