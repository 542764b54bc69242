//! One sheet of a workbook: heads with units, rows of values, a line of totals.

use rust_xlsxwriter::{
    DataValidation, DataValidationRule, Format, FormatAlign, FormatBorder, Formula, Workbook, Worksheet, XlsxError,
};

use super::{MAY, READ, add_sheet, pages};
use crate::diagnostics::letters;
use crate::units::Money;

/// What a sheet takes of text in one cell, in UTF-16 units. Source: Microsoft, Excel specifications and limits.
const MOST_CHARACTERS: usize = 32_767;

/// What a sheet takes of columns, and their width in characters. Source: the same.
const MOST_COLUMNS: usize = 16_384;
const WIDEST: f64 = 255.0;
/// The highest a row can be, in points. Source: the same.
const HIGHEST: f64 = 409.0;

/// As much of a text as a cell takes.
fn cut(text: &str) -> String {
    let mut units = 0;
    let fits = |character: &char| {
        units += character.len_utf16();
        units <= MOST_CHARACTERS
    };
    text.chars().take_while(fits).collect()
}

/// A sheet before it is written.
pub struct Sheet {
    pub name: String,
    pub heads: Vec<Head>,
    pub rows: Vec<Vec<Cell>>,
    /// A line below the rows.
    pub totals: Vec<Cell>,
    /// The last columns, which are to be filled in by hand.
    pub by_hand: &'static [ByHand],
    /// Columns that stay in sight.
    pub frozen: usize,
    /// Whether the rows can be filtered.
    pub filtered: bool,
}

/// A column to be filled in by hand.
pub struct ByHand {
    /// Its head.
    pub head: &'static str,
    /// What to write.
    pub meaning: &'static str,
    /// What may be written.
    pub holds: Holds,
}

/// What may be written by hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holds {
    /// Yes or no.
    YesOrNo,
    /// How many, from nothing up.
    Count,
    /// How much, from nothing up.
    Amount,
    /// A day.
    Day,
    /// A few words.
    Words,
    /// Sentences.
    Sentences,
}

/// The head of a column.
#[derive(Clone)]
pub struct Head {
    pub text: String,
    width: f64,
    places: Option<usize>,
}

/// A value.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    Blank,
    Text(String),
    Number(f64),
    /// A formula, with what it comes to.
    Formula(String, f64),
    /// A formula that counts, with what it comes to.
    Count(String, f64),
}

impl Head {
    pub fn text(text: impl Into<String>, width: f64) -> Head {
        Head::new(text.into(), width, None)
    }

    /// A column of numbers with so many decimals shown.
    pub fn number(text: impl Into<String>, places: usize) -> Head {
        Head::new(text.into(), 9.0, Some(places))
    }

    /// Wide enough for its longest word.
    fn new(text: String, width: f64, places: Option<usize>) -> Head {
        let longest = text.split(' ').map(|word| word.chars().count()).max().unwrap_or(0);
        Head { width: width.max(longest as f64 + 2.0).min(WIDEST), text, places }
    }

    /// Text that goes on in a further line.
    fn is_wrapped(&self) -> bool {
        self.places.is_none() && self.width >= 28.0
    }
}

impl Cell {
    pub fn text(text: &str) -> Cell {
        if text.is_empty() { Cell::Blank } else { Cell::Text(text.to_owned()) }
    }

    pub fn number(number: impl Into<f64>) -> Cell {
        Cell::Number(number.into())
    }

    /// Its value as a reader of the sheet finds it, without spaces around.
    pub fn shown(&self) -> String {
        match self {
            Cell::Blank => String::new(),
            Cell::Text(text) => cut(text).trim().to_owned(),
            Cell::Number(number) | Cell::Formula(_, number) | Cell::Count(_, number) => number.to_string(),
        }
    }

    /// How many characters of words it has.
    fn characters(&self) -> usize {
        if let Cell::Text(text) = self { text.chars().count() } else { 0 }
    }

    pub fn count(count: usize) -> Cell {
        Cell::Number(count as f64)
    }

    pub fn money(amount: Money) -> Cell {
        Cell::Number(in_units(amount))
    }

    /// A number if it is one as our CSV files write them, else text.
    pub fn of(text: &str) -> Cell {
        text.parse().map_or_else(|_| Cell::text(text), Cell::Number)
    }
}

