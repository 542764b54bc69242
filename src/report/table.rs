//! One table for every output: typed columns, and rows of typed cells. Cells become text last, when [`csv`], [`workbook`],
//! [`html`] or [`terminal`] writes the table. No output is made from another.

mod cell;
pub mod csv;
pub mod html;
pub mod terminal;
pub mod workbook;

use std::borrow::Cow;

pub use self::cell::Cell;
use crate::units::{Millilitres, decimal, rounded};

/// A column of an output.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Column<'n> {
    /// Its header in files.
    pub name: &'n str,
    /// Its heading for people, without the currency.
    pub heading: &'n str,
    /// The kind of value in its cells.
    pub kind: Kind,
    /// The unit of its figures.
    pub unit: Unit,
    /// Smallest width in a workbook, in characters.
    pub width: f64,
    /// Rank in the order in which a narrow screen leaves columns out: the lowest first.
    pub spared: Option<u8>,
    /// Whether its cells stay on one line, as sizes that are read together.
    pub is_on_one_line: bool,
}

/// Kind of value in the cells of a column. A cell of any column may be blank, or say in words why there is no figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Words.
    Text,
    /// Text that consists of figures (several in a cell, or with different units); aligned right.
    Figures,
    /// A whole number.
    Whole,
    /// A whole number that may be large; on paper with spaces between thousands.
    Count,
    /// A number with at most so many decimals.
    Decimal(usize),
    /// A number with exactly so many decimals.
    Fixed(usize),
    /// An amount of money.
    Money,
    /// A unit price, which may be less than a hundredth; exact in every output.
    Price,
    /// A length, to a tenth of a millimetre.
    Length,
    /// A volume of fluid, to the millilitre.
    Volume,
    /// A volume of fluid in litres, rounded up to the next tenth.
    Tenths,
    /// Yes or no.
    YesNo,
}

/// Unit of the figures in a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// No unit, or the unit in the name.
    None,
    /// The project's currency, which is added to the heading.
    Currency,
    Millimetres,
    Millilitres,
    Litres,
    Kilograms,
    Megapascals,
    Percent,
    Celsius,
    Years,
    Days,
}

/// A column, and the function that gives its cell for a record. Each column of an output is defined once, as a constant of
/// the record.
pub struct Field<'a, R> {
    pub column: Column<'static>,
    pub cell: fn(R) -> Cell<'a>,
}

/// A table. `C` is the type of its cells: paper also takes markup, a workbook also takes formulas.
#[derive(Clone, Debug)]
pub struct Table<'a, C = Cell<'a>> {
    /// The title above it.
    pub title: Cow<'a, str>,
    pub columns: Vec<Column<'a>>,
    pub rows: Vec<Vec<C>>,
    /// Sums below the rows.
    pub sums: Vec<Vec<C>>,
    /// The currency of its money.
    pub currency: &'a str,
    /// Number of further rows that are not shown.
    pub more: usize,
    /// Whether it is, on paper, only as wide as its columns need.
    pub is_narrow: bool,
}

/// Default width of a column of words in a workbook, in characters.
const WORDS_WIDE: f64 = 13.0;
/// Default width of a column of figures in a workbook, in characters.
const FIGURES_WIDE: f64 = 9.0;

impl<'n> Column<'n> {
    const fn new(name: &'n str, kind: Kind, unit: Unit, width: f64) -> Self {
        Column { name, heading: name, kind, unit, width, spared: None, is_on_one_line: false }
    }

    /// The column with cells that stay on one line.
    pub const fn on_one_line(self) -> Self {
        Column { is_on_one_line: true, ..self }
    }

    pub const fn text(name: &'n str) -> Self {
        Column::new(name, Kind::Text, Unit::None, WORDS_WIDE)
    }

    pub const fn figures(name: &'n str) -> Self {
        Column::new(name, Kind::Figures, Unit::None, WORDS_WIDE)
    }

    pub const fn yes_no(name: &'n str) -> Self {
        Column::new(name, Kind::YesNo, Unit::None, WORDS_WIDE)
    }

    pub const fn whole(name: &'n str) -> Self {
        Column::new(name, Kind::Whole, Unit::None, FIGURES_WIDE)
    }

    pub const fn count(name: &'n str) -> Self {
        Column::new(name, Kind::Count, Unit::None, FIGURES_WIDE)
    }

