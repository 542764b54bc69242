//! Whole files, their headers and the shape of their rows.

use super::{ReadingCase, STOCK, SURVEY, found, one_row};
use rehouse::intake;
use rehouse::intake::Sources;
use rehouse::units::Money;

#[test]
fn files_in_utf_16_are_refused() {
    let text: Vec<u8> = SURVEY.encode_utf16().flat_map(u16::to_le_bytes).collect();
    found(ReadingCase::survey([b"\xFF\xFE".to_vec(), text.clone()].concat()), &["specimens.csv utf-16"]);
    found(ReadingCase::survey(text), &["specimens.csv utf-16"]);
}

#[test]
fn files_in_latin_1_are_refused_at_the_first_such_byte_and_read_on() {
    let text = b"catalogNumber,scientificName,length_mm,width_mm,height_mm,fluid\nA-1,M\xFCller,x,20,30,ethanol-70\n";
    let case = ReadingCase::survey(text.to_vec());
    assert_eq!(case.found(), ["specimens.csv:2:6 not-utf-8", "specimens.csv:2:12 not-a-number"]);
    assert!(case.read().diagnostics[0].message.contains("\"Müller\""));
}

#[test]
fn bytes_that_are_not_text_are_refused() {
    found(ReadingCase::survey(b"PK\x03\x04anything".to_vec()), &["specimens.csv not-text"]);
    found(ReadingCase::survey(format!("{SURVEY}\0")), &["specimens.csv not-text"]);
}

#[test]
fn an_empty_file_is_an_error() {
    found(ReadingCase::survey("\r\n \n"), &["specimens.csv empty-file"]);
}

#[test]
fn a_header_without_rows_is_a_warning() {
    found(ReadingCase::survey(SURVEY.lines().next().unwrap()), &["specimens.csv no-rows?"]);
    // Blank rows of a sheet do not count as rows.
    found(
        ReadingCase::survey(format!("{}\n,,,,\n , ,,,\n", SURVEY.lines().next().unwrap())),
        &["specimens.csv no-rows?"],
    );
}

#[test]
fn a_missing_file_is_reported() {
    let dir = tempfile::tempdir().unwrap();
    let reading = intake::read(&Sources::named(dir.path().join("a.csv"), dir.path()), &[], false);
    let folder = dir.path().display().to_string();
    let ours = reading.diagnostics.iter().filter(|d| d.place.file.starts_with(&folder));
    let codes: Vec<&str> = ours.map(|d| d.code.name()).collect();
    assert_eq!(codes, ["cannot-read", "cannot-read"]);
    assert!(reading.project.is_none());
    assert!(Sources::project(&dir.path().join("none")).unwrap_err().to_string().contains("no such folder"));
    assert!(Sources::project(dir.path()).unwrap_err().message.contains("no specimens.csv and no vessels.csv"));
}

#[test]
fn two_files_in_the_wrong_order_are_reported_once() {
    let case = ReadingCase::survey(STOCK).with("vessels.csv", SURVEY);
    found(ReadingCase::survey(STOCK).with("vessels.csv", SURVEY), &["specimens.csv wrong-order"]);
    assert!(case.says().contains("→ give them in this order: vessels.csv specimens.csv  ["));
    found(ReadingCase::survey(STOCK), &["specimens.csv wrong-order"]);
    found(ReadingCase::stock(SURVEY), &["vessels.csv wrong-order"]);
}

