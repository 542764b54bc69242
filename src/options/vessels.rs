//! The vessels of the stock list as each fluid finds them: what no row changes, worked out once for all rows.

use super::compatible::{Parts, Suitability};
use super::sieve::Sieve;
use crate::project::Project;
use crate::rules::FluidId;
use crate::rules::clearance::{self, Fill};
use crate::stock::{Vessel, VesselId};
use crate::units::{Length, Millilitres};

/// A vessel with a fluid in it.
#[derive(Clone, Copy, Debug)]
pub struct InFluid<'a> {
    /// Which.
    pub id: VesselId,
    /// The vessel itself.
    pub vessel: &'a Vessel,
    /// How far it is filled.
    pub fill: Fill,
    /// The same in whole millilitres.
    pub filled: Millilitres,
    /// How material and closure get on with the fluid.
    pub suitability: Suitability,
    /// Free space at each wall, where the row has none of its own.
    pub wall: Length,
    /// Fluid above the highest point.
    pub cover: Length,
    /// A piece is free, or may be ordered.
    pub to_be_had: bool,
}

impl<'a> InFluid<'a> {
    /// One vessel with one fluid in it.
    pub fn of(project: &'a Project, fluid: FluidId, id: VesselId) -> Self {
        let (settings, vessel) = (&project.settings, project.stock.vessel(id));
        let parts = Parts { material: vessel.material, closure: vessel.closure, loose: false };
        let fill = fill(project, fluid, vessel);
        InFluid {
            id,
            vessel,
            fill,
            filled: Millilitres::nearest(fill.volume),
            suitability: Suitability::of(project, fluid, parts),
            wall: clearance::wall(settings, vessel.section.smaller()),
            cover: clearance::cover(settings, vessel.inner_height),
            to_be_had: vessel.free_pieces() > 0 || project.stock.offers_of(id).next().is_some(),
        }
    }
}

/// How far a vessel is filled with a fluid, under the settings in force.
pub fn fill(project: &Project, fluid: FluidId, vessel: &Vessel) -> Fill {
    let rules = &project.rules;
    let (fluid, closure) = (rules.fluid(fluid), rules.closure(vessel.closure));
    clearance::fill(&project.settings, fluid, closure, vessel.inner_height, vessel.brimful)
}

/// All vessels in every fluid that is asked for.
#[derive(Clone, Debug)]
pub struct Vessels<'a> {
    /// By fluid; nothing for one that was not asked for.
    fluids: Vec<Option<Filled<'a>>>,
}

/// All vessels in one fluid, in the order of the stock list.
#[derive(Clone, Debug)]
struct Filled<'a> {
    vessels: Vec<InFluid<'a>>,
    sieve: Sieve,
}

impl<'a> Vessels<'a> {
    /// In the fluids of all rows of the survey.
    pub fn of_survey(project: &'a Project) -> Self {
        Self::in_fluids(project, project.collection.specimens.iter().map(|specimen| specimen.fluid))
    }

    /// In these fluids.
    pub fn in_fluids(project: &'a Project, fluids: impl IntoIterator<Item = FluidId>) -> Self {
        let mut by_fluid: Vec<Option<Filled<'a>>> = project.rules.fluids.iter().map(|_| None).collect();
        for fluid in fluids {
            by_fluid[fluid.0 as usize].get_or_insert_with(|| {
                let vessels: Vec<_> = project.stock.listed().map(|(id, _)| InFluid::of(project, fluid, id)).collect();
                let sieve = Sieve::of(project, &vessels);
                Filled { vessels, sieve }
            });
        }
        Vessels { fluids: by_fluid }
    }

    /// Each with this fluid in it; none if the fluid was not asked for.
    pub(super) fn with(&self, fluid: FluidId) -> &[InFluid<'a>] {
        self.fluids[fluid.0 as usize].as_ref().map_or(&[], |filled| &filled.vessels)
    }

    /// Their limits with this fluid in them, if the fluid was asked for.
    pub(super) fn sieve(&self, fluid: FluidId) -> Option<&Sieve> {
        self.fluids[fluid.0 as usize].as_ref().map(|filled| &filled.sieve)
    }
}