    pub const fn decimal(name: &'n str, places: usize, unit: Unit) -> Self {
        Column::new(name, Kind::Decimal(places), unit, FIGURES_WIDE)
    }

    pub const fn fixed(name: &'n str, places: usize, unit: Unit) -> Self {
        Column::new(name, Kind::Fixed(places), unit, FIGURES_WIDE)
    }

    pub const fn money(name: &'n str) -> Self {
        Column::new(name, Kind::Money, Unit::Currency, FIGURES_WIDE)
    }

    pub const fn price(name: &'n str) -> Self {
        Column::new(name, Kind::Price, Unit::Currency, FIGURES_WIDE)
    }

    pub const fn length(name: &'n str) -> Self {
        Column::new(name, Kind::Length, Unit::Millimetres, FIGURES_WIDE)
    }

    pub const fn millilitres(name: &'n str) -> Self {
        Column::new(name, Kind::Volume, Unit::Millilitres, FIGURES_WIDE)
    }

    pub const fn litres(name: &'n str) -> Self {
        Column::new(name, Kind::Volume, Unit::Litres, FIGURES_WIDE)
    }

    pub const fn tenths(name: &'n str) -> Self {
        Column::new(name, Kind::Tenths, Unit::Litres, FIGURES_WIDE)
    }

    /// The column with this heading for people.
    pub const fn headed(mut self, heading: &'n str) -> Self {
        self.heading = heading;
        self
    }

    /// The column with this width in a workbook, in characters.
    pub const fn wide(mut self, characters: f64) -> Self {
        self.width = characters;
        self
    }

    /// The column, left out on a narrow screen: the lowest rank first.
    pub const fn spared(mut self, rank: u8) -> Self {
        self.spared = Some(rank);
        self
    }

    /// Its heading for people, with the currency if it holds money.
    pub fn head(&self, currency: &str) -> Cow<'n, str> {
        match self.unit {
            Unit::Currency if !currency.is_empty() => format!("{}, {currency}", self.heading).into(),
            _ => self.heading.into(),
        }
    }

    /// Whether it holds words, which are aligned left.
    pub fn is_words(&self) -> bool {
        matches!(self.kind, Kind::Text | Kind::YesNo)
    }

    /// Whether its figures can be aligned at their decimal points.
    pub fn has_points(&self) -> bool {
        !self.is_words() && self.kind != Kind::Figures
    }

    /// Largest number of decimals of its figures.
    pub fn places(&self) -> usize {
        match (self.kind, self.unit) {
            (Kind::Decimal(places) | Kind::Fixed(places), _) => places,
            (Kind::Money | Kind::Price, _) => 2,
            (Kind::Length, _) => 1,
            (Kind::Volume, Unit::Litres) => 3,
            _ => 0,
        }
    }

    /// A cell as text. `exact`: as in a file; otherwise money ends at hundredths.
    pub fn shown<'c>(&self, cell: &'c Cell, exact: bool) -> Cow<'c, str> {
        match cell {
            Cell::Blank => "".into(),
            Cell::Text(text) => Cow::Borrowed(text),
            Cell::Whole(number) => number.to_string().into(),
            Cell::Decimal(number) => match self.kind {
                Kind::Fixed(places) => format!("{number:.places$}").into(),
                _ => decimal(*number, self.places()).into(),
            },
            Cell::Money(amount) if exact || self.kind == Kind::Price => amount.text().into(),
            Cell::Money(amount) => amount.on_screen().into(),
            Cell::Length(length) => decimal(length.mm(), self.places()).into(),
            Cell::Volume(amount) if self.kind == Kind::Tenths => tenths(*amount).into(),
            Cell::Volume(amount) if self.unit == Unit::Litres => amount.litres().into(),
            Cell::Volume(amount) => amount.0.to_string().into(),
            Cell::YesNo(true) => "yes".into(),
            Cell::YesNo(false) => "no".into(),
        }
    }

    /// A cell as a number, with the decimals it has in a file; `None` if it is blank or words.
    pub fn number(&self, cell: &Cell) -> Option<f64> {
        match cell {
            Cell::Blank | Cell::Text(_) | Cell::YesNo(_) => None,
            Cell::Whole(number) => Some(*number as f64),
            Cell::Decimal(number) if matches!(self.kind, Kind::Fixed(_)) => Some(*number),
            Cell::Decimal(number) => Some(rounded(*number, self.places())),
            Cell::Money(amount) => Some(amount.units()),
            Cell::Length(length) => Some(rounded(length.mm(), self.places())),
            Cell::Volume(amount) if self.unit == Unit::Litres => Some(amount.0 as f64 / 1000.0),
            Cell::Volume(amount) => Some(amount.0 as f64),
        }
    }
}

