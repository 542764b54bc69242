//! Computes the size that a workbook would have when it is read, so that one built to exhaust the memory is refused before it is
//! read.
//!
//! One cell may stand for many (`table:number-columns-repeated`, the same for rows), one space for many (`text:c`), and a list of
//! texts may claim any length (`uniqueCount`). Ordinary files use all of these: they repeat filled cells several times over, and
//! empty ones to the edges of the sheet. Sources: OASIS ODF 1.3 part 3, 19.675 and 19.677 (repeats), 6.1.3 (spaces);
//! ECMA-376-1:2016, 18.4.9 (shared strings).

use std::io::{BufReader, Cursor, Read};

use quick_xml::Reader;
use quick_xml::events::{BytesEnd, BytesStart, Event};
use zip::ZipArchive;

/// Most bytes that are unpacked.
pub(super) const MOST_UNPACKED: u64 = 500_000_000;
/// Most cell positions of a sheet, from its first cell to its last.
pub(super) const MOST_CELLS: u64 = 50_000_000;
/// Cells up to this number are allowed, however few are written out and repeated.
const FREE_CELLS: u64 = 1_000_000;
/// Above `FREE_CELLS`, this many cells are allowed for each one written out.
const CELLS_FOR_ONE: u64 = 50;
/// Most text of all cells of a sheet, in bytes; a repeated cell counts each time.
pub(super) const MOST_TEXT: u64 = 300_000_000;

/// A zip archive in memory.
type Archive<'b> = ZipArchive<Cursor<&'b [u8]>>;

/// The reason why a workbook would become too large, if it would.
pub(super) fn swells(archive: &mut Archive, is_ods: bool) -> Result<Option<String>, String> {
    if is_ods { of_open_document(archive) } else { of_shared_strings(archive) }
}

/// Reason to refuse a list of shared texts that claims more texts than its bytes could hold: the reader reserves memory for the
/// claimed number before it reads them.
fn of_shared_strings(archive: &mut Archive) -> Result<Option<String>, String> {
    let names = archive.file_names().filter_map(|name| Some(name.ok()?.into_owned()));
    let lists: Vec<String> = names.filter(|name| name.to_lowercase().ends_with("sharedstrings.xml")).collect();
    for name in lists {
        let part = archive.by_name(&name).map_err(|error| error.to_string())?;
        let most = part.size() / SHORTEST_TEXT + 1;
        let mut xml = Reader::from_reader(BufReader::new(part.take(MOST_UNPACKED)));
        let mut buffer = Vec::new();
        loop {
            buffer.clear();
            match xml.read_event_into(&mut buffer).map_err(|error| error.to_string())? {
                Event::Start(tag) | Event::Empty(tag) if tag.local_name().as_ref() == "sst" => {
                    let claimed = attribute(&tag, "uniqueCount").and_then(|count| count.trim().parse::<u64>().ok());
                    if let Some(claimed) = claimed.filter(|claimed| *claimed > most) {
                        return Ok(Some(format!("it claims {claimed} different texts, more than it can hold")));
                    }
                    break;
                }
                Event::Eof => break,
                _ => {}
            }
        }
    }
    Ok(None)
}

/// Bytes of the shortest text, `<si/>`.
const SHORTEST_TEXT: u64 = 5;

/// Size of a sheet with all repeats.
#[derive(Default)]
struct Swelling {
    /// Number of cells written out, without repeats.
    written: u64,
    written_filled: u64,
    /// Number of filled cells with repeats, and the bytes of their texts.
    filled: u64,
    text: u64,
    /// Number of rows from the first filled one to the last, and their width in cells.
    rows: u64,
    width: u64,
    /// Blank rows since the last filled one.
    blank_rows: u64,
}

/// Size of the row that is being read.
#[derive(Default)]
struct SwellingRow {
    repeated: u64,
    filled: u64,
    text: u64,
    /// Number of cells so far, and the number up to the last filled one.
    at: u64,
    width: u64,
}

/// The cell that is being read: how often it is repeated, whether it is filled, and the bytes of its text.
#[derive(Default)]
struct SwellingCell {
    repeated: u64,
    filled: bool,
    text: u64,
}

impl Swelling {
    fn cell(&mut self, row: &mut SwellingRow, cell: &SwellingCell) {
        self.written += 1;
        row.at = row.at.saturating_add(cell.repeated);
        if cell.filled {
            self.written_filled += 1;
            row.filled = row.filled.saturating_add(cell.repeated);
            row.text = row.text.saturating_add(cell.text.saturating_mul(cell.repeated));
            row.width = row.at;
        }
    }

    fn row(&mut self, row: &SwellingRow) {
        if row.filled == 0 {
            self.blank_rows = self.blank_rows.saturating_add(if self.rows > 0 { row.repeated } else { 0 });
            return;
        }
        self.rows = self.rows.saturating_add(std::mem::take(&mut self.blank_rows)).saturating_add(row.repeated);
        self.width = self.width.max(row.width);
        self.filled = self.filled.saturating_add(row.filled.saturating_mul(row.repeated));
        self.text = self.text.saturating_add(row.text.saturating_mul(row.repeated));
    }

