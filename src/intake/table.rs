//! A CSV file as a table of known columns; reads its header and then its rows.
//!
//! The csv crate splits records. Places are counted by [`Source`], because the crate's line numbers are one too small in files
//! with CRLF and after blank lines.

mod row;
mod walk;

use std::cell::Cell;
use std::collections::HashSet;
use std::marker::PhantomData;
use std::sync::OnceLock;

use csv::{ByteRecord, ReaderBuilder};

use super::cells::{CellUnit, quoted};
use super::columns::{CellKind, Heading, InputColumn, InputColumns, heading, offered};
use super::findings::Findings;
use super::source::{Quote, RawCell, Source};
use crate::diagnostics::{Code, Diagnostic, LONGEST_NAME, Place, shortened};
use crate::units::offset;

pub use row::{TableRow, Zero, either};

/// A file whose header has been read.
pub struct InputTable<'s, C: InputColumns> {
    source: &'s Source,
    separator: u8,
    /// Headers as typed, without the apostrophe of a formula guard.
    pub headers: Vec<String>,
    header_start: usize,
    header_line: usize,
    rows_start: usize,
    /// Field and unit of each known column, by index of the column.
    fields: Vec<Option<InputField>>,
    /// Fields of carried columns, which are passed on to the outputs.
    carried: Vec<usize>,
    /// Fields with an empty header.
    unnamed: Vec<usize>,
    /// The field with the line numbers of a form.
    numbering: Option<usize>,
    /// Default cells from the settings, by index of the column.
    defaults: Vec<Option<DefaultCell>>,
    /// Numbers of the lines that end inside a cell, computed when a place is first asked for.
    broken_lines: OnceLock<Vec<usize>>,
    columns: PhantomData<C>,
}

/// Code of an open quote that takes in the rest of the file.
const UNCLOSED: Code = Code::UnclosedQuote;

/// Result of the search for known columns, beside the columns found.
struct FoundColumns {
    /// Fields whose header names no known column.
    unknown: Vec<usize>,
    /// Whether the header of a column ends in a unit that is not accepted, by index of the column.
    wrong_unit: Vec<bool>,
}

/// Most bytes of a cell: thirty times what a spreadsheet takes (Microsoft, Excel specifications and limits: 32 767 characters).
const MOST_OF_A_CELL: usize = 1_000_000;

/// Most columns: more than a sheet has (the same source: 16 384).
const MOST_COLUMNS: usize = 20_000;

/// Field number of a column, and the unit in its header.
#[derive(Clone, Copy)]
struct InputField {
    index: usize,
    unit: Option<CellUnit>,
}

/// The cell for blank cells of a column, from the settings.
#[derive(Clone, Debug)]
pub struct DefaultCell {
    /// Column name as typed in the settings.
    pub header: String,
    /// Text of the cell.
    pub text: String,
    /// Unit in the column's name.
    pub unit: Option<CellUnit>,
    /// Place in the settings.
    pub place: Place,
}

/// Where a cell is: first byte and line of its record, and its field number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct At {
    byte: usize,
    /// Line that the record starts on, from 1.
    pub line: usize,
    field: usize,
}

impl At {
    /// The cell of another column in the same row.
    pub fn in_column<C: InputColumns>(self, table: &InputTable<C>, column: C) -> At {
        At { field: table.fields[column.index()].map_or(0, |field| field.index), ..self }
    }
}

/// Decimal marks that were seen: whether each was used, and the first cell where it could also separate thousands.
#[derive(Clone, Copy, Default)]
struct DecimalMarks {
    comma: bool,
    point: bool,
    comma_or_thousands: Option<At>,
    point_or_thousands: Option<At>,
}

impl DecimalMarks {
    fn and(self, later: Self) -> Self {
        DecimalMarks {
            comma: self.comma || later.comma,
            point: self.point || later.point,
            comma_or_thousands: self.comma_or_thousands.or(later.comma_or_thousands),
            point_or_thousands: self.point_or_thousands.or(later.point_or_thousands),
        }
    }
}

/// Number of required columns that the header names: used to tell a survey from a stock list.
pub fn required_columns_found<C: InputColumns>(source: &Source) -> usize {
    let (_, headers, _) = header_record(source, C::ALL);
    let known = |header: &String| match heading(header, C::ALL) {
        Heading::Known(index, _) => C::ALL[index].required(),
        _ => false,
    };
    headers.iter().filter(|header| known(header)).count()
}

