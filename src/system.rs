//! What the program asks of the system beside files: signals, threads and the clock, behind one seam. Without the feature
//! `program` no signal is watched, all work is the caller's, and no time passes.

pub mod clock;
pub mod interrupt;
pub mod threads;
