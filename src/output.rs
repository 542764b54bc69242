//! Writes all files of a run together or not at all.
//!
//! This module knows nothing about plans; it writes named byte strings. A folder `out` is replaced in five steps, with two hidden
//! names beside it (if `out` is a link: beside the folder it leads to):
//!
//! 1. every file is written to `.out.rehouse-unfinished` and synced;
//! 2. `out`, if there is one, is renamed to `.out.rehouse-set-aside`;
//! 3. `.out.rehouse-unfinished` is renamed to `out`, and the folder around them is synced;
//! 4. `.out.rehouse-set-aside` is renamed to `.out.rehouse-unfinished`;
//! 5. `.out.rehouse-unfinished` is removed.
//!
//! So a folder named *unfinished* may always be deleted, and one named *set aside* is always complete. Wherever the process or
//! the power stops, the next start ([`recover`]) knows from the names alone what to do:
//!
//! | stopped | `out` | set aside | unfinished | the next start |
//! |---|---|---|---|---|
//! | in 1 | old, or none | – | in part | removes the unfinished one: the old one stays |
//! | after 1 | old, or none | – | whole | the same |
//! | after 2 | – | old | whole | puts the old one back and removes the unfinished one |
//! | after 3 | new | old | – | does 4 and 5: the new one stays |
//! | after 4, in 5 | new | – | old, in part | does 5 |
//! | in a next start | old or new | – | in part | as above: each of its steps leads to a line of this table |
//!
//! Signals interrupt neither steps 2 to 4 nor step 5 ([`interrupt::critical`]); if a rename fails, the earlier ones are undone.
//! In step 1 a signal that ends the process removes the unfinished folder first ([`interrupt::begin`]). Runs that write in the
//! same parent folder take turns. Somebody may have made a new `out` by hand while the old one was set aside: an empty folder is
//! replaced by the old one, a folder with a `plan.json` counts as the new plan, and any other must be sorted out by its owner.
//! Step 5 may fail (a file is open elsewhere); the plan is written all the same, and the next start tries again.
//!
//! New files get the mode that the umask gives, so that colleagues can read them; a folder or file that replaces another gets the
//! mode of the old one.

mod check;
mod digests;
mod failure;
mod place;
#[cfg(test)]
mod tests;

use std::collections::BTreeSet;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use crate::system::interrupt;
use crate::system::threads::both;
use check::check;
use place::{OutputPlace, exists, is_empty, remove, sync_folder};

pub use digests::{Digesting, PLAN_FILE, digests_of, listed, not_as_listed, read_folder, sha256, verify_digests};
pub use failure::OutputFailure;

/// One file of a folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct File {
    /// Its path in the folder: relative, `/`-separated (`inputs/rules/fluids.csv`).
    pub name: String,
    /// Its content.
    pub bytes: Vec<u8>,
}

/// A file of a folder that is written while it is made, so that it is never held in memory as a whole.
pub struct MadeFile<'a> {
    /// Its path in the folder, as in [`File`].
    pub name: &'a str,
    /// Writes its content.
    pub write: &'a (dyn Fn(&mut dyn Write) -> io::Result<()> + Sync),
}

/// Restores a folder after an interrupted run, as the table above says. Does nothing if nothing is left over.
///
/// # Errors
/// If the system refuses, or if both a folder set aside and a new folder that is not a plan exist.
pub fn recover(dir: &Path) -> Result<(), OutputFailure> {
    // If the parent folder does not exist, nothing was written there.
    let Ok(place) = OutputPlace::of(dir) else { return Ok(()) };
    if !exists(&place.unfinished) && !exists(&place.set_aside) {
        return Ok(());
    }
    let _turn = place.take_turn()?;
    put_right(&place)
}