    fn too_much(&self) -> Option<String> {
        let allowed = |written: u64| written.saturating_mul(CELLS_FOR_ONE).clamp(FREE_CELLS, MOST_CELLS);
        let area = self.rows.saturating_mul(self.width);
        if self.filled > allowed(self.written_filled) {
            return Some(format!("{} cells repeat into {}", self.written_filled, self.filled));
        }
        if self.text > MOST_TEXT {
            return Some(format!("its text would fill {} MB", self.text / 1_000_000));
        }
        (area > allowed(self.written))
            .then(|| format!("its cells are too far apart: {} rows of {} columns", self.rows, self.width))
    }
}

fn of_open_document(archive: &mut Archive) -> Result<Option<String>, String> {
    let part = archive.by_name("content.xml").map_err(|error| error.to_string())?;
    let mut xml = Reader::from_reader(BufReader::new(part.take(MOST_UNPACKED)));
    let mut buffer = Vec::new();
    let mut table = OpenTable::default();
    let mut open = 0_u64;
    loop {
        buffer.clear();
        match xml.read_event_into(&mut buffer).map_err(|error| error.to_string())? {
            Event::Start(tag) => {
                open += 1;
                table.begin(&tag, false);
            }
            Event::Empty(tag) => table.begin(&tag, true),
            Event::Text(text) if !text.is_empty() => table.text(text.len() as u64),
            Event::End(tag) => {
                open = open.saturating_sub(1);
                if let Some(too_much) = table.end(&tag) {
                    return Ok(Some(too_much));
                }
            }
            // What reads the sheets waits for the end of each for ever.
            Event::Eof if open > 0 => return Err("content.xml is cut off".to_owned()),
            Event::Eof => return Ok(table.sheet.too_much()),
            _ => {}
        }
    }
}

/// The table of an OpenDocument file that is being read, with its open row and cell.
#[derive(Default)]
struct OpenTable {
    sheet: Swelling,
    row: SwellingRow,
    cell: Option<SwellingCell>,
}

impl OpenTable {
    /// Takes up an element that begins, or begins and ends at once.
    fn begin(&mut self, tag: &BytesStart, is_empty: bool) {
        match tag.name().0 {
            "table:table" => self.sheet = Swelling::default(),
            "table:table-row" => {
                let repeated = number(tag, "table:number-rows-repeated");
                self.row = SwellingRow { repeated, ..SwellingRow::default() };
                if is_empty {
                    self.sheet.row(&self.row);
                }
            }
            "table:table-cell" | "table:covered-table-cell" => {
                let begun = begun(tag);
                if is_empty {
                    self.sheet.cell(&mut self.row, &begun);
                } else {
                    self.cell = Some(begun);
                }
            }
            "text:s" => self.text(number(tag, "text:c")),
            _ => {}
        }
    }

    /// Adds text of a length to the open cell.
    fn text(&mut self, length: u64) {
        if let Some(cell) = &mut self.cell {
            cell.filled = true;
            cell.text = cell.text.saturating_add(length);
        }
    }

    /// Takes up the end of an element; what is too much in a table that ends.
    fn end(&mut self, tag: &BytesEnd) -> Option<String> {
        match tag.name().0 {
            "table:table-cell" | "table:covered-table-cell" => {
                if let Some(cell) = self.cell.take() {
                    self.sheet.cell(&mut self.row, &cell);
                }
            }
            "table:table-row" => self.sheet.row(&self.row),
            "table:table" => return self.sheet.too_much(),
            _ => {}
        }
        None
    }
}

/// A cell as its attributes give it.
fn begun(tag: &BytesStart) -> SwellingCell {
    let mut cell = SwellingCell { repeated: 1, filled: false, text: 0 };
    for attribute in tag.attributes().flatten() {
        match attribute.key.0 {
            "table:number-columns-repeated" => cell.repeated = parsed(&attribute.value),
            "office:value-type" | "table:formula" | "office:value" => cell.filled = true,
            "office:string-value" => {
                cell.filled = true;
                cell.text = cell.text.saturating_add(attribute.value.len() as u64);
            }
            _ => {}
        }
    }
    cell
}

fn number(tag: &BytesStart, name: &str) -> u64 {
    let found = tag.attributes().flatten().find(|attribute| attribute.key.0 == name);
    found.map_or(1, |attribute| parsed(&attribute.value))
}

/// A count; an unreadable one counts as 1 here and is refused when the sheet is read.
fn parsed(value: &str) -> u64 {
    value.trim().parse().unwrap_or(1)
}

/// Value of an attribute of a tag.
pub(super) fn attribute(tag: &BytesStart, name: &str) -> Option<String> {
    let found = tag.attributes().flatten().find(|attribute| attribute.key.0 == name)?;
    Some(found.normalized_value(quick_xml::XmlVersion::Explicit1_0).ok()?.into_owned())
}
