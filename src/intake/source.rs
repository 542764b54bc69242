//! Holds one input file as text, and finds the places of bytes in it.
//!
//! Lines and columns are counted from byte offsets. A line ends with LF, CRLF or a lone CR; columns count characters. This module
//! does not know the meaning of columns.

use super::cells::quoted;
use super::columns::FileColumns;
use super::findings::Findings;
use super::project::InputFile;
use super::workbook::{self, Mark, WorkbookSheet};
use crate::diagnostics::{Code, Diagnostic, Place};

/// An input file as UTF-8 text, without its byte-order mark.
pub struct Source {
    /// Its path as the user named it.
    pub name: String,
    /// The whole text.
    pub text: String,
    /// First byte of the table: after a `sep=` line, if there is one.
    pub start: usize,
    /// The separator that a `sep=` line states, or that of the text of a workbook sheet.
    pub stated_separator: Option<u8>,
    /// Whether some lines end with a lone CR.
    lone_returns: bool,
    /// The sheet that the text was read from, if the file is a workbook.
    sheet: Option<WorkbookSheet>,
}

impl Source {
    /// Reads a table from a text file, or from the matching sheet of a workbook.
    pub fn table(file: &InputFile, wanted: &FileColumns, findings: &mut Findings) -> Option<Source> {
        if !workbook::is_workbook(&file.name) {
            return Source::new(&file.path, &file.bytes, findings);
        }
        let mut sheet = WorkbookSheet::read(&file.path, &file.bytes, wanted, findings)?;
        let text = std::mem::take(&mut sheet.text);
        let (name, stated_separator) = (file.path.clone(), Some(workbook::SEPARATOR));
        Some(Source { name, text, start: 0, stated_separator, lone_returns: false, sheet: Some(sheet) })
    }

    /// Takes a file's bytes as text. Another encoding is an error, but what can be decoded is read on, so that further faults are
    /// reported in the same run. `None` if the file is not text.
    pub fn new(name: &str, bytes: &[u8], findings: &mut Findings) -> Option<Source> {
        if let Some(not_text) = not_text(name, bytes) {
            findings.report(not_text);
            return None;
        }
        let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
        let text = match std::str::from_utf8(bytes) {
            Ok(text) => text.to_owned(),
            Err(error) => {
                findings.report(not_utf8(name, bytes, error.valid_up_to()));
                String::from_utf8_lossy(bytes).into_owned()
            }
        };
        let (start, stated_separator) = separator_line(&text);
        let returns = text.bytes().filter(|b| *b == b'\r').count();
        let lone_returns = returns > 0 && returns != text.matches("\r\n").count();
        Some(Source { name: name.to_owned(), text, start, stated_separator, lone_returns, sheet: None })
    }

    /// Place of the file as a whole.
    pub fn place(&self) -> Place {
        self.sheet.as_ref().map_or_else(|| Place::file(self.name.as_str()), |sheet| sheet.place(&self.name))
    }

    /// The table as comma-separated text; text without a stated separator is returned as it is.
    pub fn as_csv(&self) -> String {
        let Some(separator) = self.stated_separator else { return self.text[self.start..].to_owned() };
        let text = &self.text.as_bytes()[self.start..];
        let mut reader =
            csv::ReaderBuilder::new().has_headers(false).flexible(true).delimiter(separator).from_reader(text);
        let mut writer = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
        for record in reader.byte_records().flatten() {
            // Writing to memory cannot fail.
            let _ = writer.write_byte_record(&record);
        }
        String::from_utf8_lossy(&writer.into_inner().unwrap_or_default()).into_owned()
    }

    /// Name of the sheet that the text was read from.
    pub fn sheet(&self) -> Option<&str> {
        self.sheet.as_ref().map(|sheet| sheet.name.as_str())
    }

    /// Mark of a workbook cell, if it has one; `line` from 1, `field` from 0.
    pub fn mark(&self, line: usize, field: usize) -> Option<Mark> {
        self.sheet.as_ref()?.mark(line, field)
    }

