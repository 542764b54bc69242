//! Reads values typed on the command line as cells are read.

use super::cells::{self, CellFault, Measure};
use super::names::FluidNames;
pub use super::table::either;
use super::{near, unknown_fluids};
use crate::diagnostics::Code;
use crate::rules::hazards::Action;
use crate::rules::{FluidId, Rules};
use crate::units::Length;

/// A length, in mm unless it has a unit.
pub fn length(typed: &str) -> Result<Length, CellFault> {
    let figure = cells::figure(typed, true)?;
    if figure.could_be_thousands() && figure.mark == Some(b',') {
        return Err(CellFault::new(
            Code::AmbiguousNumber,
            "could be thousands or a decimal",
            "write it with a decimal point",
        ));
    }
    let mm = cells::measured(&figure, Measure::Length, Some(Measure::Length.usual()))?;
    Length::new(mm).filter(|length| *length > Length::ZERO).ok_or_else(|| {
        CellFault::new(Code::NotPositive, "is not above zero", "write a length such as 120 mm, 12 cm, 0.12 m or 4.7 in")
    })
}

/// Three lengths with × between them. A unit after the last applies to all that have none.
pub fn three_lengths(typed: &str) -> Result<[Length; 3], CellFault> {
    let fault =
        || CellFault::new(Code::NotASize, "is not length × width × height", "write it as 660x110x460, or 66x11x46cm");
    let parts: Vec<&str> = typed.split(['x', 'X', '×', '*']).map(str::trim).collect();
    let [one, two, three] = parts[..] else { return Err(fault()) };
    let unit = three.trim_start_matches(|c: char| !c.is_alphabetic() && c != '"' && c != '″');
    let bare = |part: &str| part.chars().all(|c| c.is_ascii_digit() || c == '.' || c == ',');
    let whole = |part: &str| if bare(part) { length(&format!("{part} {unit}")) } else { length(part) };
    Ok([whole(one)?, whole(two)?, length(three)?])
}

/// A fluid by its id, alias or descriptive name, as in a survey.
pub fn fluid(rules: &Rules, typed: &str) -> Result<FluidId, CellFault> {
    FluidNames::new(rules).find(typed).kept.clone()
}

/// As [`fluid`]; if no fluid has the name but it names a hazard (`Bouin`), the error is about the hazard.
pub fn fluid_or_hazard(rules: &Rules, typed: &str) -> Result<FluidId, CellFault> {
    let mut fluids = FluidNames::new(rules);
    let named = fluids.find(typed);
    let hazard = named.hazards.first().map(|id| rules.hazards.get(*id));
    match (&named.kept, hazard) {
        (Err(_), Some(hazard)) if !named.words_are_listed || hazard.action == Action::Held => {
            let says = format!("this is a hazard ({}), not a fluid in fluids.csv", hazard.id);
            Err(CellFault::new(Code::HazardousFluid, says, hazard.words.clone()))
        }
        (kept, _) => kept.clone(),
    }
}

/// Ids of the fluids to suggest for an unknown name; never one of another strength.
pub fn fluids_meant<'r>(rules: &'r Rules, typed: &str) -> Vec<&'r str> {
    let candidates = unknown_fluids::candidates(rules);
    near::meant(typed, &candidates).into_iter().map(|candidate| candidate.id).collect()
}
