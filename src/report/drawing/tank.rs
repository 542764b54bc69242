//! A tank made to measure in front view, side view and plan, with clear and outer dimensions, the fluid up to the
//! freeboard, and the envelope of the body.

use super::{Anchor, Drawing, scale_below};
use crate::collection::{Posture, Size, Specimen};
use crate::fit::{self, Stance};
use crate::plan::Tank;
use crate::project::Project;
use crate::report::html::page::{Markup, mm};
use crate::units::{Length, Millilitres};
use crate::words::tank as words;

/// Width of the drawing on paper, mm.
const WIDE: f64 = 102.0;
const LEFT: f64 = 2.0;
const TOP: f64 = 12.0;
const GAP: f64 = 24.0;
/// Room for the heights of front view and plan together, mm.
const HIGH: f64 = 62.0;

/// One view: its lower left inner corner, its clear width and clear height, mm of paper.
struct View {
    corner: [f64; 2],
    wide: f64,
    high: f64,
}

/// The drawing of a specimen's tank.
pub fn tank(project: &Project, tank: &Tank) -> Markup {
    let specimen = &project.collection.specimens[tank.specimen];
    let [length, width, height] = [tank.length, tank.width, tank.height].map(Length::mm);
    let design = tank.design.as_deref();
    let (wall, base, lid) =
        design.map_or((0.0, 0.0, 0.0), |design| (design.wall.mm(), design.base.mm(), design.lid.mm()));
    let glass = [length + 2.0 * wall, width + 2.0 * wall, height + base + lid];
    let factor = ((WIDE - LEFT - GAP - 18.0) / (glass[0] + glass[1])).min((HIGH - 26.0) / (glass[2] + glass[1]));
    let (scale, words) = scale_below(factor);
    let floor = TOP + (height + lid) * scale;
    let front = View { corner: [LEFT + wall * scale, floor], wide: length * scale, high: height * scale };
    let side_x = LEFT + glass[0] * scale + GAP + wall * scale;
    let side = View { corner: [side_x, floor], wide: width * scale, high: height * scale };
    let plan_floor = floor + base * scale + 18.0 + (wall + width) * scale;
    let plan = View { corner: [LEFT + wall * scale, plan_floor], wide: length * scale, high: width * scale };
    let bottom = plan_floor + wall * scale + 9.0;
    let title = format!("Tank for {}: front, side and plan, {words}", specimen.key);
    let mut drawing = Drawing::new(WIDE, bottom, &title, &description(project, specimen, tank));
    let surface = floor - (height - project.settings.tank_freeboard.mm()).max(0.0) * scale;
    for (view, title) in [(&front, format!("front, {words}")), (&side, "side".to_owned())] {
        elevation(&mut drawing, view, [wall, base, lid].map(|pane| pane * scale), design.is_some());
        drawing.rect("fluid", [view.corner[0], surface], [view.wide, floor - surface]);
        drawing.surface([view.corner[0], view.corner[0] + view.wide], surface);
        drawing.text([view.corner[0], TOP - 6.5], Anchor::Start, &title);
    }
    plan_view(&mut drawing, &plan, wall * scale);
    if let Some([along, across, upright]) = body(specimen, tank) {
        let above = project.settings.tank_floor.mm() * scale;
        let [along, across, upright] = [along, across, upright].map(|side| side.mm() * scale);
        for (view, wide) in [(&front, along), (&side, across)] {
            let x = view.corner[0] + (view.wide - wide) / 2.0;
            drawing.rect("body", [x, floor - above - upright], [wide, upright]);
        }
        let middle = [plan.corner[0] + plan.wide / 2.0, plan.corner[1] - plan.high / 2.0];
        drawing.turned_rect("body", middle, [along, across], 0.0);
    }
    sizes(&mut drawing, tank, [&front, &side, &plan], [wall, base, lid].map(|pane| pane * scale), surface, project);
    drawing.markup()
}

