//! Opens a workbook and reads the cells of one sheet, with limits on size so that no file can exhaust the memory.

use std::collections::{BTreeMap, HashSet};
use std::io::{Cursor, Read};

use calamine::{Data, DataRef, ExcelDateTime, Ods, Reader, SheetType, SheetVisible, Xlsx};
use quick_xml::events::{BytesStart, Event};
use zip::ZipArchive;

use super::bounds::{self, MOST_CELLS, MOST_TEXT, MOST_UNPACKED, attribute};
use super::spreadsheet::{CellValue, SpreadsheetCell};
use crate::diagnostics::{Code, Diagnostic, Place};
use crate::units::{short_index, truncated};

/// Most bytes of the text of a cell: 32 767 characters (Microsoft, Excel specifications and limits) of four bytes.
const MOST_OF_A_CELL: usize = 4 * 32_767;
/// Letters of what the library says of a damaged file that a message holds.
const LONGEST_FAULT: usize = 200;

/// An open workbook.
pub struct Workbook<'b> {
    path: &'b str,
    bytes: &'b [u8],
    book: Book<'b>,
}

enum Book<'b> {
    Xlsx(Box<Xlsx<Cursor<&'b [u8]>>>),
    Ods(Box<Ods<Cursor<&'b [u8]>>>),
}

/// Row and column, both from 0.
type CellAddress = (u32, u32);

/// The filled cells of a sheet, in order of row and column, and its merged ranges.
pub struct SheetCells {
    /// The cells.
    pub(super) cells: Vec<SpreadsheetCell>,
    /// First and last cell of each merged range.
    pub merged: Vec<(CellAddress, CellAddress)>,
}

impl<'b> Workbook<'b> {
    /// Opens a workbook from its bytes.
    ///
    /// # Errors
    /// If it is not a workbook, has a password, or would become too large when unpacked.
    pub fn open(path: &'b str, bytes: &'b [u8]) -> Result<Workbook<'b>, Diagnostic> {
        let error = |code, message: &str| Diagnostic::error(code, Place::file(path), message);
        if bytes.starts_with(b"\xD0\xCF\x11\xE0") {
            let message = "this workbook has a password, or is in the old .xls format";
            return Err(error(Code::NotAWorkbook, message).cure("save it as .xlsx or .ods without a password"));
        }
        let fault = |what: &dyn std::fmt::Display| {
            // The library quotes what it found, which may be the rest of the file.
            let what: String =
                what.to_string().lines().next().unwrap_or_default().chars().take(LONGEST_FAULT).collect();
            let message = format!("this file cannot be read as a workbook: {what}");
            error(Code::NotAWorkbook, &message)
                .cure("open it in the spreadsheet program and save it again as .xlsx or .ods")
        };
        if !bytes.starts_with(b"PK") {
            return Err(error(Code::NotAWorkbook, "this file is not a workbook, despite its extension")
                .cure("save it as .xlsx or .ods, or name it .csv if it is text"));
        }
        let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|e| fault(&e))?;
        let mut unpacked = 0_u64;
        for index in 0..archive.len() {
            unpacked = unpacked.saturating_add(archive.by_index_raw(index).map_err(|e| fault(&e))?.size());
        }
        if unpacked > MOST_UNPACKED {
            let message = format!("this workbook unpacks to {} MB, more than can be read", unpacked / 1_000_000);
            return Err(
                error(Code::WorkbookTooLarge, &message).cure("keep only the sheet to be read, or save it as CSV")
            );
        }
        let is_ods = archive.by_name("mimetype").is_ok();
        if let Some(swells) = bounds::swells(&mut archive, is_ods).map_err(|e| fault(&e))? {
            let message = format!("this workbook is much larger when it is read than on the disk: {swells}");
            return Err(error(Code::WorkbookTooLarge, &message)
                .cure("delete repeated cells beyond the table, or save the sheet as \"CSV UTF-8\""));
        }
        let book = if is_ods {
            Book::Ods(Box::new(Ods::new(Cursor::new(bytes)).map_err(|e| fault(&e))?))
        } else {
            Book::Xlsx(Box::new(Xlsx::new(Cursor::new(bytes)).map_err(|e| fault(&e))?))
        };
        Ok(Workbook { path, bytes, book })
    }

    /// Names of the visible worksheets, in order.
    pub fn sheets(&self) -> Vec<String> {
        let all = match &self.book {
            Book::Xlsx(book) => book.sheets_metadata(),
            Book::Ods(book) => book.sheets_metadata(),
        };
        let seen =
            |sheet: &&calamine::Sheet| sheet.typ == SheetType::WorkSheet && sheet.visible == SheetVisible::Visible;
        all.iter().filter(seen).map(|sheet| sheet.name.clone()).collect()
    }

    /// The filled cells of a sheet.
    ///
    /// # Errors
    /// If they cannot be read, or are too far apart.
    pub fn cells(&mut self, sheet: &str) -> Result<SheetCells, Diagnostic> {
        let (path, bytes) = (self.path, self.bytes);
        let place = || Place { file: path.to_owned(), sheet: Some(sheet.into()), ..Place::default() };
        let fault = |what: String| {
            Diagnostic::error(Code::NotAWorkbook, place(), format!("this sheet cannot be read: {what}"))
                .cure("open it in the spreadsheet program and save it again")
        };
        let read = match &mut self.book {
            Book::Xlsx(book) => of_xlsx(book, sheet),
            Book::Ods(book) => of_ods(book, bytes, sheet),
        };
        let mut read = read.map_err(fault)?;
        read.cells.sort_by_key(|cell| (cell.row, cell.column));
        let rows = read.cells.last().map_or(0, |cell| u64::from(cell.row) + 1);
        let width = read.cells.iter().map(|cell| u64::from(cell.column) + 1).max().unwrap_or(0);
        if rows.saturating_mul(width) > MOST_CELLS {
            let message = format!("its cells are too far apart: {rows} rows of {width} columns");
            return Err(Diagnostic::error(Code::WorkbookTooLarge, place(), message)
                .cure("delete the rows and columns beyond the table"));
        }
        if read.cells.windows(2).any(|two| (two[0].row, two[0].column) == (two[1].row, two[1].column)) {
            return Err(fault("two cells have the same address".to_owned()));
        }
        Ok(read)
    }
}

