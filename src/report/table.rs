//! One table for every output: columns that say what their cells hold, and rows of typed cells. Words and digits are made
//! last, by whatever writes the table: [`csv`], [`workbook`], [`html`] or [`terminal`]. Nothing reads what one of them wrote.

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
    /// Its head for people, without the currency.
    pub heading: &'n str,
    /// What its cells hold.
    pub kind: Kind,
    /// What they are counted in.
    pub unit: Unit,
    /// Characters that it is wide in a workbook, at least.
    pub width: f64,
    /// When a narrow screen goes without it: the lower, the sooner.
    pub spared: Option<u8>,
    /// Whether its cells stay on one line: sizes that are read together.
    pub is_on_one_line: bool,
}

/// What the cells of a column hold. A cell of any column may be blank, or say in words why there is no figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Words.
    Text,
    /// Words that are figures, several in a cell or of several kinds: set to the right.
    Figures,
    /// A whole number.
    Whole,
    /// A whole number that may be large: thousands stand apart on paper.
    Count,
    /// A number with at most so many decimals.
    Decimal(usize),
    /// A number with exactly so many decimals.
    Fixed(usize),
    /// An amount of money.
    Money,
    /// A price for each of something, which may be less than a hundredth: exact wherever it stands.
    Price,
    /// A length, to a tenth of a millimetre.
    Length,
    /// A volume of fluid, to the millilitre.
    Volume,
    /// A volume of fluid in litres, rounded up to the next tenth where any is left.
    Tenths,
    /// Yes or no.
    YesNo,
}

/// What the figures of a column are counted in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Nothing, or what the name says.
    None,
    /// The project's currency, which stands after the head.
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

/// A column with what it shows of a record. The columns of an output are stated once, as constants of its record.
pub struct Field<'a, R> {
    pub column: Column<'static>,
    pub cell: fn(R) -> Cell<'a>,
}

/// Columns and rows that are shown. `C`: what may stand in a cell; paper takes markup too, a workbook formulas.
#[derive(Clone, Debug)]
pub struct Table<'a, C = Cell<'a>> {
    /// Said above it.
    pub title: Cow<'a, str>,
    pub columns: Vec<Column<'a>>,
    pub rows: Vec<Vec<C>>,
    /// Sums below the rows.
    pub sums: Vec<Vec<C>>,
    /// What money is counted in.
    pub currency: &'a str,
    /// Rows that it has beyond those.
    pub more: usize,
    /// On paper it is no wider than its few columns need.
    pub is_narrow: bool,
}

/// Characters that a column is wide in a workbook where nothing else is stated.
const WORDS_WIDE: f64 = 13.0;
const FIGURES_WIDE: f64 = 9.0;

impl<'n> Column<'n> {
    const fn new(name: &'n str, kind: Kind, unit: Unit, width: f64) -> Self {
        Column { name, heading: name, kind, unit, width, spared: None, is_on_one_line: false }
    }

    /// With cells that stay on one line.
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

    /// The same under another head for people.
    pub const fn headed(mut self, heading: &'n str) -> Self {
        self.heading = heading;
        self
    }

    /// The same so many characters wide in a workbook.
    pub const fn wide(mut self, characters: f64) -> Self {
        self.width = characters;
        self
    }

    /// The same, left out on a narrow screen: the lower the rank, the sooner.
    pub const fn spared(mut self, rank: u8) -> Self {
        self.spared = Some(rank);
        self
    }

    /// Its head for people, with the currency where it holds money.
    pub fn head(&self, currency: &str) -> Cow<'n, str> {
        match self.unit {
            Unit::Currency if !currency.is_empty() => format!("{}, {currency}", self.heading).into(),
            _ => self.heading.into(),
        }
    }

    /// Whether it is set to the left.
    pub fn is_words(&self) -> bool {
        matches!(self.kind, Kind::Text | Kind::YesNo)
    }

    /// Whether its figures can be set with their points under one another.
    pub fn has_points(&self) -> bool {
        !self.is_words() && self.kind != Kind::Figures
    }

    /// Most decimals that its figures have.
    pub fn places(&self) -> usize {
        match (self.kind, self.unit) {
            (Kind::Decimal(places) | Kind::Fixed(places), _) => places,
            (Kind::Money | Kind::Price, _) => 2,
            (Kind::Length, _) => 1,
            (Kind::Volume, Unit::Litres) => 3,
            _ => 0,
        }
    }

    /// A cell in words and digits. `exact`: as a file has it; for people money ends at hundredths.
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

    /// The same as a number, with the decimals that a file has; `None` of words.
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

/// Litres to a tenth, rounded up where any is left.
pub fn tenths(amount: Millilitres) -> String {
    format!("{:.1}", ((amount.0 as f64) / 100.0).ceil() / 10.0)
}

impl<'a, R> Field<'a, R> {
    pub const fn new(column: Column<'static>, cell: fn(R) -> Cell<'a>) -> Self {
        Field { column, cell }
    }

    /// The same under another head for people.
    pub const fn headed(mut self, heading: &'static str) -> Self {
        self.column = self.column.headed(heading);
        self
    }

    /// The same so many characters wide in a workbook.
    pub const fn wide(mut self, characters: f64) -> Self {
        self.column = self.column.wide(characters);
        self
    }

    /// The same, left out on a narrow screen: the lower the rank, the sooner.
    pub const fn spared(mut self, rank: u8) -> Self {
        self.column = self.column.spared(rank);
        self
    }

    /// The same in figures of this kind.
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

/// What the columns show of a record.
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

    /// The same with its money in this currency.
    pub fn in_currency(mut self, currency: &'a str) -> Self {
        self.currency = currency;
        self
    }

    /// The same, no wider on paper than its few columns need.
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

    /// Where the column of this name stands.
    ///
    /// # Panics
    /// Where there is none: a table is asked for columns that it was made with.
    pub fn position(&self, name: &str) -> usize {
        let found = self.columns.iter().position(|column| column.name == name);
        found.unwrap_or_else(|| panic!("no column {name}"))
    }
}

impl<'a, C: From<Cell<'a>>> Table<'a, C> {
    /// Records in these columns.
    pub fn of<R: Copy>(
        title: impl Into<Cow<'a, str>>,
        fields: &[Field<'a, R>],
        records: impl IntoIterator<Item = R>,
    ) -> Self {
        let mut table = Table::new(title, fields.iter().map(|field| field.column));
        table.rows.extend(records.into_iter().map(|record| cells(fields, record).map(C::from).collect()));
        table
    }

    /// The first records of a long list, and how many it leaves out: those are never put into words.
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
