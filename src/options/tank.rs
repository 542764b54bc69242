//! The custom tank as an option: its clear size, its fluid and what it costs.

use super::judge::{self, Parts};
use super::{Cause, Refusal, Rule};
use crate::collection::{Envelope, Posture, Size, Specimen, VesselChoice};
use crate::fit::{self, Stance};
use crate::project::Project;
use crate::rules::Verdict;
use crate::settings::Settings;
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
    /// Price; `None` = unknown.
    pub cost: Option<Money>,
    /// A quoted price, an estimate, or why there is no price.
    pub note: &'static str,
    /// A pair about which nothing is known was accepted, or would have to be.
    pub unproven: bool,
}

/// Why no tank is made for a specimen.
#[derive(Clone, Debug, PartialEq)]
pub enum NoTank {
    /// The row says so, or its shelf or its lid does.
    Refused(Refusal),
    /// Its size is not known.
    NotMeasured,
    /// Its second-largest side is below the smallest a tank is made for.
    TooSmall,
}

/// Note of a tank with a quoted price.
pub const QUOTED: &str = "quoted price";
/// Note of a tank whose price is worked out from its faces.
pub const ESTIMATE: &str = "estimate";
/// Note of a tank that cannot be of silicone-bonded glass without review.
pub const NOT_BONDED_GLASS: &str = "not silicone-bonded glass unless reviewed: a fabricated metal, HDPE or PP tank, or a change of fluid; price unknown";

/// Designs the tank of a specimen: of the postures it allows the cheapest, the first where several cost the same.
///
/// Clear size = envelope + wall clearance on each side; floor + vertical + cover + freeboard; each rounded up.
pub fn design(project: &Project, specimen: &Specimen) -> Result<TankOption, NoTank> {
    let settings = &project.settings;
    let pinned = judge::pin(specimen, VesselChoice::Tank).map_err(NoTank::Refused)?;
    let Size::Measured(measured) = specimen.size else { return Err(NoTank::NotMeasured) };
    let coiled = specimen.posture == Posture::Coil;
    let envelope =
        if coiled { fit::coil::coil_envelope(measured.length, measured.width.max(measured.height)) } else { measured };
    if second_largest(&envelope) < settings.tank_smallest_side {
        return Err(NoTank::TooSmall);
    }
    let glass = bonded_glass(project, specimen, pinned).map_err(NoTank::Refused)?;
    // A coil's envelope lies as it is; every other body in the stances its posture allows.
    let stances = if coiled { &[Stance::Coil] } else { Stance::allowed(specimen.posture) };
    let mut best: Option<(Money, TankOption)> = None;
    let mut lowest: Option<Refusal> = None;
    for &stance in stances {
        let (length, width, height) = clear_size(settings, specimen, &envelope, stance);
        if let Some(limit) = specimen.max_outer_height
            && !height.fits(limit)
        {
            lowest = Some(Refusal::by(Rule::Shelf, Cause::TooHighForShelf, height.mm() - limit.mm()));
            continue;
        }
        let estimate = estimate(settings, length, width, height);
        let cost = specimen.tank_quote.or(glass.then_some(estimate));
        let filled = height.less(settings.tank_freeboard);
        let filled = Volume::at_least_zero(length.mm() * width.mm() * filled.mm() / 1000.0);
        let tissue = judge::tissue(settings, specimen).low.map_or(Millilitres::ZERO, Millilitres::nearest);
        let fluid = Millilitres::nearest(filled) - tissue;
        if fluid <= Millilitres::ZERO {
            // The envelope is one individual's: a lot of many may hold more tissue than such a tank.
            let share = 100.0 * tissue.0 as f64 / filled.ml().max(1.0);
            let over = share - settings.tissue_share_pct.0;
            lowest = Some(Refusal::by(Rule::Crowding, Cause::TooCrowded, over));
            continue;
        }
        let note = match (specimen.tank_quote, glass) {
            (Some(_), _) => QUOTED,
            (None, true) => ESTIMATE,
            (None, false) => NOT_BONDED_GLASS,
        };
        let weighed = cost.unwrap_or(estimate) + project.rules.fluid(specimen.fluid).price.per_litre(fluid);
        if best.as_ref().is_none_or(|(least, _)| weighed < *least) {
            let unproven = !glass || !proven(project, specimen);
            best = Some((weighed, TankOption { length, width, height, stance, fluid, cost, note, unproven }));
        }
    }
    match (best, lowest) {
        (Some((_, tank)), _) => Ok(tank),
        (None, Some(refusal)) => Err(NoTank::Refused(refusal)),
        (None, None) => Err(NoTank::NotMeasured),
    }
}

