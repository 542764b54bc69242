//! Several files as one text, so that their names, cells and bytes are all changed alike.

use std::collections::BTreeMap;
use std::io::{Cursor, Write};

use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

/// Files by name.
pub type Files = BTreeMap<String, Vec<u8>>;

/// Before the name of each file.
const HEAD: &[u8] = b"=== ";

/// Of an archive's parts, the one that says which of its bytes are changed after it is made: three bytes a change.
const CHANGED: &str = "!bytes";

/// Files as one text.
pub fn joined<N: AsRef<str>, B: AsRef<[u8]>>(files: impl IntoIterator<Item = (N, B)>) -> Vec<u8> {
    let mut text = Vec::new();
    for (name, bytes) in files {
        if !text.is_empty() {
            text.push(b'\n');
        }
        text.extend_from_slice(HEAD);
        text.extend_from_slice(name.as_ref().as_bytes());
        text.push(b'\n');
        text.extend_from_slice(bytes.as_ref());
    }
    text
}

/// The files of a text; what stands before the first is nobody's.
pub fn files(text: &[u8]) -> Files {
    let starts: Vec<usize> =
        (0..text.len()).filter(|at| text[*at..].starts_with(HEAD) && (*at == 0 || text[*at - 1] == b'\n')).collect();
    let ends = starts.iter().skip(1).map(|next| next - 1).chain([text.len()]);
    let file = |(start, end): (&usize, usize)| {
        let text = &text[start + HEAD.len()..end.max(start + HEAD.len())];
        let name_ends = text.iter().position(|byte| *byte == b'\n').unwrap_or(text.len());
        let name = String::from_utf8_lossy(&text[..name_ends]).into_owned();
        (name, text.get(name_ends + 1..).unwrap_or_default().to_vec())
    };
    starts.iter().zip(ends).map(file).collect()
}

/// The files as an archive, which a workbook is.
pub fn archive(mut files: Files) -> Vec<u8> {
    let changed = files.remove(CHANGED).unwrap_or_default();
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
    for (name, bytes) in files {
        // A name that no archive takes is left out.
        if archive.start_file(name, stored).is_ok() {
            let _ = archive.write_all(&bytes);
        }
    }
    let Ok(made) = archive.finish() else { return Vec::new() };
    let mut bytes = made.into_inner();
    for change in changed.chunks_exact(3) {
        let place = usize::from(u16::from_be_bytes([change[0], change[1]])) * bytes.len() / 65_536;
        if let Some(byte) = bytes.get_mut(place) {
            *byte = change[2];
        }
    }
    bytes
}
