//! Line and column of diagnostics, in files of every shape.

use super::{ReadingCase, SURVEY, found};

#[test]
fn places_are_right_whatever_the_line_ends() {
    let lines =
        ["catalogNumber,length_mm,width_mm,height_mm,fluid", "A-1,100,20,30,ethanol-70", "A-2,100,20,x,ethanol-70"];
    for end in ["\n", "\r\n", "\r"] {
        found(ReadingCase::survey(lines.join(end)), &["specimens.csv:3:12 not-a-number"]);
        found(ReadingCase::survey(format!("{}{end}", lines.join(end))), &["specimens.csv:3:12 not-a-number"]);
    }
}

#[test]
fn places_are_right_after_blank_lines() {
    for end in ["\n", "\r\n"] {
        let text = format!(
            "{end}{end}catalogNumber,length_mm,width_mm,height_mm,fluid{end}{end}A-1,1,2,3,ethanol-70{end}{end}{end}A-2,x,2,3,ethanol-70"
        );
        found(ReadingCase::survey(text), &["specimens.csv:8:5 not-a-number"]);
    }
}

#[test]
fn places_are_right_after_a_byte_order_mark_and_a_separator_line() {
    let text = format!("\u{feff}sep=;\r\n{}A-2;x;20;30;ethanol-70\r\n", SURVEY.replace(',', ";").replace('\n', "\r\n"));
    found(ReadingCase::survey(text), &["specimens.csv:4:5 not-a-number"]);
    let text = format!("\u{feff}{}", SURVEY.replace("length_mm", "lenght_mm"));
    found(ReadingCase::survey(text), &["specimens.csv:1 missing-column"]);
}

#[test]
fn places_count_characters_not_bytes() {
    let text = "scientificName,catalogNumber,length_mm,width_mm,height_mm,fluid\n鰻 Ærø,A-1,x,20,30,ethanol-70\n";
    found(ReadingCase::survey(text), &["specimens.csv:2:11 not-a-number"]);
}

#[test]
fn places_are_right_with_quoted_line_breaks() {
    let header = "catalogNumber,notes,length_mm,width_mm,height_mm,fluid";
    for end in ["\n", "\r\n"] {
        // In the same row the column counts from the last line break; the next row is two lines below.
        let text =
            format!("{header}{end}A-1,\"one,{end}\"\"two\"\"\",x,20,30,ethanol-70{end}A-2,,y,20,30,ethanol-70{end}");
        found(ReadingCase::survey(text), &["specimens.csv:3:10 not-a-number", "specimens.csv:4:6 not-a-number"]);
    }
}

#[test]
fn a_quoted_cell_starts_at_its_quote() {
    found(ReadingCase::survey(SURVEY.replace("100", "\"x\"")), &["specimens.csv:2:5 not-a-number"]);
}

#[test]
fn rows_have_the_numbers_of_a_spreadsheet_and_columns_their_headers() {
    let header = "catalogNumber,notes,length_mm,width_mm,height_mm,fluid";
    let text = format!("{header}\nA-1,\"one,\ntwo\nthree\",1,20,30,ethanol-70\n\nA-2,,y,20,30,ethanol-70\n");
    let case = ReadingCase::survey(text);
    found(case, &["specimens.csv:6:6 not-a-number"]);
    let case =
        ReadingCase::survey(format!("{header}\nA-1,\"one,\ntwo\",1,20,30,ethanol-70\nA-2,,y,20,30,ethanol-70\n"));
    let said = case.says();
    assert!(said.starts_with("specimens.csv, row 3, length_mm: \"y\""), "{said}");
    assert!(said.ends_with("  [not-a-number]"), "{said}");
    let said = ReadingCase::settings("[clearance]\nwall_pct = -1\n").says();
    assert!(said.starts_with("settings.toml, line 2, clearance.wall_pct: "), "{said}");
}
