//! Why a vessel is refused, and what must be reviewed about an option.

use std::borrow::Cow;

use super::spoken;
use crate::options::{Cause, Marks, Refusal, ShortfallUnit};

/// A refusal with its shortfall: `6 mm too low`, `closure does not suit the fluid`, `does not last long enough: 5 years short`.
pub fn refusal(refusal: &Refusal) -> Cow<'static, str> {
    let words = plain(refusal.cause);
    let Some(amount) = refusal.shortfall else { return spoken(words) };
    match refusal.cause.unit() {
        ShortfallUnit::Millimetres => spoken(format!("{amount} mm {words}")),
        ShortfallUnit::Years => {
            let years = if amount.to_string() == "1" { "year" } else { "years" };
            spoken(format!("{words}: {amount} {years} short"))
        }
        ShortfallUnit::Millilitres => spoken(format!("{words}: {amount} ml less")),
        ShortfallUnit::PerCent => spoken(format!("{words}: {amount} % over")),
        // How many pieces are lacking says nothing that the words do not.
        ShortfallUnit::Pieces | ShortfallUnit::Nothing => spoken(words),
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
    let Marks {
        unproven,
        tissue_estimated,
        size_from_vessel,
        leaning,
        renewed,
        turned_in,
        tight_coil,
        steps_unknown,
        fillings_unknown,
        very_loose,
        strength_not_known,
        doubtful_pair,
        loose_lid,
    } = marks;
    let words = [
        (unproven, "unproven combination of fluid and vessel"),
        (loose_lid, "loose lid, no seal: review"),
        (doubtful_pair, "doubtful combination of fluid and vessel"),
        (tissue_estimated, "tissue estimated"),
        (size_from_vessel, "size taken from its present vessel"),
        (leaning, "leaning, needs support"),
        (renewed, "the closure must be renewed during the keeping period"),
        (turned_in, "goes in end on and is turned below the neck: try it first"),
        (tight_coil, "tight coil: check that it bends that far"),
        (steps_unknown, "steps from its present fluid to the new one are not known: decide on them"),
        (fillings_unknown, "strength after filling not known: measure it"),
        (very_loose, "very loose: look for a smaller vessel"),
        (strength_not_known, "strength of its present fluid not known: measure it first"),
    ];
    let chosen: Vec<&str> = words.into_iter().filter(|(set, _)| *set).map(|(_, word)| word).collect();
    if chosen.is_empty() { Cow::Borrowed("") } else { spoken(chosen.join("; ")) }
}
