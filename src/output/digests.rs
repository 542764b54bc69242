//! Compares the files of a saved plan with the list in `plan.json`.

use std::collections::BTreeMap;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use serde::Deserialize;
use sha2::{Digest, Sha256};

use super::{File, OutputFailure};
use crate::system::threads::at_once;

/// The file of a saved plan that lists all others. It cannot list itself.
pub const PLAN_FILE: &str = "plan.json";

/// SHA-256 (FIPS 180-4) in lower-case hexadecimal.
pub fn sha256(bytes: &[u8]) -> String {
    hexadecimal(&Sha256::digest(bytes))
}

fn hexadecimal(digest: &[u8]) -> String {
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// A writer that computes the digest of what passes through it.
pub struct Digesting<'a> {
    out: &'a mut dyn Write,
    digest: Sha256,
}

impl<'a> Digesting<'a> {
    /// Passes everything on to `out`.
    pub fn new(out: &'a mut dyn Write) -> Self {
        Digesting { out, digest: Sha256::new() }
    }

    /// SHA-256 of everything that was written, as [`sha256`] writes it.
    pub fn sha256(self) -> String {
        hexadecimal(&self.digest.finalize())
    }
}

impl Write for Digesting<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let written = self.out.write(bytes)?;
        self.digest.update(&bytes[..written]);
        Ok(written)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

/// Names of files that are changed, missing or not listed, sorted; `plan.json` itself if its list cannot be read. `files` are
/// those of the folder, with or without `plan.json`. A file listed without a digest is meant to be written in; it may differ or
/// be missing.
pub fn verify_digests(plan_json: &[u8], files: &[File]) -> Vec<String> {
    not_as_listed(plan_json, &digests_of(files))
}

/// SHA-256 of each file, by name.
pub fn digests_of(files: &[File]) -> BTreeMap<String, String> {
    at_once(files, |file| (file.name.clone(), sha256(&file.bytes))).into_iter().collect()
}

/// As [`verify_digests`], from the digests of the files.
pub fn not_as_listed(plan_json: &[u8], found: &BTreeMap<String, String>) -> Vec<String> {
    let (mut missing, mut wrong) = match listed(plan_json) {
        Some(listed) => (listed, Vec::new()),
        None => (BTreeMap::new(), vec![PLAN_FILE.to_owned()]),
    };
    for (name, found) in found.iter().filter(|(name, _)| *name != PLAN_FILE) {
        let as_written = match missing.remove(name) {
            Some(Some(digest)) => digest == *found,
            Some(None) => true,
            None => false,
        };
        if !as_written {
            wrong.push(name.clone());
        }
    }
    wrong.extend(missing.into_iter().filter(|(_, digest)| digest.is_some()).map(|(name, _)| name));
    wrong.sort();
    wrong.dedup();
    wrong
}

/// All files of a saved plan, sorted by name.
///
/// # Errors
/// If there is no such folder, it holds no `plan.json`, or an entry cannot be read as a file.
pub fn read_folder(dir: &Path) -> Result<Vec<File>, OutputFailure> {
    if !dir.is_dir() {
        let reason = if dir.exists() { "it is not a folder" } else { "there is no such folder" };
        return Err(OutputFailure::refused(dir, reason, "name the folder that `--out` named when the plan was made"));
    }
    let mut files = Vec::new();
    for (name, path) in files_in(dir).map_err(OutputFailure::system(dir, "read the saved plan"))? {
        // Reading a pipe might never end.
        if !fs::metadata(&path).map_err(OutputFailure::system(&path, "read it"))?.is_file() {
            return Err(OutputFailure::refused(&path, "it is not a file", "remove it from the folder of the plan"));
        }
        files.push(File { bytes: fs::read(&path).map_err(OutputFailure::system(&path, "read it"))?, name });
    }
    if files.iter().all(|file| file.name != PLAN_FILE) {
        let reason = "it holds no plan.json, so it is not a saved plan";
        return Err(OutputFailure::refused(dir, reason, "name the folder that `--out` named when the plan was made"));
    }
    Ok(files)
}

/// The digests that a `plan.json` lists, by file name; a file that is meant to be written in has none. `None` if there is no
/// readable list.
pub fn listed(plan_json: &[u8]) -> Option<BTreeMap<String, Option<String>>> {
    #[derive(Deserialize)]
    struct PlanDigests {
        files: Vec<FileDigest>,
    }
    #[derive(Deserialize)]
    struct FileDigest {
        name: String,
        sha256: Option<String>,
    }
    let plan: PlanDigests = serde_json::from_slice(plan_json).ok()?;
    Some(plan.files.into_iter().map(|file| (file.name, file.sha256)).collect())
}

/// Everything in a folder that is not a folder itself, by its `/`-separated name. Links are listed, not followed.
pub(super) fn files_in(dir: &Path) -> std::io::Result<BTreeMap<String, PathBuf>> {
    let mut found = BTreeMap::new();
    let mut folders = vec![(String::new(), dir.to_owned())];
    while let Some((prefix, folder)) = folders.pop() {
        for entry in fs::read_dir(folder)? {
            let entry = entry?;
            let name = format!("{prefix}{}", entry.file_name().to_string_lossy());
            if entry.file_type()?.is_dir() {
                folders.push((name + "/", entry.path()));
            } else {
                found.insert(name, entry.path());
            }
        }
    }
    Ok(found)
}
