//! A specimen in its vessel, from the front and from above, to one scale: fluid level, gaps, mouth.

use super::Drawing;
use crate::collection::{Outline, Size, Specimen};
use crate::fit::Stance;
use crate::options::{Fit, judge};
use crate::project::Project;
use crate::stock::{Section, Vessel};
use crate::units::decimal;

/// Pixels that the larger side of a vessel takes.
const LARGEST: f64 = 118.0;

/// Half the space round the drawing.
const MARGIN: f64 = 14.0;

/// A body in millimetres: upright, along and across.
#[derive(Clone, Copy)]
struct Body {
    vertical: f64,
    along: f64,
    across: f64,
    rounded: bool,
}

/// A placed specimen in its vessel; without a measured size, the vessel alone.
pub fn placed(project: &Project, specimen: &Specimen, vessel: &Vessel, fit: &Fit) -> String {
    let fill = judge::fill(project, specimen.fluid, vessel).height.mm();
    let body = body(project, specimen, vessel, fit.stance);
    let mm = |length: crate::units::Length| format!("{} mm", decimal(length.mm(), 1));
    let description = format!(
        "Vessel {} mm high inside, filled to {} mm. Free at the wall {}, covered by {}, free in the mouth in all {}.",
        decimal(vessel.inner_height.mm(), 1),
        decimal(fill, 1),
        fit.wall_gap.map_or("not measured".to_owned(), mm),
        fit.cover.map_or("not measured".to_owned(), mm),
        fit.mouth_gap.map_or("not measured".to_owned(), mm),
    );
    let mut drawing = Views::of(vessel, body, project.settings.floor.mm());
    drawing.vessel(vessel, fill);
    if let Some(body) = body {
        drawing.body(body);
        if let Some(cover) = fit.cover {
            let top = project.settings.floor.mm() + body.vertical;
            drawing.upright(top, fill, &format!("{} cover", decimal(cover.mm(), 0)));
        }
        if let Some(gap) = fit.wall_gap.filter(|_| fit.stance != Some(Stance::Coil)) {
            drawing.beside(&format!("{} wall", decimal(gap.mm(), 1)));
        }
    }
    drawing.drawing.svg(&format!("{} in {}", specimen.key, vessel.id), &description)
}

/// A specimen in the vessel that misses by least: what does not go in is drawn where it overlaps.
pub fn missed(project: &Project, specimen: &Specimen, vessel: &Vessel, why: &str) -> String {
    let Size::Measured(_) = specimen.size else { return String::new() };
    let under = project.settings.floor.mm();
    let bodies =
        Stance::allowed(specimen.posture).iter().filter_map(|&stance| body(project, specimen, vessel, Some(stance)));
    let body = bodies.min_by(|a, b| beyond(a, vessel, under).total_cmp(&beyond(b, vessel, under)));
    let mut drawing = Views::of(vessel, body, project.settings.floor.mm());
    drawing.vessel(vessel, judge::fill(project, specimen.fluid, vessel).height.mm());
    if let Some(body) = body {
        drawing.overlap(body, vessel);
    }
    let description = format!("It does not serve: {why}. The part that stops it is hatched.");
    drawing.drawing.svg(&format!("{} against {}", specimen.key, vessel.id), &description)
}

/// How far a body reaches beyond a vessel where it reaches furthest, in millimetres.
fn beyond(body: &Body, vessel: &Vessel, under: f64) -> f64 {
    let (along, across) = widths(vessel.section);
    let mouth = widths(vessel.mouth);
    let over = under + body.vertical - vessel.inner_height.mm();
    (body.along - along.min(mouth.0)).max(body.across - across.min(mouth.1)).max(over)
}

fn body(project: &Project, specimen: &Specimen, vessel: &Vessel, stance: Option<Stance>) -> Option<Body> {
    let (Size::Measured(envelope), Some(stance)) = (specimen.size, stance) else { return None };
    if stance == Stance::Coil {
        let thick = envelope.width.max(envelope.height).mm();
        let coil = judge::coil(&project.settings, specimen, vessel);
        let across = vessel.section.smaller().mm();
        let vertical = coil.map_or(thick, |coil| coil.height.mm());
        return Some(Body { vertical, along: across - 1.0, across: across - 1.0, rounded: true });
    }
    let (vertical, (along, across)) = stance.measures(&envelope);
    let (along, across) = (along.mm().max(across.mm()), along.mm().min(across.mm()));
    Some(Body { vertical: vertical.mm(), along, across, rounded: specimen.outline == Outline::Rounded })
}

/// Front and plan side by side.
struct Views {
    drawing: Drawing,
    /// Pixels a millimetre.
    scale: f64,
    /// Middle of the front view, its floor, middle of the plan.
    front: f64,
    floor: f64,
    plan: (f64, f64),
    /// Room under the body, mm.
    under: f64,
    /// Half the width of the front view, px.
    half: f64,
}

/// Width along and across of a section, mm.
fn widths(section: Section) -> (f64, f64) {
    match section {
        Section::Round(bore) => (bore.mm(), bore.mm()),
        Section::Rectangular(..) => (section.larger().mm(), section.smaller().mm()),
    }
}

