//! Tables for a terminal: figures aligned right, the first rows only, and a note on where the other rows are.

use std::borrow::Cow;

use tabled::builder::Builder;
use tabled::settings::object::Columns;
use tabled::settings::{Alignment, Modify, Padding, Style};

use super::{Cell, Column, Table};
use crate::report::visible::visible_on_a_line;
use crate::report::wrapping::{self, INDENT, wrapped};

/// Ranks of the columns that a narrow screen leaves out: the lowest first.
pub mod spared {
    pub const ORDER_CODE: u8 = 0;
    pub const OUTCOME: u8 = 1;
    pub const FILLINGS: u8 = 2;
    pub const WALL: u8 = 3;
    pub const YEARS: u8 = 4;
    pub const POSTURE: u8 = 5;
    pub const COVER: u8 = 6;
    pub const TISSUE: u8 = 7;
    pub const NEEDED: u8 = 8;
    pub const SPARE: u8 = 9;
    pub const NAME: u8 = 10;
    pub const CLASS: u8 = 11;
    pub const FLASH: u8 = 12;
    pub const FLUID_LITRES: u8 = 13;
    pub const FULL: u8 = 14;
    pub const GLASS: u8 = 15;
    pub const NOTE: u8 = 16;
    pub const KEPT: u8 = 17;
    pub const IN_BATHS: u8 = 18;
    pub const LOTS: u8 = 19;
    pub const PER_LITRE: u8 = 20;
    pub const ON_THE_SHELF: u8 = 21;
    pub const NEEDED_LITRES: u8 = 22;
    pub const PRESENT_ONLY: u8 = 23;
    pub const ALSO_FAMILY: u8 = 24;
    pub const RENEWAL_YEARS: u8 = 25;
}

/// Largest number of rows of a table on a terminal.
pub const SHOWN_ROWS: usize = 30;

impl Table<'_> {
    /// The table under its title, indented by two; `rest` says where further rows are. Empty if the table has no rows.
    pub fn text(&self, rest: &str) -> String {
        let mut text = laid_out(self);
        if self.more > 0 {
            text.push_str(&format!("  … and {} more: {rest}\n", self.more));
        }
        text
    }
}

impl<'a> Table<'a> {
    /// Adds a row. After [`SHOWN_ROWS`] rows the others are only counted.
    pub fn row_of_many<const N: usize>(&mut self, cells: [Cell<'a>; N]) {
        if self.rows.len() < SHOWN_ROWS {
            self.row(cells);
        } else {
            self.more += 1;
        }
    }
}

/// The table as text. If the screen is too narrow, text columns wrap between words, and columns with a rank are left out and
/// named under the table; if that is not enough, the last columns too. No word is broken.
fn laid_out(table: &Table) -> String {
    if table.rows.is_empty() {
        return String::new();
    }
    let heads: Vec<Cow<str>> = table.columns.iter().map(|column| column.head(table.currency)).collect();
    let shown = |row: &'_ Vec<_>| -> Vec<String> {
        let cell = |(cell, column): (&Cell, &Column)| visible_on_a_line(&column.shown(cell, false)).into_owned();
        row.iter().zip(&table.columns).map(cell).collect()
    };
    let rows: Vec<Vec<String>> = table.rows.iter().map(shown).collect();
    let columns = (0..heads.len()).map(|index| Shown::of(table, &heads, &rows, index)).collect();
    let (columns, left_out) = fitted(columns, wrapping::width().map_or(usize::MAX, |width| width - INDENT));
    let mut builder = Builder::default();
    let cell = |column: &Shown, text: &str| filled(text, column.width);
    builder.push_record(columns.iter().map(|column| cell(column, &heads[column.index])));
    for row in &rows {
        builder
            .push_record(columns.iter().map(|column| cell(column, row.get(column.index).map_or("", String::as_str))));
    }
    let mut lines = builder.build();
    lines.with(Style::blank()).with(Padding::new(0, PADDING, 0, 0));
    for (place, _) in columns.iter().enumerate().filter(|(_, column)| column.figures) {
        lines.with(Modify::new(Columns::one(place)).with(Alignment::right()));
    }
    let mut text = format!("\n{}\n", table.title);
    for line in lines.to_string().lines() {
        text.push_str(format!("{:INDENT$}{line}", "").trim_end());
        text.push('\n');
    }
    if !left_out.is_empty() {
        let names: Vec<&str> = left_out.iter().map(|index| &*heads[*index]).collect();
        text.push_str(&wrapped(&format!("(not shown on a screen this narrow: {})", names.join(", ")), INDENT));
    }
    text
}

