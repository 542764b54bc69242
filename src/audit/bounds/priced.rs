//! The options of a lot that have a known price, as amounts that numbers weigh.

use super::Bounds;
use crate::collection::Specimen;
use crate::options::table::Judged;
use crate::options::{Filling, Treatment};
use crate::project::Project;
use crate::stock::VesselId;
use crate::units::{Millilitres, Money};

/// Vessel and pieces of one option.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct LotPlace {
    /// [`Bounds::tank`] stands for a tank.
    pub(super) vessel: VesselId,
    pub(super) pieces: u32,
}

/// The options of a lot that have a known price: by vessel, then a tank.
///
/// The amounts of an option are its money without owned fluid, its fluid in millilitres, and the millilitres that it needs of each
/// owned fluid that the lot can need.
#[derive(Clone, Debug)]
pub(super) struct PricedChoice {
    /// The owned fluids among the amounts, by position in `OwnedFluids`, rising.
    pub(super) owned: Vec<usize>,
    pub(super) options: Vec<LotPlace>,
    amounts: Vec<i64>,
}

impl PricedChoice {
    pub(super) fn of(project: &Project, bounds: &Bounds, specimen: &Specimen, judged: &Judged) -> Self {
        Options::new(project, bounds, specimen, judged).listed()
    }

    /// With amounts for every owned fluid, so that lots that need different ones can be compared.
    pub(super) fn with_all_owned(project: &Project, bounds: &Bounds, specimen: &Specimen, judged: &Judged) -> Self {
        let owned = (0..bounds.owned.len()).collect();
        Options { owned, ..Options::new(project, bounds, specimen, judged) }.listed()
    }

    /// The amounts of one option.
    pub(super) fn amounts(&self, option: usize) -> &[i64] {
        let stride = 2 + self.owned.len();
        &self.amounts[option * stride..(option + 1) * stride]
    }
}

/// What is needed to list the options of a lot.
pub(super) struct Options<'a> {
    bounds: &'a Bounds<'a>,
    project: &'a Project,
    specimen: &'a Specimen,
    judged: &'a Judged,
    treatment: Treatment<'a>,
    owned: Vec<usize>,
}

impl<'a> Options<'a> {
    pub(super) fn new(
        project: &'a Project,
        bounds: &'a Bounds<'a>,
        specimen: &'a Specimen,
        judged: &'a Judged,
    ) -> Self {
        let treatment = Treatment::of(project, specimen);
        let fluids = std::iter::once(&specimen.fluid).chain(treatment.baths());
        let mut owned: Vec<usize> = fluids.filter_map(|fluid| bounds.owned.position(*fluid)).collect();
        owned.sort_unstable();
        owned.dedup();
        Options { bounds, project, specimen, judged, treatment, owned }
    }

    /// Appends the amounts of an option of `charges` fillings of `one` each; `cost` is that of a tank, 0 for a vessel.
    fn push(&self, charges: u32, one: Millilitres, cost: Money, amounts: &mut Vec<i64>) {
        let filling = Filling::of(self.project, self.specimen, &self.treatment, charges, one);
        let first = amounts.len();
        amounts.push(cost.parts());
        amounts.push(filling.filled().0);
        amounts.resize(first + 2 + self.owned.len(), 0);
        for (fluid, amount) in filling.needed(self.specimen.fluid) {
            match self.bounds.owned.position(fluid) {
                Some(position) => {
                    let at = self.owned.partition_point(|owned| *owned < position);
                    amounts[first + 2 + at] = amounts[first + 2 + at].saturating_add(amount.0);
                }
                None => {
                    let money = self.bounds.price(fluid).per_litre(amount).parts();
                    amounts[first] = amounts[first].saturating_add(money);
                }
            }
        }
    }

    /// Appends the amounts of the tank if it has a price, and says whether it has.
    fn tank(&self, amounts: &mut Vec<i64>) -> bool {
        let tank = self.judged.tank.as_ref().ok().and_then(|tank| Some((tank, tank.cost?)));
        if let Some((tank, cost)) = tank {
            self.push(tank.charges, tank.fluid, cost, amounts);
        }
        tank.is_some()
    }

    /// The amounts of the first option.
    pub(super) fn of_first(&self) -> Vec<i64> {
        let mut amounts = Vec::with_capacity(2 + self.owned.len());
        match self.judged.fits.first() {
            Some((_, fit)) => self.push(fit.charges, self.judged.fluid(fit), Money::ZERO, &mut amounts),
            None => drop(self.tank(&mut amounts)),
        }
        amounts
    }

    fn listed(self) -> PricedChoice {
        let mut amounts = Vec::with_capacity((self.judged.fits.len() + 1) * (2 + self.owned.len()));
        let mut options = Vec::with_capacity(self.judged.fits.len() + 1);
        for (vessel, fit) in self.judged.fits.iter() {
            options.push(LotPlace { vessel: *vessel, pieces: fit.pieces });
            self.push(fit.charges, self.judged.fluid(fit), Money::ZERO, &mut amounts);
        }
        if self.tank(&mut amounts) {
            options.push(LotPlace { vessel: self.bounds.tank(), pieces: 1 });
        }
        PricedChoice { owned: self.owned, options, amounts }
    }
}
