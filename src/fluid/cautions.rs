//! What there is to be said of a fluid wherever it is handled: which cautions apply, not their words.

use super::Solute;
use super::parts::Beware;

/// A caution about a fluid.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FluidCaution {
    /// Of formalin and all that holds formaldehyde.
    Formaldehyde,
    /// What must never meet formaldehyde, and what its stock holds beside it.
    FormaldehydeNeverWith,
    /// Of ethanol, denatured alcohol and isopropanol.
    Alcohol,
    /// Of alcohol that is poured.
    PouringAlcohol,
    /// Of what denatures alcohol.
    Denaturants,
    /// Of glycerol and mixtures with it.
    Glycerol,
    /// Of propylene glycol.
    PropyleneGlycol,
    /// Of clearing oils.
    Oil,
    /// Of glacial acetic acid.
    AceticAcid,
    /// Of chloroform.
    Chloroform,
    /// Of glutaraldehyde.
    Glutaraldehyde,
    /// Of sodium hydrosulphite.
    Hydrosulphite,
    /// Of ammonium salts.
    AmmoniumSalts,
    /// Of strong sulphuric acid.
    SulphuricAcid,
}

/// Of one of the parts a fluid is made of.
pub fn of(part: Beware) -> &'static [FluidCaution] {
    match part {
        Beware::Formaldehyde => &[FluidCaution::Formaldehyde, FluidCaution::FormaldehydeNeverWith],
        Beware::Alcohol => &[FluidCaution::Alcohol, FluidCaution::PouringAlcohol],
        Beware::Glycerol => &[FluidCaution::Glycerol],
        Beware::PropyleneGlycol => &[FluidCaution::PropyleneGlycol],
        Beware::Acid => &[FluidCaution::AceticAcid],
        Beware::Chloroform => &[FluidCaution::Chloroform],
        Beware::Glutaraldehyde => &[FluidCaution::Glutaraldehyde],
        Beware::Hydrosulphite => &[FluidCaution::Hydrosulphite],
        Beware::Ammonium => &[FluidCaution::AmmoniumSalts],
        Beware::SulphuricAcid => &[FluidCaution::SulphuricAcid],
    }
}

/// Of what is mixed with water.
pub fn of_solute(solute: Solute) -> &'static [FluidCaution] {
    match solute {
        Solute::Ethanol | Solute::Isopropanol => &[FluidCaution::Alcohol, FluidCaution::PouringAlcohol],
        Solute::DenaturedAlcohol => &[FluidCaution::Alcohol, FluidCaution::PouringAlcohol, FluidCaution::Denaturants],
        Solute::Glycerol => &[FluidCaution::Glycerol],
    }
}
