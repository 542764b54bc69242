//! Charts: a bar divided into its parts, bars by name, bodies and vessels by size, and a histogram. Parts differ by
//! pattern as well as by colour, and the figures of a chart are also in a table.

use super::{Anchor, Drawing, at};
use crate::report::html::page::Markup;
use crate::units::truncated;

/// A part of a bar: its pattern (a class of the style sheet), its name, its size, and its size in words.
pub type Part = (&'static str, &'static str, f64, String);

/// One bar divided into parts, with a legend of their names under it. The amounts are in the table beside it.
pub fn divided(title: &str, parts: &[Part]) -> Markup {
    const WIDE: f64 = 96.0;
    let whole: f64 = parts.iter().map(|(_, _, size, _)| size).sum();
    let said: Vec<String> = parts.iter().map(|(_, name, _, words)| format!("{name} {words}")).collect();
    let mut drawing = Drawing::new(WIDE, 16.0, title, &said.join("; "));
    let mut x = 0.3;
    for (pattern, _, size, _) in parts {
        let wide = if whole > 0.0 { (WIDE - 0.6) * size / whole } else { 0.0 };
        drawing.rect(pattern, [x, 0.3], [wide, 8.0]);
        x += wide;
    }
    let apart = (WIDE / parts.len().max(1) as f64).min(24.0);
    for (i, (pattern, name, ..)) in parts.iter().enumerate() {
        let x = 0.3 + apart * i as f64;
        drawing.rect(pattern, [x, 11.0], [3.0, 3.0]);
        drawing.text([x + 4.2, 13.4], Anchor::Start, name);
    }
    drawing.markup()
}

/// Bars, one for each row: its name, its two parts (solid, hatched), and their sum in words.
pub fn bars(title: &str, description: &str, rows: &[(String, [f64; 2], String)]) -> Markup {
    stacked((title, description), ["solid", "hatch"], &[], rows)
}

/// The patterns of priorities 1 to 4 in a bar.
const OF_PRIORITY: [&str; 4] = ["solid", "bricks", "hatch", "dots"];

