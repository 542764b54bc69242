//! The first sheet: counts and money as formulas over the others, then what must be known.

use super::sheet::{Cell, Head, Sheet, in_units};
use super::{order, placed};
use crate::plan::{Outcome, Plan};
use crate::project::Project;
use crate::report::summary::proof;
use crate::units::Money;
use crate::words::{caution, warning};

/// What was decided. `in_full`: the workbook has a line for each row.
pub fn summary(project: &Project, plan: &Plan, in_full: bool) -> Sheet {
    let heads =
        vec![Head::text("what", 34.0), Head::number("figure", 2), Head::text("unit", 14.0), Head::text("remark", 90.0)];
    let mut sheet = Sheet::new("summary", heads);
    (sheet.filtered, sheet.frozen) = (false, 0);
    for row in &plan.skipped_rows {
        sheet.rows.push(vec![Cell::text("LEFT OUT"), Cell::Blank, Cell::Blank, Cell::text(row)]);
    }
    rows(&mut sheet, project, plan);
    money(&mut sheet, project, plan);
    let hours = Cell::Number(plan.totals.minutes as f64 / 60.0);
    sheet.rows.push(vec![Cell::text("work"), hours, Cell::text("h")]);
    let litres = order::make_up(project, plan).range(2);
    let litres = Cell::Formula(format!("=SUM({litres})"), plan.totals.litres.0 as f64 / 1000.0);
    sheet.rows.push(vec![Cell::text("fluid to make up"), litres, Cell::text("l")]);
    let mut remark = |what: &str, text: &str| {
        sheet.rows.push(vec![Cell::text(what), Cell::Blank, Cell::Blank, Cell::text(text)]);
    };
    remark("proof", &proof(project, plan));
    if !in_full {
        remark("every lot", "see placements.csv beside this file: there are too many for a workbook");
    }
    if !plan.prices_not_yours.is_empty() {
        remark("default prices", &warning::default_prices(project, plan).join(", "));
    }
    warning::sentences(project, plan).iter().for_each(|warning| remark("note", warning));
    caution::sentences(&project.rules, plan).iter().for_each(|caution| remark("caution", caution));
    sheet
}

/// Rows by outcome.
fn rows(sheet: &mut Sheet, project: &Project, plan: &Plan) {
    let groups = placed::groups(project, plan);
    let totals = &plan.totals;
    let count = |outcome: Outcome| match outcome {
        Outcome::OnHand => totals.on_hand,
        Outcome::Order => totals.order,
        Outcome::CustomTank => totals.custom_tank,
        Outcome::Deferred => totals.deferred,
        Outcome::NeedsDecision => totals.needs_decision,
        Outcome::Held => totals.held,
    };
    let first = sheet.rows.len() + 2;
    let mut line = |name: &str, count: usize| {
        let formula = format!("=SUMIFS({},{},\"{name}\")", groups.range(2), groups.range(0));
        sheet.rows.push(vec![Cell::text(name), Cell::Count(formula, count as f64), Cell::text("lots")]);
    };
    for outcome in Outcome::ALL {
        line(outcome.name(), count(outcome));
        if outcome == Outcome::CustomTank && totals.unpriced_tanks > 0 {
            line(placed::NO_PRICE, totals.unpriced_tanks);
        }
    }
    let last = sheet.rows.len() + 1;
    let all = Cell::Count(format!("=SUM(B{first}:B{last})"), plan.placements.len() as f64);
    sheet.rows.push(vec![Cell::text("all"), all, Cell::text("lots")]);
}

/// Money by what it goes for, and what is left of the budget.
fn money(sheet: &mut Sheet, project: &Project, plan: &Plan) {
    let totals = &plan.totals;
    let unit = Cell::text(&project.settings.currency);
    let mut line = |what: &str, figure: Cell| sheet.rows.push(vec![Cell::text(what), figure, unit.clone()]);
    let suppliers = order::suppliers(project, plan);
    let sum = |range: String, amount: Money| Cell::Formula(format!("=SUM({range})"), in_units(amount));
    let tanks = placed::tanks(project, plan);
    let cost = tanks.column("cost");
    line("vessels", sum(suppliers.range(2), totals.purchase));
    line("delivery", sum(suppliers.range(3), totals.delivery));
    line("fluid", sum(order::make_up(project, plan).range(4), totals.fluid));
    line("tanks of known price", sum(tanks.range(cost), totals.tanks));
    let last = sheet.rows.len() + 1;
    let mut line = |what: &str, figure: Cell| sheet.rows.push(vec![Cell::text(what), figure, unit.clone()]);
    line("cost", sum(format!("B{}:B{last}", last - 3), totals.money));
    if let Some(budget) = project.settings.budget {
        line("budget", Cell::money(budget));
        let left = in_units(budget) - in_units(totals.money) - in_units(totals.labour_counted);
        let counts = totals.labour_counted > Money::ZERO;
        let less_labour = if counts { format!("-B{}", last + 4) } else { String::new() };
        line("left of the budget", Cell::Formula(format!("=B{}-B{}{less_labour}", last + 2, last + 1), left));
        if counts {
            line("labour counted against the budget", Cell::money(totals.labour_counted));
        }
    }
    if totals.labour > Money::ZERO {
        line("labour", Cell::money(totals.labour));
    }
    if totals.to_pay != totals.money {
        line("disposal of spent fluid", Cell::money(totals.disposal));
        line("fluid in whole containers, above the cost counted", Cell::money(totals.containers));
        line("to pay", Cell::money(totals.to_pay));
    }
}
