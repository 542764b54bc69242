//! What the person who reads a plan should know: cautions where they apply, doubts, and prices still at their defaults.
//!
//! Short, and deferring to the safety data sheet, local code and licensed practice. Nothing here says that anything is
//! safe.

use std::collections::BTreeSet;

use itertools::Itertools;

use super::{Outcome, Plan};
use crate::collection::{Outline, Size, Specimen};
use crate::decision::Aim;
use crate::fluid::cautions;
use crate::fluid::parts::{Beware, RECIPES};
use crate::options::tank::TankPriceBasis;
use crate::options::treatment::{Route, route, strength_not_known};
use crate::project::Project;
use crate::rules::{Family, Fluid, FluidId, HazardId};
use crate::settings::Settings;
use crate::stock::{Vessel, VesselId};
use crate::tank::cost;
use crate::units::{Money, decimal};
use crate::words;

/// The cautions that apply to a plan.
pub fn cautions(project: &Project, plan: &Plan) -> Vec<String> {
    let specimens = &project.collection.specimens;
    let fluids: BTreeSet<FluidId> =
        specimens.iter().flat_map(|s| std::iter::once(s.fluid).chain(s.current_fluid)).collect();
    let is_used = |wanted: &dyn Fn(&Fluid) -> bool| fluids.iter().any(|id| wanted(project.rules.fluid(*id)));
    let in_use = |wanted: Family| is_used(&|fluid| fluid.is_of(wanted));
    let named: BTreeSet<HazardId> =
        specimens.iter().flat_map(|s| s.particulars.known_hazards.iter().copied()).collect();
    let hazards = project.rules.hazards.all().map(|(id, hazard)| (named.contains(&id), hazard.words.as_str()));
    let tanks = !plan.tanks.is_empty();
    let of_fluids = [
        (in_use(Family::Formaldehyde), cautions::FORMALDEHYDE),
        (in_use(Family::Formaldehyde), cautions::FORMALDEHYDE_NEVER_WITH),
        (in_use(Family::Alcohol), cautions::ALCOHOL),
        (in_use(Family::Alcohol), cautions::POURING_ALCOHOL),
        (is_used(&|fluid| fluid.is_of(Family::Glycerol) && !is_propylene_glycol(fluid)), cautions::GLYCEROL),
        (is_used(&is_propylene_glycol), cautions::PROPYLENE_GLYCOL),
        // A fixative that attacks plastics as an oil does is none.
        (is_used(&|fluid| fluid.family == Family::Oil), cautions::OIL),
        (
            in_use(Family::Unknown),
            "Unknown fluid: until it is tested, treat it as flammable and as holding formaldehyde; mix it with \
             nothing.",
        ),
    ];
    let of_the_work = [
        (
            tanks,
            "Tanks: planning figures only. Annealed glass under permanent load and sealant in these fluids have no \
             published long-term design value; a competent fabricator and local rules decide. Stand each in a tray that holds \
             110 % of its fluid; know the weight before you lift.",
        ),
        (
            plan.totals.placed > 0,
            "Glass breaks: lift vessels from below, never by the lid; two people where they are heavy.",
        ),
        (true, "The safety data sheet of each fluid, local code and licensed practice decide; this plan does not."),
    ];
    let of_parts = fluids.iter().flat_map(|id| parts_to_beware_of(project.rules.fluid(*id))).map(|text| (true, text));
    let said = of_fluids.into_iter().chain(of_parts).chain(hazards).chain(of_the_work);
    said.filter(|(applies, _)| *applies).map(|(_, text)| text.to_owned()).unique().collect()
}

/// Propylene glycol, in any strength: by its rules a glycerol, by its cautions not.
fn is_propylene_glycol(fluid: &Fluid) -> bool {
    fluid.id.starts_with("propylene-glycol")
}

/// What is said of the parts of a fluid of several, but for those that its families tell.
fn parts_to_beware_of(fluid: &Fluid) -> impl Iterator<Item = &'static str> {
    let told = [Beware::Formaldehyde, Beware::Alcohol, Beware::Glycerol, Beware::PropyleneGlycol];
    let recipe = RECIPES.iter().find(|recipe| recipe.id == fluid.id);
    let parts = recipe.into_iter().flat_map(|recipe| recipe.beware).filter(move |part| !told.contains(part));
    parts.flat_map(|part| cautions::of(*part)).copied()
}

/// Doubts, most important first.
pub fn warnings(project: &Project, plan: &Plan) -> Vec<String> {
    let doubts = Doubts::of(project, plan);
    let mut warnings = tanks_without_price(project, plan);
    warnings.extend(of_pairs(&doubts));
    warnings.extend(sharing(plan));
    warnings.extend(over_budget(project, plan));
    warnings.extend(of_present_fluid(&doubts));
    warnings.extend(of_fit(project, &doubts));
    warnings.extend(of_the_survey(project, &doubts));
    warnings
}