/// Bars of lots, one for each row: its name, its lots by priority, and what they are in words. A legend names the priorities that occur.
pub fn by_priority(title: &str, description: &str, rows: &[(String, [f64; 4], String)]) -> Markup {
    let occurs = |at: &usize| rows.iter().any(|(_, parts, _)| parts[*at] > 0.0);
    let legend: Vec<(&'static str, String)> =
        (0..4).filter(occurs).map(|at| (OF_PRIORITY[at], format!("priority {}", at + 1))).collect();
    stacked((title, description), OF_PRIORITY, &legend, rows)
}

fn stacked<const PARTS: usize>(
    (title, description): (&str, &str),
    patterns: [&'static str; PARTS],
    legend: &[(&'static str, String)],
    rows: &[(String, [f64; PARTS], String)],
) -> Markup {
    const WIDE: f64 = 132.0;
    const NAMES: f64 = 46.0;
    let most = rows.iter().map(|(_, parts, _)| parts.iter().sum::<f64>()).fold(0.0, f64::max).max(1e-9);
    let under = if legend.is_empty() { 0.0 } else { 6.0 };
    let below = 6.0 * rows.len() as f64 + 1.0;
    let mut drawing = Drawing::new(WIDE, below + under, title, description);
    for (i, (name, parts, words)) in rows.iter().enumerate() {
        let y = 0.5 + 6.0 * i as f64;
        let short = shortened(name, 30);
        drawing.text([NAMES - 2.0, y + 3.3], Anchor::End, &short);
        let mut x = NAMES;
        for (pattern, part) in patterns.into_iter().zip(parts) {
            let wide = (WIDE - NAMES - 20.0) * part / most;
            drawing.rect(pattern, [x, y], [wide, 4.4]);
            x += wide;
        }
        drawing.text([x + 1.5, y + 3.3], Anchor::Start, words);
    }
    for (i, (pattern, name)) in legend.iter().enumerate() {
        let x = NAMES + 21.0 * i as f64;
        drawing.rect(pattern, [x, below + 1.0], [3.0, 3.0]);
        drawing.text([x + 4.2, below + 3.4], Anchor::Start, name);
    }
    drawing.markup()
}

/// Text of at most `most` characters; `…` stands for what is cut off.
pub fn shortened(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    text.chars().take(most.saturating_sub(1)).chain(['…']).collect()
}

/// Kinds of points in [`sizes`], in the order they are drawn: later kinds cover earlier ones.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Point {
    /// A body that is not a `Leftover`.
    Body,
    /// A body without a suitable listed vessel.
    Leftover,
    /// An available vessel that no lot goes into.
    Vessel,
    /// An available vessel that a lot goes into.
    UsedVessel,
}

/// Bodies and vessels by width and height in mm, on logarithmic scales.
pub fn sizes(title: &str, description: &str, points: &[(Point, f64, f64)]) -> Markup {
    const WIDE: f64 = 150.0;
    const HIGH: f64 = 104.0;
    const LEFT: f64 = 14.0;
    const BOTTOM: f64 = 12.0;
    const TOP: f64 = 7.0;
    let across = ticks(points.iter().map(|(_, x, _)| *x));
    let up = ticks(points.iter().map(|(_, _, y)| *y));
    let place = |ticks: &[f64], value: f64, from: f64, to: f64| {
        let (low, high) = (ticks[0].log10(), ticks[ticks.len() - 1].log10());
        from + (value.max(1e-9).log10() - low) / (high - low) * (to - from)
    };
    let x = |value: f64| place(&across, value, LEFT, WIDE - 3.0);
    let y = |value: f64| place(&up, value, HIGH - BOTTOM, TOP);
    let mut drawing = Drawing::new(WIDE, HIGH, title, description);
    for &tick in &across {
        drawing.line("grid", [x(tick), TOP], [x(tick), HIGH - BOTTOM]);
        drawing.text([x(tick), HIGH - BOTTOM + 3.6], Anchor::Middle, &at(tick));
    }
    for &tick in &up {
        drawing.line("grid", [LEFT, y(tick)], [WIDE - 3.0, y(tick)]);
        drawing.text([LEFT - 1.2, y(tick) + 0.9], Anchor::End, &at(tick));
    }
    drawing.text(
        [(LEFT + WIDE) / 2.0, HIGH - 3.6],
        Anchor::Middle,
        "bore or smaller inner width, mm (of a body: the part that must pass)",
    );
    drawing.text([0.5, 3.0], Anchor::Start, "height, mm");
    // Points of one kind that fall in one cell are drawn as one larger point.
    let mut drawn: std::collections::BTreeMap<(Point, i64, i64), usize> = std::collections::BTreeMap::new();
    let square = if points.len() > MANY { WIDE_CELL } else { CELL };
    for &(point, wide, high) in points {
        let cell = |place: f64| truncated((place / square).round());
        *drawn.entry((point, cell(x(wide)), cell(y(high)))).or_default() += 1;
    }
    let most = drawn.values().copied().max().unwrap_or(1).max(4) as f64;
    for ((point, column, row), count) in drawn {
        let [x, y] = [column as f64 * square, row as f64 * square];
        let size = 0.35 + (0.45 * square - 0.1) * ((count - 1) as f64 / most).sqrt();
        match point {
            Point::UsedVessel => drawing.rect("solid", [x - 1.3, y - 1.3], [2.6, 2.6]),
            Point::Vessel => drawing.rect("open", [x - 1.3, y - 1.3], [2.6, 2.6]),
            Point::Body => drawing.ellipse("arrow", [x, y], [size, size], 0.0),
            Point::Leftover => {
                drawing.line("cross", [x - 1.3, y - 1.3], [x + 1.3, y + 1.3]);
                drawing.line("cross", [x - 1.3, y + 1.3], [x + 1.3, y - 1.3]);
            }
        }
    }
    drawing.markup()
}

/// Side of a cell of the paper, mm: points in one cell are drawn as one.
const CELL: f64 = 1.2;
/// Side of a cell if there are more than [`MANY`] points, mm.
const WIDE_CELL: f64 = 2.4;
/// Number of points above which the wide cell is used.
const MANY: usize = 1_000;

/// Tick values 1, 2, 5 × 10ⁿ that enclose the smallest and the largest value.
fn ticks(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let (low, high) = values.fold((f64::MAX, 1.0_f64), |(low, high), value| (low.min(value.max(1.0)), high.max(value)));
    let low = low.min(high);
    let steps: Vec<f64> = (0..=7).flat_map(|power| [1.0, 2.0, 5.0].map(|step| step * 10f64.powi(power))).collect();
    let from = steps.iter().rposition(|step| *step <= low).unwrap_or(0).min(steps.len() - 2);
    let to = steps.iter().position(|step| *step >= high).unwrap_or(steps.len() - 1);
    steps[from..=to.max(from + 1)].to_vec()
}

/// A histogram: one bar for each class, under it the `edges` of the classes (one more than bars), and a vertical line
/// for the `limit`: the number of classes before it, and its words.
pub fn histogram(
    title: &str,
    description: &str,
    counts: &[usize],
    edges: &[String],
    limit: Option<(usize, String)>,
) -> Markup {
    const HIGH: f64 = 56.0;
    const WIDE: f64 = 132.0;
    const LEFT: f64 = 4.0;
    let most = counts.iter().copied().max().unwrap_or(0).max(1) as f64;
    let step = (WIDE - 8.0) / counts.len().max(1) as f64;
    let mut drawing = Drawing::new(WIDE, HIGH, title, description);
    let base = HIGH - 8.0;
    for (i, count) in counts.iter().enumerate() {
        let high = (base - 8.0) * *count as f64 / most;
        let x = LEFT + step * i as f64;
        drawing.rect("solid", [x + 0.6, base - high], [step - 1.2, high]);
        if *count > 0 {
            drawing.text([x + step / 2.0, base - high - 1.0], Anchor::Middle, &count.to_string());
        }
    }
    drawing.line("thin", [LEFT, base], [WIDE - LEFT, base]);
    for (i, edge) in edges.iter().enumerate() {
        let x = LEFT + step * i as f64;
        drawing.line("thin", [x, base], [x, base + 1.0]);
        drawing.text([x, base + 4.2], Anchor::Middle, edge);
    }
    if let Some((before, words)) = limit {
        let x = LEFT + step * before as f64;
        drawing.line("limit", [x, 1.0], [x, base]);
        drawing.text([x - 1.0, 3.2], Anchor::End, &words);
    }
    drawing.markup()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn priorities_in_a_bar_have_patterns_of_their_own_and_a_legend_of_those_that_occur() {
        let rows = [
            ("a".to_owned(), [2.0, 0.0, 1.0, 0.0], "3 lots".to_owned()),
            ("b".to_owned(), [0.0, 0.0, 0.0, 4.0], "4 lots".to_owned()),
        ];
        let drawn = by_priority("title", "description", &rows).into_string();
        for (pattern, name) in [("solid", "priority 1"), ("hatch", "priority 3"), ("dots", "priority 4")] {
            // In a bar and in the legend.
            assert!(drawn.matches(&format!("class=\"{pattern}\"")).count() >= 2, "{pattern}: {drawn}");
            assert!(drawn.contains(name), "{drawn}");
        }
        assert!(!drawn.contains("priority 2"), "{drawn}");
        let mut patterns = OF_PRIORITY.to_vec();
        patterns.sort_unstable();
        patterns.dedup();
        assert_eq!(patterns.len(), 4);
    }
}
