//! Charts: parts of a sum as a bar, amounts side by side, sizes against vessels, how full. Every figure is in a table too.

use super::Drawing;
use crate::units::decimal;

/// Fills that differ in line as well as in shade.
pub const FILLS: [&str; 4] = ["f0", "f1", "f2", "f3"];

/// Parts of a whole as one bar, each named with its amount; parts too narrow for words are named below it.
pub fn bar(title: &str, parts: &[(String, f64, String)], whole: f64) -> String {
    let (width, height) = (700.0, 64.0);
    let sum: f64 = parts.iter().map(|(_, amount, _)| amount).sum();
    let scale = width / whole.max(sum).max(f64::MIN_POSITIVE);
    let mut drawing = Drawing::new(width + 2.0, height);
    let mut x = 1.0;
    for (at, (name, amount, text)) in parts.iter().enumerate() {
        let wide = amount * scale;
        drawing.rectangle(FILLS[at % FILLS.len()], [x, 16.0, wide, 26.0]);
        if wide > 74.0 {
            drawing.text("chart", (x + 3.0, 11.0), "start", name);
            drawing.text("chart", (x + 3.0, 56.0), "start", text);
        }
        x += wide;
    }
    if whole > sum {
        drawing.rectangle("left", [x, 16.0, width + 1.0 - x, 26.0]);
    }
    let said: Vec<String> = parts.iter().map(|(name, _, text)| format!("{name} {text}")).collect();
    drawing.svg(title, &said.join(", "))
}

/// Amounts side by side, longest first as they come.
pub fn bars(title: &str, rows: &[(String, f64, String)]) -> String {
    let most = rows.iter().map(|(_, amount, _)| *amount).fold(0.0, f64::max).max(f64::MIN_POSITIVE);
    let mut drawing = Drawing::new(700.0, 8.0 + 22.0 * rows.len() as f64);
    for (at, (name, amount, text)) in rows.iter().enumerate() {
        let y = 6.0 + 22.0 * at as f64;
        drawing.text("chart", (196.0, y + 11.0), "end", name);
        let wide = (amount / most * 400.0).max(1.0);
        drawing.rectangle("f0", [202.0, y, wide, 14.0]);
        drawing.text("chart", (208.0 + wide, y + 11.0), "start", text);
    }
    let said: Vec<String> = rows.iter().map(|(name, _, text)| format!("{name} {text}")).collect();
    drawing.svg(title, &said.join(", "))
}

/// Bodies as points and vessels as open squares, over width and height, both by their logarithm.
pub fn sizes(bodies: &[(f64, f64)], vessels: &[(f64, f64)]) -> String {
    let all = || bodies.iter().chain(vessels).filter(|(wide, high)| *wide > 0.0 && *high > 0.0);
    let range = |of: fn(&(f64, f64)) -> f64| {
        let (least, most) = all().map(of).fold((f64::INFINITY, 0.0_f64), |(a, b), x| (a.min(x), b.max(x)));
        if most > 0.0 { (least * 0.85, most * 1.18) } else { (1.0, 10.0) }
    };
    let (wide, high) = (range(|size| size.0), range(|size| size.1));
    let (left, top, width, height) = (48.0, 10.0, 620.0, 300.0);
    let x = |mm: f64| left + width * (mm / wide.0).ln() / (wide.1 / wide.0).ln();
    let y = |mm: f64| top + height * (1.0 - (mm / high.0).ln() / (high.1 / high.0).ln());
    let mut drawing = Drawing::new(left + width + 20.0, top + height + 40.0);
    drawing.rectangle("frame", [left, top, width, height]);
    for mark in [5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0] {
        if mark > wide.0 && mark < wide.1 {
            drawing.path("grid", &[(x(mark), top), (x(mark), top + height)], false);
            drawing.text("chart", (x(mark), top + height + 14.0), "middle", &decimal(mark, 0));
        }
        if mark > high.0 && mark < high.1 {
            drawing.path("grid", &[(left, y(mark)), (left + width, y(mark))], false);
            drawing.text("chart", (left - 5.0, y(mark) + 3.5), "end", &decimal(mark, 0));
        }
    }
    for &(wide, high) in vessels.iter().filter(|(wide, high)| *wide > 0.0 && *high > 0.0) {
        drawing.rectangle("glass", [x(wide) - 4.0, y(high) - 4.0, 8.0, 8.0]);
    }
    for &(wide, high) in bodies.iter().filter(|(wide, high)| *wide > 0.0 && *high > 0.0) {
        drawing.ellipse("point", [x(wide), y(high), 1.9, 1.9]);
    }
    drawing.text("chart", (left + width / 2.0, top + height + 32.0), "middle", "smaller width, mm");
    drawing.text("chart", (left, top - 1.0), "end", "mm high");
    let description =
        format!("{} specimens as points, {} kinds of vessel as open squares.", bodies.len(), vessels.len());
    drawing.svg("Sizes of specimens against the vessels offered", &description)
}

/// How many rows have a tissue share of 0 to 5, 5 to 10 … per cent, with the limit as a line.
pub fn shares(counts: &[usize], limit_pct: f64) -> String {
    let most = counts.iter().copied().max().unwrap_or(0).max(1) as f64;
    let step = 58.0;
    let mut drawing = Drawing::new(40.0 + step * counts.len() as f64, 176.0);
    for (at, &count) in counts.iter().enumerate() {
        let (x, high) = (20.0 + step * at as f64, 120.0 * count as f64 / most);
        drawing.rectangle("f0", [x + 4.0, 140.0 - high, step - 8.0, high]);
        drawing.text("chart", (x + step / 2.0, 135.0 - high), "middle", &count.to_string());
        drawing.text("chart", (x + step / 2.0, 154.0), "middle", &format!("{}–{} %", at * 5, at * 5 + 5));
    }
    let limit = 20.0 + step * limit_pct / 5.0;
    drawing.path("limit", &[(limit, 12.0), (limit, 140.0)], false);
    drawing.text("chart", (limit - 4.0, 20.0), "end", &format!("limit {} %", decimal(limit_pct, 1)));
    drawing.text("chart", (20.0, 172.0), "start", "tissue share of the filled volume; rows");
    let said: Vec<String> =
        counts.iter().enumerate().map(|(at, count)| format!("{} to {} %: {count}", at * 5, at * 5 + 5)).collect();
    drawing.svg("Tissue shares", &said.join(", "))
}
