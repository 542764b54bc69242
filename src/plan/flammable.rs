//! Flammable fluid by place: now, at the peak of the work, and after it. The authority having jurisdiction asks about these
//! quantities first. They are figures to discuss with it; nothing here says that they are allowed.
//!
//! **Problem.** Lots stand in fluid at their places; owned fluid stands on shelves. At the *preparation place* concentrate
//! arrives, fluid is made up, baths stand in tubs and spent fluid waits for collection. What is the most fluid in one place?
//!
//! **Notation**, litres of flammable fluid: `n` present fluid of lots; `m` fluid made up or bought ready for use, or its
//! concentrate if that is more; `r` left over in whole containers; `o` owned; `u` the part of `o` that is used; `c` the part of `u`
//! that is used as concentrate; `e` emptied from lots; `w` water that has rinsed out flammable fluid.
//!
//! **Method: an upper bound by counting.** Each litre counts in every place that it may come to, but only once in all places
//! together. A lot's place holds at most its present fluid, its filling, and its baths if they are in its vessel. The preparation
//! place holds at most its own `o`, the `u` from other places, `m + r - c`, `e` and `w`: tubs and spent baths hold fluid that was
//! made up or owned before. All places together hold at most `n + o + m + r - c + w`, because present fluid becomes spent fluid,
//! and fluid made up fills vessels. Concentrate becomes part of the fluid made from it, so `m` counts only the larger of the two;
//! `c` is subtracted because owned concentrate is in `o` and in `m`.
//!
//! **Result.** At no moment of the work is there more than the peaks, as far as volumes are stated; work in batches stays below
//! them. Owned fluid is taken from the preparation place first, then from places in order of their names. This decides what comes
//! to the preparation place and where the rest stands.
//!
//! **What counts as flammable.** An alcohol of any strength; any fluid with a hazard category by its flash point; a fluid that is
//! not identified, until it is tested (R. McPhee and J. Carter, NHCOLL-L list, October 2001); and the content of a lot that names
//! a flammable hazard (old ether). The last two have no class: none is guessed.
//!
//! **Limits.** Lots whose present volume is not stated add no litres now; they are counted by number. Evaporation and spills are
//! not subtracted. Cost: one pass over the placements.

use std::collections::BTreeMap;

use super::{Flammable, FluidOrder, MakeUp, Placement, Plan, fluids};
use crate::collection::Specimen;
use crate::fluid::flash;
use crate::project::Project;
use crate::rules::{Family, Fluid, FluidId, Hazard, HazardId};
use crate::settings::BathsIn;
use crate::units::Millilitres;

/// The contents of a lot, a shelf or a vessel, as needed to classify them as flammable or not.
#[derive(Clone, Copy, Debug)]
pub enum HeldContent<'a> {
    /// A fluid of the table.
    Fluid(&'a Fluid),
    /// Contents that a hazard of the lot describes better than its fluid does.
    Hazard(&'a Hazard),
}

impl HeldContent<'_> {
    /// Whether it counts as flammable.
    pub fn burns(self) -> bool {
        match self {
            HeldContent::Fluid(fluid) => burns(fluid),
            HeldContent::Hazard(hazard) => hazard.flammable == Some(true),
        }
    }

    /// Whether it counts as flammable because it is not identified.
    pub fn is_not_identified(self) -> bool {
        matches!(self, HeldContent::Fluid(fluid) if fluid.family == Family::Unknown)
    }

    /// Whether it counts as flammable, and no class can be stated.
    pub fn has_no_class(self) -> bool {
        match self {
            HeldContent::Fluid(_) => self.is_not_identified(),
            HeldContent::Hazard(_) => self.burns(),
        }
    }

    /// Its class in US fire codes, if it is flammable and has one; IB, the strictest that may apply, for a fluid whose flash
    /// point is not known.
    pub fn class(self) -> Option<&'static str> {
        match self {
            HeldContent::Fluid(fluid) => class(fluid),
            HeldContent::Hazard(_) => None,
        }
    }
}

