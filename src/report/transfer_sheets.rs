//! `transfer-sheets.html`: the work at the bench, one sheet for each working day, one line to tick for each lot. Lots are in
//! working order: what can begin first, priority 1 first, then by location and fluid.

use std::collections::BTreeMap;

use itertools::Itertools;

use super::html::page::{Markup, counted, document, element, grouped, list, paragraph, to_fill_in};
use super::natural::natural;
use super::table::html::{PaperCell, PaperTable};
use super::table::{Column, Unit};
use super::work;
use crate::collection::Specimen;
use crate::options::Treatment;
use crate::plan::work::{Stage, minutes, of_row};
use crate::plan::{Outcome, Placement, Plan};
use crate::project::Project;
use crate::rules::{Family, FluidId};
use crate::units::{Millilitres, decimal};
use crate::words::{self, caution};

/// The whole paper.
pub fn transfer_sheets(project: &Project, plan: &Plan) -> Vec<u8> {
    let order = working_order(project, plan);
    let days = work::days(project, &order);
    let mut body = front(project, plan, &days);
    for (i, rows) in days.iter().enumerate() {
        body.push(day(project, plan, rows, i + 1, days.len()));
    }
    document("Transfer sheets", "bench", LANDSCAPE, element("main", "", body))
}

/// Style of the page: landscape, because the lines are long.
const LANDSCAPE: &str = "@page { size: landscape; margin: 10mm 12mm; }";

/// Placements of lots that are moved, sorted by stage; priority 1 before the others; location in natural order (bay 2
/// before bay 10); fluid; priority; key.
pub fn working_order<'a>(project: &Project, plan: &'a Plan) -> Vec<&'a Placement> {
    let specimen = |placement: &Placement| &project.collection.specimens[placement.specimen];
    let mut rows: Vec<&Placement> = plan.moved().collect();
    rows.sort_by_cached_key(|placement| {
        let specimen = specimen(placement);
        let urgent_last = specimen.priority > 1;
        let stage = Stage::of(placement);
        (stage, urgent_last, natural(&specimen.location), specimen.fluid, specimen.priority, &specimen.key)
    });
    rows
}

/// The part before the first day: amount of work, lots not on the sheets, overview of days, cautions.
fn front(project: &Project, plan: &Plan, days: &[&[&Placement]]) -> Markup {
    let rows: usize = days.iter().map(|rows| rows.len()).sum();
    let mut front = element("h1", "", "Transfer sheets");
    if !plan.skipped_rows.is_empty() {
        let words = format!(
            "Left out: {} of the survey or stock lists that could not be read.",
            counted(plan.skipped_rows.len(), "line")
        );
        front.push(paragraph("first", words));
    }
    let words = format!(
        "{} on {}, one for each working day. Tick a line when the specimen is in its vessel, covered with fluid, \
         closed and labelled. Write down anything done differently, and any damage.",
        counted(rows, "lot"),
        counted(days.len(), "sheet")
    );
    front.push(paragraph("lead", words));
    let planned = work::of(project, plan);
    if rows > 0 {
        front.push(paragraph("", format!("Work: {}.", work::in_all(project, plan, &planned))));
        front.push(list("", work::stages(project, &planned).into_iter().map(Markup::from)));
    }
    let totals = &plan.totals;
    let others = [
        (totals.unpriced_tanks, "waiting for the price of a tank"),
        (totals.deferred, "deferred"),
        (totals.needs_decision, "to be decided"),
        (totals.held, "held, not to be moved"),
    ];
    let others = others.iter().filter(|(n, _)| *n > 0).map(|(n, what)| format!("{n} {what}")).join(", ");
    if !others.is_empty() {
        front.push(paragraph("", format!("Not on these sheets: {others}.")));
    }
    if rows == 0 {
        front.push(paragraph("", "This plan moves no lots."));
    }
    front.push(overview(project, days));
    front.with(element(
        "div",
        "columns",
        list("cautions", caution::sentences(&project.rules, plan).into_iter().map(Markup::from)),
    ))
}

