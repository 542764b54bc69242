//! The kinds of vessel to look for: for rows that no vessel serves and that are too small for a tank, and for rows that get a
//! tank although a jar would do.
//!
//! The vessel is tried against the rules themselves before it is named, with the material and the closure that leave least room
//! of all that serve the row: so none is named that they would refuse. What is larger than that in every respect serves too,
//! for clearances grow more slowly than the vessel.

use std::collections::BTreeMap;

use super::{Outcome, Plan, Want};
use crate::collection::{Display, Envelope, Outline, Posture, Size, Specimen};
use crate::fit::plan::Plan as Footprint;
use crate::fit::{self, Stance};
use crate::options::compatible::Suitability;
use crate::options::judge::{Candidate, Parts, fill};
use crate::options::table::Row;
use crate::options::tank::NoTank;
use crate::options::vessels::InFluid;
use crate::options::{Cause, Treatment};
use crate::project::Project;
use crate::rules::{ClosureId, MaterialId, clearance};
use crate::stock::{Section, Vessel, VesselId};
use crate::units::{Length, Millilitres, Volume, decimal};

/// The wants of a plan, equal ones grouped, in order of their first row.
pub fn wants(project: &Project, plan: &Plan, rows: &[Row]) -> Vec<Want> {
    let mut grouped: BTreeMap<(bool, String), Vec<usize>> = BTreeMap::new();
    for placement in &plan.placements {
        let specimen = &project.collection.specimens[placement.specimen];
        // Whoever is pinned to a vessel or a tank wants no other.
        if !specimen.particulars.must_use.is_empty() {
            continue;
        }
        let (instead_of_tank, text) = match placement.outcome {
            Outcome::NeedsDecision => {
                let Some(judged) = rows[placement.specimen].judged() else { continue };
                let too_small = matches!(judged.tank.as_ref().map_err(Option::as_deref), Err(Some(NoTank::TooSmall)));
                (false, too_small.then(|| to_look_for(project, specimen)))
            }
            Outcome::CustomTank => (true, instead_of_tank(project, plan, specimen, placement.specimen)),
            _ => continue,
        };
        if let Some(text) = text {
            grouped.entry((instead_of_tank, text)).or_default().push(placement.specimen);
        }
    }
    let want = |((instead_of_tank, text), specimens)| Want { specimens, text, instead_of_tank };
    let mut wants: Vec<Want> = grouped.into_iter().map(want).collect();
    wants.sort_by_key(|want| (want.instead_of_tank, want.specimens.first().copied()));
    wants
}

/// The least vessel that would serve a specimen, in words, if one does.
pub fn wanted(project: &Project, specimen: &Specimen) -> Option<String> {
    least_wanted(project, specimen, roomless_parts(project, specimen)?).map(|wanted| wanted.text)
}

/// For a row that stands very loose in its vessel.
pub fn smaller(project: &Project, specimen: &Specimen) -> String {
    if !specimen.particulars.must_use.is_empty() {
        return "no other: this vessel is required".to_owned();
    }
    wanted(project, specimen).unwrap_or_default()
}

/// For a row that nothing serves.
fn to_look_for(project: &Project, specimen: &Specimen) -> String {
    let Some(parts) = roomless_parts(project, specimen) else {
        let (fluid, years) = (&project.rules.fluid(specimen.fluid).id, decimal(specimen.keep_years, 1));
        return format!(
            "no material and closure in the rules suit {fluid} for {years} years: review the years or the fluid"
        );
    };
    let found = least_wanted(project, specimen, parts);
    found.map_or_else(
        || "nothing up to ten times as wide and high is suitable: check the row".to_owned(),
        |wanted| wanted.text,
    )
}

/// For a row that gets a tank, where a jar of a size that is made would do.
fn instead_of_tank(project: &Project, plan: &Plan, specimen: &Specimen, row: usize) -> Option<String> {
    let wanted = least_wanted(project, specimen, roomless_parts(project, specimen)?)?;
    let is_made = wanted.section.larger().mm() <= WIDEST_JAR_MM && wanted.height.mm() <= HIGHEST_JAR_MM;
    let cost = plan.tank_of(row).and_then(|tank| tank.cost);
    let currency = &project.settings.currency;
    let before = match cost {
        Some(cost) if currency.is_empty() => format!("paying {} for a tank", cost.on_screen()),
        Some(cost) => format!("paying {} {currency} for a tank", cost.on_screen()),
        None => "having a tank priced".to_owned(),
    };
    is_made.then(|| format!("{}, would also be suitable: ask before {before}", wanted.text))
}

/// The largest jars that are commonly made (common practice, no source).
const WIDEST_JAR_MM: f64 = 300.0;
const HIGHEST_JAR_MM: f64 = 600.0;

/// Of the materials and closures that serve the row the pair that takes most headspace: what fits then, fits with each.
fn roomless_parts(project: &Project, specimen: &Specimen) -> Option<Parts> {
    let rules = &project.rules;
    let materials = (0..rules.materials.len()).map(|index| MaterialId(index as u16));
    let pairs = materials.flat_map(|material| {
        (0..rules.closures.len()).map(move |index| Parts { material, closure: ClosureId(index as u16), loose: false })
    });
    let serves = |parts: &Parts| {
        Suitability::of(project, specimen.fluid, *parts)
            .serves(specimen, true, project.settings.accept_unproven)
            .is_ok()
    };
    let sealed = |parts: &Parts| rules.closure(parts.closure).plate_sealed;
    // The first of those that are alike.
    pairs.filter(serves).reduce(|best, parts| if sealed(&parts) && !sealed(&best) { parts } else { best })
}

