//! The fluid one row takes: fillings of its vessel, baths on the way, what it keeps of its own, and what that costs.

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
    /// How often its vessels are filled, at least 1.
    pub charges: u32,
    /// One filling of all of them.
    pub one: Millilitres,
    /// Of the first filling, what the row brings with it.
    pub reused: Millilitres,
    /// Baths in order, and the fluid of each.
    pub baths: Vec<(FluidId, Millilitres)>,
}

impl Filling {
    /// What a row takes that is filled so often with so much.
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

    /// All fillings: what stands in the vessels, once for each.
    pub fn filled(&self) -> Millilitres {
        self.one * i64::from(self.charges)
    }

    /// What is to be had of each fluid: the row's own, then its baths, a fluid more than once where it is so.
    pub fn needed(&self, own: FluidId) -> impl Iterator<Item = (FluidId, Millilitres)> + '_ {
        std::iter::once((own, self.filled() - self.reused)).chain(self.baths.iter().copied())
    }

    /// What all of it costs, with what is lost and the tax.
    pub fn money(&self, project: &Project, own: FluidId) -> Money {
        self.money_at(own, |fluid| project.fluid_price(fluid))
    }

    /// What all of it costs at these prices a litre.
    pub fn money_at(&self, own: FluidId, price: impl Fn(FluidId) -> Money) -> Money {
        self.needed(own).map(|(fluid, amount)| price(fluid).per_litre(amount)).sum()
    }
}

/// Fluid of one bath: so many times the tissue in a tub, a filling in the vessel. Nothing where the tissue is not known.
fn bath(project: &Project, specimen: &Specimen, one: Millilitres) -> Millilitres {
    match project.settings.baths_in {
        BathsIn::Vessel => one,
        BathsIn::Tub => {
            let tissue = tissue(&project.settings, specimen).high;
            tissue.map_or(Millilitres::ZERO, |tissue| Millilitres::nearest(tissue * project.settings.tub_ratio.0))
        }
    }
}
