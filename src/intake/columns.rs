//! Every column of every input file, once: its name, other ways to head it, whether it must be there, what kind of cell
//! it holds and what it means. Readers, messages and the documentation all take it from here.

mod files;
mod other_headings;

use std::ops::RangeInclusive;

use super::cells::{CellUnit, Measure};

pub use files::*;
pub use other_headings::offered;

/// One column of an input file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InputColumn {
    /// Its header in our own files: `length_mm`.
    pub name: &'static str,
    /// Other headings that mean the same, without a unit.
    pub aliases: &'static [&'static str],
    /// Whether it must be there.
    pub need: Need,
    /// What its cells hold.
    pub kind: CellKind,
    /// Its meaning, in a sentence.
    pub meaning: &'static str,
}

/// Whether a column must be there, and its cells filled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// The column must be there, and no cell of it may be blank.
    EveryCell,
    /// The column must be there; cells of it may be blank where another says as much.
    Column,
    /// The column may be missing, and its cells may be blank.
    Nothing,
}

/// What the cells of a column hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CellKind {
    /// Free text or a name.
    Text,
    /// One of these words.
    Word(&'static [&'static str]),
    /// Names separated by `|`.
    List,
    /// A number from the first to the second.
    Number(f64, f64),
    /// A whole number from the first to the second.
    Whole(u32, u32),
    /// An exact amount of money.
    Money,
    /// A quantity with a unit in the header or in the cell; the name ends in the usual unit.
    Measured(Measure),
    /// Kept and passed on to the outputs, not read.
    Carried,
    /// The number of a line on a form, passed on: a row that holds nothing else is blank.
    Numbering,
}

/// Columns of one input file, as a value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FileColumns {
    /// The file's name in a project folder.
    pub file: &'static str,
    /// What a row of it is.
    pub row: &'static str,
    /// In the order they are usually written.
    pub columns: &'static [InputColumn],
}

/// A file's columns, as an enumeration of them.
pub trait InputColumns: Copy + Sync + 'static {
    /// The file's name in a project folder.
    const FILE: &'static str;
    /// What a row of it is.
    const ROW: &'static str;
    /// All columns, in the order they are usually written; the enumeration counts them.
    const ALL: &'static [InputColumn];

    /// The first column, which names the row.
    fn first() -> Self;

    /// Index into [`InputColumns::ALL`].
    fn index(self) -> usize;

    /// The same as a value.
    fn of_file() -> FileColumns {
        FileColumns { file: Self::FILE, row: Self::ROW, columns: Self::ALL }
    }

    /// Its definition.
    fn column(self) -> &'static InputColumn {
        &Self::ALL[self.index()]
    }
}

impl CellKind {
    /// Least and most of a number or whole number.
    pub fn limits(self) -> RangeInclusive<f64> {
        match self {
            CellKind::Number(least, most) => least..=most,
            CellKind::Whole(least, most) => f64::from(least)..=f64::from(most),
            _ => 0.0..=f64::INFINITY,
        }
    }
}

impl FileColumns {
    /// The file's name without folder and ending: `fluids` of `rules/fluids.csv`.
    pub fn name(&self) -> &'static str {
        let file = self.file.rsplit('/').next().unwrap_or(self.file);
        file.trim_end_matches(".csv")
    }

    /// What a sheet of a workbook may be named to be read as this file.
    pub fn sheet_names(&self) -> impl Iterator<Item = &'static str> {
        let other = match self.name() {
            "specimens" => Some("survey"),
            "vessels" => Some("stock list"),
            _ => None,
        };
        std::iter::once(self.name()).chain(other)
    }
}

impl InputColumn {
    /// Whether the column must be there.
    pub fn required(&self) -> bool {
        self.need != Need::Nothing
    }

    /// Its name without the unit, for measured columns.
    pub fn base(&self) -> &'static str {
        match self.kind {
            CellKind::Measured(measure) => {
                let unit = measure.usual().name;
                self.name.strip_suffix(unit).and_then(|base| base.strip_suffix('_')).unwrap_or(self.name)
            }
            _ => self.name,
        }
    }
}

/// What a header says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Heading {
    /// This column, with this unit if it says one.
    Known(usize, Option<CellUnit>),
    /// This column, with a unit that is not accepted.
    UnknownUnit(usize),
    /// No column that is read.
    Unknown,
}

/// Which column a header names: case is of no account, spaces and hyphens are underscores, a `dwc:` prefix is dropped.
pub fn heading(header: &str, columns: &[InputColumn]) -> Heading {
    let lower = header.trim().to_lowercase().replace([' ', '-'], "_");
    let typed = lower.strip_prefix("dwc:").unwrap_or(&lower);
    let mut wrong_unit = None;
    for (index, column) in columns.iter().enumerate() {
        for name in std::iter::once(column.base()).chain(column.aliases.iter().copied()) {
            let Some(rest) = typed.strip_prefix(name.to_lowercase().as_str()) else { continue };
            match (column.kind, rest.strip_prefix('_')) {
                (CellKind::Measured(measure), None) if rest.is_empty() => {
                    // A column whose plain name says the unit (`litres`) has it; any other asks each cell for it.
                    let unit = (column.base() == column.name).then(|| measure.usual_of(column.name));
                    return Heading::Known(index, unit);
                }
                (_, None) if rest.is_empty() => return Heading::Known(index, None),
                (CellKind::Measured(measure), Some(suffix)) => match CellUnit::named(suffix) {
                    Some(unit) if unit.measure == measure => return Heading::Known(index, Some(unit)),
                    Some(_) => wrong_unit = Some(index),
                    None if REFUSED_UNITS.contains(&suffix) => wrong_unit = Some(index),
                    None => {}
                },
                _ => {}
            }
        }
    }
    wrong_unit.map_or(Heading::Unknown, Heading::UnknownUnit)
}

/// Endings that are meant as units but are not accepted: such a column is reported, not passed on unread.
const REFUSED_UNITS: [&str; 16] =
    ["oz", "fl_oz", "floz", "ft", "feet", "yd", "gal", "pt", "qt", "cl", "dl", "mg", "t", "um", "µm", "km"];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headers_are_matched_without_case_with_units_and_with_the_darwin_core_prefix() {
        let column = |header| heading(header, SpecimenColumn::ALL);
        let index = |c: SpecimenColumn| c.index();
        assert_eq!(column("DWC:CatalogNumber"), Heading::Known(index(SpecimenColumn::CatalogNumber), None));
        assert_eq!(column(" Depth_CM "), Heading::Known(index(SpecimenColumn::Height), CellUnit::named("cm")));
        assert_eq!(column("length"), Heading::Known(index(SpecimenColumn::Length), None));
        assert_eq!(column("mass_oz"), Heading::UnknownUnit(index(SpecimenColumn::Mass)));
        assert_eq!(column("length_g"), Heading::UnknownUnit(index(SpecimenColumn::Length)));
        assert_eq!(column("length_note"), Heading::Unknown);
        let litres = heading("Litres", FluidStockColumn::ALL);
        assert_eq!(litres, Heading::Known(FluidStockColumn::Litres.index(), CellUnit::named("l")));
    }

    #[test]
    fn every_measured_column_says_its_usual_unit() {
        let all = [SpecimenColumn::ALL, VesselColumn::ALL, NeckFinishColumn::ALL].concat();
        for column in all.iter().filter(|column| matches!(column.kind, CellKind::Measured(_))) {
            assert_ne!(column.base(), column.name);
        }
    }
}