/// Refuses before the work what [`write_folder`] would refuse after it: a folder that is or holds an input (`inputs`: files or
/// folders); a place that is not a folder or cannot be replaced; unless `replace` is set, a folder with files that its
/// `plan.json` does not list or that have changed since; and a parent folder in which nothing can be made.
pub fn check_writable(dir: &Path, inputs: &[PathBuf], replace: bool) -> Result<(), OutputFailure> {
    let place = OutputPlace::of(dir)?;
    let _turn = place.take_turn()?;
    put_right(&place)?;
    check(&place, inputs, replace)?;
    fs::create_dir(&place.unfinished)
        .and_then(|()| fs::remove_dir(&place.unfinished))
        .map_err(OutputFailure::system(dir, "make a folder beside it"))
}

/// Writes a whole folder, replacing an existing one. `inputs` and `replace` as in [`check_writable`].
///
/// # Errors
/// As of [`check_writable`], or if writing fails; the folder is then unchanged.
pub fn write_folder(dir: &Path, files: &[File], inputs: &[PathBuf], replace: bool) -> Result<(), OutputFailure> {
    stage_folder(dir, files, &[], inputs, replace)?.publish()
}

/// Does step 1 alone: writes all files to the disk under the unfinished name.
///
/// # Errors
/// As of [`check_writable`], or if writing fails; nothing is then left behind.
pub fn stage_folder(
    dir: &Path,
    files: &[File],
    made: &[MadeFile],
    inputs: &[PathBuf],
    replace: bool,
) -> Result<Staged, OutputFailure> {
    let place = OutputPlace::of(dir)?;
    let turn = place.take_turn()?;
    put_right(&place)?;
    check(&place, inputs, replace)?;
    let staged = Staged { place, _turn: turn };
    stage(&staged.place, files, made)?;
    Ok(staged)
}

/// A folder after step 1. If it is dropped without [`Staged::publish`], it is removed.
pub struct Staged {
    place: OutputPlace,
    _turn: Option<fs::File>,
}

impl Staged {
    /// Does steps 2 to 5.
    ///
    /// # Errors
    /// If a rename fails; the old folder is then unchanged.
    pub fn publish(self) -> Result<(), OutputFailure> {
        interrupt::critical(|| swap(&self.place))
    }
}

impl Drop for Staged {
    fn drop(&mut self) {
        // The unfinished name now holds either the replaced folder or an abandoned one. If it cannot be removed, the next start
        // tries again. While a signal handler ends the process, this waits for good.
        let _ = interrupt::critical(|| remove(&self.place.unfinished));
    }
}

/// Writes one file, replacing an existing one, but never an input (`inputs`: files). A terminal or a pipe is written to directly.
///
/// # Errors
/// If it must not or cannot be written; an existing file is then unchanged.
pub fn write_file(path: &Path, bytes: &[u8], inputs: &[PathBuf]) -> Result<(), OutputFailure> {
    let old = fs::metadata(path).ok();
    if old.as_ref().is_some_and(|old| !old.is_file() && !old.is_dir()) {
        let through = fs::OpenOptions::new().write(true).open(path).and_then(|mut open| open.write_all(bytes));
        return through.map_err(OutputFailure::system(path, "write to it"));
    }
    let place = OutputPlace::of(path)?;
    if old.as_ref().is_some_and(fs::Metadata::is_dir) {
        return Err(OutputFailure::refused(path, "it is a folder", "name a file, such as one inside it"));
    }
    if place.holds_any_of(inputs).is_some() {
        return Err(OutputFailure::refused(path, "it is one of the inputs", "name another file"));
    }
    if old.as_ref().is_some_and(|old| old.permissions().readonly()) {
        return Err(OutputFailure::refused(path, "it is read-only", "name another file, or allow writing to it"));
    }
    let _turn = place.take_turn()?;
    write_in_turn(&place, bytes, old)
}

