//! Drawings to scale, as SVG. One unit is one millimetre of paper, so that a print at full size can be measured.
//!
//! Each drawing has a title and a description, and its figures are also in a table. Colours and patterns come from the
//! style sheet, by class.

pub mod body;
pub mod chart;
pub(crate) mod frame;
pub mod front;
pub mod miss;
pub mod sheet;
pub mod steps;
pub mod tank;
pub mod vessel;

use super::html::page::{Markup, escaped};
use crate::units::truncated;

/// A drawing under construction.
#[derive(Clone, Debug)]
pub struct Drawing {
    width: f64,
    height: f64,
    title: String,
    description: String,
    body: String,
}

/// Where text stands relative to its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// The text begins at the point.
    Start,
    /// The text is centred at the point.
    Middle,
    /// The text ends at the point.
    End,
}

/// A coordinate, rounded to a hundredth, without trailing zeros. Drawings hold very many, and integers are formatted faster than floats.
pub(super) fn at(number: f64) -> String {
    let hundredths = truncated((number * 100.0).round());
    let (whole, rest) = (hundredths.unsigned_abs() / 100, hundredths.unsigned_abs() % 100);
    let sign = if hundredths < 0 { "-" } else { "" };
    match rest {
        0 => format!("{sign}{whole}"),
        _ if rest % 10 == 0 => format!("{sign}{whole}.{}", rest / 10),
        _ => format!("{sign}{whole}.{rest:02}"),
    }
}

impl Drawing {
    /// An empty drawing, width × height in millimetres of paper.
    pub fn new(width: f64, height: f64, title: &str, description: &str) -> Self {
        let [title, description] = [title, description].map(str::to_owned);
        Drawing { width, height, title, description, body: String::new() }
    }

    /// A rectangle with its upper left corner at `[x, y]`.
    pub fn rect(&mut self, class: &'static str, [x, y]: [f64; 2], [width, height]: [f64; 2]) {
        let [x, y, width, height] = [x, y, width.max(0.0), height.max(0.0)].map(at);
        self.body
            .push_str(&format!("<rect class=\"{class}\" x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\"/>"));
    }

    /// A rectangle with rounded corners.
    pub fn rounded(&mut self, class: &'static str, [x, y]: [f64; 2], [width, height]: [f64; 2], radius: f64) {
        let [x, y, width, height, radius] = [x, y, width.max(0.0), height.max(0.0), radius].map(at);
        self.body.push_str(&format!(
            "<rect class=\"{class}\" x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\" rx=\"{radius}\"/>"
        ));
    }

    /// An ellipse with centre `[x, y]` and these half axes, turned by `degrees`.
    pub fn ellipse(&mut self, class: &'static str, [x, y]: [f64; 2], [rx, ry]: [f64; 2], degrees: f64) {
        let turn = turned(degrees, x, y);
        let [x, y, rx, ry] = [x, y, rx, ry].map(at);
        self.body
            .push_str(&format!("<ellipse class=\"{class}\" cx=\"{x}\" cy=\"{y}\" rx=\"{rx}\" ry=\"{ry}\"{turn}/>"));
    }

    /// A rectangle with centre `[x, y]`, turned by `degrees`.
    pub fn turned_rect(&mut self, class: &'static str, [x, y]: [f64; 2], [width, height]: [f64; 2], degrees: f64) {
        let turn = turned(degrees, x, y);
        let [x, y, width, height] = [x - width / 2.0, y - height / 2.0, width, height].map(at);
        self.body.push_str(&format!(
            "<rect class=\"{class}\" x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\"{turn}/>"
        ));
    }

    /// A straight line.
    pub fn line(&mut self, class: &'static str, [x1, y1]: [f64; 2], [x2, y2]: [f64; 2]) {
        let [x1, y1, x2, y2] = [x1, y1, x2, y2].map(at);
        self.body.push_str(&format!("<line class=\"{class}\" x1=\"{x1}\" y1=\"{y1}\" x2=\"{x2}\" y2=\"{y2}\"/>"));
    }

