//! What a signal means here: the first asks for an end with what there is, the second ends the process.
//!
//! A first SIGINT, SIGTERM or SIGHUP only raises a flag: the search looks at it and stops with the best plan found,
//! which is then written as usual. A second one ends the process with [`EXIT_CODE`], at once or, while the folders of
//! an output are being renamed, as soon as the names are right again.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Raised by the first signal and never lowered. A search may be handed a reference to it.
pub static INTERRUPTED: AtomicBool = AtomicBool::new(false);

/// Exit code of an interrupted run: 128 + SIGINT, as shells have it.
pub const EXIT_CODE: i32 = 130;

/// Held while names are wrong, and by a handler that is about to end the process.
static RENAMES: Mutex<()> = Mutex::new(());

/// Installs the handler, once per process.
///
/// # Errors
/// Where the system refuses it or a handler is there already. The program may go on: a signal then ends it where it
/// stands, and the next start puts the folders right.
pub fn install() -> Result<(), ctrlc::Error> {
    ctrlc::set_handler(|| {
        if INTERRUPTED.swap(true, Ordering::SeqCst) {
            let _names_are_right = renames();
            std::process::exit(EXIT_CODE);
        }
    })
}

/// Whether a signal has come.
pub fn requested() -> bool {
    INTERRUPTED.load(Ordering::SeqCst)
}

/// Does what no signal may cut short. Keep it to a few renames.
pub fn critical<T>(work: impl FnOnce() -> T) -> T {
    let _held = renames();
    work()
}

fn renames() -> MutexGuard<'static, ()> {
    RENAMES.lock().unwrap_or_else(PoisonError::into_inner)
}
