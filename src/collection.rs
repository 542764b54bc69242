//! The survey as values: specimens (lots), their envelopes and requirements. No I/O, no decision.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::rules::hazards::Action;
use crate::rules::{FluidId, HazardId, Rules};
use crate::stock::VesselId;
use crate::units::{Length, Mass, Millilitres, Money, Volume, short_index};

/// The survey in file order, with facts about the whole file.
#[derive(Clone, Debug, Default)]
pub struct Collection {
    /// Specimens, one per row, in survey order.
    pub specimens: Vec<Specimen>,
    /// Names of the key columns that are present, in the order catalogNumber, institutionCode, collectionCode, part.
    pub key_headers: Vec<String>,
    /// Headers of the carried columns, in file order; their cells are in [`Particulars::carried`].
    pub carried_headers: Vec<String>,
}

impl Collection {
    /// Positions of the rows, sorted by key: the same rows in the same order, however the survey is sorted.
    pub fn by_key(&self) -> Vec<u32> {
        let mut places: Vec<u32> = (0..short_index(self.specimens.len())).collect();
        // A stable sort is fast here because most surveys are nearly in this order.
        places.sort_by(|&a, &b| self.specimens[a as usize].key.cmp(&self.specimens[b as usize].key));
        places
    }

    /// Positions of the rows in the order in which they are served: by priority, urgent first, then by key.
    pub fn in_turn(&self) -> Vec<u32> {
        let mut by_priority: BTreeMap<u8, Vec<u32>> = BTreeMap::new();
        for at in self.by_key() {
            by_priority.entry(self.specimens[at as usize].priority).or_default().push(at);
        }
        by_priority.into_values().flatten().collect()
    }
}

/// The catalogue number and the codes that make it unique.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Key {
    /// `catalogNumber`.
    pub catalog_number: String,
    /// `institutionCode`; empty if not given.
    pub institution: String,
    /// `collectionCode`; empty if not given.
    pub collection: String,
    /// `part`; empty if not given.
    pub part: String,
}

impl std::fmt::Display for Key {
    /// Writes `INST:COLL:number:part` without the empty ones.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let parts = [&self.institution, &self.collection, &self.catalog_number, &self.part];
        let mut first = true;
        for part in parts.into_iter().filter(|part| !part.is_empty()) {
            if !first {
                f.write_str(":")?;
            }
            f.write_str(part)?;
            first = false;
        }
        Ok(())
    }
}

/// One row of the survey (a lot): one or more individuals of one taxon and event, kept together.
#[derive(Clone, Debug)]
pub struct Specimen {
    /// Key of the row.
    pub key: Key,
    /// Line of the row in the survey file, from 1, for messages.
    pub line: usize,
    /// `scientificName`; empty if not given.
    pub name: String,
    /// `individualCount`, at least 1.
    pub individuals: u32,
    /// Its size, or the vessel that stands for it.
    pub size: Size,
    /// Shape of the body seen from above.
    pub outline: Outline,
    /// Whether the outline was stated; for the report of `check`.
    pub outline_stated: bool,
    /// Which measure may be vertical.
    pub posture: Posture,
    /// Amount of tissue in the lot, if stated.
    pub tissue: Tissue,
    /// The fluid that it is to be kept in.
    pub fluid: FluidId,
    /// The fluid that it is in now, if stated.
    pub current_fluid: Option<FluidId>,
    /// How far a soft body can be squeezed in the mouth, as a ratio from 0 to 0.20.
    pub section_give: f64,
    /// Years that it is to stay in the vessel; the setting if the cell is blank.
    pub keep_years: f64,
    /// Whether and how it is displayed.
    pub display: Display,
    /// Priority from 1 (urgent) to 4.
    pub priority: u8,
    /// Most equal vessels that the lot may be divided over.
    pub max_vessels: u32,
    /// Its location; empty if not given.
    pub location: String,
    /// Facts that few rows state; rows that state none share one value.
    pub particulars: Arc<Particulars>,
}

/// Facts that most rows leave blank, in a value of their own so that a row of a large survey stays small.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Particulars {
    /// Volume of tissue over volume of envelope, if stated.
    pub body_factor: Option<f64>,
    /// Measured strength of the present fluid in per cent by volume, if stated.
    pub current_strength_pct: Option<f64>,
    /// Volume of the present fluid, if stated.
    pub current_fluid_ml: Option<Volume>,
    /// A quoted price for its custom tank.
    pub tank_quote: Option<Money>,
    /// If not empty, only these vessels may be used.
    pub must_use: Vec<VesselChoice>,
    /// Vessels that may not be used.
    pub must_not_use: Vec<VesselChoice>,
    /// Clearance at each wall in place of the scaled one, if stated.
    pub clearance: Option<Length>,
    /// Clear height of its shelf, if stated.
    pub max_outer_height: Option<Length>,
    /// Hazard words as typed, in lower case (`human`, `picric`, `mercury` …).
    pub hazards: Vec<String>,
    /// Hazards that the hazard words and the two fluids refer to, in table order.
    pub known_hazards: Vec<HazardId>,
    /// Reason for a hold, if it must not be moved.
    pub hold: Option<String>,
    /// `disposition`; empty if not given.
    pub disposition: String,
    /// Its present vessel as typed; empty if not given.
    pub current_vessel: String,
    /// `current_material` as typed.
    pub current_material: String,
    /// `current_closure` as typed.
    pub current_closure: String,
    /// `eventID` as typed.
    pub event: String,
    /// `typeStatus` as typed.
    pub type_status: String,
    /// Cells of the carried columns, in the order of [`Collection::carried_headers`].
    pub carried: Vec<String>,
}