/// An amount of money as a spreadsheet holds it.
pub fn in_units(amount: Money) -> f64 {
    // The text of an amount is a decimal.
    amount.text().parse().unwrap_or_default()
}

impl Sheet {
    pub fn new(name: impl Into<String>, heads: Vec<Head>) -> Sheet {
        let name = name.into();
        Sheet { name, heads, rows: Vec::new(), totals: Vec::new(), by_hand: &[], frozen: 1, filtered: true }
    }

    /// The rows of a column as a formula names them: `'make-up'!C2:C9`; the head alone where there are none.
    pub fn range(&self, column: usize) -> String {
        let letter = letters(column + 1);
        format!("'{}'!${letter}$2:${letter}${}", self.name, self.rows.len().max(1) + 1)
    }

    /// As many columns as a sheet takes, the last of them saying where the others are.
    fn narrowed(&self) -> Sheet {
        let cut = |cells: &[Cell]| cells.iter().take(MOST_COLUMNS - 1).cloned().collect();
        let mut heads: Vec<Head> = self.heads.iter().take(MOST_COLUMNS - 1).cloned().collect();
        heads.push(Head::text("more columns: see the CSV file", 28.0));
        let rows = self.rows.iter().map(|row| cut(row)).collect();
        Sheet { name: self.name.clone(), heads, rows, totals: cut(&self.totals), by_hand: &[], ..*self }
    }

    /// The letter of the column with this head.
    pub fn column(&self, head: &str) -> usize {
        self.heads
            .iter()
            .position(|known| known.text == head || known.text.starts_with(&format!("{head}, ")))
            .unwrap_or(0)
    }
}

/// Writes a sheet into a workbook.
pub fn sheet(book: &mut Workbook, made: &Sheet) -> Result<(), XlsxError> {
    if made.heads.len() > MOST_COLUMNS {
        return sheet(book, &made.narrowed());
    }
    let sheet = add_sheet(book)?.set_name(&made.name)?;
    heads(sheet, made)?;
    let formats: Vec<Format> = made.heads.iter().map(format).collect();
    for (row, cells) in (1..).zip(&made.rows) {
        for (index, cell) in (0..).zip(cells) {
            write(sheet, row, index, cell, &formats[usize::from(index)])?;
        }
        // Not every program finds the height of wrapped text by itself.
        let depth = |(cell, head): (&Cell, &Head)| match cell {
            Cell::Text(text) if head.is_wrapped() => lines(text, head.width),
            _ => 1,
        };
        let deepest = cells.iter().zip(&made.heads).map(depth).max().unwrap_or(1);
        if deepest > 1 {
            sheet.set_row_height(row, (LINE * deepest as f64).min(HIGHEST))?;
        }
    }
    let below = made.rows.len() as u32 + 1;
    for (index, cell) in (0..).zip(&made.totals) {
        let format = formats[usize::from(index)].clone().set_bold().set_border_top(FormatBorder::Thin);
        match cell {
            Cell::Blank => sheet.write_blank(below, index, &format).map(|_| ())?,
            cell => write(sheet, below, index, cell, &format)?,
        }
    }
    if made.filtered && !made.rows.is_empty() {
        sheet.autofilter(0, 0, below - 1, made.heads.len() as u16 - 1)?;
    }
    let first = (made.heads.len() - made.by_hand.len()) as u16;
    for (index, column) in (first..).zip(made.by_hand) {
        check(sheet, index, column, below - 1)?;
    }
    on_paper(sheet, made)
}

