//! Numbers, units and decimal marks.

use super::{ReadingCase, SURVEY, found, one_row};

#[test]
fn invalid_sizes_are_refused() {
    for (cell, code) in [
        ("0", "zero"),
        ("0.0", "zero"),
        ("-5", "negative"),
        ("−5 mm", "negative"),
        ("NaN", "not-finite"),
        ("inf", "not-finite"),
        ("-Infinity", "not-finite"),
        ("abc", "not-a-number"),
        ("1e3", "not-a-number"),
        ("1 000", "not-a-number"),
        ("1_000", "not-a-number"),
        ("+5", "not-a-number"),
        ("5.", "not-a-number"),
        ("mm", "not-a-number"),
        ("12 cmm", "unknown-unit"),
        ("12 ft", "unknown-unit"),
        ("12 g", "unknown-unit"),
        ("100001", "too-large"),
        ("101 m", "too-large"),
        ("99999999999999999999999999999999999999999", "too-large"),
    ] {
        assert_eq!(
            ReadingCase::survey(SURVEY.replace(",20,", &format!(",{cell},"))).found(),
            [format!("specimens.csv:2:9 {code}")],
            "{cell}"
        );
    }
}

#[test]
fn the_cell_is_quoted_with_a_cure() {
    let case = ReadingCase::survey(SURVEY.replace(",20,", ",12 cmm,"));
    assert_eq!(
        case.says(),
        "specimens.csv, row 2, width_mm: \"12 cmm\" – \"cmm\" is not a unit used here\n    \
         → write 120 mm, 12 cm, 0.12 m or 4.7 in  [unknown-unit]"
    );
}

#[test]
fn ambiguous_numbers_are_refused() {
    for cell in ["1.234,5", "1,234.5", "1,234", "12,5", "1.234.567"] {
        let quoted = format!(",\"{cell}\",");
        assert_eq!(
            ReadingCase::survey(SURVEY.replace(",20,", &quoted)).found(),
            ["specimens.csv:2:9 ambiguous-number"],
            "{cell}"
        );
    }
    for cell in ["1.234,5", "1,234.5", "1.234.567"] {
        let text = SURVEY.replace(',', ";").replace(";20;", &format!(";{cell};"));
        assert_eq!(ReadingCase::survey(text).found(), ["specimens.csv:2:9 ambiguous-number"], "{cell}");
    }
}

#[test]
fn an_ambiguous_number_names_its_ambiguous_mark() {
    let says = |cell: &str| ReadingCase::survey(SURVEY.replace(",20,", &format!(",\"{cell}\","))).says();
    assert!(says("1,5").contains("the comma may be a decimal mark"));
    assert!(!says("12..3").contains("comma"));
}

#[test]
fn a_number_that_may_have_thousands_is_refused_where_the_file_uses_both_marks() {
    let semicolons = |cells: &str| SURVEY.replace(',', ";").replace("100;20;30", cells);
    found(ReadingCase::survey(semicolons("1.234;2,5;30")), &["specimens.csv:2:5 ambiguous-number"]);
    found(ReadingCase::survey(semicolons("12.5;1,234;30")), &["specimens.csv:2:10 ambiguous-number"]);
    found(ReadingCase::survey(semicolons("1.234;20;30")), &[]);
    found(ReadingCase::survey(semicolons("1,234;0.125;2.5")), &["specimens.csv:2:5 ambiguous-number"]);
    found(ReadingCase::survey(semicolons("12,25;0.125;2.5")), &[]);
}

#[test]
fn a_measure_without_any_unit_is_refused() {
    found(ReadingCase::survey(SURVEY.replace("width_mm", "width")), &["specimens.csv:2:9 unit-missing"]);
    found(ReadingCase::survey(SURVEY.replace("width_mm", "width").replace(",20,", ",2 cm,")), &[]);
}

#[test]
fn ounces_alone_are_refused() {
    let case = ReadingCase::survey(one_row("mass_g", "3 oz"));
    assert_eq!(case.found(), ["specimens.csv:2:26 unknown-unit"]);
    assert!(case.says().contains("oz may be a mass or one of two fluid ounces"));
}

#[test]
fn counts_must_be_whole_and_within_bounds() {
    for (header, cell, code) in [
        ("individualCount", "2.5", "not-whole"),
        ("individualCount", "0", "out-of-range"),
        ("individualCount", "3 pieces", "unknown-unit"),
        ("individualCount", "4294967296", "too-large"),
        ("priority", "5", "not-a-priority"),
        ("max_vessels", "0", "out-of-range"),
        ("section_give_pct", "21", "out-of-range"),
        ("body_factor", "1.2", "out-of-range"),
        ("body_factor", "0", "zero"),
        ("current_strength_pct", "101", "out-of-range"),
        ("keep_years", "2000", "out-of-range"),
        ("tank_quote", "1.23456", "too-precise"),
        ("tank_quote", "12 EUR", "unknown-unit"),
        ("tank_quote", "99999999999999", "too-large"),
    ] {
        assert_eq!(
            ReadingCase::survey(one_row(header, cell)).found(),
            [format!("specimens.csv:2:26 {code}")],
            "{header} {cell}"
        );
    }
}
