//! One specimen against one vessel.

use super::treatment::{Route, Treatment};
use super::{Cause, Fit, Marks, Refusal, Rule};
use crate::collection::{Display, Envelope, Outline, Posture, Size, Specimen, Tissue, VesselChoice};
use crate::fit::coil::Coil;
use crate::fit::plan::Plan;
use crate::fit::{self, Stance};
use crate::project::Project;
use crate::rules::clearance::{self, Fill};
use crate::rules::{ClosureId, FluidId, MaterialId, Verdict};
use crate::settings::Settings;
use crate::stock::{Section, Vessel, VesselId};
use crate::units::{Length, Millilitres, TOUCH_MM, Volume};

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
    let vessel = project.stock.vessel(id);
    let pinned = pin(specimen, VesselChoice::Listed(id))?;
    let parts = Parts { material: vessel.material, closure: vessel.closure, loose: false };
    let lasting = compatible(project, specimen, parts, matches!(vessel.section, Section::Rectangular(..)), pinned)?;
    let fill = fill(project, specimen.fluid, vessel);
    let standing = match specimen.size {
        Size::Measured(envelope) => stands(&project.settings, specimen, &envelope, vessel, fill)?,
        Size::LikeForLike(present) => like_for_like(project.stock.vessel(present), vessel)?,
        Size::Unknown => return Err(Refusal::plain(Rule::Room, Cause::TooNarrow)),
    };
    let tissue = tissue(&project.settings, specimen);
    let (pieces, share) = crowding(&project.settings, specimen, tissue.high, fill.volume)?;
    if let (Some(limit), Some(outer)) = (specimen.max_outer_height, vessel.outer_height)
        && !outer.fits(limit)
    {
        return Err(Refusal::by(Rule::Shelf, Cause::TooHighForShelf, outer.mm() - limit.mm()));
    }
    if vessel.free_pieces() == 0 && project.stock.offers_of(id).next().is_none() {
        return Err(Refusal::by(Rule::Supply, Cause::NoneToBeHad, f64::from(pieces)));
    }
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
        filled: Millilitres::nearest(fill.volume),
        tissue: tissue.low.map_or(Millilitres::ZERO, Millilitres::nearest),
        marks: Marks {
            unproven: lasting.unproven,
            tissue_estimated: tissue.estimated,
            size_from_vessel: matches!(specimen.size, Size::LikeForLike(_)),
            leaning: standing.leaning,
            steps_unknown: treatment.route == Route::NotKnown,
            fillings_unknown: !fillings.enough && treatment.route != Route::NotKnown,
        },
    })
}

/// How far a vessel is filled with a fluid, under the settings in force.
pub fn fill(project: &Project, fluid: FluidId, vessel: &Vessel) -> Fill {
    let rules = &project.rules;
    let (fluid, closure) = (rules.fluid(fluid), rules.closure(vessel.closure));
    clearance::fill(&project.settings, fluid, closure, vessel.inner_height, vessel.brimful)
}

/// Whether a choice is allowed by the row's pins; true where the row is pinned to it.
pub fn pin(specimen: &Specimen, choice: VesselChoice) -> Result<bool, Refusal> {
    if specimen.must_not_use.contains(&choice) {
        return Err(Refusal::plain(Rule::Pin, Cause::Excluded));
    }
    if specimen.must_use.is_empty() {
        return Ok(false);
    }
    if specimen.must_use.contains(&choice) { Ok(true) } else { Err(Refusal::plain(Rule::Pin, Cause::PinnedElsewhere)) }
}

/// What touches the fluid.
#[derive(Clone, Copy, Debug)]
pub struct Parts {
    /// The body.
    pub material: MaterialId,
    /// What shuts it.
    pub closure: ClosureId,
    /// It need not seal: that it does not suit the fluid is of no account.
    pub loose: bool,
}

/// How long material and closure serve in the fluid.
#[derive(Clone, Copy, Debug)]
pub struct Lasting {
    /// Least of all lives; `None` = no limit.
    pub life_years: Option<f64>,
    /// A pair about which nothing is known was accepted.
    pub unproven: bool,
}

