//! A body in a vessel: its front view, its plan, and where it is nearest to the wall.

use super::Drawing;
use super::frame::{Frame, sides};
use crate::collection::{Display, Outline, Size, Specimen};
use crate::fit::coil::Coil;
use crate::fit::footprint::Footprint;
use crate::fit::{self, Stance};
use crate::options::judge;
use crate::project::Project;
use crate::rules::clearance;
use crate::stock::{Section, Vessel};
use crate::units::{Length, truncated_count};

/// A body in one stance, as it is drawn.
#[derive(Clone, Copy, Debug)]
pub struct Posed {
    /// Footprint before it is turned: `along` parallel to the front, `across` in depth.
    pub footprint: Footprint,
    /// Rotation about the vertical, degrees.
    pub turn: f64,
    /// Height from the lowest point to the highest.
    pub vertical: Length,
    /// The coil, if the body is coiled.
    coil: Option<Coil>,
    /// For a body that leans parallel to the front: tilt in degrees, and the two measures that are tilted (its own height, then its thickness).
    lean: Option<(f64, Length, Length)>,
}

/// How a specimen is drawn in a vessel in a stance, whether it fits or not. `None` if it was not measured, or if it
/// cannot be coiled or cannot lean in this vessel.
pub fn posed(project: &Project, specimen: &Specimen, vessel: &Vessel, stance: Stance, leaning: bool) -> Option<Posed> {
    let Size::Measured(envelope) = specimen.size else { return None };
    let (vertical, (one, other)) = stance.measures(&envelope);
    if stance == Stance::Coil {
        let coil = judge::coil(&project.settings, specimen, vessel)?;
        let across = coil.mean_diameter + vertical;
        let footprint = Footprint { outline: Outline::Rounded, along: across, across };
        return Some(Posed { footprint, turn: 0.0, vertical: coil.height, coil: Some(coil), lean: None });
    }
    let footprint = Footprint { outline: specimen.outline, along: one.max(other), across: one.min(other) };
    let wall = clearance::own_or_wall(&project.settings, specimen.particulars.clearance, vessel.section.smaller());
    let room = vessel.section.less(wall * 2.0);
    if leaning {
        let fill = judge::fill(project, specimen.fluid, vessel);
        let cover = clearance::cover(&project.settings, vessel.inner_height);
        let height = fill.height.less(cover).min(vessel.body_height).less(project.settings.floor);
        let lean = fit::leaning::lean(vertical, footprint, room, height)?;
        let tilt = lean.tilt_degrees.to_radians();
        let reach = |thick: Length| (vertical.mm() * tilt.cos() + thick.mm() * tilt.sin() - lean.top.mm()).abs();
        let thick = if reach(footprint.along) < reach(footprint.across) { footprint.along } else { footprint.across };
        let lean_drawn = Some((lean.tilt_degrees, vertical, thick));
        let run = Length::at_least_zero(vertical.mm() * tilt.sin() + thick.mm() * tilt.cos());
        let level = if thick == footprint.along { footprint.across } else { footprint.along };
        // It leans parallel to the front if that fits the room. Otherwise it leans in depth, and the front view shows no tilt.
        if run.fits(room.larger()) && level.fits(room.smaller()) {
            let footprint = Footprint { outline: Outline::Box, along: run, across: level };
            return Some(Posed { footprint, turn: 0.0, vertical: lean.top, coil: None, lean: lean_drawn });
        }
        let footprint = Footprint { outline: Outline::Box, along: level, across: run };
        return Some(Posed { footprint, turn: 0.0, vertical: lean.top, coil: None, lean: None });
    }
    // Turned if that widens the gap at the wall, as the judged gap assumes.
    let gap = |may_turn| fit::footprint::wall_gap(footprint, vessel.section, may_turn).mm();
    let turned = specimen.display != Display::Flat && gap(true) > gap(false) + LEAST_GAIN_MM;
    let turn = if turned { angle(footprint, vessel.section) } else { 0.0 };
    Some(Posed { footprint, turn, vertical, coil: None, lean: None })
}

/// A body is turned about the vertical if that widens the gap at the wall by more than this.
const LEAST_GAIN_MM: f64 = 0.005;

/// The angle in degrees, between 0 and 45, at which the body has the same gap at all sides of a rectangular room. By bisection.
fn angle(footprint: Footprint, room: Section) -> f64 {
    let (wide, deep) = sides(room);
    let unequal = |degrees: f64| {
        let (along, across) = extents(footprint, degrees);
        (wide - along) - (deep - across)
    };
    let (mut low, mut high) = (0.0, 45.0);
    // At 0° the gap along the longer side is the smaller one. At 45° both extents are equal, so it is not the smaller one.
    for _ in 0..40 {
        let middle = (low + high) / 2.0;
        if unequal(middle) < 0.0 { low = middle } else { high = middle }
    }
    (low + high) / 2.0
}

