//! What a signal means here: it ends the process; only where there is a plan to be saved, the first asks for an end with that.
//!
//! A SIGINT, SIGTERM or SIGHUP ends the process with [`EXIT_CODE`], at once or, while the folders of an output are being
//! renamed, as soon as the names are right again; what was being written is taken away. While a plan is searched for and written
//! ([`patient`]) a first one only raises a flag, and says what is waited for: the search looks at it and stops with the best plan
//! found, which is then written as usual.

#[cfg(feature = "program")]
use std::fs;
#[cfg(feature = "program")]
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Raised by the first signal and never lowered. A search may be handed a reference to it.
pub static INTERRUPTED: AtomicBool = AtomicBool::new(false);

/// Signals that came.
static TIMES: AtomicUsize = AtomicUsize::new(0);

/// Signals are another process's: here they are only counted.
static HANDED_ON: AtomicBool = AtomicBool::new(false);

/// What a first signal waits for, if it waits, as it is then said.
static PATIENT: Mutex<Option<&'static str>> = Mutex::new(None);

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
        TIMES.fetch_add(1, Ordering::SeqCst);
        if HANDED_ON.load(Ordering::SeqCst) {
            return;
        }
        let waits_for = *PATIENT.lock().unwrap_or_else(PoisonError::into_inner);
        if let (false, Some(waits_for)) = (INTERRUPTED.swap(true, Ordering::SeqCst), waits_for) {
            // Where nobody reads it, nobody need be told.
            let _ = writeln!(std::io::stderr(), "\n{waits_for}");
            return;
        }
        // Held to the end: nothing is begun any more.
        let names = names();
        names.iter().for_each(|unfinished| take_away(unfinished));
        std::process::exit(EXIT_CODE);
    })
}

/// From here on a first signal waits, and says what for; with `None` it ends the process at once.
pub fn patient(waits_for: Option<&'static str>) {
    *PATIENT.lock().unwrap_or_else(PoisonError::into_inner) = waits_for;
}

/// From here on signals are only counted, for a process that does the work; with `false` they are this one's again.
pub fn hand_on(to_another: bool) {
    HANDED_ON.store(to_another, Ordering::SeqCst);
}

/// How many signals have come.
pub fn times_requested() -> usize {
    TIMES.load(Ordering::SeqCst)
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