/// Clear length (the longer side), width and height of the tank for a body in one stance.
fn clear_size(
    settings: &Settings,
    specimen: &Specimen,
    envelope: &Envelope,
    stance: Stance,
) -> (Length, Length, Length) {
    let (vertical, (along, across)) = if stance == Stance::Coil {
        (envelope.height, (envelope.length, envelope.width))
    } else {
        stance.measures(envelope)
    };
    let wall = settings.tank_wall.max(specimen.clearance.unwrap_or(Length::ZERO)) * 2.0;
    let up = |length: Length| round_up(length, settings.tank_round_up);
    let (along, across) = (up(along + wall), up(across + wall));
    let height = up(settings.tank_floor + vertical + settings.tank_cover + settings.tank_freeboard);
    (along.max(across), along.min(across), height)
}

/// Up to a multiple of `step`; unchanged where the step is nothing.
fn round_up(length: Length, step: Length) -> Length {
    if step == Length::ZERO {
        return length;
    }
    Length::at_least_zero(((length.mm() - crate::units::TOUCH_MM) / step.mm()).ceil() * step.mm())
}

/// Base price and a price for the area of the six clear faces.
fn estimate(settings: &Settings, length: Length, width: Length, height: Length) -> Money {
    let (l, w, h) = (length.mm() / 1000.0, width.mm() / 1000.0, height.mm() / 1000.0);
    let faces_m2 = 2.0 * (l * w + l * h + w * h);
    // A face of more than a square kilometre does not occur; the fallback only keeps the arithmetic total.
    let faces = Money::estimate(settings.tank_price_per_m2.approximate() * faces_m2);
    settings.tank_base_price + faces.unwrap_or(Money::whole(1_000_000_000))
}

/// Whether a tank of silicone-bonded glass with its lid serves the specimen; `Err` where its lid or display forbids it.
/// Where the glass itself does not suit the fluid the answer is no, and the tank is of something else.
fn bonded_glass(project: &Project, specimen: &Specimen, pinned: bool) -> Result<bool, Refusal> {
    let Some(parts) = parts(project) else { return Ok(false) };
    match judge::compatible(project, specimen, parts, true, pinned) {
        Ok(_) => Ok(true),
        Err(refusal) if matches!(refusal.cause, Cause::MaterialUnsuitable | Cause::MaterialUnproven) => Ok(false),
        // The glass is what the doubt is about wherever it is unproven; its lid is then of no account.
        Err(_) if with_glass(project, specimen, parts) == Verdict::Unproven && !accepted(project, pinned) => Ok(false),
        Err(refusal) => Err(refusal),
    }
}

fn proven(project: &Project, specimen: &Specimen) -> bool {
    parts(project).is_some_and(|parts| {
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
fn parts(project: &Project) -> Option<Parts> {
    let material = project.rules.material_named(&project.settings.tank_material)?;
    let closure = project.rules.closure_named(&project.settings.tank_lid)?;
    Some(Parts { material, closure })
}

/// The second-largest side of an envelope.
pub fn second_largest(envelope: &Envelope) -> Length {
    let mut sides = [envelope.length, envelope.width, envelope.height];
    sides.sort_by(|a, b| a.mm().total_cmp(&b.mm()));
    sides[1]
}
