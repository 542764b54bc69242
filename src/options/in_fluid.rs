//! One vessel filled with one fluid: all that does not depend on the row.

use super::compatible::{Parts, Suitability};
use crate::project::Project;
use crate::rules::FluidId;
use crate::rules::clearance::{self, Fill};
use crate::stock::{Vessel, VesselId};
use crate::units::{Length, Millilitres};

/// A vessel with a fluid in it.
#[derive(Clone, Copy, Debug)]
pub struct InFluid<'a> {
    /// Its id.
    pub id: VesselId,
    /// The vessel itself.
    pub vessel: &'a Vessel,
    /// How far it is filled.
    pub fill: Fill,
    /// The filled volume in whole millilitres.
    pub filled: Millilitres,
    /// Suitability of its material and closure for the fluid.
    pub suitability: Suitability,
    /// Free space at each wall, where the row has none of its own.
    pub wall: Length,
    /// Fluid above the highest point.
    pub cover: Length,
    /// A piece is free, or may be ordered.
    pub available: bool,
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
            available: project.stock.is_to_be_had(id),
        }
    }
}

/// How far a vessel is filled with a fluid, under the settings in force.
pub fn fill(project: &Project, fluid: FluidId, vessel: &Vessel) -> Fill {
    let rules = &project.rules;
    let (fluid, closure) = (rules.fluid(fluid), rules.closure(vessel.closure));
    clearance::fill(&project.settings, fluid, closure, vessel.inner_height, vessel.brimful)
}