/// The table of days: when each can begin, and how much work it is.
fn overview(project: &Project, days: &[&[&Placement]]) -> Markup {
    let columns = [
        Column::text("day"),
        Column::text("can begin"),
        Column::text("places"),
        Column::whole("lots"),
        Column::decimal("hours", 1, Unit::None),
        Column::count("vessels"),
        Column::count("of which ordered"),
        Column::whole("tanks"),
        Column::fixed("fluid, l", 1, Unit::Litres),
        Column::decimal("longest in baths, days", 1, Unit::Days),
        Column::text("done"),
    ];
    let mut table = PaperTable::new("", columns);
    for (i, rows) in days.iter().enumerate() {
        let pieces = |row: &Placement| row.fit.filter(|_| row.vessel.is_some()).map_or(0, |fit| i64::from(fit.pieces));
        let vessels: i64 = rows.iter().map(|row| pieces(row)).sum();
        let ordered: i64 = rows.iter().map(|row| pieces(row) - i64::from(row.pieces_on_hand)).sum();
        let tanks = rows.iter().filter(|row| row.vessel.is_none()).count();
        let fluid: Millilitres = fluids(project, rows).into_values().sum();
        let days = rows.iter().map(|row| row.bath_days).fold(0.0, f64::max);
        table.row([
            (i + 1).into(),
            begins(rows).into(),
            places(project, rows).into(),
            rows.len().into(),
            hours(project, rows).into(),
            vessels.into(),
            ordered.into(),
            tanks.into(),
            (fluid.0 as f64 / 1000.0).into(),
            days.into(),
            PaperCell::Markup(tick()),
        ]);
    }
    table.markup()
}

/// When a day's work can begin, in words.
fn begins(rows: &[&Placement]) -> &'static str {
    rows.first().map_or("", |row| Stage::of(row).words())
}

/// Hours of a day's work.
fn hours(project: &Project, rows: &[&Placement]) -> f64 {
    rows.iter().map(|row| minutes(&project.settings, &of_row(row))).sum::<f64>() / 60.0
}

/// The places of a day's rows, from the first to the last.
fn places(project: &Project, rows: &[&Placement]) -> String {
    let places = rows.iter().map(|row| project.collection.specimens[row.specimen].location.as_str()).dedup();
    let places = places.map(|place| if place.is_empty() { "place not stated" } else { place }).collect_vec();
    match places.as_slice() {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first, .., last] => format!("{first} to {last}"),
    }
}

/// One day's batch.
fn day(project: &Project, plan: &Plan, rows: &[&Placement], number: usize, days: usize) -> Markup {
    // All columns are text: words, boxes to tick and room to write.
    let columns = [
        "done, lot",
        "location",
        "from",
        "to",
        "posture",
        "fluid, ml",
        "cautions",
        "baths: date into each",
        "old labels moved",
        "filled on",
        "initials",
    ];
    let mut table = PaperTable::new("", columns.map(Column::text));
    for placement in rows {
        table.row(line(project, plan, placement).map(PaperCell::Markup));
    }
    let heading = format!("Day {number} of {days}, {}: {}", begins(rows), places(project, rows));
    let heading = element("h2", "", heading);
    let day = heading.with(to_fill_in(&["Date", "By", "Checked by"])).with(ready(project, rows));
    element("section", "day", day.with(table.markup()))
}

/// Amount of each fluid for a day's lots, baths included, without the fluid that lots keep.
fn fluids(project: &Project, rows: &[&Placement]) -> BTreeMap<FluidId, Millilitres> {
    let mut fluids: BTreeMap<FluidId, Millilitres> = BTreeMap::new();
    for row in rows {
        let own = row.fluid.unwrap_or(Millilitres::ZERO) * i64::from(row.charges) - row.reused;
        *fluids.entry(project.collection.specimens[row.specimen].fluid).or_default() += own;
        for (bath, amount) in &row.baths {
            *fluids.entry(*bath).or_default() += *amount;
        }
    }
    fluids
}