/// Tanks to ask a price for, and what waits with them.
fn tanks_without_price(project: &Project, plan: &Plan) -> Vec<String> {
    let mut warnings = Vec::new();
    let unpriced: Vec<&super::Tank> = plan.tanks.iter().filter(|tank| tank.cost.is_none()).collect();
    if !unpriced.is_empty() {
        let litres: crate::units::Millilitres = plan.make_up.iter().map(|made| made.amount_outside).sum();
        // From whole millilitres, which a saved plan does not round.
        let price = |made: &super::MakeUp| project.fluid_price(made.fluid).per_litre(made.amount_outside);
        let cost: Money = plan.make_up.iter().map(price).sum();
        warnings.push(format!(
            "{}: ask for a price. Not in the cost, budget or litres ({} l of fluid for all fillings and baths, {} for it)",
            counted(unpriced.len(), "tank of unknown price", "tanks of unknown price"),
            litres.litres(),
            cost.on_screen()
        ));
    }
    warnings
}

/// Fluids with vessels about which too little is known.
fn of_pairs(doubts: &Doubts) -> Vec<String> {
    let mut warnings = Vec::new();
    if doubts.unproven > 0 {
        warnings.push(format!(
            "{} an unproven combination of fluid and vessel: review",
            counted(doubts.unproven, "lot relies on", "lots rely on")
        ));
    }
    if doubts.doubtful > 0 {
        warnings.push(format!(
            "{} a doubtful combination of fluid and vessel: review, notes in rules/compatibility.csv",
            counted(doubts.doubtful, "lot relies on", "lots rely on")
        ));
    }
    warnings
}

/// What is to be paid beyond the budget.
fn over_budget(project: &Project, plan: &Plan) -> Vec<String> {
    let mut warnings = Vec::new();
    let pays = plan.totals.to_pay;
    if let Some(budget) = project.settings.budget.filter(|budget| pays > *budget) {
        warnings.push(format!(
            "the amount to pay, with disposal and whole containers, is {} more than the budget",
            (pays - budget).on_screen()
        ));
    }
    warnings
}

/// What rows are in now, and the way from it.
fn of_present_fluid(doubts: &Doubts) -> Vec<String> {
    let mut warnings = Vec::new();
    if doubts.steps_unknown > 0 {
        warnings.push(format!(
            "{} in another fluid now, and no steps are known from it: decide how, or add them to rules/transfers.csv",
            counted(doubts.steps_unknown, "lot is", "lots are")
        ));
    }
    if doubts.strength_not_known > 0 {
        warnings.push(format!(
            "{} of no known strength: measure it first",
            counted(doubts.strength_not_known, "placed lot is in a fluid", "placed lots are in a fluid")
        ));
    }
    if doubts.not_stated > 0 {
        warnings.push(format!(
            "present fluid is not stated for {}: assumed to be the fluid it will be kept in, at full strength",
            counted(doubts.not_stated, "placed lot", "placed lots")
        ));
    }
    if doubts.bathed > 0 {
        warnings.push(format!(
            "{} through baths first, for up to {} days: steps and sources in rules/transfers.csv",
            counted(doubts.bathed, "lot goes", "lots go"),
            decimal(doubts.most_days, 1)
        ));
    }
    warnings
}

/// How bodies are in their vessels.
fn of_fit(project: &Project, doubts: &Doubts) -> Vec<String> {
    let mut warnings = Vec::new();
    if doubts.very_loose > 0 {
        let least = decimal(project.settings.very_loose_pct.0, 1);
        warnings.push(format!(
            "{} very loose in the vessel, with less than {least} % tissue: look for smaller vessels",
            counted(doubts.very_loose, "lot stands", "lots stand")
        ));
    }
    if doubts.turned_in > 0 {
        warnings.push(format!(
            "{} in end on and {} turned below the neck: try it before vessels are ordered; it must come out the same \
             way",
            counted(doubts.turned_in, "body goes", "bodies go"),
            if doubts.turned_in == 1 { "is" } else { "are" }
        ));
    }
    if doubts.tight_coil > 0 {
        let core = decimal(project.settings.coil_core.0, 1);
        warnings.push(format!(
            "{} coiled with an open core of less than {core} thicknesses: check that the body bends that far; never \
             force it",
            counted(doubts.tight_coil, "lot is", "lots are")
        ));
    }
    if doubts.leaning > 0 {
        warnings.push(format!(
            "{} in the vessel and {} support",
            counted(doubts.leaning, "body leans", "bodies lean"),
            if doubts.leaning == 1 { "needs" } else { "need" }
        ));
    }
    warnings
}

