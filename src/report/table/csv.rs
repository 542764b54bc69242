//! CSV by RFC 4180: UTF-8 without a byte order mark, separated by commas, lines ended by LF.
//!
//! A cell that a spreadsheet would run as a formula gets a leading `'`, which our reader removes.

use crate::report::left_out::first;
use std::borrow::Cow;

use super::{Cell, Column};

/// First characters of a cell that a spreadsheet may run, and the guard itself. Source: OWASP, CSV Injection (equals,
/// plus, minus, at, tab, carriage return, line feed, and the first four at full width).
const GUARDED: [char; 12] = ['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠', '\''];

/// A cell with a leading `'` if a spreadsheet might run it otherwise. A negative number gets none.
pub fn guarded(cell: &str) -> Cow<'_, str> {
    // Nearly every cell takes this fast path.
    if cell.bytes().next().is_none_or(|first| first.is_ascii_alphanumeric()) {
        return cell.into();
    }
    let digits = |rest: &str| rest.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    let is_number = cell.strip_prefix('-').is_some_and(digits);
    if cell.starts_with(GUARDED) && !is_number { format!("'{cell}").into() } else { cell.into() }
}

/// The cell without its guard: what [`guarded`] was given.
pub fn unguarded(cell: &str) -> &str {
    cell.strip_prefix('\'').filter(|rest| rest.starts_with(GUARDED)).unwrap_or(cell)
}

/// A CSV file as bytes: the header, then input rows that were left out (the row is in the second cell), then the rows of the
/// table.
pub fn file<'a, R: IntoIterator<Item = Cell<'a>>>(
    columns: &[Column],
    left_out: &[String],
    rows: impl IntoIterator<Item = R>,
) -> Vec<u8> {
    let mut bytes = head(columns, left_out);
    bytes.append(&mut lines(columns, rows));
    bytes
}

/// The header of a file, and the input rows that were left out.
pub fn head(columns: &[Column], left_out: &[String]) -> Vec<u8> {
    let mut writer = Writer::new();
    writer.line(columns.iter().map(|column| Cow::Borrowed(column.name)));
    for row in first(left_out) {
        let cells = [Cow::Borrowed("left out"), row].into_iter().chain(std::iter::repeat("".into()));
        writer.line(cells.take(columns.len()));
    }
    writer.bytes()
}

/// Rows as lines, without a header.
pub fn lines<'a, R: IntoIterator<Item = Cell<'a>>>(columns: &[Column], rows: impl IntoIterator<Item = R>) -> Vec<u8> {
    let mut writer = Writer::new();
    for row in rows {
        for (column, cell) in columns.iter().zip(row) {
            writer.cell(&column.shown(&cell, true));
        }
        writer.end();
    }
    writer.bytes()
}

/// Writes cells, each guarded.
struct Writer(::csv::Writer<Vec<u8>>);

impl Writer {
    fn new() -> Self {
        Writer(::csv::WriterBuilder::new().from_writer(Vec::new()))
    }

    fn cell(&mut self, cell: &str) {
        self.0.write_field(guarded(cell).as_bytes()).expect("memory takes every cell");
    }

    fn end(&mut self) {
        self.0.write_record(None::<&[u8]>).expect("memory takes every record");
    }

    fn line<'c>(&mut self, cells: impl Iterator<Item = Cow<'c, str>>) {
        cells.for_each(|cell| self.cell(&cell));
        self.end();
    }

    fn bytes(self) -> Vec<u8> {
        self.0.into_inner().expect("memory takes every record")
    }
}

/// A CSV file of text cells.
pub fn texts(header: &[impl AsRef<str>], rows: impl IntoIterator<Item = Vec<String>>) -> Vec<u8> {
    let columns: Vec<Column> = header.iter().map(|name| Column::text(name.as_ref())).collect();
    file(&columns, &[], rows.into_iter().map(|row| row.into_iter().map(Cell::from)))
}
