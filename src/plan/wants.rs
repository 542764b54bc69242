//! Kinds of vessel to look for: for rows with no suitable vessel that are too small for a tank, and for rows that get a
//! tank although a jar would do.
//!
//! Each vessel is judged by the rules before it is recommended, with the suitable material and closure that leave the least
//! room. So the rules accept it with every suitable material and closure. A vessel that is larger in every measure is suitable
//! too, because clearances grow more slowly than the vessel.

use std::collections::BTreeMap;

use super::{Outcome, Plan};
use crate::collection::{Display, Envelope, Outline, Posture, Size, Specimen};
use crate::fit::footprint::Footprint;
use crate::fit::{self, Stance};
use crate::options::compatible::Parts;
use crate::options::compatible::Suitability;
use crate::options::in_fluid::InFluid;
use crate::options::in_fluid::fill;
use crate::options::judge::Candidate;
use crate::options::table::Row;
use crate::options::tank::NoTank;
use crate::options::{Cause, Treatment};
use crate::project::Project;
use crate::rules::{ClosureId, FluidId, MaterialId, clearance};
use crate::stock::{Section, Vessel, VesselId};
use crate::units::{Length, Millilitres, Money, Volume, truncated};

/// A kind of vessel that would suit rows that have no suitable vessel, or that get a tank.
#[derive(Clone, Debug, PartialEq)]
pub struct Want {
    /// Indices into the collection's specimens.
    pub specimens: Vec<usize>,
    /// What to look for.
    pub wanted: Wanted,
    /// The tank that this vessel would make unnecessary, if the rows get one.
    pub instead_of: Option<SparedTank>,
}

/// A tank that a vessel to look for would make unnecessary.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SparedTank {
    /// Its price, if it is known.
    pub cost: Option<Money>,
}

/// What to look for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Wanted {
    /// A vessel of at least this size.
    Vessel(WantedVessel),
    /// No pair of material and closure in the rules lasts the years required in this fluid.
    NoParts {
        /// The fluid.
        fluid: FluidId,
        /// The years required, to one decimal.
        years: f64,
    },
    /// None of the vessels tried is suitable: in each posture the smallest that the body goes into, enlarged again and again (to
    /// about a thousand times its width and height) as long as it is too crowded.
    Nothing,
}

/// The smallest vessel that would be suitable.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WantedVessel {
    /// Inner section, in whole millimetres.
    pub section: Section,
    /// Inner height, in whole millimetres.
    pub height: Length,
    /// Bore of the mouth of a round vessel; a rectangular one is open over its whole section.
    pub mouth: Length,
    /// Whether and how the specimen is displayed in it.
    pub display: Display,
    /// Largest outer height.
    pub outer_height_limit: Option<Length>,
    /// Number of vessels.
    pub pieces: u32,
    /// The fluid it is to hold.
    pub fluid: FluidId,
    /// Years it must last, to one decimal.
    pub years: f64,
}

/// The wants of a plan, equal ones grouped: those of rows without a suitable vessel, then those instead of tanks, each in order of
/// their first row.
pub fn wants(project: &Project, plan: &Plan, rows: &[Row]) -> Vec<Want> {
    let mut wants: Vec<Want> = Vec::new();
    let mut known: BTreeMap<Vec<u64>, usize> = BTreeMap::new();
    for placement in &plan.placements {
        let specimen = &project.collection.specimens[placement.specimen];
        // A row with `must_use` needs no other vessel.
        if !specimen.particulars.must_use.is_empty() {
            continue;
        }
        let found = match placement.outcome {
            Outcome::NeedsDecision => {
                let Some(judged) = rows[placement.specimen].judged() else { continue };
                let too_small = matches!(judged.tank.as_ref().map_err(Option::as_deref), Err(Some(NoTank::TooSmall)));
                too_small.then(|| (to_look_for(project, specimen), None))
            }
            Outcome::CustomTank => instead_of_tank(project, specimen).map(|vessel| {
                let cost = plan.tank_of(placement.specimen).and_then(|tank| tank.cost).map(Money::rounded);
                (Wanted::Vessel(vessel), Some(SparedTank { cost }))
            }),
            _ => continue,
        };
        if let Some((wanted, instead_of)) = found {
            let at = *known.entry(key(&wanted, instead_of)).or_insert(wants.len());
            match wants.get_mut(at) {
                Some(want) => want.specimens.push(placement.specimen),
                None => wants.push(Want { specimens: vec![placement.specimen], wanted, instead_of }),
            }
        }
    }
    wants.sort_by_key(|want| (want.instead_of.is_some(), want.specimens.first().copied()));
    wants
}

