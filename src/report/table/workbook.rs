//! One sheet of a workbook: a table with headings, rows of values and a line of totals.

use std::borrow::Cow;

use rust_xlsxwriter::{
    ColNum, DataValidation, DataValidationRule, Format, FormatAlign, FormatBorder, Formula, Workbook, Worksheet,
    XlsxError,
};

use super::{Cell, Column, Table};
use crate::diagnostics::letters;
use crate::report::xlsx::{MAY_COLOUR, READ_COLOUR, SheetsMade, pages};
use crate::units::{short_index, truncated_count};

/// Largest length of the text in one cell, in UTF-16 units. Source: Microsoft, Excel specifications and limits.
const MOST_CHARACTERS: usize = 32_767;

/// Largest number of columns of a sheet. Source: the same.
const MOST_COLUMNS: usize = 16_384;
/// Largest width of a column, in characters. Source: the same.
const WIDEST: f64 = 255.0;
/// Largest height of a row, in points. Source: the same.
const HIGHEST: f64 = 409.0;

/// A text cut to the length that a cell can hold.
fn cut(text: &str) -> String {
    let mut units = 0;
    let fits = |character: &char| {
        units += character.len_utf16();
        units <= MOST_CHARACTERS
    };
    text.chars().take_while(fits).collect()
}

/// A sheet before it is written.
pub struct Sheet<'a> {
    pub name: String,
    pub table: Table<'a, SheetCell<'a>>,
    /// Headings of the last columns, which are to be filled in by hand.
    pub by_hand: &'static [ByHand],
    /// Number of first columns that stay in sight.
    pub frozen: usize,
    /// Whether the rows can be filtered.
    pub filtered: bool,
}

/// A cell of a worksheet.
#[derive(Clone, Debug, PartialEq)]
pub enum SheetCell<'a> {
    Value(Cell<'a>),
    /// A formula, and its value in this plan.
    Formula(String, Cell<'a>),
}

impl<'a, T: Into<Cell<'a>>> From<T> for SheetCell<'a> {
    fn from(value: T) -> Self {
        SheetCell::Value(value.into())
    }
}

/// A column to be filled in by hand.
pub struct ByHand {
    /// Its heading.
    pub head: &'static str,
    /// The hint beside its cells.
    pub meaning: &'static str,
    /// The kind of value that may be written.
    pub holds: Holds,
}

/// The kind of value that may be written by hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holds {
    /// Yes or no.
    YesOrNo,
    /// A whole number, not negative.
    Count,
    /// A number, not negative.
    Amount,
    /// A date.
    Day,
    /// A few words.
    Words,
    /// Sentences.
    Sentences,
}

impl SheetCell<'_> {
    /// Its value as text, as a reader of the sheet finds it, without outer spaces.
    pub fn shown(&self, column: &Column) -> String {
        let (SheetCell::Value(value) | SheetCell::Formula(_, value)) = self;
        match column.number(value) {
            Some(number) => number.to_string(),
            None => cut(&column.shown(value, true)).trim().to_owned(),
        }
    }

    /// Its text, if it has any.
    fn text(&self) -> Option<&str> {
        match self {
            SheetCell::Value(Cell::Text(text)) => Some(text),
            _ => None,
        }
    }

    /// Number of characters of its text.
    fn characters(&self) -> usize {
        self.text().map_or(0, |text| text.chars().count())
    }
}

/// Width of a column: its own, or more for the longest word of its heading.
fn width(column: &Column, head: &str) -> f64 {
    let longest = head.split(' ').map(|word| word.chars().count()).max().unwrap_or(0);
    column.width.max(longest as f64 + 2.0).min(WIDEST)
}

/// A column as it is laid out on a sheet.
struct LaidOut<'n> {
    column: Column<'n>,
    head: Cow<'n, str>,
    width: f64,
}

impl<'n> LaidOut<'n> {
    fn of(column: &Column<'n>, currency: &str) -> Self {
        let head = column.head(currency);
        LaidOut { column: *column, width: width(column, &head), head }
    }

    fn is_figures(&self) -> bool {
        !self.column.is_words()
    }

    /// Whether its text wraps onto further lines.
    fn is_wrapped(&self) -> bool {
        !self.is_figures() && self.width >= 28.0
    }
}

impl<'a> Sheet<'a> {
    pub fn new(name: impl Into<String>, table: Table<'a, SheetCell<'a>>) -> Self {
        Sheet { name: name.into(), table, by_hand: &[], frozen: 1, filtered: true }
    }

    /// The rows of a column as a formula names them: `'make-up'!$C$2:$C$9`. Without rows, the first row below the heading.
    pub fn range(&self, column: &str) -> String {
        let letter = self.letter(column);
        format!("'{}'!${letter}$2:${letter}${}", self.name, self.table.rows.len().max(1) + 1)
    }

    /// The letter of the column with this name.
    pub fn letter(&self, column: &str) -> String {
        letters(self.table.position(column) + 1)
    }

