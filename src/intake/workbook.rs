//! Reads one sheet of a workbook (.xlsx, .ods) as the text of a table; places are the sheet's own rows and columns.
//!
//! Stored values are read, not what the screen shows: a number with the 15 digits a spreadsheet keeps, a percentage with its
//! sign, a date as year-month-day, a formula as the value saved with it. A cell without a value of its own (an error, a formula
//! never calculated, a cell hidden under a merged one) is reported; nothing is guessed.

mod bounds;
mod open;
mod spreadsheet;

use super::columns::FileColumns;
use super::findings::Findings;
use crate::diagnostics::{Code, Diagnostic, Place, nearest};
use crate::units::short_index;

pub use open::{SheetCells, Workbook};
use spreadsheet::{CellValue, SpreadsheetCell};

/// Separator of the cells in the text. It is not a comma, so that a decimal comma typed as text can be read.
pub const SEPARATOR: u8 = b'\t';

/// Endings of the workbooks that are read.
pub const ENDINGS: [&str; 2] = ["xlsx", "ods"];

/// One sheet of a workbook, as text.
pub struct WorkbookSheet {
    /// Its name.
    pub name: String,
    /// Its cells: one line for each row, from row 1.
    pub text: String,
    /// First byte of each row in the text.
    starts: Vec<usize>,
    /// Cells with a mark, by row and column from 0, in that order.
    marked: Vec<((u32, u32), Mark)>,
}

/// What is known of a cell beside its text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// A number: its decimal mark is certain.
    Number,
    /// A date, typed as one or converted to one by the spreadsheet.
    Date,
    /// An error value.
    Error,
    /// A formula without a saved value.
    NotCalculated,
}

/// Whether a file is read as a workbook, judged by its ending.
pub fn is_workbook(name: &str) -> bool {
    let ending = name.rsplit_once('.').map_or("", |(_, ending)| ending);
    ENDINGS.iter().any(|known| known.eq_ignore_ascii_case(ending))
}

/// A table's name with the ending of a workbook: `specimens.xlsx` for `specimens.csv`.
pub fn with_ending(name: &str, ending: &str) -> String {
    format!("{}.{ending}", name.trim_end_matches(".csv"))
}

/// Whether a file has the name of a table, or of a workbook in its place.
pub fn stands_for(given: &str, name: &str) -> bool {
    given == name || ENDINGS.iter().any(|ending| given == with_ending(name, ending))
}

impl WorkbookSheet {
    /// Reads the sheet for a table: the one with a matching name, or the only one.
    pub fn read(path: &str, bytes: &[u8], wanted: &FileColumns, findings: &mut Findings) -> Option<WorkbookSheet> {
        let read = open::Workbook::open(path, bytes).and_then(|mut workbook| {
            let name = chosen(path, &workbook.sheets(), wanted)?;
            let cells = workbook.cells(&name)?;
            Ok((name, cells))
        });
        match read {
            Ok((name, cells)) => Some(WorkbookSheet::of(path, name, cells, findings)),
            Err(error) => {
                findings.report(error);
                None
            }
        }
    }

    fn of(path: &str, name: String, cells: SheetCells, findings: &mut Findings) -> WorkbookSheet {
        let mut sheet = WorkbookSheet { name, text: String::new(), starts: vec![0], marked: Vec::new() };
        let SheetCells { cells, merged } = cells;
        let width = cells.iter().map(|cell| cell.column + 1).max().unwrap_or(0);
        let mut cells = cells.into_iter().peekable();
        while cells.peek().is_some() {
            let row = short_index(sheet.starts.len()) - 1;
            let (mut column, mut filled) = (0, false);
            while let Some(cell) = cells.next_if(|cell| cell.row == row) {
                let gap = cell.column - column;
                sheet.text.extend(std::iter::repeat_n(char::from(SEPARATOR), gap as usize));
                (column, filled) = (cell.column, true);
                sheet.push(&cell);
            }
            if filled {
                let rest = width - 1 - column;
                sheet.text.extend(std::iter::repeat_n(char::from(SEPARATOR), rest as usize));
            }
            sheet.text.push('\n');
            sheet.starts.push(sheet.text.len());
        }
        for (from, to) in merged.into_iter().filter(|(from, _)| (from.0 as usize) < sheet.starts.len()) {
            let range = format!("{}:{}", address(from.0 + 1, from.1 + 1), address(to.0 + 1, to.1 + 1));
            let place = Place { line: from.0 as usize + 1, column: from.1 as usize + 1, ..sheet.place(path) };
            let error = Diagnostic::error(
                Code::MergedCells,
                place,
                format!("{range} is merged: only its first cell has a value"),
            );
            findings.report(error.cure("unmerge it, and fill in each cell"));
        }
        sheet
    }

    fn push(&mut self, cell: &SpreadsheetCell) {
        let (text, mark) = cell.held.text();
        if let Some(mark) = mark {
            self.marked.push(((cell.row, cell.column), mark));
        }
        if text.contains(['\t', '\n', '\r', '"']) {
            self.text.push_str(&format!("\"{}\"", text.replace('"', "\"\"")));
        } else {
            self.text.push_str(&text);
        }
    }

    /// Place of the sheet as a whole.
    pub fn place(&self, path: &str) -> Place {
        Place { file: path.to_owned(), sheet: Some(self.name.as_str().into()), ..Place::default() }
    }