/// What is not measured or not stated, and labels too large.
fn of_the_survey(project: &Project, doubts: &Doubts) -> Vec<String> {
    let mut warnings = Vec::new();
    if doubts.tissue_estimated > 0 {
        warnings.push(format!(
            "the tissue of {} is estimated: neither measured nor weighed",
            counted(doubts.tissue_estimated, "lot", "lots")
        ));
    }
    let in_use = project.stock.vessels.iter().zip(&doubts.in_use).filter(|(_, in_use)| **in_use);
    let unlabelled: Vec<&Vessel> =
        in_use.map(|(vessel, _)| vessel).filter(|vessel| !label_stands_in(&project.settings, vessel)).collect();
    if !unlabelled.is_empty() {
        let names = unlabelled.iter().map(|vessel| vessel.id.as_str()).join(", ");
        let [wide, high] =
            [project.settings.label_width, project.settings.label_height].map(|side| decimal(side.mm(), 1));
        warnings.push(format!("a label of {wide} × {high} mm is too large to stand in: {names}"));
    }
    let assumed = |s: &&Specimen| !s.outline_stated && s.outline == Outline::Box && matches!(s.size, Size::Measured(_));
    let boxes = project.collection.specimens.iter().filter(assumed).count();
    if boxes > 0 {
        warnings.push(format!(
            "{}, as no outline is stated (`rounded` needs less room)",
            counted(boxes, "lot is taken as a box", "lots are taken as boxes")
        ));
    }
    warnings
}

/// What the step after the decision did, where tanks share sizes.
fn sharing(plan: &Plan) -> Option<String> {
    let shared = || plan.tanks.iter().filter(|tank| tank.price_basis == TankPriceBasis::SharedEstimate);
    let sizes =
        shared().map(|tank| [tank.length, tank.width, tank.height].map(|side| side.mm().to_bits())).unique().count();
    let decided = plan.levels.iter().find(|level| level.aim == Aim::Fluid)?.value;
    let more = crate::units::Millilitres(plan.totals.litres.0 - decided);
    (sizes > 0).then(|| {
        format!(
            "{} tanks share {}, a step after the decision: cost {} less, fluid {} l more; the proof covers the plan \
             before that step",
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

/// What there is to be said of rows, counted.
struct Doubts {
    unproven: usize,
    doubtful: usize,
    /// Of rows that are placed: in another fluid, and no steps are known.
    steps_unknown: usize,
    /// Of those: in a fluid of which only the family is known.
    strength_not_known: usize,
    /// Of those: what they are in is not stated.
    not_stated: usize,
    bathed: usize,
    most_days: f64,
    leaning: usize,
    turned_in: usize,
    tight_coil: usize,
    very_loose: usize,
    tissue_estimated: usize,
    /// By vessel.
    in_use: Vec<bool>,
}

impl Doubts {
    fn of(project: &Project, plan: &Plan) -> Self {
        let mut doubts = Doubts {
            unproven: 0,
            doubtful: 0,
            steps_unknown: 0,
            strength_not_known: 0,
            not_stated: 0,
            bathed: 0,
            most_days: 0.0,
            leaning: 0,
            turned_in: 0,
            tight_coil: 0,
            very_loose: 0,
            tissue_estimated: 0,
            in_use: vec![false; project.stock.vessels.len()],
        };
        for placement in &plan.placements {
            if let Some(fit) = &placement.fit {
                doubts.unproven += usize::from(fit.marks.unproven);
                doubts.doubtful += usize::from(fit.marks.doubtful_pair);
                doubts.leaning += usize::from(fit.leaning);
                doubts.turned_in += usize::from(fit.marks.turned_in);
                doubts.tight_coil += usize::from(fit.marks.tight_coil);
                doubts.very_loose += usize::from(fit.marks.very_loose);
                doubts.tissue_estimated += usize::from(fit.marks.tissue_estimated);
            }
            if let Some(VesselId(vessel)) = placement.vessel {
                doubts.in_use[vessel as usize] = true;
            }
        }
        for placement in plan.moved() {
            let specimen = &project.collection.specimens[placement.specimen];
            let route = route(project, specimen);
            doubts.strength_not_known += usize::from(strength_not_known(project, specimen));
            doubts.steps_unknown += usize::from(route == Route::NotKnown);
            doubts.not_stated += usize::from(route == Route::NotStated);
            doubts.bathed += usize::from(!placement.baths.is_empty());
            doubts.most_days = doubts.most_days.max(placement.bath_days);
        }
        doubts
    }
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
        .map(|fluid| format!("{} {} per litre", fluid.id, fluid.price.text()))
        .collect();
    let defaults = cost::defaults_in_use(&project.settings);
    if !defaults.is_empty() && plan.tanks.iter().any(|tank| tank.price_basis.is_estimate()) {
        let parts: Vec<_> = defaults.into_iter().map(words::tank::cost_part).collect();
        prices.push(format!("tank: {}", parts.join(", ")));
    }
    prices
}

/// Rows of one outcome.
pub fn rows_of(plan: &Plan, outcome: Outcome) -> impl Iterator<Item = &super::Placement> {
    plan.placements.iter().filter(move |placement| placement.outcome == outcome)
}
