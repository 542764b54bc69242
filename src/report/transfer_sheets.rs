//! `transfer-sheets.html`: a line to tick for every specimen that moves, in working order, a day's work to a sheet.

use std::collections::BTreeMap;

use itertools::Itertools;

use super::drawing::escaped;
use crate::collection::Specimen;
use crate::plan::{Outcome, Placement, Plan};
use crate::project::Project;
use crate::rules::{Family, FluidId};
use crate::units::{Millilitres, decimal};

const STYLE: &str = include_str!("transfer_sheets.css");

/// One line of a sheet: a specimen into one vessel, or into one of several.
struct Line<'a> {
    placement: &'a Placement,
    /// Which of how many.
    jar: (u32, u32),
}

/// All sheets.
pub fn transfer_sheets(project: &Project, plan: &Plan) -> Vec<u8> {
    let rows = in_working_order(project, plan);
    let per_day = project.settings.per_day.max(1) as usize;
    let batches: Vec<&[&Placement]> = rows.chunks(per_day).collect();
    let sheets: String =
        batches.iter().enumerate().map(|(at, rows)| sheet(project, (at + 1, batches.len()), rows)).collect();
    let title = "Transfer sheets";
    format!(
        "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"/><meta name=\"viewport\" \
         content=\"width=device-width\"/><title>{title}</title><style>{STYLE}</style></head>\n<body><main><h1>{title}</h1>{}{}\
         {sheets}</main></body></html>\n",
        left_out(plan),
        not_here(plan)
    )
    .into_bytes()
}

/// By location, then fluid, then priority, then key.
fn in_working_order<'a>(project: &Project, plan: &'a Plan) -> Vec<&'a Placement> {
    let specimen = |placement: &&Placement| &project.collection.specimens[placement.specimen];
    let placed = plan.placements.iter().filter(|placement| placement.fluid.is_some());
    let order = |placement: &&Placement| {
        let Specimen { location, fluid, priority, key, .. } = specimen(placement);
        (location.clone(), *fluid, *priority, key.clone())
    };
    placed.sorted_by_cached_key(order).collect()
}

fn left_out(plan: &Plan) -> String {
    match plan.skipped_rows.len() {
        0 => String::new(),
        n => format!("<p class=\"first\">Left out: {n} rows of the survey could not be read and are on no sheet.</p>"),
    }
}

/// What is on no sheet, and why.
fn not_here(plan: &Plan) -> String {
    let t = &plan.totals;
    let others = [(t.needs_decision, "need a decision"), (t.deferred, "are deferred"), (t.held, "are held")];
    let others = others.iter().filter(|(n, _)| *n > 0).map(|(n, what)| format!("{n} {what}")).join(", ");
    let others = if others.is_empty() { String::new() } else { format!(" Not here: {others}.") };
    format!(
        "<p>{} rows to move.{others} The safety data sheet of each fluid, local code and licensed practice decide; gloves, \
         eye protection, air drawn off where you pour, nothing that burns near alcohol, nothing to a drain.</p>",
        t.placed
    )
}

fn sheet(project: &Project, (number, all): (usize, usize), rows: &[&Placement]) -> String {
    let specimens = &project.collection.specimens;
    let places = rows.iter().map(|row| specimens[row.specimen].location.as_str()).unique().collect_vec();
    let mut named = places.iter().map(|place| if place.is_empty() { "place not stated" } else { place });
    let mut needs: BTreeMap<FluidId, Millilitres> = BTreeMap::new();
    for row in rows {
        let own = specimens[row.specimen].fluid;
        let one = row.fluid.unwrap_or(Millilitres::ZERO);
        *needs.entry(own).or_default() += one * i64::from(row.charges) - row.reused;
        for &(bath, amount) in &row.baths {
            *needs.entry(bath).or_default() += amount;
        }
    }
    let needs = needs.iter().map(|(fluid, amount)| format!("{} l {}", amount.litres(), project.rules.fluid(*fluid).id));
    let lines = rows.iter().flat_map(|placement| {
        let pieces = placement.fit.map_or(1, |fit| fit.pieces);
        (1..=pieces).map(move |jar| Line { placement, jar: (jar, pieces) })
    });
    let heads = ["", "specimen", "from", "into", "fluid", "mind", "old labels moved", "initials", "date"];
    let heads: String = heads.iter().map(|head| format!("<th scope=\"col\">{head}</th>")).collect();
    format!(
        "<section><h2>Sheet {number} of {all}</h2><p class=\"note\">{} rows · {}</p><p class=\"note\">Set out: {}</p><table>\
         <thead><tr>{heads}</tr></thead><tbody>{}</tbody></table></section>",
        rows.len(),
        escaped(&named.join(", ")),
        escaped(&needs.collect_vec().join(", ")),
        lines.map(|line| line.cells(project)).collect::<String>()
    )
}