/// Writes a file under the unfinished name and renames it. An existing file's mode is kept.
fn write_in_turn(place: &OutputPlace, bytes: &[u8], old: Option<fs::Metadata>) -> Result<(), OutputFailure> {
    let written = remove(&place.unfinished)
        .and_then(|()| interrupt::begin(&place.unfinished, || fs::File::create_new(&place.unfinished)))
        .and_then(|file| fill_synced(file, FileContent::Bytes(bytes)))
        .and_then(|()| old.map_or(Ok(()), |old| hand_on_mode(&old, &place.unfinished)))
        .and_then(|()| fs::rename(&place.unfinished, &place.real))
        .map_err(OutputFailure::system(&place.shown, "write it"));
    let _ = interrupt::critical(|| remove(&place.unfinished));
    // If the rename is lost in a power cut, the old file is still there.
    let _ = sync_folder(&place.parent);
    written
}

/// Writes a file into a folder under a new name: `done.xlsx` as `done-1.xlsx`, or `done-2.xlsx` and so on. Makes the folder if
/// there is none.
///
/// # Errors
/// If it cannot be written; nothing is then changed.
pub fn write_under_new_name(folder: &Path, name: &str, bytes: &[u8]) -> Result<PathBuf, OutputFailure> {
    fs::create_dir_all(folder).map_err(OutputFailure::system(folder, "make this folder"))?;
    // Runs that do the same take turns, so that no two choose the same name.
    let _turn = OutputPlace::of(&folder.join(name))?.take_turn()?;
    let (stem, ending) = name.rsplit_once('.').unwrap_or((name, ""));
    let path = (1..).map(|n| folder.join(format!("{stem}-{n}.{ending}"))).find(|path| !exists(path));
    let path = path.unwrap_or_else(|| folder.join(name));
    write_in_turn(&OutputPlace::of(&path)?, bytes, None)?;
    Ok(path)
}

/// Lets those who may read a file also execute it; without effect except on Unix.
///
/// # Errors
/// If the system refuses.
pub fn let_run(path: &Path) -> io::Result<()> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = fs::metadata(path)?.permissions().mode();
        fs::set_permissions(path, fs::Permissions::from_mode(mode | (mode & 0o444) >> 2))?;
    }
    Ok(())
}

/// Restores the folder; the table at the top gives the cases.
fn put_right(place: &OutputPlace) -> Result<(), OutputFailure> {
    if exists(&place.unfinished) {
        remove(&place.unfinished)
            .map_err(OutputFailure::system(&place.unfinished, "remove what an earlier run left there"))?;
    }
    if !exists(&place.set_aside) {
        return Ok(());
    }
    let put_back = |()| fs::rename(&place.set_aside, &place.real).and_then(|()| sync_folder(&place.parent));
    if !exists(&place.real) {
        return put_back(()).map_err(OutputFailure::system(&place.set_aside, "put back the folder that was set aside"));
    }
    let empty = |folder: &Path| is_empty(folder).unwrap_or(false);
    if empty(&place.real) {
        return fs::remove_dir(&place.real)
            .and_then(put_back)
            .map_err(OutputFailure::system(&place.set_aside, "put back the folder that was set aside"));
    }
    if !place.real.join(PLAN_FILE).is_file() && !empty(&place.set_aside) {
        let reason = format!(
            "it is not a plan, and the folder set aside by an interrupted run is still beside it ({})",
            place.set_aside.display()
        );
        return Err(OutputFailure::refused(&place.shown, reason, "keep one of them and move the other"));
    }
    fs::rename(&place.set_aside, &place.unfinished)
        .and_then(|()| remove(&place.unfinished))
        .map_err(OutputFailure::system(&place.set_aside, "remove the folder that an earlier run replaced"))
}

