//! What is bought and made up: the order, its suppliers, the fluids.

use std::collections::BTreeMap;

use super::sheet::{Cell, Head, Sheet, in_units};
use crate::plan::Plan;
use crate::project::Project;
use crate::report::fluids;
use crate::report::old_table::in_currency;
use crate::stock::SupplierId;
use crate::units::{Millilitres, Money};

/// Where no supplier is named.
const NOBODY: &str = "no supplier named";

fn name(project: &Project, supplier: Option<SupplierId>) -> String {
    supplier.map_or(NOBODY.to_owned(), |id| project.stock.supplier(id).name.clone())
}

/// A line for each offer bought, then one for each supplier's delivery.
pub fn order(project: &Project, plan: &Plan) -> Sheet {
    let money = |what: &str| Head::number(in_currency(what, &project.settings.currency), 2);
    let heads = vec![
        Head::text("supplier", 26.0),
        Head::text("kind", 10.0),
        Head::text("order_code", 16.0),
        Head::text("vessel", 20.0),
        Head::text("description", 36.0),
        Head::number("packs", 0),
        Head::number("pack_size", 0),
        Head::number("pieces", 0),
        money("pack_price"),
        money("line_total"),
        Head::number("pieces_used", 0),
        Head::number("spare", 0),
    ];
    let mut sheet = Sheet::new("order", heads);
    for (row, purchase) in (2..).zip(&plan.purchases) {
        let offer = &project.stock.offers[purchase.offer];
        let vessel = project.stock.vessel(offer.vessel);
        sheet.rows.push(vec![
            Cell::Text(name(project, offer.supplier)),
            Cell::text("vessels"),
            Cell::text(&offer.order_code),
            Cell::text(&vessel.id),
            Cell::text(&vessel.description),
            Cell::Number(purchase.packs as f64),
            Cell::number(offer.pack_size),
            Cell::Formula(format!("=F{row}*G{row}"), purchase.pieces as f64),
            Cell::money(offer.pack_price),
            Cell::Formula(format!("=F{row}*I{row}"), in_units(purchase.line_total)),
            Cell::Number(purchase.pieces_used as f64),
            Cell::Formula(format!("=H{row}-K{row}"), purchase.spare as f64),
        ]);
    }
    for delivery in &plan.deliveries {
        let mut cells = vec![Cell::Blank; sheet.heads.len()];
        cells[0] = Cell::Text(name(project, Some(delivery.supplier)));
        cells[1] = Cell::text("delivery");
        cells[9] = Cell::money(delivery.charge);
        sheet.rows.push(cells);
    }
    let mut totals = vec![Cell::Blank; sheet.heads.len()];
    totals[0] = Cell::text("total");
    totals[9] = Cell::Formula(
        format!("=SUM({})", sheet.range(9)),
        in_units(plan.totals.purchase) + in_units(plan.totals.delivery),
    );
    sheet.totals = totals;
    sheet
}

/// A line for each supplier: goods, delivery, both.
pub fn suppliers(project: &Project, plan: &Plan) -> Sheet {
    let money = |what: &str| Head::number(in_currency(what, &project.settings.currency), 2);
    let heads = vec![
        Head::text("supplier", 26.0),
        Head::number("lines", 0),
        money("goods"),
        money("delivery"),
        money("to pay"),
    ];
    let mut sheet = Sheet::new("suppliers", heads);
    let lines = order(project, plan);
    let mut goods: BTreeMap<Option<SupplierId>, (usize, f64)> = BTreeMap::new();
    for purchase in &plan.purchases {
        let sum = goods.entry(project.stock.offers[purchase.offer].supplier).or_default();
        *sum = (sum.0 + 1, sum.1 + in_units(purchase.line_total));
    }
    let sum_of = |kind: &str, row: usize| {
        format!("=SUMIFS({},{},A{row},{},\"{kind}\")", lines.range(9), lines.range(0), lines.range(1))
    };
    for (row, (supplier, (n_lines, amount))) in (2..).zip(goods) {
        let charge = plan.deliveries.iter().find(|delivery| Some(delivery.supplier) == supplier);
        let charge = in_units(charge.map_or(Money::ZERO, |delivery| delivery.charge));
        sheet.rows.push(vec![
            Cell::Text(name(project, supplier)),
            Cell::Formula(
                format!("=COUNTIFS({},A{row},{},\"vessels\")", lines.range(0), lines.range(1)),
                n_lines as f64,
            ),
            Cell::Formula(sum_of("vessels", row), amount),
            Cell::Formula(sum_of("delivery", row), charge),
            Cell::Formula(format!("=C{row}+D{row}"), amount + charge),
        ]);
    }
    let [purchase, delivery] = [plan.totals.purchase, plan.totals.delivery].map(in_units);
    let sum = |column: usize, value: f64| Cell::Formula(format!("=SUM({})", sheet.range(column)), value);
    sheet.totals = vec![
        Cell::text("total"),
        sum(1, plan.purchases.len() as f64),
        sum(2, purchase),
        sum(3, delivery),
        sum(4, purchase + delivery),
    ];
    sheet
}

