//! `fire-sheet.html`: flammable fluid on one page, as a basis for talking to the fire authority. It sets the plan's
//! quantities beside those the authority usually asks about, and never states that any of them is allowed.

use std::cmp::Reverse;

use itertools::Itertools;

use super::columns::fluids::{Burning, in_tenths};
use super::fluids::in_glass_in_words;
use super::html::page::{Markup, counted, document, element, list, paragraph};
use super::table::html::{PaperCell, PaperTable};
use super::table::{Column, cells, tenths};
use crate::fluid::cautions::FluidCaution;
use crate::fluid::flash;
use crate::plan::flammable::{FluidByPlace, HeldContent, burns};
use crate::plan::large_glass::{LARGE_GLASS, in_glass_above, largest_vessel};
use crate::plan::{Flammable, Plan};
use crate::project::Project;
use crate::units::{Millilitres, decimal};
use crate::words::caution;

/// Largest number of places listed one by one; the others are summed, so that the sheet stays one page.
const MOST_PLACES: usize = 6;

/// The whole sheet.
pub fn fire_sheet(project: &Project, plan: &Plan) -> Vec<u8> {
    let title = "Fire sheet: flammable fluid before, during and after this rehousing";
    let lead = "Planning figures to discuss with the fire authority. They do not mean that any quantity, vessel \
        or place is allowed.";
    let body = [
        element("h1", "", title),
        paragraph("lead", lead),
        skipped(plan),
        totals(project, plan),
        asked_about(project, plan),
        places(project, plan),
        without_class(project, plan),
        fluids(project, plan),
        cautions_section(),
    ];
    document(title, "fire", "", element("main", "", body.into_iter().collect::<Markup>()))
}

fn skipped(plan: &Plan) -> Markup {
    match plan.skipped_rows.len() {
        0 => Markup::new(),
        n => {
            let lines = counted(n, "line");
            let words = format!(
                "Left out: {lines} of the survey or stock lists that could not be read. What they hold is not counted here."
            );
            paragraph("first", words)
        }
    }
}

/// The total quantities.
fn totals(project: &Project, plan: &Plan) -> Markup {
    let figure = |what: &'static str, amount: Millilitres| {
        element("div", "", element("dt", "", what).with(element("dd", "", format!("{} l", tenths(amount)))))
    };
    let figures = [
        figure("now, as far as stated", sum(plan, |place| place.before)),
        figure("at the peak of the work, at most", FluidByPlace::of(project, plan).peak(|held| held.burns())),
        figure("afterwards", sum(plan, |place| place.after)),
    ];
    let figures = element("dl", "counts", figures.into_iter().collect::<Markup>());
    let not_stated: usize = plan.flammable.iter().map(|place| place.not_stated).sum();
    let words =
        "in flammable or unstated fluid: present volume not stated. Add it to the figures for now and for the peak.";
    let not_stated = match not_stated {
        0 => Markup::new(),
        n => paragraph("first", format!("{} {words}", counted(n, "lot"))),
    };
    figures.with(not_stated).with(outside(project, plan)).with(formaldehyde_stock(plan))
}

/// Flammable fluid for tanks without a price, which is not in the figures above.
fn outside(project: &Project, plan: &Plan) -> Markup {
    let made = plan.make_up.iter().filter(|made| burns(project.rules.fluid(made.fluid)));
    let amount: Millilitres = made.map(|made| made.amount_outside).sum();
    if amount == Millilitres::ZERO {
        return Markup::new();
    }
    let tanks = counted(plan.totals.unpriced_tanks, "lot");
    paragraph(
        "first",
        format!("{tanks} waiting for the price of a tank: {} l more if the tanks are built.", tenths(amount)),
    )
}

/// A note on formaldehyde stock: it is not in the table of fluids, and is flammable if it contains methanol.
fn formaldehyde_stock(plan: &Plan) -> Markup {
    let orders = plan.fluid_orders.iter().filter(|order| order.fluid.starts_with("formaldehyde-"));
    let amount: Millilitres = orders.map(|order| order.needed).sum();
    if amount == Millilitres::ZERO {
        return Markup::new();
    }
    let words = "l of formaldehyde stock: it is flammable if it contains methanol (flash point about 50 °C with 15 % \
        methanol, 85 °C without; makers' data). See its safety data sheet.";
    paragraph("", format!("Not counted here: {} {words}", tenths(amount)))
}

fn sum(plan: &Plan, amount: fn(&Flammable) -> Millilitres) -> Millilitres {
    plan.flammable.iter().map(amount).sum()
}

