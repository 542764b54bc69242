//! Cells of a sheet, as a workbook stores them.

/// A filled cell; row and column from 0.
#[derive(Clone, Debug, PartialEq)]
pub struct SpreadsheetCell {
    pub row: u32,
    pub column: u32,
    pub held: CellValue,
}

/// Value of a cell.
#[derive(Clone, Debug, PartialEq)]
pub enum CellValue {
    /// Text.
    Text(String),
    /// A number.
    Number(f64),
    /// A number that is shown as a percentage; 0.07 is 7 %.
    Percentage(f64),
    /// A date, a date and time, or a duration, in ISO 8601.
    Date(String),
    /// An error value.
    Error(String),
    /// A formula without a saved value.
    NotCalculated,
}