impl Line<'_> {
    fn cells(&self, project: &Project) -> String {
        let specimen = &project.collection.specimens[self.placement.specimen];
        let count = if specimen.individuals > 1 { format!(" × {}", specimen.individuals) } else { String::new() };
        let who =
            format!("<b>{}</b>{count}<br/><i>{}</i>", escaped(&specimen.key.to_string()), escaped(&specimen.name));
        let cells = [
            "<span class=\"box\"></span>".to_owned(),
            who,
            self.from(project, specimen),
            self.into(project),
            self.fluid(project, specimen),
            mind(project, specimen, self.placement),
            "<span class=\"box\"></span>".to_owned(),
            String::new(),
            String::new(),
        ];
        let cells: String = cells.iter().map(|cell| format!("<td>{cell}</td>")).collect();
        format!("<tr>{cells}</tr>")
    }

    fn from(&self, project: &Project, specimen: &Specimen) -> String {
        let fluid = specimen.current_fluid.map_or("fluid not stated".to_owned(), |fluid| {
            let strength =
                specimen.current_strength_pct.map_or(String::new(), |pct| format!(" at {} %", decimal(pct, 1)));
            format!("{}{strength}", project.rules.fluid(fluid).id)
        });
        let parts = [specimen.location.as_str(), specimen.current_vessel.as_str(), specimen.current_closure.as_str()];
        let parts = parts.into_iter().filter(|part| !part.is_empty()).chain([fluid.as_str()]);
        parts.map(escaped).collect_vec().join("<br/>")
    }

    fn into(&self, project: &Project) -> String {
        let Placement { vessel, fit, outcome, .. } = self.placement;
        let posture = fit.and_then(|fit| fit.stance).map_or("as now", |stance| stance.name());
        let leans = if fit.is_some_and(|fit| fit.leaning) { ", leaning" } else { "" };
        let (jar, of) = self.jar;
        let jar = if of > 1 { format!("<br/>jar {jar} of {of}") } else { String::new() };
        match vessel {
            Some(id) => {
                let vessel = escaped(&project.stock.vessel(*id).id);
                let wait = if *outcome == Outcome::Order { " (ordered)" } else { "" };
                format!("<b>{vessel}</b>{wait}{jar}<br/>{posture}{leans}")
            }
            None => "<b>its custom tank</b>".to_owned(),
        }
    }

    fn fluid(&self, project: &Project, specimen: &Specimen) -> String {
        let placement = self.placement;
        let mut steps: Vec<String> = Vec::new();
        if self.jar.0 == 1 {
            let baths = placement.baths.iter();
            steps.extend(baths.map(|(bath, ml)| format!("bath: {} ml {}", ml.0, project.rules.fluid(*bath).id)));
            if !placement.baths.is_empty() {
                steps.push(format!("{} days in all", decimal(placement.bath_days, 1)));
            }
            if placement.reused > Millilitres::ZERO {
                steps.push(format!("keep {} ml of its own", placement.reused.0));
            }
        }
        // Of a divided lot each vessel holds about its share.
        let one = placement.fluid.map_or(0, |fluid| fluid.0) / i64::from(self.jar.1.max(1));
        let times = if placement.charges > 1 { format!(", {} times", placement.charges) } else { String::new() };
        let about = if self.jar.1 > 1 { "about " } else { "" };
        steps.push(format!("<b>{about}{one} ml {}</b>{times}", escaped(&project.rules.fluid(specimen.fluid).id)));
        steps.join("<br/>")
    }
}

/// Hazards of the specimen and its fluids, and what is to be looked at.
fn mind(project: &Project, specimen: &Specimen, placement: &Placement) -> String {
    let family = |fluid: FluidId| project.rules.fluid(fluid).family;
    let fluids = [Some(specimen.fluid), specimen.current_fluid].into_iter().flatten();
    let families = fluids.chain(placement.baths.iter().map(|(bath, _)| *bath)).map(family).unique().collect_vec();
    let mut words: Vec<String> = specimen.hazards.iter().map(|hazard| escaped(hazard).to_uppercase()).collect();
    if families.contains(&Family::Formaldehyde) {
        words.push("formaldehyde: extraction".to_owned());
    }
    if families.contains(&Family::Alcohol) {
        words.push("flammable".to_owned());
    }
    if families.contains(&Family::Unknown) {
        words.push("present fluid unknown: test first".to_owned());
    }
    if !placement.review.is_empty() {
        words.push(escaped(&placement.review));
    }
    words.join("<br/>")
}
