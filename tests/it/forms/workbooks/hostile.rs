//! Files that only look like workbooks, or are made to do harm.

use std::collections::BTreeMap;
use std::io::Write;

use proptest::prelude::*;
use rehouse::intake::read_texts;
use rust_xlsxwriter::Workbook;
use zip::write::SimpleFileOptions;

use super::{HEADER, STOCK, bytes, sheet, survey, told};

fn sound() -> Vec<u8> {
    bytes(sheet("specimens", &[&HEADER, &["A1", "50", "20", "20", "ethanol-70", "x"]]))
}

#[test]
fn a_file_that_is_no_workbook_is_reported_with_a_cure() {
    for (content, wanted) in [
        (b"catalogNumber,fluid\n".to_vec(), "not a workbook, despite its extension"),
        (b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1".to_vec(), "has a password, or is in the old .xls format"),
        (b"PK\x03\x04 and nothing more".to_vec(), "cannot be read as a workbook"),
        (Vec::new(), "not a workbook, despite its extension"),
        (sound()[..400].to_vec(), "cannot be read as a workbook"),
        (bytes(Workbook::new()), "this file is empty"),
    ] {
        for name in ["specimens.xlsx", "specimens.ods"] {
            let found = told(&survey(name, content.clone()));
            assert_eq!(found.len(), 1, "{found:?}");
            assert!(found[0].contains(wanted), "{found:?}");
        }
    }
}

#[test]
fn a_cell_at_the_far_corner_of_a_sheet_is_handled_without_filling_memory() {
    let mut book = sheet("specimens", &[&HEADER, &["A1", "50", "20", "20", "ethanol-70", ""]]);
    let page = book.worksheet_from_name("specimens").expect("the sheet");
    page.write_string(1_048_575, 16_383, "far").expect("a text");
    let found = told(&survey("specimens.xlsx", bytes(book)));
    assert_eq!(found, ["specimens.xlsx, sheet specimens: its cells are too far apart: 1048576 rows of 16384 columns"]);
}

#[test]
fn a_file_that_unpacks_to_more_than_the_limit_is_refused() {
    let mut archive = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    archive.start_file("xl/sharedStrings.xml", SimpleFileOptions::default()).expect("a file");
    let block = vec![b' '; 1 << 20];
    for _ in 0..600 {
        archive.write_all(&block).expect("a block");
    }
    let found = told(&survey("specimens.xlsx", archive.finish().expect("an archive").into_inner()));
    assert!(found[0].contains("this workbook unpacks to 629 MB"), "{found:?}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    /// Bytes changed anywhere, inside the parts or in the archive: the file is read or refused, without a panic.
    #[test]
    fn a_damaged_workbook_is_read_or_refused(part in 0usize..20, at in any::<prop::sample::Index>(), byte in any::<u8>(), cut in any::<bool>()) {
        let whole = sound();
        let damaged = if part < 4 {
            let mut bytes = whole;
            let at = at.index(bytes.len());
            if cut { bytes.truncate(at) } else { bytes[at] = byte }
            bytes
        } else {
            damaged_inside(&whole, part, |text| {
                let at = at.index(text.len());
                if cut { text.truncate(at) } else { text[at] = byte }
            })
        };
        let texts = BTreeMap::from([("specimens.xlsx".to_owned(), damaged), ("vessels.csv".to_owned(), STOCK.into())]);
        let reading = read_texts(&texts, &[], false);
        prop_assert!(reading.project.is_some() || !reading.diagnostics.is_empty());
    }
}

/// The archive packed again with one of its parts changed.
fn damaged_inside(whole: &[u8], part: usize, change: impl FnOnce(&mut Vec<u8>)) -> Vec<u8> {
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(whole)).expect("an archive");
    let mut packed = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let wanted = part % archive.len();
    let mut change = Some(change);
    for index in 0..archive.len() {
        let mut file = archive.by_index(index).expect("a part");
        let mut text = Vec::new();
        std::io::Read::read_to_end(&mut file, &mut text).expect("a part");
        if let Some(change) = change.take_if(|_| index == wanted) {
            change(&mut text);
        }
        packed.start_file(file.name().expect("a name"), SimpleFileOptions::default()).expect("a part");
        packed.write_all(&text).expect("a part");
    }
    packed.finish().expect("an archive").into_inner()
}