/// A key that is the same for equal wants only.
fn key(wanted: &Wanted, instead_of: Option<SparedTank>) -> Vec<u64> {
    let length = |length: Length| length.mm().to_bits();
    let or_none = |number: Option<u64>| number.map_or([0, 0], |number| [1, number]);
    let cost = instead_of.map(|tank| or_none(tank.cost.map(|cost| cost.parts().cast_unsigned())));
    let mut key = cost.map_or(vec![0], |cost| vec![1, cost[0], cost[1]]);
    match wanted {
        Wanted::Nothing => key.push(0),
        Wanted::NoParts { fluid, years } => key.extend([1, u64::from(fluid.0), years.to_bits()]),
        Wanted::Vessel(vessel) => {
            let is_round = matches!(vessel.section, Section::Round(_));
            key.extend([2, u64::from(vessel.fluid.0), vessel.years.to_bits(), u64::from(is_round)]);
            let lengths = [vessel.section.larger(), vessel.section.smaller(), vessel.height, vessel.mouth];
            key.extend(lengths.map(length));
            key.extend([vessel.display as u64, u64::from(vessel.pieces)]);
            key.extend(or_none(vessel.outer_height_limit.map(length)));
        }
    }
    key
}

/// The smallest vessel that would be suitable for a specimen, if there is one.
pub fn wanted(project: &Project, specimen: &Specimen) -> Option<WantedVessel> {
    least_wanted(project, specimen, parts_with_most_headspace(project, specimen)?)
}

/// What to look for, for a row without a suitable vessel.
fn to_look_for(project: &Project, specimen: &Specimen) -> Wanted {
    match parts_with_most_headspace(project, specimen) {
        None => Wanted::NoParts { fluid: specimen.fluid, years: tenths(specimen.keep_years) },
        Some(parts) => least_wanted(project, specimen, parts).map_or(Wanted::Nothing, Wanted::Vessel),
    }
}

/// The vessel to look for instead of a tank, if a jar of a usual size would be suitable.
fn instead_of_tank(project: &Project, specimen: &Specimen) -> Option<WantedVessel> {
    let is_made =
        |vessel: &WantedVessel| vessel.section.larger().mm() <= WIDEST_JAR_MM && vessel.height.mm() <= HIGHEST_JAR_MM;
    wanted(project, specimen).filter(is_made)
}

/// Materials and closures that suit a vessel to look for, in table order. A list is empty if all common ones suit, because
/// whatever is found is then suitable.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PartsThatServe {
    /// Suitable materials; empty if all common ones are suitable.
    pub materials: Vec<MaterialId>,
    /// Suitable closures; empty if all common ones are suitable.
    pub closures: Vec<ClosureId>,
}

/// Materials that jars are commonly made of (common practice, no source).
const COMMON_MATERIALS: [&str; 4] = ["borosilicate", "soda-lime", "polypropylene", "hdpe"];
/// Closures that jars commonly have (common practice, no source).
const COMMON_CLOSURES: [&str; 3] = ["ground-glass-stopper", "pp-cap-ptfe", "pp-cap-foamed-pe"];

impl PartsThatServe {
    /// The suitable materials and closures of a vessel to look for.
    pub fn of(project: &Project, vessel: &WantedVessel) -> Self {
        let rules = &project.rules;
        let shown = vessel.display != Display::No;
        let serves = |material: MaterialId, closure: ClosureId| {
            let pair = Suitability::of(project, vessel.fluid, Parts { material, closure, loose: false });
            let accepted = project.settings.accept_unproven || !pair.unproven();
            let lasts = pair.life_years().is_none_or(|years| years >= vessel.years);
            !pair.never() && accepted && lasts && (!shown || pair.clear())
        };
        let materials = || (0..rules.materials.len()).map(MaterialId::at);
        let closures = || (0..rules.closures.len()).map(ClosureId::at);
        let of_materials: Vec<MaterialId> =
            materials().filter(|&material| closures().any(|closure| serves(material, closure))).collect();
        let of_closures: Vec<ClosureId> =
            closures().filter(|&closure| materials().any(|material| serves(material, closure))).collect();
        let common = |id: &&str| {
            let material = rules.material_named(id);
            material.is_none_or(|id| of_materials.contains(&id) || shown && !rules.material(id).clear)
        };
        let every_material = COMMON_MATERIALS.iter().all(common);
        let common = |id: &&str| rules.closure_named(id).is_none_or(|id| of_closures.contains(&id));
        let every_closure = COMMON_CLOSURES.iter().all(common);
        PartsThatServe {
            materials: if every_material { Vec::new() } else { of_materials },
            closures: if every_closure { Vec::new() } else { of_closures },
        }
    }
}

