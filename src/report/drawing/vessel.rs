//! A specimen in its vessel: front view and plan to scale, the surface of the fluid, and the free space at the wall,
//! above the body and in the mouth.

use super::body::{Posed, posed};
use super::frame::{Frame, sides};
use super::{Anchor, Drawing};
use crate::collection::Specimen;
use crate::options::{Fit, judge};
use crate::project::Project;
use crate::report::html::page::{Markup, element_with, mm};
use crate::rules::clearance::Fill;
use crate::stock::{Section, Vessel, VesselId};
use crate::units::Length;

/// The id of a vessel's symbol in a document.
pub fn symbol_name(id: VesselId) -> String {
    format!("vessel-{}", id.0)
}

/// The outlines of a vessel as an SVG symbol, which all drawings of the vessel use. They have the same frame.
pub fn symbol(vessel: &Vessel, id: VesselId) -> Markup {
    let mut drawing = Drawing::new(0.0, 0.0, "", "");
    outlines(&mut drawing, vessel, &Frame::of(vessel));
    element_with("symbol", &[("id", &symbol_name(id)), ("overflow", "visible")], drawing.inside())
}

/// Draws walls, mouth and closure in front view and plan.
pub(super) fn outlines(drawing: &mut Drawing, vessel: &Vessel, frame: &Frame) {
    let [x, floor] = frame.floor;
    let (half, neck) = halves(vessel, frame);
    let (shoulder, rim) = (floor - frame.on_paper(vessel.body_height), floor - frame.on_paper(vessel.inner_height));
    let path = [
        [x - neck, rim],
        [x - neck, shoulder],
        [x - half, shoulder],
        [x - half, floor],
        [x + half, floor],
        [x + half, shoulder],
        [x + neck, shoulder],
        [x + neck, rim],
    ];
    for pair in path.windows(2) {
        drawing.line("wall", pair[0], pair[1]);
    }
    drawing.rect("closure", [x - neck - 0.8, rim - 1.1], [2.0 * neck + 1.6, 0.9]);
    section(drawing, "wall", vessel.section, frame);
    if vessel.mouth != vessel.section {
        section(drawing, "limit", vessel.mouth, frame);
    }
}

/// Half the width of the body and of the mouth in front, on paper.
fn halves(vessel: &Vessel, frame: &Frame) -> (f64, f64) {
    (sides(vessel.section).0 * frame.scale / 2.0, sides(vessel.mouth).0 * frame.scale / 2.0)
}

/// Draws a section in plan.
pub(super) fn section(drawing: &mut Drawing, class: &'static str, section: Section, frame: &Frame) {
    let [x, y] = frame.plan;
    let (wide, deep) = sides(section);
    let (wide, deep) = (wide * frame.scale, deep * frame.scale);
    match section {
        Section::Round(_) => drawing.ellipse(class, [x, y], [wide / 2.0, deep / 2.0], 0.0),
        Section::Rectangular(..) => drawing.rect(class, [x - wide / 2.0, y - deep / 2.0], [wide, deep]),
    }
}

/// Draws the fluid in a vessel in front view and plan.
pub(super) fn fluid(drawing: &mut Drawing, vessel: &Vessel, fill: Fill, frame: &Frame) {
    let [x, floor] = frame.floor;
    let (half, neck) = halves(vessel, frame);
    let shoulder = floor - frame.on_paper(vessel.body_height.min(fill.height));
    let surface = floor - frame.on_paper(fill.height);
    let mut outline = vec![[x - half, floor], [x - half, shoulder]];
    let above = fill.height > vessel.body_height;
    if above {
        outline.extend([[x - neck, shoulder], [x - neck, surface], [x + neck, surface], [x + neck, shoulder]]);
    }
    outline.extend([[x + half, shoulder], [x + half, floor]]);
    drawing.polygon("fluid", &outline);
    section(drawing, "fluid", vessel.section, frame);
    let reach = if above { neck } else { half };
    drawing.surface([x - reach, x + reach], surface);
}

/// The drawing of a specimen in the vessel it is placed in.
pub fn standing(project: &Project, specimen: &Specimen, id: VesselId, fit: &Fit) -> Markup {
    let vessel = project.stock.vessel(id);
    let frame = Frame::of(vessel);
    let fill = judge::fill(project, specimen.fluid, vessel);
    let pose = fit.stance.and_then(|stance| posed(project, specimen, vessel, stance, fit.leaning));
    let title = format!("{} in {}, front and plan, {}", specimen.key, vessel.id, frame.words);
    let mut drawing = Drawing::new(frame.size[0], frame.size[1], &title, &description(specimen, fit, fill));
    fluid(&mut drawing, vessel, fill, &frame);
    if let Some(pose) = &pose {
        pose.front(&mut drawing, "body", &frame, project.settings.floor);
        pose.plan(&mut drawing, "body", &frame);
    }
    drawing.symbol(&symbol_name(id));
    mouth(&mut drawing, vessel, fit.mouth_gap, &frame);
    inside(&mut drawing, vessel, &frame);
    if let (Some(pose), Some(cover)) = (&pose, fit.cover) {
        let top = fill.height.less(cover);
        above_body(&mut drawing, vessel, pose, [top, fill.height], &frame);
        at_wall(&mut drawing, vessel, pose, fit.wall_gap, &frame);
    }
    drawing.markup()
}

