//! Reads the rows of a table in order, or parts of the file on all cores at once.

use std::cell::Cell;

use csv::{ByteRecord, ReaderBuilder};

use super::{At, DecimalMarks, InputTable, TableRow};
use crate::diagnostics::{Code, Diagnostic};
use crate::intake::cells::quoted;
use crate::intake::columns::InputColumns;
use crate::intake::findings::Findings;
use crate::system::threads::{at_once, cores};
use crate::units::offset;

impl<C: InputColumns> InputTable<'_, C> {
    /// Calls `read` for every row that is not blank. That includes rows that already have errors (too many or too few cells, a
    /// stray quote), whose other cells may still be read.
    pub fn each(&self, findings: &mut Findings, mut read: impl FnMut(&mut TableRow<C>)) {
        let walked = self.walk(&self.whole(), findings, &mut read);
        self.end(walked, findings);
    }

    /// As `each`, with parts of the file read on all cores. `read` collects the rows of a part in a value made by `new`; the
    /// values are returned in the order of the file.
    pub fn each_in_parts<T: Send>(
        &self,
        findings: &mut Findings,
        new: impl Fn() -> T + Sync,
        read: impl Fn(&mut T, &mut TableRow<C>) + Sync,
    ) -> Vec<T> {
        let skips = findings.skips_bad_rows();
        let parts = at_once(&self.parts(), |part| {
            let (mut made, mut found) = (new(), Findings::new(skips));
            let walked = self.walk(part, &mut found, &mut |row| read(&mut made, row));
            (made, found, walked)
        });
        let mut all = Walked::default();
        let made = parts.into_iter().map(|(made, found, walked)| {
            findings.and(found);
            all = all.and(walked);
            made
        });
        let made = made.collect();
        self.end(all, findings);
        made
    }

    fn whole(&self) -> FileShare {
        FileShare { from: self.rows_start, to: self.source.text.len(), line: 1, counted: 0 }
    }

    /// Parts of about equal length. Cuts are at line feeds, and only if no row has a quote: then a line feed always ends a
    /// record.
    fn parts(&self) -> Vec<FileShare> {
        let text = self.source.text.as_bytes();
        let n = cores().min((text.len() - self.rows_start) / LEAST_PART).max(1);
        if n == 1 || self.source.sheet().is_some() || text[self.rows_start..].contains(&b'"') {
            return vec![self.whole()];
        }
        let mut parts: Vec<FileShare> = Vec::new();
        let mut rest = self.whole();
        for left in (2..=n).rev() {
            let about = rest.from + (rest.to - rest.from) / left;
            let Some(feed) = text[about..].iter().position(|b| *b == b'\n') else { break };
            let cut = about + feed + 1;
            let line = rest.line + self.source.line_ends(rest.counted, cut);
            parts.push(FileShare { to: cut, ..rest });
            rest = FileShare { from: cut, counted: cut, line, ..rest };
        }
        parts.push(rest);
        parts
    }

    fn walk(&self, part: &FileShare, findings: &mut Findings, read: &mut impl FnMut(&mut TableRow<C>)) -> Walked {
        let text = self.source.text.as_bytes();
        let mut reader = ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(self.separator)
            .from_reader(&text[part.from..part.to]);
        let mut record = ByteRecord::new();
        let (mut counted, mut line) = (part.counted, part.line);
        let (mut n_rows, marks) = (0, Cell::default());
        while reader.read_byte_record(&mut record).unwrap_or(false) {
            let says = |(field, cell): (usize, &[u8])| Some(field) != self.numbering && !cell.trim_ascii().is_empty();
            if !record.iter().enumerate().any(says) {
                continue;
            }
            let from = part.from + record.position().map_or(0, |position| offset(position.byte()));
            let byte = self.source.skip_line_ends(from);
            let end = part.from + offset(reader.position().byte());
            line += self.source.line_ends(counted, byte);
            counted = byte;
            n_rows += 1;
            let mut row = TableRow { table: self, record: &record, marks: &marks, byte, line, found: Vec::new() };
            if text[byte..end].contains(&b'"')
                && let Some(open) = row.check_quotes()
            {
                // The end of the cell is unknown, so nothing after it can be read.
                findings.report(open);
                break;
            }
            if row.check_lengths() {
                row.check_width();
                row.check_unnamed();
                row.check_marks();
                read(&mut row);
            }
            if !row.found.is_empty() {
                findings.row(self.line_place(line), row.found);
            }
        }
        Walked { n_rows, marks: marks.get() }
    }

    /// Adds the diagnostics that need all rows: no rows, and ambiguous decimal marks.
    fn end(&self, Walked { n_rows, marks }: Walked, findings: &mut Findings) {
        if n_rows == 0 {
            let warning =
                Diagnostic::warning(Code::NoRows, self.source.place(), format!("there is no {} in it", C::ROW));
            findings.report(warning.cure("write one row under the header for each"));
        }
        self.check_marks(marks, findings);
    }

    /// Reports a number such as `1.234` in a file that also has `12,5`: its mark could separate thousands or decimals.
    fn check_marks(&self, marks: DecimalMarks, findings: &mut Findings) {
        let doubtful = |at: Option<At>, other: bool| at.filter(|_| other);
        for at in [doubtful(marks.comma_or_thousands, marks.point), doubtful(marks.point_or_thousands, marks.comma)] {
            let Some(at) = at else { continue };
            let cell = self.raw_cell(at).map_or("", |cell| &self.source.text[cell.start..cell.end]);
            let message = format!(
                "{} is not clear: its mark may be for thousands or decimals, as the file uses both",
                quoted(cell)
            );
            let error = Diagnostic::error(Code::AmbiguousNumber, self.place(at), message);
            findings.report(error.cure("use one decimal mark in the whole file, and no mark for thousands"));
        }
    }
}

/// A part of a file that holds whole records.
#[derive(Clone, Copy)]
struct FileShare {
    from: usize,
    to: usize,
    /// Line of the byte `counted`.
    line: usize,
    counted: usize,
}

/// Smallest part, in bytes: a smaller one is read in less time than a thread takes to start.
const LEAST_PART: usize = 1 << 16;

/// Counts collected while reading rows.
#[derive(Clone, Copy, Default)]
struct Walked {
    n_rows: usize,
    marks: DecimalMarks,
}

impl Walked {
    fn and(self, later: Self) -> Self {
        Walked { n_rows: self.n_rows + later.n_rows, marks: self.marks.and(later.marks) }
    }
}
