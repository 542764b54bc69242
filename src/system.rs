//! What the program asks of the system beside files: signals, threads, the clock, and a second process where memory is limited,
//! behind one seam. Without the feature
//! `program` no signal is watched, all work is the caller's, and no time passes.

pub mod clock;
pub mod interrupt;
pub mod supervised;
pub mod threads;