/// The envelope of the body along, across and upright, the longer side along. `None` if it was not measured.
fn body(specimen: &Specimen, tank: &Tank) -> Option<[Length; 3]> {
    let Size::Measured(measured) = specimen.size else { return None };
    if specimen.posture == Posture::Coil || tank.stance == Stance::Coil {
        let thick = measured.width.max(measured.height);
        let coil = fit::coil::coil_envelope(measured.length, thick);
        return Some([coil.length, coil.width, coil.height]);
    }
    let (upright, (one, other)) = tank.stance.measures(&measured);
    Some([one.max(other), one.min(other), upright])
}

fn description(project: &Project, specimen: &Specimen, tank: &Tank) -> String {
    let clear = [tank.length, tank.width, tank.height].map(mm).join(" × ");
    let fluid = &project.rules.fluid(specimen.fluid).name;
    let Millilitres(ml) = tank.fluid;
    let glass = match tank.design.as_deref() {
        Some(design) => {
            let construction = words::construction(&design.construction);
            format!("walls {}, base {}, {construction}", design.wall, design.base)
        }
        None => words::price(tank.price_basis).into_owned(),
    };
    format!("{clear} mm clear, {ml} ml of {fluid}; {glass}")
}

/// Walls, base and lid in front or side view; without a design only the outline.
fn elevation(drawing: &mut Drawing, view: &View, [wall, base, lid]: [f64; 3], glass: bool) {
    let [x, floor] = view.corner;
    let top = floor - view.high;
    if !glass {
        drawing.rect("wall", [x, top], [view.wide, view.high]);
        return;
    }
    drawing.rect("glass", [x - wall, top], [wall, view.high]);
    drawing.rect("glass", [x + view.wide, top], [wall, view.high]);
    drawing.rect("glass", [x - wall, floor], [view.wide + 2.0 * wall, base]);
    drawing.rect("glass", [x - wall, top - lid], [view.wide + 2.0 * wall, lid]);
    drawing.rect("wall", [x - wall, top - lid], [view.wide + 2.0 * wall, view.high + lid + base]);
}

fn plan_view(drawing: &mut Drawing, view: &View, wall: f64) {
    let [x, bottom] = view.corner;
    let corner = [x, bottom - view.high];
    drawing.rect("wall", [x - wall, corner[1] - wall], [view.wide + 2.0 * wall, view.high + 2.0 * wall]);
    drawing.rect("thin", corner, [view.wide, view.high]);
    drawing.rect("fluid", corner, [view.wide, view.high]);
    drawing.text([x, corner[1] - wall - 1.2], Anchor::Start, "plan");
}

/// Dimensions: clear sizes, outer sizes, freeboard.
fn sizes(
    drawing: &mut Drawing,
    tank: &Tank,
    [front, side, plan]: [&View; 3],
    [wall, base, lid]: [f64; 3],
    surface: f64,
    project: &Project,
) {
    let under = front.corner[1] + base;
    for (view, clear, outer) in [(front, tank.length, 0), (side, tank.width, 1)] {
        let [x, _] = view.corner;
        let ends = [x, x + view.wide];
        drawing.across(ends, under + 4.6, &format!("{} clear", mm(clear)));
        if let Some(design) = &tank.design {
            let ends = [x - wall, x + view.wide + wall];
            drawing.across(ends, front.corner[1] - view.high - lid - 1.6, &mm(design.outer[outer]));
        }
    }
    let right = front.corner[0] + front.wide + wall + 2.0;
    let top = front.corner[1] - front.high;
    drawing.upright([top, front.corner[1]], right + 8.0, &format!("{} clear", mm(tank.height)));
    drawing.upright([top, surface], right, &mm(project.settings.tank_freeboard));
    if let Some(design) = &tank.design {
        let x = side.corner[0] + side.wide + wall + 2.5;
        drawing.upright([top - lid, front.corner[1] + base], x, &mm(design.outer[2]));
    }
    let x = plan.corner[0] + plan.wide + wall + 2.0;
    drawing.upright([plan.corner[1] - plan.high, plan.corner[1]], x, &format!("{} clear", mm(tank.width)));
}
