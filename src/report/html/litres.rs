//! What less fluid costs: plans that place as many lots, by the weight of a litre, as a chart and its table.

use super::Paper;
use super::buys::unaudited;
use super::page::{Markup, element, list, paragraph, section};
use crate::inquiry::fluid::{FluidCurve, FluidPoint};
use crate::report::columns::curve::FluidLine;
use crate::report::drawing::front::front;
use crate::report::table::html::PaperTable;
use crate::report::table::{Cell, Column, cells};

/// The whole section; empty where nothing was asked.
pub(super) fn litres(paper: Paper) -> Markup {
    let Some(curve) = FluidCurve::of_answers(paper.project, paper.plan) else { return Markup::new() };
    let content = match curve.points.len() {
        0 | 1 => paragraph("", "At every weight of a litre that was tried the best plan is this one."),
        _ => drawn(paper, &curve).with(table(paper, &curve)).with(notes(paper, &curve)),
    };
    section("litres", "What less fluid costs", unaudited(paper).with(content))
}

fn drawn(paper: Paper, curve: &FluidCurve) -> Markup {
    let title = "Litres by cost, with as many lots placed";
    let points: Vec<[f64; 2]> = curve
        .points
        .iter()
        .map(|point| [point.values.money.approximate(), point.values.fluid.0 as f64 / 1000.0])
        .collect();
    let across = paper.in_currency("cost");
    let chart = front(title, "The figures are in the table below.", (&across, "litres"), &points);
    let words = "Each point is a whole plan, numbered as in the table. Neither scale begins at 0.";
    element("h3", "", title).with(element("figure", "", chart.with(element("figcaption", "", words))))
}

fn table(paper: Paper, curve: &FluidCurve) -> Markup {
    let fields = [
        FluidLine::MONEY.headed("cost"),
        FluidLine::LITRES,
        FluidLine::LITRE_WEIGHT.headed("least litre_weight that selects it"),
        FluidLine::PER_LITRE.headed("cost of a litre less than above"),
        FluidLine::PROVED,
    ];
    let columns = std::iter::once(Column::whole("no.")).chain(fields.iter().map(|field| field.column));
    let mut table = paper.money(PaperTable::new("curve-fluid.csv", columns)).narrow();
    for (at, line) in FluidLine::all(curve).enumerate() {
        let number = Cell::from(at + 1);
        table.row(std::iter::once(number).chain(cells(&fields, line)).map(Into::into));
    }
    table.markup()
}

fn notes(paper: Paper, curve: &FluidCurve) -> Markup {
    let now = paper.project.settings.litre_weight.text();
    let mut notes = vec![
        format!("This plan has litre_weight = {now}. Each of the others is the plan with its own litre_weight."),
        "Plans between these that no litre_weight selects are not shown: `rehouse curve --of fluid` finds them too."
            .to_owned(),
    ];
    if crate::words::not_audited(paper.project).is_none() && !curve.points.iter().all(FluidPoint::is_proved) {
        notes.push(
            "Not proved: the search ended before it could show that no plan is better at this weight.".to_owned(),
        );
    }
    list("", notes.into_iter().map(Markup::from))
}