/// Years to one decimal, as they are shown.
fn tenths(years: f64) -> f64 {
    (years * 10.0).round() / 10.0
}

/// Largest width of jars that are commonly made (common practice, no source).
const WIDEST_JAR_MM: f64 = 300.0;
/// Largest height of jars that are commonly made (common practice, no source).
const HIGHEST_JAR_MM: f64 = 600.0;

/// The suitable pair of material and closure that takes the most headspace: what fits with it fits with every suitable pair.
fn parts_with_most_headspace(project: &Project, specimen: &Specimen) -> Option<Parts> {
    let rules = &project.rules;
    let materials = (0..rules.materials.len()).map(MaterialId::at);
    let pairs = materials.flat_map(|material| {
        (0..rules.closures.len()).map(move |index| Parts { material, closure: ClosureId::at(index), loose: false })
    });
    let serves = |parts: &Parts| {
        Suitability::of(project, specimen.fluid, *parts)
            .serves(specimen, true, project.settings.accept_unproven)
            .is_ok()
    };
    let sealed = |parts: &Parts| rules.closure(parts.closure).plate_sealed;
    // Among equal pairs the first.
    pairs.filter(serves).reduce(|best, parts| if sealed(&parts) && !sealed(&best) { parts } else { best })
}

/// The smallest suitable vessel by volume, over all postures that the specimen allows. It is round, or rectangular if the
/// specimen is displayed through flat faces.
fn least_wanted(project: &Project, specimen: &Specimen, parts: Parts) -> Option<WantedVessel> {
    let Size::Measured(envelope) = specimen.size else { return None };
    let treatment = Treatment::of(project, specimen);
    let search = VesselSearch { project, specimen, parts, candidate: Candidate::of(project, specimen, &treatment) };
    let stances: &[Stance] = match specimen.posture {
        Posture::Coil => &[Stance::Coil],
        posture => Stance::allowed(posture),
    };
    let found = stances.iter().filter_map(|&stance| search.least(&envelope, stance));
    let (least, pieces) = found.min_by(|(a, _), (b, _)| a.brimful.ml().total_cmp(&b.brimful.ml()))?;
    Some(search.wanted(&least, pieces))
}

struct VesselSearch<'a> {
    project: &'a Project,
    specimen: &'a Specimen,
    parts: Parts,
    candidate: Candidate<'a>,
}

