//! The custom tank as an option: its clear size, its fluid and what it costs.

use super::compatible::{Parts, compatible, pin};
use super::tissue::tissue;
use super::treatment::Treatment;
use super::{Cause, Filling, Marks, Refusal, Rule};
use crate::collection::{Envelope, Posture, Size, Specimen, VesselChoice};
use crate::fit::{self, Stance};
use crate::project::Project;
use crate::rules::{Family, FluidId, Verdict};
use crate::settings::glass::LOOSE_LID;
use crate::tank::clear;
use crate::tank::density;
use crate::tank::design::{self, Demand, Design};
use crate::tank::limits::Beyond;
use crate::tank::ways_out::{WayOut, ways_out};
use crate::units::{Length, Millilitres, Money, Volume};

/// A tank made to measure for one specimen.
#[derive(Clone, Debug, PartialEq)]
pub struct TankOption {
    /// Clear length inside.
    pub length: Length,
    /// Clear width inside.
    pub width: Length,
    /// Clear height inside, floor to rim.
    pub height: Length,
    /// What is vertical.
    pub stance: Stance,
    /// Fluid of one filling.
    pub fluid: Millilitres,
    /// Fillings it takes.
    pub charges: u32,
    /// Price; `None` = unknown.
    pub cost: Option<Money>,
    /// Where its price is from, or why there is none.
    pub price_basis: TankPriceBasis,
    /// What else can hold the fluid, where silicone-bonded glass is not suitable.
    pub ways_out: Vec<WayOut>,
    /// A pair about which nothing is known was accepted, or would have to be.
    pub unproven: bool,
    /// Its lid lies loose, and seals nothing.
    pub loose_lid: bool,
    /// What must be reviewed about its filling.
    pub marks: Marks,
    /// The design in silicone-bonded glass; `None` where the tank is of something else, or only a quoted price is known.
    pub design: Option<Box<Design>>,
}

/// Why no tank is made for a specimen.
#[derive(Clone, Debug, PartialEq)]
pub enum NoTank {
    /// A rule refuses any tank: a pin, its lid, its display, its shelf, or tissue that leaves no room for fluid.
    Refused(Refusal),
    /// Its size is not known.
    NotMeasured,
    /// Its second-largest side is below the smallest a tank is made for.
    TooSmall,
    /// Silicone-bonded glass of its size is outside the calculation or its limits.
    Beyond(Beyond),
}

/// Where the price of a tank is from, or why there is none.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TankPriceBasis {
    /// The row states a quoted price.
    Quoted,
    /// Estimated from its panes, joints and hours.
    Estimate,
    /// Estimated, in a size that several tanks share.
    SharedEstimate,
    /// No price: it cannot be of silicone-bonded glass without review.
    NotBondedGlass,
    /// No price: silicone-bonded glass does not suit the fluid.
    DoesNotSuit,
    /// No price: its silicone-bonded glass or lid was accepted unproven, but does not last as long as it is to be kept.
    DoesNotLast,
}

impl TankPriceBasis {
    /// Whether it is estimated.
    pub fn is_estimate(self) -> bool {
        matches!(self, Self::Estimate | Self::SharedEstimate)
    }
}

/// Designs the tank of a specimen: of the postures it allows the cheapest, the first where several cost the same.
///
/// Clear size = envelope + wall clearance on each side; floor + vertical + cover + freeboard; each rounded up.
pub fn tank(project: &Project, specimen: &Specimen) -> Result<TankOption, NoTank> {
    let settings = &project.settings;
    let pinned = pin(specimen, VesselChoice::Tank).map_err(NoTank::Refused)?;
    let envelope = envelope(specimen).ok_or(NoTank::NotMeasured)?;
    if second_largest(&envelope) < settings.tank_smallest_side {
        return Err(NoTank::TooSmall);
    }
    let not_glass = not_bonded_glass(project, specimen, pinned).map_err(NoTank::Refused)?;
    // A coil lies; any other body takes the stances that its posture allows.
    let stances = if specimen.posture == Posture::Coil { &[Stance::Coil] } else { Stance::allowed(specimen.posture) };
    let treatment = Treatment::of(project, specimen);
    let mut best: Option<(Money, TankOption)> = None;
    let mut last = NoTank::NotMeasured;
    for &stance in stances {
        match of_stance(project, specimen, (&treatment, not_glass), (stance, standing(&envelope, stance))) {
            Ok((weighed, tank)) if best.as_ref().is_none_or(|(least, _)| weighed < *least) => {
                best = Some((weighed, tank));
            }
            Ok(_) => {}
            Err(none) => last = none,
        }
    }
    best.map(|(_, tank)| tank).ok_or(last)
}

