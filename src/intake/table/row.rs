//! Reads one row of a table cell by cell. The faults of its cells are collected in the row, each with its place.

use std::cell::Cell;
use std::ops::RangeInclusive;

use csv::ByteRecord;

use super::{At, DecimalMarks, InputTable, MOST_OF_A_CELL, UNCLOSED, as_text, unguarded};
use crate::diagnostics::{Code, Diagnostic, Place, Severity};
use crate::intake::cells::{self, CellFault, CellFigure, CellUnit, Measure, quoted};
use crate::intake::columns::{CellKind, InputColumns};
use crate::intake::source::Quote;
use crate::intake::workbook::Mark;
use crate::rules::plain;
use crate::units::{Length, Mass, Money, Volume};

/// One row of a table. Diagnostics about its cells are collected in `found`.
pub struct TableRow<'a, C: InputColumns> {
    pub(super) table: &'a InputTable<'a, C>,
    pub(super) record: &'a ByteRecord,
    /// Decimal marks seen so far in these rows.
    pub(super) marks: &'a Cell<DecimalMarks>,
    pub(super) byte: usize,
    /// Line that the row starts on, from 1; 0 for the row that holds only defaults.
    pub line: usize,
    /// Diagnostics about the row so far.
    pub found: Vec<Diagnostic>,
}

/// Whether a quantity may be zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Zero {
    /// Zero is accepted.
    Allowed,
    /// Zero is an error.
    Refused,
}

impl<'a, C: InputColumns> TableRow<'a, C> {
    /// Whether an error was found in the row.
    pub fn is_bad(&self) -> bool {
        self.found.iter().any(|diagnostic| diagnostic.severity == Severity::Error)
    }

    /// Where a column's cell is, to report it later.
    pub fn at(&self, column: C) -> At {
        let field = self.table.fields[column.index()].map_or(0, |field| field.index);
        At { byte: self.byte, line: self.line, field }
    }

    /// A row of the file as messages name it.
    pub fn line_named(&self, line: usize) -> String {
        self.table.line_named(line)
    }

    /// Whether the file has the column.
    pub fn has(&self, column: C) -> bool {
        self.table.has(column)
    }

    fn own_cell(&self, column: C) -> Option<(&'a str, super::InputField)> {
        let field = self.table.fields[column.index()]?;
        let text = unguarded(as_text(self.record.get(field.index)?).trim());
        (!text.is_empty()).then_some((text, field))
    }

