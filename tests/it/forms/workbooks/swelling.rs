//! Small workbooks that would swell when read: refused quickly, before they are expanded.

use std::io::{Cursor, Read, Write};
use std::time::{Duration, Instant};

use rust_xlsxwriter::Workbook;
use zip::write::SimpleFileOptions;

use super::open_document::{document, header, number, row, text};
use super::{HEADER, bytes, survey, told};

fn specimen(key: &str) -> String {
    row(&[text(key), number("float", "50"), number("float", "20"), number("float", "20"), text("ethanol-70")])
}

/// The messages on a survey of this content, which must come within five seconds.
fn said_at_once(name: &str, content: Vec<u8>) -> Vec<String> {
    let start = Instant::now();
    let found = told(&survey(name, content));
    assert!(start.elapsed() < Duration::from_secs(5), "{:?}", start.elapsed());
    found
}

fn repeated(rows: u64, columns: u64, kind: &str) -> String {
    format!(
        "<table:table-row table:number-rows-repeated=\"{rows}\"><table:table-cell \
         table:number-columns-repeated=\"{columns}\" office:value-type=\"{kind}\" office:value=\"0.1\">\
         <text:p>x</text:p></table:table-cell></table:table-row>"
    )
}

#[test]
fn repeated_cells_are_counted_before_they_are_made() {
    for (rows, columns) in
        [(100_000, 100), (100_000, 500), (1_048_576, 10), (4_000_000_000, 16_384), (u64::MAX, u64::MAX)]
    {
        for kind in ["float", "percentage", "string"] {
            let content = document("specimens", &[header(), specimen("A1"), repeated(rows, columns, kind)].concat());
            let found = said_at_once("specimens.ods", content);
            assert_eq!(found.len(), 1, "{found:?}");
            assert!(found[0].contains("much larger when it is read than on the disk"), "{found:?}");
        }
    }
    let found =
        said_at_once("specimens.ods", document("specimens", &[header(), repeated(1, 16_384, "string")].concat()));
    assert!(!found.is_empty());
    let wide = document("specimens", &[repeated(1, 16_384, "string"), specimen("A1")].concat());
    assert!(!said_at_once("specimens.ods", wide).is_empty());
}

#[test]
fn far_cells_and_repeated_spaces_are_handled_within_five_seconds() {
    let far = "<table:table-row table:number-rows-repeated=\"1048000\"><table:table-cell/></table:table-row>";
    let wide = format!(
        "<table:table-row><table:table-cell table:number-columns-repeated=\"16000\"/>{}</table:table-row>",
        text("x")
    );
    let found = said_at_once("specimens.ods", document("specimens", &[header(), far.to_owned(), wide].concat()));
    assert!(found[0].contains("too far apart: 1048002 rows of 16001 columns"), "{found:?}");
    for count in ["4000000000", "400000000"] {
        let spaces = format!("<text:s text:c=\"{count}\"/>");
        let found = said_at_once("specimens.ods", document("specimens", &[header(), specimen(&spaces)].concat()));
        assert!(found[0].contains("its text would fill"), "{found:?}");
    }
}

/// A workbook with the text of one of its parts changed.
fn with_part(whole: &[u8], wanted: &str, change: impl Fn(String) -> String) -> Vec<u8> {
    let mut archive = zip::ZipArchive::new(Cursor::new(whole)).expect("an archive");
    let mut packed = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for index in 0..archive.len() {
        let mut file = archive.by_index(index).expect("a part");
        let name = file.name().expect("a name").to_string();
        let mut text = String::new();
        file.read_to_string(&mut text).expect("a part is text");
        packed.start_file(&name, SimpleFileOptions::default()).expect("a part");
        packed.write_all(if name == wanted { change(text) } else { text }.as_bytes()).expect("a part");
    }
    packed.finish().expect("an archive").into_inner()
}

#[test]
fn a_false_count_of_shared_texts_is_refused_within_five_seconds() {
    let whole = bytes(super::sheet("specimens", &[&HEADER, &["A1", "50", "20", "20", "ethanol-70", "x"]]));
    for claimed in ["999999999999", "4000000000", "18446744073709551615"] {
        let forged = with_part(&whole, "xl/sharedStrings.xml", |text| {
            let (before, after) = text.split_once("uniqueCount=\"").expect("a count");
            format!("{before}uniqueCount=\"{claimed}\"{}", &after[after.find('"').expect("its end") + 1..])
        });
        let found = said_at_once("specimens.xlsx", forged);
        assert!(found[0].contains("more than it can hold"), "{found:?}");
    }
}