/// The tank for a body in one stance, and the money by which stances are compared: its price, or the area of its faces in square
/// metres where no price is known, and the cost of its fluid. `not_glass` says why it is not of bonded glass, where it is not.
fn of_stance(
    project: &Project,
    specimen: &Specimen,
    (treatment, not_glass): (&Treatment, Option<TankPriceBasis>),
    (stance, body): (Stance, [Length; 3]),
) -> Result<(Money, TankOption), NoTank> {
    let glass = not_glass.is_none();
    let size = clear::size(&project.settings, body, specimen.particulars.clearance);
    let [length, width, height] = size;
    let TankFilling { fluid, charges, enough } = poured(project, specimen, treatment, size).map_err(NoTank::Refused)?;
    let quote = specimen.particulars.tank_quote;
    let design = match if glass { built(project, specimen, size, body) } else { Ok(None) } {
        Ok(design) => design,
        // A quoted tank has the glazier's own design.
        Err(_) if quote.is_some() => None,
        Err(beyond) => return Err(NoTank::Beyond(beyond)),
    };
    // The outer height includes base and lid.
    let outer = design.as_ref().map_or(height, |design| design.outer[2]);
    if let Some(limit) = specimen.particulars.max_outer_height
        && !outer.fits(limit)
    {
        let over = outer.mm() - limit.mm();
        return Err(NoTank::Refused(Refusal::by(Rule::Shelf, Cause::TooHighForShelf, over)));
    }
    let cost = quote.or(design.as_ref().map(|design| design.cost.total()));
    let price_basis =
        if quote.is_some() { TankPriceBasis::Quoted } else { not_glass.unwrap_or(TankPriceBasis::Estimate) };
    let fluid_cost = Filling::of(project, specimen, treatment, charges, fluid).money(project, specimen.fluid);
    let faces = (length.mm() * width.mm() + (length + width).mm() * height.mm()) / 1e6;
    let weighed = cost.or(Money::estimate(faces)).unwrap_or(Money::ZERO) + fluid_cost;
    let tank = TankOption {
        length,
        width,
        height,
        stance,
        fluid,
        charges,
        cost,
        price_basis,
        ways_out: if glass || quote.is_some() { Vec::new() } else { ways_out(&project.rules, specimen.fluid) },
        // What is known not to suit needs no review.
        unproven: not_glass != Some(TankPriceBasis::DoesNotSuit) && (!glass || !proven(project, specimen)),
        loose_lid: glass && loose(project, specimen.fluid),
        marks: treatment.marks(enough),
        design,
    };
    Ok((weighed, tank))
}

/// Fluid of a tank of a clear size.
pub(super) struct TankFilling {
    /// Of one filling.
    pub(super) fluid: Millilitres,
    /// Fillings it takes.
    pub(super) charges: u32,
    /// It is known that so many fillings are enough.
    pub(super) enough: bool,
}

/// The fluid of a tank of a clear size; `Err` where the tissue leaves no room for fluid.
pub(super) fn poured(
    project: &Project,
    specimen: &Specimen,
    treatment: &Treatment,
    [length, width, height]: [Length; 3],
) -> Result<TankFilling, Refusal> {
    let settings = &project.settings;
    let tissue = tissue(settings, specimen);
    let filled = height.less(settings.tank_freeboard);
    let filled = Volume::at_least_zero(length.mm() * width.mm() * filled.mm() / 1000.0);
    let fluid = Millilitres::nearest(filled) - tissue.low.map_or(Millilitres::ZERO, Millilitres::nearest);
    if fluid <= Millilitres::ZERO {
        // The envelope is one individual's: a lot of many may hold more tissue than such a tank.
        let share = 100.0 * tissue.low.map_or(0.0, Volume::ml) / filled.ml().max(1.0);
        return Err(Refusal::by(Rule::Crowding, Cause::TooCrowded, share - settings.tissue_share_pct.0));
    }
    let fillings = treatment.fillings(tissue.high.map(|tissue| (tissue.ml() / filled.ml()).min(1.0)));
    Ok(TankFilling { fluid, charges: fillings.charges, enough: fillings.enough })
}

