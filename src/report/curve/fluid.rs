//! The curve of fluid.

use serde_json::{Value, json};

use super::{EndedBy, bar, said};
use crate::inquiry::fluid::{FluidCurve, FluidPoint};
use crate::project::Project;
use crate::report::columns::curve::FluidLine;
use crate::report::table::csv::file;
use crate::report::table::{Cell, Table, cells};
use crate::report::wrapping::wrapped;
use crate::saved::stated;
use crate::units::Money;

/// The curve of fluid for a terminal. `ended`: why it is not whole.
pub fn text(project: &Project, curve: &FluidCurve, ended: Option<EndedBy>) -> String {
    let fields = [
        FluidLine::MONEY.headed("cost"),
        FluidLine::LITRES.headed("litres"),
        FluidLine::LITRE_WEIGHT,
        FluidLine::PER_LITRE.headed("per litre saved"),
    ];
    let bars = crate::report::table::Column::text("");
    let columns = fields.iter().map(|field| field.column).chain([bars, FluidLine::PROVED.column]);
    let title = "What less fluid costs, with the same lots placed";
    let mut table = Table::new(title, columns).in_currency(&project.settings.currency);
    let most = curve.points.first().map_or(0, |point| point.values.fluid.0);
    for line in FluidLine::all(curve) {
        let bar = Cell::from(bar(Money::from_parts(line.point.values.fluid.0), Money::from_parts(most)));
        table.row(cells(&fields, line).chain([bar]).chain(cells(&[FluidLine::PROVED], line)));
    }
    let mut text = table.text("").trim_start().to_owned();
    notes(project, curve, ended).iter().for_each(|note| text.push_str(&wrapped(note, 2)));
    text
}

/// What is to be said below the table.
fn notes(project: &Project, curve: &FluidCurve, ended: Option<EndedBy>) -> Vec<String> {
    let mut notes: Vec<String> = crate::words::not_audited(project).into_iter().collect();
    if curve.points.len() > 1 {
        notes.push("The bars are litres. litre_weight: the least that selects the plan.".to_owned());
    }
    if curve.points.iter().any(|point| point.litre_weight.is_none()) {
        notes.push("Where it is blank, no litre_weight selects the plan: it lies between two others.".to_owned());
    }
    if curve.points.len() > 1 {
        notes.push(format!("Now litre_weight is {}.", project.settings.litre_weight.text()));
    }
    if let Some(waiting) = curve.points.first().map(|point| point.values.deferred).filter(|lots| *lots != [0; 4]) {
        let [one, two, three, four] = waiting;
        notes.push(format!("In each plan lots wait: {one}/{two}/{three}/{four} of priority 1/2/3/4."));
    }
    match ended {
        _ if curve.too_large => notes.push(
            "This survey is too large for the plans of less fluid: only that of least cost is shown. Compare plans with \
             --set litre_weight=…"
                .to_owned(),
        ),
        _ if curve.whole && curve.points.len() == 1 => {
            notes.push("No plan that places the same lots takes less fluid.".to_owned());
        }
        _ if curve.whole => notes.push("These are all plans of which no other has less of both.".to_owned()),
        Some(ended) => notes.push(said(ended)),
        None => {}
    }
    if !curve.points.iter().all(FluidPoint::is_proved) {
        let limit = project.settings.time_limit.0;
        notes.push(format!(
            "Not proved: there may be a better plan. Each has {limit} s (--set solver.time_limit_s={:.0} allows more).",
            limit * 4.0
        ));
    }
    notes
}

/// The curve of fluid as `curve.csv`; `left_out` are rows that could not be read.
pub fn csv(curve: &FluidCurve, left_out: &[String]) -> Vec<u8> {
    let columns = FluidLine::FILE.map(|field| field.column);
    file(&columns, left_out, FluidLine::all(curve).map(|line| cells(&FluidLine::FILE, line)))
}

/// The curve of fluid for a program, with the levels of each plan.
pub fn json(project: &Project, curve: &FluidCurve, left_out: &[String]) -> String {
    let object = json!({
        "of": "fluid",
        "currency": project.settings.currency,
        "skipped_rows": left_out,
        "whole": curve.whole,
        "too_large": curve.too_large,
        "points": FluidLine::all(curve).map(point).collect::<Vec<_>>(),
    });
    serde_json::to_string_pretty(&object).expect("numbers and text") + "\n"
}

fn point(line: FluidLine) -> Value {
    let FluidLine { point, .. } = line;
    json!({
        "money": point.values.money.text(),
        "litres": point.values.fluid.litres(),
        "deferred": point.values.deferred,
        "litre_weight": point.litre_weight.map(Money::text),
        "money_per_litre_saved": line.per_litre().map(Money::text),
        "proved": point.is_proved(),
        // The money of the levels is weighed at this.
        "weighed_at": point.weighed_at.text(),
        "levels": point.levels.iter().map(stated).collect::<Vec<_>>(),
    })
}
