//! The time that a decision may take.

use std::time::Duration;

use crate::decision::Question;
use crate::system::clock::Stopwatch;

/// Since when, and how long.
pub struct Clock {
    /// When the work began.
    pub start: Stopwatch,
    limit: Duration,
}

impl Clock {
    /// Starts now, with the question's own limit.
    pub fn new(question: &Question) -> Self {
        let limit = Duration::try_from_secs_f64(question.limits.time_limit_s).unwrap_or(Duration::MAX);
        Clock { start: Stopwatch::start(), limit }
    }

    /// What is left of the time.
    pub fn left(&self) -> Duration {
        self.limit.saturating_sub(self.start.elapsed())
    }

    /// True half a second after the time was over: what is still done then is to end.
    pub fn late(&self) -> bool {
        self.start.elapsed() > self.limit.saturating_add(Duration::from_millis(500))
    }

    /// True once a share of what is left now has passed, or `stop` says so.
    pub fn after<'a>(&'a self, share: f64, stop: &'a dyn Fn() -> bool) -> impl Fn() -> bool + 'a {
        let until = self.start.elapsed() + self.left().mul_f64(share);
        move || stop() || self.start.elapsed() >= until
    }
}
