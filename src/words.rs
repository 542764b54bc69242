//! Facts in words: the one home of every sentence that says what a plan decided, and why.
//!
//! A plan, its tanks and its options hold facts: an enum with its values. Screens, papers and files ask this module for the
//! words, last. Nothing reads them back: no decision, number or audit looks at a sentence.
//!
//! Every sentence passes [`spoken`] last. That is where a test puts other words in, to show that nothing depends on them.

pub mod caution;
pub mod instead;
mod reason;
mod refusal;
pub mod tank;
mod want;
pub mod warning;

use std::borrow::Cow;
use std::sync::OnceLock;

pub use reason::{held, near_miss, reason, why_no_tank};
pub use refusal::{cause, refusal, review};
pub use want::{smaller_vessel, want, wanted_vessel};

/// Another wording, for the test that shows that nothing reads a sentence.
static OTHER_WORDING: OnceLock<fn(&str) -> String> = OnceLock::new();

/// Has every later sentence of this process reworded. For tests: a second call does nothing.
#[doc(hidden)]
pub fn reword(wording: fn(&str) -> String) {
    // The first wording stays.
    let _ = OTHER_WORDING.set(wording);
}

/// A sentence as it leaves the program.
pub fn spoken(sentence: impl Into<Cow<'static, str>>) -> Cow<'static, str> {
    let sentence = sentence.into();
    match OTHER_WORDING.get() {
        None => sentence,
        Some(wording) => Cow::Owned(wording(&sentence)),
    }
}

/// `1 lot`, `2 lots`: with the words for one and for many.
pub fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}
