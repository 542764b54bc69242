//! Finds the real place of an output and the two hidden names beside it, and locks the parent folder.

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::time::Duration;
use std::{fs, io};

use super::OutputFailure;
use crate::system::clock::pause;

/// Interval and number of tries when another run holds the lock: 30 seconds in all.
const BETWEEN_TRIES: Duration = Duration::from_millis(20);
const TRIES: usize = 1500;

/// Links followed before a cycle is assumed; Linux follows as many.
const MOST_LINKS: u32 = 40;

/// The real place of an output, and the hidden names beside it.
pub(super) struct OutputPlace {
    /// The path as the user named it, for messages.
    pub shown: PathBuf,
    /// The absolute path, with all links resolved.
    pub real: PathBuf,
    /// The folder that it is in.
    pub parent: PathBuf,
    /// Hidden name of a folder that is being written or removed; it may always be deleted.
    pub unfinished: PathBuf,
    /// Hidden name of the old folder while it is replaced; it is always complete.
    pub set_aside: PathBuf,
}

impl OutputPlace {
    /// Finds the place. It need not exist, but the folder that it is in must.
    pub fn of(shown: &Path) -> Result<Self, OutputFailure> {
        let real = real(shown, MOST_LINKS).map_err(OutputFailure::system(shown, "find the folder above it"))?;
        let (Some(parent), Some(name)) = (real.parent(), real.file_name()) else {
            let reason = "it is the root of a file system";
            return Err(OutputFailure::refused(shown, reason, "name a folder inside it"));
        };
        if !parent.is_dir() {
            let reason = "the path above it is not a folder";
            return Err(OutputFailure::refused(shown, reason, "name another place"));
        }
        let beside = |role: &str| {
            let mut hidden = OsString::from(".");
            hidden.push(name);
            hidden.push(role);
            parent.join(hidden)
        };
        Ok(Self {
            shown: shown.to_owned(),
            parent: parent.to_owned(),
            unfinished: beside(".rehouse-unfinished"),
            set_aside: beside(".rehouse-set-aside"),
            real,
        })
    }

    /// Locks out other runs that write in the same parent folder until the value is dropped. The parent folder itself is locked,
    /// so no lock file is left behind. On systems without such locks there is no lock.
    pub fn take_turn(&self) -> Result<Option<fs::File>, OutputFailure> {
        let Ok(folder) = fs::File::open(&self.parent) else { return Ok(None) };
        for _ in 0..TRIES {
            match folder.try_lock() {
                Ok(()) => return Ok(Some(folder)),
                Err(fs::TryLockError::Error(_)) => return Ok(None),
                Err(fs::TryLockError::WouldBlock) => pause(BETWEEN_TRIES),
            }
        }
        let reason = "another run is writing in the same folder";
        Err(OutputFailure::refused(&self.shown, reason, "wait for it to end, then run this again"))
    }

    /// The first input that is this place or is inside it.
    pub fn holds_any_of<'a>(&self, inputs: &'a [PathBuf]) -> Option<&'a PathBuf> {
        inputs.iter().find(|input| fs::canonicalize(input).is_ok_and(|input| input.starts_with(&self.real)))
    }
}

/// As `canonicalize`, for a path whose last component need not exist, even if it is a broken link.
fn real(path: &Path, links: u32) -> io::Result<PathBuf> {
    if let Ok(real) = fs::canonicalize(path) {
        return Ok(real);
    }
    let name = path.file_name().ok_or(io::ErrorKind::NotFound)?;
    let parent = match path.parent() {
        Some(parent) if parent != Path::new("") => fs::canonicalize(parent)?,
        _ => fs::canonicalize(".")?,
    };
    let path = parent.join(name);
    match fs::read_link(&path) {
        Ok(_) if links == 0 => Err(io::Error::other("too many links")),
        Ok(target) => real(&parent.join(target), links - 1),
        Err(_) => Ok(path),
    }
}

/// Whether an entry with this name exists; a broken link counts.
pub(super) fn exists(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok()
}

/// Removes the entry with this name; links are removed, not followed.
pub(super) fn remove(path: &Path) -> io::Result<()> {
    match fs::symlink_metadata(path) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        Err(error) => Err(error),
        Ok(found) if found.is_dir() => fs::remove_dir_all(path),
        Ok(_) => fs::remove_file(path),
    }
}

/// Whether a folder is empty.
pub(super) fn is_empty(folder: &Path) -> io::Result<bool> {
    Ok(fs::read_dir(folder)?.next().is_none())
}

/// Writes the names in a folder to the disk, so that they survive a power cut, where the system can.
pub(super) fn sync_folder(folder: &Path) -> io::Result<()> {
    if !cfg!(unix) {
        return Ok(());
    }
    match fs::File::open(folder)?.sync_all() {
        // Some network file systems do not support syncing a folder.
        Err(error) if matches!(error.kind(), io::ErrorKind::InvalidInput | io::ErrorKind::Unsupported) => Ok(()),
        done => done,
    }
}