/// The separator that gives the most known columns, the header's cells, and the byte where the header record ends.
fn header_record(source: &Source, columns: &[InputColumn]) -> (u8, Vec<String>, usize) {
    let read = |separator: u8| {
        let mut record = ByteRecord::new();
        let text = &source.text.as_bytes()[source.start..];
        let mut reader = ReaderBuilder::new().has_headers(false).flexible(true).delimiter(separator).from_reader(text);
        // Reading from memory does not fail, and with `flexible` a record may have any number of cells.
        let _ = reader.read_byte_record(&mut record);
        let headers: Vec<String> = record.iter().map(|h| unguarded(as_text(h).trim()).to_owned()).collect();
        (separator, headers, source.start + offset(reader.position().byte()))
    };
    if let Some(separator) = source.stated_separator {
        return read(separator);
    }
    let known = |headers: &[String]| headers.iter().filter(|h| heading(h, columns) != Heading::Unknown).count();
    // `max_by_key` returns the last of equal elements, so the comma is put last.
    let best = [b'\t', b';', b','].map(read).into_iter().max_by_key(|(_, headers, _)| (known(headers), headers.len()));
    best.unwrap_or((b',', Vec::new(), source.start))
}

/// A cell as text. The whole text is UTF-8 and cells are cut at ASCII characters, so this does not fail.
fn as_text(cell: &[u8]) -> &str {
    std::str::from_utf8(cell).unwrap_or_default()
}

/// Characters that may follow the guard, as `report::csv` writes it.
const GUARDED: [char; 12] = ['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠', '\''];

/// A cell without the formula guard: one apostrophe that keeps a spreadsheet from evaluating the cell.
fn unguarded(cell: &str) -> &str {
    // The first byte is checked first because this runs for every cell and hardly any has a guard.
    match cell.as_bytes().first() {
        Some(b'\'') if cell[1..].starts_with(GUARDED) => &cell[1..],
        _ => cell,
    }
}

impl<'s, C: InputColumns> InputTable<'s, C> {
    /// Reads the header. `None`, with an error reported, if it is empty, too large or has a faulty quote.
    pub fn new(source: &'s Source, findings: &mut Findings) -> Option<Self> {
        let header_start = source.skip_line_ends(source.start);
        if source.text[header_start..].trim().is_empty() {
            let error = Diagnostic::error(Code::EmptyFile, source.place(), "this file is empty");
            findings.report(error.cure("the first line names the columns"));
            return None;
        }
        let (separator, headers, rows_start) = header_record(source, C::ALL);
        let mut table = Self {
            source,
            separator,
            headers,
            header_start,
            header_line: 1 + source.line_ends(0, header_start),
            rows_start,
            fields: vec![None; C::ALL.len()],
            carried: Vec::new(),
            unnamed: Vec::new(),
            numbering: None,
            defaults: vec![None; C::ALL.len()],
            broken_lines: OnceLock::new(),
            columns: PhantomData,
        };
        for (field, cell) in source.cells(header_start, separator).enumerate() {
            // A place is found by scanning the record, so it is computed only for a faulty cell.
            if cell.quote == Quote::Sound {
                continue;
            }
            if let Some(problem) = table.quote_problem(cell, table.header_place(field)) {
                findings.report(problem);
                return None;
            }
        }
        if let Some(too_large) = table.header_too_large() {
            findings.report(too_large);
            return None;
        }
        table.match_headers(findings);
        Some(table)
    }

    /// The error for a header with too many columns or too long a name.
    fn header_too_large(&self) -> Option<Diagnostic> {
        let n = self.headers.len();
        if n > MOST_COLUMNS {
            let message = format!("the header has {n} columns; at most {MOST_COLUMNS} are read");
            let error = Diagnostic::error(Code::TooLarge, self.line_place(self.header_line), message);
            return Some(error.cure("delete the columns that the plan does not need"));
        }
        let field = self.headers.iter().position(|header| header.len() > MOST_OF_A_CELL)?;
        Some(row::too_long(self.headers[field].len(), self.header_place(field)))
    }

