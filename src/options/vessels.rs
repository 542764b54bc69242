//! The vessels of the stock list in each fluid of the survey, worked out once for all rows.

use super::in_fluid::InFluid;
use super::sieve::Sieve;
use crate::project::Project;
use crate::rules::FluidId;

/// All vessels of the stock list, filled with each of the fluids of the survey.
#[derive(Clone, Debug)]
pub struct Vessels<'a> {
    /// By fluid; `None` for a fluid that is not needed.
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

    /// All vessels filled with this fluid; empty if the fluid is not needed.
    pub(super) fn with(&self, fluid: FluidId) -> &[InFluid<'a>] {
        self.fluids[fluid.0 as usize].as_ref().map_or(&[], |filled| &filled.vessels)
    }

    /// The limits of the vessels filled with this fluid, if the fluid is needed.
    pub(super) fn sieve(&self, fluid: FluidId) -> Option<&Sieve> {
        self.fluids[fluid.0 as usize].as_ref().map(|filled| &filled.sieve)
    }
}
