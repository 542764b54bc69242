//! A CSV file as a table of known columns, and its rows one after the other.
//!
//! The csv crate splits records; places are counted by [`Source`], since the crate's own line numbers are one too small
//! in files with CRLF and after blank lines.

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

/// A file whose header was understood.
pub struct InputTable<'s, C: InputColumns> {
    source: &'s Source,
    separator: u8,
    /// As typed, without a formula guard.
    pub headers: Vec<String>,
    header_start: usize,
    header_line: usize,
    rows_start: usize,
    /// By index of the column.
    fields: Vec<Option<InputField>>,
    /// Fields to be passed on.
    carried: Vec<usize>,
    /// Fields without a header.
    unnamed: Vec<usize>,
    /// The field that numbers the lines of a form.
    numbering: Option<usize>,
    /// Cells to take where a column is blank or absent, by index of the column.
    defaults: Vec<Option<DefaultCell>>,
    /// Lines that end inside a cell, worked out when a row is first named.
    broken_lines: OnceLock<Vec<usize>>,
    columns: PhantomData<C>,
}

/// The code of a quote that swallows what follows.
const UNCLOSED: Code = Code::UnclosedQuote;

/// What the search for the known columns leaves over.
struct FoundColumns {
    /// Fields whose header names no known column.
    unknown: Vec<usize>,
    /// By index of the column: its header ends in a unit that is not used here.
    wrong_unit: Vec<bool>,
}

/// Bytes of a cell at most: thirty times what a spreadsheet takes (Microsoft, Excel specifications and limits: 32 767 characters).
const MOST_OF_A_CELL: usize = 1_000_000;

/// Columns at most: more than a sheet has (the same source: 16 384).
const MOST_COLUMNS: usize = 20_000;

/// Where a column stands.
#[derive(Clone, Copy)]
struct InputField {
    index: usize,
    unit: Option<CellUnit>,
}

/// The cell of a blank column, from the settings.
#[derive(Clone, Debug)]
pub struct DefaultCell {
    /// Column as typed in the settings.
    pub header: String,
    /// What would be typed in the cell.
    pub text: String,
    /// The unit the column's name says.
    pub unit: Option<CellUnit>,
    /// Where in the settings.
    pub place: Place,
}

/// Where a cell lies: the record's first byte, its line, and the number of the cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct At {
    byte: usize,
    /// 1-based line the record starts on.
    pub line: usize,
    field: usize,
}

impl At {
    /// The cell of another column in the same row.
    pub fn in_column<C: InputColumns>(self, table: &InputTable<C>, column: C) -> At {
        At { field: table.fields[column.index()].map_or(0, |field| field.index), ..self }
    }
}

/// First uses of each decimal mark.
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

/// How many required columns of a set a file's header names: tells a survey from a stock list.
pub fn required_columns_found<C: InputColumns>(source: &Source) -> usize {
    let (_, headers, _) = header_record(source, C::ALL);
    let known = |header: &String| match heading(header, C::ALL) {
        Heading::Known(index, _) => C::ALL[index].required(),
        _ => false,
    };
    headers.iter().filter(|header| known(header)).count()
}

/// The separator that makes most sense of the header, the header's cells, and the byte its record ends at.
fn header_record(source: &Source, columns: &[InputColumn]) -> (u8, Vec<String>, usize) {
    let read = |separator: u8| {
        let mut record = ByteRecord::new();
        let text = &source.text.as_bytes()[source.start..];
        let mut reader = ReaderBuilder::new().has_headers(false).flexible(true).delimiter(separator).from_reader(text);
        // Reading from memory does not fail; a record of any shape is taken.
        let _ = reader.read_byte_record(&mut record);
        let headers: Vec<String> = record.iter().map(|h| unguarded(as_text(h).trim()).to_owned()).collect();
        (separator, headers, source.start + offset(reader.position().byte()))
    };
    if let Some(separator) = source.stated_separator {
        return read(separator);
    }
    let known = |headers: &[String]| headers.iter().filter(|h| heading(h, columns) != Heading::Unknown).count();
    // The last of equals is taken, so the comma comes last.
    let best = [b'\t', b';', b','].map(read).into_iter().max_by_key(|(_, headers, _)| (known(headers), headers.len()));
    best.unwrap_or((b',', Vec::new(), source.start))
}

/// Cells are slices of text that was checked as a whole, cut at ASCII characters.
fn as_text(cell: &[u8]) -> &str {
    std::str::from_utf8(cell).unwrap_or_default()
}

/// What may stand after the guard, as `report::csv` writes it.
const GUARDED: [char; 12] = ['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠', '\''];

/// A cell without the one apostrophe that keeps a spreadsheet from running it.
fn unguarded(cell: &str) -> &str {
    // Looked at as a byte first: this is asked of every cell, and hardly any has one.
    match cell.as_bytes().first() {
        Some(b'\'') if cell[1..].starts_with(GUARDED) => &cell[1..],
        _ => cell,
    }
}

