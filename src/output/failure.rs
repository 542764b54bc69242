//! Errors of writing output or reading a saved plan.

use std::path::{Path, PathBuf};
use std::{fmt, io};

/// Why nothing was written or read: the path, the reason and what to do.
#[derive(Debug)]
pub enum OutputFailure {
    /// Possible, but refused by this program.
    Refused {
        /// Its path as the user named it.
        path: PathBuf,
        /// Reason of the refusal.
        reason: String,
        /// What to do instead.
        cure: String,
    },
    /// Refused by the system.
    System {
        /// Path of the failed operation.
        path: PathBuf,
        /// The operation, as words that follow "cannot".
        wanted: &'static str,
        /// Error of the system.
        error: io::Error,
    },
}

impl OutputFailure {
    pub(super) fn refused(path: &Path, reason: impl Into<String>, cure: impl Into<String>) -> Self {
        Self::Refused { path: path.to_owned(), reason: reason.into(), cure: cure.into() }
    }

    /// The failure of a workbook, parts of which are written to temporary files while it is made.
    pub(crate) fn no_workbook(dir: &Path, error: &io::Error) -> Self {
        let cure = "resolve the system error, or leave the papers out: --papers none";
        Self::refused(dir, format!("its workbook cannot be made: {error}"), cure)
    }

    /// The path and the reason.
    pub fn what(&self) -> String {
        match self {
            Self::Refused { path, reason, .. } => format!("{}: {reason}", path.display()),
            Self::System { path, wanted, error } => format!("{}: cannot {wanted}: {error}", path.display()),
        }
    }

    /// What to do.
    pub fn cure(&self) -> &str {
        match self {
            Self::Refused { cure, .. } => cure,
            Self::System { error, .. } => cure(error),
        }
    }

    /// For `map_err`: adds the path and the operation to an error of the system.
    pub(super) fn system(path: &Path, wanted: &'static str) -> impl FnOnce(io::Error) -> Self + use<> {
        let path = path.to_owned();
        move |error| match error.kind() {
            io::ErrorKind::AlreadyExists if path.is_file() => {
                let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
                Self::refused(&path, format!("a file named {name} is in the way"), "move or rename it")
            }
            _ => Self::System { path, wanted, error },
        }
    }
}

impl fmt::Display for OutputFailure {
    /// Writes `out: cannot write the file: No space left on device`, then the cure on a line of its own.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}\n    → {}", self.what(), self.cure())
    }
}

impl std::error::Error for OutputFailure {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Refused { .. } => None,
            Self::System { error, .. } => Some(error),
        }
    }
}

fn cure(error: &io::Error) -> &'static str {
    use io::ErrorKind::*;
    match error.kind() {
        StorageFull | QuotaExceeded | FileTooLarge => "make room, or name a folder on another disk",
        PermissionDenied | ReadOnlyFilesystem => {
            "name a folder that you may write to; close its files where another program has them open"
        }
        ResourceBusy | CrossesDevices => "name a new folder inside it",
        NotFound | NotADirectory => "check the spelling, and make the folder above it first",
        InvalidFilename => "name a folder with a shorter, simpler name",
        _ => "resolve the system error, then run it again",
    }
}
