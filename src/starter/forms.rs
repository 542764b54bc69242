//! Makes the forms for the survey and the stock list as workbooks: a numbered form with drop-down lists, a sheet of the lists, a
//! sheet on the columns, and an example.

use std::io;

use rust_xlsxwriter::{
    DataValidation, DataValidationErrorStyle, DocProperties, ExcelDateTime, Format, FormatAlign, FormatBorder, Formula,
    Workbook, Worksheet, XlsxError,
};

use crate::intake::columns::{CellKind, FileColumns, InputColumn, Need};
use crate::intake::schema::{holds, needed};
use crate::report::xlsx::{MAY_COLOUR, MUST_COLOUR, READ_COLOUR, SheetsMade, pages};
use crate::rules::Rules;
use crate::units::short_index;

/// Numbered rows of a form; users may add more below.
const ROWS: u32 = 500;

/// Rows of an example: the filled columns of each, as name and cell.
pub type Example = &'static [&'static [(&'static str, &'static str)]];

/// Three invented specimens.
pub const SURVEY_EXAMPLE: Example = &[
    &[
        ("catalogNumber", "W-0001"),
        ("scientificName", "Rana temporaria"),
        ("individualCount", "3"),
        ("length_mm", "74"),
        ("width_mm", "46"),
        ("height_mm", "31"),
        ("outline", "rounded"),
        ("posture", "either"),
        ("tissue_ml", "96"),
        ("fluid", "ethanol-70"),
        ("priority", "2"),
        ("current_vessel", "jar-250"),
    ],
    &[
        ("catalogNumber", "W-0002"),
        ("scientificName", "Natrix natrix"),
        ("length_mm", "610"),
        ("width_mm", "18"),
        ("height_mm", "17"),
        ("outline", "rounded"),
        ("posture", "coil"),
        ("mass_g", "112"),
        ("fluid", "ethanol-70"),
        ("priority", "1"),
    ],
    &[
        ("catalogNumber", "W-0003"),
        ("scientificName", "Ovis aries, heart on a plate"),
        ("length_mm", "96"),
        ("width_mm", "60"),
        ("height_mm", "126"),
        ("posture", "as-set"),
        ("fluid", "formalin-10"),
        ("display", "flat"),
    ],
];

/// Three rows of an invented stock list: a jar, another offer of it, and a rectangular jar.
pub const STOCK_EXAMPLE: Example = &[
    &[
        ("vessel", "jar-250"),
        ("description", "screw jar"),
        ("form", "cylinder"),
        ("inner_diameter_mm", "64"),
        ("inner_height_mm", "92"),
        ("mouth_diameter_mm", "55"),
        ("capacity_ml", "275"),
        ("material", "soda-lime"),
        ("closure", "pp-cap-foamed-pe"),
        ("on_hand", "14"),
        ("supplier", "A supplier"),
        ("order_code", "J-250"),
        ("unit_price", "1.80"),
        ("pack_size", "12"),
    ],
    &[
        ("vessel", "jar-250"),
        ("supplier", "Another supplier"),
        ("order_code", "2250"),
        ("pack_price", "19.00"),
        ("pack_size", "10"),
    ],
    &[
        ("vessel", "show-12"),
        ("form", "rectangular"),
        ("inner_length_mm", "120"),
        ("inner_width_mm", "80"),
        ("inner_height_mm", "180"),
        ("material", "borosilicate"),
        ("closure", "plate-silicone"),
        ("on_hand", "2"),
    ],
];

/// A form as a workbook.
///
/// # Errors
/// If the workbook cannot be written.
pub fn workbook(file: &FileColumns, rules: &Rules, example: &Example) -> io::Result<Vec<u8>> {
    // Names, cells and widths are within the limits of a workbook.
    filled(file, rules, example).and_then(|mut book| book.save_to_buffer()).map_err(io::Error::other)
}

