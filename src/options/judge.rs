//! One specimen against one vessel.

use std::cmp::Reverse;

use super::in_fluid::InFluid;
use super::portions::{Portion, Portions};
use super::sieve::{Set, Sifted, places};
use super::standing::{Body, like_for_like};
use super::tissue::{TissueVolume, tissue};
use super::treatment::Treatment;
use super::vessels::Vessels;
use super::{Cause, Fit, Marks, Refusal, Rule};
use crate::collection::{Particulars, Size, Specimen, VesselChoice};
use crate::project::Project;
use crate::settings::Settings;
use crate::stock::{Section, Vessel, VesselId};
use crate::units::{Millilitres, TOUCH_MM, Volume, truncated};

pub use super::compatible::{Lasting, Parts, compatible, pin};
pub use super::in_fluid::fill;
pub use super::standing::{coil, narrow};

/// Judges a specimen against a vessel: how it stands there, or the first rule that fails and by how much.
///
/// The row's fluid must be known and its size must not be [`Size::Unknown`]; such rows need a decision before any
/// vessel is asked about ([`super::table::undecided`]).
pub fn judge(project: &Project, specimen: &Specimen, id: VesselId) -> Result<Fit, Refusal> {
    judge_treated(project, specimen, &Treatment::of(project, specimen), id)
}

/// The same for a row whose treatment is at hand.
pub fn judge_treated(
    project: &Project,
    specimen: &Specimen,
    treatment: &Treatment,
    id: VesselId,
) -> Result<Fit, Refusal> {
    Candidate::of(project, specimen, treatment).judge(&InFluid::of(project, specimen.fluid, id))
}

/// Whether a measured specimen could stand in a vessel if it were turned below the neck; false where turning is allowed already.
pub fn serves_if_turned(project: &Project, specimen: &Specimen, id: VesselId) -> bool {
    let Size::Measured(envelope) = specimen.size else { return false };
    let settings = Settings { turning: true, ..project.settings.clone() };
    let place = InFluid::of(project, specimen.fluid, id);
    let stands = Body::of(&settings, specimen, &envelope).stands(&place);
    !project.settings.turning && stands.is_ok_and(|standing| standing.turned_in)
}

/// A row to be judged, with all that does not depend on the vessel worked out.
#[derive(Clone, Debug)]
pub struct Candidate<'a> {
    settings: &'a Settings,
    specimen: &'a Specimen,
    treatment: &'a Treatment<'a>,
    stature: Stature<'a>,
    tissue: TissueVolume,
    /// Tissue subtracted from the fluid of the row.
    subtracted: Millilitres,
    crowding: Crowding,
}

