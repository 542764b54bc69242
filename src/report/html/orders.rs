//! The order to each supplier as it would be sent, and the fluids to make, to buy and to dispose of.

use std::collections::BTreeMap;

use super::{Column, escaped, figure, money, table};
use crate::plan::{Plan, Purchase};
use crate::project::Project;
use crate::report::drawing::charts;
use crate::report::fluids as words;
use crate::stock::SupplierId;
use crate::units::{Money, decimal};

pub fn section(project: &Project, plan: &Plan) -> String {
    let stock = &project.stock;
    let mut by_supplier: BTreeMap<Option<SupplierId>, Vec<&Purchase>> = BTreeMap::new();
    for purchase in &plan.purchases {
        by_supplier.entry(stock.offers[purchase.offer].supplier).or_default().push(purchase);
    }
    let mut text = String::new();
    let mut sums = Vec::new();
    for (supplier, lines) in &by_supplier {
        let name = supplier.map_or("No supplier named".to_owned(), |id| stock.supplier(id).name.clone());
        let delivery = plan.deliveries.iter().find(|delivery| Some(delivery.supplier) == *supplier);
        let goods: Money = lines.iter().map(|line| line.line_total).sum();
        let charge = delivery.map_or(Money::ZERO, |delivery| delivery.charge);
        let mut rows: Vec<Vec<String>> = lines.iter().map(|line| order_line(project, line)).collect();
        let closing = |what: &str, amount: Money| {
            let mut row = vec![String::new(); 8];
            row[2] = format!("<b>{what}</b>");
            row[7] = format!("<b>{}</b>", amount.on_screen());
            row
        };
        if delivery.is_some() {
            rows.push(closing(if charge == Money::ZERO { "delivery (free)" } else { "delivery" }, charge));
        }
        rows.push(closing("total", goods + charge));
        let lead = supplier.and_then(|id| stock.supplier(id).lead_days);
        let lead = lead.map_or(String::new(), |days| format!(", about {days} days"));
        text.push_str(&format!("<h3>{}{lead}</h3>", escaped(&name)));
        text.push_str(&table("", &ORDER, &rows));
        sums.push((name, (goods + charge).approximate(), money(project, goods + charge)));
    }
    if sums.len() > 1 {
        text.push_str(&figure(&charts::bars("Money by supplier", &sums), "Money by supplier, delivery included"));
    }
    text
}

const ORDER: [Column; 8] = [
    Column("order code", false),
    Column("vessel", false),
    Column("description", false),
    Column("packs", true),
    Column("pieces in one", true),
    Column("spare", true),
    Column("price of a pack", true),
    Column("in all", true),
];

fn order_line(project: &Project, line: &Purchase) -> Vec<String> {
    let offer = &project.stock.offers[line.offer];
    let vessel = project.stock.vessel(offer.vessel);
    vec![
        escaped(&offer.order_code),
        escaped(&vessel.id),
        escaped(&vessel.description),
        line.packs.to_string(),
        offer.pack_size.to_string(),
        line.spare.to_string(),
        offer.pack_price.on_screen(),
        line.line_total.on_screen(),
    ]
}

/// What to make up and from what, what to buy for it, what is spent.
pub fn fluids(project: &Project, plan: &Plan) -> String {
    if plan.make_up.is_empty() {
        return String::new();
    }
    let made = plan.make_up.iter().map(|made| {
        let fluid = project.rules.fluid(made.fluid);
        vec![
            escaped(&fluid.id),
            made.rows.to_string(),
            made.amount.litres(),
            made.baths.litres(),
            made.reused.litres(),
            made.from_stock.litres(),
            made.to_make.litres(),
            escaped(&words::recipe(made)),
            project.fluid_price(made.fluid).text(),
            made.cost.on_screen(),
            escaped(&fluid.hazard),
        ]
    });
    let columns = [
        Column("fluid", false),
        Column("rows", true),
        Column("in vessels, l", true),
        Column("in baths, l", true),
        Column("kept, l", true),
        Column("on the shelf, l", true),
        Column("to make, l", true),
        Column("from, at 20 °C", false),
        Column("a litre", true),
        Column("in all", true),
        Column("hazard", false),
    ];
    let mut text = table("To make up", &columns, &made.collect::<Vec<_>>());
    let bought = plan.fluid_orders.iter().map(|order| {
        vec![
            escaped(&order.fluid),
            order.needed.litres(),
            order.from_stock.litres(),
            (order.needed - order.from_stock).litres(),
            if order.cost.is_some() { words::containers(order) } else { "not stated what it is sold in".to_owned() },
            order.cost.map_or(String::new(), Money::on_screen),
        ]
    });
    let columns = [
        Column("fluid or concentrate", false),
        Column("needed, l", true),
        Column("on the shelf, l", true),
        Column("to buy, l", true),
        Column("containers", false),
        Column("in all", true),
    ];
    text.push_str(&table("To buy, in whole containers, beside the plan", &columns, &bought.collect::<Vec<_>>()));
    let spent = plan
        .spent
        .iter()
        .map(|spent| vec![spent.family.name().to_owned(), spent.amount.litres(), spent.cost.on_screen()]);
    let columns = [Column("kind", false), Column("litres", true), Column("disposal", true)];
    text.push_str(&table("Spent fluid", &columns, &spent.collect::<Vec<_>>()));
    if !plan.spent.is_empty() {
        text.push_str(&format!("<p class=\"note\">{}.</p>", words::SPENT));
    }
    if plan.spent_not_stated > 0 {
        let n = decimal(plan.spent_not_stated as f64, 0);
        text.push_str(&format!("<p class=\"note\">{n} placed rows do not say how much fluid they are in.</p>"));
    }
    text + "<p class=\"note\">Flammable fluid by place: see fire-sheet.html.</p>"
}