fn filled(file: &FileColumns, rules: &Rules, example: &Example) -> Result<Workbook, XlsxError> {
    let mut book = Workbook::new();
    // A fixed date, so that the same program writes the same bytes.
    let made = ExcelDateTime::from_ymd(2000, 1, 1)?;
    book.set_properties(&DocProperties::new().set_title(file.name()).set_creation_datetime(&made));
    let lists: Vec<(&InputColumn, Vec<String>)> =
        file.columns.iter().filter_map(|column| Some((column, choices(column, rules)?))).collect();
    let way = SheetsMade::as_possible();
    form(way.add_to(&mut book)?.set_name(file.name())?, file, &lists)?;
    list_sheet(way.add_to(&mut book)?.set_name("lists")?, &lists)?;
    column_sheet(way.add_to(&mut book)?.set_name("columns")?, file)?;
    example_sheet(way.add_to(&mut book)?.set_name("example")?, file, example)?;
    Ok(book)
}

/// Entries of a column's drop-down list; `None` if the column has no list.
fn choices(column: &InputColumn, rules: &Rules) -> Option<Vec<String>> {
    let words = |words: &[&str]| words.iter().map(|word| (*word).to_owned()).collect();
    match (column.kind, column.name) {
        (CellKind::Word(known), _) => Some(words(known)),
        (_, "priority") => Some(words(&["1", "2", "3", "4"])),
        (_, "fluid" | "current_fluid") => {
            let offered = rules.fluids.iter().filter(|fluid| !fluid.present_only || column.name == "current_fluid");
            Some(offered.map(|fluid| fluid.id.clone()).collect())
        }
        (_, "material" | "current_material") => Some(rules.materials.iter().map(|part| part.id.clone()).collect()),
        (_, "closure" | "current_closure") => Some(rules.closures.iter().map(|part| part.id.clone()).collect()),
        (_, "neck_finish") => Some(rules.neck_finishes.iter().map(|finish| finish.id.clone()).collect()),
        _ => None,
    }
}

/// Header format of a column: dark if every row needs a value, lighter if the column is required, plain if it is optional.
fn head(column: &InputColumn) -> Format {
    let format =
        Format::new().set_bold().set_text_wrap().set_align(FormatAlign::Top).set_border_bottom(FormatBorder::Thin);
    match column.need {
        Need::EveryCell => format.set_background_color(MUST_COLOUR).set_font_color(0xFFFFFF),
        Need::Column => format.set_background_color(MAY_COLOUR),
        Need::Nothing => format.set_background_color(READ_COLOUR),
    }
}

/// Cells of text columns are formatted as text, so that a spreadsheet does not turn catalogue numbers and codes into dates or
/// numbers.
fn cell_format(column: &InputColumn) -> Format {
    match column.kind {
        CellKind::Text | CellKind::Word(_) | CellKind::List | CellKind::Carried => Format::new().set_num_format("@"),
        CellKind::Numbering => Format::new().set_font_color(0x53574F),
        _ => Format::new(),
    }
}

/// Column width in characters: at least that of its name.
fn width(column: &InputColumn) -> f64 {
    let named = column.name.chars().count() as f64 + 2.0;
    named.max(match (column.kind, column.name) {
        (CellKind::Numbering, _) => 5.0,
        (_, "scientificName" | "description") => 26.0,
        (CellKind::Text | CellKind::Word(_) | CellKind::List, _) => 16.0,
        _ => 11.0,
    })
}

fn headed(sheet: &mut Worksheet, file: &FileColumns) -> Result<(), XlsxError> {
    for (index, column) in (0..).zip(file.columns) {
        sheet.set_column_width(index, width(column))?;
        sheet.set_column_format(index, &cell_format(column))?;
        sheet.write_with_format(0, index, column.name, &head(column))?;
    }
    sheet.set_row_height(0, 32)?;
    // The header row, the row number and the next column stay visible.
    sheet.set_freeze_panes(1, 2)?;
    // On paper, the pages of one row follow one another, each with the header, the row number and the name.
    let pages = pages(file.columns.iter().map(width).sum());
    sheet.set_landscape().set_print_fit_to_pages(pages, 0).set_page_order(true);
    sheet.set_repeat_rows(0, 0)?.set_repeat_columns(0, 1)?.set_print_gridlines(true);
    sheet.set_footer("&L&A&R&P / &N");
    Ok(())
}

