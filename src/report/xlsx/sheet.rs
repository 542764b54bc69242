//! One sheet of a workbook: heads with units, rows of values, a line of totals.

use rust_xlsxwriter::{
    DataValidation, DataValidationRule, Format, FormatAlign, FormatBorder, Formula, Workbook, Worksheet, XlsxError,
};

use crate::diagnostics::letters;
use crate::units::Money;

/// What a sheet takes of text in one cell. Source: Microsoft, Excel specifications and limits.
const MOST_CHARACTERS: usize = 32_767;

/// A sheet before it is written.
pub struct Sheet {
    pub name: &'static str,
    pub heads: Vec<Head>,
    pub rows: Vec<Vec<Cell>>,
    /// A line below the rows.
    pub totals: Vec<Cell>,
    /// The first column that is to be filled in by hand, and those after it.
    pub by_hand: Option<usize>,
    /// Columns that stay in sight.
    pub frozen: usize,
    /// Whether the rows can be filtered.
    pub filtered: bool,
}

/// The head of a column.
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
}

impl Head {
    pub fn text(text: impl Into<String>, width: f64) -> Head {
        Head { text: text.into(), width, places: None }
    }

    /// A column of numbers with so many decimals shown.
    pub fn number(text: impl Into<String>, places: usize) -> Head {
        Head { text: text.into(), width: 12.0, places: Some(places) }
    }
}

impl Cell {
    pub fn text(text: &str) -> Cell {
        if text.is_empty() { Cell::Blank } else { Cell::Text(text.to_owned()) }
    }

    pub fn number(number: impl Into<f64>) -> Cell {
        Cell::Number(number.into())
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
    pub fn new(name: &'static str, heads: Vec<Head>) -> Sheet {
        Sheet { name, heads, rows: Vec::new(), totals: Vec::new(), by_hand: None, frozen: 1, filtered: true }
    }

    /// The rows of a column as a formula names them: `'make-up'!C2:C9`; the head alone where there are none.
    pub fn range(&self, column: usize) -> String {
        let letter = letters(column + 1);
        format!("'{}'!${letter}$2:${letter}${}", self.name, self.rows.len().max(1) + 1)
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
    let sheet = book.add_worksheet().set_name(made.name)?;
    let head = Format::new()
        .set_bold()
        .set_text_wrap()
        .set_align(FormatAlign::Top)
        .set_border_bottom(FormatBorder::Thin)
        .set_background_color(0xE6ECEE);
    let by_hand = head.clone().set_background_color(0xFBEFC9);
    for (index, known) in (0..).zip(&made.heads) {
        sheet.set_column_width(index, known.width)?;
        let is_by_hand = made.by_hand.is_some_and(|first| usize::from(index) >= first);
        sheet.write_string_with_format(0, index, &known.text, if is_by_hand { &by_hand } else { &head })?;
    }
    let formats: Vec<Format> = made.heads.iter().map(format).collect();
    for (row, cells) in (1..).zip(&made.rows) {
        for (index, cell) in (0..).zip(cells) {
            write(sheet, row, index, cell, &formats[usize::from(index)])?;
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
    if let Some(first) = made.by_hand {
        checks(sheet, first as u16, below - 1)?;
    }
    sheet.set_freeze_panes(1, made.frozen as u16)?;
    sheet.set_landscape().set_print_fit_to_pages(1, 0).set_repeat_rows(0, 0)?.set_print_gridlines(true);
    sheet.set_footer("&L&A&R&P / &N");
    Ok(())
}

/// What may be written by hand: yes or no, no negative volume, a date.
fn checks(sheet: &mut Worksheet, first: u16, last_row: u32) -> Result<(), XlsxError> {
    if last_row == 0 {
        return Ok(());
    }
    let done = DataValidation::new().allow_list_strings(&["yes", "no"])?;
    sheet.add_data_validation(1, first, last_row, first, &done)?;
    let ml = DataValidation::new().allow_decimal_number(DataValidationRule::GreaterThanOrEqualTo(0.0));
    sheet.add_data_validation(1, first + 2, last_row, first + 2, &ml)?;
    sheet.set_column_format(first + 3, &Format::new().set_num_format("yyyy-mm-dd"))?;
    Ok(())
}

fn format(head: &Head) -> Format {
    let format = Format::new().set_align(FormatAlign::Top);
    match head.places {
        None if head.width > 30.0 => format.set_text_wrap(),
        None => format,
        Some(0) => format.set_num_format("#,##0"),
        Some(places) => format.set_num_format(format!("#,##0.{}", "0".repeat(places))),
    }
}

fn write(sheet: &mut Worksheet, row: u32, column: u16, cell: &Cell, format: &Format) -> Result<(), XlsxError> {
    match cell {
        Cell::Blank => {}
        Cell::Text(text) => {
            let cut: String = text.chars().take(MOST_CHARACTERS).collect();
            sheet.write_string_with_format(row, column, cut, format)?;
        }
        Cell::Number(number) => {
            sheet.write_number_with_format(row, column, *number, format)?;
        }
        Cell::Formula(formula, value) => {
            let formula = Formula::new(formula).set_result(value.to_string());
            sheet.write_formula_with_format(row, column, formula, format)?;
        }
    }
    Ok(())
}