    /// The row that a byte is in, from 1.
    pub fn row_of(&self, byte: usize) -> usize {
        self.starts.partition_point(|start| *start <= byte)
    }

    /// First byte of the row that a byte is in.
    pub fn start_of(&self, byte: usize) -> usize {
        self.starts[self.row_of(byte) - 1]
    }

    /// Mark of a cell, if it has one; `row` from 1, `field` from 0.
    pub fn mark(&self, row: usize, field: usize) -> Option<Mark> {
        let wanted = (u32::try_from(row).ok()?.checked_sub(1)?, u32::try_from(field).ok()?);
        self.marked.binary_search_by_key(&wanted, |(at, _)| *at).ok().map(|index| self.marked[index].1)
    }
}

/// Name of the sheet for a table.
fn chosen(path: &str, sheets: &[String], wanted: &FileColumns) -> Result<String, Diagnostic> {
    let plain = |name: &str| name.to_lowercase().replace([' ', '-', '_'], "");
    let named: Vec<&String> =
        sheets.iter().filter(|sheet| wanted.sheet_names().any(|name| plain(name) == plain(sheet))).collect();
    match (&named[..], sheets) {
        ([one], _) => return Ok((*one).clone()),
        ([], [only]) => return Ok(only.clone()),
        _ => {}
    }
    let list = |names: &[&String]| names.iter().map(|name| format!("{name:?}")).collect::<Vec<_>>().join(", ");
    let error = |message: String| Diagnostic::error(Code::WhichSheet, Place::file(path), message);
    if sheets.is_empty() {
        return Err(error("this workbook has no worksheet".to_owned()).cure("name another file"));
    }
    if named.len() > 1 {
        let message = format!("it is not clear which sheet to read: {}", list(&named));
        return Err(
            error(message).cure(format!("name one of them {:?}, and give the others different names", wanted.name()))
        );
    }
    let all: Vec<&String> = sheets.iter().collect();
    let message = format!("none of its {} sheets is named {:?}: they are {}", sheets.len(), wanted.name(), list(&all));
    let near = nearest(wanted.name(), sheets.iter().map(String::as_str));
    Err(error(message).cure(match near {
        Some(near) => format!("if you mean {near:?}, rename it {:?}", wanted.name()),
        None => format!("rename the one to read {:?}", wanted.name()),
    }))
}

/// Address of a cell, such as `D14`; row and column from 1.
pub fn address(row: u32, column: u32) -> String {
    format!("{}{row}", crate::diagnostics::letters(column as usize))
}

impl SheetCells {
    /// Row, column (both from 0) and text of each cell that is not empty, in order.
    pub fn texts(&self) -> impl Iterator<Item = (u32, u32, String)> {
        self.cells.iter().map(|cell| (cell.row, cell.column, cell.held.text().0))
    }
}

impl CellValue {
    /// Its text as it would be typed, and its mark.
    fn text(&self) -> (String, Option<Mark>) {
        match self {
            // ODF keeps no other sign of an error than its text.
            CellValue::Text(text) if is_error(text) => (text.clone(), Some(Mark::Error)),
            CellValue::Text(text) => (text.clone(), None),
            CellValue::Number(number) => (fifteen_digits(*number), Some(Mark::Number)),
            CellValue::Percentage(ratio) => (format!("{}%", fifteen_digits(ratio * 100.0)), Some(Mark::Number)),
            CellValue::Date(date) => (date.clone(), Some(Mark::Date)),
            CellValue::Error(error) => (error.clone(), Some(Mark::Error)),
            CellValue::NotCalculated => (String::new(), Some(Mark::NotCalculated)),
        }
    }
}

/// A number to the 15 significant digits that spreadsheets keep, without an exponent: 0.1 + 0.2 gives `0.3`.
/// Source: Microsoft, Excel specifications and limits, "number precision: 15 digits".
fn fifteen_digits(number: f64) -> String {
    let rounded: f64 = format!("{number:.14e}").parse().unwrap_or(number);
    // Without this, -0 would give `-0`.
    if rounded == 0.0 { "0".to_owned() } else { rounded.to_string() }
}

/// Whether a text is an error value. Source: ECMA-376-1:2016, 18.17.3; ODF 1.3 OpenFormula, 5.12 (`#…`); and the numbered errors
/// that some programs write (`Err:502`).
fn is_error(text: &str) -> bool {
    const NAMES: [&str; 8] = ["#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!", "#GETTING_DATA"];
    let numbered = text.strip_prefix("Err:").is_some_and(|n| n.len() == 3 && n.bytes().all(|b| b.is_ascii_digit()));
    numbered || NAMES.contains(&text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_what_was_typed() {
        assert_eq!(fifteen_digits(0.1 + 0.2), "0.3");
        assert_eq!(fifteen_digits(3.0), "3");
        assert_eq!(fifteen_digits(-0.0), "0");
        assert_eq!(fifteen_digits(12.345), "12.345");
        assert_eq!(fifteen_digits(1234567.891), "1234567.891");
        assert_eq!(fifteen_digits(4.7 * 100.0 / 100.0), "4.7");
        assert_eq!(CellValue::Percentage(0.07).text().0, "7%");
    }

    #[test]
    fn cells_are_named_as_in_a_spreadsheet() {
        assert_eq!(address(14, 4), "D14");
        assert_eq!(address(1, 26), "Z1");
        assert_eq!(address(1, 27), "AA1");
        assert_eq!(address(1048576, 16384), "XFD1048576");
    }
}
