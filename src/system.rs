//! Access to the system beside files: signals, threads, the clock, and a child process where memory is limited. Without the
//! feature `program` no signal is handled, all work runs on the caller's thread, and the clock stands still.

pub mod clock;
pub mod interrupt;
pub mod supervised;
pub mod threads;
