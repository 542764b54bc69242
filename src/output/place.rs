//! Where a folder or file of output really lies, the two hidden names beside it, and whose turn it is.

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::time::Duration;
use std::{fs, io};

use super::OutputFailure;
use crate::system::clock::pause;

/// How long to wait for another run that writes beside the same place.
const BETWEEN_TRIES: Duration = Duration::from_millis(20);
const TRIES: usize = 1500;

/// Links followed before a ring is suspected; as many as Linux follows.
const MOST_LINKS: u32 = 40;

/// The real place of an output, and the names beside it.
pub(super) struct OutputPlace {
    /// As the user named it, for messages.
    pub shown: PathBuf,
    /// Absolute, through all links.
    pub real: PathBuf,
    /// The folder it lies in.
    pub parent: PathBuf,
    /// What is being written or thrown away: never worth keeping.
    pub unfinished: PathBuf,
    /// What was there before: always whole.
    pub set_aside: PathBuf,
}

impl OutputPlace {
    /// Finds the place, which need not exist; the folder it lies in must.
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

    /// Keeps other runs from this place and its neighbours until the value is dropped. The folder around them is
    /// locked, not a file of ours, so nothing is left behind; where the system has no such lock, it goes without.
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

    /// Whether one of the inputs is this, or lies in it.
    pub fn holds_any_of<'a>(&self, inputs: &'a [PathBuf]) -> Option<&'a PathBuf> {
        inputs.iter().find(|input| fs::canonicalize(input).is_ok_and(|input| input.starts_with(&self.real)))
    }
}

/// Like `canonicalize`, for a path whose last component need not exist, even where it is a link.
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

/// Whether anything has this name, be it a link to nowhere.
pub(super) fn exists(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok()
}

/// Removes whatever has this name; links are removed, not followed.
pub(super) fn remove(path: &Path) -> io::Result<()> {
    match fs::symlink_metadata(path) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        Err(error) => Err(error),
        Ok(found) if found.is_dir() => fs::remove_dir_all(path),
        Ok(_) => fs::remove_file(path),
    }
}

/// Whether a folder holds nothing.
pub(super) fn is_empty(folder: &Path) -> io::Result<bool> {
    Ok(fs::read_dir(folder)?.next().is_none())
}

/// Makes the names in a folder last through a power cut, where the system can.
pub(super) fn sync_folder(folder: &Path) -> io::Result<()> {
    if !cfg!(unix) {
        return Ok(());
    }
    match fs::File::open(folder)?.sync_all() {
        // Some network file systems have no such request.
        Err(error) if matches!(error.kind(), io::ErrorKind::InvalidInput | io::ErrorKind::Unsupported) => Ok(()),
        done => done,
    }
}