/// Whether a fluid counts as flammable.
pub fn burns(fluid: &Fluid) -> bool {
    matches!(fluid.family, Family::Alcohol | Family::Unknown)
        || fluid.flash_c.is_some_and(|flash| flash::category(flash).is_some())
}

/// The class of a flammable fluid in US fire codes; IB, the strictest that may apply, if its flash point is not known;
/// `None` for a fluid that is not identified.
pub(super) fn class(fluid: &Fluid) -> Option<&'static str> {
    (burns(fluid) && fluid.family != Family::Unknown).then(|| fluid.flash_c.map_or("IB", flash::us_class))
}

/// The present contents of a lot: its flammable hazard if it has one, else its present fluid.
pub fn held<'a>(project: &'a Project, specimen: &Specimen) -> HeldContent<'a> {
    let named = specimen.particulars.known_hazards.iter().map(|id| project.rules.hazards.get(*id));
    match named.into_iter().find(|hazard| hazard.flammable == Some(true)) {
        Some(hazard) => HeldContent::Hazard(hazard),
        None => HeldContent::Fluid(project.rules.fluid(specimen.current_fluid.unwrap_or(specimen.fluid))),
    }
}

/// The parts of a plan from which the litres of fluid in each place are added up.
pub struct FluidByPlace<'a> {
    project: &'a Project,
    placements: &'a [Placement],
    /// Rows that wait for the price of their tank, in order: they stay as they are.
    outside: Vec<usize>,
    make_up: &'a [MakeUp],
    orders: &'a [FluidOrder],
}

/// What comes to the preparation place, and what is left there.
#[derive(Default)]
struct Prepared {
    made: Millilitres,
    left_over: Millilitres,
    /// Owned concentrate that is used, which `made` includes already.
    made_from_owned: Millilitres,
    emptied: Millilitres,
    rinses: Millilitres,
    spent: Millilitres,
}

/// Which fluids and hazards count, by their positions in the tables.
struct Counted {
    fluids: Vec<bool>,
    hazards: Vec<(HazardId, bool)>,
}

impl Counted {
    fn has(&self, fluid: FluidId) -> bool {
        self.fluids[usize::from(fluid.0)]
    }

    /// Whether the present content of a lot counts.
    fn has_lot(&self, specimen: &Specimen) -> bool {
        let named = &specimen.particulars.known_hazards;
        match self.hazards.iter().find(|(id, _)| named.contains(id)) {
            Some((_, counts)) => *counts,
            None => self.has(specimen.current_fluid.unwrap_or(specimen.fluid)),
        }
    }
}

impl<'a> FluidByPlace<'a> {
    /// Made from the parts of a plan.
    pub fn new(
        project: &'a Project,
        placements: &'a [Placement],
        outside: Vec<usize>,
        make_up: &'a [MakeUp],
        orders: &'a [FluidOrder],
    ) -> Self {
        FluidByPlace { project, placements, outside, make_up, orders }
    }

    /// Made from a whole plan.
    pub fn of(project: &'a Project, plan: &'a Plan) -> Self {
        FluidByPlace::new(project, &plan.placements, fluids::outside(&plan.tanks), &plan.make_up, &plan.fluid_orders)
    }

    /// Litres of the contents that `counted` accepts in each place, sorted by name of the place. Lots that are not moved keep their
    /// fluid.
    pub fn by_place(&self, counted: impl Fn(HeldContent) -> bool) -> Vec<Flammable> {
        let counted = &self.counted(counted);
        let mut places: BTreeMap<&str, Flammable> = BTreeMap::new();
        let mut prepared = self.prepared(counted);
        for placement in self.placements {
            self.add_lot(placement, counted, &mut places, &mut prepared);
        }
        let preparation = self.project.settings.preparation_place.as_str();
        let from_elsewhere = self.add_owned(counted, &mut places);
        let Prepared { made, left_over, made_from_owned, emptied, rinses, spent } = prepared;
        let peak = made + left_over + emptied + rinses + from_elsewhere - made_from_owned;
        if peak != Millilitres::ZERO || spent != Millilitres::ZERO {
            let place = place(&mut places, preparation);
            place.peak += peak;
            place.after += left_over + spent;
        }
        let there = |place: &Flammable| {
            place.not_stated > 0
                || [place.before, place.after, place.peak].iter().any(|amount| *amount != Millilitres::ZERO)
        };
        places.into_values().filter(there).collect()
    }

