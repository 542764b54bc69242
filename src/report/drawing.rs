//! Drawings as SVG: lines to scale, with a title and a description, in the page's own colours and patterns.

pub mod charts;
pub mod glass;
pub mod vessel;

use std::fmt::Write;

/// A drawing while it is made. Lengths are in pixels of the page; y runs downwards.
pub struct Drawing {
    width: f64,
    height: f64,
    body: String,
}

/// Text as XML and HTML have it.
pub fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            c if c.is_control() && c != '\n' => safe.push('\u{fffd}'),
            c => safe.push(c),
        }
    }
    safe
}

/// A number with at most one decimal.
fn short(number: f64) -> String {
    let tenths = (number * 10.0).round() / 10.0;
    if tenths == 0.0 { "0".to_owned() } else { tenths.to_string() }
}

impl Drawing {
    /// Of this size, in pixels.
    pub fn new(width: f64, height: f64) -> Self {
        Drawing { width, height, body: String::new() }
    }

    /// A rectangle by its corner nearest the top left.
    pub fn rectangle(&mut self, class: &str, [x, y, width, height]: [f64; 4]) {
        let [x, y, width, height] = [x, y, width.max(0.0), height.max(0.0)].map(short);
        // Writing to text cannot fail, here and below.
        let _ =
            write!(self.body, "<rect class=\"{class}\" x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\"/>");
    }

    /// An ellipse by its middle and its half axes.
    pub fn ellipse(&mut self, class: &str, [x, y, rx, ry]: [f64; 4]) {
        let [x, y, rx, ry] = [x, y, rx.max(0.0), ry.max(0.0)].map(short);
        let _ = write!(self.body, "<ellipse class=\"{class}\" cx=\"{x}\" cy=\"{y}\" rx=\"{rx}\" ry=\"{ry}\"/>");
    }

    /// A line through points.
    pub fn path(&mut self, class: &str, points: &[(f64, f64)], closed: bool) {
        let points: Vec<String> = points.iter().map(|(x, y)| format!("{} {}", short(*x), short(*y))).collect();
        let end = if closed { "Z" } else { "" };
        let _ = write!(self.body, "<path class=\"{class}\" d=\"M{}{end}\"/>", points.join("L"));
    }

    /// Text; `anchor` is start, middle or end.
    pub fn text(&mut self, class: &str, (x, y): (f64, f64), anchor: &str, text: &str) {
        let [x, y] = [x, y].map(short);
        let text = escaped(text);
        let _ = write!(self.body, "<text class=\"{class}\" x=\"{x}\" y=\"{y}\" text-anchor=\"{anchor}\">{text}</text>");
    }

    /// A measure between two heights or two sides, with short strokes at its ends.
    pub fn measure(&mut self, from: (f64, f64), to: (f64, f64), text: &str) {
        let upright = (from.0 - to.0).abs() < 0.05;
        let stroke = |(x, y): (f64, f64)| match upright {
            true => [(x - 2.5, y), (x + 2.5, y)],
            false => [(x, y - 2.5), (x, y + 2.5)],
        };
        for end in [from, to] {
            self.path("dim", &stroke(end), false);
        }
        self.path("dim", &[from, to], false);
        let (x, y) = ((from.0 + to.0) / 2.0, (from.1 + to.1) / 2.0);
        match upright {
            true => self.text("dimt", (x + 4.0, y + 3.0), "start", text),
            false => self.text("dimt", (x, y - 4.0), "middle", text),
        }
    }

    /// The whole drawing, named and described for those who do not see it.
    pub fn svg(self, title: &str, description: &str) -> String {
        let Drawing { width, height, body } = self;
        let [width, height] = [width, height].map(short);
        format!(
            "<svg role=\"img\" viewBox=\"0 0 {width} {height}\" width=\"{width}\" height=\"{height}\"><title>{}</title>\
             <desc>{}</desc>{body}</svg>",
            escaped(title),
            escaped(description)
        )
    }
}
