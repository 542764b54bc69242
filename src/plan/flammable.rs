//! Flammable fluid by place, now, at the peak of the work and after it, and in large vessels of glass: what the authority
//! having jurisdiction asks about first. These are quantities to discuss with it; nothing here says that they are allowed.
//!
//! **Problem.** Lots stand in fluid at their places; fluid that is owned stands on shelves. At the *preparation place* concentrate
//! arrives, fluid is made up, baths stand in tubs and spent fluid waits to be collected. How much is in one place at most?
//!
//! **Notation.** `n` what is there now; `m` fluid that is made up or bought ready for use (of one that does not burn, its
//! concentrate, where that does); `r` what is left over in whole containers; `o` owned fluid, `u` of it used, `c` of that as concentrate;
//! `e` what lots are emptied of; `w` water that has rinsed out a fluid that burns.
//!
//! **Method: an upper bound by counting each litre in every place it may come to, and once in all of them together.** A lot's
//! place holds at most what is there now and what is filled in; the preparation place `o` of its own, `u` of other places,
//! `m + r - c`, `e` and `w`, for whatever ever stands there is one of these: tubs and spent baths hold what was made up or owned
//! before. In all places together there is never more than `n + o + m + r - c + w`, for old fluid becomes spent fluid, and what
//! was made up fills vessels. Concentrate turns into what is made of it, which is more of it: the larger of the two is counted
//! in `m`, so that owned concentrate, of which `m` holds `c` already, is not counted once more as owned.
//!
//! **Result.** No moment of the work exceeds the peaks, as far as volumes are stated; the work in batches stays below. Owned
//! fluid is taken from the preparation place first, then from places in order of their names: only where what is left stands
//! depends on that.
//!
//! **What counts as flammable.** An alcohol of any strength, anything with a hazard category by its flash point, a fluid that is
//! not identified until it is tested (R. McPhee and J. Carter, NHCOLL-L list, October 2001), and the content of a lot that names a
//! flammable hazard (old ether). The last two have no class: none is guessed.
//!
//! **Limits.** Rows that do not say how much they are in count nothing now, and are counted by number. What evaporates or is
//! spilled is not taken off. Cost: one pass over the placements.

use std::collections::BTreeMap;

use super::{Flammable, FluidOrder, MakeUp, Placement, Plan, fluids};
use crate::collection::Specimen;
use crate::fluid::flash;
use crate::project::Project;
use crate::rules::{Family, Fluid, FluidId, Hazard, HazardId};
use crate::settings::BathsIn;
use crate::units::Millilitres;

/// The contents of a lot, a shelf or a vessel, as far as needed to classify them as flammable or not.
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

/// The class of a flammable fluid in US fire codes; IB, the strictest that may apply, where its flash point is not known;
/// none of a fluid that is not identified.
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
pub struct Moved<'a> {
    project: &'a Project,
    placements: &'a [Placement],
    /// Rows that wait for the price of their tank, in order: they stay as they are.
    outside: Vec<usize>,
    make_up: &'a [MakeUp],
    orders: &'a [FluidOrder],
}

/// What comes to the preparation place from outside, and what is left there.
#[derive(Default)]
struct Prepared {
    made: Millilitres,
    left_over: Millilitres,
    /// Owned concentrate, counted in what is made of it.
    made_from_owned: Millilitres,
    emptied: Millilitres,
    rinses: Millilitres,
    spent: Millilitres,
}

/// Which fluids and hazards count, by their places in the tables.
struct Counted {
    fluids: Vec<bool>,
    hazards: Vec<(HazardId, bool)>,
}

impl Counted {
    fn has(&self, fluid: FluidId) -> bool {
        self.fluids[usize::from(fluid.0)]
    }

    /// Whether what a lot holds now counts.
    fn has_lot(&self, specimen: &Specimen) -> bool {
        let named = &specimen.particulars.known_hazards;
        match self.hazards.iter().find(|(id, _)| named.contains(id)) {
            Some((_, counts)) => *counts,
            None => self.has(specimen.current_fluid.unwrap_or(specimen.fluid)),
        }
    }
}