/// Blanks between two columns: the padding of a cell, and one that the layout adds.
const GAP: usize = PADDING + 1;

/// Blanks after a cell.
const PADDING: usize = 2;

/// A text column is not made narrower than this while another column can be left out.
const READABLE: usize = 18;

/// A column to be laid out, with its widths.
struct Shown {
    index: usize,
    figures: bool,
    /// Characters of its longest line.
    width: usize,
    /// Characters of its longest word.
    word: usize,
    /// Rank in the order in which columns are left out: the lowest first.
    spared: Option<u8>,
}

impl Shown {
    fn of(table: &Table, heads: &[Cow<str>], rows: &[Vec<String>], index: usize) -> Self {
        let column = &table.columns[index];
        let cells = || rows.iter().filter_map(|row| row.get(index)).map(String::as_str).chain([&*heads[index]]);
        let longest = |lengths: &mut dyn Iterator<Item = usize>| lengths.max().unwrap_or(0);
        let width = longest(&mut cells().map(|cell| cell.chars().count()));
        let word = longest(&mut cells().flat_map(words).map(|(word, _)| word.chars().count()));
        Shown {
            index,
            figures: !column.is_words(),
            width,
            word: if column.is_on_one_line { width } else { word },
            spared: column.spared,
        }
    }

    /// Smallest width it may have. `readable`: another column can still be left out instead.
    fn least(&self, readable: bool) -> usize {
        let least = if readable && !self.figures { self.word.max(READABLE) } else { self.word };
        least.min(self.width)
    }
}

/// The words of a text, each with whether a blank stands before it. A word also ends after `|`.
fn words(text: &str) -> impl Iterator<Item = (&str, bool)> {
    text.split(' ').enumerate().flat_map(|(at, word)| {
        word.split_inclusive('|').enumerate().map(move |(part, word)| (word, at > 0 && part == 0))
    })
}

/// Columns fitted into `most` characters, and the indices of those that were left out.
fn fitted(mut columns: Vec<Shown>, most: usize) -> (Vec<Shown>, Vec<usize>) {
    let mut left_out = Vec::new();
    loop {
        let gaps = GAP * columns.len().saturating_sub(1);
        let total = |columns: &[Shown]| columns.iter().map(|column| column.width).sum::<usize>() + gaps;
        let goes = (0..columns.len()).filter(|&at| columns[at].spared.is_some()).min_by_key(|&at| columns[at].spared);
        let least: usize = columns.iter().map(|column| column.least(goes.is_some())).sum();
        let last = (columns.len() > 2).then(|| columns.len() - 1);
        if let (true, Some(at)) = (least + gaps > most, goes.or(last)) {
            left_out.push(columns.remove(at).index);
            continue;
        }
        // The widest column is narrowed by one character until all fit, or none may be narrower.
        while total(&columns) > most {
            let wide = columns.iter_mut().filter(|column| column.width > column.least(goes.is_some()));
            let Some(widest) = wide.max_by_key(|column| column.width) else { break };
            widest.width -= 1;
        }
        left_out.sort_unstable();
        return (columns, left_out);
    }
}

/// A text in lines of `width` characters, broken between words only.
fn filled(text: &str, width: usize) -> String {
    let mut lines = String::new();
    let mut used = 0;
    for (i, (word, blank)) in words(text).enumerate() {
        let long = word.chars().count();
        if i > 0 && used + usize::from(blank) + long > width {
            lines.push('\n');
            used = 0;
        } else if blank {
            lines.push(' ');
            used += 1;
        }
        lines.push_str(word);
        used += long;
    }
    lines
}