/// Step 1: writes and syncs all files under the unfinished name.
fn stage(place: &OutputPlace, files: &[File], made: &[MadeFile]) -> Result<(), OutputFailure> {
    let root = &place.unfinished;
    let folders = interrupt::begin(root, || make_folders(place, files, made))?;
    let whole =
        || files.iter().try_for_each(|file| write_synced(&root.join(&file.name), FileContent::Bytes(&file.bytes)));
    // The files that are made while written take time to compute; meanwhile the finished ones are written.
    let (whole, made) = both(whole, || {
        made.iter().try_for_each(|file| write_synced(&root.join(file.name), FileContent::Made(file.write)))
    });
    whole.and(made).map_err(OutputFailure::system(&place.shown, "write the files for it"))?;
    for folder in folders.iter().rev() {
        sync_folder(folder).map_err(OutputFailure::system(&place.shown, "save its folders to the disk"))?;
    }
    match fs::metadata(&place.real) {
        Ok(old) => hand_on_mode(&old, root).map_err(OutputFailure::system(&place.shown, "keep its permissions")),
        Err(_) => Ok(()),
    }
}

/// Makes the unfinished folder and its subfolders, and returns them sorted, parents first; the caller syncs them in reverse.
fn make_folders(place: &OutputPlace, files: &[File], made: &[MadeFile]) -> Result<BTreeSet<PathBuf>, OutputFailure> {
    let root = &place.unfinished;
    fs::create_dir(root).map_err(OutputFailure::system(&place.shown, "make a folder beside it"))?;
    let mut folders = BTreeSet::from([root.clone()]);
    for name in files.iter().map(|file| file.name.as_str()).chain(made.iter().map(|file| file.name)) {
        if !is_sound(name) {
            let reason = format!("{name:?} is not a name for a file in it");
            return Err(OutputFailure::refused(&place.shown, reason, "rename the file it comes from"));
        }
        let path = root.join(name);
        for folder in path.ancestors().skip(1).take_while(|folder| *folder != root) {
            folders.insert(folder.to_owned());
        }
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder).map_err(OutputFailure::system(&place.shown, "make the folders in it"))?;
        }
    }
    Ok(folders)
}

/// Whether a name stays inside the folder on every system, and is spelled as `plan.json` lists it.
fn is_sound(name: &str) -> bool {
    !name.contains(['\\', ':', '\0']) && name.split('/').all(|part| !matches!(part, "" | "." | ".."))
}

/// Steps 2 to 4: renames only, undone if one fails.
fn swap(place: &OutputPlace) -> Result<(), OutputFailure> {
    let OutputPlace { real, unfinished, set_aside, parent, .. } = place;
    let replaced = exists(real);
    if replaced {
        fs::rename(real, set_aside).map_err(OutputFailure::system(&place.shown, "set the old folder aside"))?;
    }
    if let Err(error) = fs::rename(unfinished, real).and_then(|()| sync_folder(parent)) {
        let _ = fs::rename(real, unfinished);
        if replaced {
            // If this fails too, the next start does it.
            let _ = fs::rename(set_aside, real);
        }
        return Err(OutputFailure::system(&place.shown, "put the new folder in its place")(error));
    }
    if replaced {
        // If this fails, the next start does it.
        let _ = fs::rename(set_aside, unfinished);
    }
    Ok(())
}

/// Creates a file that does not exist yet, with the mode the umask gives, and waits until it is on the disk.
fn write_synced(path: &Path, content: FileContent) -> io::Result<()> {
    fill_synced(fs::File::create_new(path)?, content)
}

fn fill_synced(mut file: fs::File, content: FileContent) -> io::Result<()> {
    match content {
        FileContent::Bytes(bytes) => file.write_all(bytes)?,
        FileContent::Made(write) => {
            let mut buffered = io::BufWriter::new(&mut file);
            write(&mut buffered)?;
            buffered.flush()?;
        }
    }
    file.sync_all()
}

/// Content of a file.
enum FileContent<'a> {
    Bytes(&'a [u8]),
    Made(&'a (dyn Fn(&mut dyn Write) -> io::Result<()> + Sync)),
}

/// Gives the new file or folder the mode of the old one.
fn hand_on_mode(old: &fs::Metadata, new: &Path) -> io::Result<()> {
    if fs::metadata(new)?.permissions() == old.permissions() {
        return Ok(());
    }
    fs::set_permissions(new, old.permissions())
}
