//! Orders: cost by supplier as a chart, fluid to buy and to make up, and the order to each supplier as it would be sent.

use itertools::Itertools;

use super::Paper;
use super::page::{Markup, element, paragraph, section, to_fill_in};
use crate::plan::Purchase;
use crate::report::columns::fluids::ToBuy;
use crate::report::columns::purchases::Ordered;
use crate::report::drawing::chart;
use crate::report::table::Cell;
use crate::report::table::html::PaperTable;
use crate::stock::SupplierId;
use crate::units::Money;

/// The whole section.
pub(super) fn order(paper: Paper) -> Markup {
    let Paper { plan, .. } = paper;
    if plan.purchases.is_empty() && plan.fluid_orders.is_empty() {
        let nothing = paragraph("", "Nothing to order.");
        return section("order", "Orders", nothing.with(super::fluid::to_make(paper)));
    }
    let by_supplier = plan.purchases.iter().chunk_by(|purchase| supplier(paper, purchase));
    let mut content = chart_of_money(paper);
    content.push(fluid_to_buy(paper));
    content.push(spare(paper));
    content.push(super::fluid::to_make(paper));
    for (supplier, purchases) in &by_supplier {
        content.push(one_supplier(paper, supplier, &purchases.collect_vec()));
    }
    section("order", "Orders", content)
}

fn supplier(paper: Paper, purchase: &Purchase) -> Option<SupplierId> {
    paper.project.stock.offers[purchase.offer].supplier
}

fn name(paper: Paper, supplier: Option<SupplierId>) -> String {
    Ordered::named_or(paper.project, supplier, "supplier not stated").to_owned()
}

/// Chart of goods and delivery by supplier. Purchases without a named supplier come first, as in the plan.
fn chart_of_money(paper: Paper) -> Markup {
    let Paper { plan, .. } = paper;
    let mut rows: Vec<(String, [f64; 2], String)> = Vec::new();
    let unnamed: Money =
        plan.purchases.iter().filter(|purchase| supplier(paper, purchase).is_none()).map(|p| p.line_total).sum();
    if unnamed > Money::ZERO {
        rows.push((name(paper, None), [unnamed.approximate(), 0.0], unnamed.on_screen()));
    }
    for delivery in &plan.deliveries {
        let parts = [delivery.goods, delivery.charge].map(Money::approximate);
        let words = (delivery.goods + delivery.charge).on_screen();
        rows.push((name(paper, Some(delivery.supplier)), parts, words));
    }
    if rows.is_empty() {
        return Markup::new();
    }
    let description = rows.iter().map(|(name, _, words)| format!("{name} {words}")).join("; ");
    let shown = &rows[..rows.len().min(MOST_BARS)];
    let title = paper.in_currency("Cost by supplier: goods solid, delivery hatched");
    element("figure", "", chart::bars(&title, &description, shown).with(element("figcaption", "", title.as_str())))
}

/// Largest number of suppliers in the chart; every supplier has a table.
const MOST_BARS: usize = 30;

fn one_supplier(paper: Paper, supplier: Option<SupplierId>, purchases: &[&Purchase]) -> Markup {
    let Paper { project, plan, .. } = paper;
    let stock = &project.stock;
    let fields = [
        Ordered::ORDER_CODE.headed("order code"),
        Ordered::VESSEL_DESCRIBED,
        Ordered::PACKS,
        Ordered::PACK_SIZE.headed("pieces per pack"),
        Ordered::PIECES,
        Ordered::PACK_PRICE.headed("per pack"),
        Ordered::LINE_TOTAL.headed("total"),
    ];
    let lines = purchases.iter().map(|purchase| Ordered::packs(project, purchase));
    let mut table = paper.money(PaperTable::of("", &fields, lines));
    let line = |what: &'static str, amount: Money| {
        let blank = || Cell::Blank.into();
        [blank(), what.into(), blank(), blank(), blank(), blank(), amount.into()]
    };
    let goods: Money = purchases.iter().map(|purchase| purchase.line_total).sum();
    let delivery = supplier.and_then(|id| plan.deliveries.iter().find(|delivery| delivery.supplier == id));
    let charge = delivery.map_or(Money::ZERO, |delivery| delivery.charge);
    let words = if delivery.is_some() && charge == Money::ZERO { "delivery (free)" } else { "delivery" };
    table.sum(line("goods", goods));
    table.sum(line(words, charge));
    table.sum(line("this order", goods + charge));
    let days = supplier.and_then(|id| stock.supplier(id).lead_days);
    let days =
        days.map_or(Markup::new(), |days| paragraph("note", format!("Expected about {days} days after ordering.")));
    let heading = element("h3", "", format!("Order to {}", name(paper, supplier)));
    let from = to_fill_in(&["From", "Our reference", "Date"]);
    let to = to_fill_in(&["Deliver to", "Signed"]);
    element("div", "letter", heading.with(from).with(table.markup()).with(to).with(days))
}

/// Spare pieces: pieces in the packs bought that no lot needs.
fn spare(paper: Paper) -> Markup {
    let Paper { project, plan, .. } = paper;
    let fields = [
        Ordered::VESSEL,
        Ordered::SUPPLIER_OR_NOT_STATED.headed("from"),
        Ordered::PIECES.headed("bought"),
        Ordered::PIECES_USED.headed("used"),
        Ordered::SPARE,
    ];
    let spare = plan.purchases.iter().filter(|purchase| purchase.spare > 0);
    let spare = spare.map(|purchase| Ordered::packs(project, purchase));
    let table = PaperTable::of("", &fields, spare).narrow().markup();
    if table.is_empty() { table } else { element("h3", "", "Spare pieces that come with the packs").with(table) }
}

/// Fluid and concentrates to buy, in whole containers.
fn fluid_to_buy(paper: Paper) -> Markup {
    let fields = [
        ToBuy::FLUID,
        ToBuy::NEEDED.headed("needed, l"),
        ToBuy::FROM_STOCK.headed("on the shelf, l"),
        ToBuy::TO_BUY.headed("to buy, l"),
        ToBuy::CONTAINERS_ON_PAPER,
        ToBuy::COST.headed("price"),
        ToBuy::COUNTED,
    ];
    let table = paper.money(PaperTable::of("", &fields, ToBuy::all(paper.plan))).markup();
    if table.is_empty() { table } else { element("h3", "", "Fluid and concentrates, in whole containers").with(table) }
}