    /// Numbers of the lines that end inside a quoted cell.
    pub fn broken_lines(&self, separator: u8) -> Vec<usize> {
        let mut broken = Vec::new();
        if self.sheet.is_some() || !self.text.contains('"') {
            return broken;
        }
        let (mut byte, mut line) =
            (self.skip_line_ends(self.start), 1 + self.line_ends(0, self.skip_line_ends(self.start)));
        while byte < self.text.len() {
            let mut end = byte;
            for cell in self.cells(byte, separator) {
                let ends = self.line_ends(cell.start, cell.end);
                broken.extend(line..line + ends);
                line += ends;
                end = cell.end;
            }
            byte = self.skip_line_ends(end);
            line += self.line_ends(end, byte);
        }
        broken
    }

    /// Place of a byte.
    pub fn place_of(&self, byte: usize) -> Place {
        self.place_after(0, 1, byte)
    }

    /// Place of a byte, counted from an earlier byte that starts a line of known number.
    pub fn place_after(&self, line_start: usize, line: usize, byte: usize) -> Place {
        if let Some(sheet) = &self.sheet {
            let cells = self.cells(sheet.start_of(byte), workbook::SEPARATOR);
            let column = cells.take_while(|cell| cell.start <= byte).count();
            return Place { line: sheet.row_of(byte), column, ..self.place() };
        }
        let before = &self.text.as_bytes()[line_start..byte];
        let last_line =
            before.iter().rposition(|b| matches!(b, b'\n' | b'\r')).map_or(line_start, |i| line_start + i + 1);
        // Continuation bytes of UTF-8 are not counted, so this counts characters.
        let column = self.text.as_bytes()[last_line..byte].iter().filter(|b| **b & 0xC0 != 0x80).count() + 1;
        Place { line: line + self.line_ends(line_start, byte), column, ..self.place() }
    }

    /// Number of line ends between two bytes.
    pub fn line_ends(&self, from: usize, to: usize) -> usize {
        if let Some(sheet) = &self.sheet {
            return sheet.row_of(to) - sheet.row_of(from);
        }
        let bytes = &self.text.as_bytes()[from..to];
        let feeds = bytes.iter().filter(|b| **b == b'\n').count();
        if !self.lone_returns {
            return feeds;
        }
        let lone = |i: &usize| bytes[*i] == b'\r' && bytes.get(i + 1) != Some(&b'\n');
        feeds + (0..bytes.len()).filter(lone).count()
    }

    /// The first byte at or after this one that is not part of a line end.
    pub fn skip_line_ends(&self, from: usize) -> usize {
        let ends = self.text.as_bytes()[from..].iter().take_while(|b| matches!(b, b'\n' | b'\r')).count();
        from + ends
    }

    /// The cells of the record that starts at a byte.
    pub fn cells(&self, byte: usize, separator: u8) -> Cells<'_> {
        Cells { text: self.text.as_bytes(), next: Some(byte), separator }
    }
}

/// One cell of a record, as byte offsets in the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RawCell {
    /// Its first byte: the opening quote, if it has one.
    pub start: usize,
    /// The byte after its last byte.
    pub end: usize,
    /// Whether its quote is closed correctly.
    pub quote: Quote,
}

/// Whether a cell's opening quote is closed correctly.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quote {
    /// There is no opening quote, or it is closed where the cell ends.
    Sound,
    /// It is never closed.
    Open,
    /// Text follows the closing quote; the text starts at this byte.
    TextAfter(usize),
}

/// Iterates over the cells of one record. A separator or line end inside quotes does not end a cell.
pub struct Cells<'s> {
    text: &'s [u8],
    next: Option<usize>,
    separator: u8,
}

