//! Refuses to replace an input's folder or a folder with somebody's work.

use std::path::{Path, PathBuf};
use std::{env, fs, io};

use super::place::OutputPlace;
use super::{OutputFailure, PLAN_FILE, digests, sha256};

/// Refuses a place that must not or cannot be replaced.
pub(super) fn check(place: &OutputPlace, inputs: &[PathBuf], replace: bool) -> Result<(), OutputFailure> {
    let refused = |reason: &str, cure: &str| Err(OutputFailure::refused(&place.shown, reason, cure));
    let Ok(found) = fs::metadata(&place.real) else { return Ok(()) };
    if !found.is_dir() {
        return refused("it is a file", "name a folder");
    }
    if let Some(input) = place.holds_any_of(inputs) {
        let reason = format!("it is, or holds, an input ({})", input.display());
        return refused(&reason, "name a separate folder for the output");
    }
    if env::current_dir().and_then(fs::canonicalize).is_ok_and(|here| here.starts_with(&place.real)) {
        return refused("it is, or holds, the folder you are in", "name a new folder, or run this from outside it");
    }
    // On Windows this attribute means nothing for a folder.
    if cfg!(unix) && found.permissions().readonly() {
        return refused("it is read-only", "name another folder, or allow writing to it");
    }
    if is_mount_point(&found, &place.parent) {
        return refused("it is a separate disk, which cannot be replaced", "name a new folder inside it");
    }
    if replace { Ok(()) } else { refuse_to_lose_work(place) }
}

/// Refuses a folder that holds anything a plan did not write, or that was changed since. A missing file of the plan is no loss.
/// `plan.json` has no digest, so changes to it are not noticed.
fn refuse_to_lose_work(place: &OutputPlace) -> Result<(), OutputFailure> {
    let OutputPlace { shown, real, .. } = place;
    let read = || OutputFailure::system(shown, "read what is in it");
    let lost = |reason: &str, names: &[String]| {
        let cure = "name another folder, or move what you want to keep; `--replace` deletes everything in it";
        Err(OutputFailure::refused(shown, format!("{reason} {}", some_of(names)), cure))
    };
    let plan_json = real.join(PLAN_FILE);
    // Reading a pipe might never end.
    let is_file = fs::metadata(&plan_json).is_ok_and(|found| found.is_file());
    let listed = match if is_file { fs::read(&plan_json) } else { Err(io::ErrorKind::NotFound.into()) } {
        Ok(plan_json) => digests::listed(&plan_json),
        Err(error) if error.kind() == io::ErrorKind::NotFound => None,
        Err(error) => return Err(read()(error)),
    };
    let Some(listed) = listed else {
        // Only the names are listed: it may be anybody's folder, of any size.
        let names = names_in(real).map_err(read())?;
        return if names.is_empty() { Ok(()) } else { lost("it is not a saved plan and holds", &names) };
    };
    let (mut unlisted, mut changed) = (Vec::new(), Vec::new());
    for (name, path) in digests::files_in(real).map_err(read())? {
        match listed.get(&name) {
            None if name == PLAN_FILE => {}
            None => unlisted.push(name),
            // A file to be written in; whoever replaces the folder must save its content first.
            Some(None) => {}
            Some(Some(digest)) => {
                if !path.is_file()
                    || sha256(&fs::read(&path).map_err(OutputFailure::system(&path, "read it"))?) != *digest
                {
                    changed.push(name);
                }
            }
        }
    }
    if !unlisted.is_empty() {
        return lost("it holds files that its plan.json does not list:", &unlisted);
    }
    if !changed.is_empty() {
        return lost("files in it have changed since it was written:", &changed);
    }
    Ok(())
}

fn names_in(folder: &Path) -> io::Result<Vec<String>> {
    let name = |entry: io::Result<fs::DirEntry>| Ok(entry?.file_name().to_string_lossy().into_owned());
    let mut names = fs::read_dir(folder)?.map(name).collect::<io::Result<Vec<_>>>()?;
    names.sort();
    Ok(names)
}

/// The first few names, with the number of the others.
fn some_of(names: &[String]) -> String {
    const SHOWN: usize = 5;
    let more = names.len().saturating_sub(SHOWN);
    let shown = names[..names.len() - more].join(", ");
    if more == 0 { shown } else { format!("{shown} and {more} more") }
}

#[cfg(unix)]
fn is_mount_point(found: &fs::Metadata, parent: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    fs::metadata(parent).is_ok_and(|parent| parent.dev() != found.dev())
}

#[cfg(not(unix))]
fn is_mount_point(_: &fs::Metadata, _: &Path) -> bool {
    false
}