fn places(project: &Project, plan: &Plan) -> Markup {
    if plan.flammable.is_empty() {
        return paragraph("", "No lot is in flammable fluid or goes into it, and there is none on the shelf.");
    }
    let sorted = plan.flammable.iter().sorted_by_key(|place| (Reverse(place.peak), &place.location)).collect_vec();
    let (listed, others) = sorted.split_at(sorted.len().min(MOST_PLACES));
    let fields = [Burning::PLACE, Burning::NOW, Burning::NOT_STATED, Burning::PEAK, Burning::AFTER].map(in_tenths);
    let listed = listed.iter().map(|place| Burning::at(place, "place not stated"));
    let more = counted(others.len(), "more place");
    let others = (!others.is_empty()).then(|| Burning::together(&more, others));
    let mut table = PaperTable::of("", &fields, listed.chain(others));
    let peak = FluidByPlace::of(project, plan).peak(|held| held.burns());
    let all = Burning { peak, ..Burning::together("all places", &sorted) };
    table.sum(cells(&fields, all).map(PaperCell::Value));
    let preparation = &project.settings.preparation_place;
    let note = format!(
        "Each place is shown at its own peak: what is there now plus everything that may arrive. In the line for all places each \
         litre counts once. Both are upper bounds if the work is done in batches. Fluid is made up, baths stand in tubs and \
         spent fluid waits for collection at: {preparation} ([fire] preparation_place in settings.toml); fluid on the shelf \
         without a stated place counts there. Litres on this sheet are rounded up to the next tenth."
    );
    element("h2", "", "By place, litres").with(table.markup()).with(paragraph("note", note))
}

/// Fluid without a class that counts as flammable until it is tested.
fn without_class(project: &Project, plan: &Plan) -> Markup {
    let kinds = FluidByPlace::of(project, plan).without_class();
    let lines = kinds.iter().flat_map(|(what, places)| places.iter().map(move |place| (*what, place)));
    let lines = lines.sorted_by_key(|(_, place)| Reverse((place.not_stated > 0, place.peak))).collect_vec();
    if lines.is_empty() {
        return Markup::new();
    }
    let columns = [
        Column::text("what"),
        Column::text("place"),
        Column::text("US class"),
        Column::tenths("now"),
        Column::whole("lots not stated"),
        Column::tenths("at the peak, at most"),
    ];
    let mut table = PaperTable::new("", columns);
    let (listed, others) = lines.split_at(lines.len().min(MOST_PLACES));
    for (what, place) in listed {
        let name = if place.location.is_empty() { "place not stated" } else { &place.location };
        let (now, peak) = (place.before.into(), place.peak.into());
        table.row([capital(what).into(), name.into(), "not stated".into(), now, place.not_stated.into(), peak]);
    }
    if !others.is_empty() {
        let sum = |amount: fn(&Flammable) -> Millilitres| {
            others.iter().map(|(_, place)| amount(place)).sum::<Millilitres>().into()
        };
        let not_stated: usize = others.iter().map(|(_, place)| place.not_stated).sum();
        let (now, peak) = (sum(|place| place.before), sum(|place| place.peak));
        let name = counted(others.len(), "more line");
        table.row([name.into(), "".into(), "not stated".into(), now, not_stated.into(), peak]);
    }
    let note = "Counted as flammable until it is tested (R. McPhee and J. Carter, NHCOLL-L list, October 2001, on unknown fluid), and \
        included in the figures above. Its class is not known, so lines for a class do not include it.";
    let heading = element("h2", "", "Counted as flammable, class not stated, litres");
    heading.with(table.markup()).with(paragraph("note", note))
}

/// The words with a capital first letter.
fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// Flammable fluids with their classes and quantities.
fn fluids(project: &Project, plan: &Plan) -> Markup {
    let columns = [
        Column::text("fluid"),
        Column::figures("flash point"),
        Column::figures("hazard category"),
        Column::figures("US class"),
        Column::tenths("on the shelf now"),
        Column::tenths("in vessels"),
        Column::tenths("in baths"),
        Column::tenths("to make up others"),
    ];
    let mut table = PaperTable::new("", columns);
    for fluid in project.rules.fluids.iter().filter(|fluid| burns(fluid)) {
        let classed = HeldContent::Fluid(fluid).class().is_some();
        let made = plan.make_up.iter().find(|made| project.rules.fluid(made.fluid).id == fluid.id);
        let filled = made.map_or(Millilitres::ZERO, |made| made.amount);
        let owned = project.stock.fluids.iter().filter(|owned| project.rules.fluid(owned.fluid).id == fluid.id);
        let owned: Millilitres = owned.map(|owned| owned.amount).sum();
        let baths = made.map_or(Millilitres::ZERO, |made| made.baths);
        let from = plan.make_up.iter().filter_map(|made| made.made_from.as_ref());
        let from = from.filter(|from| from.concentrate == fluid.id).map(|from| from.amount).sum::<Millilitres>();
        if [owned, filled, baths, from].iter().all(|amount| *amount == Millilitres::ZERO) {
            continue;
        }
        let known = |what: Option<String>| PaperCell::from(what.unwrap_or_else(|| "not known".to_owned()));
        let category = |flash| flash::category(flash).map_or("none".to_owned(), |category| category.to_string());
        table.row([
            (&fluid.name).into(),
            known(fluid.flash_c.map(|flash| format!("{} °C", decimal(flash, 0)))),
            known(fluid.flash_c.map(category)),
            known(fluid.flash_c.filter(|_| classed).map(|flash| flash::us_class(flash).to_owned())),
            owned.into(),
            filled.into(),
            baths.into(),
            from.into(),
        ]);
    }
    let table = table.markup();
    if table.is_empty() {
        return table;
    }
    let note = "Hazard category 2 to 4 of the Globally Harmonized System; class of NFPA 30. Flash points are those of the \
        table of fluids, which gives their sources; the safety data sheet of the product decides.";
    element("h2", "", "Flammable fluid by kind, litres").with(table).with(paragraph("note", note))
}