/// Litres, rounded up to the next tenth.
pub fn tenths(amount: Millilitres) -> String {
    format!("{:.1}", ((amount.0 as f64) / 100.0).ceil() / 10.0)
}

impl<'a, R> Field<'a, R> {
    pub const fn new(column: Column<'static>, cell: fn(R) -> Cell<'a>) -> Self {
        Field { column, cell }
    }

    /// The field with this heading for people.
    pub const fn headed(mut self, heading: &'static str) -> Self {
        self.column = self.column.headed(heading);
        self
    }

    /// The field with this width in a workbook, in characters.
    pub const fn wide(mut self, characters: f64) -> Self {
        self.column = self.column.wide(characters);
        self
    }

    /// The field, left out on a narrow screen: the lowest rank first.
    pub const fn spared(mut self, rank: u8) -> Self {
        self.column = self.column.spared(rank);
        self
    }

    /// The field with values of this kind.
    pub const fn kind(mut self, kind: Kind) -> Self {
        self.column.kind = kind;
        self
    }
}

impl<R> Clone for Field<'_, R> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<R> Copy for Field<'_, R> {}

/// The cells of a record in these columns.
pub fn cells<'f, 'a, R: Copy>(
    fields: &'f [Field<'a, R>],
    record: R,
) -> impl Iterator<Item = Cell<'a>> + use<'f, 'a, R> {
    fields.iter().map(move |field| (field.cell)(record))
}

impl<'a, C> Table<'a, C> {
    /// A table without rows.
    pub fn new(title: impl Into<Cow<'a, str>>, columns: impl IntoIterator<Item = Column<'a>>) -> Self {
        Table {
            title: title.into(),
            columns: columns.into_iter().collect(),
            rows: Vec::new(),
            sums: Vec::new(),
            currency: "",
            more: 0,
            is_narrow: false,
        }
    }

    /// The table with its money in this currency.
    pub fn in_currency(mut self, currency: &'a str) -> Self {
        self.currency = currency;
        self
    }

    /// The table, on paper only as wide as its columns need.
    pub fn narrow(mut self) -> Self {
        self.is_narrow = true;
        self
    }

    /// Adds a row, a cell for each column.
    pub fn row(&mut self, cells: impl IntoIterator<Item = C>) {
        self.rows.push(cells.into_iter().collect());
    }

    /// Adds a row of sums below the rows.
    pub fn sum(&mut self, cells: impl IntoIterator<Item = C>) {
        self.sums.push(cells.into_iter().collect());
    }

    /// Position of the column with this name.
    ///
    /// # Panics
    /// If no column has this name. Callers ask only for columns that they made the table with.
    pub fn position(&self, name: &str) -> usize {
        let found = self.columns.iter().position(|column| column.name == name);
        found.unwrap_or_else(|| panic!("no column {name}"))
    }
}

impl<'a, C: From<Cell<'a>>> Table<'a, C> {
    /// A table of records in these columns.
    pub fn of<R: Copy>(
        title: impl Into<Cow<'a, str>>,
        fields: &[Field<'a, R>],
        records: impl IntoIterator<Item = R>,
    ) -> Self {
        let mut table = Table::new(title, fields.iter().map(|field| field.column));
        table.rows.extend(records.into_iter().map(|record| cells(fields, record).map(C::from).collect()));
        table
    }

    /// A table of the first `most` records. The others are only counted in `more`, and never formatted.
    pub fn of_first<R: Copy>(
        most: usize,
        title: impl Into<Cow<'a, str>>,
        fields: &[Field<'a, R>],
        records: impl IntoIterator<Item = R>,
    ) -> Self {
        let mut records = records.into_iter();
        let mut table = Table::of(title, fields, records.by_ref().take(most));
        table.more = records.count();
        table
    }
}