impl<'s, C: InputColumns> InputTable<'s, C> {
    /// Reads the header; `None` where there is none.
    pub fn new(source: &'s Source, findings: &mut Findings) -> Option<Self> {
        let header_start = source.skip_line_ends(source.start);
        if source.text[header_start..].trim().is_empty() {
            let error = Diagnostic::error(Code::EmptyFile, source.place(), "this file is empty");
            findings.report(error.help("the first line names the columns"));
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
            // Where a cell lies is counted from the first on: only for one that has a fault.
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

    /// More columns, or a longer name of one, than anybody means.
    fn header_too_large(&self) -> Option<Diagnostic> {
        let n = self.headers.len();
        if n > MOST_COLUMNS {
            let message = format!("the header has {n} columns; at most {MOST_COLUMNS} are read");
            let error = Diagnostic::error(Code::TooLarge, self.line_place(self.header_line), message);
            return Some(error.help("delete the columns that the plan does not need"));
        }
        let field = self.headers.iter().position(|header| header.len() > MOST_OF_A_CELL)?;
        Some(row::too_long(self.headers[field].len(), self.header_place(field)))
    }

    /// Finds the known column of each header, and reports what is wrong with the header.
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
                findings.report(error.help("keep one of them, or rename one"));
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
                    let help = format!(
                        "rename the column {:?} and convert its cells, or write the unit in each cell",
                        C::ALL[column].name
                    );
                    findings.report(Diagnostic::error(Code::UnknownUnit, place(), message).help(help));
                }
                Heading::Unknown => unknown.push(index),
            }
        }
        FoundColumns { unknown, wrong_unit }
    }

    /// A header that is not known, if it is close to the name of a column that the file does not have.
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
        Some(warning.help(format!("if you mean {meant:?}, rename it")))
    }

    fn missing_column(&self, column: &InputColumn, unknown: &[usize]) -> Diagnostic {
        let place = self.line_place(self.header_line);
        let error = Diagnostic::error(Code::MissingColumn, place, format!("the column {:?} is missing", column.name));
        let headers = || unknown.iter().map(|index| self.headers[*index].as_str());
        let meant = |header: &'_ str| {
            let near = || near(header, column.name).then(|| column.name.to_owned());
            Some((quoted(header), offered(header, C::FILE, column).or_else(near)?))
        };
        error.help(match headers().find_map(meant) {
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

    /// The place of a cell.
    pub fn place(&self, at: At) -> Place {
        let start = self.raw_cell(at).map_or(at.byte, |cell| cell.start);
        let name: Box<str> = match self.headers.get(at.field).filter(|header| !header.is_empty()) {
            Some(header) => shortened(header).into(),
            None => format!("column {}", at.field + 1).into(),
        };
        Place { row: self.row_of(at.line), name, ..self.source.place_after(at.byte, at.line, start) }
    }

    /// The row of a line that a record starts on, as a spreadsheet counts: line breaks inside a cell start no row.
    fn row_of(&self, line: usize) -> usize {
        let breaks = self.broken_lines.get_or_init(|| self.source.broken_lines(self.separator));
        line - breaks.partition_point(|broken| *broken < line)
    }

    /// The cell there, or the last of a shorter row.
    fn raw_cell(&self, at: At) -> Option<RawCell> {
        self.source.cells(at.byte, self.separator).take(at.field + 1).last()
    }

    /// A quote that is not closed where its cell ends.
    fn quote_problem(&self, cell: RawCell, place: Place) -> Option<Diagnostic> {
        let lines = match cell.quote {
            Quote::Sound => return None,
            Quote::Open => 1,
            Quote::TextAfter(end) => self.source.line_ends(cell.start, end),
        };
        let shown = quoted(&self.source.text[cell.start..cell.end]);
        let help = "write \"\" for a quotation mark inside a quoted cell";
        Some(if lines > 0 {
            let message = format!("the quote that opens {shown} is not closed in its cell; nothing after it was read");
            Diagnostic::error(UNCLOSED, place, message).help(format!("close it, or {help}"))
        } else {
            Diagnostic::error(Code::StrayQuote, place, format!("text follows the closing quote of {shown}")).help(help)
        })
    }

    /// The place of a line as a whole.
    pub fn line_place(&self, line: usize) -> Place {
        Place { line, row: self.row_of(line), ..self.source.place() }
    }

    /// A line as a message names it: `row 7`.
    pub fn line_named(&self, line: usize) -> String {
        format!("row {}", self.row_of(line))
    }

    /// The file as the user named it.
    pub fn file(&self) -> &str {
        &self.source.name
    }

    /// True if the file has the column.
    pub fn has(&self, column: C) -> bool {
        self.fields[column.index()].is_some()
    }

    /// The header of a column as typed, or its own name.
    pub fn header(&self, column: C) -> &str {
        self.fields[column.index()].map_or(column.column().name, |field| self.headers[field.index].as_str())
    }

    /// True if a blank cell of the column has a default.
    pub fn has_default(&self, column: C) -> bool {
        self.defaults[column.index()].is_some()
    }

    /// Headers of the columns passed on unread.
    pub fn carried_headers(&self) -> Vec<String> {
        self.carried.iter().map(|index| self.headers[*index].clone()).collect()
    }

    /// With a cell to take where a column is blank or absent.
    pub fn set_default(&mut self, column: usize, default: DefaultCell) {
        self.defaults[column] = Some(default);
    }

    /// What the default cells say, without any row: to find what is wrong with them once.
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

/// True if one name is likely a slip for the other.
fn near(typed: &str, name: &str) -> bool {
    if typed.chars().nth(LONGEST_NAME).is_some() {
        return false;
    }
    let typed = typed.to_lowercase();
    typed.len() >= 4 && strsim::osa_distance(&typed, &name.to_lowercase()) <= (name.len() / 5).max(1)
}
