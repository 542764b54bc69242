//! The fluid that one row takes: fillings of its vessels, baths, present fluid that is kept, and the cost.

use super::tissue::tissue;
use super::treatment::Treatment;
use crate::collection::Specimen;
use crate::project::Project;
use crate::rules::FluidId;
use crate::settings::BathsIn;
use crate::units::{Millilitres, Money};

/// The fluid one row takes.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Filling {
    /// Number of fillings of its vessels, at least 1.
    pub charges: u32,
    /// One filling of all of them.
    pub one: Millilitres,
    /// Present fluid that is kept as part of the first filling.
    pub reused: Millilitres,
    /// Baths in order, and the fluid of each.
    pub baths: Vec<(FluidId, Millilitres)>,
}

impl Filling {
    /// The fluid of a row whose vessels are filled `charges` times with `one`.
    pub fn of(project: &Project, specimen: &Specimen, treatment: &Treatment, charges: u32, one: Millilitres) -> Self {
        let baths = treatment.baths();
        let bath = if baths.is_empty() { Millilitres::ZERO } else { bath(project, specimen, one) };
        Filling {
            charges,
            one,
            reused: treatment.reused(&project.settings, specimen, charges, one),
            baths: baths.iter().map(|&fluid| (fluid, bath)).collect(),
        }
    }

    /// Fluid of all fillings together.
    pub fn filled(&self) -> Millilitres {
        self.one * i64::from(self.charges)
    }

    /// The volume needed of each fluid: the row's own, then its baths; a fluid may occur more than once.
    pub fn needed(&self, own: FluidId) -> impl Iterator<Item = (FluidId, Millilitres)> + '_ {
        std::iter::once((own, self.filled() - self.reused)).chain(self.baths.iter().copied())
    }

    /// The cost of all of it, with losses and tax.
    pub fn money(&self, project: &Project, own: FluidId) -> Money {
        self.money_at(own, |fluid| project.fluid_price(fluid))
    }

    /// The cost of all of it at these prices per litre.
    pub fn money_at(&self, own: FluidId, price: impl Fn(FluidId) -> Money) -> Money {
        self.needed(own).map(|(fluid, amount)| price(fluid).per_litre(amount)).sum()
    }
}

/// Fluid of one bath: a multiple of the tissue volume in a tub, or one filling of the vessel. Zero where the tissue is not known.
fn bath(project: &Project, specimen: &Specimen, one: Millilitres) -> Millilitres {
    match project.settings.baths_in {
        BathsIn::Vessel => one,
        BathsIn::Tub => {
            let tissue = tissue(&project.settings, specimen).high;
            tissue.map_or(Millilitres::ZERO, |tissue| Millilitres::nearest(tissue * project.settings.tub_ratio.0))
        }
    }
}
