//! `fire-sheet.html`: flammable fluid on one page, to talk about with the authority having jurisdiction. Quantities
//! beside those that usually bring it in; no statement that any of them is allowed.

use std::cmp::Reverse;

use itertools::Itertools;

use super::html::page::escaped;
use crate::fluid::{cautions, flash};
use crate::plan::flammable::{LARGE_GLASS_ML, in_glass_above, largest_vessel};
use crate::plan::{Flammable, Plan};
use crate::project::Project;
use crate::rules::{Family, Fluid};
use crate::units::{Millilitres, decimal};

/// Places listed one by one; the others are summed, so that the sheet stays one page.
const MOST_PLACES: usize = 9;

/// The whole sheet.
pub fn fire_sheet(project: &Project, plan: &Plan) -> Vec<u8> {
    let title = "Fire sheet: flammable fluid before, during and after this rehousing";
    let body = [
        format!("<h1>{title}</h1>"),
        "<p class=\"lead\">Planning figures for a talk with the authority having jurisdiction. They do not say that any \
         quantity, vessel or place is allowed.</p>"
            .to_owned(),
        skipped(plan),
        totals(plan),
        asked_about(project, plan),
        places(plan),
        fluids(project, plan),
        cautions_said(),
    ]
    .concat();
    format!(
        "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" \
         content=\"width=device-width\"><title>{title}</title><style>{STYLE}</style></head>\n<body><main>{body}</main></body></html>\n"
    )
    .into_bytes()
}

const STYLE: &str = include_str!("fire_sheet.css");

fn skipped(plan: &Plan) -> String {
    match plan.skipped_rows.len() {
        0 => String::new(),
        n => format!("<p class=\"first\">Left out: {n} rows of the survey that could not be read.</p>"),
    }
}

/// What there is in all.
fn totals(plan: &Plan) -> String {
    let figure = |what: &str, amount: Millilitres| format!("<div><dt>{what}</dt><dd>{} l</dd></div>", tenths(amount));
    let figures = [
        figure("stated to be there now", sum(plan, |place| place.before)),
        figure("at the peak of the work", sum(plan, |place| place.peak)),
        figure("once all is done", sum(plan, |place| place.after)),
    ];
    let not_stated: usize = plan.flammable.iter().map(|place| place.not_stated).sum();
    let note = match not_stated {
        0 => String::new(),
        n => format!(
            "<p class=\"first\">{n} rows in flammable or unstated fluid do not say how much there is now: it comes on top \
             of what is there now and of the peak.</p>"
        ),
    };
    format!("<dl class=\"figures\">{}</dl>{note}", figures.concat())
}

fn sum(plan: &Plan, amount: fn(&Flammable) -> Millilitres) -> Millilitres {
    plan.flammable.iter().map(amount).sum()
}

fn places(plan: &Plan) -> String {
    if plan.flammable.is_empty() {
        return "<p>No row is in flammable fluid, and none goes into it.</p>".to_owned();
    }
    let row = |name: &str, places: &[&Flammable]| {
        let sum = |amount: fn(&Flammable) -> Millilitres| {
            tenths(places.iter().map(|place| amount(place)).sum::<Millilitres>())
        };
        format!(
            "<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td>{}</td><td>{}</td></tr>",
            escaped(name),
            sum(|place| place.before),
            places.iter().map(|place| place.not_stated).sum::<usize>(),
            sum(|place| place.peak),
            sum(|place| place.after)
        )
    };
    let sorted = plan.flammable.iter().sorted_by_key(|place| (Reverse(place.peak), &place.location)).collect_vec();
    let (listed, others) = sorted.split_at(sorted.len().min(MOST_PLACES));
    let mut rows = String::new();
    for place in listed {
        let name = if place.location.is_empty() { "place not stated" } else { &place.location };
        rows.push_str(&row(name, &[place]));
    }
    if !others.is_empty() {
        rows.push_str(&row(&format!("{} more places", others.len()), others));
    }
    format!(
        "<h2>By place, litres</h2><table><thead><tr><th scope=\"col\">place</th><th scope=\"col\">now</th><th \
         scope=\"col\">rows that do not say</th><th scope=\"col\">at the peak</th><th scope=\"col\">after</th></tr></thead>\
         <tbody>{rows}</tbody><tfoot>{}</tfoot></table><p class=\"note\">The peak has what is there now, what comes and the \
         baths side by side: an upper bound where work goes in batches.</p>",
        row("all places", &sorted)
    )
}

