//! The time that a run has taken. It limits how long a search goes on and reaches no output.

use std::time::Duration;
#[cfg(feature = "program")]
use std::time::Instant;

/// Measures elapsed time.
#[derive(Clone, Copy, Debug)]
pub struct Stopwatch(#[cfg(feature = "program")] Instant);

impl Stopwatch {
    /// Starts measuring.
    pub fn start() -> Self {
        Stopwatch(
            #[cfg(feature = "program")]
            Instant::now(),
        )
    }

    /// Time since the start; zero without the feature `program`.
    pub fn elapsed(&self) -> Duration {
        #[cfg(feature = "program")]
        return self.0.elapsed();
        #[cfg(not(feature = "program"))]
        Duration::ZERO
    }
}

/// Waits this long; not at all without the feature `program`.
pub fn pause(time: Duration) {
    if cfg!(feature = "program") {
        std::thread::sleep(time);
    }
}
