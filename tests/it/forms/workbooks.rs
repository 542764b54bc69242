//! Surveys and stock lists in workbooks: the same plan, diagnostics with sheet and cell, and no crash.

mod hostile;
mod open_document;
mod swelling;

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use assert_cmd::cargo::cargo_bin_cmd;
use rehouse::intake::{Reading, read_texts};
use rust_xlsxwriter::{ExcelDateTime, Format, Formula, Workbook};

const STOCK: &str = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand
jar,cylinder,60,90,borosilicate,pp-cap-ptfe,3
";

/// The workbook as bytes.
pub fn bytes(mut book: Workbook) -> Vec<u8> {
    book.save_to_buffer().expect("memory takes a workbook")
}

/// A workbook of one sheet; cells that are numbers are written as numbers.
fn sheet(name: &str, rows: &[&[&str]]) -> Workbook {
    let mut book = Workbook::new();
    let sheet = book.add_worksheet().set_name(name).expect("a name");
    for (row, cells) in rows.iter().enumerate() {
        for (column, cell) in cells.iter().enumerate() {
            let (row, column) = (row as u32, column as u16);
            match cell.parse::<f64>() {
                Ok(number) => sheet.write_number(row, column, number).expect("a number"),
                Err(_) => sheet.write_string(row, column, *cell).expect("a text"),
            };
        }
    }
    book
}

const HEADER: [&str; 6] = ["catalogNumber", "length_mm", "width_mm", "height_mm", "fluid", "note"];

/// Reads the survey from a workbook of this name, with the stock list as CSV.
fn survey(name: &str, bytes: Vec<u8>) -> Reading {
    read_texts(&BTreeMap::from([(name.to_owned(), bytes), ("vessels.csv".to_owned(), STOCK.into())]), &[], false)
}

fn told(reading: &Reading) -> Vec<String> {
    reading.diagnostics.iter().map(|found| found.to_string().lines().next().unwrap_or_default().to_owned()).collect()
}

#[test]
fn a_wrong_cell_is_named_by_sheet_and_cell() {
    let rows: [&[&str]; 3] =
        [&HEADER, &["A1", "50", "20", "20", "ethanol-70", ""], &["A2", "50", "20", "12 cmm", "ethanol-70", ""]];
    let reading = survey("specimens.xlsx", bytes(sheet("Survey", &rows)));
    assert_eq!(
        told(&reading),
        ["specimens.xlsx, sheet Survey, row 3, height_mm (D3): \"12 cmm\" – \"cmm\" is not a unit used here"]
    );
    assert_eq!(reading.sheets["specimens.xlsx"], "Survey");
    let repeated: [&[&str]; 3] =
        [&HEADER, &["A1", "50", "20", "20", "ethanol-70", ""], &["A1", "50", "20", "20", "ethanol-70", ""]];
    let reading = survey("specimens.xlsx", bytes(sheet("specimens", &repeated)));
    assert_eq!(
        told(&reading),
        ["specimens.xlsx, sheet specimens, row 3, catalogNumber (A3): the key \"A1\" is also in row 2"]
    );
}

#[test]
fn rows_have_the_numbers_that_the_sheet_shows() {
    // Empty first rows and columns, blank rows between, line breaks within cells.
    let mut book = Workbook::new();
    let page = book.add_worksheet();
    for (row, cells) in [
        (3, HEADER),
        (5, ["A1", "50", "20", "20", "ethanol-70", "one\ntwo\r\nthree, \"four\""]),
        (9, ["A2", "fifty", "20", "20", "ethanol-70", "tab\there"]),
    ] {
        for (column, cell) in cells.iter().enumerate() {
            page.write_string(row, column as u16 + 2, *cell).expect("a text");
        }
    }
    page.write_string(7, 30, "stray").expect("a text");
    let reading = survey("specimens.xlsx", bytes(book));
    assert_eq!(
        told(&reading),
        [
            "specimens.xlsx, sheet Sheet1, row 8, column 31 (AE8): \"stray\" is in a column without a header",
            "specimens.xlsx, sheet Sheet1, row 10, length_mm (D10): \"fifty\" – not a number",
        ]
    );
}