impl<'a> Moved<'a> {
    /// From the parts of a plan.
    pub fn new(
        project: &'a Project,
        placements: &'a [Placement],
        outside: Vec<usize>,
        make_up: &'a [MakeUp],
        orders: &'a [FluidOrder],
    ) -> Self {
        Moved { project, placements, outside, make_up, orders }
    }

    /// From a whole plan.
    pub fn of(project: &'a Project, plan: &'a Plan) -> Self {
        Moved::new(project, &plan.placements, fluids::outside(&plan.tanks), &plan.make_up, &plan.fluid_orders)
    }

    /// Litres of the fluids that `counted` accepts in each place, by name of the place; rows that are not moved keep their fluid.
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

    /// The most litres of the fluids that `counted` accepts at any time, in all places together.
    pub fn peak(&self, counted: impl Fn(HeldContent) -> bool) -> Millilitres {
        let counted = &self.counted(counted);
        let mut prepared = self.prepared(counted);
        let mut places = BTreeMap::new();
        self.placements.iter().for_each(|placement| self.add_lot(placement, counted, &mut places, &mut prepared));
        self.add_owned(counted, &mut places);
        let now: Millilitres = places.values().map(|place| place.before).sum();
        now + prepared.made + prepared.left_over - prepared.made_from_owned + prepared.rinses
    }

    /// What counts as flammable and has no class, by name, with its places: fluid that is not identified, then flammable hazards.
    pub fn without_class(&self) -> Vec<(&'a str, Vec<Flammable>)> {
        let hazards = self.project.rules.hazards.all().map(|(_, hazard)| hazard);
        let hazards = hazards.filter(|hazard| hazard.flammable == Some(true)).map(|hazard| {
            (hazard.spoken(), self.by_place(|held| matches!(held, HeldContent::Hazard(other) if other.id == hazard.id)))
        });
        let not_identified = ("fluid not identified", self.by_place(|held| held.is_not_identified()));
        std::iter::once(not_identified).chain(hazards).filter(|(_, places)| !places.is_empty()).collect()
    }

    /// By fluid and by flammable hazard, so that each is asked once.
    fn counted(&self, counted: impl Fn(HeldContent) -> bool) -> Counted {
        let hazards = self.project.rules.hazards.all().filter(|(_, hazard)| hazard.flammable == Some(true));
        Counted {
            fluids: self.project.rules.fluids.iter().map(|fluid| counted(HeldContent::Fluid(fluid))).collect(),
            hazards: hazards.map(|(id, hazard)| (id, counted(HeldContent::Hazard(hazard)))).collect(),
        }
    }

    /// What is bought and made up.
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
            // A bath in water takes up what was there before it.
            if self.project.rules.fluid(bath).family != Family::Aqueous {
                spent_counts = is(bath);
            } else if spent_counts {
                prepared.rinses += amount;
            }
            if spent_counts {
                prepared.spent += amount;
            }
            // In its vessel it stands at the lot's place.
            if is(bath) && self.project.settings.baths_in == BathsIn::Vessel {
                place(places, &specimen.location).peak += amount;
            }
        }
        if is(specimen.fluid) {
            prepared.spent += one * i64::from(placement.charges.saturating_sub(1));
        }
    }

    /// Owned fluid at its place, and what is left of it there; what is used of it from other places than the preparation place.
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

    /// Of an owned fluid, what fills vessels and baths as it is, and what others are made from.
    fn used(&self, fluid: FluidId) -> Millilitres {
        let id = &self.project.rules.fluid(fluid).id;
        let as_it_is = self.make_up.iter().filter(|made| made.fluid == fluid).map(|made| made.from_stock);
        let for_others = self.orders.iter().filter(|order| order.fluid == *id).map(|order| order.from_stock);
        as_it_is.chain(for_others).sum()
    }
}

/// A place, with nothing there yet.
fn place<'a, 'b>(places: &'b mut BTreeMap<&'a str, Flammable>, location: &'a str) -> &'b mut Flammable {
    places.entry(location).or_insert_with(|| Flammable {
        location: location.to_owned(),
        before: Millilitres::ZERO,
        not_stated: 0,
        after: Millilitres::ZERO,
        peak: Millilitres::ZERO,
    })
}