/// Rule 1: material and closure with the fluid, their lives, and display.
pub fn compatible(
    project: &Project,
    specimen: &Specimen,
    parts: Parts,
    flat_faces: bool,
    pinned: bool,
) -> Result<Lasting, Refusal> {
    let refuse = |cause| Err(Refusal::plain(Rule::Compatible, cause));
    let rules = &project.rules;
    let with_material = rules.compatibility.material(specimen.fluid, parts.material);
    let with_closure = rules.compatibility.closure(specimen.fluid, parts.closure);
    if with_material == Verdict::Unsuitable {
        return refuse(Cause::MaterialUnsuitable);
    }
    if with_closure == Verdict::Unsuitable && !parts.loose {
        return refuse(Cause::ClosureUnsuitable);
    }
    let limited = |verdict| if let Verdict::Limited(years) = verdict { Some(years) } else { None };
    let lives = [
        rules.material(parts.material).life_years,
        rules.closure(parts.closure).life_years,
        limited(with_material),
        limited(with_closure),
    ];
    let life_years = lives.into_iter().flatten().min_by(f64::total_cmp);
    if let Some(life) = life_years
        && life < specimen.keep_years
    {
        return Err(Refusal::by(Rule::Compatible, Cause::LifeTooShort, specimen.keep_years - life));
    }
    let accepted = pinned || project.settings.accept_unproven;
    if with_material == Verdict::Unproven && !accepted {
        return refuse(Cause::MaterialUnproven);
    }
    if with_closure == Verdict::Unproven && !accepted {
        return refuse(Cause::ClosureUnproven);
    }
    if specimen.display != Display::No && !rules.material(parts.material).clear {
        return refuse(Cause::NotClear);
    }
    if specimen.display == Display::Flat && !flat_faces {
        return refuse(Cause::NotFlat);
    }
    let unproven = with_material == Verdict::Unproven || with_closure == Verdict::Unproven;
    Ok(Lasting { life_years, unproven })
}

/// How a body stands in a vessel.
#[derive(Clone, Copy, Debug, Default)]
struct Standing {
    stance: Option<Stance>,
    leaning: bool,
    wall_gap: Option<Length>,
    cover: Option<Length>,
    mouth_gap: Option<Length>,
}

/// Rules 2 and 3: one posture must pass the mouth and stand inside, covered. If any passes the mouth, the reason is room.
fn stands(
    settings: &Settings,
    specimen: &Specimen,
    envelope: &Envelope,
    vessel: &Vessel,
    fill: Fill,
) -> Result<Standing, Refusal> {
    let mut narrowest_mouth: Option<Length> = None;
    let mut nearest_room: Option<(Length, Cause)> = None;
    let mut leaning: Option<Standing> = None;
    for &stance in Stance::allowed(specimen.posture) {
        let (vertical, (along, across)) = stance.measures(envelope);
        let outline = if stance == Stance::Coil { Outline::Rounded } else { specimen.outline };
        let give = 1.0 - specimen.section_give;
        let passing = Plan { outline, along: along * give, across: across * give };
        let free = clearance::mouth(settings, fit::mouth::measure(passing, vessel.mouth));
        let lack = narrow(passing, vessel.mouth, free, specimen.display != Display::Flat);
        if lack > Length::ZERO {
            narrowest_mouth = Some(narrowest_mouth.map_or(lack, |least| least.min(lack)));
            continue;
        }
        let body = Body { stance, vertical, plan: Plan { outline, along, across }, length: envelope.length };
        match room(settings, specimen, body, vessel, fill) {
            Ok(standing) => {
                let standing = Standing { mouth_gap: Some(gap_in_all(passing, vessel.mouth)), ..standing };
                if !standing.leaning {
                    return Ok(standing);
                }
                leaning = leaning.or(Some(standing));
            }
            Err((lack, cause)) => {
                if nearest_room.is_none_or(|(least, _)| lack < least) {
                    nearest_room = Some((lack, cause));
                }
            }
        }
    }
    match (leaning, nearest_room, narrowest_mouth) {
        (Some(standing), _, _) => Ok(standing),
        (None, Some((lack, cause)), _) => Err(Refusal::by(Rule::Room, cause, lack.mm())),
        (None, None, lack) => Err(Refusal::by(Rule::Mouth, Cause::MouthTooNarrow, lack.map_or(0.0, Length::mm))),
    }
}

