//! The limit of a decision: in time, or in how often it asks whether to stop.
//!
//! A search asks at fixed places of its work, so a limit on the number of times ends it at the same place on every machine.

use std::cell::Cell;
use std::time::Duration;

use crate::decision::Question;
use crate::system::clock::Stopwatch;

/// How much of its limit a decision has used.
pub struct Clock {
    used: LimitUsed,
    /// In units of what is used.
    limit: Duration,
}

enum LimitUsed {
    Time(Stopwatch),
    /// One [`ASKED`] for each time it was asked.
    Asked(Cell<Duration>),
}

/// What one question counts where questions are counted. Any unit would do.
const ASKED: Duration = Duration::from_millis(1);

impl Clock {
    /// Starts now, with the question's own limit.
    pub fn new(question: &Question) -> Self {
        match question.limits.most_asked {
            Some(most) => {
                let limit = ASKED.saturating_mul(u32::try_from(most).unwrap_or(u32::MAX));
                Clock { used: LimitUsed::Asked(Cell::default()), limit }
            }
            None => {
                let limit = Duration::try_from_secs_f64(question.limits.time_limit_s).unwrap_or(Duration::MAX);
                Clock { used: LimitUsed::Time(Stopwatch::start()), limit }
            }
        }
    }

    fn used(&self) -> Duration {
        match &self.used {
            LimitUsed::Time(start) => start.elapsed(),
            LimitUsed::Asked(asked) => asked.get(),
        }
    }

    /// Counts that it was asked, as so many times; what is used by now.
    fn ask(&self, times: u32) -> Duration {
        if let LimitUsed::Asked(asked) = &self.used {
            asked.set(asked.get().saturating_add(ASKED * times));
        }
        self.used()
    }

    /// What is left.
    pub fn left(&self) -> Duration {
        self.limit.saturating_sub(self.used())
    }

    /// True from a little after the limit, half a second of time: even the last improvements must end then.
    pub fn late(&self) -> bool {
        self.ask(1) > self.limit.saturating_add(Duration::from_millis(500))
    }

    /// A stop signal: true once this share of what is left now has been used, or `stop` says so.
    pub fn after<'a>(&'a self, share: f64, stop: &'a dyn Fn() -> bool) -> impl Fn() -> bool + 'a {
        self.after_counting(1, share, stop)
    }

    /// The same for a search that does more work each time before it asks: it counts as so many times.
    pub fn after_counting<'a>(&'a self, times: u32, share: f64, stop: &'a dyn Fn() -> bool) -> impl Fn() -> bool + 'a {
        let until = self.used() + self.left().mul_f64(share);
        move || stop() || self.ask(times) >= until
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decision::Limits;

    #[test]
    fn a_limit_on_questions_does_not_depend_on_the_clock() {
        let question = Question { limits: Limits { most_asked: Some(10), ..Limits::default() }, ..Question::default() };
        let clock = Clock::new(&question);
        let times = |share: f64| {
            let stop = clock.after(share, &|| false);
            (1..).find(|_| stop())
        };
        assert_eq!(times(0.5), Some(5));
        assert_eq!(times(1.0), Some(5));
        assert!(clock.left().is_zero());
        assert_eq!((1..).find(|_| clock.late()), Some(501));
        let clock = Clock::new(&question);
        let stop = clock.after_counting(4, 1.0, &|| false);
        assert_eq!((1..).find(|_| stop()), Some(3));
    }
}