fn form(sheet: &mut Worksheet, file: &FileColumns, lists: &[(&InputColumn, Vec<String>)]) -> Result<(), XlsxError> {
    headed(sheet, file)?;
    let numbering = file.columns.iter().position(|column| column.kind == CellKind::Numbering);
    if let Some(index) = numbering {
        for row in 1..=ROWS {
            sheet.write_with_format(
                row,
                u16::try_from(index).expect("a form has no more than 16 384 columns"),
                row,
                &cell_format(&file.columns[index]),
            )?;
        }
    }
    for (index, column) in (0..).zip(file.columns) {
        let Some(place) = lists.iter().position(|(listed, _)| listed.name == column.name) else { continue };
        let letter = crate::diagnostics::letters(place + 1);
        let last = lists[place].1.len() + 1;
        let list = Formula::new(format!("=lists!${letter}$2:${letter}${last}"));
        // The user's own rules may add names, so the list only warns.
        let validation = DataValidation::new()
            .allow_list_formula(list)
            .set_error_style(DataValidationErrorStyle::Warning)
            .set_error_title("Not in the list")?
            .set_error_message("This is not in the list. Keep it only if your own rules name it.")?;
        sheet.add_data_validation(1, index, ROWS, index, &validation)?;
    }
    Ok(())
}

fn list_sheet(sheet: &mut Worksheet, lists: &[(&InputColumn, Vec<String>)]) -> Result<(), XlsxError> {
    let text = Format::new().set_num_format("@");
    for (index, (column, _)) in (0..).zip(lists) {
        sheet.set_column_width(index, 22)?;
        sheet.write_with_format(0, index, column.name, &head(column))?;
    }
    // A sheet in low-memory mode stores rows as they come, so cells are written row by row.
    let longest = lists.iter().map(|(_, choices)| choices.len()).max().unwrap_or(0);
    for at in 0..longest {
        for (index, (_, choices)) in (0..).zip(lists) {
            if let Some(choice) = choices.get(at) {
                sheet.write_string_with_format(short_index(at) + 1, index, choice, &text)?;
            }
        }
    }
    sheet.set_freeze_panes(1, 0)?;
    Ok(())
}

fn column_sheet(sheet: &mut Worksheet, file: &FileColumns) -> Result<(), XlsxError> {
    let bold = Format::new().set_bold().set_background_color(READ_COLOUR);
    let wrapped = Format::new().set_text_wrap().set_align(FormatAlign::Top);
    for (index, (name, width)) in (0..).zip([("column", 22.0), ("needed", 12.0), ("holds", 34.0), ("meaning", 100.0)]) {
        sheet.set_column_width(index, width)?;
        sheet.write_with_format(0, index, name, &bold)?;
    }
    for (row, column) in (1..).zip(file.columns) {
        let cells = [column.name, needed(column), &holds(column), column.meaning];
        for (index, cell) in (0..).zip(cells) {
            sheet.write_string_with_format(row, index, cell, &wrapped)?;
        }
    }
    sheet.set_freeze_panes(1, 1)?;
    sheet.set_landscape().set_print_fit_to_pages(1, 0);
    Ok(())
}

fn example_sheet(sheet: &mut Worksheet, file: &FileColumns, example: &Example) -> Result<(), XlsxError> {
    headed(sheet, file)?;
    for (row, filled) in (1..).zip(*example) {
        for (index, column) in (0..).zip(file.columns) {
            let cell = filled.iter().find(|(name, _)| *name == column.name).map(|(_, cell)| *cell);
            match (cell, column.kind) {
                (_, CellKind::Numbering) => sheet.write_with_format(row, index, row, &cell_format(column))?,
                (Some(cell), CellKind::Measured(_) | CellKind::Money | CellKind::Number(..) | CellKind::Whole(..)) => {
                    sheet.write_number(row, index, cell.parse::<f64>().unwrap_or_default())?
                }
                (Some(cell), _) => sheet.write_string_with_format(row, index, cell, &cell_format(column))?,
                (None, _) => continue,
            };
        }
    }
    Ok(())
}