impl VesselSearch<'_> {
    /// The smallest vessel in whole millimetres for one stance that the rules accept, and the number of pieces.
    fn least(&self, envelope: &Envelope, stance: Stance) -> Option<(Vessel, u32)> {
        let settings = &self.project.settings;
        let (vertical, (along, across)) = stance.measures(envelope);
        let coiled = stance == Stance::Coil;
        let outline = if coiled { Outline::Rounded } else { self.specimen.outline };
        let round = fit::mouth::measure(Footprint { outline, along, across }, Section::Round(Length::ZERO));
        let coil = |width: Length| fit::coil::coil(envelope.length, vertical, width, settings.coil_core.0).ok();
        let free = |width: Length| clearance::own_or_wall(settings, self.specimen.particulars.clearance, width) * 2.0;
        // The vessel is open over its whole section, so its width must also leave the clearance of a mouth.
        let wide = |measure: Length, passing: Length| {
            let mouth = measure + clearance::mouth(settings, passing);
            whole_millimetres(measure).filter(|&width| mouth.fits(width)).find(|&width| {
                if coiled { coil(width.less(free(width))).is_some() } else { (measure + free(width)).fits(width) }
            })
        };
        let section = match self.specimen.display {
            Display::Flat => {
                let longer = along.max(across);
                let width = wide(across, longer)?;
                // The clearance is that of the smaller side.
                let more = free(width).max(clearance::mouth(settings, longer));
                let length = if coiled { width } else { whole_millimetres(along).find(|&l| (along + more).fits(l))? };
                Section::Rectangular(length, width)
            }
            _ => Section::Round(wide(round, round)?),
        };
        let width = section.smaller();
        let vertical = if coiled { coil(width.less(free(width)))?.height } else { vertical };
        let (fluid, closure) =
            (self.project.rules.fluid(self.specimen.fluid), self.project.rules.closure(self.parts.closure));
        let height = whole_millimetres(vertical).find(|&height| {
            let filled = height * (1.0 - clearance::headspace(settings, fluid, closure, height));
            (settings.floor + vertical + clearance::cover(settings, height)).fits(filled)
        })?;
        let mouth = match section {
            Section::Round(_) => Section::Round(up(round + clearance::mouth(settings, round)).min(section.larger())),
            whole => whole,
        };
        self.enlarged(section, height, mouth)
    }

    /// The vessel, enlarged while it is too crowded: only in height at first, in width too once it is slender or as high as its
    /// shelf allows. `None` if the rules refuse it for another cause.
    fn enlarged(&self, mut section: Section, mut height: Length, mut mouth: Section) -> Option<(Vessel, u32)> {
        let limit = self.specimen.particulars.max_outer_height;
        for _ in 0..MOST_TRIES {
            let vessel = self.vessel(section, height, mouth);
            match self.judged(&vessel) {
                Ok(pieces) => return Some((vessel, pieces)),
                Err(Cause::TooCrowded) => {}
                Err(_) => return None,
            }
            let higher = larger(height);
            let may_be_higher = limit.is_none_or(|limit| higher.fits(limit));
            if may_be_higher && higher.fits(section.larger() * SLENDER) {
                height = higher;
                continue;
            }
            if may_be_higher {
                height = higher;
            }
            (section, mouth) = (wider(section), wider(mouth));
        }
        None
    }

    fn vessel(&self, section: Section, height: Length, mouth: Section) -> Vessel {
        Vessel {
            id: String::new(),
            line: 0,
            description: String::new(),
            section,
            inner_height: height,
            body_height: height,
            mouth,
            mouth_assumed: false,
            brimful: Volume::at_least_zero(section.area_mm2() * height.mm() / 1000.0),
            material: self.parts.material,
            closure: self.parts.closure,
            on_hand: self.specimen.max_vessels,
            on_order: 0,
            reserve: 0,
            outer_height: Some(height),
            outer_width: None,
            empty_mass: None,
            carried: Vec::new(),
        }
    }

    /// Number of pieces with which the rules accept a vessel, or the cause of its refusal.
    fn judged(&self, vessel: &Vessel) -> Result<u32, Cause> {
        let (project, fluid) = (self.project, self.specimen.fluid);
        let fill = fill(project, fluid, vessel);
        let place = InFluid {
            id: VesselId(u32::MAX),
            vessel,
            fill,
            filled: Millilitres::nearest(fill.volume),
            suitability: Suitability::of(project, fluid, self.parts),
            wall: clearance::wall(&project.settings, vessel.section.smaller()),
            cover: clearance::cover(&project.settings, vessel.inner_height),
            available: true,
        };
        self.candidate.judge(&place).map(|fit| fit.pieces).map_err(|refusal| refusal.cause)
    }

    fn wanted(&self, vessel: &Vessel, pieces: u32) -> WantedVessel {
        WantedVessel {
            section: vessel.section,
            height: vessel.inner_height,
            mouth: vessel.mouth.larger(),
            display: self.specimen.display,
            outer_height_limit: self.specimen.particulars.max_outer_height,
            pieces,
            fluid: self.specimen.fluid,
            years: tenths(self.specimen.keep_years),
        }
    }
}

/// Most enlargements tried for one vessel.
const MOST_TRIES: usize = 700;
/// Factor of one enlargement of a measure.
const STEP: f64 = 1.01;

/// A vessel that is more than this many times as high as wide is made wider too (common practice, no source).
const SLENDER: f64 = 3.0;

/// A length enlarged by one per cent, up to whole millimetres.
fn larger(length: Length) -> Length {
    Length::at_least_zero((length.mm() * STEP).floor() + 1.0)
}

fn wider(section: Section) -> Section {
    match section {
        Section::Round(diameter) => Section::Round(larger(diameter)),
        Section::Rectangular(length, width) => Section::Rectangular(larger(length), larger(width)),
    }
}

fn up(length: Length) -> Length {
    Length::at_least_zero((length.mm() - crate::units::TOUCH_MM).ceil())
}

/// Whole millimetres from a length (rounded down) to ten times as much and 100 mm more.
fn whole_millimetres(from: Length) -> impl Iterator<Item = Length> {
    let first = truncated(from.mm().floor());
    (first..first.saturating_mul(10).saturating_add(100)).map(|mm| Length::at_least_zero(mm as f64))
}
