//! Reads all cells of a form as text, whatever its columns are, so that forms can be compared and nothing written in them
//! is lost.

use std::io::Cursor;

pub use super::workbook::is_workbook;
use super::workbook::{self, SheetCells};
use crate::diagnostics::Diagnostic;

/// One sheet of a form. A text file counts as one sheet with an empty name.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Grid {
    /// Its name.
    pub name: String,
    /// Its rows: cells from the first column on, trimmed.
    pub rows: Vec<Vec<String>>,
}

/// The visible sheets of a form, and a last sheet that lists its cell notes and pictures.
///
/// # Errors
/// If the name ends like that of a workbook but the file cannot be opened as one.
pub fn grids(path: &str, bytes: &[u8]) -> Result<Vec<Grid>, Diagnostic> {
    if !workbook::is_workbook(path) {
        return Ok(vec![Grid { name: String::new(), rows: of_text(bytes) }]);
    }
    let mut book = workbook::Workbook::open(path, bytes)?;
    let mut grids = Vec::new();
    for name in book.sheets() {
        let cells = book.cells(&name)?;
        grids.push(Grid { name, rows: of_cells(cells) });
    }
    grids.extend(Some(beside_the_cells(bytes)).filter(|grid| !grid.rows.is_empty()));
    Ok(grids)
}

fn of_cells(cells: SheetCells) -> Vec<Vec<String>> {
    let mut rows: Vec<Vec<String>> = Vec::new();
    for (row, column, text) in cells.texts() {
        let (row, column) = (row as usize, column as usize);
        rows.resize_with(rows.len().max(row + 1), Vec::new);
        let cells = &mut rows[row];
        cells.resize_with(cells.len().max(column + 1), String::new);
        cells[column] = text.trim().to_owned();
    }
    rows
}

/// Reads a text file; the separator is the one that occurs most often in its first line.
fn of_text(bytes: &[u8]) -> Vec<Vec<String>> {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let first = bytes.split(|byte| *byte == b'\n').next().unwrap_or_default();
    let separator = b",;\t".iter().copied().max_by_key(|separator| first.iter().filter(|b| *b == separator).count());
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator.unwrap_or(b','))
        .from_reader(bytes);
    let text = |cell: &[u8]| String::from_utf8_lossy(cell).trim().to_owned();
    reader.byte_records().flatten().map(|record| record.iter().map(text).collect()).collect()
}

/// Lists notes and pictures by name, size and checksum: they are no cells, but somebody put them there. Source of the
/// names: ECMA-376-1:2016, 12.3 and 12.5.
fn beside_the_cells(bytes: &[u8]) -> Grid {
    const KINDS: [&str; 4] = ["xl/comments", "xl/threadedComments", "xl/media", "Pictures/"];
    let mut grid = Grid { name: "notes and pictures".to_owned(), rows: Vec::new() };
    let Ok(mut archive) = zip::ZipArchive::new(Cursor::new(bytes)) else { return grid };
    for index in 0..archive.len() {
        let Ok(file) = archive.by_index_raw(index) else { continue };
        let name = String::from_utf8_lossy(file.name_raw()).into_owned();
        if KINDS.iter().any(|kind| name.starts_with(kind)) {
            grid.rows.push(vec![name, file.size().to_string(), file.crc32().to_string()]);
        }
    }
    grid
}

/// All parts of a workbook by name, each with size and checksum; for parts that hold cells both are 0. Source of the names:
/// ECMA-376-1:2016, 12.3.
pub fn parts_beside_cells(bytes: &[u8]) -> Vec<(String, u64, u32)> {
    let Ok(mut archive) = zip::ZipArchive::new(Cursor::new(bytes)) else { return Vec::new() };
    let mut parts = Vec::new();
    for index in 0..archive.len() {
        let Ok(file) = archive.by_index_raw(index) else { continue };
        let name = String::from_utf8_lossy(file.name_raw()).into_owned();
        let of_cells = name.starts_with("xl/worksheets/") || name == "xl/sharedStrings.xml";
        let (size, checksum) = if of_cells { (0, 0) } else { (file.size(), file.crc32()) };
        parts.push((name, size, checksum));
    }
    parts.sort();
    parts
}
