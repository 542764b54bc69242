//! Tables of a paper: numbers to the right, the head repeated on every page, the first cell of a row its head.

use super::page::{Markup, element, element_with};

/// Which way a column is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Set {
    /// Words, to the left.
    Words,
    /// Figures, to the right, with the same number of decimals in all of a column.
    Figures,
    /// Figures of several kinds, to the right.
    Mixed,
}

pub use Set::{Figures, Mixed, Words};

/// Characters up to which a cell keeps to one line, and beyond which a word may be broken anywhere.
const SHORT: usize = 14;
const LONG: usize = 48;

/// A table under construction.
#[derive(Clone, Debug)]
pub struct Table {
    caption: Markup,
    columns: Vec<(Markup, Set)>,
    rows: Vec<Vec<Markup>>,
    foot: Vec<Vec<Markup>>,
    narrow: bool,
}

impl Table {
    /// A table with a caption (none where empty) and its columns.
    pub fn new(caption: impl Into<Markup>, columns: &[(&str, Set)]) -> Self {
        let columns = columns.iter().map(|(name, set)| (Markup::from(*name), *set)).collect();
        Table { caption: caption.into(), columns, rows: Vec::new(), foot: Vec::new(), narrow: false }
    }

    /// The same, no wider than its few columns need.
    pub fn narrow(mut self) -> Self {
        self.narrow = true;
        self
    }

    /// Adds a row, one cell for each column.
    pub fn row(&mut self, cells: impl IntoIterator<Item = Markup>) {
        self.rows.push(cells.into_iter().collect());
    }

    /// Adds a row of sums at its foot.
    pub fn sum(&mut self, cells: impl IntoIterator<Item = Markup>) {
        self.foot.push(cells.into_iter().collect());
    }

    /// Decimals of each column: the most of any of its cells.
    fn places(&self) -> Vec<usize> {
        let rows = || self.rows.iter().chain(&self.foot);
        let most = |(i, (_, set)): (usize, &(Markup, Set))| {
            let cells = rows().filter_map(|row| row.get(i)).filter_map(|cell| decimals(cell.as_str()));
            if *set == Figures { cells.max().unwrap_or(0) } else { 0 }
        };
        self.columns.iter().enumerate().map(most).collect()
    }

    fn cells(&self, cells: Vec<Markup>, places: &[usize]) -> Markup {
        let cell = |(i, cell): (usize, Markup)| {
            let set = self.columns.get(i).map_or(Words, |(_, set)| *set);
            let places = places.get(i).copied().unwrap_or(0);
            let cell = if set == Figures { with_decimals(cell, places) } else { cell };
            match (i, set != Words) {
                (0, false) if cell.length() > LONG => element_with("th", &[("scope", "row"), ("class", "long")], cell),
                (0, false) if cell.length() <= SHORT => {
                    element_with("th", &[("scope", "row"), ("class", "short")], cell)
                }
                (0, false) => element_with("th", &[("scope", "row")], cell),
                (_, true) => element("td", "n", cell),
                (_, false) if cell.length() > LONG => element("td", "long", cell),
                (_, false) if cell.length() <= SHORT => element("td", "short", cell),
                (_, false) => element("td", "", cell),
            }
        };
        element("tr", "", cells.into_iter().enumerate().map(cell).collect::<Markup>())
    }

    /// The table; nothing where it has no rows.
    pub fn markup(mut self) -> Markup {
        if self.rows.is_empty() {
            return Markup::new();
        }
        let places = self.places();
        let [rows, foot] = [std::mem::take(&mut self.rows), std::mem::take(&mut self.foot)];
        let [rows, foot] = [rows, foot].map(|rows| rows.into_iter().map(|row| self.cells(row, &places)).collect());
        let (rows, foot): (Markup, Markup) = (rows, foot);
        let head = |(name, set): (Markup, Set)| {
            let class = if set == Words { "w" } else { "n" };
            element_with("th", &[("scope", "col"), ("class", class)], name)
        };
        let named = self.columns.iter().any(|(name, _)| !name.is_empty());
        let head: Markup = self.columns.into_iter().map(head).collect();
        let mut inside = if self.caption.is_empty() { Markup::new() } else { element("caption", "", self.caption) };
        if named {
            inside.push(element("thead", "", element("tr", "", head)));
        }
        inside.push(element("tbody", "", rows));
        if !foot.is_empty() {
            inside.push(element("tfoot", "", foot));
        }
        element("table", if self.narrow { "narrow" } else { "" }, inside)
    }
}

/// How many decimals a plain number has; none of anything else.
fn decimals(cell: &str) -> Option<usize> {
    let (whole, rest) = cell.split_once('.').unwrap_or((cell, ""));
    let whole = whole.strip_prefix('-').unwrap_or(whole);
    let is_number = !whole.is_empty()
        && whole.chars().all(|c| c.is_ascii_digit() || c == '\u{202f}')
        && rest.chars().all(|c| c.is_ascii_digit());
    is_number.then_some(rest.len())
}

/// A plain number with so many decimals, so that the points of a column stand under one another; nothing at all stays `0`.
fn with_decimals(cell: Markup, places: usize) -> Markup {
    match decimals(cell.as_str()) {
        Some(has) if has < places && cell.as_str() != "0" => {
            let point = if has == 0 { "." } else { "" };
            Markup::from(format!("{}{point}{}", cell.as_str(), "0".repeat(places - has)))
        }
        _ => cell,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_points_of_a_column_stand_under_one_another() {
        let mut table = Table::new("", &[("what", Words), ("mm", Figures), ("of any kind", Mixed)]);
        for (what, mm, any) in
            [("3", "3", "1"), ("b", "12\u{202f}345.25", "2.5"), ("c", "0", "3 l"), ("d", "unknown", "")]
        {
            table.row([what.into(), mm.into(), any.into()]);
        }
        table.sum(["together".into(), "-9.5".into(), "".into()]);
        let markup = table.markup().into_string();
        for shown in [">3</th>", ">3.00<", ">12\u{202f}345.25<", ">0<", ">unknown<", ">-9.50<", ">1<", ">2.5<", ">3 l<"]
        {
            assert!(markup.contains(shown), "{shown} in {markup}");
        }
    }
}
