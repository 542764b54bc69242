//! The inputs that are kept with the project: an archive for each target.

use std::fs;
use std::io::{Cursor, Read, Write};
use std::path::PathBuf;

use zip::write::SimpleFileOptions;
use zip::{ZipArchive, ZipWriter};

/// The archive of a target, for the tests and for the search.
pub fn path(target: &str) -> PathBuf {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    let tests = if root.ends_with("tests/fuzz") { root.join("../it") } else { root.join("tests/it") };
    tests.join("fuzzing/corpus").join(format!("{target}.zip"))
}

/// Inputs as an archive, all in one part, each after its length: most are much like another.
pub fn pack(inputs: &[Vec<u8>]) -> Vec<u8> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    archive.start_file("inputs", SimpleFileOptions::default()).expect("memory takes all");
    for input in inputs {
        let length = u32::try_from(input.len()).expect("inputs are short");
        archive.write_all(&length.to_be_bytes()).expect("memory takes all");
        archive.write_all(input).expect("memory takes all");
    }
    archive.finish().expect("memory takes all").into_inner()
}

/// The inputs that are kept of a target.
pub fn inputs(target: &str) -> Vec<Vec<u8>> {
    let bytes = fs::read(path(target)).expect("a corpus of each target");
    let mut archive = ZipArchive::new(Cursor::new(bytes)).expect("an archive");
    let mut all = Vec::new();
    archive.by_name("inputs").expect("its part").read_to_end(&mut all).expect("inputs");
    let (mut inputs, mut rest) = (Vec::new(), &all[..]);
    while let Some((length, after)) = rest.split_first_chunk() {
        let (input, after) = after.split_at(u32::from_be_bytes(*length) as usize);
        inputs.push(input.to_vec());
        rest = after;
    }
    inputs
}
