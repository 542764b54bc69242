//! Tables on paper: figures aligned at their decimal points, headings repeated on every page, the first cell of a row as its
//! header.

use super::{Cell, Column, Kind, Table, Unit};
use crate::report::html::page::{Markup, element, element_with, grouped};

/// Largest length of a cell that stays on one line.
const SHORT: usize = 14;
/// Length of a cell above which its words may be broken anywhere.
const LONG: usize = 48;

/// The content of a cell of a paper.
#[derive(Clone, Debug, PartialEq)]
pub enum PaperCell<'a> {
    Value(Cell<'a>),
    /// Text with markup.
    Markup(Markup),
}

/// A table of a paper.
pub type PaperTable<'a> = Table<'a, PaperCell<'a>>;

impl<'a, T: Into<Cell<'a>>> From<T> for PaperCell<'a> {
    fn from(value: T) -> Self {
        PaperCell::Value(value.into())
    }
}

impl PaperCell<'_> {
    /// Number of its decimals, if it is a figure.
    fn places(&self, column: &Column) -> Option<usize> {
        match self {
            PaperCell::Value(value) if column.has_points() => figure(value, column).map(|figure| figure.places()),
            _ => None,
        }
    }

    /// The cell as markup. A figure gets `places` decimals, but zero stays `0`.
    fn markup(self, column: &Column, places: usize) -> Markup {
        match self {
            PaperCell::Markup(markup) => markup,
            PaperCell::Value(value) => match figure(&value, column) {
                Some(figure) if column.has_points() => figure.with_places(places).into(),
                Some(figure) => figure.0.into(),
                None => Markup::from(&*column.shown(&value, false)),
            },
        }
    }
}

/// The digits of a figure.
struct Figure(String);

/// A value in digits; `None` for text.
fn figure(value: &Cell, column: &Column) -> Option<Figure> {
    let is_apart = |unit| column.kind == Kind::Count || column.kind == Kind::Volume && unit == Unit::Millilitres;
    match value {
        Cell::Blank | Cell::Text(_) | Cell::YesNo(_) => None,
        Cell::Whole(number) if is_apart(column.unit) => Some(Figure(grouped(*number))),
        Cell::Volume(amount) if is_apart(column.unit) => Some(Figure(grouped(amount.0))),
        value => Some(Figure(column.shown(value, false).into_owned())),
    }
}

impl Figure {
    fn places(&self) -> usize {
        self.0.split_once('.').map_or(0, |(_, places)| places.len())
    }

    fn with_places(self, wanted: usize) -> String {
        let has = self.places();
        if has >= wanted || self.0 == "0" {
            return self.0;
        }
        let point = if has == 0 { "." } else { "" };
        format!("{}{point}{}", self.0, "0".repeat(wanted - has))
    }
}

fn row<'a>(cells: Vec<PaperCell<'a>>, columns: &[Column<'a>], places: &[usize]) -> Markup {
    let cell = |(i, cell): (usize, PaperCell)| {
        let cell = cell.markup(&columns[i], places[i]);
        match (i, !columns[i].is_words()) {
            (0, false) if cell.length() > LONG => element_with("th", &[("scope", "row"), ("class", "long")], cell),
            (0, false) if cell.length() <= SHORT => element_with("th", &[("scope", "row"), ("class", "short")], cell),
            (0, false) => element_with("th", &[("scope", "row")], cell),
            (_, true) => element("td", "n", cell),
            (_, false) if cell.length() > LONG => element("td", "long", cell),
            (_, false) if cell.length() <= SHORT => element("td", "short", cell),
            (_, false) => element("td", "", cell),
        }
    };
    element("tr", "", cells.into_iter().enumerate().map(cell).collect::<Markup>())
}

impl PaperTable<'_> {
    /// The table as markup; empty if it has no rows.
    pub fn markup(self) -> Markup {
        if self.rows.is_empty() { Markup::new() } else { marked_up(self) }
    }
}

fn marked_up(table: PaperTable) -> Markup {
    let Table { title, columns, rows, sums, currency, is_narrow, .. } = table;
    // Decimals of each column: the most of any of its cells.
    let most = |(i, column): (usize, &Column)| {
        let cells = rows.iter().chain(&sums).filter_map(|row| row.get(i));
        cells.filter_map(|cell| cell.places(column)).max().unwrap_or(0)
    };
    let places: Vec<usize> = columns.iter().enumerate().map(most).collect();
    let [body, foot] =
        [rows, sums].map(|rows| rows.into_iter().map(|cells| row(cells, &columns, &places)).collect::<Markup>());
    let head = |column: &Column| {
        let class = if column.is_words() { "w" } else { "n" };
        element_with("th", &[("scope", "col"), ("class", class)], &*column.head(currency))
    };
    let is_named = columns.iter().any(|column| !column.heading.is_empty());
    let mut inside = if title.is_empty() { Markup::new() } else { element("caption", "", &*title) };
    if is_named {
        inside.push(element("thead", "", element("tr", "", columns.iter().map(head).collect::<Markup>())));
    }
    inside.push(element("tbody", "", body));
    if !foot.is_empty() {
        inside.push(element("tfoot", "", foot));
    }
    element("table", if is_narrow { "narrow" } else { "" }, inside)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Money;

    #[test]
    fn the_points_of_a_column_stand_under_one_another() {
        let columns = [
            Column::text("what"),
            Column::price("money"),
            Column::decimal("mm", 2, Unit::None),
            Column::figures("of any kind"),
        ];
        let mut table = PaperTable::new("", columns);
        let price = |text| Money::parse(text).expect("an amount");
        table.row(["3".into(), price("3").into(), 3.0.into(), "1".into()]);
        table.row(["b".into(), price("12.3456").into(), 0.0.into(), "2.5".into()]);
        table.row(["4.5".into(), "unknown".into(), 7.25.into(), "3 l".into()]);
        table.sum(["together".into(), Cell::Blank.into(), (-9.5).into(), "".into()]);
        let markup = table.markup().into_string();
        for shown in [
            ">3</th>",
            ">4.5</th>",
            ">3.0000<",
            ">12.3456<",
            ">unknown<",
            ">3.00<",
            ">0<",
            ">7.25<",
            ">-9.50<",
            ">1<",
            ">2.5<",
            ">3 l<",
        ] {
            assert!(markup.contains(shown), "{shown} in {markup}");
        }
    }
}
