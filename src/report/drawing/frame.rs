//! Position and scale of the front view and the plan of a vessel on paper.

use super::scale_below;
use crate::stock::{Section, Vessel};
use crate::units::Length;

/// Largest width of a figure on paper, mm: three of them and the gaps between fit the width of a page.
pub const FIGURE_MM: f64 = 58.0;
/// Smallest width of a figure on paper, mm: five of them and the gaps between fit the width of a page.
const LEAST_MM: f64 = 33.5;
const LEFT: f64 = 3.0;
/// Room for the dimension of the fluid above the body.
const RIGHT: f64 = 12.0;
const TOP: f64 = 8.5;
const BOTTOM: f64 = 6.0;
const GAP: f64 = 4.5;
/// Room for the heights of both views, mm, if the plan is below the front view.
const STACKED_MM: f64 = 50.0;
/// Room for the height of the front view, mm, if the plan is beside it.
const BESIDE_MM: f64 = 50.0;

/// Position and scale of a front view and a plan; lengths in mm of paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Length on paper over real length.
    pub scale: f64,
    /// The scale in words.
    pub words: &'static str,
    /// Middle of the floor in the front view.
    pub floor: [f64; 2],
    /// Centre of the plan.
    pub plan: [f64; 2],
    /// Width and height of the whole drawing.
    pub size: [f64; 2],
}

impl Frame {
    /// A frame for an object of these measures in mm, at the largest standard scale that the figure allows.
    pub fn new(wide: f64, deep: f64, high: f64) -> Self {
        let [wide_mm, deep_mm, high_mm] = [wide, deep, high].map(|side| side.max(1.0));
        let room = FIGURE_MM - LEFT - RIGHT;
        let beside = ((room - GAP) / (2.0 * wide_mm)).min(BESIDE_MM / high_mm);
        let stacked = (room / wide_mm).min(STACKED_MM / (high_mm + deep_mm));
        let (scale, words) = scale_below(beside.max(stacked));
        let [wide, deep, high] = [wide_mm, deep_mm, high_mm].map(|side| side * scale);
        let floor = TOP + high;
        if beside >= stacked {
            let plan = LEFT + wide + RIGHT + GAP / 2.0 + wide / 2.0 - 3.0;
            let height = floor.max(TOP + deep) + BOTTOM;
            let plan = [plan.min(FIGURE_MM - wide / 2.0 - 0.5), floor - deep / 2.0];
            let size = [(plan[0] + wide / 2.0 + 1.5).clamp(LEAST_MM, FIGURE_MM), height];
            return Frame { scale, words, floor: [LEFT + wide / 2.0, floor], plan, size };
        }
        let plan = [LEFT + wide / 2.0, floor + BOTTOM + deep / 2.0];
        let size = [(LEFT + wide + RIGHT).clamp(LEAST_MM, FIGURE_MM), floor + BOTTOM + deep + 4.8];
        Frame { scale, words, floor: [LEFT + wide / 2.0, floor], plan, size }
    }

    /// The frame of a vessel, the longer side to the front.
    pub fn of(vessel: &Vessel) -> Self {
        let (wide, deep) = sides(vessel.section);
        Frame::new(wide, deep, vessel.inner_height.mm())
    }

    /// A real length on paper, mm.
    pub fn on_paper(&self, length: Length) -> f64 {
        length.mm() * self.scale
    }
}

/// The longer side and the shorter, or the diameter twice, in mm.
pub fn sides(section: Section) -> (f64, f64) {
    (section.larger().mm(), section.smaller().mm())
}
