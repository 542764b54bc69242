//! Flammable fluid by place, before, after and at the peak of the work, and in large vessels of glass: what the authority
//! having jurisdiction asks about first. Quantities to talk about, no statement that anything is allowed.

use std::collections::BTreeMap;

use super::{Flammable, Placement, Plan};
use crate::project::Project;
use crate::rules::{Family, FluidId};
use crate::stock::Vessel;
use crate::units::Millilitres;

/// Flammable fluid by location, in order of their names. Rows that are not placed keep what they have.
pub fn flammable(project: &Project, placements: &[Placement]) -> Vec<Flammable> {
    let burns = |fluid: FluidId| project.rules.fluid(fluid).family == Family::Alcohol;
    let mut places: BTreeMap<&str, Flammable> = BTreeMap::new();
    for placement in placements {
        let specimen = &project.collection.specimens[placement.specimen];
        let present = specimen.current_fluid.unwrap_or(specimen.fluid);
        let now = specimen.current_fluid().filter(|_| burns(present)).unwrap_or(Millilitres::ZERO);
        let filling = placement.fluid.filter(|_| burns(specimen.fluid));
        let comes = filling.map_or(Millilitres::ZERO, |one| one - placement.reused);
        let baths: Millilitres =
            placement.baths.iter().filter(|(bath, _)| burns(*bath)).map(|(_, amount)| *amount).sum();
        let unknown = burns(present) && specimen.current_fluid().is_none();
        if now == Millilitres::ZERO && filling.is_none() && baths == Millilitres::ZERO && !unknown {
            continue;
        }
        let place = places.entry(specimen.location.as_str()).or_insert_with(|| Flammable {
            location: specimen.location.clone(),
            before: Millilitres::ZERO,
            not_stated: 0,
            after: Millilitres::ZERO,
            peak: Millilitres::ZERO,
        });
        place.before += now;
        place.not_stated += usize::from(unknown);
        place.after += if placement.fluid.is_some() { filling.unwrap_or(Millilitres::ZERO) } else { now };
        place.peak += now + comes + baths;
    }
    places.into_values().collect()
}

/// Sizes of glass vessels above which fire codes ask about flammable liquid, in ml: a US quart and a US gallon (29 CFR
/// 1910.106, table H-12: class IB and class IC in glass).
pub const LARGE_GLASS: [Millilitres; 2] = [Millilitres(946), Millilitres(3785)];

/// Of each of some sizes, vessels and litres of flammable fluid in glass vessels that hold more.
pub fn in_glass_above<const N: usize>(
    project: &Project,
    plan: &Plan,
    sizes: [Millilitres; N],
) -> [(u32, Millilitres); N] {
    let mut found = [(0, Millilitres::ZERO); N];
    let of_glass = |vessel: &Vessel| project.rules.material(vessel.material).name.to_lowercase().contains("glass");
    let large_glass: Vec<[bool; N]> = project
        .stock
        .listed()
        .map(|(_, vessel)| sizes.map(|size| Millilitres::nearest(vessel.brimful) > size && of_glass(vessel)))
        .collect();
    for placement in &plan.placements {
        let (Some(id), Some(fit), Some(fluid)) = (placement.vessel, placement.fit, placement.fluid) else { continue };
        let burns = |row: usize| {
            let specimen = &project.collection.specimens[row];
            project.rules.fluid(specimen.fluid).family == Family::Alcohol
        };
        let large = large_glass[id.0 as usize];
        if large.contains(&true) && burns(placement.specimen) {
            for (found, _) in found.iter_mut().zip(large).filter(|(_, large)| *large) {
                found.0 += fit.pieces;
                found.1 += fluid;
            }
        }
    }
    for tank in &plan.tanks {
        let specimen = &project.collection.specimens[tank.specimen];
        let burns = project.rules.fluid(specimen.fluid).family == Family::Alcohol;
        let larger =
            found.iter_mut().zip(sizes).filter(|(_, size)| tank.design.is_some() && burns && tank.fluid > *size);
        for (found, _) in larger {
            found.0 += 1;
            found.1 += tank.fluid;
        }
    }
    found
}

/// The most fluid in one vessel or tank: a tray holds 110 % of it.
pub fn largest_vessel(plan: &Plan) -> Millilitres {
    let vessels = plan.placements.iter().filter_map(|placement| placement.fit.map(|fit| fit.filled));
    vessels.chain(plan.tanks.iter().map(|tank| tank.fluid)).max().unwrap_or(Millilitres::ZERO)
}
