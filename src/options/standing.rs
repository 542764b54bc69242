//! Rules 2 and 3: whether a body goes in and stands inside, covered, and how.

use super::in_fluid::InFluid;
use super::{Cause, Refusal, Rule};
use crate::collection::{Display, Envelope, Outline, Posture, Size, Specimen};
use crate::fit::coil::Coil;
use crate::fit::footprint::{Footprint, FootprintMeasures};
use crate::fit::turned_in::{Turn, turns};
use crate::fit::{self, Stance};
use crate::rules::clearance;
use crate::settings::Settings;
use crate::stock::{Section, Vessel};
use crate::units::Length;

/// How a body stands in a vessel.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Standing {
    pub(super) stance: Option<Stance>,
    pub(super) leaning: bool,
    /// It goes in end on and is turned below the neck.
    pub(super) turned_in: bool,
    /// Its coil is tighter than usual (`coil_core`) and must be reviewed.
    pub(super) tight_coil: bool,
    pub(super) wall_gap: Option<Length>,
    pub(super) cover: Option<Length>,
    pub(super) mouth_gap: Option<Length>,
}

/// A measured body in every stance that its row allows, in the order they are preferred.
#[derive(Clone, Debug)]
pub(super) struct Body<'a> {
    settings: &'a Settings,
    /// Free space at the wall that its row asks for.
    clearance: Option<Length>,
    may_turn: bool,
    stances: Vec<Stood>,
    /// The stances in which it may pass the mouth before it is turned below the neck; empty where turning is not allowed.
    entries: Vec<Stood>,
}

/// A body in one stance.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stood {
    stance: Stance,
    pub(super) vertical: Length,
    length: Length,
    footprint: Footprint,
    pub(super) measures: FootprintMeasures,
    /// Its footprint while it passes a mouth: narrower for a soft body.
    pub(super) passing: FootprintMeasures,
    /// Free space that this footprint requires in a round and in a rectangular mouth, both sides together.
    pub(super) free: [Length; 2],
}

impl<'a> Body<'a> {
    pub(super) fn of(settings: &'a Settings, specimen: &Specimen, envelope: &Envelope) -> Self {
        let stood = |&stance: &Stance| {
            let (vertical, (along, across)) = stance.measures(envelope);
            let outline = if stance == Stance::Coil { Outline::Rounded } else { specimen.outline };
            let give = 1.0 - specimen.section_give;
            let footprint = Footprint { outline, along, across };
            let passing = FootprintMeasures::from(Footprint { outline, along: along * give, across: across * give });
            let free = [passing.round(), passing.longer()].map(|measure| clearance::mouth(settings, measure));
            let measures = FootprintMeasures::from(footprint);
            Stood { stance, vertical, length: envelope.length, footprint, measures, passing, free }
        };
        let entries: &[Stance] = match specimen.posture {
            Posture::Coil => &[],
            _ if settings.turning => &[Stance::Length, Stance::Height, Stance::Width],
            _ => &[],
        };
        Body {
            settings,
            clearance: specimen.particulars.clearance,
            may_turn: specimen.display != Display::Flat,
            stances: Stance::allowed(specimen.posture).iter().map(stood).collect(),
            entries: entries.iter().map(stood).collect(),
        }
    }

    /// Whether the sieve can decide about it: not where it may lean, coil or be turned below a neck, or where its row asks for a free
    /// space at the wall.
    pub(super) fn limited(&self) -> bool {
        let coils = self.stances.iter().any(|stood| stood.stance == Stance::Coil);
        let leans = self.settings.leaning && self.may_turn;
        self.clearance.is_none() && self.entries.is_empty() && !coils && !leans
    }

    /// In the order they are preferred.
    pub(super) fn stances(&self) -> &[Stood] {
        &self.stances
    }

    /// Free space at the wall: that of its row, else that of the vessel.
    fn wall(&self, place: &InFluid) -> Length {
        self.clearance.unwrap_or(place.wall)
    }

    /// Whether it may be turned about the vertical.
    pub(super) fn may_turn(&self) -> bool {
        self.may_turn
    }

    /// Whether it stands there: the same test as [`Body::stands`], without details.
    pub(super) fn goes_in(&self, place: &InFluid) -> bool {
        let Body { settings, may_turn, .. } = *self;
        if settings.leaning || !self.entries.is_empty() || self.stances.iter().any(|stood| stood.stance == Stance::Coil)
        {
            return self.stands(place).is_ok();
        }
        let InFluid { vessel, fill, cover, .. } = *place;
        let wall = self.wall(place);
        self.stances.iter().any(|stood| {
            let top = settings.floor + stood.vertical;
            (top + cover).fits(fill.height)
                && top.fits(vessel.body_height)
                && passes(stood.passing, vessel.mouth, stood.free_in(vessel.mouth), may_turn)
                && passes(stood.measures, vessel.section, wall * 2.0, may_turn)
        })
    }