fn description(specimen: &Specimen, fit: &Fit, fill: Fill) -> String {
    let stance = fit.stance.map_or("as it stands now, not measured", |stance| stance.name());
    let lean = if fit.leaning { ", leaning" } else { "" };
    let part = |what: &str, length: Option<Length>| length.map_or(String::new(), |length| format!("; {what} {length}"));
    let name = if specimen.name.is_empty() { String::new() } else { format!("{}: ", specimen.name) };
    format!(
        "{name}{stance}{lean}; fluid to {} above the floor{}{}{}",
        fill.height,
        part("free at the wall", fit.wall_gap),
        part("fluid above it", fit.cover),
        part("free in the mouth in total", fit.mouth_gap),
    )
}

/// Dimension of the mouth's width, with the free space in it.
fn mouth(drawing: &mut Drawing, vessel: &Vessel, free: Option<Length>, frame: &Frame) {
    let [x, floor] = frame.floor;
    let neck = halves(vessel, frame).1;
    let y = floor - frame.on_paper(vessel.inner_height) - 2.6;
    let size = section_words(vessel.mouth);
    let free = free.map_or(String::new(), |free| format!(", free {}", mm(free)));
    let text = format!("mouth {size}{free}");
    drawing.across([x - neck, x + neck], y, "");
    clamped(drawing, x, y - 1.1, &text, frame);
}

/// The size of a section in mm: `57.1` if it is round, else `120 × 80`.
pub(super) fn section_words(section: Section) -> String {
    match section {
        Section::Round(bore) => mm(bore),
        Section::Rectangular(..) => format!("{} × {}", mm(section.larger()), mm(section.smaller())),
    }
}

/// Text centred at `x`, moved sideways if it would leave the paper.
pub(super) fn clamped(drawing: &mut Drawing, x: f64, y: f64, text: &str, frame: &Frame) {
    let half = text.chars().count() as f64 * 0.65;
    let x = x.max(half + 0.4).min((frame.size[0] - half - 0.4).max(half + 0.4));
    drawing.text([x, y], Anchor::Middle, text);
}

/// Dimension of the inner width, under the floor.
pub(super) fn inside(drawing: &mut Drawing, vessel: &Vessel, frame: &Frame) {
    let [x, floor] = frame.floor;
    let half = halves(vessel, frame).0;
    let text = match vessel.section {
        Section::Round(bore) => format!("⌀ {}", mm(bore)),
        Section::Rectangular(..) => mm(vessel.section.larger()),
    };
    drawing.across([x - half, x + half], floor + 4.6, "");
    clamped(drawing, x, floor + 3.6, &text, frame);
}

/// Dimension of the fluid above the body's highest point. Its extension lines start at the body and at the surface.
fn above_body(drawing: &mut Drawing, vessel: &Vessel, pose: &Posed, [top, surface]: [Length; 2], frame: &Frame) {
    let [x, floor] = frame.floor;
    let (half, neck) = halves(vessel, frame);
    let right = x + half;
    let shoulder = floor - frame.on_paper(vessel.body_height);
    let text = mm(surface.less(top));
    let [top, surface] = [top, surface].map(|height| floor - frame.on_paper(height));
    let wall = if surface < shoulder { x + neck } else { right };
    drawing.line("dim", [wall + 0.5, surface], [right + 2.6, surface]);
    drawing.line("dim", [x + pose.reach().0 * frame.scale / 2.0, top], [right + 2.6, top]);
    drawing.upright([surface, top], right + 1.9, &text);
}

/// The gap where the body is nearest to the wall, as a line and in words.
fn at_wall(drawing: &mut Drawing, vessel: &Vessel, pose: &Posed, gap: Option<Length>, frame: &Frame) {
    let [x, y] = frame.plan;
    let [from, to] =
        pose.nearest(vessel.section).map(|[along, across]| [x + along * frame.scale, y + across * frame.scale]);
    drawing.line("gap", from, to);
    if let Some(gap) = gap {
        let bottom = y + sides(vessel.section).1 * frame.scale / 2.0;
        clamped(drawing, x, bottom + 3.6, &format!("wall {}", mm(gap)), frame);
    }
}
