//! The inputs that are kept with the project: an archive for each target.

use std::fs;
use std::io::{Cursor, Read, Write};
use std::path::PathBuf;

use zip::write::SimpleFileOptions;
use zip::{ZipArchive, ZipWriter};

/// The archive of a target.
pub fn path(target: &str) -> PathBuf {
    let root = env!("CARGO_MANIFEST_DIR");
    let here = if root.ends_with("fuzz") { PathBuf::from(root) } else { PathBuf::from(root).join("tests/fuzz") };
    here.join("corpus").join(format!("{target}.zip"))
}

/// Inputs as an archive.
pub fn pack(inputs: &[Vec<u8>]) -> Vec<u8> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (number, input) in inputs.iter().enumerate() {
        archive.start_file(number.to_string(), SimpleFileOptions::default()).expect("memory takes all");
        archive.write_all(input).expect("memory takes all");
    }
    archive.finish().expect("memory takes all").into_inner()
}

/// The inputs that are kept of a target.
pub fn inputs(target: &str) -> Vec<Vec<u8>> {
    let bytes = fs::read(path(target)).expect("a corpus of each target");
    let mut archive = ZipArchive::new(Cursor::new(bytes)).expect("an archive");
    let n = archive.len();
    let mut input = |index| {
        let mut bytes = Vec::new();
        archive.by_index(index).expect("an input").read_to_end(&mut bytes).expect("an input");
        bytes
    };
    (0..n).map(&mut input).collect()
}