/// What burns, how it is classed, and how much of it there will be.
fn fluids(project: &Project, plan: &Plan) -> String {
    let classed = |fluid: &Fluid| fluid.flash_c.is_some_and(|flash| flash::category(flash).is_some());
    let burns = |fluid: &Fluid| fluid.family == Family::Alcohol || classed(fluid);
    let mut rows = String::new();
    for fluid in project.rules.fluids.iter().filter(|fluid| burns(fluid)) {
        let made = plan.make_up.iter().find(|made| project.rules.fluid(made.fluid).id == fluid.id);
        let filled = made.map_or(Millilitres::ZERO, |made| made.amount + made.amount_outside);
        let baths = made.map_or(Millilitres::ZERO, |made| made.baths);
        let from = plan.make_up.iter().filter_map(|made| made.made_from.as_ref());
        let from = from.filter(|from| from.concentrate == fluid.id).map(|from| from.amount).sum::<Millilitres>();
        if [filled, baths, from].iter().all(|amount| *amount == Millilitres::ZERO) {
            continue;
        }
        let known = |what: Option<String>| what.unwrap_or_else(|| "not known".to_owned());
        let category = |flash| flash::category(flash).map_or("none".to_owned(), |category| category.to_string());
        rows.push_str(&format!(
            "<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td></tr>",
            escaped(&fluid.name),
            known(fluid.flash_c.map(|flash| format!("{} °C", decimal(flash, 0)))),
            known(fluid.flash_c.map(category)),
            known(fluid.flash_c.map(|flash| flash::us_class(flash).to_owned())),
            tenths(filled),
            tenths(baths),
            tenths(from),
        ));
    }
    if rows.is_empty() {
        return String::new();
    }
    format!(
        "<h2>What burns, litres</h2><table><thead><tr><th scope=\"col\">fluid</th><th scope=\"col\">flash point</th><th \
         scope=\"col\">hazard category</th><th scope=\"col\">US class</th><th scope=\"col\">in vessels</th><th \
         scope=\"col\">in baths</th><th scope=\"col\">to make others from</th></tr></thead><tbody>{rows}</tbody></table><p \
         class=\"note\">Hazard category 2 to 4 of the Globally Harmonized System; class of NFPA 30. Flash points are the \
         table's of fluids, with their sources there; the safety data sheet of what you buy decides.</p>"
    )
}

/// Quantities that usually bring in the authority, the plan's beside them.
fn asked_about(project: &Project, plan: &Plan) -> String {
    let in_glass = LARGE_GLASS_ML.map(|size| in_glass_above(project, plan, Millilitres(size)));
    let in_glass = in_glass.map(|(vessels, held)| format!("{vessels} larger, {} l", tenths(held)));
    let peak = format!("{} l at the peak", tenths(sum(plan, |place| place.peak)));
    let place = plan.flammable.iter().map(|place| place.peak).max().unwrap_or(Millilitres::ZERO);
    let largest = largest_vessel(plan);
    let tray = Millilitres((largest.0 * 11 + 9) / 10);
    let rows = [
        (
            "one vessel of glass, class IB",
            "0.95 l",
            in_glass[0].clone(),
            "29 CFR 1910.106, table H-12: 1 US quart (quoted by UC San Diego)",
        ),
        (
            "one vessel of glass, class IC",
            "3.8 l",
            in_glass[1].clone(),
            "29 CFR 1910.106, table H-12: 1 US gallon (quoted by UC San Diego)",
        ),
        (
            "a control area, class IB and IC",
            "454 l, to 1817 l with sprinklers and cabinets",
            peak,
            "International Fire Code, table 5003.1.1(1): 120 US gallons (quoted in Indiana's CEB-2022-52)",
        ),
        (
            "a cabinet in a workroom, flash point below the room's",
            "50 l",
            format!("{} l in one place at the peak", tenths(place)),
            "Health and Safety Executive, Great Britain, L138 (as suppliers summarise it)",
        ),
        (
            "a tray under the largest vessel, any fluid",
            "110 % of it",
            format!("{} l for {} l", tenths(tray), tenths(largest)),
            "Health and Safety Executive, L138, of cabinets; for tanks common practice",
        ),
    ];
    let row = |(what, about, ours, source): &(&str, &str, String, &str)| {
        format!("<tr><th scope=\"row\">{what}</th><td>{about}</td><td><b>{ours}</b></td><td>{source}</td></tr>")
    };
    let rows = rows.iter().map(row).collect::<String>();
    format!(
        "<h2>Quantities that usually bring in the authority</h2><table class=\"words\"><thead><tr><th \
         scope=\"col\">what</th><th scope=\"col\">about</th><th scope=\"col\">this plan</th><th scope=\"col\">where that \
         is from</th></tr></thead><tbody>{rows}</tbody></table><p class=\"note\">Read second-hand: check the text in force \
         where you are. Stores of specimens are mostly settled by the building, not by such a table.</p>"
    )
}

fn cautions_said() -> String {
    let said = [cautions::ALCOHOL, cautions::AT_THE_BENCH, cautions::NOT_HANDLED];
    let said: String = said.iter().map(|caution| format!("<li>{}</li>", escaped(caution))).collect();
    format!(
        "<h2>Cautions</h2><ul>{said}<li>The safety data sheet of each fluid, local code, the authority having jurisdiction \
         and licensed practice decide; this sheet does not.</li></ul>"
    )
}

/// Litres to a tenth, rounded up where any is left.
fn tenths(amount: Millilitres) -> String {
    format!("{:.1}", ((amount.0 as f64) / 100.0).ceil() / 10.0)
}