/// Vessels and fluid to have ready.
fn ready(project: &Project, rows: &[&Placement]) -> Markup {
    let mut vessels: BTreeMap<&str, u32> = BTreeMap::new();
    for row in rows {
        let name = row.vessel.map_or("tank", |id| &project.stock.vessel(id).id);
        *vessels.entry(name).or_default() += row.fit.map_or(1, |fit| fit.pieces);
    }
    let vessels = vessels.iter().map(|(name, pieces)| format!("{pieces} × {name}")).join(", ");
    let litre = |(fluid, amount): (&FluidId, &Millilitres)| {
        format!("{} {} l", project.rules.fluid(*fluid).id, decimal(amount.0 as f64 / 1000.0, 2))
    };
    let fluids = fluids(project, rows);
    let fluids = fluids.iter().filter(|(_, amount)| **amount > Millilitres::ZERO).map(litre).join(", ");
    let part = |what: &'static str, words: String| paragraph("ready", element("b", "", what).with(words));
    part("Vessels ready: ", vessels).with(part("Fluid ready (without losses): ", fluids))
}

fn line(project: &Project, plan: &Plan, placement: &Placement) -> [Markup; 11] {
    let specimen = &project.collection.specimens[placement.specimen];
    let individuals = if specimen.individuals > 1 { format!(" ({})", specimen.individuals) } else { String::new() };
    // No line break between the box and the key.
    let key = element("span", "together", tick().with(" ").with(element("b", "", specimen.key.to_string())));
    let name = key.with(Markup::fixed("<br/>")).with(format!("{}{individuals}", specimen.name));
    let place = if specimen.location.is_empty() { "not stated" } else { &specimen.location };
    let fit = placement.fit;
    let posture = match (fit, plan.tank_of(placement.specimen)) {
        (Some(fit), _) => {
            let lean = if fit.leaning { ", leaning: support it" } else { "" };
            format!("{}{lean}", fit.stance.map_or("as now", |stance| stance.name()))
        }
        (None, Some(tank)) => tank.stance.name().to_owned(),
        (None, None) => String::new(),
    };
    [
        name,
        Markup::from(place).with(Markup::fixed("<br/>")).with(format!("priority {}", specimen.priority)),
        from(project, specimen),
        to(project, plan, placement),
        posture.into(),
        fluid(project, specimen, placement),
        cautions(project, specimen, placement),
        baths(project, specimen, placement),
        tick(),
        Markup::fixed("<span class=\"write\"></span>"),
        Markup::fixed("<span class=\"write\"></span>"),
    ]
}

fn tick() -> Markup {
    Markup::fixed("<span class=\"tick\" role=\"img\" aria-label=\"to tick\"></span>")
}

/// The present vessel and fluid, as far as the survey states them.
fn from(project: &Project, specimen: &Specimen) -> Markup {
    let fluid = specimen.current_fluid.map(|fluid| {
        let strength = specimen
            .particulars
            .current_strength_pct
            .map_or(String::new(), |pct| format!(" at {}\u{a0}%", decimal(pct, 1)));
        format!("{}{strength}", project.rules.fluid(fluid).id)
    });
    let fluid = fluid.unwrap_or_else(|| "fluid not stated".to_owned());
    let parts = [
        &specimen.particulars.current_vessel,
        &specimen.particulars.current_material,
        &specimen.particulars.current_closure,
    ];
    let vessel = parts.into_iter().filter(|part| !part.is_empty()).join(", ");
    let vessel = if vessel.is_empty() { "vessel not stated".to_owned() } else { vessel };
    format!("{vessel}; {fluid}").into()
}