fn of_xlsx(book: &mut Xlsx<Cursor<&[u8]>>, sheet: &str) -> Result<SheetCells, String> {
    let mut cells = values_of_xlsx(book, sheet)?;
    cells.extend(not_calculated(book, sheet, &cells)?);
    let merged = book.merge_cells_by_sheet_name(sheet).map_err(|e| e.to_string())?;
    Ok(SheetCells { cells, merged: merged.iter().map(|range| (range.start, range.end)).collect() })
}

fn values_of_xlsx(book: &mut Xlsx<Cursor<&[u8]>>, sheet: &str) -> Result<Vec<SpreadsheetCell>, String> {
    let (mut cells, mut text) = (Vec::new(), 0_u64);
    let mut reader = book.worksheet_cells_reader(sheet).map_err(|e| e.to_string())?;
    let is_percentage: Vec<bool> = reader
        .styles()
        .iter()
        .map(|style| style.number_format.as_ref().is_some_and(|format| format.format_code.contains('%')))
        .collect();
    while let Some((cell, style)) = reader.next_cell_with_style_id().map_err(|e| e.to_string())? {
        let percentage = is_percentage.get(style).copied().unwrap_or(false);
        let (row, column) = cell.get_position();
        // Many cells may refer to one shared text, so its length is counted before it is copied.
        if let DataRef::SharedString(shared) = cell.get_value() {
            text += shared.len() as u64;
            if shared.len() > MOST_OF_A_CELL {
                let cell = super::address(row + 1, column + 1);
                return Err(format!("the text in {cell} has {} bytes, more than a cell takes", shared.len()));
            }
            if text > MOST_TEXT {
                return Err(format!("its text would fill more than {} MB", MOST_TEXT / 1_000_000));
            }
        }
        if let Some(held) = held(&Data::from(cell.get_value().clone()), percentage) {
            cells.push(SpreadsheetCell { row, column, held });
        }
    }
    Ok(cells)
}

/// Cells that have a formula and no saved value.
fn not_calculated(
    book: &mut Xlsx<Cursor<&[u8]>>,
    sheet: &str,
    cells: &[SpreadsheetCell],
) -> Result<Vec<SpreadsheetCell>, String> {
    let mut found = Vec::new();
    let filled: HashSet<CellAddress> = cells.iter().map(|cell| (cell.row, cell.column)).collect();
    let mut reader = book.worksheet_cells_reader(sheet).map_err(|e| e.to_string())?;
    while let Some(record) = reader.next_cell_with_formula_metadata().map_err(|e| e.to_string())? {
        let (row, column) = record.pos;
        if record.formula.is_some() && record.value == DataRef::Empty && !filled.contains(&(row, column)) {
            found.push(SpreadsheetCell { row, column, held: CellValue::NotCalculated });
        }
    }
    Ok(found)
}

fn of_ods(book: &mut Ods<Cursor<&[u8]>>, bytes: &[u8], sheet: &str) -> Result<SheetCells, String> {
    let marks = ods_marks(bytes, sheet)?;
    let range = book.worksheet_range(sheet).map_err(|e| e.to_string())?;
    let start = range.start().unwrap_or_default();
    let mut cells = Vec::new();
    for (row, column, data) in range.used_cells() {
        let (row, column) = (short_index(row) + start.0, short_index(column) + start.1);
        if let Some(held) = held(data, marks.is_percentage((row, column))) {
            cells.push(SpreadsheetCell { row, column, held });
        }
    }
    let formulas = book.worksheet_formula(sheet).map_err(|e| e.to_string())?;
    let start = formulas.start().unwrap_or_default();
    for (row, column, _) in formulas.used_cells() {
        let at = (short_index(row) + start.0, short_index(column) + start.1);
        if range.get_value(at).is_none_or(|data| *data == Data::Empty) {
            cells.push(SpreadsheetCell { row: at.0, column: at.1, held: CellValue::NotCalculated });
        }
    }
    Ok(SheetCells { cells, merged: marks.merged })
}

