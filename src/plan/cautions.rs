//! What the person who reads a plan should know: cautions where they apply, doubts, and prices still at their defaults.
//!
//! Short, and deferring to the safety data sheet, local code and licensed practice. Nothing here says that anything is
//! safe.

use itertools::Itertools;

use super::{Outcome, Plan};
use crate::collection::{Outline, Size, Specimen};
use crate::decision::Aim;
use crate::fluid::cautions;
use crate::options::tank;
use crate::options::treatment::{Route, route};
use crate::project::Project;
use crate::rules::Family;
use crate::settings::Settings;
use crate::stock::Vessel;
use crate::tank::cost;
use crate::units::{Money, decimal};

/// The cautions that apply to a plan.
pub fn cautions(project: &Project, plan: &Plan) -> Vec<String> {
    let specimens = &project.collection.specimens;
    let family = |id| project.rules.fluid(id).family;
    let in_use = |wanted: Family| {
        specimens.iter().any(|s| family(s.fluid) == wanted || s.current_fluid.is_some_and(|id| family(id) == wanted))
    };
    let hazard =
        |word: &str| specimens.iter().any(|specimen| specimen.particulars.hazards.iter().any(|hazard| hazard == word));
    let tanks = !plan.tanks.is_empty();
    let said = [
        (in_use(Family::Formaldehyde), cautions::FORMALDEHYDE),
        (in_use(Family::Alcohol), cautions::ALCOHOL),
        (in_use(Family::Oil), "Clearing oils: combustible, toxic if swallowed, dissolve many plastics and sealants."),
        (
            in_use(Family::Unknown),
            "Unknown fluid: treat as flammable and as holding formaldehyde until it is tested; mix it with nothing.",
        ),
        (hazard("picric"), "Picric acid: explosive when dry. Do not open, move or let dry; call a specialist."),
        (hazard("mercury"), "Mercury salts: toxic; keep the old fluid apart and have it taken away as such."),
        (hazard("human"), "Human tissue: law and consent decide who may hold, move and show it."),
        (
            tanks,
            "Tanks: planning figures only. Annealed glass under permanent load and sealant in these fluids have no \
             published long-term design value; a competent fabricator and local rules decide. Tray for 110 % of the fluid; \
             weigh before you lift.",
        ),
        (plan.totals.placed > 0, "Glass breaks: lift from below, never by the lid; two people where it is heavy."),
        (true, "The safety data sheet of each fluid, local code and licensed practice decide; this plan does not."),
    ];
    said.into_iter().filter(|(applies, _)| *applies).map(|(_, text)| text.to_owned()).collect()
}

/// Doubts, most important first.
pub fn warnings(project: &Project, plan: &Plan) -> Vec<String> {
    let specimens = &project.collection.specimens;
    let mut warnings = Vec::new();
    let unpriced: Vec<&super::Tank> = plan.tanks.iter().filter(|tank| tank.cost.is_none()).collect();
    if !unpriced.is_empty() {
        let litres: crate::units::Millilitres = plan.make_up.iter().map(|made| made.amount_outside).sum();
        // From whole millilitres, which a saved plan does not round.
        let price = |made: &super::MakeUp| project.fluid_price(made.fluid).per_litre(made.amount_outside);
        let cost: Money = plan.make_up.iter().map(price).sum();
        warnings.push(format!(
            "{}: ask for a price; outside money, budget and litres ({} l of fluid, {} beside)",
            counted(unpriced.len(), "tank of unknown price", "tanks of unknown price"),
            litres.litres(),
            cost.on_screen()
        ));
    }
    let reviewed = plan.placements.iter().filter(|p| p.fit.is_some_and(|fit| fit.marks.unproven)).count();
    if reviewed > 0 {
        warnings.push(format!(
            "{} an unproven pair of fluid and vessel: review",
            counted(reviewed, "row rests on", "rows rest on")
        ));
    }
    warnings.extend(sharing(plan));
    let pays = plan.totals.to_pay;
    if let Some(budget) = project.settings.budget.filter(|budget| pays > *budget) {
        warnings.push(format!(
            "to pay, with disposal and whole containers, is {} more than the budget",
            (pays - budget).on_screen()
        ));
    }
    let steps_unknown = rows_by(plan, project, Route::NotKnown);
    if steps_unknown > 0 {
        warnings.push(format!(
            "{} another fluid, and no steps are known from it: decide how, or add them to rules/transfers.csv",
            counted(steps_unknown, "row is in", "rows are in")
        ));
    }
    let not_stated = rows_by(plan, project, Route::NotStated);
    if not_stated > 0 {
        warnings.push(format!(
            "{}: taken to be their own fluid, at strength",
            counted(not_stated, "placed row's present fluid is not stated", "placed rows' present fluid is not stated")
        ));
    }
    let bathed = plan.placements.iter().filter(|placement| !placement.baths.is_empty()).count();
    if bathed > 0 {
        let days = plan.placements.iter().map(|placement| placement.bath_days).fold(0.0, f64::max);
        warnings.push(format!(
            "{} through baths first, up to {} days: steps and sources in rules/transfers.csv",
            counted(bathed, "row goes", "rows go"),
            decimal(days, 1)
        ));
    }
    let leaning = plan.placements.iter().filter(|p| p.fit.is_some_and(|fit| fit.leaning)).count();
    if leaning > 0 {
        warnings.push(format!("{} in the vessel and needs support", counted(leaning, "body leans", "bodies lean")));
    }
    let estimated = plan.placements.iter().filter(|p| p.fit.is_some_and(|fit| fit.marks.tissue_estimated)).count();
    if estimated > 0 {
        warnings.push(format!(
            "{}: neither measured nor weighed",
            counted(estimated, "row's tissue is estimated", "rows' tissue is estimated")
        ));
    }
    let placed = plan.placements.iter().filter(|p| p.vessel.is_some());
    let unlabelled: Vec<&Vessel> = placed
        .filter_map(|p| p.vessel)
        .sorted()
        .dedup()
        .map(|id| project.stock.vessel(id))
        .filter(|vessel| !label_stands_in(&project.settings, vessel))
        .collect();
    if !unlabelled.is_empty() {
        let names = unlabelled.iter().map(|vessel| vessel.id.as_str()).join(", ");
        let [wide, high] =
            [project.settings.label_width, project.settings.label_height].map(|side| decimal(side.mm(), 1));
        warnings.push(format!("a label of {wide} × {high} mm cannot stand in: {names}"));
    }
    let assumed = |s: &&Specimen| !s.outline_stated && s.outline == Outline::Box && matches!(s.size, Size::Measured(_));
    let boxes = specimens.iter().filter(assumed).count();
    if boxes > 0 {
        warnings.push(format!(
            "{} taken as boxes: no outline stated (`rounded` needs less room)",
            counted(boxes, "row is", "rows are")
        ));
    }
    warnings
}

