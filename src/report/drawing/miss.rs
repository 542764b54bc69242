//! Near misses: a body drawn against its nearest vessel, with the overlap for which the vessel is refused.

use super::body::{Posed, posed};
use super::frame::{Frame, sides};
use super::vessel::{clamped, fluid, inside, outlines, section_words};
use super::{Anchor, Drawing};
use crate::collection::{Display, Outline, Size, Specimen};
use crate::fit::footprint::Footprint;
use crate::fit::{self, Stance};
use crate::options::{Cause, Refusal, judge};
use crate::project::Project;
use crate::report::html::page::{Markup, mm};
use crate::rules::clearance;
use crate::stock::{Section, Vessel, VesselId};
use crate::units::Length;
use crate::words;

/// A drawing of a refusal as an overlap. `None` if the cause is not space, or if the body cannot be drawn. The ids of its
/// clip paths begin with `name`, which is unique in the document.
pub fn overlap(project: &Project, specimen: &Specimen, id: VesselId, refusal: Refusal, name: &str) -> Option<Markup> {
    let vessel = project.stock.vessel(id);
    let title = format!("{} against {}", specimen.key, words::near_miss(project, &(id, refusal)));
    let scene = Scene { project, specimen, vessel, title, name };
    match refusal.cause {
        Cause::MouthTooNarrow => scene.mouth(refusal),
        Cause::TooNarrow => scene.narrow(refusal),
        Cause::TooLow => scene.low(refusal),
        Cause::TooCrowded => Some(scene.crowded(refusal)),
        Cause::TooHighForShelf => scene.shelf(),
        Cause::PinnedElsewhere
        | Cause::Excluded
        | Cause::MaterialUnsuitable
        | Cause::ClosureUnsuitable
        | Cause::MaterialUnproven
        | Cause::ClosureUnproven
        | Cause::LifeTooShort
        | Cause::NotClear
        | Cause::NotFlat
        | Cause::NoneToBeHad
        | Cause::SmallerThanPresent
        | Cause::HoldsLessThanPresent => None,
    }
}

struct Scene<'a> {
    project: &'a Project,
    specimen: &'a Specimen,
    vessel: &'a Vessel,
    title: String,
    name: &'a str,
}