/// The value of a cell as it is kept; `None` if the cell is empty.
fn held(data: &Data, percentage: bool) -> Option<CellValue> {
    Some(match data {
        Data::Empty => return None,
        Data::String(text) if text.is_empty() => return None,
        Data::String(text) => CellValue::Text(text.clone()),
        Data::Int(whole) if percentage => CellValue::Percentage(*whole as f64),
        Data::Float(number) if percentage => CellValue::Percentage(*number),
        Data::Int(whole) => CellValue::Number(*whole as f64),
        Data::Float(number) => CellValue::Number(*number),
        Data::Bool(truth) => CellValue::Text(if *truth { "true" } else { "false" }.to_owned()),
        Data::DateTime(moment) => CellValue::Date(iso(moment)),
        Data::DateTimeIso(text) | Data::DurationIso(text) => {
            CellValue::Date(text.strip_suffix("T00:00:00").unwrap_or(text).to_owned())
        }
        Data::Error(error) => CellValue::Error(error.to_string()),
    })
}

/// A date and time in ISO 8601, without the time if it is midnight; a duration in hours, minutes and seconds.
fn iso(moment: &ExcelDateTime) -> String {
    if moment.is_duration() {
        let seconds = truncated((moment.as_f64() * 86_400.0).round());
        return format!("PT{}H{}M{}S", seconds / 3600, seconds / 60 % 60, seconds % 60);
    }
    let (year, month, day, hour, minute, second, _) = moment.to_ymd_hms_milli();
    let date = format!("{year:04}-{month:02}-{day:02}");
    match (hour, minute, second) {
        (0, 0, 0) => date,
        _ => format!("{date}T{hour:02}:{minute:02}:{second:02}"),
    }
}

/// Facts of an ODF sheet that the ODF reader does not give.
#[derive(Default)]
struct OdsMarks {
    /// By first row of a repeated row: its last row, and the ranges of columns (first, last) that hold percentages.
    percentages: BTreeMap<u32, (u32, Vec<(u32, u32)>)>,
    merged: Vec<(CellAddress, CellAddress)>,
}

impl OdsMarks {
    fn is_percentage(&self, (row, column): CellAddress) -> bool {
        let Some((_, (last, columns))) = self.percentages.range(..=row).next_back() else { return false };
        let before = columns.partition_point(|(first, _)| *first <= column);
        row <= *last && before > 0 && column <= columns[before - 1].1
    }
}

/// Reads the percentages and merged ranges of a sheet. Source: OASIS ODF 1.3 part 3, 9.1.4 (cells), 19.385 (value types).
fn ods_marks(bytes: &[u8], sheet: &str) -> Result<OdsMarks, String> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|e| e.to_string())?;
    let file = archive.by_name("content.xml").map_err(|e| e.to_string())?;
    let mut xml = quick_xml::Reader::from_reader(std::io::BufReader::new(file.take(MOST_UNPACKED)));
    let (mut marks, mut buffer) = (OdsMarks::default(), Vec::new());
    let (mut inside, mut row, mut column, mut repeated) = (false, 0_u32, 0_u32, 1_u32);
    let number = |tag: &BytesStart, name: &str| attribute(tag, name).and_then(|n| n.parse::<u32>().ok()).unwrap_or(1);
    loop {
        buffer.clear();
        let event = xml.read_event_into(&mut buffer).map_err(|e| e.to_string())?;
        let is_empty = matches!(event, Event::Empty(_));
        match event {
            Event::Start(tag) | Event::Empty(tag) => match tag.name().0 {
                "table:table" => inside = attribute(&tag, "table:name").as_deref() == Some(sheet),
                "table:table-row" if inside => {
                    column = 0;
                    repeated = number(&tag, "table:number-rows-repeated");
                    if is_empty {
                        row = row.saturating_add(repeated);
                    }
                }
                "table:table-cell" | "table:covered-table-cell" if inside => {
                    let across = number(&tag, "table:number-columns-repeated");
                    let spans =
                        ["table:number-rows-spanned", "table:number-columns-spanned"].map(|name| number(&tag, name));
                    if spans != [1, 1] {
                        let [down, right] = spans.map(|span| span.saturating_sub(1));
                        marks.merged.push(((row, column), (row.saturating_add(down), column.saturating_add(right))));
                    }
                    let is_percentage = attribute(&tag, "office:value-type").as_deref() == Some("percentage");
                    if is_percentage {
                        let last = row.saturating_add(repeated.saturating_sub(1));
                        let columns = &mut marks.percentages.entry(row).or_insert((last, Vec::new())).1;
                        columns.push((column, column.saturating_add(across.saturating_sub(1))));
                    }
                    column = column.saturating_add(across);
                }
                _ => {}
            },
            Event::End(tag) if inside && tag.name().0 == "table:table-row" => row = row.saturating_add(repeated),
            Event::End(tag) if inside && tag.name().0 == "table:table" => return Ok(marks),
            Event::Eof => return Ok(marks),
            _ => {}
        }
    }
}