    /// The most litres of the contents that `counted` accepts at any time, in all places together.
    pub fn peak(&self, counted: impl Fn(HeldContent) -> bool) -> Millilitres {
        let counted = &self.counted(counted);
        let mut prepared = self.prepared(counted);
        let mut places = BTreeMap::new();
        self.placements.iter().for_each(|placement| self.add_lot(placement, counted, &mut places, &mut prepared));
        self.add_owned(counted, &mut places);
        let now: Millilitres = places.values().map(|place| place.before).sum();
        now + prepared.made + prepared.left_over - prepared.made_from_owned + prepared.rinses
    }

    /// Contents that count as flammable and have no class, each with its name and places: fluid that is not identified, then
    /// flammable hazards.
    pub fn without_class(&self) -> Vec<(&'a str, Vec<Flammable>)> {
        let hazards = self.project.rules.hazards.all().map(|(_, hazard)| hazard);
        let hazards = hazards.filter(|hazard| hazard.flammable == Some(true)).map(|hazard| {
            (hazard.spoken(), self.by_place(|held| matches!(held, HeldContent::Hazard(other) if other.id == hazard.id)))
        });
        let not_identified = ("fluid not identified", self.by_place(|held| held.is_not_identified()));
        std::iter::once(not_identified).chain(hazards).filter(|(_, places)| !places.is_empty()).collect()
    }

    /// Evaluates `counted` once for each fluid and each flammable hazard.
    fn counted(&self, counted: impl Fn(HeldContent) -> bool) -> Counted {
        let hazards = self.project.rules.hazards.all().filter(|(_, hazard)| hazard.flammable == Some(true));
        Counted {
            fluids: self.project.rules.fluids.iter().map(|fluid| counted(HeldContent::Fluid(fluid))).collect(),
            hazards: hazards.map(|(id, hazard)| (id, counted(HeldContent::Hazard(hazard)))).collect(),
        }
    }

    /// Fluid that is bought and made up.
    fn prepared(&self, counted: &Counted) -> Prepared {
        let by_id = |id: &str| self.project.rules.fluids.iter().position(|fluid| fluid.id == id);
        let concentrate = |id: &str| by_id(id).is_some_and(|index| counted.fluids[index]);
        let made = self.make_up.iter().map(|made| {
            let own = if counted.has(made.fluid) { made.to_make } else { Millilitres::ZERO };
            let from = made.made_from.as_ref().filter(|from| concentrate(&from.concentrate));
            own.max(from.map_or(Millilitres::ZERO, |from| from.amount))
        });
        let orders = || self.orders.iter().filter(|order| concentrate(&order.fluid));
        let left_over = orders().map(|order| {
            let bought: i64 = order.containers.iter().map(|(holds, _, count)| holds.0 * count).sum();
            Millilitres(bought - (order.needed - order.from_stock).0).max(Millilitres::ZERO)
        });
        Prepared {
            made: made.sum(),
            left_over: left_over.sum(),
            made_from_owned: orders().map(|order| order.from_stock).sum(),
            ..Prepared::default()
        }
    }