    /// Finds the known column of each header, and reports missing and misspelt columns.
    fn match_headers(&mut self, findings: &mut Findings) {
        let FoundColumns { unknown, wrong_unit } = self.find_columns(findings);
        for (index, column) in C::ALL.iter().enumerate() {
            if column.required() && self.fields[index].is_none() && !wrong_unit[index] {
                findings.report(self.missing_column(column, &unknown));
            }
        }
        for &index in &unknown {
            if let Some(warning) = self.misspelt_column(index) {
                findings.report(warning);
            }
        }
        let (unnamed, named): (Vec<usize>, Vec<usize>) = unknown.into_iter().partition(|i| self.headers[*i].is_empty());
        self.carried.extend(named);
        self.carried.sort_unstable();
        self.unnamed = unnamed;
    }

    fn find_columns(&mut self, findings: &mut Findings) -> FoundColumns {
        let mut unknown = Vec::new();
        let mut seen: HashSet<String> = HashSet::new();
        let mut wrong_unit = vec![false; C::ALL.len()];
        for (index, header) in self.headers.iter().enumerate() {
            let place = || self.header_place(index);
            let lower = header.to_lowercase();
            let found = heading(header, C::ALL);
            let repeated = match found {
                Heading::Known(column, _) => self.fields[column].map(|field| self.headers[field.index].as_str()),
                _ => (!lower.is_empty() && seen.contains(&lower)).then_some(header.as_str()),
            };
            if let Some(first) = repeated {
                let message = format!("the column {} means the same as the column {}", quoted(header), quoted(first));
                let error = Diagnostic::error(Code::DuplicateColumn, place(), message);
                findings.report(error.cure("keep one of them, or rename one"));
                continue;
            }
            seen.insert(lower);
            match found {
                Heading::Known(column, unit) => {
                    self.fields[column] = Some(InputField { index, unit });
                    if C::ALL[column].kind == CellKind::Numbering {
                        self.numbering = Some(index);
                    }
                    if matches!(C::ALL[column].kind, CellKind::Carried | CellKind::Numbering) {
                        self.carried.push(index);
                    }
                }
                Heading::UnknownUnit(column) => {
                    wrong_unit[column] = true;
                    let message = format!("the header {} ends in a unit that is not used here", quoted(header));
                    let cure = format!(
                        "rename the column {:?} and convert its cells, or write the unit in each cell",
                        C::ALL[column].name
                    );
                    findings.report(Diagnostic::error(Code::UnknownUnit, place(), message).cure(cure));
                }
                Heading::Unknown => unknown.push(index),
            }
        }
        FoundColumns { unknown, wrong_unit }
    }

    /// A warning for an unknown header that may mean an optional column which the file does not have.
    fn misspelt_column(&self, index: usize) -> Option<Diagnostic> {
        let header = &self.headers[index];
        let is_of_rules = C::FILE.starts_with("rules/");
        let mut absent =
            C::ALL.iter().zip(&self.fields).filter(|(column, field)| field.is_none() && !column.required());
        let meant = absent.find_map(|(column, _)| {
            let near = near(header, column.name) || (is_of_rules && is_cut_short(header, column.name));
            offered(header, C::FILE, column).or_else(|| near.then(|| column.name.to_owned()))
        })?;
        let instead = if is_of_rules { "it is not used" } else { "it is carried through, but not used" };
        let message = format!("the column {} is not recognised: {instead}", quoted(header));
        let warning = Diagnostic::warning(Code::UnknownColumn, self.header_place(index), message);
        Some(warning.cure(format!("if you mean {meant:?}, rename it")))
    }

