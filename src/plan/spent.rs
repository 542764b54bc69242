//! Fluid to be disposed of: present fluid, baths, and all fillings but the last.

use std::collections::BTreeMap;

use super::{Placement, Spent};
use crate::project::Project;
use crate::rules::{Family, FluidId};
use crate::units::{Millilitres, Money};

/// Spent fluid by family, and the number of placed rows whose present volume is not stated. Rows in `outside` wait for the price
/// of their tank and are not counted.
///
/// Water that has rinsed out another fluid is disposed of as that fluid.
pub fn spent(project: &Project, placements: &[Placement], outside: &[usize]) -> (Vec<Spent>, usize) {
    let mut by_family: BTreeMap<Family, Millilitres> = BTreeMap::new();
    let mut not_stated = 0;
    for placement in placements.iter().filter(|placement| outside.binary_search(&placement.specimen).is_err()) {
        let Some(filling) = placement.fluid else { continue };
        let specimen = &project.collection.specimens[placement.specimen];
        let family = |fluid: FluidId| project.rules.fluid(fluid).family;
        let present = family(specimen.current_fluid.unwrap_or(specimen.fluid));
        match specimen.current_fluid() {
            Some(present_ml) => *by_family.entry(present).or_default() += present_ml - placement.reused,
            None => not_stated += 1,
        }
        let mut kind = present;
        for &(bath, amount) in &placement.baths {
            if family(bath) != Family::Aqueous {
                kind = family(bath);
            }
            *by_family.entry(kind).or_default() += amount;
        }
        let own = filling * i64::from(placement.charges.saturating_sub(1));
        *by_family.entry(family(specimen.fluid)).or_default() += own;
    }
    let spent = by_family.into_iter().filter(|(_, amount)| *amount > Millilitres::ZERO).map(|(family, amount)| {
        let price = project.settings.disposal_price.get(family.name()).copied().unwrap_or(Money::ZERO);
        Spent { family, amount, cost: price.per_litre(amount) }
    });
    (spent.collect(), not_stated)
}
