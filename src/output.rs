//! All files of a run, written together or not at all.
//!
//! Knows no plan: it writes named byte strings. A folder `out` is replaced in five steps, with two hidden names beside
//! it (through links: beside the folder they lead to):
//!
//! 1. every file is written to `.out.rehouse-unfinished` and synced;
//! 2. `out`, if there is one, is renamed to `.out.rehouse-set-aside`;
//! 3. `.out.rehouse-unfinished` is renamed to `out`, and the folder around them is synced;
//! 4. `.out.rehouse-set-aside` is renamed to `.out.rehouse-unfinished`;
//! 5. `.out.rehouse-unfinished` is removed.
//!
//! So what is called *unfinished* is never worth keeping, what is called *set aside* is always whole, and wherever the
//! process or the power stops, the next start ([`recover`]) knows from the names alone what to do:
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
//! Signals wait for steps 2 to 5 ([`interrupt::critical`]); a step of these that fails is undone. In step 1 a second signal
//! takes away what is unfinished ([`interrupt::begin`]) and ends the process. Runs that write in
//! the same parent folder take turns. If somebody has made a new `out` by hand while the old one was set aside: an
//! empty one gives way to it, one with a `plan.json` counts as the new plan, and any other is left to its owner to sort
//! out. Step 5 may fail (a file open elsewhere); the plan is written all the same and the next start tries again.
//!
//! Files are made with the mode the umask gives, so that colleagues can read them; a folder or file that is replaced
//! hands its mode on.

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
    /// Where in the folder: relative, `/`-separated (`inputs/rules/fluids.csv`).
    pub name: String,
    /// What is in it.
    pub bytes: Vec<u8>,
}

/// A file of a folder that is written as it is made, and so never held whole.
pub struct MadeFile<'a> {
    /// Where in the folder, as of a [`File`].
    pub name: &'a str,
    /// Writes what is in it.
    pub write: &'a (dyn Fn(&mut dyn Write) -> io::Result<()> + Sync),
}

/// Puts right what a run that was cut short has left beside a folder, as the table above says. Does nothing where
/// nothing is left.
///
/// # Errors
/// Where the system will not, or where both a folder set aside and another that is no plan claim the name.
pub fn recover(dir: &Path) -> Result<(), OutputFailure> {
    // Where there is no such place, nothing was written there.
    let Ok(place) = OutputPlace::of(dir) else { return Ok(()) };
    if !exists(&place.unfinished) && !exists(&place.set_aside) {
        return Ok(());
    }
    let _turn = place.take_turn()?;
    put_right(&place)
}

/// Refuses early, before the work, what [`write_folder`] would refuse after it: a folder of an input (`inputs`: files
/// or folders), a place that is not a folder or cannot be replaced, one with files that its `plan.json` does not list
/// or that have changed since (unless `replace`), and a parent folder in which nothing can be made.
pub fn check_writable(dir: &Path, inputs: &[PathBuf], replace: bool) -> Result<(), OutputFailure> {
    let place = OutputPlace::of(dir)?;
    let _turn = place.take_turn()?;
    put_right(&place)?;
    check(&place, inputs, replace)?;
    fs::create_dir(&place.unfinished)
        .and_then(|()| fs::remove_dir(&place.unfinished))
        .map_err(OutputFailure::system(dir, "make a folder beside it"))
}

/// Writes a whole folder in place of the one that is there, if any. `inputs` and `replace` as in [`check_writable`].
///
/// # Errors
/// Then the folder is as it was before.
pub fn write_folder(dir: &Path, files: &[File], inputs: &[PathBuf], replace: bool) -> Result<(), OutputFailure> {
    stage_folder(dir, files, &[], inputs, replace)?.publish()
}

/// Does step 1 alone: the files, some of them as they are made, are on the disk under a name of their own.
///
/// # Errors
/// Then nothing is left of it.
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

/// A folder after step 1. Dropped without more ado, it leaves nothing behind.
pub struct Staged {
    place: OutputPlace,
    _turn: Option<fs::File>,
}

impl Staged {
    /// Puts the folder in its place.
    ///
    /// # Errors
    /// Then what was there is as it was before.
    pub fn publish(self) -> Result<(), OutputFailure> {
        interrupt::critical(|| swap(&self.place))
    }
}

impl Drop for Staged {
    fn drop(&mut self) {
        // Under this name there is rubbish by now, either way; if it will not go, the next start tries again. Nobody goes on
        // from here while the process is being ended.
        let _ = interrupt::critical(|| remove(&self.place.unfinished));
    }
}

/// Writes one file in place of the one that is there, if any, and never over an input (`inputs`: files). What is there
/// but is no file (a terminal, a pipe) is written to as it is.
///
/// # Errors
/// Then a file that was there is as it was before.
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

