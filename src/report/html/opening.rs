//! The opening screen: what a person must settle first, lots by outcome, cost, fluid, work, and what was proved.

use crate::report::left_out::first;
use itertools::Itertools;

use super::Paper;
use super::page::{Markup, counted, element, element_with, grouped, list, paragraph};
use crate::plan::Outcome;
use crate::plan::renewals::{self, renewals};
use crate::report::columns::fluids::ToMake;
use crate::report::drawing::chart;
use crate::report::table::Column;
use crate::report::table::html::PaperTable;
use crate::report::{summary, work};
use crate::units::{Millilitres, Money, items, number_of};
use crate::words::warning;

/// The opening screen.
pub(super) fn opening(paper: Paper, contents: Markup) -> Markup {
    let left = element("div", "", money(paper));
    let right = element("div", "", litres(paper).with(hours(paper)).with(proof(paper)));
    [
        element("header", "head", element("h1", "", "Rehousing plan").with(contents)),
        left_out(paper),
        person_first(paper),
        counts(paper),
        element("div", "opening", left.with(right)),
    ]
    .into_iter()
    .collect()
}

/// Input rows that could not be read, shown before anything else.
fn left_out(paper: Paper) -> Markup {
    let rows = &paper.plan.skipped_rows;
    if rows.is_empty() {
        return Markup::new();
    }
    let heading = element(
        "h2",
        "",
        format!("Left out: {} of the survey or stock lists that could not be read", counted(rows.len(), "line")),
    );
    let items = first(rows).map(|row| Markup::from(&*row));
    element("div", "first", heading.with(list("", items)))
}

/// What a person must settle: decisions first, then warnings, then lots to review.
fn person_first(paper: Paper) -> Markup {
    let Paper { project, plan, .. } = paper;
    let mut items: Vec<Markup> = Vec::new();
    for (n, kind) in summary::decision_kinds(project, plan) {
        let link = element_with("a", &[("href", "#decisions")], format!("{}: {kind}", counted(n, "lot")));
        items.push(link);
    }
    let review = plan.placements.iter().filter(|placement| placement.marks.any()).count();
    items.extend(warning::sentences(project, plan).into_iter().take(WARNINGS_FIRST).map(Markup::from));
    if review > 0 {
        items.push(
            format!(
                "{} to review before the work begins: see “review” under the lot's name in the annex",
                counted(review, "lot")
            )
            .into(),
        );
    }
    let heading = element("h2", "", "Settle these first");
    if items.is_empty() {
        return element("div", "first", heading.with(paragraph("", "Nothing: every lot is placed, deferred or held.")));
    }
    let class = if items.len() > ONE_COLUMN { "columns" } else { "" };
    element("div", "first", heading.with(list(class, items)))
}

/// Largest number of items set in one column; more are set in two, so that the opening fits one screen.
const ONE_COLUMN: usize = 4;

/// Largest number of warnings on the opening screen.
const WARNINGS_FIRST: usize = 3;

/// Number of lots by outcome.
fn counts(paper: Paper) -> Markup {
    let totals = &paper.plan.totals;
    let unpriced = Some(("tanks without a price", totals.unpriced_tanks)).filter(|(_, n)| *n > 0);
    let counted = [("on hand", totals.on_hand), ("to order", totals.order), ("tanks to build", totals.custom_tank)];
    let others = [("deferred", totals.deferred), ("need a decision", totals.needs_decision), ("held", totals.held)];
    let pair = |(what, n): (&'static str, usize)| {
        element("div", "", element("dt", "", what).with(element("dd", "", grouped(number_of(n)))))
    };
    let all = paper.plan.placements.len();
    let waits = summary::wait_for_price(totals);
    let note = format!("{} of {} placed{waits}.", grouped(number_of(totals.placed)), self::counted(all, "lot"));
    let counted = counted.into_iter().chain(unpriced).chain(others);
    element("dl", "counts", counted.map(pair).collect::<Markup>()).with(paragraph("note", note))
}

