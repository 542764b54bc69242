//! Time that passes while the program works. It decides how long a search goes on and reaches no output.

use std::time::Duration;
#[cfg(feature = "program")]
use std::time::Instant;

/// Measures time from its start.
#[derive(Clone, Copy, Debug)]
pub struct Stopwatch(#[cfg(feature = "program")] Instant);

impl Stopwatch {
    /// Starts now.
    pub fn start() -> Self {
        Stopwatch(
            #[cfg(feature = "program")]
            Instant::now(),
        )
    }

    /// Time since the start; none without a clock.
    pub fn elapsed(&self) -> Duration {
        #[cfg(feature = "program")]
        return self.0.elapsed();
        #[cfg(not(feature = "program"))]
        Duration::ZERO
    }
}

/// Lets some time pass; none without a clock.
pub fn pause(time: Duration) {
    if cfg!(feature = "program") {
        std::thread::sleep(time);
    }
}