    /// Replaces the first `rows` cells of a column by formulas. `formula` is given the number of the row on the sheet.
    pub fn work_out(&mut self, column: &str, rows: usize, formula: impl Fn(usize) -> String) {
        let column = self.table.position(column);
        for (row, cells) in (2..).zip(self.table.rows.iter_mut().take(rows)) {
            if let SheetCell::Value(value) = &cells[column] {
                cells[column] = SheetCell::Formula(formula(row), value.clone());
            }
        }
    }

    /// Adds a line of totals. `sums`: the columns that are summed, each with its value. Without rows the totals are plain values:
    /// they stand in the row that [`Sheet::range`] names, so a formula would refer to itself.
    pub fn totals(&mut self, sums: &[(&str, Cell<'a>)]) {
        let total = |name: &str| match sums.iter().find(|(summed, _)| *summed == name) {
            Some((_, value)) if self.table.rows.is_empty() => SheetCell::Value(value.clone()),
            Some((_, value)) => SheetCell::Formula(format!("=SUM({})", self.range(name)), value.clone()),
            None => SheetCell::Value(Cell::Blank),
        };
        let mut cells: Vec<SheetCell> = self.table.columns.iter().map(|column| total(column.name)).collect();
        cells[0] = "total".into();
        self.table.sums.push(cells);
    }

    /// The sheet cut to the number of columns a sheet can have. The last column says where the others are.
    fn narrowed(&self) -> Sheet<'a> {
        let cut = |cells: &Vec<SheetCell<'a>>| cells.iter().take(MOST_COLUMNS - 1).cloned().collect();
        let mut table = Table::new(
            self.table.title.clone(),
            self.table.columns.iter().take(MOST_COLUMNS - 1).copied().chain([Column::text(MORE_COLUMNS).wide(28.0)]),
        )
        .in_currency(self.table.currency);
        table.rows = self.table.rows.iter().map(cut).collect();
        table.sums = self.table.sums.iter().map(cut).collect();
        Sheet { name: self.name.clone(), table, by_hand: &[], ..*self }
    }
}

const MORE_COLUMNS: &str = "more columns: see the CSV file";

/// Writes a sheet into a workbook.
pub fn sheet(way: SheetsMade, book: &mut Workbook, made: &Sheet) -> Result<(), XlsxError> {
    if made.table.columns.len() > MOST_COLUMNS {
        return sheet(way, book, &made.narrowed());
    }
    let sheet = way.add_to(book)?.set_name(&made.name)?;
    let columns: Vec<LaidOut> =
        made.table.columns.iter().map(|column| LaidOut::of(column, made.table.currency)).collect();
    headings(sheet, made, &columns)?;
    let formats: Vec<Format> = columns.iter().map(format).collect();
    for (row, cells) in (1..).zip(&made.table.rows) {
        for ((index, cell), column) in (0..).zip(cells).zip(&columns) {
            write(sheet, (row, index), cell, &column.column, &formats[usize::from(index)])?;
        }
        // Not every spreadsheet program computes the height of wrapped text itself.
        let depth = |(cell, column): (&SheetCell, &LaidOut)| match cell.text() {
            Some(text) if column.is_wrapped() => lines(text, column.width),
            _ => 1,
        };
        let deepest = cells.iter().zip(&columns).map(depth).max().unwrap_or(1);
        if deepest > 1 {
            sheet.set_row_height(row, (LINE * deepest as f64).min(HIGHEST))?;
        }
    }
    let below = short_index(made.table.rows.len()) + 1;
    for ((index, cell), column) in (0..).zip(made.table.sums.iter().flatten()).zip(&columns) {
        let format = formats[usize::from(index)].clone().set_bold().set_border_top(FormatBorder::Thin);
        match cell {
            SheetCell::Value(Cell::Blank) => sheet.write_blank(below, index, &format).map(|_| ())?,
            cell => write(sheet, (below, index), cell, &column.column, &format)?,
        }
    }
    if made.filtered && !made.table.rows.is_empty() {
        sheet.autofilter(0, 0, below - 1, column_number(columns.len()) - 1)?;
    }
    let first = column_number(columns.len() - made.by_hand.len());
    for (index, column) in (first..).zip(made.by_hand) {
        validate(sheet, index, column, below - 1)?;
    }
    on_paper(sheet, made, columns.iter().map(|column| column.width).sum())
}

/// Writes the row of headings and sets the widths of the columns.
fn headings(sheet: &mut Worksheet, made: &Sheet, columns: &[LaidOut]) -> Result<(), XlsxError> {
    let head = Format::new()
        .set_bold()
        .set_text_wrap()
        .set_align(FormatAlign::Top)
        .set_border_bottom(FormatBorder::Thin)
        .set_background_color(READ_COLOUR);
    let by_hand = head.clone().set_background_color(MAY_COLOUR);
    for (index, known) in (0..).zip(columns) {
        let cells = made.table.rows.iter().filter_map(|row| row.get(usize::from(index)));
        let longest = cells.map(SheetCell::characters).max();
        // A column that does not wrap is as wide as its longest text, up to `MOST_WIDE`.
        let whole = if known.is_wrapped() { 0.0 } else { (longest.unwrap_or(0) as f64 + 3.0).min(MOST_WIDE) };
        sheet.set_column_width(index, known.width.max(whole))?;
        let is_by_hand = usize::from(index) >= columns.len() - made.by_hand.len();
        let format = if is_by_hand { by_hand.clone() } else { head.clone() };
        // A heading is aligned as its column is: figures right, words left with the same indent.
        let format = match known.is_figures() {
            true => format.set_align(FormatAlign::Right),
            false => format.set_align(FormatAlign::Left).set_indent(1),
        };
        sheet.write_string_with_format(0, index, cut(&known.head), &format)?;
    }
    let deepest = columns.iter().map(|column| lines(&column.head, column.width)).max().unwrap_or(1);
    sheet.set_row_height(0, (LINE * deepest as f64 + 2.0).min(HIGHEST))?;
    Ok(())
}

/// The number of a column, from 0.
fn column_number(index: usize) -> ColNum {
    ColNum::try_from(index).expect("a sheet has no more than 16 384 columns")
}

/// Settings of a sheet for the screen and for printing.
fn on_paper(sheet: &mut Worksheet, made: &Sheet, wide: f64) -> Result<(), XlsxError> {
    sheet.set_freeze_panes(1, column_number(made.frozen))?;
    // A wide sheet is printed on several pages side by side, each with the headings and the first columns.
    let pages = pages(wide);
    sheet.set_landscape().set_print_fit_to_pages(pages, 0).set_repeat_rows(0, 0)?.set_print_gridlines(true);
    if pages > 1 {
        sheet.set_page_order(true);
        sheet.set_repeat_columns(0, column_number(made.frozen).saturating_sub(1))?;
    }
    sheet.set_footer("&L&A&R&P / &N");
    Ok(())
}

/// Validates what is written into a column by hand, and shows a hint beside the cell.
fn validate(sheet: &mut Worksheet, index: u16, column: &ByHand, last_row: u32) -> Result<(), XlsxError> {
    if column.holds == Holds::Day {
        sheet.set_column_format(index, &Format::new().set_num_format("yyyy-mm-dd"))?;
    }
    if last_row == 0 {
        return Ok(());
    }
    let validate = match column.holds {
        Holds::YesOrNo => DataValidation::new().allow_list_strings(&["yes", "no"])?,
        Holds::Count => DataValidation::new().allow_whole_number(DataValidationRule::GreaterThanOrEqualTo(0)),
        Holds::Amount => DataValidation::new().allow_decimal_number(DataValidationRule::GreaterThanOrEqualTo(0.0)),
        Holds::Day | Holds::Words | Holds::Sentences => DataValidation::new().allow_any_value(),
    };
    let validate = validate.set_input_title(column.head)?.set_input_message(column.meaning)?;
    sheet.add_data_validation(1, index, last_row, index, &validate)?;
    Ok(())
}

/// Largest width of a column whose text does not wrap, in characters.
const MOST_WIDE: f64 = 26.0;
/// Height of a line of text, in points.
const LINE: f64 = 15.0;
/// Estimated number of lines of a text in a column. A word longer than a line is broken.
fn lines(text: &str, width: f64) -> usize {
    let room = truncated_count((width * 1.1).max(1.0));
    let (mut lines, mut used) = (1, 0);
    for word in text.split(' ') {
        let length = word.chars().count();
        if used > 0 && used + 1 + length > room {
            lines += 1;
            used = 0;
        }
        lines += length.saturating_sub(1) / room;
        used += usize::from(used > 0) + length % (room + 1);
    }
    lines
}

fn format(column: &LaidOut) -> Format {
    let format = Format::new().set_align(FormatAlign::Top);
    match column.column.places() {
        _ if column.is_wrapped() => format.set_align(FormatAlign::Left).set_indent(1).set_text_wrap(),
        _ if !column.is_figures() => format.set_align(FormatAlign::Left).set_indent(1),
        0 => format.set_num_format(WHOLE),
        places => format.set_num_format(format!("#,##0.{}", "0".repeat(places))),
    }
}

/// Number format of whole numbers.
const WHOLE: &str = "#,##0";

fn write(
    sheet: &mut Worksheet,
    (row, index): (u32, u16),
    cell: &SheetCell,
    column: &Column,
    format: &Format,
) -> Result<(), XlsxError> {
    let (SheetCell::Value(value) | SheetCell::Formula(_, value)) = cell;
    match (cell, column.number(value)) {
        (SheetCell::Formula(formula, _), number) => {
            let formula = Formula::new(formula).set_result(number.unwrap_or_default().to_string());
            // A count has no decimals, even in a column that has.
            let is_count = matches!(value, Cell::Whole(_));
            let format = if is_count { &format.clone().set_num_format(WHOLE) } else { format };
            sheet.write_formula_with_format(row, index, formula, format)?;
        }
        (_, Some(number)) => {
            sheet.write_number_with_format(row, index, number, format)?;
        }
        (_, None) => {
            let text = column.shown(value, true);
            if !text.is_empty() {
                sheet.write_string_with_format(row, index, cut(&text), format)?;
            }
        }
    }
    Ok(())
}