/// Extents of the footprint along and across, mm, after it is turned by `degrees`.
fn extents(footprint: Footprint, degrees: f64) -> (f64, f64) {
    let (sine, cosine) = degrees.to_radians().sin_cos();
    let (p, q) = (footprint.along.mm(), footprint.across.mm());
    match footprint.outline {
        Outline::Box => (p * cosine + q * sine, p * sine + q * cosine),
        Outline::Rounded => ((p * cosine).hypot(q * sine), (p * sine).hypot(q * cosine)),
    }
}

impl Posed {
    /// The same pose with its faces parallel to the vessel's.
    pub fn not_turned(self) -> Self {
        Posed { turn: 0.0, ..self }
    }

    /// Whole width in front view and whole depth, mm.
    pub fn reach(&self) -> (f64, f64) {
        extents(self.footprint, self.turn)
    }

    /// Draws the front view, with the lowest point at `above_floor`.
    pub fn front(&self, drawing: &mut Drawing, class: &'static str, frame: &Frame, above_floor: Length) {
        let [x, y] = frame.floor;
        let base = y - frame.on_paper(above_floor);
        let high = frame.on_paper(self.vertical);
        if let Some((degrees, height, thick)) = self.lean {
            let size = [frame.on_paper(thick), frame.on_paper(height)];
            drawing.turned_rect(class, [x, base - high / 2.0], size, degrees);
            return;
        }
        let wide = self.reach().0 * frame.scale;
        let corner = [x - wide / 2.0, base - high];
        let radius = if self.footprint.outline == Outline::Rounded { 0.3 * wide.min(high) } else { 0.0 };
        drawing.rounded(class, corner, [wide, high], radius);
        if let Some(coil) = self.coil {
            let thick = frame.on_paper(coil.mean_diameter.less(coil.core));
            let layers = truncated_count(high / thick.max(0.01)).min(MOST_LAYERS);
            for layer in 1..=layers {
                let up = base - thick * layer as f64;
                drawing.line("thin", [x - wide / 2.0, up + thick * 0.25], [x + wide / 2.0, up - thick * 0.25]);
            }
        }
    }

    /// Draws the plan.
    pub fn plan(&self, drawing: &mut Drawing, class: &'static str, frame: &Frame) {
        let size = [frame.on_paper(self.footprint.along), frame.on_paper(self.footprint.across)];
        match self.footprint.outline {
            Outline::Box => drawing.turned_rect(class, frame.plan, size, self.turn),
            Outline::Rounded => drawing.ellipse(class, frame.plan, size.map(|side| side / 2.0), self.turn),
        }
        if let Some(coil) = self.coil {
            let core = frame.on_paper(coil.core) / 2.0;
            drawing.ellipse("open", frame.plan, [core, core], 0.0);
        }
    }

    /// The shortest line in plan from the body to the wall: its ends on the body and on the wall, mm from the centre.
    pub fn nearest(&self, section: Section) -> [[f64; 2]; 2] {
        let (p, q) = (self.footprint.along.mm() / 2.0, self.footprint.across.mm() / 2.0);
        let (wide, deep) = (sides(section).0 / 2.0, sides(section).1 / 2.0);
        match section {
            Section::Round(_) => {
                let (x, y) = if self.footprint.outline == Outline::Box { (p, q) } else { (p, 0.0) };
                let out = wide / x.hypot(y).max(f64::MIN_POSITIVE);
                [[x, y], [x * out, y * out]]
            }
            // A turned body has the same gap at all sides; the line starts at its rightmost point.
            Section::Rectangular(..) if self.turn != 0.0 => {
                let (sine, cosine) = self.turn.to_radians().sin_cos();
                let x = self.reach().0 / 2.0;
                let y = match self.footprint.outline {
                    Outline::Box => p * sine - q * cosine,
                    Outline::Rounded => (p * p - q * q) * sine * cosine / x,
                };
                [[x, y], [wide, y]]
            }
            Section::Rectangular(..) if wide - p <= deep - q => [[p, 0.0], [wide, 0.0]],
            Section::Rectangular(..) => [[0.0, q], [0.0, deep]],
        }
    }
}

/// Largest number of layers drawn of a coil.
const MOST_LAYERS: usize = 40;