/// Free space in a mouth in all, as a body passes it.
fn gap_in_all(body: Plan, mouth: Section) -> Length {
    fit::plan::wall_gap(body, mouth, true) * 2.0
}

/// A body in one stance.
#[derive(Clone, Copy)]
struct Body {
    stance: Stance,
    vertical: Length,
    plan: Plan,
    length: Length,
}

/// Rule 3 for one stance; otherwise the largest lack in any one dimension, and which.
fn room(
    settings: &Settings,
    specimen: &Specimen,
    body: Body,
    vessel: &Vessel,
    fill: Fill,
) -> Result<Standing, (Length, Cause)> {
    let wall = specimen.clearance.unwrap_or_else(|| clearance::wall(settings, vessel.section.smaller()));
    let free = vessel.section.less(wall * 2.0);
    let may_turn = specimen.display != Display::Flat;
    let narrow = narrow(body.plan, vessel.section, wall * 2.0, may_turn);
    let cover = clearance::cover(settings, vessel.inner_height);
    let upright = |vertical: Length, wall_gap: Length| Standing {
        stance: Some(body.stance),
        leaning: false,
        wall_gap: Some(wall_gap),
        cover: Some(fill.height.less(settings.floor + vertical)),
        mouth_gap: None,
    };
    let lack_of_height = |vertical: Length| {
        let top = settings.floor + vertical;
        lack(top + cover, fill.height).max(lack(top, vessel.body_height))
    };
    if body.stance == Stance::Coil {
        let coil = fit::coil::coil(body.length, body.vertical, free.smaller(), settings.coil_core.0)
            .map_err(|lack| (lack, Cause::TooNarrow))?;
        let low = lack_of_height(coil.height);
        return if low > Length::ZERO { Err((low, Cause::TooLow)) } else { Ok(upright(coil.height, wall)) };
    }
    let low = lack_of_height(body.vertical);
    if narrow == Length::ZERO && low == Length::ZERO {
        return Ok(upright(body.vertical, fit::plan::wall_gap(body.plan, vessel.section, may_turn)));
    }
    if settings.leaning && may_turn {
        let height = fill.height.less(cover).min(vessel.body_height).less(settings.floor);
        if let Some(lean) = fit::leaning::lean(body.vertical, body.plan, free, height) {
            let standing = upright(lean.top, wall);
            return Ok(Standing { leaning: true, ..standing });
        }
    }
    if narrow >= low { Err((narrow, Cause::TooNarrow)) } else { Err((low, Cause::TooLow)) }
}

/// The coil a specimen makes in a vessel, if it is to be coiled and goes in.
pub fn coil(settings: &Settings, specimen: &Specimen, vessel: &Vessel) -> Option<Coil> {
    let Size::Measured(envelope) = specimen.size else { return None };
    if specimen.posture != Posture::Coil {
        return None;
    }
    let wall = specimen.clearance.unwrap_or_else(|| clearance::wall(settings, vessel.section.smaller()));
    let width = vessel.section.less(wall * 2.0).smaller();
    let thickness = envelope.width.max(envelope.height);
    fit::coil::coil(envelope.length, thickness, width, settings.coil_core.0).ok()
}

/// How much a section lacks in one measure to take a body with so much free space in all; nothing where it does.
pub fn narrow(body: Plan, section: Section, free: Length, may_turn: bool) -> Length {
    if free.fits(section.smaller()) {
        return fit::plan::lack(body, section.less(free), may_turn);
    }
    // The free space alone is more than there is.
    match section {
        Section::Round(diameter) => (fit::mouth::measure(body, section) + free).less(diameter),
        Section::Rectangular(..) => {
            let longer = (body.along.max(body.across) + free).less(section.larger());
            longer.max((body.along.min(body.across) + free).less(section.smaller()))
        }
    }
}

/// How much more than `room` a length is; nothing where they touch.
fn lack(needed: Length, room: Length) -> Length {
    if needed.fits(room) { Length::ZERO } else { needed.less(room) }
}