/// Cost by item, as a bar and a table.
fn money(paper: Paper) -> Markup {
    let Paper { project, plan, .. } = paper;
    let totals = &plan.totals;
    let parts =
        [("vessels", totals.purchase), ("delivery", totals.delivery), ("fluid", totals.fluid), ("tanks", totals.tanks)];
    let part = |pattern, what, amount: Money| (pattern, what, amount.approximate().max(0.0), amount.on_screen());
    let patterns = ["solid", "hatch", "dots", "bricks"];
    let mut drawn: Vec<chart::Part> =
        patterns.into_iter().zip(parts).map(|(pattern, (what, amount))| part(pattern, what, amount)).collect();
    if totals.labour_counted > Money::ZERO {
        drawn.push(part("over", "labour", totals.labour_counted));
    }
    // The rest of the budget is the empty part of the bar.
    if let Some(budget) = project.settings.budget {
        drawn.push(part("open", "left", totals.left_of(budget)));
    }
    let bar = element("figure", "", chart::divided(&paper.in_currency("Cost by item"), &drawn));
    let mut table = paper.money(PaperTable::new("", [Column::text(""), Column::money("cost")]));
    for (what, amount) in parts {
        table.row([what.into(), amount.into()]);
    }
    table.sum(["total".into(), totals.money.into()]);
    if let Some(budget) = project.settings.budget {
        table.sum([format!("of a budget of {}, left", budget.on_screen()).into(), totals.left_of(budget).into()]);
    }
    if totals.saved_by_sharing > Money::ZERO {
        table.sum(["saved by tanks that share sizes, already deducted".into(), totals.saved_by_sharing.into()]);
    }
    let beside = [
        ("disposal of spent fluid", totals.disposal),
        ("fluid bought in whole containers, not by the litre", totals.containers),
    ];
    for (what, amount) in beside.into_iter().filter(|(_, amount)| *amount != Money::ZERO) {
        table.sum([format!("plus: {what}").into(), amount.into()]);
    }
    if totals.to_pay != totals.money {
        table.sum(["to pay".into(), totals.to_pay.into()]);
    }
    let times: i64 = renewals(project, plan).iter().map(|due| due.times).fold(0, i64::saturating_add);
    if times > 0 {
        let what = format!("later: {} of closures, outside the budget", self::counted(items(times), "renewal"));
        table.sum([what.into(), renewals::money(project, times).into()]);
    }
    if totals.labour > Money::ZERO {
        let counts = summary::labour_counts(totals);
        table.sum([format!("labour, {counts}").into(), totals.labour.into()]);
    }
    element("h3", "", "Cost").with(bar).with(table.markup())
}

/// Litres by fluid.
fn litres(paper: Paper) -> Markup {
    let Paper { project, plan, .. } = paper;
    let is_used = |row: &ToMake| row.made.amount > Millilitres::ZERO || row.made.baths > Millilitres::ZERO;
    let used = ToMake::all(project, plan).filter(is_used);
    let used: Vec<ToMake> = used.collect();
    let baths: Millilitres = used.iter().map(|row| row.made.baths).sum();
    let fields = [ToMake::NAME, ToMake::IN_VESSELS.headed("in vessels, l"), ToMake::IN_BATHS.headed("in baths, l")];
    let mut table = PaperTable::of("", &fields, used);
    table.sum(["total".into(), plan.totals.litres.into(), baths.into()]);
    element("h3", "", "Fluid").with(table.markup())
}

/// Hours and days of work, and when each stage can begin.
fn hours(paper: Paper) -> Markup {
    let Paper { project, plan, .. } = paper;
    let planned = work::of(project, plan);
    if planned.rows() == 0 {
        return Markup::new();
    }
    let stages = work::stages(project, &planned).into_iter().map(Markup::from);
    element("h3", "", "Work").with(paragraph("", work::in_all(project, plan, &planned))).with(list("", stages))
}

/// What was proved.
fn proof(paper: Paper) -> Markup {
    let Paper { project, plan, .. } = paper;
    element("h3", "", "What was proved").with(paragraph("", summary::proof(project, plan)))
}

/// Links to sections: their ids, with their names.
pub(super) fn contents(sections: impl Iterator<Item = (&'static str, &'static str)>) -> Markup {
    let links =
        sections.map(|(id, name)| element_with("a", &[("href", format!("#{id}").as_str())], name)).collect::<Markup>();
    element_with("nav", &[("class", "contents"), ("aria-label", "Sections")], links)
}

impl<'a> Paper<'a> {
    /// A table with money in the project's currency.
    pub(super) fn money(&self, table: PaperTable<'a>) -> PaperTable<'a> {
        table.in_currency(&self.project.settings.currency)
    }

    /// A heading for amounts: `what`, followed by the project's currency.
    pub(super) fn in_currency(&self, what: &str) -> String {
        Column::money(what).head(&self.project.settings.currency).into_owned()
    }

    /// Placements with this outcome, sorted by key.
    pub(super) fn rows_of(&self, outcome: Outcome) -> Vec<&'a crate::plan::Placement> {
        let rows = self.plan.placements.iter().filter(|placement| placement.outcome == outcome);
        rows.sorted_by_key(|placement| &self.project.collection.specimens[placement.specimen].key).collect()
    }
}
