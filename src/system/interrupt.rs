//! Signals that end the program.
//!
//! SIGINT, SIGTERM and SIGHUP end the process at once with [`EXIT_CODE`], and unfinished output is removed. There are two
//! exceptions. While the folders of an output are being renamed, the process ends as soon as the renames are complete. While a
//! plan is searched for and written ([`patient`]), the first signal only sets a flag and prints what the program is waiting for;
//! the search sees the flag and stops, and the best plan found so far is written as usual. A second signal ends the process.

#[cfg(feature = "program")]
use std::fs;
#[cfg(feature = "program")]
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Set by the first signal and never cleared. Searches poll it.
pub static INTERRUPTED: AtomicBool = AtomicBool::new(false);

/// Number of signals received.
static TIMES: AtomicUsize = AtomicUsize::new(0);

/// Whether signals are passed on to a child process. They are then only counted here.
static HANDED_ON: AtomicBool = AtomicBool::new(false);

/// What the program waits for after a first signal, in words; `None` if it does not wait.
static PATIENT: Mutex<Option<&'static str>> = Mutex::new(None);

/// Exit code of an interrupted run: 128 + SIGINT, as shells have it.
pub const EXIT_CODE: i32 = 130;

/// Locked during renames, and for good by a handler that ends the process. Holds the path of unfinished output, which the handler
/// removes.
static NAMES: Mutex<Option<PathBuf>> = Mutex::new(None);

/// Installs the handler, once per process.
///
/// # Errors
/// If the system refuses it or a handler is installed already. The program may continue: a signal then ends it in the middle of its
/// work, and the next start restores the folders.
#[cfg(feature = "program")]
pub fn install() -> Result<(), ctrlc::Error> {
    ctrlc::set_handler(|| {
        TIMES.fetch_add(1, Ordering::SeqCst);
        if HANDED_ON.load(Ordering::SeqCst) {
            return;
        }
        let waits_for = *PATIENT.lock().unwrap_or_else(PoisonError::into_inner);
        if let (false, Some(waits_for)) = (INTERRUPTED.swap(true, Ordering::SeqCst), waits_for) {
            // Standard error may be closed; that changes nothing.
            let _ = writeln!(std::io::stderr(), "\n{waits_for}");
            return;
        }
        // The lock is never released, so no further rename or output begins.
        let names = names();
        names.iter().for_each(|unfinished| take_away(unfinished));
        std::process::exit(EXIT_CODE);
    })
}

/// Makes the first signal wait for the work in progress and print this text; `None` makes it end the process at once again.
pub fn patient(waits_for: Option<&'static str>) {
    *PATIENT.lock().unwrap_or_else(PoisonError::into_inner) = waits_for;
}

/// Passes signals on to a child process that does the work: they are only counted here. `false` undoes this.
pub fn hand_on(to_another: bool) {
    HANDED_ON.store(to_another, Ordering::SeqCst);
}

/// Number of signals received.
pub fn times_requested() -> usize {
    TIMES.load(Ordering::SeqCst)
}

/// Whether a signal was received that the program is waiting on.
pub fn requested() -> bool {
    INTERRUPTED.load(Ordering::SeqCst)
}

/// Runs work that no signal may interrupt. Keep it short.
pub fn critical<T>(work: impl FnOnce() -> T) -> T {
    let _held = names();
    work()
}

/// Starts writing output under a temporary name, which the handler removes if a signal ends the process.
pub fn begin<T>(unfinished: &Path, work: impl FnOnce() -> T) -> T {
    let mut names = names();
    *names = Some(unfinished.to_owned());
    work()
}

fn names() -> MutexGuard<'static, Option<PathBuf>> {
    NAMES.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Removes a file or folder although another thread may still be adding files to it. The next start removes what is left.
#[cfg(feature = "program")]
fn take_away(unfinished: &Path) {
    for _ in 0..TRIES {
        let removed = if unfinished.is_dir() { fs::remove_dir_all(unfinished) } else { fs::remove_file(unfinished) };
        if removed.is_ok() || !unfinished.exists() {
            return;
        }
    }
}

/// Attempts to empty a folder: more than the files that another thread adds meanwhile.
#[cfg(feature = "program")]
const TRIES: usize = 100;