impl Particulars {
    /// Whether nothing is stated.
    pub fn are_blank(&self) -> bool {
        // Not compared with a default value: that would compare many pairs of empty texts, which is slow.
        let Particulars {
            body_factor,
            current_strength_pct,
            current_fluid_ml,
            tank_quote,
            must_use,
            must_not_use,
            clearance,
            max_outer_height,
            hazards,
            known_hazards,
            hold,
            disposition,
            current_vessel,
            current_material,
            current_closure,
            event,
            type_status,
            carried,
        } = self;
        let texts = [disposition, current_vessel, current_material, current_closure, event, type_status];
        body_factor.is_none()
            && current_strength_pct.is_none()
            && current_fluid_ml.is_none()
            && tank_quote.is_none()
            && must_use.is_empty()
            && must_not_use.is_empty()
            && clearance.is_none()
            && max_outer_height.is_none()
            && hazards.is_empty()
            && known_hazards.is_empty()
            && hold.is_none()
            && texts.into_iter().all(String::is_empty)
            && carried.is_empty()
    }
}

/// Size of a specimen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Size {
    /// Measured as fixed, with everything that goes in with it.
    Measured(Envelope),
    /// Not measured; its present vessel, which is listed, gives the size.
    LikeForLike(VesselId),
    /// Neither measured nor in a listed vessel.
    Unknown,
}

/// The box around the largest individual, without clearance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Envelope {
    /// Along the body axis.
    pub length: Length,
    /// Across.
    pub width: Length,
    /// The vertical measure as the body naturally stands, lies or is mounted.
    pub height: Length,
}

impl Envelope {
    /// Volume of the box.
    pub fn volume(&self) -> Volume {
        Volume::at_least_zero(self.length.mm() * self.width.mm() * self.height.mm() / 1000.0)
    }
}

/// Shape of a body seen from above.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Outline {
    /// A box: its corners count.
    Box,
    /// An ellipse, in every posture.
    Rounded,
}

/// Which measure may be vertical.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Posture {
    /// Height only.
    AsSet,
    /// Length only.
    Upright,
    /// Height or length.
    Either,
    /// Height, length or width.
    Any,
    /// A body that still bends, to be coiled.
    Coil,
}

/// Amount of tissue in a lot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Tissue {
    /// Measured volume of the whole lot.
    Volume(Volume),
    /// Mass of the whole lot.
    Mass(Mass),
    /// Neither is stated: the volume is estimated from the envelope, and marked.
    Unknown,
}

/// Whether and how a specimen is displayed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Display {
    /// Not displayed.
    No,
    /// Displayed in a clear material.
    Clear,
    /// Displayed behind flat clear faces; the body is not turned in plan.
    Flat,
}

impl Display {
    /// All of them.
    pub const ALL: [Display; 3] = [Display::No, Display::Clear, Display::Flat];

    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            Display::No => "no",
            Display::Clear => "clear",
            Display::Flat => "flat",
        }
    }
}

/// A vessel named in must_use or must_not_use: one of the stock list, or a custom tank (`@tank`).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum VesselChoice {
    /// A vessel of the stock list.
    Listed(VesselId),
    /// `@tank`.
    Tank,
}

/// Why a lot is not to be moved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hold {
    /// The survey column `hold` gives a reason.
    Stated,
    /// It has this hazard, which holds the lot.
    Hazard(HazardId),
    /// Its `disposition` says on loan or missing.
    Disposition,
}

impl Specimen {
    /// Why the lot is not to be moved; `None` if it may be.
    pub fn held(&self, rules: &Rules) -> Option<Hold> {
        if self.particulars.hold.is_some() {
            return Some(Hold::Stated);
        }
        let hazards = &mut self.particulars.known_hazards.iter();
        if let Some(id) = hazards.find(|id| rules.hazards.get(**id).action == Action::Held) {
            return Some(Hold::Hazard(*id));
        }
        let place = self.particulars.disposition.trim().to_lowercase();
        (place.contains("loan") || place.contains("missing")).then_some(Hold::Disposition)
    }

    /// Volume of the present fluid in whole millilitres, if stated.
    pub fn current_fluid(&self) -> Option<Millilitres> {
        self.particulars.current_fluid_ml.map(Millilitres::nearest)
    }
}
