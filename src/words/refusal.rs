//! Why a vessel is refused, and what must be reviewed about an option.

use std::borrow::Cow;

use super::spoken;
use crate::options::{Cause, Marks, Refusal};

/// A refusal with its shortfall: `6 mm too low`, `closure does not suit the fluid`, `does not last long enough: 5 years short`.
pub fn refusal(refusal: &Refusal) -> Cow<'static, str> {
    let words = plain(refusal.cause);
    match (refusal.shortfall, refusal.cause.unit()) {
        (Some(amount), "mm") => spoken(format!("{amount} mm {words}")),
        (Some(amount), "years") => {
            let years = if amount.to_string() == "1" { "year" } else { "years" };
            spoken(format!("{words}: {amount} {years} short"))
        }
        (Some(amount), "ml") => spoken(format!("{words}: {amount} ml less")),
        (Some(amount), "%") => spoken(format!("{words}: {amount} % over")),
        _ => spoken(words),
    }
}

/// The cause of a refusal, without the shortfall.
pub fn cause(cause: Cause) -> Cow<'static, str> {
    spoken(plain(cause))
}

fn plain(cause: Cause) -> &'static str {
    match cause {
        Cause::PinnedElsewhere => "other vessels are required",
        Cause::Excluded => "excluded by must_not_use",
        Cause::MaterialUnsuitable => "material does not suit the fluid",
        Cause::ClosureUnsuitable => "closure does not suit the fluid",
        Cause::MaterialUnproven => "material unproven in this fluid",
        Cause::ClosureUnproven => "closure unproven with this fluid",
        Cause::LifeTooShort => "does not last long enough",
        Cause::NotClear => "not clear",
        Cause::NotFlat => "no flat faces",
        Cause::MouthTooNarrow => "too narrow in the mouth",
        Cause::TooNarrow => "too narrow",
        Cause::TooLow => "too low",
        Cause::TooCrowded => "too crowded",
        Cause::TooHighForShelf => "too tall for its shelf",
        Cause::NoneToBeHad => "none available",
        Cause::SmallerThanPresent => "smaller than its present vessel",
        Cause::HoldsLessThanPresent => "holds less than its present vessel",
    }
}

/// All marks that are set, joined with `; `; empty if none is.
pub fn review(marks: Marks) -> Cow<'static, str> {
    let words = [
        (marks.unproven, "unproven combination of fluid and vessel"),
        (marks.loose_lid, "loose lid, no seal: review"),
        (marks.doubtful_pair, "doubtful combination of fluid and vessel"),
        (marks.tissue_estimated, "tissue estimated"),
        (marks.size_from_vessel, "size taken from its present vessel"),
        (marks.leaning, "leaning, needs support"),
        (marks.renewed, "the closure must be renewed during the keeping period"),
        (marks.turned_in, "goes in end on and is turned below the neck: try it first"),
        (marks.tight_coil, "tight coil: check that it bends that far"),
        (marks.steps_unknown, "steps from its present fluid to the new one are not known: decide on them"),
        (marks.fillings_unknown, "strength after filling not known: measure it"),
        (marks.very_loose, "very loose: look for a smaller vessel"),
        (marks.strength_not_known, "strength of its present fluid not known: measure it first"),
    ];
    let chosen: Vec<&str> = words.into_iter().filter(|(set, _)| *set).map(|(_, word)| word).collect();
    if chosen.is_empty() { Cow::Borrowed("") } else { spoken(chosen.join("; ")) }
}
