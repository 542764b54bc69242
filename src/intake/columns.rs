//! Defines every column of every input file once: name, other headings, whether it is required, the kind of its cells and
//! its meaning. Readers, messages and documentation all use these definitions.

mod files;
mod other_headings;

use std::ops::RangeInclusive;

use super::cells::{CellUnit, Measure};

pub use files::*;
pub use other_headings::offered;

/// One column of an input file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InputColumn {
    /// Its header in the program's own files: `length_mm`.
    pub name: &'static str,
    /// Other headings that mean the same column, without a unit.
    pub aliases: &'static [&'static str],
    /// Whether the column is required.
    pub need: Need,
    /// Kind of its cells.
    pub kind: CellKind,
    /// Its meaning, in one sentence.
    pub meaning: &'static str,
}

/// Whether a column is required, and whether its cells must be filled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// The column must be there, and no cell of it may be blank.
    EveryCell,
    /// The column must be there; a cell may be blank where another column gives the same fact.
    Column,
    /// The column may be missing, and its cells may be blank.
    Nothing,
}

/// Kind of the cells of a column.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CellKind {
    /// Free text or a name.
    Text,
    /// One of these words.
    Word(&'static [&'static str]),
    /// Names separated by `|`.
    List,
    /// A number within these limits, inclusive.
    Number(f64, f64),
    /// A whole number within these limits, inclusive.
    Whole(u32, u32),
    /// An exact amount of money.
    Money,
    /// A quantity with its unit in the header or in the cell; the column's name ends in the usual unit.
    Measured(Measure),
    /// Passed on to the outputs without being read.
    Carried,
    /// Line number on a form, passed on. A row that holds nothing else counts as blank.
    Numbering,
}

/// One input file and its columns, as a value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FileColumns {
    /// The file's name in a project folder.
    pub file: &'static str,
    /// What one row describes, such as a specimen.
    pub row: &'static str,
    /// Its columns, in the order they are usually written.
    pub columns: &'static [InputColumn],
}

/// The columns of one input file, as an enumeration.
pub trait InputColumns: Copy + Sync + 'static {
    /// The file's name in a project folder.
    const FILE: &'static str;
    /// What one row describes, such as a specimen.
    const ROW: &'static str;
    /// All columns, in the order they are usually written, which is the order of the variants.
    const ALL: &'static [InputColumn];

    /// The first column.
    fn first() -> Self;

    /// Index into [`InputColumns::ALL`].
    fn index(self) -> usize;

    /// The file and its columns as a value.
    fn of_file() -> FileColumns {
        FileColumns { file: Self::FILE, row: Self::ROW, columns: Self::ALL }
    }

    /// Definition of this column.
    fn column(self) -> &'static InputColumn {
        &Self::ALL[self.index()]
    }
}

impl CellKind {
    /// Smallest and largest accepted value of a number or whole number.
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

    /// Names that a sheet of a workbook may have to be read as this file.
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

/// What a header refers to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Heading {
    /// This column, with the unit in the header if there is one.
    Known(usize, Option<CellUnit>),
    /// This column, with a unit that is not accepted.
    UnknownUnit(usize),
    /// No known column.
    Unknown,
}

/// Finds the column that a header names. Case is ignored, spaces and hyphens count as underscores, a `dwc:` prefix is
/// dropped.
pub fn heading(header: &str, columns: &[InputColumn]) -> Heading {
    let lower = header.trim().to_lowercase().replace([' ', '-'], "_");
    let typed = lower.strip_prefix("dwc:").unwrap_or(&lower);
    let mut wrong_unit = None;
    for (index, column) in columns.iter().enumerate() {
        for name in std::iter::once(column.base()).chain(column.aliases.iter().copied()) {
            let Some(rest) = typed.strip_prefix(name.to_lowercase().as_str()) else { continue };
            match (column.kind, rest.strip_prefix('_')) {
                (CellKind::Measured(measure), None) if rest.is_empty() => {
                    // A column whose plain name implies the unit (`litres`) has it; in any other column each cell must give
                    // its unit.
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

/// Suffixes that are meant as units but are not accepted: such a column is reported; it is not passed on unread.
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