    /// A closed polygon.
    pub fn polygon(&mut self, class: &'static str, points: &[[f64; 2]]) {
        let points: Vec<String> = points.iter().map(|[x, y]| format!("{},{}", at(*x), at(*y))).collect();
        self.body.push_str(&format!("<polygon class=\"{class}\" points=\"{}\"/>", points.join(" ")));
    }

    /// A line through these points.
    pub fn polyline(&mut self, class: &'static str, points: &[[f64; 2]]) {
        let points: Vec<String> = points.iter().map(|[x, y]| format!("{},{}", at(*x), at(*y))).collect();
        self.body.push_str(&format!("<polyline class=\"{class}\" points=\"{}\"/>", points.join(" ")));
    }

    /// Text at a point of its baseline; nothing if the text is empty.
    pub fn text(&mut self, [x, y]: [f64; 2], anchor: Anchor, text: &str) {
        if text.is_empty() {
            return;
        }
        let class = match anchor {
            Anchor::Start => "",
            Anchor::Middle => " class=\"middle\"",
            Anchor::End => " class=\"end\"",
        };
        self.body.push_str(&format!("<text x=\"{}\" y=\"{}\"{class}>{}</text>", at(x), at(y), escaped(text)));
    }

    /// Draws the symbol with this id.
    pub fn symbol(&mut self, id: &str) {
        self.body.push_str(&format!("<use href=\"#{}\"/>", escaped(id)));
    }

    /// A horizontal dimension line at `y`, its text above the middle.
    pub fn across(&mut self, [from, to]: [f64; 2], y: f64, text: &str) {
        self.line("dim", [from, y], [to, y]);
        self.ends([from, y], [to, y]);
        self.text([(from + to) / 2.0, y - 0.8], Anchor::Middle, text);
    }

    /// A vertical dimension line at `x`, its text to the right of the middle.
    pub fn upright(&mut self, [from, to]: [f64; 2], x: f64, text: &str) {
        self.line("dim", [x, from], [x, to]);
        self.ends([x, from], [x, to]);
        self.text([x + 1.0, (from + to) / 2.0 + 0.9], Anchor::Start, text);
    }

    /// Oblique strokes at both ends of a dimension line.
    fn ends(&mut self, from: [f64; 2], to: [f64; 2]) {
        for [x, y] in [from, to] {
            self.line("thin", [x - 0.6, y + 0.6], [x + 0.6, y - 0.6]);
        }
    }

    /// The surface of a fluid: a line with a triangle standing on it.
    pub fn surface(&mut self, [from, to]: [f64; 2], y: f64) {
        self.line("surface", [from, y], [to, y]);
        let x = from + (to - from) * 0.8;
        self.polygon("open", &[[x - 0.9, y - 1.7], [x + 0.9, y - 1.7], [x, y - 0.15]]);
    }

    /// Another drawing, clipped to a circle. `name` is the id of the clip path, unique in the document.
    pub fn within_circle(&mut self, name: &str, [x, y]: [f64; 2], radius: f64, other: Drawing) {
        let shape = format!("<circle cx=\"{}\" cy=\"{}\" r=\"{}\"/>", at(x), at(y), at(radius.max(0.0)));
        self.within(name, &shape, other);
    }

    /// Another drawing, clipped to a rectangle. `name` is the id of the clip path, unique in the document.
    pub fn within_rect(&mut self, name: &str, [x, y]: [f64; 2], [width, height]: [f64; 2], other: Drawing) {
        let [x, y, width, height] = [x, y, width.max(0.0), height.max(0.0)].map(at);
        let shape = format!("<rect x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\"/>");
        self.within(name, &shape, other);
    }

    fn within(&mut self, name: &str, shape: &str, other: Drawing) {
        let name = escaped(name);
        self.body.push_str(&format!("<clipPath id=\"{name}\">{shape}</clipPath><g clip-path=\"url(#{name})\">"));
        self.body.push_str(&other.body);
        self.body.push_str("</g>");
    }

