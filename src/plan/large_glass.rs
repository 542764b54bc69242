//! Flammable fluid in large glass vessels, and the largest vessel of all. The fire authority asks about both.
//!
//! The count includes the vessels that lots are in now, as far as the survey states their material and volume, and the vessels
//! that lots are in after the work. For the present, a lot counts as one vessel.

use std::collections::BTreeMap;

use super::flammable::{class, held};
use super::{Plan, Tank};
use crate::collection::Specimen;
use crate::project::Project;
use crate::stock::Vessel;
use crate::units::Millilitres;

/// Sizes of glass vessels above which fire codes ask about flammable liquid, with the class they are set for: a US quart and a US
/// gallon (29 CFR 1910.106, table H-12, glass).
pub const LARGE_GLASS: [(Millilitres, &str); 2] = [(Millilitres(946), "IB"), (Millilitres(3785), "IC")];

/// Large glass vessels at one time.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LargeGlass {
    /// How many.
    pub vessels: u32,
    /// Brimful volumes of the smallest and the largest of them; `None` if that of one vessel is not known.
    pub sizes: Option<(Millilitres, Millilitres)>,
    /// Flammable fluid in them.
    pub fluid: Millilitres,
}

impl LargeGlass {
    fn add(&mut self, pieces: u32, brimful: Option<Millilitres>, fluid: Millilitres) {
        self.sizes = match (self.vessels, self.sizes, brimful) {
            (0, _, Some(size)) => Some((size, size)),
            (_, Some((least, most)), Some(size)) => Some((least.min(size), most.max(size))),
            _ => None,
        };
        self.vessels += pieces;
        self.fluid += fluid;
    }
}

/// Glass vessels above a size that hold fluid of a class.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct InGlass {
    /// Before the work, as far as stated.
    pub now: LargeGlass,
    /// After it.
    pub after: LargeGlass,
    /// Number of lots in fluid of the class whose present vessel has no stated material or no stated volume.
    pub not_stated: usize,
}

/// For each size with its class: the glass vessels that hold more, and are filled with fluid of that class. For the present, a lot
/// counts as one vessel; a lot that is not moved stays in it. A material counts as glass unless the table says that it is not.
pub fn in_glass_above<const N: usize>(project: &Project, plan: &Plan, sizes: [(Millilitres, &str); N]) -> [InGlass; N] {
    let mut found = [InGlass::default(); N];
    let of_glass = |vessel: &Vessel| project.rules.material(vessel.material).glass != Some(false);
    let tanks: BTreeMap<usize, Millilitres> = built(plan).map(|tank| (tank.specimen, tank.fluid)).collect();
    // A survey names few materials, each many times: each is looked up once.
    let mut glass_by_name = BTreeMap::new();
    for placement in &plan.placements {
        let specimen = &project.collection.specimens[placement.specimen];
        let present = Present::of(project, specimen);
        let typed = specimen.particulars.current_material.as_str();
        let named = *glass_by_name.entry(typed).or_insert_with(|| named_as_glass(project, typed));
        let of_present = named.or(present.listed.map(of_glass));
        let (now_class, class) = (held(project, specimen).class(), class(project.rules.fluid(specimen.fluid)));
        for (found, (size, of)) in found.iter_mut().zip(sizes) {
            let mut stays = |stays: bool| {
                if now_class != Some(of) || of_present == Some(false) {
                    return;
                }
                match (of_present, present.brimful.or(present.fluid)) {
                    (Some(_), Some(holds)) if holds > size => {
                        let fluid = present.fluid.unwrap_or(holds);
                        let state = if stays { &mut found.after } else { &mut found.now };
                        state.add(1, present.brimful, fluid);
                    }
                    (Some(_), Some(_)) => {}
                    _ if !stays => found.not_stated += 1,
                    _ => {}
                }
            };
            stays(false);
            if let (Some(id), Some(fit), Some(fluid)) = (placement.vessel, placement.fit, placement.fluid) {
                let vessel = project.stock.vessel(id);
                let holds = Millilitres::nearest(vessel.brimful);
                if class == Some(of) && holds > size && of_glass(vessel) {
                    found.after.add(fit.pieces, Some(holds), fluid);
                }
            } else if let Some(fluid) = tanks.get(&placement.specimen) {
                if class == Some(of) && *fluid > size {
                    found.after.add(1, Some(*fluid), *fluid);
                }
            } else {
                stays(true);
            }
        }
    }
    found
}

/// Tanks of glass that are built: those with a design and a price.
fn built(plan: &Plan) -> impl Iterator<Item = &Tank> {
    plan.tanks.iter().filter(|tank| tank.design.is_some() && tank.cost.is_some())
}

/// The present vessel of a lot, as far as stated.
struct Present<'a> {
    /// The vessel in the stock list, if it is listed.
    listed: Option<&'a Vessel>,
    brimful: Option<Millilitres>,
    fluid: Option<Millilitres>,
}

impl<'a> Present<'a> {
    fn of(project: &'a Project, specimen: &Specimen) -> Self {
        let named = project.stock.vessel_named(&specimen.particulars.current_vessel);
        let listed = named.map(|id| project.stock.vessel(id));
        let brimful = listed.map(|vessel| Millilitres::nearest(vessel.brimful));
        Present { listed, brimful, fluid: specimen.current_fluid() }
    }
}

/// Whether the material of a present vessel, as typed, is glass; `None` if the text does not tell.
fn named_as_glass(project: &Project, typed: &str) -> Option<bool> {
    let named = project.rules.material_named(typed).map(|id| project.rules.material(id).glass != Some(false));
    // People write `glass`, which is not the name of a material in the table.
    named.or_else(|| typed.to_lowercase().split(' ').any(|word| word == "glass").then_some(true))
}

/// The most fluid in one vessel or tank, now or later, as far as stated: a tray holds 110 % of it. A present vessel without a stated
/// volume of fluid counts as full if it is listed.
pub fn largest_vessel(project: &Project, plan: &Plan) -> Millilitres {
    let now = plan.placements.iter().filter_map(|placement| {
        let present = Present::of(project, &project.collection.specimens[placement.specimen]);
        present.fluid.or(present.brimful)
    });
    let vessels = plan.placements.iter().filter_map(|placement| placement.fit.map(|fit| fit.filled));
    now.chain(vessels).chain(plan.tanks.iter().map(|tank| tank.fluid)).max().unwrap_or(Millilitres::ZERO)
}