/// Writes a file whole in its place, with the mode of the one that is there.
fn write_in_turn(place: &OutputPlace, bytes: &[u8], old: Option<fs::Metadata>) -> Result<(), OutputFailure> {
    let written = remove(&place.unfinished)
        .and_then(|()| interrupt::begin(&place.unfinished, || fs::File::create_new(&place.unfinished)))
        .and_then(|file| fill_synced(file, FileContent::Bytes(bytes)))
        .and_then(|()| old.map_or(Ok(()), |old| hand_on_mode(&old, &place.unfinished)))
        .and_then(|()| fs::rename(&place.unfinished, &place.real))
        .map_err(OutputFailure::system(&place.shown, "write it"));
    let _ = interrupt::critical(|| remove(&place.unfinished));
    // Should the new name not last through a power cut, the old file does.
    let _ = sync_folder(&place.parent);
    written
}

/// Writes a file into a folder under a name that nothing in it has: `done.xlsx` as `done-1.xlsx`, else `done-2.xlsx` and so on.
/// The folder is made where there is none.
///
/// # Errors
/// Then nothing was written.
pub fn write_under_new_name(folder: &Path, name: &str, bytes: &[u8]) -> Result<PathBuf, OutputFailure> {
    fs::create_dir_all(folder).map_err(OutputFailure::system(folder, "make this folder"))?;
    // Runs that do the same take turns, so that none takes a name from under another.
    let _turn = OutputPlace::of(&folder.join(name))?.take_turn()?;
    let (stem, ending) = name.rsplit_once('.').unwrap_or((name, ""));
    let path = (1..).map(|n| folder.join(format!("{stem}-{n}.{ending}"))).find(|path| !exists(path));
    let path = path.unwrap_or_else(|| folder.join(name));
    write_in_turn(&OutputPlace::of(&path)?, bytes, None)?;
    Ok(path)
}

/// Lets those who may read a file run it, where the system knows the difference.
///
/// # Errors
/// Where the system will not.
pub fn let_run(path: &Path) -> io::Result<()> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = fs::metadata(path)?.permissions().mode();
        fs::set_permissions(path, fs::Permissions::from_mode(mode | (mode & 0o444) >> 2))?;
    }
    Ok(())
}

/// What a start does; see the table at the top.
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

/// Step 1: everything under the unfinished name, on the disk.
fn stage(place: &OutputPlace, files: &[File], made: &[MadeFile]) -> Result<(), OutputFailure> {
    let root = &place.unfinished;
    let folders = interrupt::begin(root, || make_folders(place, files, made))?;
    let whole =
        || files.iter().try_for_each(|file| write_synced(&root.join(&file.name), FileContent::Bytes(&file.bytes)));
    // While the disk takes the ones, the others are made.
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

/// The folder under its unfinished name and those in it; the deepest last, so that the names in a folder are synced before
/// its own.
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

/// Whether a name stays inside the folder, on every system, and is spelled in the one way `plan.json` lists it.
fn is_sound(name: &str) -> bool {
    !name.contains(['\\', ':', '\0']) && name.split('/').all(|part| !matches!(part, "" | "." | ".."))
}

/// Steps 2 to 4: only renames, undone where one fails.
fn swap(place: &OutputPlace) -> Result<(), OutputFailure> {
    let OutputPlace { real, unfinished, set_aside, parent, .. } = place;
    let replaced = exists(real);
    if replaced {
        fs::rename(real, set_aside).map_err(OutputFailure::system(&place.shown, "set the old folder aside"))?;
    }
    if let Err(error) = fs::rename(unfinished, real).and_then(|()| sync_folder(parent)) {
        let _ = fs::rename(real, unfinished);
        if replaced {
            // Should this fail too, the next start does it.
            let _ = fs::rename(set_aside, real);
        }
        return Err(OutputFailure::system(&place.shown, "put the new folder in its place")(error));
    }
    if replaced {
        // Should this fail, the next start does it.
        let _ = fs::rename(set_aside, unfinished);
    }
    Ok(())
}

/// Makes a file that was not there, with the mode the umask gives, and waits until it is on the disk.
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

/// What a file is written from.
enum FileContent<'a> {
    Bytes(&'a [u8]),
    Made(&'a (dyn Fn(&mut dyn Write) -> io::Result<()> + Sync)),
}

/// Gives what replaces a file or folder the mode of the old one.
fn hand_on_mode(old: &fs::Metadata, new: &Path) -> io::Result<()> {
    if fs::metadata(new)?.permissions() == old.permissions() {
        return Ok(());
    }
    fs::set_permissions(new, old.permissions())
}