/// A line for each fluid.
pub fn make_up(project: &Project, plan: &Plan) -> Sheet {
    let money = |what: &str| Head::number(in_currency(what, &project.settings.currency), 2);
    let heads = vec![
        Head::text("fluid", 20.0),
        Head::number("lots", 0),
        Head::number("litres", 3),
        money("price per litre"),
        money("cost"),
        Head::number("litres for tanks of unknown price", 3),
        Head::number("in baths, litres", 3),
        Head::number("kept by lots, litres", 3),
        Head::number("on the shelf, litres", 3),
        Head::number("to make, litres", 3),
        Head::text("made from", 18.0),
        Head::number("concentrate, litres", 3),
        Head::number("water, litres", 3),
        Head::text("salts, g", 18.0),
        Head::text("hazard", 60.0),
    ];
    let litres = |amount: Millilitres| Cell::Number(amount.0 as f64 / 1000.0);
    let mut sheet = Sheet::new("make-up", heads);
    for made in &plan.make_up {
        let fluid = project.rules.fluid(made.fluid);
        sheet.rows.push(vec![
            Cell::text(&fluid.id),
            Cell::count(made.rows),
            litres(made.amount),
            Cell::money(project.fluid_price(made.fluid)),
            Cell::money(made.cost),
            litres(made.amount_outside),
            litres(made.baths),
            litres(made.reused),
            litres(made.from_stock),
            litres(made.to_make),
            Cell::text(made.made_from.as_ref().map_or("", |from| from.concentrate.as_str())),
            made.made_from.as_ref().map_or(Cell::Blank, |from| litres(from.amount)),
            made.made_from.as_ref().and_then(|from| from.water).map_or(Cell::Blank, litres),
            Cell::text(&made.made_from.as_ref().map_or(String::new(), fluids::salts)),
            Cell::text(&fluid.hazard),
        ]);
    }
    let sum = |column: usize, value: f64| Cell::Formula(format!("=SUM({})", sheet.range(column)), value);
    let outside: i64 = plan.make_up.iter().map(|made| made.amount_outside.0).sum();
    sheet.totals = vec![
        Cell::text("total"),
        sum(1, plan.make_up.iter().map(|made| made.rows).sum::<usize>() as f64),
        sum(2, plan.totals.litres.0 as f64 / 1000.0),
        Cell::Blank,
        sum(4, in_units(plan.totals.fluid)),
        sum(5, outside as f64 / 1000.0),
    ];
    sheet
}

/// What is to be bought of fluids and concentrates, in whole containers, beside the plan.
pub fn fluid_orders(project: &Project, plan: &Plan) -> Sheet {
    let heads = vec![
        Head::text("fluid", 20.0),
        Head::number("needed, litres", 3),
        Head::number("on the shelf, litres", 3),
        Head::number("to buy, litres", 3),
        Head::text("containers", 28.0),
        Head::number(in_currency("cost", &project.settings.currency), 2),
    ];
    let litres = |amount: Millilitres| Cell::Number(amount.0 as f64 / 1000.0);
    let mut sheet = Sheet::new("fluid to buy", heads);
    for order in &plan.fluid_orders {
        sheet.rows.push(vec![
            Cell::text(&order.fluid),
            litres(order.needed),
            litres(order.from_stock),
            litres(order.needed - order.from_stock),
            Cell::text(&fluids::containers(order)),
            order.cost.map_or(Cell::Blank, Cell::money),
        ]);
    }
    let all: Money = plan.fluid_orders.iter().filter_map(|order| order.cost).sum();
    let sum = Cell::Formula(format!("=SUM({})", sheet.range(5)), in_units(all));
    sheet.totals = vec![Cell::text("total"), Cell::Blank, Cell::Blank, Cell::Blank, Cell::Blank, sum];
    sheet
}

/// Fluid to be disposed of, by kind.
pub fn spent(project: &Project, plan: &Plan) -> Sheet {
    let heads = vec![
        Head::text("kind", 20.0),
        Head::number("litres", 3),
        Head::number(in_currency("cost", &project.settings.currency), 2),
    ];
    let mut sheet = Sheet::new("spent fluid", heads);
    for spent in &plan.spent {
        let amount = Cell::Number(spent.amount.0 as f64 / 1000.0);
        sheet.rows.push(vec![Cell::text(spent.family.name()), amount, Cell::money(spent.cost)]);
    }
    let all: i64 = plan.spent.iter().map(|spent| spent.amount.0).sum();
    let sum = |column: usize, value: f64| Cell::Formula(format!("=SUM({})", sheet.range(column)), value);
    sheet.totals = vec![Cell::text("total"), sum(1, all as f64 / 1000.0), sum(2, in_units(plan.totals.disposal))];
    sheet
}
