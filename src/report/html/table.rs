//! Tables of a paper: numbers to the right, the head repeated on every page, the first cell of a row its head.

use super::page::{Markup, element, element_with};

/// Which way a column is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Set {
    /// Words, to the left.
    Words,
    /// Figures, to the right.
    Figures,
}

pub use Set::{Figures, Words};

/// Characters up to which a cell keeps to one line, and beyond which a word may be broken anywhere.
const SHORT: usize = 14;
const LONG: usize = 48;

/// A table under construction.
#[derive(Clone, Debug)]
pub struct Table {
    caption: Markup,
    columns: Vec<(Markup, Set)>,
    rows: Vec<Markup>,
    foot: Vec<Markup>,
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
        let row = self.cells(cells);
        self.rows.push(row);
    }

    /// Adds a row of sums at its foot.
    pub fn sum(&mut self, cells: impl IntoIterator<Item = Markup>) {
        let row = self.cells(cells);
        self.foot.push(row);
    }

    fn cells(&self, cells: impl IntoIterator<Item = Markup>) -> Markup {
        let cell = |(i, cell): (usize, Markup)| {
            let figures = self.columns.get(i).is_some_and(|(_, set)| *set == Figures);
            match (i, figures) {
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
    pub fn markup(self) -> Markup {
        if self.rows.is_empty() {
            return Markup::new();
        }
        let head = |(name, set): (Markup, Set)| {
            let class = if set == Figures { "n" } else { "w" };
            element_with("th", &[("scope", "col"), ("class", class)], name)
        };
        let named = self.columns.iter().any(|(name, _)| !name.is_empty());
        let head: Markup = self.columns.into_iter().map(head).collect();
        let mut inside = if self.caption.is_empty() { Markup::new() } else { element("caption", "", self.caption) };
        if named {
            inside.push(element("thead", "", element("tr", "", head)));
        }
        inside.push(element("tbody", "", self.rows.into_iter().collect::<Markup>()));
        if !self.foot.is_empty() {
            inside.push(element("tfoot", "", self.foot.into_iter().collect::<Markup>()));
        }
        element("table", if self.narrow { "narrow" } else { "" }, inside)
    }
}
