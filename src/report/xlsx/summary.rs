//! The first sheet: counts and money as formulas over the other sheets, then proof, notes and cautions.

use super::{order, placed};
use crate::plan::{Outcome, Plan};
use crate::project::Project;
use crate::report::left_out::first;
use crate::report::summary::proof;
use crate::report::table::workbook::{Sheet, SheetCell};
use crate::report::table::{Cell, Column, Table, Unit};
use crate::units::Money;
use crate::words::{caution, warning};

/// The sheet `summary`. `in_full`: the workbook has a line for each row of the survey.
pub fn summary<'a>(project: &'a Project, plan: &'a Plan, in_full: bool) -> Sheet<'a> {
    let columns = [
        Column::text("what").wide(34.0),
        Column::fixed("figure", 2, Unit::None),
        Column::text("unit").wide(14.0),
        Column::text("remark").wide(90.0),
    ];
    let mut sheet = Sheet::new("summary", Table::new("", columns));
    (sheet.filtered, sheet.frozen) = (false, 0);
    for row in first(&plan.skipped_rows) {
        remark(&mut sheet, "LEFT OUT", row.into());
    }
    rows(&mut sheet, project, plan);
    money(&mut sheet, project, plan);
    sheet.table.row(["work".into(), (plan.totals.minutes as f64 / 60.0).into(), "h".into()]);
    let litres = order::make_up(project, plan).range("litres_in_vessels");
    let litres = SheetCell::Formula(format!("=SUM({litres})"), (plan.totals.litres.0 as f64 / 1000.0).into());
    sheet.table.row(["fluid to make up".into(), litres, "l".into()]);
    let mut remark = |what: &'static str, text: Cell<'a>| self::remark(&mut sheet, what, text);
    remark("proof", proof(project, plan).into());
    if !in_full {
        remark("every lot", "see placements.csv beside this file: there are too many for a workbook".into());
    }
    if !plan.prices_not_yours.is_empty() {
        remark("default prices", warning::default_prices(project, plan).join(", ").into());
    }
    warning::sentences(project, plan).into_iter().for_each(|warning| remark("note", warning.into()));
    caution::sentences(&project.rules, plan).into_iter().for_each(|caution| remark("caution", caution.into()));
    sheet
}

fn remark<'a>(sheet: &mut Sheet<'a>, what: &'static str, text: Cell<'a>) {
    sheet.table.row([what.into(), Cell::Blank.into(), Cell::Blank.into(), text.into()]);
}

/// Number of lots by outcome.
fn rows(sheet: &mut Sheet<'_>, project: &Project, plan: &Plan) {
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
    let first = sheet.table.rows.len() + 2;
    let mut line = |name: &'static str, count: usize| {
        let formula = format!("=SUMIFS({},{},\"{name}\")", groups.range("lots"), groups.range("outcome"));
        sheet.table.row([name.into(), SheetCell::Formula(formula, count.into()), "lots".into()]);
    };
    for outcome in Outcome::ALL {
        line(outcome.name(), count(outcome));
        if outcome == Outcome::CustomTank && totals.unpriced_tanks > 0 {
            line(placed::NO_PRICE, totals.unpriced_tanks);
        }
    }
    let last = sheet.table.rows.len() + 1;
    let all = SheetCell::Formula(format!("=SUM(B{first}:B{last})"), plan.placements.len().into());
    sheet.table.row(["all".into(), all, "lots".into()]);
}

/// Cost by item, and what is left of the budget.
fn money<'a>(sheet: &mut Sheet<'a>, project: &'a Project, plan: &'a Plan) {
    let totals = &plan.totals;
    let unit = project.settings.currency.as_str();
    let mut line = |what: &'static str, figure: SheetCell<'a>| sheet.table.row([what.into(), figure, unit.into()]);
    let suppliers = order::suppliers(project, plan);
    let sum = |range: String, amount: Money| SheetCell::Formula(format!("=SUM({range})"), amount.into());
    line("vessels", sum(suppliers.range("goods"), totals.purchase));
    line("delivery", sum(suppliers.range("delivery"), totals.delivery));
    line("fluid", sum(order::make_up(project, plan).range("cost"), totals.fluid));
    line("tanks of known price", sum(placed::tanks(project, plan).range("cost"), totals.tanks));
    let last = sheet.table.rows.len() + 1;
    let mut line = |what: &'static str, figure: SheetCell<'a>| sheet.table.row([what.into(), figure, unit.into()]);
    line("cost", sum(format!("B{}:B{last}", last - 3), totals.money));
    if let Some(budget) = project.settings.budget {
        line("budget", budget.into());
        let left = totals.left_of(budget);
        let counts = totals.labour_counted > Money::ZERO;
        let less_labour = if counts { format!("-B{}", last + 4) } else { String::new() };
        line(
            "left of the budget",
            SheetCell::Formula(format!("=B{}-B{}{less_labour}", last + 2, last + 1), left.into()),
        );
        if counts {
            line("labour counted against the budget", totals.labour_counted.into());
        }
    }
    if totals.labour > Money::ZERO {
        line("labour", totals.labour.into());
    }
    if totals.to_pay != totals.money {
        line("disposal of spent fluid", totals.disposal.into());
        line("fluid in whole containers, above the cost counted", totals.containers.into());
        line("to pay", totals.to_pay.into());
    }
}