impl Views {
    fn of(vessel: &Vessel, body: Option<Body>, under: f64) -> Self {
        let (along, across) = widths(vessel.section);
        let body = body.unwrap_or(Body { vertical: 0.0, along: 0.0, across: 0.0, rounded: false });
        let high = vessel.inner_height.mm().max(body.vertical + under);
        let (wide, deep) = (along.max(body.along), across.max(body.across));
        let scale = LARGEST / high.max(wide).max(deep).max(1.0);
        let (wide, high, deep) = (wide * scale, high * scale, deep * scale);
        let label = 54.0;
        let height = high.max(deep) + 2.0 * MARGIN;
        let floor = height - MARGIN;
        Views {
            drawing: Drawing::new(2.0 * wide + label + 4.0 * MARGIN, height),
            scale,
            front: MARGIN + wide / 2.0,
            floor,
            plan: (wide * 1.5 + label + 3.0 * MARGIN - 6.0, floor - deep / 2.0),
            under,
            half: wide / 2.0,
        }
    }

    /// A height over the floor as y.
    fn y(&self, mm: f64) -> f64 {
        self.floor - mm * self.scale
    }

    fn vessel(&mut self, vessel: &Vessel, fill: f64) {
        let s = self.scale;
        let (along, across) = widths(vessel.section);
        let mouth = widths(vessel.mouth);
        let (height, shoulder) = (vessel.inner_height.mm(), vessel.body_height.mm());
        let (body, neck) = (along * s / 2.0, mouth.0.min(along) * s / 2.0);
        let x = self.front;
        let level = fill.min(shoulder);
        self.drawing.rectangle("fluid", [x - body, self.y(level), 2.0 * body, level * s]);
        if fill > shoulder {
            self.drawing.rectangle("fluid", [x - neck, self.y(fill), 2.0 * neck, (fill - shoulder) * s]);
        }
        let (floor, top, turn) = (self.floor, self.y(height), self.y(shoulder));
        let outline = [
            (x - neck, top),
            (x - neck, turn),
            (x - body, turn),
            (x - body, floor),
            (x + body, floor),
            (x + body, turn),
            (x + neck, turn),
            (x + neck, top),
        ];
        self.drawing.path("glass", &outline, false);
        self.drawing.path("level", &[(x - body.min(neck.max(body)), self.y(fill)), (x + body, self.y(fill))], false);
        let (px, py) = self.plan;
        match vessel.section {
            Section::Round(_) => self.drawing.ellipse("glass", [px, py, body, body]),
            Section::Rectangular(..) => {
                self.drawing.rectangle("glass", [px - body, py - across * s / 2.0, 2.0 * body, across * s]);
            }
        }
        if mouth.0 < along || mouth.1 < across {
            let (mx, my) = (mouth.0 * s / 2.0, mouth.1 * s / 2.0);
            match vessel.mouth {
                Section::Round(_) => self.drawing.ellipse("mouth", [px, py, mx, my]),
                Section::Rectangular(..) => {
                    self.drawing.rectangle("mouth", [px - mx, py - my, 2.0 * mx, 2.0 * my]);
                }
            }
        }
    }

    fn body(&mut self, body: Body) {
        let s = self.scale;
        let (x, top) = (self.front, self.y(self.under + body.vertical));
        let half = body.along * s / 2.0;
        self.drawing.rectangle("body", [x - half, top, 2.0 * half, body.vertical * s]);
        let (px, py) = self.plan;
        let across = body.across * s / 2.0;
        match body.rounded {
            true => self.drawing.ellipse("body", [px, py, half, across]),
            false => self.drawing.rectangle("body", [px - half, py - across, 2.0 * half, 2.0 * across]),
        }
    }

    /// The body, and hatched what reaches beyond the vessel's sides, its mouth or its top.
    fn overlap(&mut self, body: Body, vessel: &Vessel) {
        self.body(body);
        let s = self.scale;
        let (along, across) = widths(vessel.section);
        let narrow = widths(vessel.mouth).0.min(along);
        let (x, half) = (self.front, body.along * s / 2.0);
        let top = self.under + body.vertical;
        let beyond = (body.along - narrow).max(0.0) * s / 2.0;
        if beyond > 0.0 {
            for left in [x - half, x + half - beyond] {
                self.drawing.rectangle("stop", [left, self.y(top), beyond, body.vertical * s]);
            }
        }
        let over = top - vessel.inner_height.mm();
        if over > 0.0 {
            self.drawing.rectangle("stop", [x - half, self.y(top), 2.0 * half, over * s]);
        }
        let deep = (body.across - across).max(0.0) * s / 2.0;
        if deep > 0.0 {
            let (px, py) = self.plan;
            for from in [py - body.across * s / 2.0, py + body.across * s / 2.0 - deep] {
                self.drawing.rectangle("stop", [px - half, from, 2.0 * half, deep]);
            }
        }
    }

    fn upright(&mut self, from: f64, to: f64, text: &str) {
        let x = self.front + self.half + 7.0;
        let (from, to) = (self.y(from), self.y(to));
        self.drawing.measure((x, from), (x, to), text);
    }

    fn beside(&mut self, text: &str) {
        let x = self.front + self.half + 7.0;
        self.drawing.text("dimt", (x, self.floor - 2.0), "start", text);
    }
}