impl Scene<'_> {
    fn drawing(&self, frame: &Frame, what: &str) -> Drawing {
        Drawing::new(frame.size[0], frame.size[1], &self.title, &format!("{what}; {}", frame.words))
    }

    /// The allowed stance whose shortfall, computed by `shortfall`, is nearest to the shortfall of the refusal.
    fn stance(&self, refusal: Refusal, shortfall: impl Fn(Stance) -> Option<Length>) -> Option<Stance> {
        let wanted = refusal.shortfall?;
        let stances = Stance::allowed(self.specimen.posture).iter().copied();
        let off = |stance: Stance| shortfall(stance).map(|shortfall| ((shortfall.mm() - wanted).abs(), stance));
        stances.filter_map(off).min_by(|one, other| one.0.total_cmp(&other.0)).map(|(_, stance)| stance)
    }

    fn body(&self, stance: Stance) -> Option<(Length, Footprint)> {
        let Size::Measured(envelope) = self.specimen.size else { return None };
        let (vertical, (one, other)) = stance.measures(&envelope);
        let outline = if stance == Stance::Coil { Outline::Rounded } else { self.specimen.outline };
        Some((vertical, Footprint { outline, along: one.max(other), across: one.min(other) }))
    }

    fn turns(&self) -> bool {
        self.specimen.display != Display::Flat
    }

    fn wall(&self) -> Length {
        let smaller = self.vessel.section.smaller();
        clearance::own_or_wall(&self.project.settings, self.specimen.particulars.clearance, smaller)
    }

    /// The pose with its faces parallel to the vessel's, as a shortfall is measured. `None` for a coil: its size depends on the vessel.
    fn pose(&self, stance: Stance) -> Option<Posed> {
        let pose = posed(self.project, self.specimen, self.vessel, stance, false).filter(|_| stance != Stance::Coil);
        pose.map(Posed::not_turned)
    }

    fn frame(&self, pose: &Posed, high: f64) -> Frame {
        let (wide, deep) = sides(self.vessel.section);
        let (reach, depth) = pose.reach();
        Frame::new(wide.max(reach), deep.max(depth), high)
    }

    /// Draws the body in plan and in front view, the part outside of `free` cross-hatched.
    fn outside(&self, drawing: &mut Drawing, pose: &Posed, free: Section, above_floor: Length, frame: &Frame) {
        pose.plan(drawing, "over", frame);
        pose.front(drawing, "over", frame, above_floor);
        let (wide, deep) = (sides(free).0 * frame.scale, sides(free).1 * frame.scale);
        let [x, y] = frame.plan;
        let mut plan = Drawing::new(0.0, 0.0, "", "");
        pose.plan(&mut plan, "body", frame);
        let clip = format!("{}-plan", self.name);
        match free {
            Section::Round(_) => drawing.within_circle(&clip, [x, y], wide / 2.0, plan),
            Section::Rectangular(..) => {
                drawing.within_rect(&clip, [x - wide / 2.0, y - deep / 2.0], [wide, deep], plan);
            }
        }
        let mut front = Drawing::new(0.0, 0.0, "", "");
        pose.front(&mut front, "body", frame, above_floor);
        let corner = [frame.floor[0] - wide / 2.0, 0.0];
        drawing.within_rect(&format!("{}-front", self.name), corner, [wide, frame.size[1]], front);
    }

    /// Mouth too narrow: the body on the rim.
    fn mouth(&self, refusal: Refusal) -> Option<Markup> {
        let settings = &self.project.settings;
        let give = 1.0 - self.specimen.section_give;
        let passing = |body: Footprint| Footprint { along: body.along * give, across: body.across * give, ..body };
        let free = |body: Footprint| clearance::mouth(settings, fit::mouth::measure(body, self.vessel.mouth));
        let shortfall = |stance: Stance| {
            let footprint = passing(self.body(stance)?.1);
            Some(judge::narrow(footprint.into(), self.vessel.mouth, free(footprint), self.turns()))
        };
        let stance = self.stance(refusal, shortfall)?;
        let pose = self.pose(stance)?;
        let room = self.vessel.mouth.less(free(passing(self.body(stance)?.1)));
        let high = self.vessel.inner_height.mm() + pose.vertical.mm() + 2.0;
        let frame = self.frame(&pose, high);
        let mut drawing = self.drawing(
            &frame,
            "the body on the rim; cross-hatched: the part that does not pass the mouth with the required free space",
        );
        outlines(&mut drawing, self.vessel, &frame);
        self.outside(&mut drawing, &pose, room, self.vessel.inner_height + Length::at_least_zero(2.0), &frame);
        mouth_under(&mut drawing, self.vessel, &frame);
        self.free_line(&mut drawing, room, &frame);
        over_body(&mut drawing, &pose, high, &frame);
        Some(drawing.markup())
    }

    /// Vessel too narrow: the body in the vessel, wider than the free section.
    fn narrow(&self, refusal: Refusal) -> Option<Markup> {
        let shortfall = |stance: Stance| {
            let footprint = self.body(stance)?.1;
            Some(judge::narrow(footprint.into(), self.vessel.section, self.wall() * 2.0, self.turns()))
        };
        let pose = self.pose(self.stance(refusal, shortfall)?)?;
        let frame = self.frame(&pose, self.vessel.inner_height.max(pose.vertical).mm());
        let mut drawing = self.drawing(
            &frame,
            "the body in the vessel; cross-hatched: the part that does not fit between the walls with the required free space",
        );
        outlines(&mut drawing, self.vessel, &frame);
        let room = self.vessel.section.less(self.wall() * 2.0);
        self.outside(&mut drawing, &pose, room, self.project.settings.floor, &frame);
        inside(&mut drawing, self.vessel, &frame);
        self.free_line(&mut drawing, room, &frame);
        let high = self.vessel.inner_height.max(pose.vertical).mm();
        over_body(&mut drawing, &pose, high, &frame);
        Some(drawing.markup())
    }

    fn free_line(&self, drawing: &mut Drawing, room: Section, frame: &Frame) {
        super::vessel::section(drawing, "limit", room, frame);
    }

    /// Vessel too low: the body in the vessel, above the highest point it may reach.
    fn low(&self, refusal: Refusal) -> Option<Markup> {
        let settings = &self.project.settings;
        let fill = judge::fill(self.project, self.specimen.fluid, self.vessel);
        let cover = clearance::cover(settings, self.vessel.inner_height);
        let limit = fill.height.less(cover).min(self.vessel.body_height);
        let pose = |stance: Stance| posed(self.project, self.specimen, self.vessel, stance, false);
        let shortfall = |stance: Stance| Some((settings.floor + pose(stance)?.vertical).less(limit));
        let pose = pose(self.stance(refusal, shortfall)?)?;
        let frame = self.frame(&pose, self.vessel.inner_height.max(pose.vertical + settings.floor).mm());
        let mut drawing = self
            .drawing(&frame, "the body in the vessel; cross-hatched: the part above the highest point it may reach");
        fluid(&mut drawing, self.vessel, fill, &frame);
        pose.front(&mut drawing, "over", &frame, settings.floor);
        let [x, floor] = frame.floor;
        let top = floor - frame.on_paper(limit);
        let mut below = Drawing::new(0.0, 0.0, "", "");
        pose.front(&mut below, "body", &frame, settings.floor);
        drawing.within_rect(&format!("{}-front", self.name), [0.0, top], [frame.size[0], floor - top], below);
        pose.plan(&mut drawing, "body", &frame);
        outlines(&mut drawing, self.vessel, &frame);
        let half = sides(self.vessel.section).0.max(pose.reach().0) * frame.scale / 2.0;
        drawing.line("limit", [x - half, top], [x + half + 2.6, top]);
        let over = refusal.shortfall.map_or(String::new(), |over| over.to_string());
        drawing.upright([floor - frame.on_paper(pose.vertical + settings.floor), top], x + half + 1.9, &over);
        inside(&mut drawing, self.vessel, &frame);
        Some(drawing.markup())
    }

    /// Vessel too crowded: the tissue as if it lay level on the floor, against the share allowed.
    fn crowded(&self, refusal: Refusal) -> Markup {
        let fill = judge::fill(self.project, self.specimen.fluid, self.vessel);
        let allowed = self.project.settings.tissue_share_pct.ratio();
        let share = (allowed + refusal.shortfall.unwrap_or(0.0) / 100.0).min(1.0);
        let frame = Frame::of(self.vessel);
        let mut drawing = self
            .drawing(&frame, "tissue as if it lay level on the floor; cross-hatched: the part above the share allowed");
        fluid(&mut drawing, self.vessel, fill, &frame);
        let [x, floor] = frame.floor;
        let half = sides(self.vessel.section).0 * frame.scale / 2.0;
        let [limit, top] = [allowed, share].map(|share| frame.on_paper(fill.height) * share);
        drawing.rect("body", [x - half, floor - limit], [2.0 * half, limit]);
        drawing.rect("over", [x - half, floor - top], [2.0 * half, top - limit]);
        outlines(&mut drawing, self.vessel, &frame);
        let words = format!("{} %", crate::units::decimal(share * 100.0, 1));
        drawing.text([x + half + 1.0, floor - top + 0.9], Anchor::Start, &words);
        drawing.markup()
    }

    /// Vessel too high for the shelf: the vessel under the shelf above.
    fn shelf(&self) -> Option<Markup> {
        let (limit, outer) = (self.specimen.particulars.max_outer_height?, self.vessel.outer_height?);
        let (wide, deep) = sides(self.vessel.section);
        let frame = Frame::new(wide, deep, outer.mm());
        let mut drawing =
            self.drawing(&frame, "the vessel under the shelf above; cross-hatched: the part that is too tall");
        let [x, floor] = frame.floor;
        let half = wide * frame.scale / 2.0;
        let [shelf, top] = [limit, outer].map(|height| floor - frame.on_paper(height));
        drawing.rect("over", [x - half, top], [2.0 * half, shelf - top]);
        outlines(&mut drawing, self.vessel, &frame);
        drawing.line("wall", [x - half - 2.0, shelf], [x + half + 5.0, shelf]);
        Some(drawing.markup())
    }
}

/// Dimension of the body's width, above a front view that is `high` mm high.
fn over_body(drawing: &mut Drawing, pose: &Posed, high: f64, frame: &Frame) {
    let [x, floor] = frame.floor;
    let half = pose.reach().0 * frame.scale / 2.0;
    let y = floor - high * frame.scale - 2.6;
    drawing.across([x - half, x + half], y, "");
    let words = format!("body {}", mm(Length::at_least_zero(pose.reach().0)));
    clamped(drawing, x, y - 1.1, &words, frame);
}

/// Dimension of the mouth's width, under the floor.
fn mouth_under(drawing: &mut Drawing, vessel: &Vessel, frame: &Frame) {
    let [x, floor] = frame.floor;
    let half = sides(vessel.mouth).0 * frame.scale / 2.0;
    drawing.across([x - half, x + half], floor + 4.6, "");
    clamped(drawing, x, floor + 3.6, &format!("mouth {}", section_words(vessel.mouth)), frame);
}