    fn add_lot(
        &self,
        placement: &Placement,
        counted: &Counted,
        places: &mut BTreeMap<&'a str, Flammable>,
        prepared: &mut Prepared,
    ) {
        let is = |fluid: FluidId| counted.has(fluid);
        let specimen = &self.project.collection.specimens[placement.specimen];
        let counts = counted.has_lot(specimen);
        let stated = specimen.current_fluid().filter(|_| counts);
        let (now, unknown) = (stated.unwrap_or(Millilitres::ZERO), counts && stated.is_none());
        let moved = self.outside.binary_search(&placement.specimen).is_err();
        let one = placement.fluid.filter(|_| moved);
        let filling = one.filter(|_| is(specimen.fluid));
        if now > Millilitres::ZERO || unknown || filling.is_some() {
            let place = place(places, &specimen.location);
            place.before += now;
            place.not_stated += usize::from(unknown);
            place.peak += now + filling.map_or(Millilitres::ZERO, |one| one - placement.reused);
            place.after += if one.is_some() { filling.unwrap_or(Millilitres::ZERO) } else { now };
        }
        let Some(one) = one else { return };
        if stated.is_some() {
            prepared.emptied += now - placement.reused;
            prepared.spent += now - placement.reused;
        }
        let mut spent_counts = counts;
        for &(bath, amount) in &placement.baths {
            // A water bath takes up the fluid before it, and is spent as that fluid.
            if self.project.rules.fluid(bath).family != Family::Aqueous {
                spent_counts = is(bath);
            } else if spent_counts {
                prepared.rinses += amount;
            }
            if spent_counts {
                prepared.spent += amount;
            }
            // A bath in the lot's vessel stands at the lot's place.
            if is(bath) && self.project.settings.baths_in == BathsIn::Vessel {
                place(places, &specimen.location).peak += amount;
            }
        }
        if is(specimen.fluid) {
            prepared.spent += one * i64::from(placement.charges.saturating_sub(1));
        }
    }

    /// Adds owned fluid at its place, and what is left of it there. Returns how much is used from places other than the preparation
    /// place.
    fn add_owned(&self, counted: &Counted, places: &mut BTreeMap<&'a str, Flammable>) -> Millilitres {
        let preparation = self.project.settings.preparation_place.as_str();
        let at = |location: &'a str| if location.is_empty() { preparation } else { location };
        let mut owned: Vec<(FluidId, &str, Millilitres)> = (self.project.stock.fluids.iter())
            .filter(|owned| counted.has(owned.fluid) && owned.amount > Millilitres::ZERO)
            .map(|owned| (owned.fluid, at(&owned.location), owned.amount))
            .collect();
        owned.sort_by_key(|(fluid, location, _)| (*fluid, *location != preparation, *location));
        let mut used: BTreeMap<FluidId, Millilitres> = BTreeMap::new();
        let mut from_elsewhere = Millilitres::ZERO;
        for (fluid, location, amount) in owned {
            let left = used.entry(fluid).or_insert_with(|| self.used(fluid));
            let taken = amount.min(*left);
            *left -= taken;
            let place = place(places, location);
            place.before += amount;
            place.peak += amount;
            place.after += amount - taken;
            if location != preparation {
                from_elsewhere += taken;
            }
        }
        from_elsewhere
    }

    /// How much of an owned fluid is used: as it is in vessels and baths, and as concentrate for other fluids.
    fn used(&self, fluid: FluidId) -> Millilitres {
        let id = &self.project.rules.fluid(fluid).id;
        let as_it_is = self.make_up.iter().filter(|made| made.fluid == fluid).map(|made| made.from_stock);
        let for_others = self.orders.iter().filter(|order| order.fluid == *id).map(|order| order.from_stock);
        as_it_is.chain(for_others).sum()
    }
}

/// The entry of a place, which is made empty if there is none.
fn place<'a, 'b>(places: &'b mut BTreeMap<&'a str, Flammable>, location: &'a str) -> &'b mut Flammable {
    places.entry(location).or_insert_with(|| Flammable {
        location: location.to_owned(),
        before: Millilitres::ZERO,
        not_stated: 0,
        after: Millilitres::ZERO,
        peak: Millilitres::ZERO,
    })
}