#[test]
fn a_project_folder_is_found_with_its_files() {
    let dir = tempfile::tempdir().unwrap();
    let case = ReadingCase::settings("budget = 100\n");
    std::fs::create_dir(dir.path().join("rules")).unwrap();
    for (name, bytes) in &case.files {
        std::fs::write(dir.path().join(name), bytes).unwrap();
    }
    std::fs::write(dir.path().join("rules/fluid.csv"), "x").unwrap();
    let reading = intake::read(&Sources::project(dir.path()).unwrap(), &[], false);
    assert_eq!(reading.project.unwrap().settings.budget, Some(Money::whole(100)));
    let mut names: Vec<&String> = reading.files.iter().map(|file| &file.name).collect();
    names.sort();
    assert_eq!(names, case.files.keys().collect::<Vec<_>>());
    let survey = reading.files.iter().find(|file| file.name == "specimens.csv").unwrap();
    assert_eq!(survey.path, dir.path().join("specimens.csv").display().to_string());
    assert_eq!(survey.bytes, SURVEY.as_bytes());
    assert_eq!(reading.diagnostics.len(), 1);
    assert_eq!(reading.diagnostics[0].code.name(), "unknown-table");
    assert!(reading.diagnostics[0].cure.as_ref().unwrap().contains("fluids.csv"));
}

#[test]
fn a_missing_column_is_reported_once_with_the_likely_name() {
    let case = ReadingCase::survey(SURVEY.replace("width_mm", "widht_mm"));
    assert_eq!(case.found(), ["specimens.csv:1 missing-column"]);
    assert!(case.says().contains("→ if you mean the column \"widht_mm\", rename it \"width_mm\"  ["));
    let case = ReadingCase::survey(SURVEY.replace("width_mm", "remarks"));
    assert!(case.says().contains("the columns found are: catalogNumber, length_mm, remarks, height_mm, fluid"));
}

#[test]
fn duplicate_columns_are_refused_even_under_two_names() {
    found(ReadingCase::survey(one_row("depth_cm", "3")), &["specimens.csv:1:50 duplicate-column"]);
    found(ReadingCase::survey(one_row("Notes,notes", "a,b")), &["specimens.csv:1:56 duplicate-column"]);
}

#[test]
fn a_misspelt_optional_column_is_a_warning() {
    let case = ReadingCase::survey(one_row("postrue", "any"));
    assert_eq!(case.found(), ["specimens.csv:1:50 unknown-column?"]);
    assert_eq!(case.project().collection.carried_headers, ["postrue"]);
}

#[test]
fn an_unknown_unit_in_a_header_is_refused() {
    found(ReadingCase::survey(one_row("mass_oz", "3")), &["specimens.csv:1:50 unknown-unit"]);
    found(ReadingCase::survey(SURVEY.replace("width_mm", "width_ft")), &["specimens.csv:1:25 unknown-unit"]);
}

#[test]
fn rows_with_cells_too_many_or_too_few_are_refused() {
    found(ReadingCase::survey(format!("{SURVEY}A-2,1,2,3,ethanol-70,5\n")), &["specimens.csv:3:22 ragged-row"]);
    found(ReadingCase::survey(format!("{SURVEY}A-2,1,2,3\n")), &["specimens.csv:3:9 ragged-row"]);
}

#[test]
fn a_cell_in_a_column_without_a_name_is_refused() {
    found(ReadingCase::survey(one_row("", "left over")), &["specimens.csv:2:26 unnamed-column"]);
    found(ReadingCase::survey(one_row("", "")), &[]);
}

#[test]
fn an_unclosed_quote_is_reported_where_it_opens() {
    found(
        ReadingCase::survey(format!("{SURVEY}A-2,\"1,2,3,ethanol-70\nA-3,1,2,3,x\n")),
        &["specimens.csv:3:5 unclosed-quote"],
    );
    // The quote is closed only by the opening quote of the next quoted cell.
    found(
        ReadingCase::survey(one_row("notes,hold", "\"open,\nA-2,1,2,3,ethanol-70,\"closed\",")),
        &["specimens.csv:2:26 unclosed-quote"],
    );
    found(ReadingCase::survey("\"catalogNumber,length_mm\nA-1,2\n"), &["specimens.csv:1:1 unclosed-quote"]);
}

#[test]
fn text_after_a_closing_quote_is_refused() {
    found(ReadingCase::survey(one_row("notes", "\"5\" tall")), &["specimens.csv:2:26 stray-quote"]);
    // In an unquoted cell a quotation mark is text.
    found(ReadingCase::survey(one_row("notes", "5\" tall")), &[]);
}
