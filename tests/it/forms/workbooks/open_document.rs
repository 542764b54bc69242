//! OpenDocument spreadsheets.

use std::io::Write;

use zip::write::SimpleFileOptions;

use super::{survey, told};

/// An OpenDocument spreadsheet of one table with these rows.
pub fn document(name: &str, rows: &str) -> Vec<u8> {
    let mut archive = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let stored = SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    let mut part = |name: &str, options: SimpleFileOptions, text: &str| {
        archive.start_file(name, options).expect("a part");
        archive.write_all(text.as_bytes()).expect("a part");
    };
    part("mimetype", stored, "application/vnd.oasis.opendocument.spreadsheet");
    part(
        "META-INF/manifest.xml",
        SimpleFileOptions::default(),
        "<manifest:manifest xmlns:manifest=\"urn:oasis:names:tc:opendocument:xmlns:manifest:1.0\"/>",
    );
    let content = format!(
        "<?xml version=\"1.0\"?><office:document-content \
         xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" \
         xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" \
         xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\"><office:body><office:spreadsheet>\
         <table:table table:name=\"{name}\">{rows}</table:table></office:spreadsheet></office:body>\
         </office:document-content>"
    );
    part("content.xml", SimpleFileOptions::default(), &content);
    archive.finish().expect("an archive").into_inner()
}

pub fn text(cell: &str) -> String {
    format!("<table:table-cell office:value-type=\"string\"><text:p>{cell}</text:p></table:table-cell>")
}

pub fn number(kind: &str, value: &str) -> String {
    format!(
        "<table:table-cell office:value-type=\"{kind}\" office:value=\"{value}\"><text:p>?</text:p></table:table-cell>"
    )
}

pub fn row(cells: &[String]) -> String {
    format!("<table:table-row>{}</table:table-row>", cells.concat())
}

pub fn header() -> String {
    row(&["catalogNumber", "length_mm", "width_mm", "height_mm", "fluid", "section_give_pct", "when"].map(text))
}

#[test]
fn a_document_is_read_by_its_values_without_its_empty_end() {
    let date = "<table:table-cell office:value-type=\"date\" office:date-value=\"1958-03-01\"><text:p>?</text:p></table:table-cell>";
    let sound = row(&[
        text("A1"),
        number("float", "120.30000000000001"),
        number("float", "20"),
        text("2,5 cm"),
        text("ethanol-70"),
        number("percentage", "0.05"),
        date.to_owned(),
    ]);
    let end = "<table:table-row table:number-rows-repeated=\"1048000\"><table:table-cell \
               table:number-columns-repeated=\"16384\"/></table:table-row>";
    let reading = survey("specimens.ods", document("any name", &[header(), sound, end.to_owned()].concat()));
    assert_eq!(told(&reading), [""; 0]);
    let specimen = reading.project.expect("nothing is wrong").collection.specimens.remove(0);
    let rehouse::collection::Size::Measured(size) = specimen.size else { panic!("measured") };
    assert_eq!([size.length.mm(), size.width.mm(), size.height.mm()], [120.3, 20.0, 25.0]);
    assert_eq!((specimen.section_give, &specimen.particulars.carried[..]), (0.05, &["1958-03-01".to_owned()][..]));
}

#[test]
fn merged_cells_and_errors_of_a_document_are_reported() {
    let merged = "<table:table-cell table:number-rows-spanned=\"1\" table:number-columns-spanned=\"2\" \
                  office:value-type=\"float\" office:value=\"20\"><text:p>20</text:p></table:table-cell><table:covered-table-cell/>";
    let error = "<table:table-cell table:formula=\"of:=1/0\" office:value-type=\"string\" office:string-value=\"\" \
                 calcext:value-type=\"error\" xmlns:calcext=\"urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0\">\
                 <text:p>#DIV/0!</text:p></table:table-cell>";
    let rows = [
        header(),
        "<table:table-row table:number-rows-repeated=\"3\"/>".to_owned(),
        row(&[text("A1"), number("float", "50"), merged.to_owned(), text("ethanol-70")]),
        row(&[text("A2"), error.to_owned(), number("float", "20"), number("float", "20"), text("ethanol-70")]),
    ];
    let found = told(&survey("specimens.ods", document("specimens", &rows.concat())));
    for wanted in [
        "specimens.ods, sheet specimens, row 5 (C5): C5:D5 is merged: only its first cell has a value",
        "specimens.ods, sheet specimens, row 6, length_mm (B6): the cell holds the error \"#DIV/0!\"",
    ] {
        assert!(found.iter().any(|line| line == wanted), "{wanted}\nis not among\n{found:#?}");
    }
}

#[test]
fn a_document_of_a_million_repeated_rows_is_refused() {
    let swollen = "<table:table-row table:number-rows-repeated=\"1048576\"><table:table-cell \
                   table:number-columns-repeated=\"16384\" office:value-type=\"float\" office:value=\"1\"/></table:table-row>";
    let reading = survey("specimens.ods", document("specimens", &[header(), swollen.to_owned()].concat()));
    assert_eq!(reading.diagnostics[0].code.name(), "workbook-too-large", "{:?}", told(&reading));
}
