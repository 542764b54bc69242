//! Reads the bytes of a file, or says why it cannot be read. A file that exists but cannot be read is never treated as missing,
//! and pipes found in a folder are not read, so that a run never waits for them.

use std::fs::{self, FileType, Metadata};
use std::io::{self, Read};
use std::path::Path;

use super::findings::Findings;
use crate::diagnostics::{Code, Diagnostic, Place};

/// Most bytes that are read from a pipe or a terminal, which may never end.
const MOST_OF_A_STREAM: u64 = 500_000_000;

/// Largest file that is read, in bytes: about ten million rows of a survey.
const MOST_OF_A_FILE: u64 = 2_000_000_000;

/// Largest settings file that is read, in bytes: a thousand times one with every setting.
pub const MOST_OF_SETTINGS: u64 = 10_000_000;

/// Whether a file is at most this large; if not, reports it.
pub fn fits(path: &str, bytes: &[u8], most: u64, findings: &mut Findings) -> bool {
    let size = bytes.len() as u64;
    if size > most {
        findings.report(too_large(path.to_owned(), size, most));
    }
    size <= most
}

fn too_large(path: String, size: u64, most: u64) -> Diagnostic {
    let message = format!("this file has {} MB; at most {} MB are read", size / 1_000_000, most / 1_000_000);
    Diagnostic::error(Code::TooLarge, Place::file(path), message).cure("divide it, or name another file")
}

/// Whether an entry with this name exists, of any type; a link counts even if it is broken.
///
/// # Errors
/// If the folder may not be searched.
pub fn exists(path: &Path) -> Result<bool, Diagnostic> {
    match fs::symlink_metadata(path) {
        Ok(_) => Ok(true),
        Err(error) if matches!(error.kind(), io::ErrorKind::NotFound | io::ErrorKind::NotADirectory) => Ok(false),
        Err(error) => Err(fault(path, &error)),
    }
}

/// The bytes of a file in a project folder. Links are followed.
///
/// # Errors
/// If it is not a regular file or may not be read.
pub fn file(path: &Path) -> Result<Vec<u8>, Diagnostic> {
    let found = fs::metadata(path).map_err(|error| fault(path, &error))?;
    if !found.is_file() {
        return Err(not_a_file(path, &found).cure("put the file itself there, or name another one on the command line"));
    }
    whole(path, &found)
}

fn whole(path: &Path, found: &Metadata) -> Result<Vec<u8>, Diagnostic> {
    if found.len() > MOST_OF_A_FILE {
        return Err(too_large(path.display().to_string(), found.len(), MOST_OF_A_FILE));
    }
    let (bytes, before, after) = between_looks(path).map_err(|error| fault(path, &error))?;
    let state = |found: &Metadata| (found.len(), found.modified().ok());
    if state(&before) != state(&after) {
        let error = cannot_read(path, "this file was changed while it was read".to_owned());
        return Err(error.cure("wait until nobody writes to it, then run the same again"));
    }
    Ok(bytes)
}

/// The bytes of a file, and how it stood before and after they were read.
fn between_looks(path: &Path) -> io::Result<(Vec<u8>, Metadata, Metadata)> {
    let mut open = fs::File::open(path)?;
    let before = open.metadata()?;
    let mut bytes = Vec::new();
    // Room is asked for at once, so that a want of it is an error and not the end.
    let room = usize::try_from(before.len()).map_err(io::Error::other)?;
    bytes.try_reserve_exact(room)?;
    open.read_to_end(&mut bytes)?;
    Ok((bytes, before, open.metadata()?))
}

/// The bytes of a file, or of a pipe, that was named on the command line.
///
/// # Errors
/// If it is a folder, a disk or the like, or may not be read.
pub fn file_or_pipe(path: &Path) -> Result<Vec<u8>, Diagnostic> {
    let found = fs::metadata(path).map_err(|error| fault(path, &error))?;
    if found.is_file() {
        return whole(path, &found);
    }
    if !is_stream(found.file_type()) {
        return Err(not_a_file(path, &found).cure("name a file"));
    }
    let mut bytes = Vec::new();
    let stream = fs::File::open(path).and_then(|open| open.take(MOST_OF_A_STREAM + 1).read_to_end(&mut bytes));
    stream.map_err(|error| fault(path, &error))?;
    if bytes.len() as u64 > MOST_OF_A_STREAM {
        let message =
            format!("more than {} MB were read from it without reaching its end", MOST_OF_A_STREAM / 1_000_000);
        return Err(cannot_read(path, message).cure("name a file"));
    }
    Ok(bytes)
}

/// The names in a folder, sorted. A name that is not Unicode is left out: no file that is read has one.
///
/// # Errors
/// If it is not a folder (links are followed) or may not be listed.
pub fn names_in(folder: &Path) -> Result<Vec<String>, Diagnostic> {
    let found = fs::metadata(folder).map_err(|error| fault(folder, &error))?;
    if !found.is_dir() {
        let cure = "put the tables into a folder of this name, or remove the file";
        return Err(cannot_read(folder, "this must be a folder".to_owned()).cure(cure));
    }
    let entries = fs::read_dir(folder).map_err(|error| fault(folder, &error))?;
    let names = entries.map(|entry| Ok(entry?.file_name().into_string().ok())).collect::<io::Result<Vec<_>>>();
    let mut names: Vec<String> = names.map_err(|error| fault(folder, &error))?.into_iter().flatten().collect();
    names.sort();
    Ok(names)
}

fn not_a_file(path: &Path, found: &Metadata) -> Diagnostic {
    let what = if found.is_dir() { "a folder" } else { "a pipe or a device" };
    cannot_read(path, format!("this is {what}, not a file"))
}

/// Turns an error of the system into a diagnostic.
fn fault(path: &Path, error: &io::Error) -> Diagnostic {
    let is_link = fs::symlink_metadata(path).is_ok_and(|found| found.is_symlink());
    let is_folder = fs::metadata(path).is_ok_and(|found| found.is_dir());
    match error.kind() {
        io::ErrorKind::NotFound if is_link => {
            cannot_read(path, "this is a broken link".to_owned()).cure("point it to the file, or remove it")
        }
        io::ErrorKind::NotFound => {
            cannot_read(path, "there is no such file".to_owned()).cure("check the name and the permissions")
        }
        io::ErrorKind::PermissionDenied if is_folder => {
            cannot_read(path, "you do not have permission to open this folder".to_owned())
                .cure("give permission to open it, or name another one")
        }
        io::ErrorKind::PermissionDenied => {
            cannot_read(path, "you do not have permission to read this file or to open its folder".to_owned())
                .cure("give permission for both, or name another one")
        }
        _ if is_link => cannot_read(path, format!("this link cannot be followed: {error}"))
            .cure("point it to the file, or remove it"),
        _ => cannot_read(path, format!("this cannot be read: {error}")).cure("check the name and the permissions"),
    }
}

fn cannot_read(path: &Path, message: String) -> Diagnostic {
    Diagnostic::error(Code::CannotRead, Place::file(path.display().to_string()), message)
}

/// Whether it is read to its end like a pipe.
#[cfg(unix)]
fn is_stream(kind: FileType) -> bool {
    use std::os::unix::fs::FileTypeExt;
    kind.is_fifo() || kind.is_char_device()
}

#[cfg(not(unix))]
fn is_stream(kind: FileType) -> bool {
    !kind.is_dir()
}
