//! A chart of steps: amounts that rise or fall as money does, a line for each of several things. Lines differ by their dashes and
//! their names stand at their ends, so that a print without colour shows which is which.

use super::{Anchor, Drawing};
use crate::report::html::page::Markup;

/// A line of steps.
pub struct StepLine {
    /// Its name, at its end.
    pub name: String,
    /// Where it begins and what it has from there on, by rising x.
    pub points: Vec<[f64; 2]>,
}

/// An upright line with its name.
pub struct ChartMark {
    /// Where it stands.
    pub x: f64,
    /// Its name, at the top.
    pub name: String,
}

/// What stands at an axis.
pub struct Axis<'a> {
    /// The largest value.
    pub most: f64,
    /// What the values are.
    pub name: &'a str,
}

const WIDE: f64 = 180.0;
const HIGH: f64 = 92.0;
const LEFT: f64 = 11.0;
/// Room for the names of the lines.
const RIGHT: f64 = 152.0;
const BOTTOM: f64 = 80.0;
/// Space between the names of lines that end near one another, and of marks.
const APART: f64 = 3.4;
/// Width of a character of a name, about.
const CHARACTER: f64 = 1.35;

/// Classes of the style sheet, one for each line.
const DASHES: [&str; 4] = ["step-1", "step-2", "step-3", "step-4"];

/// The chart. Marks are named at the top, in as many lines as keep their names apart.
pub fn steps(
    title: &str,
    description: &str,
    (across, up): (Axis, Axis),
    lines: &[StepLine],
    marks: &[ChartMark],
) -> Markup {
    let mut drawing = Drawing::new(WIDE, HIGH, title, description);
    let placed = named_apart(marks, across.most);
    let levels = placed.iter().map(|(level, _)| level + 1).max().unwrap_or(0);
    let top = 5.0 + APART * levels as f64;
    let x = |value: f64| LEFT + (RIGHT - LEFT) * value / across.most.max(1e-9);
    let y = |value: f64| BOTTOM - (BOTTOM - top) * value / up.most.max(1e-9);
    for tick in round_ticks(across.most) {
        drawing.line("grid", [x(tick), top], [x(tick), BOTTOM]);
        drawing.text([x(tick), BOTTOM + 4.0], Anchor::Middle, &short(tick));
    }
    for tick in round_ticks(up.most) {
        drawing.line("grid", [LEFT, y(tick)], [RIGHT, y(tick)]);
        drawing.text([LEFT - 1.5, y(tick) + 0.9], Anchor::End, &short(tick));
    }
    drawing.line("thin", [LEFT, BOTTOM], [RIGHT, BOTTOM]);
    drawing.text([(LEFT + RIGHT) / 2.0, HIGH - 2.5], Anchor::Middle, across.name);
    drawing.text([0.5, top - 2.0], Anchor::Start, up.name);
    for (mark, (level, anchor)) in marks.iter().zip(placed) {
        let (at, high) = (x(mark.x), 3.0 + APART * level as f64);
        drawing.line("limit", [at, high - 2.0], [at, BOTTOM]);
        let beside = if anchor == Anchor::End { at - 0.8 } else { at + 0.8 };
        drawing.text([beside, high], anchor, &mark.name);
    }
    for (line, dash) in lines.iter().zip(DASHES.into_iter().cycle()) {
        let mut path: Vec<[f64; 2]> = Vec::new();
        for &[from, value] in &line.points {
            // The line before goes on up to here.
            path.extend(path.last().map(|last| [x(from), last[1]]));
            path.push([x(from), y(value)]);
        }
        path.extend(path.last().map(|last| [RIGHT, last[1]]));
        drawing.polyline(dash, &path);
    }
    let ends: Vec<f64> = lines.iter().map(|line| line.points.last().map_or(BOTTOM, |[_, value]| y(*value))).collect();
    for ((line, dash), at) in lines.iter().zip(DASHES.into_iter().cycle()).zip(apart(&ends)) {
        drawing.polyline(dash, &[[RIGHT + 1.5, at], [RIGHT + 8.5, at]]);
        drawing.text([RIGHT + 9.5, at + 0.9], Anchor::Start, &line.name);
    }
    drawing.markup()
}

/// Of each mark the line of names that it is in, and on which side of it its name stands.
fn named_apart(marks: &[ChartMark], most: f64) -> Vec<(usize, Anchor)> {
    let mut ends: Vec<f64> = Vec::new();
    let place = |mark: &ChartMark| {
        let at = LEFT + (RIGHT - LEFT) * mark.x / most.max(1e-9);
        let long = CHARACTER * mark.name.chars().count() as f64 + 2.0;
        let (from, to, anchor) =
            if at + long > RIGHT { (at - long, at, Anchor::End) } else { (at, at + long, Anchor::Start) };
        let level = ends.iter().position(|end| *end <= from).unwrap_or(ends.len());
        if level == ends.len() {
            ends.push(to);
        } else {
            ends[level] = to;
        }
        (level, anchor)
    };
    marks.iter().map(place).collect()
}

/// Heights near these that are [`APART`], none below the axis.
fn apart(heights: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..heights.len()).collect();
    order.sort_by(|a, b| heights[*b].total_cmp(&heights[*a]));
    let mut placed = heights.to_vec();
    let mut lowest = BOTTOM;
    for at in order {
        placed[at] = placed[at].min(lowest);
        lowest = placed[at] - APART;
    }
    placed
}

/// Round values from 0 to the largest, at most eight steps.
fn round_ticks(most: f64) -> Vec<f64> {
    round_values(0.0, most)
}

/// Round values from the least to the largest, at most eight steps.
pub(super) fn round_values(least: f64, most: f64) -> Vec<f64> {
    let steps = (-4..12).flat_map(|power| [1.0, 2.0, 5.0].map(|step| step * 10_f64.powi(power)));
    let step = steps.into_iter().find(|step| (most - least) / step <= 8.0).unwrap_or(most.max(1.0));
    let first = (least / step - 1e-9).ceil();
    (0..=8).map(|times| (first + f64::from(times)) * step).take_while(|tick| *tick <= most + step * 1e-9).collect()
}

/// A round value without needless zeros.
fn short(value: f64) -> String {
    crate::units::decimal(value, 4)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_at_the_ends_of_lines_do_not_touch() {
        let placed = apart(&[40.0, 41.0, 80.0, 39.5]);
        for (at, one) in placed.iter().enumerate() {
            for other in &placed[at + 1..] {
                assert!((one - other).abs() >= APART - 1e-9, "{placed:?}");
            }
        }
        assert_eq!(placed[2], 80.0);
    }

    #[test]
    fn ticks_are_round_and_reach_the_largest_value() {
        assert_eq!(round_ticks(2724.95), [0.0, 500.0, 1000.0, 1500.0, 2000.0, 2500.0]);
        assert_eq!(round_ticks(82.0), [0.0, 20.0, 40.0, 60.0, 80.0]);
        assert_eq!(round_ticks(0.0), [0.0]);
        assert_eq!(round_values(1872.0, 1954.0), [1880.0, 1900.0, 1920.0, 1940.0]);
    }

    #[test]
    fn names_of_marks_near_one_another_stand_in_two_lines() {
        let mark = |x: f64| ChartMark { x, name: "all of priority 1".to_owned() };
        let placed = named_apart(&[mark(0.0), mark(1.0), mark(80.0), mark(100.0)], 100.0);
        assert_eq!(placed.iter().map(|(level, _)| *level).collect::<Vec<_>>(), [0, 1, 0, 1]);
        assert_eq!(placed[3].1, Anchor::End);
    }
}
