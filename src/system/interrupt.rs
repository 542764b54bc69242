//! What a signal means here: the first asks for an end with what there is, the second ends the process.
//!
//! A first SIGINT, SIGTERM or SIGHUP only raises a flag: the search looks at it and stops with the best plan found,
//! which is then written as usual. A second one ends the process with [`EXIT_CODE`], at once or, while the folders of
//! an output are being renamed, as soon as the names are right again; what was being written is taken away.

#[cfg(feature = "program")]
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Raised by the first signal and never lowered. A search may be handed a reference to it.
pub static INTERRUPTED: AtomicBool = AtomicBool::new(false);

/// Exit code of an interrupted run: 128 + SIGINT, as shells have it.
pub const EXIT_CODE: i32 = 130;

/// Held while names are wrong, and by a handler that is about to end the process. In it, what is then to be taken away.
static NAMES: Mutex<Option<PathBuf>> = Mutex::new(None);

/// Installs the handler, once per process.
///
/// # Errors
/// Where the system refuses it or a handler is there already. The program may go on: a signal then ends it where it
/// stands, and the next start puts the folders right.
#[cfg(feature = "program")]
pub fn install() -> Result<(), ctrlc::Error> {
    ctrlc::set_handler(|| {
        if INTERRUPTED.swap(true, Ordering::SeqCst) {
            // Held to the end: nothing is begun any more.
            let names = names();
            names.iter().for_each(|unfinished| take_away(unfinished));
            std::process::exit(EXIT_CODE);
        }
    })
}

/// Whether a signal has come.
pub fn requested() -> bool {
    INTERRUPTED.load(Ordering::SeqCst)
}

/// Does what no signal may cut short. Keep it short.
pub fn critical<T>(work: impl FnOnce() -> T) -> T {
    let _held = names();
    work()
}

/// Begins to write what a second signal takes away, wherever it stands by then: a name that is never worth keeping.
pub fn begin<T>(unfinished: &Path, work: impl FnOnce() -> T) -> T {
    let mut names = names();
    *names = Some(unfinished.to_owned());
    work()
}

fn names() -> MutexGuard<'static, Option<PathBuf>> {
    NAMES.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Removes a file or folder, into which another thread may still be putting files; what will not go, the next start removes.
#[cfg(feature = "program")]
fn take_away(unfinished: &Path) {
    for _ in 0..TRIES {
        let removed = if unfinished.is_dir() { fs::remove_dir_all(unfinished) } else { fs::remove_file(unfinished) };
        if removed.is_ok() || !unfinished.exists() {
            return;
        }
    }
}

/// More often than a folder gets another file while it is emptied.
#[cfg(feature = "program")]
const TRIES: usize = 100;
