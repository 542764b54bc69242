//! Tables for a terminal: numbers to the right, at most so many rows, and where the rest is.

use tabled::builder::Builder;
use tabled::settings::object::Columns;
use tabled::settings::{Alignment, Modify, Padding, Style};

/// Rows of a table that a terminal shows.
pub const SHOWN_ROWS: usize = 30;

/// Rows of a long list that a terminal shows, and how many it leaves out: those are never put into words.
pub struct Shown {
    rows: Vec<Vec<String>>,
    more: usize,
}

impl Shown {
    /// The first of a list, in the cells that are made of each.
    pub fn of<T>(mut list: impl Iterator<Item = T>, cells: impl FnMut(T) -> Vec<String>) -> Self {
        let rows = list.by_ref().take(SHOWN_ROWS).map(cells).collect();
        Shown { rows, more: list.count() }
    }
}

/// A table under a title, indented by two; empty where it has no rows. `right` names the columns of numbers, `rest` says
/// where the rows are that are not shown.
pub fn table(title: &str, header: &[&str], rows: &[Vec<String>], right: &[usize], rest: &str) -> String {
    first_of(title, header, &Shown::of(rows.iter(), Clone::clone), right, rest)
}

/// The same of a long list.
pub fn first_of(title: &str, header: &[&str], shown: &Shown, right: &[usize], rest: &str) -> String {
    let mut text = in_full(title, header, &shown.rows, right);
    if shown.more > 0 {
        text.push_str(&format!("  … and {} more: {rest}\n", shown.more));
    }
    text
}

/// The same with every row.
pub fn in_full(title: &str, header: &[&str], rows: &[Vec<String>], right: &[usize]) -> String {
    if rows.is_empty() {
        return String::new();
    }
    let mut builder = Builder::default();
    builder.push_record(header.iter().copied());
    for row in rows {
        builder.push_record(row.iter().map(String::as_str));
    }
    let mut table = builder.build();
    table.with(Style::blank()).with(Padding::new(0, 2, 0, 0));
    for &column in right {
        table.with(Modify::new(Columns::one(column)).with(Alignment::right()));
    }
    let mut text = format!("\n{title}\n");
    for line in table.to_string().lines() {
        text.push_str(format!("  {line}").trim_end());
        text.push('\n');
    }
    text
}

/// The head of a column of money.
pub fn in_currency(what: &str, currency: &str) -> String {
    if currency.is_empty() { what.to_owned() } else { format!("{what}, {currency}") }
}

/// Characters of a line of running text on a screen.
const LINE: usize = 110;

/// A sentence over as many lines as it needs, each indented by so many blanks.
pub fn wrapped(text: &str, indent: usize) -> String {
    let mut lines = String::new();
    let mut line = " ".repeat(indent);
    for word in text.split(' ') {
        if line.chars().count() + 1 + word.chars().count() > LINE && !line.trim().is_empty() {
            lines.push_str(line.trim_end());
            lines.push('\n');
            line = " ".repeat(indent);
        }
        if !line.trim().is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    lines + line.trim_end() + "\n"
}
