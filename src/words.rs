//! Facts in words: every sentence that says what a plan decided, and why, is made here.
//!
//! A plan, its tanks and its options hold facts: an enum with its values. Screens, papers and files ask this module for the
//! words, last. Nothing reads them back: no decision, number or audit looks at a sentence.
//!
//! Every sentence passes through [`spoken`] last. A test replaces the words there, to show that nothing depends on them.

pub mod caution;
pub mod comparison;
pub mod curve;
pub mod instead;
mod reason;
mod refusal;
pub mod sizes;
pub mod tank;
pub mod threshold;
mod want;
pub mod warning;
pub mod worth;

use std::borrow::Cow;
use std::sync::OnceLock;

use crate::plan::Plan;
use crate::plan::answers::are_audited;
use crate::project::Project;
use crate::settings::Settings;

pub use reason::{held, near_miss, reason, why_no_tank};
pub use refusal::{cause, refusal, review};
pub use want::{smaller_vessel, want, wanted_vessel};

/// A function that rewords every sentence, for the test that shows that nothing reads a sentence.
static OTHER_WORDING: OnceLock<fn(&str) -> String> = OnceLock::new();

/// Rewords every later sentence of this process. For tests; a second call does nothing.
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

/// How deferred lots count where priorities are weighed: `counted 8, 4, 2, 1 by priority`.
pub fn counted_by_weight(settings: &Settings) -> String {
    let weights = settings.weights_in_force().unwrap_or([1; 4]).map(|weight| weight.to_string());
    format!("counted {} by priority", weights.join(", "))
}

/// A count with the word for one or for many: `1 lot`, `2 lots`.
pub fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// What is said of an answer beside a plan: whether it is proved, or that nobody recalculates it.
fn proved(plan: &Plan, is_proved: bool) -> &'static str {
    match is_proved {
        _ if !are_audited(plan.placements.len()) => "not audited",
        true => "proved",
        false => "not proved",
    }
}

/// What stands beside answers about a survey that is too large for their audit.
pub const NOT_AUDITED: &str = "Not audited: answers are recalculated for surveys of up to 2000 lots.";

/// The same, where it applies.
pub fn not_audited(project: &Project) -> Option<String> {
    (!are_audited(project.collection.specimens.len())).then(|| NOT_AUDITED.to_owned())
}