#[test]
fn numbers_dates_formulas_and_texts_have_the_typed_value() {
    let mut book = Workbook::new();
    let page = book.add_worksheet();
    let header =
        ["catalogNumber", "length_mm", "width_mm", "height_mm", "fluid", "individualCount", "section_give_pct"];
    page.write_row(0, 0, header.into_iter().chain(["when", "sum", "yes"])).expect("a header");
    page.write_number(1, 0, 1042.0).expect("a number");
    page.write_number(1, 1, 0.1 + 0.2 + 120.0).expect("a number");
    page.write_string(1, 2, "20,5").expect("a text");
    page.write_string(1, 3, "2 cm").expect("a text");
    page.write_string(1, 4, " ethanol-70 ").expect("a text");
    page.write_number(1, 5, 3.0).expect("a number");
    page.write_number_with_format(1, 6, 0.07, &Format::new().set_num_format("0%")).expect("a number");
    let day = ExcelDateTime::from_ymd(1958, 3, 1).expect("a day");
    page.write_datetime_with_format(1, 7, &day, &Format::new().set_num_format("d mmm yyyy")).expect("a date");
    page.write_formula(1, 8, Formula::new("=40+2").set_result("42")).expect("a formula");
    page.write_boolean(1, 9, true).expect("a truth");
    page.set_column_hidden(9).expect("a column");
    let reading = survey("specimens.xlsx", bytes(book));
    assert_eq!(told(&reading), [""; 0]);
    let specimen = reading.project.expect("nothing is wrong").collection.specimens.remove(0);
    assert_eq!(specimen.key.catalog_number, "1042");
    let rehouse::collection::Size::Measured(size) = specimen.size else { panic!("measured") };
    assert_eq!([size.length.mm(), size.width.mm(), size.height.mm()], [120.3, 20.5, 20.0]);
    assert_eq!((specimen.individuals, specimen.section_give), (3, 0.07));
    assert_eq!(specimen.particulars.carried, ["1958-03-01", "42", "true"]);
}

#[test]
fn cells_without_a_value_of_their_own_are_reported() {
    let mut book = sheet("specimens", &[&HEADER, &["A1", "50", "20", "20", "ethanol-70", ""]]);
    let page = book.worksheet_from_name("specimens").expect("the sheet");
    page.write_formula(1, 1, Formula::new("=1/0").set_result("#DIV/0!")).expect("a formula");
    page.write_formula(1, 5, Formula::new("=NA()").set_result("#N/A")).expect("a formula");
    page.write_formula(2, 0, Formula::new("=\"A\"&2").set_result("")).expect("a formula");
    let day = ExcelDateTime::from_ymd(2026, 2, 1).expect("a day");
    page.write_datetime_with_format(3, 0, &day, &Format::new().set_num_format("yyyy-mm-dd")).expect("a date");
    page.write_row(3, 1, [50, 20, 20]).expect("a row");
    page.write_string(3, 4, "ethanol-70").expect("a text");
    page.merge_range(4, 2, 5, 3, "20", &Format::new()).expect("a merge");
    let found = told(&survey("specimens.xlsx", bytes(book)));
    for wanted in [
        "specimens.xlsx, sheet specimens, row 2, length_mm (B2): the cell holds the error \"#DIV/0!\"",
        "specimens.xlsx, sheet specimens, row 2, note (F2): the cell holds the error \"#N/A\", which is carried through as text",
        "specimens.xlsx, sheet specimens, row 4, catalogNumber (A4): the cell is the date \"2026-02-01\": spreadsheets turn \
         what looks like a date into one",
        "specimens.xlsx, sheet specimens, row 5 (C5): C5:D6 is merged: only its first cell has a value",
    ] {
        assert!(found.iter().any(|line| line == wanted), "{wanted}\nis not among\n{found:#?}");
    }
}

#[test]
fn the_sheet_named_like_the_file_is_read_or_else_the_only_sheet() {
    let row: &[&str] = &["A1", "50", "20", "20", "ethanol-70", ""];
    let two = |first: &str, second: &str| {
        let mut book = sheet(first, &[&["this is", "a note"]]);
        let page = book.add_worksheet().set_name(second).expect("a name");
        page.write_row(0, 0, HEADER).expect("a header");
        page.write_row(1, 0, row.iter().copied()).expect("a row");
        // Sizes as numbers.
        page.write_row(1, 1, [50, 20, 20]).expect("a row");
        survey("specimens.xlsx", bytes(book))
    };
    for name in ["specimens", "Specimens", "survey"] {
        let reading = two("notes", name);
        assert_eq!(reading.sheets["specimens.xlsx"], name);
        assert!(reading.project.is_some(), "{:?}", told(&reading));
    }
    let found = two("Sheet1", "specimen list").diagnostics;
    assert_eq!(
        found[0].to_string(),
        "specimens.xlsx: none of its 2 sheets is named \"specimens\": they are \"Sheet1\", \
         \"specimen list\"\n    → rename the one to read \"specimens\"  [which-sheet]"
    );
    assert_eq!(two("survey", "specimens").diagnostics[0].code.name(), "which-sheet");
}