    /// Rules 2 and 3: one stance must pass the mouth and stand inside, covered. If any passes the mouth, the refusal is by room.
    pub(super) fn stands(&self, place: &InFluid) -> Result<Standing, Refusal> {
        let mouth = place.vessel.mouth;
        let mut narrowest_mouth: Option<Length> = None;
        let mut nearest_room: Option<(Length, Cause)> = None;
        // A body leans or is turned in only where it can stand in no other way.
        let mut by_hand: Option<Standing> = None;
        for stood in &self.stances {
            let lack = narrow(stood.passing, mouth, stood.free_in(mouth), self.may_turn);
            let straight = lack == Length::ZERO;
            let Some(passing) = Some(stood).filter(|_| straight).or_else(|| self.end_on(stood, place)) else {
                narrowest_mouth = Some(narrowest_mouth.map_or(lack, |least| least.min(lack)));
                continue;
            };
            // A body is not both turned in and leaning.
            match self.room(stood, place, straight) {
                Ok(standing) => {
                    // Free space in the mouth, both sides together, as the body passes it.
                    let mouth_gap = fit::footprint::wall_gap(passing.passing, mouth, true) * 2.0;
                    let standing = Standing { mouth_gap: Some(mouth_gap), turned_in: !straight, ..standing };
                    if straight && !standing.leaning {
                        return Ok(standing);
                    }
                    by_hand = by_hand.or(Some(standing));
                }
                Err((lack, cause)) => {
                    if nearest_room.is_none_or(|(least, _)| lack < least) {
                        nearest_room = Some((lack, cause));
                    }
                }
            }
        }
        match (by_hand, nearest_room, narrowest_mouth) {
            (Some(standing), _, _) => Ok(standing),
            (None, Some((lack, cause)), _) => Err(Refusal::by(Rule::Room, cause, lack.mm())),
            (None, None, lack) => Err(Refusal::by(Rule::Mouth, Cause::MouthTooNarrow, lack.map_or(0.0, Length::mm))),
        }
    }

    /// The stance in which a body passes the mouth, if it must be turned below the neck to stand as `stood` and can be.
    fn end_on(&self, stood: &Stood, place: &InFluid) -> Option<&Stood> {
        let InFluid { vessel, .. } = *place;
        let room = vessel.section.less(self.wall(place) * 2.0);
        self.entries.iter().filter(|entry| entry.stance != stood.stance).find(|entry| {
            let Footprint { outline, along, across } = entry.footprint;
            // Of the two measures across the direction of entry, one becomes the vertical; the other stays level.
            let (standing, level) = if along == stood.vertical { (along, across) } else { (across, along) };
            passes(entry.passing, vessel.mouth, entry.free_in(vessel.mouth), self.may_turn)
                && turns(
                    Turn { outline, entering: entry.vertical, standing, level },
                    room,
                    vessel.body_height,
                    self.may_turn,
                )
        })
    }

    /// Rule 3 for one stance: how it stands, or its largest shortfall in any dimension, and which dimension.
    fn room(&self, stood: &Stood, place: &InFluid, may_lean: bool) -> Result<Standing, (Length, Cause)> {
        let Body { settings, may_turn, .. } = *self;
        let InFluid { vessel, fill, cover, .. } = *place;
        let wall = self.wall(place);
        let narrow = narrow(stood.measures, vessel.section, wall * 2.0, may_turn);
        let upright = |vertical: Length, wall_gap: Length| Standing {
            stance: Some(stood.stance),
            leaning: false,
            turned_in: false,
            tight_coil: false,
            wall_gap: Some(wall_gap),
            cover: Some(fill.height.less(settings.floor + vertical)),
            mouth_gap: None,
        };
        let lack_of_height = |vertical: Length| {
            let top = settings.floor + vertical;
            lack(top + cover, fill.height).max(lack(top, vessel.body_height))
        };
        let free = || vessel.section.less(wall * 2.0);
        if stood.stance == Stance::Coil {
            let coil = fit::coil::coil(stood.length, stood.vertical, free().smaller(), least_core(settings))
                .map_err(|lack| (lack, Cause::TooNarrow))?;
            let low = lack_of_height(coil.height);
            let tight_coil = !(stood.vertical * settings.coil_core.0).fits(coil.core);
            let coiled = Standing { tight_coil, ..upright(coil.height, wall) };
            return if low > Length::ZERO { Err((low, Cause::TooLow)) } else { Ok(coiled) };
        }
        let low = lack_of_height(stood.vertical);
        if narrow == Length::ZERO && low == Length::ZERO {
            let wall_gap = fit::footprint::wall_gap(stood.measures, vessel.section, may_turn);
            return Ok(upright(stood.vertical, wall_gap));
        }
        if settings.leaning && may_lean && may_turn {
            let height = fill.height.less(cover).min(vessel.body_height).less(settings.floor);
            if let Some(lean) = fit::leaning::lean(stood.vertical, stood.footprint, free(), height) {
                let standing = upright(lean.top, wall);
                return Ok(Standing { leaning: true, ..standing });
            }
        }
        if narrow >= low { Err((narrow, Cause::TooNarrow)) } else { Err((low, Cause::TooLow)) }
    }
}