    fn missing_column(&self, column: &InputColumn, unknown: &[usize]) -> Diagnostic {
        let place = self.line_place(self.header_line);
        let error = Diagnostic::error(Code::MissingColumn, place, format!("the column {:?} is missing", column.name));
        let headers = || unknown.iter().map(|index| self.headers[*index].as_str());
        let meant = |header: &'_ str| {
            let near = || near(header, column.name).then(|| column.name.to_owned());
            Some((quoted(header), offered(header, C::FILE, column).or_else(near)?))
        };
        error.cure(match headers().find_map(meant) {
            Some((header, meant)) => format!("if you mean the column {header}, rename it {meant:?}"),
            None => {
                let found: Vec<String> = self.headers.iter().take(30).map(|header| shortened(header)).collect();
                format!("add it; the columns found are: {}", found.join(", "))
            }
        })
    }

    fn header_place(&self, field: usize) -> Place {
        self.place(At { byte: self.header_start, line: self.header_line, field })
    }

    /// Place of a cell.
    pub fn place(&self, at: At) -> Place {
        let start = self.raw_cell(at).map_or(at.byte, |cell| cell.start);
        let name: Box<str> = match self.headers.get(at.field).filter(|header| !header.is_empty()) {
            Some(header) => shortened(header).into(),
            None => format!("column {}", at.field + 1).into(),
        };
        Place { row: self.row_of(at.line), name, ..self.source.place_after(at.byte, at.line, start) }
    }

    /// The row number of a record's first line, as a spreadsheet counts: line breaks inside a cell start no new row.
    fn row_of(&self, line: usize) -> usize {
        let breaks = self.broken_lines.get_or_init(|| self.source.broken_lines(self.separator));
        line - breaks.partition_point(|broken| *broken < line)
    }

    /// The cell at this field, or the last cell of a shorter record.
    fn raw_cell(&self, at: At) -> Option<RawCell> {
        self.source.cells(at.byte, self.separator).take(at.field + 1).last()
    }

    /// The error for a quote that is not closed where its cell ends.
    fn quote_problem(&self, cell: RawCell, place: Place) -> Option<Diagnostic> {
        let lines = match cell.quote {
            Quote::Sound => return None,
            Quote::Open => 1,
            Quote::TextAfter(end) => self.source.line_ends(cell.start, end),
        };
        let shown = quoted(&self.source.text[cell.start..cell.end]);
        let cure = "write \"\" for a quotation mark inside a quoted cell";
        Some(if lines > 0 {
            let message = format!("the quote that opens {shown} is not closed in its cell; nothing after it was read");
            Diagnostic::error(UNCLOSED, place, message).cure(format!("close it, or {cure}"))
        } else {
            Diagnostic::error(Code::StrayQuote, place, format!("text follows the closing quote of {shown}")).cure(cure)
        })
    }

    /// Place of a line as a whole.
    pub fn line_place(&self, line: usize) -> Place {
        Place { line, row: self.row_of(line), ..self.source.place() }
    }

    /// A row as messages name it: `row 7`.
    pub fn line_named(&self, line: usize) -> String {
        format!("row {}", self.row_of(line))
    }

    /// Path of the file as the user named it.
    pub fn file(&self) -> &str {
        &self.source.name
    }

    /// Whether the file has the column.
    pub fn has(&self, column: C) -> bool {
        self.fields[column.index()].is_some()
    }

    /// The header of a column as typed, or the column's own name if the file does not have it.
    pub fn header(&self, column: C) -> &str {
        self.fields[column.index()].map_or(column.column().name, |field| self.headers[field.index].as_str())
    }

    /// Whether blank cells of the column have a default.
    pub fn has_default(&self, column: C) -> bool {
        self.defaults[column.index()].is_some()
    }

    /// Headers of the carried columns.
    pub fn carried_headers(&self) -> Vec<String> {
        self.carried.iter().map(|index| self.headers[*index].clone()).collect()
    }

    /// Sets the default for blank cells of a column.
    pub fn set_default(&mut self, column: usize, default: DefaultCell) {
        self.defaults[column] = Some(default);
    }

    /// Reads the default cells once, as a row of their own, so that their faults are reported once and not for each row.
    pub fn only_defaults<T>(&self, findings: &mut Findings, read: impl FnOnce(&mut TableRow<C>) -> T) -> T {
        let (record, marks) = (ByteRecord::new(), Cell::default());
        let mut row =
            TableRow { table: self, record: &record, marks: &marks, byte: self.rows_start, line: 0, found: Vec::new() };
        let value = read(&mut row);
        for diagnostic in row.found.into_iter().filter(|diagnostic| diagnostic.place.file != self.source.name) {
            findings.report(diagnostic);
        }
        value
    }
}

/// True if what was typed is the first words of a name (`life` of `life_years`).
fn is_cut_short(typed: &str, name: &str) -> bool {
    let rest = name.strip_prefix(&typed.trim().to_lowercase().replace([' ', '-'], "_"));
    typed.trim().len() >= 4 && rest.is_some_and(|rest| rest.starts_with('_'))
}

/// Whether one name is likely a misspelling of the other.
fn near(typed: &str, name: &str) -> bool {
    if typed.chars().nth(LONGEST_NAME).is_some() {
        return false;
    }
    let typed = typed.to_lowercase();
    typed.len() >= 4 && strsim::osa_distance(&typed, &name.to_lowercase()) <= (name.len() / 5).max(1)
}