#[test]
fn one_long_text_in_thousands_of_cells_is_not_copied_thousands_of_times() {
    let mut book = Workbook::new();
    let page = book.add_worksheet().set_name("specimens").expect("a name");
    for (column, head) in HEADER.iter().enumerate() {
        page.write_string(0, column as u16, *head).expect("a text");
    }
    let long = "x".repeat(32_000);
    for row in 1..12_000 {
        page.write_string(row, 5, &long).expect("a text");
    }
    let found = said_at_once("specimens.xlsx", bytes(book));
    assert!(found[0].contains("its text would fill more than 300 MB"), "{:.300}", found[0]);
}

#[test]
fn an_honest_document_of_very_many_rows_is_read() {
    // As spreadsheet programs save it: equal neighbours in one cell, empty ones up to the edges.
    let rows = if std::env::var_os("REHOUSE_LARGE").is_some() { 1_048_574 } else { 60_000 };
    let mut all = header();
    for n in 0..rows {
        all.push_str(&format!(
            "<table:table-row>{}<table:table-cell table:number-columns-repeated=\"3\" office:value-type=\"float\" \
             office:value=\"20\"><text:p>20</text:p></table:table-cell>{}<table:table-cell \
             table:number-columns-repeated=\"16379\"/></table:table-row>",
            text(&format!("A{n}")),
            text("ethanol-70")
        ));
    }
    all.push_str("<table:table-row table:number-rows-repeated=\"900000\"><table:table-cell table:number-columns-repeated=\"16384\"/></table:table-row>");
    let reading = survey("specimens.ods", document("specimens", &all));
    assert_eq!(told(&reading), [""; 0]);
    assert_eq!(reading.project.expect("nothing is wrong").collection.specimens.len(), rows);
}

#[test]
fn repeated_percentages_are_percentages_in_every_cell() {
    let across = "<table:table-cell table:number-columns-repeated=\"1\" office:value-type=\"percentage\" office:value=\"0.05\"/>";
    let row = |n: u32, give: &str| {
        format!(
            "<table:table-row>{}<table:table-cell table:number-columns-repeated=\"3\" office:value-type=\"float\" \
             office:value=\"20\"/>{}{give}</table:table-row>",
            text(&format!("A{n}")),
            text("ethanol-70")
        )
    };
    let plain = number("float", "5");
    let content = document("specimens", &[header(), row(1, across), row(2, &plain), row(3, across)].concat());
    let project = survey("specimens.ods", content).project.expect("nothing is wrong");
    let gives: Vec<f64> = project.collection.specimens.iter().map(|specimen| specimen.section_give).collect();
    assert_eq!(gives, [0.05; 3]);
}

#[test]
fn a_document_that_is_cut_off_is_refused() {
    let rows = format!("{}{}", header(), specimen("A1"));
    let whole = document("specimens", &rows);
    for (what, end) in
        [("in the table", "</table:table>"), ("in a row", "</table:table-row>"), ("in a text", "</text:p>")]
    {
        let cut = with_part(&whole, "content.xml", |text| text[..text.rfind(end).expect("it is there")].to_owned());
        // What waits for an end that never comes would wait for ever.
        let (send, receive) = std::sync::mpsc::channel();
        std::thread::spawn(move || send.send(told(&survey("specimens.ods", cut))));
        let told = receive.recv_timeout(Duration::from_secs(60)).unwrap_or_else(|_| panic!("{what}: it does not end"));
        assert!(told[0].contains("cannot be read as a workbook"), "{what}: {told:?}");
    }
}

#[test]
fn messages_about_a_damaged_document_are_short() {
    let long_name = document(&"specimens".repeat(500), &specimen("A1"));
    // The library quotes a name up to the next sign that ends it.
    let unclosed = with_part(&document("specimens", &header()), "content.xml", |text| {
        text.replacen("</table:table-cell>", &format!("</tab\"le:{}>", "table-cell ".repeat(500)), 1)
    });
    for (content, said) in [(long_name, "missing"), (unclosed, "cannot be read as a workbook")] {
        let found = survey("specimens.ods", content).diagnostics;
        assert!(found.iter().any(|found| found.message.contains(said)), "{}", found[0]);
        assert!(found.iter().all(|found| found.to_string().len() < 1000), "{}", found[0]);
    }
}