/// Designs the tank of silicone-bonded glass with a clear size; `along` and `across` are measures of the body.
fn built(
    project: &Project,
    specimen: &Specimen,
    [length, width, height]: [Length; 3],
    [along, across, _]: [Length; 3],
) -> Result<Option<Box<Design>>, Beyond> {
    let fluid = project.rules.fluid(specimen.fluid);
    let (density, coldest) = density::densities(&project.settings, fluid).ok_or_else(Beyond::density_unknown)?;
    let opening = Some((along.max(across), along.min(across)));
    let demand = Demand { length, width, height, density, coldest, opening };
    design::design(&project.settings, &demand).map(|design| Some(Box::new(design)))
}

/// The envelope that a tank is made for: of the coil, if the body is coiled. `None` where it is not measured.
pub(super) fn envelope(specimen: &Specimen) -> Option<Envelope> {
    match (specimen.size, specimen.posture) {
        (Size::Measured(body), Posture::Coil) => {
            Some(fit::coil::coil_envelope(body.length, body.width.max(body.height)))
        }
        (Size::Measured(body), _) => Some(body),
        _ => None,
    }
}

/// The measures of a body along, across and upright in one stance.
pub(super) fn standing(envelope: &Envelope, stance: Stance) -> [Length; 3] {
    if stance == Stance::Coil {
        return [envelope.length, envelope.width, envelope.height];
    }
    let (vertical, (along, across)) = stance.measures(envelope);
    [along, across, vertical]
}

/// Why a tank for this specimen cannot be of silicone-bonded glass; `None` if glass and lid are both suitable.
///
/// # Errors
/// The refusal, if the lid or the way the specimen is displayed rules out a tank of any kind.
fn not_bonded_glass(project: &Project, specimen: &Specimen, pinned: bool) -> Result<Option<TankPriceBasis>, Refusal> {
    let Some(parts) = parts(project, specimen.fluid) else { return Ok(Some(TankPriceBasis::NotBondedGlass)) };
    let unproven = with_glass(project, specimen, parts) == Verdict::Unproven;
    match compatible(project, specimen, parts, true, pinned) {
        Ok(_) => Ok(None),
        Err(refusal) if refusal.cause == Cause::MaterialUnsuitable => Ok(Some(TankPriceBasis::DoesNotSuit)),
        Err(refusal) if refusal.cause == Cause::MaterialUnproven => Ok(Some(TankPriceBasis::NotBondedGlass)),
        // Where the glass is unproven and not accepted, it is the reason, whatever the lid.
        Err(_) if unproven && !accepted(project, pinned) => Ok(Some(TankPriceBasis::NotBondedGlass)),
        Err(refusal) if unproven && refusal.cause == Cause::LifeTooShort => Ok(Some(TankPriceBasis::DoesNotLast)),
        Err(refusal) => Err(refusal),
    }
}

fn proven(project: &Project, specimen: &Specimen) -> bool {
    parts(project, specimen.fluid).is_some_and(|parts| {
        with_glass(project, specimen, parts) != Verdict::Unproven
            && project.rules.compatibility.closure(specimen.fluid, parts.closure) != Verdict::Unproven
    })
}

fn with_glass(project: &Project, specimen: &Specimen, parts: Parts) -> Verdict {
    project.rules.compatibility.material(specimen.fluid, parts.material)
}

fn accepted(project: &Project, pinned: bool) -> bool {
    pinned || project.settings.accept_unproven
}

/// Material and lid of a tank, as the settings name them.
fn parts(project: &Project, fluid: FluidId) -> Option<Parts> {
    let material = project.rules.material_named(&project.settings.tank_material)?;
    let closure = project.rules.closure_named(&project.settings.tank_lid)?;
    Some(Parts { material, closure, loose: loose(project, fluid) })
}

/// Whether the lid lies loose over a fluid: the settings choose and allow a loose lid, and the fluid has no flammable vapour.
pub fn loose(project: &Project, fluid: FluidId) -> bool {
    let (settings, fluid) = (&project.settings, project.rules.fluid(fluid));
    let burns = fluid.flash_c.is_some() || matches!(fluid.family, Family::Alcohol | Family::Oil | Family::Unknown);
    settings.loose_lid && settings.tank_lid == LOOSE_LID && !burns
}

/// The second-largest side of an envelope.
pub fn second_largest(envelope: &Envelope) -> Length {
    let mut sides = [envelope.length, envelope.width, envelope.height];
    sides.sort_by(|a, b| a.mm().total_cmp(&b.mm()));
    sides[1]
}