impl Iterator for Cells<'_> {
    type Item = RawCell;

    fn next(&mut self) -> Option<RawCell> {
        let start = self.next?;
        let ends_cell = |b: u8| b == self.separator || b == b'\n' || b == b'\r';
        let mut at = start;
        let mut quote = Quote::Sound;
        if self.text.get(at) == Some(&b'"') {
            at += 1;
            loop {
                match (self.text.get(at), self.text.get(at + 1)) {
                    (None, _) => {
                        quote = Quote::Open;
                        break;
                    }
                    (Some(b'"'), Some(b'"')) => at += 2,
                    (Some(b'"'), _) => {
                        at += 1;
                        break;
                    }
                    _ => at += 1,
                }
            }
            if quote == Quote::Sound && self.text.get(at).is_some_and(|b| !ends_cell(*b)) {
                quote = Quote::TextAfter(at);
            }
        }
        let end = self.text[at..].iter().position(|b| ends_cell(*b)).map_or(self.text.len(), |i| at + i);
        self.next = (self.text.get(end) == Some(&self.separator)).then_some(end + 1);
        Some(RawCell { start, end, quote })
    }
}

/// The end of a `sep=;` line, which some spreadsheets write first, and the separator that it states.
fn separator_line(text: &str) -> (usize, Option<u8>) {
    let line = text.split(['\r', '\n']).next().unwrap_or_default();
    let plain = line.trim_matches('"').to_ascii_lowercase();
    match plain.strip_prefix("sep=").map(str::as_bytes) {
        Some([separator @ (b',' | b';' | b'\t')]) => (line.len(), Some(*separator)),
        _ => (0, None),
    }
}

/// The error for bytes that are not text, or that are UTF-16.
fn not_text(name: &str, bytes: &[u8]) -> Option<Diagnostic> {
    let start = &bytes[..bytes.len().min(1000)];
    let zeros = start.iter().filter(|b| **b == 0).count();
    let place = Place::file(name);
    if start.starts_with(b"\xFF\xFE") || start.starts_with(b"\xFE\xFF") || zeros * 4 > start.len() {
        let error = Diagnostic::error(Code::Utf16, place, "this file is in UTF-16, not UTF-8");
        return Some(error.cure("save it as \"CSV UTF-8\""));
    }
    if start.starts_with(b"PK\x03\x04") || start.starts_with(b"\xD0\xCF\x11\xE0") {
        let error = Diagnostic::error(Code::NotText, place, "this file is a spreadsheet workbook, not text");
        return Some(error.cure("name it as one (.xlsx or .ods), or save the sheet as \"CSV UTF-8\""));
    }
    (zeros > 0)
        .then(|| Diagnostic::error(Code::NotText, place, "this file is not text").cure("save it as \"CSV UTF-8\""))
}

/// The error for text that is not UTF-8: the first wrong byte, and its cell as Latin-1 would decode it.
fn not_utf8(name: &str, bytes: &[u8], at: usize) -> Diagnostic {
    let before = &bytes[..at];
    let line_start = before.iter().rposition(|b| matches!(b, b'\n' | b'\r')).map_or(0, |i| i + 1);
    let returns = (0..line_start).filter(|i| bytes[*i] == b'\r' && bytes.get(i + 1) != Some(&b'\n')).count();
    let feeds = before.iter().filter(|b| **b == b'\n').count();
    let column = String::from_utf8_lossy(&before[line_start..]).chars().count() + 1;
    let bounds = |b: &u8| matches!(b, b',' | b';' | b'\t' | b'\n' | b'\r' | b'"');
    let from = before.iter().rposition(bounds).map_or(0, |i| i + 1);
    let to = bytes[at..].iter().position(bounds).map_or(bytes.len(), |i| at + i);
    let cell: String = bytes[from..to].iter().map(|b| char::from(*b)).collect();
    let place = Place { line: feeds + returns + 1, column, ..Place::file(name) };
    let message = format!("this file is not in UTF-8; here Latin-1 would read {}", quoted(&cell));
    Diagnostic::error(Code::NotUtf8, place, message).cure("save it as \"CSV UTF-8\"")
}