    /// The markup of the drawing without the `svg` element.
    pub fn inside(self) -> Markup {
        Markup::drawn(self.body)
    }

    /// The drawing as an `svg` element.
    pub fn markup(self) -> Markup {
        let [width, height] = [self.width, self.height].map(at);
        let [title, description] = [&self.title, &self.description].map(|text| escaped(text));
        let size = format!("width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {width} {height}\"");
        let open = format!("<svg role=\"img\" {size}><title>{title}</title><desc>{description}</desc>");
        Markup::drawn(format!("{open}{}</svg>", self.body))
    }
}

fn turned(degrees: f64, x: f64, y: f64) -> String {
    if degrees == 0.0 {
        return String::new();
    }
    format!(" transform=\"rotate({} {} {})\"", at(degrees), at(x), at(y))
}

/// The fill patterns of all drawings; stands once in a document.
pub const PATTERNS: &str = "<svg class=\"hidden\" aria-hidden=\"true\"><defs>\
    <pattern id=\"fill-fluid\" width=\"4\" height=\"1.8\" patternUnits=\"userSpaceOnUse\"><path class=\"tide\" d=\"M0 .9h2.4\"/></pattern>\
    <pattern id=\"fill-body\" width=\"1.3\" height=\"1.3\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\">\
    <path class=\"ground\" d=\"M0 0h1.3v1.3h-1.3z\"/><path class=\"stroke\" d=\"M0 0v1.3\"/></pattern>\
    <pattern id=\"fill-over\" width=\"1\" height=\"1\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\">\
    <path class=\"ground\" d=\"M0 0h1v1h-1z\"/><path class=\"heavy\" d=\"M0 0v1M0 0h1\"/></pattern>\
    <pattern id=\"fill-hatch\" width=\"1.6\" height=\"1.6\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(-45)\">\
    <path class=\"ground\" d=\"M0 0h1.6v1.6h-1.6z\"/><path class=\"heavy\" d=\"M0 0v1.6\"/></pattern>\
    <pattern id=\"fill-dots\" width=\"1.4\" height=\"1.4\" patternUnits=\"userSpaceOnUse\"><path class=\"ground\" d=\"M0 0h1.4v1.4h-1.4z\"/>\
    <circle class=\"arrow\" cx=\".7\" cy=\".7\" r=\".32\"/></pattern>\
    <pattern id=\"fill-bricks\" width=\"2.4\" height=\"2\" patternUnits=\"userSpaceOnUse\"><path class=\"ground\" d=\"M0 0h2.4v2h-2.4z\"/>\
    <path class=\"thin\" d=\"M0 0h2.4M0 1h2.4M.6 0v1M1.8 1v1\"/></pattern></defs></svg>";

/// The standard scales of drawings, largest first: length on paper over real length, and the scale in words.
const SCALES: [(f64, &str); 16] = [
    (2.0, "2 : 1"),
    (1.0, "1 : 1"),
    (1.0 / 1.5, "1 : 1.5"),
    (1.0 / 2.0, "1 : 2"),
    (1.0 / 2.5, "1 : 2.5"),
    (1.0 / 3.0, "1 : 3"),
    (1.0 / 4.0, "1 : 4"),
    (1.0 / 5.0, "1 : 5"),
    (1.0 / 7.5, "1 : 7.5"),
    (1.0 / 10.0, "1 : 10"),
    (1.0 / 15.0, "1 : 15"),
    (1.0 / 20.0, "1 : 20"),
    (1.0 / 25.0, "1 : 25"),
    (1.0 / 30.0, "1 : 30"),
    (1.0 / 50.0, "1 : 50"),
    (1.0 / 100.0, "1 : 100"),
];

/// The largest standard scale not above `factor`, with its words. If every standard scale is larger, `factor` itself and
/// "not to scale".
pub(super) fn scale_below(factor: f64) -> (f64, &'static str) {
    SCALES.into_iter().find(|(scale, _)| *scale <= factor + 1e-9).unwrap_or((factor, "not to scale"))
}
