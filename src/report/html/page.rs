//! What all HTML papers share. The type [`Markup`] guarantees escaping: only it is written unchanged, and it is
//! made from text by escaping or from literals of this program.
//!
//! Every paper is one file: no network, no script, one embedded style sheet; it prints on A4 and on Letter.

use crate::units::{decimal, number_of};
use std::borrow::Cow;

/// The style sheet of the papers, colours first.
pub const STYLE: &str = include_str!("style.css");

/// Markup in which all text is escaped.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Markup(String);

impl Markup {
    /// Empty markup.
    pub fn new() -> Self {
        Self::default()
    }

    /// Markup from a literal of this program, not escaped.
    pub fn fixed(markup: &'static str) -> Self {
        Self(markup.to_owned())
    }

    /// Markup of a drawing, whose texts were escaped when they were drawn.
    pub(in crate::report) fn drawn(markup: String) -> Self {
        Self(markup)
    }

    /// Appends markup.
    pub fn push(&mut self, more: impl Into<Markup>) {
        self.0.push_str(&more.into().0);
    }

    /// The markup with more appended.
    pub fn with(mut self, more: impl Into<Markup>) -> Self {
        self.push(more);
        self
    }

    /// True if the markup is empty.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The markup as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Length in bytes, tags included.
    pub fn length(&self) -> usize {
        self.0.len()
    }

    /// The markup as owned text.
    pub fn into_string(self) -> String {
        self.0
    }
}

impl From<&str> for Markup {
    fn from(text: &str) -> Self {
        Self(escaped(text))
    }
}

impl From<&String> for Markup {
    fn from(text: &String) -> Self {
        Self(escaped(text))
    }
}

impl From<String> for Markup {
    fn from(text: String) -> Self {
        Self(escaped(&text))
    }
}

impl From<Cow<'_, str>> for Markup {
    fn from(text: Cow<'_, str>) -> Self {
        Self::from(&*text)
    }
}

impl From<usize> for Markup {
    fn from(count: usize) -> Self {
        Self(count.to_string())
    }
}

impl FromIterator<Markup> for Markup {
    fn from_iter<I: IntoIterator<Item = Markup>>(parts: I) -> Self {
        Self(parts.into_iter().map(|part| part.0).collect())
    }
}

/// Text escaped for HTML content and attributes. Tabs and line breaks become spaces; characters that XML and HTML
/// forbid become U+FFFD.
pub fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            '\'' => escaped.push_str("&#39;"),
            '\t' | '\n' | '\r' => escaped.push(' '),
            control if control.is_control() || matches!(control, '\u{fffe}' | '\u{ffff}') => escaped.push('\u{fffd}'),
            other => escaped.push(other),
        }
    }
    escaped
}

/// An element with its content. No class attribute if `class` is empty.
pub fn element(name: &'static str, class: &'static str, content: impl Into<Markup>) -> Markup {
    let content = content.into().0;
    if class.is_empty() {
        return Markup(format!("<{name}>{content}</{name}>"));
    }
    Markup(format!("<{name} class=\"{class}\">{content}</{name}>"))
}

/// An element with these attributes (values are escaped) and its content.
pub fn element_with(name: &'static str, attributes: &[(&'static str, &str)], content: impl Into<Markup>) -> Markup {
    let attributes: String = attributes.iter().map(|(name, value)| format!(" {name}=\"{}\"", escaped(value))).collect();
    Markup(format!("<{name}{attributes}>{}</{name}>", content.into().0))
}

/// A paragraph. No class attribute if `class` is empty.
pub fn paragraph(class: &'static str, content: impl Into<Markup>) -> Markup {
    element("p", class, content)
}

/// An unordered list; empty markup if there are no items.
pub fn list(class: &'static str, items: impl IntoIterator<Item = Markup>) -> Markup {
    let items: Markup = items.into_iter().map(|item| element("li", "", item)).collect();
    if items.is_empty() { items } else { element("ul", class, items) }
}

/// Lines to fill in by hand, each after its name.
pub fn to_fill_in(names: &[&'static str]) -> Markup {
    let line = |name: &&'static str| element("span", "blank", Markup::fixed(name));
    element("p", "fill-in", names.iter().map(line).collect::<Markup>())
}

/// A section with a heading. Links lead to its `id`.
pub fn section(id: &'static str, title: &str, content: Markup) -> Markup {
    let heading = element("h2", "", title);
    element_with("section", &[("id", id)], heading.with(content))
}

/// A whole document. `class` selects the rules of the style sheet for this paper; `more_style` is added to the style sheet.
pub fn document(title: &str, class: &'static str, more_style: &str, body: Markup) -> Vec<u8> {
    let title = escaped(title);
    let body = body.0;
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"/><meta name=\"viewport\" \
         content=\"width=device-width\"/><title>{title}</title><style>{STYLE}{more_style}</style></head>\n\
         <body class=\"{class}\">{body}</body></html>\n"
    )
    .into_bytes()
}

/// A count with its noun: `1 row`, `2 rows`.
pub fn counted(n: usize, thing: &str) -> String {
    if n == 1 { format!("1 {thing}") } else { format!("{} {thing}s", grouped(number_of(n))) }
}

/// A whole number with narrow no-break spaces between thousands from five digits on: `12 345`.
pub fn grouped(n: i64) -> String {
    let digits = n.unsigned_abs().to_string();
    if digits.len() < 5 {
        return n.to_string();
    }
    let mut text = if n < 0 { "-".to_owned() } else { String::new() };
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            text.push('\u{202f}');
        }
        text.push(digit);
    }
    text
}

/// A length in mm without its unit, at most one decimal.
pub fn mm(length: crate::units::Length) -> String {
    decimal(length.mm(), 1)
}

/// A length in mm without its unit, or empty text.
pub fn mm_or_blank(length: Option<crate::units::Length>) -> String {
    length.map_or(String::new(), mm)
}