/// The first row: what each column holds, with its width.
fn heads(sheet: &mut Worksheet, made: &Sheet) -> Result<(), XlsxError> {
    let head = Format::new()
        .set_bold()
        .set_text_wrap()
        .set_align(FormatAlign::Top)
        .set_border_bottom(FormatBorder::Thin)
        .set_background_color(READ);
    let by_hand = head.clone().set_background_color(MAY);
    for (index, known) in (0..).zip(&made.heads) {
        let longest = made.rows.iter().filter_map(|row| row.get(usize::from(index))).map(Cell::characters).max();
        // Words that do not go on in a further line are seen whole, within reason.
        let whole = if known.is_wrapped() { 0.0 } else { (longest.unwrap_or(0) as f64 + 3.0).min(MOST_WIDE) };
        sheet.set_column_width(index, known.width.max(whole))?;
        let is_by_hand = usize::from(index) >= made.heads.len() - made.by_hand.len();
        let format = if is_by_hand { by_hand.clone() } else { head.clone() };
        // A head stands over its column: figures to the right, words as far in as theirs.
        let format = match known.places {
            Some(_) => format.set_align(FormatAlign::Right),
            None => format.set_align(FormatAlign::Left).set_indent(1),
        };
        sheet.write_string_with_format(0, index, cut(&known.text), &format)?;
    }
    let deepest = made.heads.iter().map(|head| lines(&head.text, head.width)).max().unwrap_or(1);
    sheet.set_row_height(0, (LINE * deepest as f64 + 2.0).min(HIGHEST))?;
    Ok(())
}

/// How a sheet is seen on a screen and goes onto paper.
fn on_paper(sheet: &mut Worksheet, made: &Sheet) -> Result<(), XlsxError> {
    sheet.set_freeze_panes(1, made.frozen as u16)?;
    // What is wide goes over several pages side by side, each with the head and the first columns.
    let pages = pages(made.heads.iter().map(|head| head.width).sum());
    sheet.set_landscape().set_print_fit_to_pages(pages, 0).set_repeat_rows(0, 0)?.set_print_gridlines(true);
    if pages > 1 {
        sheet.set_page_order(true);
        sheet.set_repeat_columns(0, (made.frozen as u16).saturating_sub(1))?;
    }
    sheet.set_footer("&L&A&R&P / &N");
    Ok(())
}

/// What may be written into a column by hand, and a word on it beside the cell.
fn check(sheet: &mut Worksheet, index: u16, column: &ByHand, last_row: u32) -> Result<(), XlsxError> {
    if column.holds == Holds::Day {
        sheet.set_column_format(index, &Format::new().set_num_format("yyyy-mm-dd"))?;
    }
    if last_row == 0 {
        return Ok(());
    }
    let check = match column.holds {
        Holds::YesOrNo => DataValidation::new().allow_list_strings(&["yes", "no"])?,
        Holds::Count => DataValidation::new().allow_whole_number(DataValidationRule::GreaterThanOrEqualTo(0)),
        Holds::Amount => DataValidation::new().allow_decimal_number(DataValidationRule::GreaterThanOrEqualTo(0.0)),
        Holds::Day | Holds::Words | Holds::Sentences => DataValidation::new().allow_any_value(),
    };
    let check = check.set_input_title(column.head)?.set_input_message(column.meaning)?;
    sheet.add_data_validation(1, index, last_row, index, &check)?;
    Ok(())
}

/// Widest column of words that stay on a line, in characters.
const MOST_WIDE: f64 = 26.0;
/// Height of a line of text, in points.
const LINE: f64 = 15.0;
/// Lines that a text takes in a column, a word that is too long by itself counted as it breaks.
fn lines(text: &str, width: f64) -> usize {
    let room = (width * 1.1).max(1.0) as usize;
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

fn format(head: &Head) -> Format {
    let format = Format::new().set_align(FormatAlign::Top);
    match head.places {
        None if head.is_wrapped() => format.set_align(FormatAlign::Left).set_indent(1).set_text_wrap(),
        None => format.set_align(FormatAlign::Left).set_indent(1),
        Some(0) => format.set_num_format("#,##0"),
        Some(places) => format.set_num_format(format!("#,##0.{}", "0".repeat(places))),
    }
}

fn write(sheet: &mut Worksheet, row: u32, column: u16, cell: &Cell, format: &Format) -> Result<(), XlsxError> {
    match cell {
        Cell::Blank => {}
        Cell::Text(text) => {
            sheet.write_string_with_format(row, column, cut(text), format)?;
        }
        Cell::Number(number) => {
            sheet.write_number_with_format(row, column, *number, format)?;
        }
        Cell::Count(formula, value) => {
            let formula = Formula::new(formula).set_result(value.to_string());
            sheet.write_formula_with_format(row, column, formula, &format.clone().set_num_format("#,##0"))?;
        }
        Cell::Formula(formula, value) => {
            let formula = Formula::new(formula).set_result(value.to_string());
            sheet.write_formula_with_format(row, column, formula, format)?;
        }
    }
    Ok(())
}