/// What rules 2 and 3 test.
#[derive(Clone, Debug)]
enum Stature<'a> {
    Measured(Body<'a>),
    LikeForLike(&'a Vessel),
    Unknown,
}

impl<'a> Candidate<'a> {
    /// A row with its treatment.
    pub fn of(project: &'a Project, specimen: &'a Specimen, treatment: &'a Treatment) -> Self {
        let settings = &project.settings;
        let stature = match specimen.size {
            Size::Measured(envelope) => Stature::Measured(Body::of(settings, specimen, &envelope)),
            Size::LikeForLike(present) => Stature::LikeForLike(project.stock.vessel(present)),
            Size::Unknown => Stature::Unknown,
        };
        let tissue = tissue(settings, specimen);
        Candidate {
            settings,
            specimen,
            treatment,
            stature,
            tissue,
            subtracted: tissue.low.map_or(Millilitres::ZERO, Millilitres::nearest),
            crowding: Crowding::of(settings, specimen, tissue.high),
        }
    }

    /// Tissue subtracted from the fluid of the row, whatever its vessel.
    pub fn tissue(&self) -> Millilitres {
        self.subtracted
    }

    /// Its portions of all suitable vessels: the same as [`Candidate::judge`] gives, in a fraction of the time.
    pub fn portions(&self, vessels: &Vessels) -> Portions {
        let Sifted { surely, perhaps } = self.sift(vessels);
        let in_fluid = vessels.with(self.specimen.fluid);
        let doubtful: Set = perhaps.iter().zip(&surely).map(|(perhaps, surely)| perhaps & !surely).collect();
        let mut portions = if self.treatment.depends_on_tissue() {
            let mut portions = Portions::plain(self.specimen.fluid, vec![0; surely.len()]);
            places(&surely).for_each(|at| portions.add(at, self.taking(&in_fluid[at])));
            portions
        } else {
            Portions::plain(self.specimen.fluid, surely)
        };
        places(&doubtful).for_each(|at| portions.add(at, self.portion(&in_fluid[at])));
        portions.sorted()
    }

    /// Which vessels are certainly suitable by their limits, and which may be.
    fn sift(&self, vessels: &Vessels) -> Sifted {
        let Specimen { fluid, particulars, .. } = self.specimen;
        let Particulars { must_use, must_not_use, max_outer_height, .. } = &**particulars;
        let usual = must_use.is_empty() && must_not_use.is_empty() && max_outer_height.is_none();
        let body = match &self.stature {
            Stature::Measured(body) if body.limited() => Some(body),
            _ => None,
        };
        let Some(sieve) = vessels.sieve(*fluid) else { return Sifted::default() };
        let mut sifted = sieve.sift(self.specimen, body, self.crowding.least);
        if !usual {
            sifted.surely.fill(0);
        }
        sifted
    }

    /// Its portion of one vessel, if that is suitable.
    fn portion(&self, place: &InFluid) -> Option<Portion> {
        let vessel = place.vessel;
        let too_high = || {
            let limit = self.specimen.particulars.max_outer_height.zip(vessel.outer_height);
            limit.is_some_and(|(limit, outer)| !outer.fits(limit))
        };
        let stands = || match &self.stature {
            Stature::Measured(body) => body.goes_in(place),
            Stature::LikeForLike(present) => like_for_like(present, vessel).is_ok(),
            Stature::Unknown => false,
        };
        if !place.available || self.compatible(place).is_err() || !stands() || too_high() {
            return None;
        }
        self.taking(place)
    }

    /// Its portion of a vessel in which it stands, unless that is too crowded.
    fn taking(&self, place: &InFluid) -> Option<Portion> {
        let (pieces, share) = self.crowding.pieces(place.fill.volume).ok()?;
        Some(Portion { pieces, charges: self.treatment.fillings(share).charges, filled: place.filled })
    }

    /// `must_use` and `must_not_use`, and rule 1.
    fn compatible(&self, place: &InFluid) -> Result<Lasting, Refusal> {
        let pinned = pin(self.specimen, VesselChoice::Listed(place.id))?;
        let flat_faces = matches!(place.vessel.section, Section::Rectangular(..));
        place.suitability.serves(self.specimen, flat_faces, pinned || self.settings.accept_unproven)
    }

    /// The nearest miss: of the unsuitable vessels the one that fails by least, the first where several are equal.
    pub fn near_miss(&self, vessels: &Vessels) -> Option<(VesselId, Refusal)> {
        let in_fluid = vessels.with(self.specimen.fluid).iter();
        let refusals = in_fluid.filter_map(|vessel| Some((vessel.id, self.judge(vessel).err()?)));
        refusals.min_by_key(|(_, refusal)| nearness(refusal))
    }

    /// How it stands in a vessel, or the first rule that fails and by how much. `place` must be filled with the row's fluid.
    pub fn judge(&self, place: &InFluid) -> Result<Fit, Refusal> {
        let InFluid { vessel, fill, .. } = *place;
        let lasting = self.compatible(place)?;
        let standing = match &self.stature {
            Stature::Measured(body) => body.stands(place)?,
            Stature::LikeForLike(present) => like_for_like(present, vessel)?,
            Stature::Unknown => return Err(Refusal::plain(Rule::Room, Cause::TooNarrow)),
        };
        let (pieces, share) = self.crowding.pieces(fill.volume)?;
        if let (Some(limit), Some(outer)) = (self.specimen.particulars.max_outer_height, vessel.outer_height)
            && !outer.fits(limit)
        {
            return Err(Refusal::by(Rule::Shelf, Cause::TooHighForShelf, outer.mm() - limit.mm()));
        }
        if !place.available {
            return Err(Refusal::by(Rule::Supply, Cause::NoneToBeHad, f64::from(pieces)));
        }
        let treatment = self.treatment;
        let fillings = treatment.fillings(share);
        Ok(Fit {
            pieces,
            stance: standing.stance,
            leaning: standing.leaning,
            wall_gap: standing.wall_gap,
            cover: standing.cover,
            mouth_gap: standing.mouth_gap,
            tissue_share: share,
            life_years: lasting.life_years,
            charges: fillings.charges,
            filled: place.filled,
            tissue: self.subtracted,
            marks: Marks {
                unproven: lasting.unproven,
                tissue_estimated: self.tissue.estimated,
                size_from_vessel: matches!(self.stature, Stature::LikeForLike(_)),
                leaning: standing.leaning,
                renewed: lasting.renewed,
                turned_in: standing.turned_in,
                tight_coil: standing.tight_coil,
                very_loose: share.is_some_and(|share| share < self.settings.very_loose_pct.ratio()),
                doubtful_pair: lasting.review,
                ..treatment.marks(fillings.enough)
            },
        })
    }
}

/// Rule 4, crowding, for one row.
#[derive(Clone, Copy, Debug)]
struct Crowding {
    tissue: Option<Volume>,
    /// The share that is allowed.
    limit: f64,
    individuals: f64,
    /// The most vessels it may be divided over.
    most: u32,
    /// Filled volumes in millilitres below which it is too crowded, but for rounding: in `most` vessels, and in one.
    least: [f64; 2],
}

impl Crowding {
    fn of(settings: &Settings, specimen: &Specimen, tissue: Option<Volume>) -> Self {
        let limit = settings.tissue_share_pct.ratio();
        let individuals = f64::from(specimen.individuals);
        let most = specimen.max_vessels.min(specimen.individuals).max(1);
        let fullest =
            |tissue: Volume, pieces: u32| tissue.ml() * (individuals / f64::from(pieces)).ceil() / individuals;
        let least = |pieces| tissue.map_or(0.0, |tissue| fullest(tissue, pieces) / (limit + SHARE_EPSILON));
        let least = [least(most), least(1)];
        Crowding { tissue, limit, individuals, most, least }
    }

    /// The least number of equal vessels in which the tissue share holds, and the share in the fullest.
    fn pieces(&self, filled: Volume) -> Result<(u32, Option<f64>), Refusal> {
        let Some(tissue) = self.tissue else { return Ok((1, None)) };
        let count = self.individuals;
        let share_of =
            |pieces: u32| tissue.ml() * (count / f64::from(pieces)).ceil() / count / filled.ml().max(TOUCH_MM);
        let mut shares = (1..=self.most).map(|pieces| (pieces, share_of(pieces)));
        match shares.find(|(_, share)| *share <= self.limit + SHARE_EPSILON) {
            Some((pieces, share)) => Ok((pieces, Some(share))),
            None => {
                let over = share_of(self.most) - self.limit;
                Err(Refusal::by(Rule::Crowding, Cause::TooCrowded, over * 100.0))
            }
        }
    }
}

/// Shares closer than this are equal.
const SHARE_EPSILON: f64 = 1e-12;

/// The order of refusals, nearest miss first: a later rule is nearer, then a smaller shortfall.
pub fn nearness(refusal: &Refusal) -> (Reverse<Rule>, u8, i64) {
    // Rule 1 has a shortfall only for a life too short; such a refusal is nearer than the others of the rule.
    let kind = u8::from(refusal.shortfall.is_none());
    // Shortfalls are rounded to tenths, so tenths compare exactly.
    let tenths = refusal.shortfall.map_or(i64::MAX, |amount| truncated((amount * 10.0).round()));
    (Reverse(refusal.rule), kind, tenths)
}