/// A vessel to look for.
struct Wanted {
    section: Section,
    height: Length,
    text: String,
}

/// The least vessel that would serve a specimen, of the postures it allows the one of least volume: round, or rectangular where
/// it is shown through flat faces.
fn least_wanted(project: &Project, specimen: &Specimen, parts: Parts) -> Option<Wanted> {
    let Size::Measured(envelope) = specimen.size else { return None };
    let treatment = Treatment::of(project, specimen);
    let search = Search { project, specimen, parts, candidate: Candidate::of(project, specimen, &treatment) };
    let stances: &[Stance] = match specimen.posture {
        Posture::Coil => &[Stance::Coil],
        posture => Stance::allowed(posture),
    };
    let found = stances.iter().filter_map(|&stance| search.least(&envelope, stance));
    let (least, pieces) = found.min_by(|(a, _), (b, _)| a.brimful.ml().total_cmp(&b.brimful.ml()))?;
    let (section, height) = (least.section, least.inner_height);
    Some(Wanted { section, height, text: search.words(&least, pieces) })
}

struct Search<'a> {
    project: &'a Project,
    specimen: &'a Specimen,
    parts: Parts,
    candidate: Candidate<'a>,
}

impl Search<'_> {
    /// The least vessel in whole millimetres for one stance, if the rules take it, and how many of it.
    fn least(&self, envelope: &Envelope, stance: Stance) -> Option<(Vessel, u32)> {
        let settings = &self.project.settings;
        let (vertical, (along, across)) = stance.measures(envelope);
        let coiled = stance == Stance::Coil;
        let outline = if coiled { Outline::Rounded } else { self.specimen.outline };
        let round = fit::mouth::measure(Footprint { outline, along, across }, Section::Round(Length::ZERO));
        let coil = |width: Length| fit::coil::coil(envelope.length, vertical, width, settings.coil_core.0).ok();
        let free = |width: Length| {
            self.specimen.particulars.clearance.unwrap_or_else(|| clearance::wall(settings, width)) * 2.0
        };
        // It goes in through the whole section, with what must stay free in a mouth.
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
                // The free space is that of the smaller side.
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
        self.taken(section, height, mouth)
    }

    /// The vessel with as much capacity as the tissue asks for, if the rules take it then.
    fn taken(&self, section: Section, height: Length, mouth: Section) -> Option<(Vessel, u32)> {
        let geometric = Volume::at_least_zero(section.area_mm2() * height.mm() / 1000.0);
        let mut vessel = Vessel {
            id: String::new(),
            line: 0,
            description: String::new(),
            section,
            inner_height: height,
            body_height: height,
            mouth,
            mouth_assumed: false,
            brimful: geometric,
            material: self.parts.material,
            closure: self.parts.closure,
            on_hand: self.specimen.max_vessels,
            on_order: 0,
            reserve: 0,
            outer_height: Some(height),
            outer_width: None,
            empty_mass: None,
            carried: Vec::new(),
        };
        for _ in 0..MOST_TRIES {
            match self.judged(&vessel) {
                Ok(pieces) => return Some((vessel, pieces)),
                Err(Cause::TooCrowded) => {
                    vessel.brimful = Volume::at_least_zero((vessel.brimful.ml() * STEP).ceil());
                }
                Err(_) => return None,
            }
        }
        None
    }

    /// How many of a vessel the rules take, or why they refuse it.
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
            to_be_had: true,
        };
        self.candidate.judge(&place).map(|fit| fit.pieces).map_err(|refusal| refusal.cause)
    }

    fn words(&self, vessel: &Vessel, pieces: u32) -> String {
        let height = vessel.inner_height.mm();
        let (flat, clear) = (self.specimen.display == Display::Flat, self.specimen.display != Display::No);
        let mut words = match (vessel.section, vessel.mouth) {
            (Section::Rectangular(length, width), _) => {
                format!(
                    "at least {} × {} × {height} mm inside (rectangular), open over its whole width",
                    length.mm(),
                    width.mm()
                )
            }
            (Section::Round(bore), mouth) => {
                format!("at least {} × {height} mm inside (round), mouth {} mm", bore.mm(), mouth.larger().mm())
            }
        };
        let geometric = vessel.section.area_mm2() * height / 1000.0;
        if vessel.brimful.ml() > geometric {
            words.push_str(&format!(", holding {} ml or more", vessel.brimful.ml()));
        }
        words.push_str(match (flat, clear) {
            (true, _) => ", clear with flat faces",
            (false, true) => ", clear",
            (false, false) => "",
        });
        if let Some(limit) = self.specimen.particulars.max_outer_height {
            words.push_str(&format!(", at most {} mm high outside", decimal(limit.mm(), 1)));
        }
        if pieces > 1 {
            words.push_str(&format!(", {pieces} of them"));
        }
        let fluid = &self.project.rules.fluid(self.specimen.fluid).id;
        words + &format!(", for {fluid}, lasting {} years", decimal(self.specimen.keep_years, 1))
    }
}

/// How often a vessel is made to hold more, and by how much each time: a thousand times as much in the end.
const MOST_TRIES: usize = 700;
const STEP: f64 = 1.01;

fn up(length: Length) -> Length {
    Length::at_least_zero((length.mm() - crate::units::TOUCH_MM).ceil())
}

/// Whole millimetres from a length up, to ten times as much and a little more.
fn whole_millimetres(from: Length) -> impl Iterator<Item = Length> {
    let first = from.mm().floor() as u64;
    (first..first * 10 + 100).map(|mm| Length::at_least_zero(mm as f64))
}