    /// The cell as typed, or its default; empty if blank.
    pub fn text(&self, column: C) -> &'a str {
        match self.own_cell(column) {
            Some((text, _)) => text,
            None => self.table.defaults[column.index()].as_ref().map_or("", |default| default.text.as_str()),
        }
    }

    /// The cell as typed, or its default; `None` if blank.
    pub fn stated(&self, column: C) -> Option<&'a str> {
        Some(self.text(column)).filter(|text| !text.is_empty())
    }

    /// As `stated`; a blank cell is an error. An absent column is not: that is reported once for the file.
    pub fn required(&mut self, column: C) -> Option<&'a str> {
        let text = self.stated(column);
        if text.is_none() && self.has(column) {
            self.error(column, Code::BlankCell, "this cell is blank".to_owned(), "fill it in");
        }
        text
    }

    /// The cells of the carried columns, in the order of [`InputTable::carried_headers`].
    pub fn carried(&self) -> Vec<String> {
        let cell = |index: &usize| unguarded(as_text(self.record.get(*index).unwrap_or_default())).to_owned();
        self.table.carried.iter().map(cell).collect()
    }

    /// The filled cells of the carried columns: where each is, its header and its text. Line numbers of a form are left out.
    pub fn carried_cells(&self) -> impl Iterator<Item = (At, &'a str, &'a str)> + use<'a, C> {
        let (table, record, byte, line) = (self.table, self.record, self.byte, self.line);
        table.carried.iter().filter(move |index| Some(**index) != table.numbering).filter_map(move |&field| {
            let text = unguarded(as_text(record.get(field)?).trim());
            let at = At { byte, line, field };
            (!text.is_empty()).then_some((at, table.headers[field].as_str(), text))
        })
    }

    /// Adds a warning about the cell at a place.
    pub fn warning_at(&mut self, at: At, code: Code, message: String, cure: &str) {
        self.found.push(Diagnostic::warning(code, self.table.place(at), message).cure(cure));
    }

    /// The header of a column as typed in the file or in the settings.
    pub fn header(&self, column: C) -> &'a str {
        let index = column.index();
        match (self.table.fields[index], &self.table.defaults[index]) {
            (Some(field), _) => &self.table.headers[field.index],
            (None, Some(default)) => &default.header,
            (None, None) => C::ALL[index].name,
        }
    }

    fn place(&self, column: C) -> Place {
        match (self.own_cell(column), &self.table.defaults[column.index()]) {
            (None, Some(default)) => default.place.clone(),
            _ => Place { name: self.header(column).into(), ..self.table.place(self.at(column)) },
        }
    }

    /// Whether a fault is in the default of a column and not in the row: that is reported once, not for every row.
    fn default_is_to_blame(&self, column: C) -> bool {
        self.line > 0 && self.own_cell(column).is_none() && self.table.defaults[column.index()].is_some()
    }

    /// Adds an error about a column's cell.
    pub fn error(&mut self, column: C, code: Code, message: String, cure: impl Into<String>) {
        if !self.default_is_to_blame(column) {
            self.found.push(Diagnostic::error(code, self.place(column), message).cure(cure));
        }
    }

    /// Adds a warning about a column's cell.
    pub fn warning(&mut self, column: C, code: Code, message: String, cure: impl Into<String>) {
        if !self.default_is_to_blame(column) {
            self.found.push(Diagnostic::warning(code, self.place(column), message).cure(cure));
        }
    }

    /// Adds the error for a cell that cannot be read.
    pub fn fault(&mut self, column: C, fault: CellFault) {
        let message = self.says(column, &fault.says);
        self.error(column, fault.code, message, fault.cure);
    }

    /// Message `"12 cmm" – …`; the place names the column.
    pub fn says(&self, column: C, what: &str) -> String {
        format!("{} – {what}", quoted(self.text(column)))
    }

    /// Reads a typed number; `read` also gets the unit in the column's header.
    fn checked<T>(
        &mut self,
        column: C,
        read: impl FnOnce(&CellFigure, Option<CellUnit>) -> Result<T, CellFault>,
    ) -> Option<T> {
        let own = self.own_cell(column);
        let (text, unit) = match (own, &self.table.defaults[column.index()]) {
            (Some((text, field)), _) => (text, field.unit),
            (None, Some(default)) if !default.text.is_empty() => (default.text.as_str(), default.unit),
            (None, _) => return None,
        };
        // A comma cannot be a decimal mark in a comma-separated file, and the settings accept none.
        let decimal_comma = self.table.separator != b',' && own.is_some();
        let mut result = cells::figure(text, decimal_comma).and_then(|figure| {
            if own.is_some() {
                self.note_mark(column, &figure);
            }
            read(&figure, unit)
        });
        if let (Err(fault), CellKind::Whole(..)) = (&mut result, column.column().kind)
            && fault.code == Code::NotANumber
        {
            fault.cure = "write a whole number in digits, such as 3".to_owned();
        }
        result.map_err(|fault| self.fault(column, fault)).ok()
    }

    fn note_mark(&self, column: C, figure: &CellFigure) {
        let (Some(mark), false) = (figure.mark, self.table.separator == b',') else { return };
        let mut marks = self.marks.get();
        let at = self.at(column);
        // The text of a number from a workbook was made by this program, so its mark is certain.
        if self.table.source.mark(at.line, at.field) == Some(Mark::Number) {
            return;
        }
        let doubtful = figure.could_be_thousands().then_some(at);
        let (used, first) = match mark {
            b',' => (&mut marks.comma, &mut marks.comma_or_thousands),
            _ => (&mut marks.point, &mut marks.point_or_thousands),
        };
        *used = true;
        *first = first.or(doubtful);
        self.marks.set(marks);
    }

    fn measured(&mut self, column: C, measure: Measure, zero: Zero) -> Option<f64> {
        let value = self.checked(column, |figure, unit| cells::measured(figure, measure, unit))?;
        if value == 0.0 && zero == Zero::Refused {
            self.fault(column, CellFault::new(Code::Zero, "must be above zero", "measure it, or leave the cell blank"));
            return None;
        }
        Some(value)
    }

    /// A length, if stated and valid.
    pub fn length(&mut self, column: C, zero: Zero) -> Option<Length> {
        self.measured(column, Measure::Length, zero).and_then(Length::new)
    }

    /// A volume, if stated and valid.
    pub fn volume(&mut self, column: C, zero: Zero) -> Option<Volume> {
        self.measured(column, Measure::Volume, zero).and_then(Volume::new)
    }

    /// A mass, if stated and valid.
    pub fn mass(&mut self, column: C, zero: Zero) -> Option<Mass> {
        self.measured(column, Measure::Mass, zero).and_then(Mass::new)
    }

    /// A plain number within the column's limits, if stated and valid.
    pub fn number(&mut self, column: C) -> Option<f64> {
        let limits = column.column().kind.limits();
        let read: fn(&CellFigure) -> Result<f64, CellFault> =
            if *limits.start() < 0.0 { cells::signed } else { cells::number };
        let value = self.checked(column, |figure, _| read(figure))?;
        self.within(column, value, limits)
    }

    /// Plain numbers within limits, separated by `|`, if stated and all valid.
    pub fn numbers(&mut self, column: C, limits: RangeInclusive<f64>) -> Option<Vec<f64>> {
        let mut numbers = Vec::new();
        for typed in self.list(column) {
            let decimal_comma = self.table.separator != b',';
            match cells::figure(typed, decimal_comma).and_then(|figure| cells::number(&figure)) {
                Ok(value) => numbers.push(self.within(column, value, limits.clone())?),
                Err(fault) => {
                    self.fault(column, fault);
                    return None;
                }
            }
        }
        (!numbers.is_empty()).then_some(numbers)
    }

    /// A whole number within the column's limits, if stated and valid.
    pub fn whole(&mut self, column: C) -> Option<u32> {
        let value = self.checked(column, |figure, _| cells::whole(figure))?;
        self.within(column, f64::from(value), column.column().kind.limits()).map(|_| value)
    }

    fn within(&mut self, column: C, value: f64, limits: RangeInclusive<f64>) -> Option<f64> {
        if limits.contains(&value) {
            return Some(value);
        }
        let cure = match value > *limits.end() {
            true => format!("write at most {}", limits.end()),
            false => format!("write at least {}", limits.start()),
        };
        self.fault(column, CellFault::new(Code::OutOfRange, "outside the allowed range", cure));
        None
    }

    /// An amount of money, if stated and valid.
    pub fn money(&mut self, column: C) -> Option<Money> {
        self.checked(column, |figure, _| cells::money(figure))
    }

    /// The value of one of these words, if stated and known. Case, spaces, hyphens and underscores are ignored.
    pub fn word<T: Copy>(&mut self, column: C, words: &[(&str, T)]) -> Option<T> {
        let all: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
        self.word_or(column, words, || format!("write {}", either(&all)))
    }

    /// As `word`, with another cure for unknown words.
    pub fn word_or<T: Copy>(&mut self, column: C, words: &[(&str, T)], cure: impl FnOnce() -> String) -> Option<T> {
        let text = self.stated(column)?;
        let exactly = words.iter().find(|(word, _)| word.eq_ignore_ascii_case(text));
        let plainly = || words.iter().find(|(word, _)| plain(word) == plain(text));
        let found = exactly.or_else(plainly).map(|(_, value)| *value);
        if found.is_none() {
            self.fault(column, CellFault::new(Code::UnknownWord, "not one of the words used in this column", cure()));
        }
        found
    }

    /// Names separated by `|`, without blank ones.
    pub fn list(&self, column: C) -> impl Iterator<Item = &'a str> + use<'a, C> {
        self.text(column).split('|').map(str::trim).filter(|name| !name.is_empty())
    }

    /// Checks the quotes of all cells. An unclosed quote is returned; other faults are added to the row.
    pub(super) fn check_quotes(&mut self) -> Option<Diagnostic> {
        let table = self.table;
        for (field, cell) in table.source.cells(self.byte, table.separator).enumerate() {
            let place = || table.place(At { byte: self.byte, line: self.line, field });
            match cell.quote {
                Quote::Sound => continue,
                _ => match table.quote_problem(cell, place()) {
                    Some(problem) if problem.code == UNCLOSED => return Some(problem),
                    problem => self.found.extend(problem),
                },
            }
        }
        None
    }

    /// Adds an error for each cell that is too long; returns whether there is none.
    pub(super) fn check_lengths(&mut self) -> bool {
        if self.record.as_slice().len() <= MOST_OF_A_CELL {
            return true;
        }
        let before = self.found.len();
        for (field, cell) in self.record.iter().enumerate().filter(|(_, cell)| cell.len() > MOST_OF_A_CELL) {
            let place = self.table.place(At { byte: self.byte, line: self.line, field });
            self.found.push(too_long(cell.len(), place));
        }
        self.found.len() == before
    }

    pub(super) fn check_width(&mut self) {
        let (cells, headers) = (self.record.len(), self.table.headers.len());
        if cells == headers {
            return;
        }
        let field = if cells > headers { headers } else { cells - 1 };
        let cell = quoted(as_text(self.record.get(field).unwrap_or_default()));
        let place = self.table.place(At { byte: self.byte, line: self.line, field });
        let count = |n: usize| if n == 1 { "1 cell".to_owned() } else { format!("{n} cells") };
        let message = match cells > headers {
            true => format!("the row has {}, the header {headers}; the first extra one is {cell}", count(cells)),
            false => format!("the row has {}, the header {headers}; the last is {cell}", count(cells)),
        };
        let cure = match (cells > headers, self.table.separator) {
            (true, b',') => "put a cell that holds a comma in quotes; write decimals with a point",
            (true, _) => "put a cell that holds the separator in quotes",
            (false, _) => "add the missing separators at the end of the row",
        };
        self.found.push(Diagnostic::error(Code::RaggedRow, place, message).cure(cure));
    }

    /// Adds diagnostics for cells of a sheet that have no value, or whose value may not be what was typed.
    pub(super) fn check_marks(&mut self) {
        if self.table.source.sheet().is_none() {
            return;
        }
        for field in 0..self.record.len() {
            let place = || self.table.place(At { byte: self.byte, line: self.line, field });
            let known = self.table.fields.iter().position(|known| known.is_some_and(|known| known.index == field));
            let cell = quoted(as_text(self.record.get(field).unwrap_or_default()));
            self.found.push(match (self.table.source.mark(self.line, field), known) {
                (Some(Mark::Error), Some(_)) => {
                    let error = Diagnostic::error(Code::ErrorCell, place(), format!("the cell holds the error {cell}"));
                    error.cure("correct its formula, or type the value")
                }
                (Some(Mark::Error), None) => {
                    let message = format!("the cell holds the error {cell}, which is carried through as text");
                    Diagnostic::warning(Code::ErrorCell, place(), message)
                        .cure("correct its formula, or type the value")
                }
                (Some(Mark::NotCalculated), _) => {
                    let message = "the cell holds a formula that was saved without a value";
                    let error = Diagnostic::error(Code::NotCalculated, place(), message);
                    error.cure("open it in the spreadsheet program and save it, or type the value")
                }
                (Some(Mark::Date), Some(column)) if C::ALL[column].kind == CellKind::Text => {
                    let message =
                        format!("the cell is the date {cell}: spreadsheets turn what looks like a date into one");
                    let warning = Diagnostic::warning(Code::DateCell, place(), message);
                    warning.cure("if it is not a date, format the column as text and type it again")
                }
                _ => continue,
            });
        }
    }

    pub(super) fn check_unnamed(&mut self) {
        for &field in &self.table.unnamed {
            let cell = as_text(self.record.get(field).unwrap_or_default()).trim();
            if !cell.is_empty() {
                let place = self.table.place(At { byte: self.byte, line: self.line, field });
                let message = format!("{} is in a column without a header", quoted(cell));
                let error = Diagnostic::error(Code::UnnamedColumn, place, message);
                self.found.push(error.cure(format!(
                    "name the column in the header ({})",
                    self.table.line_named(self.table.header_line)
                )));
            }
        }
    }
}

/// The error for a cell that is too long.
pub(super) fn too_long(bytes: usize, place: Place) -> Diagnostic {
    let message = format!("the cell holds {bytes} bytes; at most {MOST_OF_A_CELL} are read");
    Diagnostic::error(Code::TooLarge, place, message)
        .cure("shorten it, or look for a quotation mark that is never closed")
}

/// Joins words: `a, b or c`.
pub fn either(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} or {last}", first.join(", ")),
    }
}