impl Stood {
    fn free_in(&self, mouth: Section) -> Length {
        match mouth {
            Section::Round(_) => self.free[0],
            Section::Rectangular(..) => self.free[1],
        }
    }
}

/// The coil a specimen makes in a vessel, if it is to be coiled and goes in.
pub fn coil(settings: &Settings, specimen: &Specimen, vessel: &Vessel) -> Option<Coil> {
    let Size::Measured(envelope) = specimen.size else { return None };
    if specimen.posture != Posture::Coil {
        return None;
    }
    let wall = clearance::own_or_wall(settings, specimen.particulars.clearance, vessel.section.smaller());
    let width = vessel.section.less(wall * 2.0).smaller();
    let thickness = envelope.width.max(envelope.height);
    fit::coil::coil(envelope.length, thickness, width, least_core(settings)).ok()
}

/// The least core of a coil that is an option, in thicknesses.
fn least_core(settings: &Settings) -> f64 {
    settings.coil_core_least.0.min(settings.coil_core.0)
}

/// Whether a section takes a body with this free space, both sides together: exactly where [`narrow`] is 0.
fn passes(body: FootprintMeasures, section: Section, free: Length, may_turn: bool) -> bool {
    free.fits(section.smaller()) && fit::footprint::fits(body, section.less(free), may_turn)
}

/// How much a section lacks in one measure to take a body with this free space, both sides together; 0 where it does.
pub fn narrow(body: FootprintMeasures, section: Section, free: Length, may_turn: bool) -> Length {
    if free.fits(section.smaller()) {
        return fit::footprint::lack(body, section.less(free), may_turn);
    }
    // The free space alone exceeds the section.
    match section {
        Section::Round(diameter) => (fit::mouth::measure(body, section) + free).less(diameter),
        Section::Rectangular(..) => {
            let longer = (body.longer() + free).less(section.larger());
            longer.max((body.shorter() + free).less(section.smaller()))
        }
    }
}

/// By how much a length exceeds `room`; 0 where they touch.
fn lack(needed: Length, room: Length) -> Length {
    if needed.fits(room) { Length::ZERO } else { needed.less(room) }
}

/// Rules 2 and 3 for a body that was not measured: mouth, section, inner height, body height and brimful volume must be at least
/// those of the vessel it is in now. No clearance is added.
pub(super) fn like_for_like(present: &Vessel, vessel: &Vessel) -> Result<Standing, Refusal> {
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
    // A shoulder may take volume that no measure shows.
    let (now, then) = (present.brimful.ml(), vessel.brimful.ml());
    if then < now * (1.0 - SAME_VOLUME) {
        return Err(Refusal::by(Rule::Room, Cause::HoldsLessThanPresent, now - then));
    }
    Ok(Standing::default())
}

/// Volumes that differ by a smaller share are equal.
const SAME_VOLUME: f64 = 1e-9;

/// How much a section lacks to hold another: measure by measure for two of one form, otherwise by the test of footprints.
fn section_lack(present: Section, section: Section) -> Length {
    match (present, section) {
        (Section::Round(now), Section::Round(then)) => lack(now, then),
        (Section::Rectangular(..), Section::Rectangular(..)) => {
            lack(present.larger(), section.larger()).max(lack(present.smaller(), section.smaller()))
        }
        (Section::Round(now), room) => {
            fit::footprint::lack(Footprint { outline: Outline::Rounded, along: now, across: now }, room, true)
        }
        (Section::Rectangular(along, across), room) => {
            fit::footprint::lack(Footprint { outline: Outline::Box, along, across }, room, true)
        }
    }
}
