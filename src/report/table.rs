//! Tables for a terminal: numbers to the right, at most so many rows, and where the rest is.

use tabled::builder::Builder;
use tabled::settings::object::Columns;
use tabled::settings::{Alignment, Modify, Padding, Style};

/// Rows of a table that a terminal shows.
pub const SHOWN_ROWS: usize = 30;

/// A table under a title, indented by two; empty where it has no rows. `right` names the columns of numbers.
pub fn table(title: &str, header: &[&str], rows: &[Vec<String>], right: &[usize], rest: &str) -> String {
    if rows.is_empty() {
        return String::new();
    }
    let mut builder = Builder::default();
    builder.push_record(header.iter().copied());
    for row in rows.iter().take(SHOWN_ROWS) {
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
    if rows.len() > SHOWN_ROWS {
        text.push_str(&format!("  … and {} more: {rest}\n", rows.len() - SHOWN_ROWS));
    }
    text
}
