//! Cells of a sheet as a workbook holds them.

/// A cell that is not empty; row and column from 0.
#[derive(Clone, Debug, PartialEq)]
pub struct SpreadsheetCell {
    pub row: u32,
    pub column: u32,
    pub held: CellValue,
}

/// What a cell holds.
#[derive(Clone, Debug, PartialEq)]
pub enum CellValue {
    /// Text.
    Text(String),
    /// A number.
    Number(f64),
    /// A number shown as a percentage, as a ratio.
    Percentage(f64),
    /// A date, a date and time, or a duration, in ISO 8601.
    Date(String),
    /// An error value.
    Error(String),
    /// A formula without a saved value.
    NotCalculated,
}
