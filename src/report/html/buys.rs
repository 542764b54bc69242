//! What more money buys, and what fewer suppliers or kinds of vessel cost: the answers of the plan, each as a chart and its table.

use super::Paper;
use super::page::{Markup, element, list, paragraph, section};
use crate::inquiry::budget::{BudgetCurve, BudgetPoint};
use crate::inquiry::limits::{LimitCurve, LimitOf};
use crate::plan::answers::to_hundredths;
use crate::report::columns::curve::{BudgetLine, LimitLine};
use crate::report::drawing::chart;
use crate::report::drawing::steps::{Axis, ChartMark, StepLine, steps};
use crate::report::table::Column;
use crate::report::table::html::PaperTable;
use crate::units::Money;
use crate::words::curve as words;

/// The whole section; empty where nothing was asked.
pub(super) fn buys(paper: Paper) -> Markup {
    let Some(curve) = BudgetCurve::of_answers(paper.project, paper.plan) else { return Markup::new() };
    let mut content = unaudited(paper).with(of_budget(paper, &curve));
    for of in [LimitOf::Suppliers, LimitOf::Kinds] {
        if let Some(curve) = LimitCurve::of_answers(paper.project, paper.plan, of) {
            content.push(of_limit(paper, &curve));
        }
    }
    section("money", "What more money buys", content)
}

/// That answers are not audited, where it applies.
pub(super) fn unaudited(paper: Paper) -> Markup {
    crate::words::not_audited(paper.project).map_or_else(Markup::new, |note| paragraph("note", note))
}

fn of_budget(paper: Paper, curve: &BudgetCurve) -> Markup {
    let title = "Lots placed by budget, a line for each priority";
    let drawn = drawn(paper, curve, title);
    let words = "Each line keeps what was placed until the next budget that was tried. Upright lines: the least money \
        with all lots of these priorities placed that can be, and the budget of this plan.";
    let figure = element("figure", "", drawn.with(element("figcaption", "", words)));
    let next = words::next_step(paper.project, paper.plan).map(|step| paragraph("", format!("{step}.")));
    let notes = words::falls(paper.project, curve).into_iter().chain(words::enough(curve));
    let notes = list("", notes.map(Markup::from));
    let open = curve.points.iter().filter(|point| !point.is_proved()).count();
    let open = (open > 0 && crate::words::not_audited(paper.project).is_none()).then(|| paragraph("note", NOT_PROVED));
    [
        next.unwrap_or_default(),
        element("h3", "", title),
        figure,
        milestones(paper, curve),
        points(paper, curve),
        notes,
        open.unwrap_or_default(),
    ]
    .into_iter()
    .collect()
}

const NOT_PROVED: &str = "Not proved: the search ended before it could show that no plan is better at this budget. \
    `rehouse curve` searches longer.";

fn drawn(paper: Paper, curve: &BudgetCurve, title: &str) -> Markup {
    let most = curve.points.iter().map(|point| point.budget).max().unwrap_or_default().approximate();
    let placed = |point: &BudgetPoint, at: usize| curve.lots[at] - point.deferred[at];
    let line = |at: usize| {
        let points = curve.points.iter().map(|point| [point.budget.approximate(), placed(point, at) as f64]);
        let last = curve.points.last().map_or(0, |point| placed(point, at));
        StepLine { name: format!("priority {}: {last}", at + 1), points: points.collect() }
    };
    let lines: Vec<StepLine> = (0..4).filter(|at| curve.lots[*at] > 0).map(line).collect();
    let mut marks: Vec<(Money, String)> = curve
        .milestones
        .iter()
        .map(|milestone| (milestone.money, format!("priority {}", words::up_to(milestone.priority))))
        .collect();
    let budget = paper.project.settings.budget.filter(|budget| budget.approximate() <= most);
    marks.extend(budget.map(|budget| (budget, "this plan's budget".to_owned())));
    marks.sort();
    let marks = marks.into_iter().map(|(money, name)| ChartMark { x: money.approximate(), name });
    let lots = curve.lots.iter().max().copied().unwrap_or(0) as f64;
    let across = paper.in_currency("budget");
    let description = "The figures are in the table below.";
    let axes = (Axis { most, name: &across }, Axis { most: lots, name: "lots placed" });
    steps(title, description, axes, &lines, &marks.collect::<Vec<_>>())
}

fn milestones(paper: Paper, curve: &BudgetCurve) -> Markup {
    let columns = [Column::text("all lots of priority"), Column::money("least money"), Column::text("proved")];
    let title = "Least money with all placed that can be";
    let mut table = paper.money(PaperTable::new(title, columns)).narrow();
    for milestone in &curve.milestones {
        let proved = if milestone.proved { "yes" } else { "no" };
        table.row([words::priorities(milestone).into(), to_hundredths(milestone.money).into(), proved.into()]);
    }
    table.markup()
}

fn points(paper: Paper, curve: &BudgetCurve) -> Markup {
    let fields = [
        BudgetLine::BUDGET,
        BudgetLine::MONEY.headed("cost"),
        BudgetLine::PLACED.headed("lots placed"),
        BudgetLine::PLACED_BY[0].headed("priority 1"),
        BudgetLine::PLACED_BY[1].headed("2"),
        BudgetLine::PLACED_BY[2].headed("3"),
        BudgetLine::PLACED_BY[3].headed("4"),
        BudgetLine::NEW.headed("placed here and not before"),
        BudgetLine::PROVED,
    ];
    let project = paper.project;
    let lines = curve.points.iter().map(|point| BudgetLine { project, curve, point });
    paper.money(PaperTable::of("The best plan at some budgets (curve.csv)", &fields, lines)).markup()
}

/// A limit on kinds or suppliers.
fn of_limit(paper: Paper, curve: &LimitCurve) -> Markup {
    let (title, file) = match curve.of {
        LimitOf::Kinds => ("Cost of the best plan that buys at most so many kinds of vessel", "curve-kinds.csv"),
        LimitOf::Suppliers => {
            ("Cost of the best plan that orders from at most so many suppliers", "curve-suppliers.csv")
        }
    };
    let bar = |line: LimitLine| {
        let most = line.point.at_most.unwrap_or_default();
        let name = match line.point.values.deferred.iter().sum::<i64>() {
            0 => format!("at most {most}"),
            1 => format!("at most {most}; 1 lot waits"),
            waiting => format!("at most {most}; {waiting} lots wait"),
        };
        let money = line.point.values.money;
        (name, [money.approximate(), 0.0], money.on_screen())
    };
    let bars: Vec<(String, [f64; 2], String)> = LimitLine::all(curve).map(bar).collect();
    let drawn = chart::bars(title, "The figures are in the table below.", &bars);
    let fields = [
        LimitLine::AT_MOST.headed("at most"),
        LimitLine::USED,
        LimitLine::WAITING.headed("waiting, by priority"),
        LimitLine::MONEY.headed("cost"),
        LimitLine::SAVES.headed("saves"),
        LimitLine::PROVED,
    ];
    let table = PaperTable::of(file, &fields, LimitLine::all(curve));
    let caption = element("figcaption", "", paper.in_currency("Cost"));
    element("h3", "", title).with(element("figure", "", drawn.with(caption))).with(paper.money(table).narrow().markup())
}
