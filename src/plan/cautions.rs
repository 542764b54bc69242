//! Which safety cautions apply to a plan. Their words: [`crate::words::caution`].

use std::collections::BTreeSet;

use itertools::Itertools;

use super::Plan;
use crate::fluid::cautions::{self, FluidCaution};
use crate::fluid::parts::{Beware, PartsRecipe};
use crate::project::Project;
use crate::rules::{Family, Fluid, FluidId, HazardId};

/// A safety caution for those who carry out the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Caution {
    /// About a fluid, wherever it is handled.
    Fluid(FluidCaution),
    /// About fluid that has not been identified.
    UnknownFluid,
    /// About a hazard that the survey names.
    Hazard(HazardId),
    /// About tanks made to measure.
    Tanks,
    /// About lifting glass.
    Glass,
    /// That others decide, not this plan: the safety data sheet, local code and licensed practice.
    WhoDecides,
}

/// The cautions that apply to a plan, in the order they are printed.
pub fn cautions(project: &Project, plan: &Plan) -> Vec<Caution> {
    let specimens = &project.collection.specimens;
    let fluids: BTreeSet<FluidId> =
        specimens.iter().flat_map(|s| std::iter::once(s.fluid).chain(s.current_fluid)).collect();
    let is_used = |wanted: &dyn Fn(&Fluid) -> bool| fluids.iter().any(|id| wanted(project.rules.fluid(*id)));
    let in_use = |wanted: Family| is_used(&|fluid| fluid.is_of(wanted));
    let of_fluids = [
        (in_use(Family::Formaldehyde), Caution::Fluid(FluidCaution::Formaldehyde)),
        (in_use(Family::Formaldehyde), Caution::Fluid(FluidCaution::FormaldehydeNeverWith)),
        (in_use(Family::Alcohol), Caution::Fluid(FluidCaution::Alcohol)),
        (in_use(Family::Alcohol), Caution::Fluid(FluidCaution::PouringAlcohol)),
        (
            is_used(&|fluid| fluid.is_of(Family::Glycerol) && !is_propylene_glycol(fluid)),
            Caution::Fluid(FluidCaution::Glycerol),
        ),
        (is_used(&is_propylene_glycol), Caution::Fluid(FluidCaution::PropyleneGlycol)),
        // Not `is_of`: a fixative that attacks plastics as an oil does has oil as its second family, but is no oil.
        (is_used(&|fluid| fluid.family == Family::Oil), Caution::Fluid(FluidCaution::Oil)),
        (in_use(Family::Unknown), Caution::UnknownFluid),
    ];
    let of_parts = fluids.iter().flat_map(|id| parts_to_beware_of(project.rules.fluid(*id)));
    let named: BTreeSet<HazardId> =
        specimens.iter().flat_map(|s| s.particulars.known_hazards.iter().copied()).collect();
    let of_the_work = [
        (!plan.tanks.is_empty(), Caution::Tanks),
        (plan.totals.placed > 0, Caution::Glass),
        (true, Caution::WhoDecides),
    ];
    let due = |(applies, caution): (bool, Caution)| applies.then_some(caution);
    let said = of_fluids.into_iter().filter_map(due).chain(of_parts.map(Caution::Fluid));
    said.chain(named.into_iter().map(Caution::Hazard)).chain(of_the_work.into_iter().filter_map(due)).unique().collect()
}

/// Propylene glycol at any strength: it follows the rules of glycerol, but has cautions of its own.
fn is_propylene_glycol(fluid: &Fluid) -> bool {
    fluid.id.starts_with("propylene-glycol")
}

/// Cautions about the parts of a mixed fluid that its families do not imply.
fn parts_to_beware_of(fluid: &Fluid) -> impl Iterator<Item = FluidCaution> {
    let told = [Beware::Formaldehyde, Beware::Alcohol, Beware::Glycerol, Beware::PropyleneGlycol];
    let recipe = PartsRecipe::of(&fluid.id);
    let parts = recipe.into_iter().flat_map(|recipe| recipe.hazards).filter(move |part| !told.contains(part));
    parts.flat_map(|part| cautions::of(*part)).copied()
}