/// A CSV file as a workbook, numbers as numbers, with a sheet of notes before it.
pub fn as_workbook(csv: &Path, name: &str) -> Vec<u8> {
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_path(csv).expect("a CSV file");
    let mut book = Workbook::new();
    book.add_worksheet().set_name("notes").expect("a name").write_string(0, 0, "Not read").expect("a text");
    let page = book.add_worksheet().set_name(name).expect("a name");
    for (row, record) in reader.records().enumerate() {
        for (column, cell) in record.expect("a record").iter().enumerate().filter(|(_, cell)| !cell.is_empty()) {
            let (row, column) = (row as u32, column as u16);
            match cell.parse::<f64>() {
                Ok(number) => page.write_number(row, column, number).expect("a number"),
                Err(_) => page.write_string(row, column, cell).expect("a text"),
            };
        }
    }
    bytes(book)
}

fn run(arguments: &[&Path]) -> (i32, String, String) {
    let output = cargo_bin_cmd!("rehouse").args(arguments).output().expect("it runs");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (output.status.code().unwrap_or(-1), text(&output.stdout), text(&output.stderr))
}

#[test]
fn the_demo_in_workbooks_gives_the_same_plan_byte_for_byte() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let [project, from_csv, from_books] = ["books", "csv", "xlsx"].map(|name| folder.path().join(name));
    fs::create_dir(&project).expect("a folder");
    for name in ["specimens", "vessels", "suppliers", "fluid-stock"] {
        let book = as_workbook(&Path::new("demo-data").join(format!("{name}.csv")), name);
        fs::write(project.join(format!("{name}.xlsx")), book).expect("a workbook");
    }
    fs::copy("demo-data/settings.toml", project.join("settings.toml")).expect("the settings");
    let (plan, out) = (Path::new("plan"), Path::new("--out"));
    let (code, screen, told) = run(&[plan, &project, out, &from_books]);
    assert_eq!(code, 0, "{told}");
    assert!(told.contains("Read sheet \"specimens\" of"), "{told}");
    let (code, same_screen, told) = run(&[plan, Path::new("demo-data"), out, &from_csv]);
    assert_eq!(code, 0, "{told}");
    let without_names = |screen: &str| screen.lines().filter(|line| !line.contains("Files:")).count();
    assert_eq!(without_names(&screen), without_names(&same_screen));
    for name in ["placements.csv", "purchases.csv", "tanks.csv", "panes.csv", "inputs/settings.toml"] {
        let read = |folder: &Path| fs::read(folder.join(name)).expect(name);
        assert_eq!(read(&from_books), read(&from_csv), "{name}");
    }
    let json = |folder: &Path| {
        let text = fs::read_to_string(folder.join("plan.json")).expect("plan.json");
        let mut value: serde_json::Value = serde_json::from_str(&text).expect("JSON");
        value.as_object_mut().expect("an object").remove("files").expect("digests");
        value
    };
    assert_eq!(json(&from_books), json(&from_csv));
    let (code, screen, told) = run(&[Path::new("audit"), &from_books, Path::new("--against"), &project]);
    assert_eq!(code, 0, "{screen}{told}");
}

#[test]
fn the_same_table_as_text_and_as_a_workbook_is_an_error_not_a_guess() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let at = |name: &str| folder.path().join(name);
    fs::copy("demo-data/vessels.csv", at("vessels.csv")).expect("a copy");
    fs::copy("demo-data/specimens.csv", at("specimens.csv")).expect("a copy");
    fs::write(at("specimens.xlsx"), as_workbook(&at("specimens.csv"), "specimens")).expect("a workbook");
    let (code, _, told) = run(&[Path::new("check"), folder.path()]);
    assert_eq!(code, 2);
    assert!(told.contains("[two-files]") && told.contains("specimens.xlsx"), "{told}");
    let (code, _, told) = run(&[Path::new("check"), &at("specimens.xlsx"), &at("vessels.csv")]);
    assert_eq!(code, 0, "{told}");
}

#[test]
fn rules_and_terms_may_be_workbooks_too() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let at = |name: &str| folder.path().join(name);
    fs::create_dir(at("rules")).expect("a folder");
    let fluids = as_workbook(Path::new("src/rules/tables/fluids.csv"), "fluids");
    fs::write(at("rules/fluids.xlsx"), fluids).expect("a workbook");
    fs::write(at("terms.xlsx"), as_workbook(Path::new("demo-data/suppliers.csv"), "suppliers")).expect("a workbook");
    let names = ["demo-data/specimens.csv", "demo-data/vessels.csv", "--suppliers"].map(Path::new);
    let rules = at("rules");
    let terms = at("terms.xlsx");
    let (code, screen, told) =
        run(&[&[Path::new("check")], &names[..], &[&terms, Path::new("--rules"), &rules]].concat());
    assert_eq!(code, 0, "{told}");
    assert!(screen.contains("Suppliers         4, with their terms"), "{screen}");
    let (code, screen, told) = run(&[Path::new("rules"), Path::new("fluids"), Path::new("--rules"), &rules]);
    assert_eq!((code, screen.contains("ethanol-70")), (0, true), "{told}");
}
