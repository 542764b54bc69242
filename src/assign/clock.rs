//! The time limit of a decision.

use std::time::Duration;

use crate::decision::Question;
use crate::system::clock::Stopwatch;

/// A stopwatch with a time limit.
pub struct Clock {
    /// Started when the decision began.
    pub start: Stopwatch,
    limit: Duration,
}

impl Clock {
    /// Starts now, with the question's own limit.
    pub fn new(question: &Question) -> Self {
        let limit = Duration::try_from_secs_f64(question.limits.time_limit_s).unwrap_or(Duration::MAX);
        Clock { start: Stopwatch::start(), limit }
    }

    /// Time left.
    pub fn left(&self) -> Duration {
        self.limit.saturating_sub(self.start.elapsed())
    }

    /// True from half a second after the time limit: even the last improvements must end then.
    pub fn late(&self) -> bool {
        self.start.elapsed() > self.limit.saturating_add(Duration::from_millis(500))
    }

    /// A stop signal: true once this share of the time left now has passed, or `stop` says so.
    pub fn after<'a>(&'a self, share: f64, stop: &'a dyn Fn() -> bool) -> impl Fn() -> bool + 'a {
        let until = self.start.elapsed() + self.left().mul_f64(share);
        move || stop() || self.start.elapsed() >= until
    }
}