/// What the step after the decision did, where tanks share sizes.
fn sharing(plan: &Plan) -> Option<String> {
    let shared = || plan.tanks.iter().filter(|tank| tank.note == tank::SHARED);
    let sizes =
        shared().map(|tank| [tank.length, tank.width, tank.height].map(|side| side.mm().to_bits())).unique().count();
    let decided = plan.levels.iter().find(|level| level.aim == Aim::Fluid)?.value;
    let more = crate::units::Millilitres(plan.totals.litres.0 - decided);
    (sizes > 0).then(|| {
        format!(
            "{} tanks share {}, a step after the decision: {} less money, {} l more fluid; what is proved is said of the \
             plan before it",
            shared().count(),
            counted(sizes, "size", "sizes"),
            plan.totals.saved_by_sharing.on_screen(),
            more.litres()
        )
    })
}

/// Whether a label of the size in the settings stands in a vessel, either way up.
pub fn label_stands_in(settings: &Settings, vessel: &Vessel) -> bool {
    let (a, b) = (settings.label_width, settings.label_height);
    let (wide, high) = (vessel.section.larger(), vessel.inner_height);
    (a.fits(wide) && b.fits(high)) || (b.fits(wide) && a.fits(high))
}

/// Placed rows that come to their fluid so.
fn rows_by(plan: &Plan, project: &Project, wanted: Route) -> usize {
    let specimens = &project.collection.specimens;
    let placed = plan.placements.iter().filter(|placement| placement.fluid.is_some());
    placed.filter(|placement| route(project, &specimens[placement.specimen]) == wanted).count()
}

fn counted(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// The default prices a plan rests on: `ethanol-70 4.00 a litre`.
pub fn prices_not_yours(project: &Project, plan: &Plan) -> Vec<String> {
    let mut prices: Vec<String> = plan
        .make_up
        .iter()
        .map(|made| project.rules.fluid(made.fluid))
        .filter(|fluid| fluid.price_is_default && fluid.price > Money::ZERO)
        .map(|fluid| format!("{} {} a litre", fluid.id, fluid.price.text()))
        .collect();
    let defaults = cost::defaults_in_use(&project.settings);
    if !defaults.is_empty() && plan.tanks.iter().any(|tank| tank.note.starts_with(tank::ESTIMATE)) {
        prices.push(format!("tank: {}", defaults.join(", ")));
    }
    prices
}

/// Rows of one outcome.
pub fn rows_of(plan: &Plan, outcome: Outcome) -> impl Iterator<Item = &super::Placement> {
    plan.placements.iter().filter(move |placement| placement.outcome == outcome)
}
