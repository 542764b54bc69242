//! Sheets on orders and fluids: vessels to order, suppliers, fluids to make up and to buy, spent fluid.

use std::collections::BTreeMap;

use crate::plan::Plan;
use crate::project::Project;
use crate::report::columns::fluids::{ToBuy, ToDispose, ToMake};
use crate::report::columns::purchases::Ordered;
use crate::report::table::workbook::{Sheet, SheetCell};
use crate::report::table::{Column, Table};
use crate::stock::SupplierId;
use crate::units::{Millilitres, Money};

/// A line for each offer bought, then one for each supplier's delivery.
pub fn order<'a>(project: &'a Project, plan: &'a Plan) -> Sheet<'a> {
    let table = Table::of("", &Ordered::SHEET, Ordered::all(project, plan)).in_currency(&project.settings.currency);
    let mut sheet = Sheet::new("order", table);
    let [packs, size, pieces, price, used] =
        ["packs", "pack_size", "pieces", "pack_price", "pieces_used"].map(|name| sheet.letter(name));
    // Deliveries come last and have no formulas.
    let bought = plan.purchases.len();
    sheet.work_out("pieces", bought, |row| format!("={packs}{row}*{size}{row}"));
    sheet.work_out("line_total", bought, |row| format!("={packs}{row}*{price}{row}"));
    sheet.work_out("spare", bought, |row| format!("={pieces}{row}-{used}{row}"));
    sheet.totals(&[("line_total", (plan.totals.purchase + plan.totals.delivery).into())]);
    sheet
}

/// A line for each supplier: goods, delivery, both.
pub fn suppliers<'a>(project: &'a Project, plan: &'a Plan) -> Sheet<'a> {
    let columns = [
        Ordered::SUPPLIER_OR_NOBODY.column,
        Column::whole("lines"),
        Column::money("goods"),
        Column::money("delivery"),
        Column::money("to pay"),
    ];
    let mut sheet = Sheet::new("suppliers", Table::new("", columns).in_currency(&project.settings.currency));
    let lines = order(project, plan);
    let mut goods: BTreeMap<Option<SupplierId>, (usize, Money)> = BTreeMap::new();
    for purchase in &plan.purchases {
        let sum = goods.entry(project.stock.offers[purchase.offer].supplier).or_default();
        *sum = (sum.0 + 1, sum.1 + purchase.line_total);
    }
    let [supplier, kind, total] = ["supplier", "kind", "line_total"].map(|name| lines.range(name));
    let sum_of = |what: &str, row: usize| format!("=SUMIFS({total},{supplier},A{row},{kind},\"{what}\")");
    for (row, (supplier_id, (n_lines, amount))) in (2..).zip(goods) {
        let charge = plan.deliveries.iter().find(|delivery| Some(delivery.supplier) == supplier_id);
        let charge = charge.map_or(Money::ZERO, |delivery| delivery.charge);
        let count = format!("=COUNTIFS({supplier},A{row},{kind},\"vessels\")");
        sheet.table.row([
            Ordered::name_or_nobody(project, supplier_id).into(),
            SheetCell::Formula(count, n_lines.into()),
            SheetCell::Formula(sum_of("vessels", row), amount.into()),
            SheetCell::Formula(sum_of("delivery", row), charge.into()),
            SheetCell::Formula(format!("=C{row}+D{row}"), (amount + charge).into()),
        ]);
    }
    let (purchase, delivery) = (plan.totals.purchase, plan.totals.delivery);
    sheet.totals(&[
        ("lines", plan.purchases.len().into()),
        ("goods", purchase.into()),
        ("delivery", delivery.into()),
        ("to pay", (purchase + delivery).into()),
    ]);
    sheet
}

/// A line for each fluid to make up.
pub fn make_up<'a>(project: &'a Project, plan: &'a Plan) -> Sheet<'a> {
    let fields = [
        ToMake::FLUID,
        ToMake::ROWS.headed("lots"),
        ToMake::IN_VESSELS.headed("litres"),
        ToMake::PRICE.headed("price per litre"),
        ToMake::COST,
        ToMake::OUTSIDE.headed("litres for tanks of unknown price"),
        ToMake::IN_BATHS.headed("in baths, litres"),
        ToMake::KEPT.headed("kept by lots, litres"),
        ToMake::FROM_STOCK.headed("on the shelf, litres"),
        ToMake::TO_MAKE.headed("to make, litres"),
        ToMake::MADE_FROM.headed("made from"),
        ToMake::CONCENTRATE.headed("concentrate, litres"),
        ToMake::WATER.headed("water, litres"),
        ToMake::SALTS.headed("salts, g"),
        ToMake::HAZARD,
    ];
    let table = Table::of("", &fields, ToMake::all(project, plan)).in_currency(&project.settings.currency);
    let mut sheet = Sheet::new("make-up", table);
    sheet.totals(&[
        (ToMake::ROWS.column.name, plan.make_up.iter().map(|made| made.rows).sum::<usize>().into()),
        (ToMake::IN_VESSELS.column.name, plan.totals.litres.into()),
        (ToMake::COST.column.name, plan.totals.fluid.into()),
        (ToMake::OUTSIDE.column.name, plan.make_up.iter().map(|made| made.amount_outside).sum::<Millilitres>().into()),
    ]);
    sheet
}

/// Fluids and concentrates to buy, in whole containers. The cost of the plan does not include them.
pub fn fluid_orders<'a>(project: &'a Project, plan: &'a Plan) -> Sheet<'a> {
    let fields = [
        ToBuy::FLUID,
        ToBuy::NEEDED.headed("needed, litres"),
        ToBuy::FROM_STOCK.headed("on the shelf, litres"),
        ToBuy::TO_BUY.headed("to buy, litres"),
        ToBuy::CONTAINERS,
        ToBuy::COST,
    ];
    let table = Table::of("", &fields, ToBuy::all(plan)).in_currency(&project.settings.currency);
    let mut sheet = Sheet::new("fluid to buy", table);
    sheet.totals(&[("cost", plan.fluid_orders.iter().filter_map(|order| order.cost).sum::<Money>().into())]);
    sheet
}

/// Fluid to be disposed of, by kind.
pub fn spent<'a>(project: &'a Project, plan: &'a Plan) -> Sheet<'a> {
    let fields = [ToDispose::KIND, ToDispose::LITRES, ToDispose::COST];
    let table = Table::of("", &fields, ToDispose::all(project, plan)).in_currency(&project.settings.currency);
    let mut sheet = Sheet::new("spent fluid", table);
    let all: Millilitres = plan.spent.iter().map(|spent| spent.amount).sum();
    sheet.totals(&[("litres", all.into()), ("cost", plan.totals.disposal.into())]);
    sheet
}