/// Highest room temperature allowed for, °C, as for the headspace of vessels (common practice, no source).
const WARM_ROOM_C: f64 = 35.0;

/// Quantities the fire authority usually asks about, each beside that of the plan.
fn asked_about(project: &Project, plan: &Plan) -> Markup {
    let in_glass = in_glass_above(project, plan, LARGE_GLASS).map(|found| in_glass_in_words(&found, tenths));
    let moved = FluidByPlace::of(project, plan);
    let largest = largest_vessel(project, plan);
    let tray = Millilitres((largest.0 * 11 + 9) / 10);
    let rows = [
        (
            "one glass vessel, class IB",
            "0.95 l",
            in_glass[0].clone(),
            "29 CFR 1910.106, table H-12: 1 US quart (quoted by UC San Diego)",
        ),
        (
            "one glass vessel, class IC",
            "3.8 l",
            in_glass[1].clone(),
            "29 CFR 1910.106, table H-12: 1 US gallon (quoted by UC San Diego)",
        ),
        (
            "a control area, class IB and IC",
            "454 l, to 1817 l with sprinklers and cabinets",
            in_a_control_area(&moved),
            "International Fire Code, table 5003.1.1(1): 120 US gallons (quoted in Indiana's CEB-2022-52)",
        ),
        (
            "a cabinet in a workroom, flash point below room temperature (up to 35 °C)",
            "50 l",
            in_one_place(&moved, true),
            "Health and Safety Executive, Great Britain, L138 (as suppliers summarise it)",
        ),
        (
            "the same, flash point above room temperature, up to 60 °C",
            "250 l",
            in_one_place(&moved, false),
            "Health and Safety Executive, Great Britain, L138 (as suppliers summarise it)",
        ),
        (
            "a tray under the largest vessel, any fluid",
            "110 % of it",
            format!("{} l for {} l", tenths(tray), tenths(largest)),
            "Health and Safety Executive, L138, for cabinets; for tanks common practice",
        ),
    ];
    quantities(rows)
}

/// Litres of class IB and IC at the peak, and those without a class.
fn in_a_control_area(moved: &FluidByPlace) -> String {
    let of_class = tenths(moved.peak(|held| matches!(held.class(), Some("IB" | "IC"))));
    match moved.peak(|held| held.has_no_class()) {
        Millilitres::ZERO => format!("{of_class} l at the peak"),
        more => format!("{of_class} l at the peak, and {} l whose class is not known", tenths(more)),
    }
}

/// Most litres in one place at the peak: of fluid with a flash point below [`WARM_ROOM_C`] (or unknown), or of fluid with a
/// flash point from there up to 60 °C.
fn in_one_place(moved: &FluidByPlace, in_a_warm_room: bool) -> String {
    let counted = |held: HeldContent| {
        let flash = match held {
            HeldContent::Fluid(fluid) => fluid.flash_c,
            HeldContent::Hazard(_) => None,
        };
        let flashes = flash.is_none_or(|flash| flash < WARM_ROOM_C);
        let at_most_60 = flash.is_some_and(|flash| flash <= 60.0);
        held.burns() && if in_a_warm_room { flashes } else { !flashes && at_most_60 }
    };
    let largest = moved.by_place(counted).iter().map(|place| place.peak).max().unwrap_or(Millilitres::ZERO);
    format!("{} l in one place at the peak", tenths(largest))
}

/// One row for each quantity: what it is, its usual limit, the plan's figure, the source.
fn quantities(rows: [(&'static str, &'static str, String, &'static str); 6]) -> Markup {
    let columns = ["what", "about", "this plan", "source"].map(Column::text);
    let mut table = PaperTable::new("", columns);
    for (what, about, ours, source) in rows {
        table.row([what.into(), about.into(), PaperCell::Markup(element("b", "", ours)), source.into()]);
    }
    let note = "Each line counts only fluids of its own class. A fluid without a known flash point counts as class IB; an \
        unidentified fluid has no class. A vessel of a listed material that may be glass counts as glass; a lot counts as one vessel now, where its material and \
        volume are stated. These \
        quantities come from secondary sources: check the rules in force locally. The building, more than any table, usually \
        decides how much a specimen store may hold.";
    let heading = element("h2", "", "Quantities the fire authority usually asks about");
    heading.with(table.markup()).with(paragraph("note", note))
}

fn cautions_section() -> Markup {
    let cautions = [
        caution::of_fluid(FluidCaution::Alcohol),
        caution::at_the_bench(),
        caution::not_handled(),
        caution::who_decides_beside_the_fire_sheet(),
    ];
    element("h2", "", "Cautions").with(list("", cautions.map(Markup::from)))
}
