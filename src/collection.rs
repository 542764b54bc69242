//! The survey as values: specimens (lots), their envelopes and what is asked for them. No I/O, no decision.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::rules::hazards::Action;
use crate::rules::{FluidId, HazardId, Rules};
use crate::stock::VesselId;
use crate::units::{Length, Mass, Millilitres, Money, Volume, short_index};

/// The survey in file order, with what belongs to all its rows.
#[derive(Clone, Debug, Default)]
pub struct Collection {
    /// One per row, in survey order.
    pub specimens: Vec<Specimen>,
    /// Header names of the key columns present, in the order catalogNumber, institutionCode, collectionCode, part.
    pub key_headers: Vec<String>,
    /// Headers of the columns this program does not read, in file order; their cells are in [`Particulars::carried`].
    pub carried_headers: Vec<String>,
}

impl Collection {
    /// Places of the rows in order of their keys: the same rows in the same order, however the survey is sorted.
    pub fn by_key(&self) -> Vec<u32> {
        let mut places: Vec<u32> = (0..short_index(self.specimens.len())).collect();
        // Mostly they are in order already, and then little is to be compared.
        places.sort_by(|&a, &b| self.specimens[a as usize].key.cmp(&self.specimens[b as usize].key));
        places
    }

    /// Places of the rows in the order in which they are served: the urgent first, then by key.
    pub fn in_turn(&self) -> Vec<u32> {
        let mut by_priority: BTreeMap<u8, Vec<u32>> = BTreeMap::new();
        for at in self.by_key() {
            by_priority.entry(self.specimens[at as usize].priority).or_default().push(at);
        }
        by_priority.into_values().flatten().collect()
    }
}

/// The catalogue number with whatever makes it unique.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Key {
    /// `catalogNumber`.
    pub catalog_number: String,
    /// `institutionCode`, empty where not given.
    pub institution: String,
    /// `collectionCode`, empty where not given.
    pub collection: String,
    /// `part`, empty where not given.
    pub part: String,
}

impl std::fmt::Display for Key {
    /// `INST:COLL:number:part`, the empty ones left out.
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

/// One row of the survey: one or more individuals of one taxon and event, kept together.
#[derive(Clone, Debug)]
pub struct Specimen {
    /// What identifies the row.
    pub key: Key,
    /// 1-based line of the row in the survey file, for messages.
    pub line: usize,
    /// `scientificName`, empty where not given.
    pub name: String,
    /// `individualCount`, at least 1.
    pub individuals: u32,
    /// How large it is, or how that is to be taken.
    pub size: Size,
    /// Plan of the body.
    pub outline: Outline,
    /// False where the outline is the default, for the report of `check`.
    pub outline_stated: bool,
    /// What may be vertical.
    pub posture: Posture,
    /// How much tissue the row holds, if stated.
    pub tissue: Tissue,
    /// The fluid it will be kept in.
    pub fluid: FluidId,
    /// The fluid it is in now, if stated.
    pub current_fluid: Option<FluidId>,
    /// How far a soft section gives way in the mouth, 0 to 0.20.
    pub section_give: f64,
    /// Years it is to stay in the vessel; the setting where blank.
    pub keep_years: f64,
    /// Whether it is shown, and how.
    pub display: Display,
    /// 1 urgent to 4.
    pub priority: u8,
    /// A lot may be divided over this many equal vessels.
    pub max_vessels: u32,
    /// Where it stands, empty where not given.
    pub location: String,
    /// What is stated of few rows; those that state nothing share it.
    pub particulars: Arc<Particulars>,
}

/// What most rows leave blank: together, so that a row of a large survey stays small.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Particulars {
    /// Tissue over envelope, as stated for this row.
    pub body_factor: Option<f64>,
    /// Measured strength of the present fluid in per cent by volume, if stated.
    pub current_strength_pct: Option<f64>,
    /// How much fluid it is in now, if stated.
    pub current_fluid_ml: Option<Volume>,
    /// A quoted price for its custom tank.
    pub tank_quote: Option<Money>,
    /// Only these vessels, if any are named.
    pub must_use: Vec<VesselChoice>,
    /// Never these vessels.
    pub must_not_use: Vec<VesselChoice>,
    /// Wall clearance of this row instead of the scaled one.
    pub clearance: Option<Length>,
    /// Height of its shelf.
    pub max_outer_height: Option<Length>,
    /// Hazard words as typed (`human`, `picric`, `mercury` …), lower case.
    pub hazards: Vec<String>,
    /// The hazards that the hazard words and the two fluids name, in table order.
    pub known_hazards: Vec<HazardId>,
    /// Why it must not be moved, if it must not.
    pub hold: Option<String>,
    /// `disposition`, empty where not given.
    pub disposition: String,
    /// Its present vessel as typed, empty where not given.
    pub current_vessel: String,
    /// `current_material` as typed.
    pub current_material: String,
    /// `current_closure` as typed.
    pub current_closure: String,
    /// `eventID` as typed.
    pub event: String,
    /// `typeStatus` as typed.
    pub type_status: String,
    /// Cells of the columns this program does not read, in the order of [`Collection::carried_headers`].
    pub carried: Vec<String>,
}

impl Particulars {
    /// Whether nothing is stated.
    pub fn are_blank(&self) -> bool {
        // Not by comparing with blank ones: of blank texts no bytes are there, and to compare none at a time takes long.
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

/// How large a specimen is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Size {
    /// Measured as fixed, with all that goes in with it.
    Measured(Envelope),
    /// Not measured: taken from the listed vessel it is in now.
    LikeForLike(VesselId),
    /// Neither measured nor in a listed vessel.
    Unknown,
}

/// The box round the largest individual, no clearance added.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Envelope {
    /// The body axis.
    pub length: Length,
    /// Across.
    pub width: Length,
    /// The vertical measure as it naturally stands, lies or is mounted.
    pub height: Length,
}

impl Envelope {
    /// Volume of the box.
    pub fn volume(&self) -> Volume {
        Volume::at_least_zero(self.length.mm() * self.width.mm() * self.height.mm() / 1000.0)
    }
}

/// Plan of a body.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Outline {
    /// A box: every corner counts.
    Box,
    /// An ellipse in plan, in every posture.
    Rounded,
}

/// What may be vertical.
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

/// How much tissue a row holds, as far as stated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Tissue {
    /// Measured volume of the whole row.
    Volume(Volume),
    /// Mass of the whole row.
    Mass(Mass),
    /// Neither: estimated from the envelope, and marked.
    Unknown,
}

/// Whether a specimen is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Display {
    /// Stored.
    No,
    /// In a clear material.
    Clear,
    /// Behind flat clear faces, not turned in plan.
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

/// What a pin may name: a listed vessel, or a tank made to measure (`@tank`).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum VesselChoice {
    /// A vessel of the stock list.
    Listed(VesselId),
    /// `@tank`.
    Tank,
}

/// Why a row is not to be moved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hold {
    /// The survey's column `hold` says so.
    Stated,
    /// A hazard that holds it.
    Hazard(HazardId),
    /// Its `disposition` says that it is on loan or missing.
    Disposition,
}

impl Specimen {
    /// Why it is not to be moved, if it is not.
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

    /// Whole millilitres in the present fluid, if stated.
    pub fn current_fluid(&self) -> Option<Millilitres> {
        self.particulars.current_fluid_ml.map(Millilitres::nearest)
    }
}
