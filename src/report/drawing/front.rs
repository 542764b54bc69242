//! A chart of plans by two amounts of which each has less of one and more of the other. The axes begin near the least amounts and not
//! at 0, so that near plans can be told apart; points are numbered as in the table beside it.

use super::steps::round_values;
use super::{Anchor, Drawing};
use crate::report::html::page::Markup;

const WIDE: f64 = 150.0;
const HIGH: f64 = 84.0;
const LEFT: f64 = 14.0;
const RIGHT: f64 = 144.0;
const TOP: f64 = 7.0;
const BOTTOM: f64 = 72.0;

/// The chart of these points, by rising x and falling y. Their numbers are left out where they would touch that of the point before.
pub fn front(title: &str, description: &str, (across, up): (&str, &str), points: &[[f64; 2]]) -> Markup {
    let mut drawing = Drawing::new(WIDE, HIGH, title, description);
    let of = |axis: usize| points.iter().map(move |point| point[axis]);
    let [across_axis, up_axis] = [0, 1].map(|axis| {
        let (least, most) =
            of(axis).fold((f64::MAX, f64::MIN), |(least, most), value| (least.min(value), most.max(value)));
        let room = ((most - least) * 0.06).max(most.abs() * 1e-4).max(1e-6);
        ((least - room).max(0.0), most + room)
    });
    let x = |value: f64| LEFT + (RIGHT - LEFT) * (value - across_axis.0) / (across_axis.1 - across_axis.0);
    let y = |value: f64| BOTTOM - (BOTTOM - TOP) * (value - up_axis.0) / (up_axis.1 - up_axis.0);
    for tick in round_values(across_axis.0, across_axis.1) {
        drawing.line("grid", [x(tick), TOP], [x(tick), BOTTOM]);
        drawing.text([x(tick), BOTTOM + 4.0], Anchor::Middle, &crate::units::decimal(tick, 4));
    }
    for tick in round_values(up_axis.0, up_axis.1) {
        drawing.line("grid", [LEFT, y(tick)], [RIGHT, y(tick)]);
        drawing.text([LEFT - 1.5, y(tick) + 0.9], Anchor::End, &crate::units::decimal(tick, 4));
    }
    drawing.line("thin", [LEFT, BOTTOM], [RIGHT, BOTTOM]);
    drawing.line("thin", [LEFT, TOP], [LEFT, BOTTOM]);
    drawing.text([(LEFT + RIGHT) / 2.0, HIGH - 2.5], Anchor::Middle, across);
    drawing.text([0.5, TOP - 3.0], Anchor::Start, up);
    // With money between two plans the first of them is the best of these.
    let mut path: Vec<[f64; 2]> = Vec::new();
    for &[from, value] in points {
        path.extend(path.last().map(|last| [x(from), last[1]]));
        path.push([x(from), y(value)]);
    }
    drawing.polyline("thin", &path);
    let mut last: Option<[f64; 2]> = None;
    for (number, &[from, value]) in points.iter().enumerate() {
        let [x, y] = [x(from), y(value)];
        drawing.ellipse("arrow", [x, y], [0.9, 0.9], 0.0);
        if last.is_none_or(|[before_x, before_y]| (x - before_x).abs() > 4.0 || (y - before_y).abs() > 3.0) {
            drawing.text([x + 1.4, y - 1.2], Anchor::Start, &(number + 1).to_string());
            last = Some([x, y]);
        }
    }
    drawing.markup()
}