/// The new vessel or tank; jar by jar if the lot is divided.
fn to(project: &Project, plan: &Plan, placement: &Placement) -> Markup {
    let Some(vessel) = placement.vessel else {
        let tank = plan.tank_of(placement.specimen);
        let size = tank.map_or(String::new(), |tank| {
            [tank.length, tank.width, tank.height].map(super::html::page::mm).join(" × ")
        });
        return element("b", "", "tank").with(format!(" {size} mm clear, to be built"));
    };
    let name = element("b", "", &project.stock.vessel(vessel).id);
    let pieces = placement.fit.map_or(1, |fit| fit.pieces);
    let wait = if placement.outcome == Outcome::Order { " (ordered)" } else { "" };
    let mut to = name.with(wait);
    if pieces > 1 {
        for jar in 1..=pieces {
            to.push(element("span", "jar", tick().with(format!("jar {jar} of {pieces}"))));
        }
    }
    to
}

fn fluid(project: &Project, specimen: &Specimen, placement: &Placement) -> Markup {
    let id = |fluid: FluidId| &project.rules.fluid(fluid).id;
    let one = placement.fluid.map_or(String::new(), |fluid| grouped(fluid.0));
    let mut text = element("b", "", one).with(format!(" {}", id(specimen.fluid)));
    // Each vessel of a divided lot gets about an equal share.
    let jars = placement.fit.map_or(1, |fit| i64::from(fit.pieces));
    if let (true, Some(Millilitres(all))) = (jars > 1, placement.fluid) {
        text.push(format!(", about {} in each", grouped((all + jars / 2) / jars)));
    }
    if placement.charges > 1 {
        text.push(format!(", filled {} times", placement.charges));
    }
    if placement.reused > Millilitres::ZERO {
        text.push(format!(", of which {} its own", placement.reused.0));
    }
    if !placement.baths.is_empty() {
        let days = if placement.bath_days == 1.0 { "day" } else { "days" };
        text.push(format!(", after {} {days} in baths", decimal(placement.bath_days, 1)));
    }
    text
}

/// Each bath: a box to tick, fluid, amount, days, and room to write the date.
fn baths(project: &Project, specimen: &Specimen, placement: &Placement) -> Markup {
    let days_of_baths = Treatment::of(project, specimen).days_of_baths();
    let bath = |((fluid, amount), days): (&(FluidId, Millilitres), f64)| {
        let days = decimal(days, 1);
        let unit = if days == "1" { "day" } else { "days" };
        let words = format!(" {} {} ml, {days} {unit} ", project.rules.fluid(*fluid).id, grouped(amount.0));
        element("span", "bath", tick().with(words).with(Markup::fixed("<span class=\"write\"></span>")))
    };
    placement.baths.iter().zip(days_of_baths).map(bath).collect()
}

/// Hazards of the lot, then cautions on its fluids, its type status, tank and review.
fn cautions(project: &Project, specimen: &Specimen, placement: &Placement) -> Markup {
    let mut words: Vec<String> = specimen.particulars.hazards.iter().map(|hazard| hazard.to_uppercase()).collect();
    let present = specimen.current_fluid.unwrap_or(specimen.fluid);
    let fluids = [present, specimen.fluid].into_iter().chain(placement.baths.iter().map(|(bath, _)| *bath));
    for fluid in fluids {
        let word = match project.rules.fluid(fluid).family {
            Family::Formaldehyde => "formaldehyde: extraction, gloves, eyes",
            Family::Alcohol => "flammable vapour",
            Family::Oil => "clearing oil: toxic if swallowed",
            Family::Unknown => "present fluid unknown: test it first",
            Family::Glycerol | Family::Aqueous => continue,
        };
        if !words.iter().any(|said| said == word) {
            words.push(word.to_owned());
        }
    }
    if specimen.current_fluid.is_none() {
        words.push("present fluid not stated: check it".to_owned());
    }
    if !specimen.particulars.type_status.is_empty() {
        words.push(specimen.particulars.type_status.clone());
    }
    if placement.vessel.is_none() {
        words.push("tank: know the weight before you lift; tray under it".to_owned());
    }
    if placement.marks.any() {
        words.push(format!("review: {}", words::review(placement.marks)));
    }
    words.join("; ").into()
}