/// Rules 2 and 3 for a body that was not measured: the vessel is at least as large inside, in every respect, as the one
/// it is in now. No clearance is added.
fn like_for_like(present: &Vessel, vessel: &Vessel) -> Result<Standing, Refusal> {
    let mouth = section_lack(present.mouth, vessel.mouth);
    if mouth > Length::ZERO {
        return Err(Refusal::by(Rule::Mouth, Cause::SmallerThanPresent, mouth.mm()));
    }
    let room = section_lack(present.section, vessel.section)
        .max(lack(present.inner_height, vessel.inner_height))
        .max(lack(present.body_height, vessel.body_height));
    if room > Length::ZERO {
        return Err(Refusal::by(Rule::Room, Cause::SmallerThanPresent, room.mm()));
    }
    Ok(Standing::default())
}

/// How much a section lacks to hold another: measure by measure in the same form, by the plan test in another form.
fn section_lack(present: Section, section: Section) -> Length {
    match (present, section) {
        (Section::Round(now), Section::Round(then)) => lack(now, then),
        (Section::Rectangular(..), Section::Rectangular(..)) => {
            lack(present.larger(), section.larger()).max(lack(present.smaller(), section.smaller()))
        }
        (Section::Round(now), room) => {
            fit::plan::lack(Plan { outline: Outline::Rounded, along: now, across: now }, room, true)
        }
        (Section::Rectangular(along, across), room) => {
            fit::plan::lack(Plan { outline: Outline::Box, along, across }, room, true)
        }
    }
}

/// How much tissue a row holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TissueVolume {
    /// For crowding; `None` where nothing is known.
    pub high: Option<Volume>,
    /// For the volume of fluid; `None` where nothing is known.
    pub low: Option<Volume>,
    /// Neither measured nor weighed.
    pub estimated: bool,
}

/// The tissue of a row: measured, else by mass, else estimated from the envelope twice, high for crowding and low for
/// the volume of fluid.
pub fn tissue(settings: &Settings, specimen: &Specimen) -> TissueVolume {
    let known = |volume| TissueVolume { high: Some(volume), low: Some(volume), estimated: false };
    match (specimen.tissue, specimen.size) {
        (Tissue::Volume(volume), _) => known(volume),
        (Tissue::Mass(mass), _) => known(Volume::at_least_zero(mass.g() / settings.tissue_density.0)),
        (Tissue::Unknown, Size::Measured(envelope)) => {
            let body = match specimen.posture {
                // A coiled body is a round rod of its length, whatever its outline is said to be.
                Posture::Coil => [std::f64::consts::FRAC_PI_4, COIL_LOW],
                _ => match specimen.outline {
                    Outline::Box => [settings.tissue_high_box.0, settings.tissue_low.0],
                    Outline::Rounded => [settings.tissue_high_rounded.0, settings.tissue_low.0],
                },
            };
            let [high, low] = specimen.body_factor.map_or(body, |factor| [factor, factor]);
            let all = envelope.volume() * f64::from(specimen.individuals);
            TissueVolume { high: Some(all * high), low: Some(all * low), estimated: true }
        }
        (Tissue::Unknown, _) => TissueVolume { high: None, low: None, estimated: false },
    }
}

/// Tissue of a body to be coiled over length × width × height, for the volume of fluid (common practice, no source).
const COIL_LOW: f64 = 0.5;

/// Rule 4: the least number of equal vessels in which the tissue share holds, and the share in the fullest.
fn crowding(
    settings: &Settings,
    specimen: &Specimen,
    tissue: Option<Volume>,
    filled: Volume,
) -> Result<(u32, Option<f64>), Refusal> {
    let Some(tissue) = tissue else { return Ok((1, None)) };
    let limit = settings.tissue_share_pct.ratio();
    let count = f64::from(specimen.individuals);
    let most = specimen.max_vessels.min(specimen.individuals).max(1);
    let share_of = |pieces: u32| tissue.ml() * (count / f64::from(pieces)).ceil() / count / filled.ml().max(TOUCH_MM);
    match (1..=most).find(|&pieces| share_of(pieces) <= limit + SHARE_EPSILON) {
        Some(pieces) => Ok((pieces, Some(share_of(pieces)))),
        None => Err(Refusal::by(Rule::Crowding, Cause::TooCrowded, (share_of(most) - limit) * 100.0)),
    }
}

/// Shares closer than this are equal.
const SHARE_EPSILON: f64 = 1e-12;
