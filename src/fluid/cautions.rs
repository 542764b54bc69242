//! Which cautions apply to a fluid wherever it is handled. Their words are elsewhere.

use super::Solute;
use super::parts::Beware;

/// A caution about a fluid.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FluidCaution {
    /// Formalin and all that holds formaldehyde.
    Formaldehyde,
    /// What must never meet formaldehyde, and what its stock holds besides.
    FormaldehydeNeverWith,
    /// Ethanol, denatured alcohol and isopropanol.
    Alcohol,
    /// Pouring alcohol.
    PouringAlcohol,
    /// Substances that denature alcohol.
    Denaturants,
    /// Glycerol and mixtures with it.
    Glycerol,
    /// Propylene glycol.
    PropyleneGlycol,
    /// Clearing oils.
    Oil,
    /// Glacial acetic acid.
    AceticAcid,
    /// Chloroform.
    Chloroform,
    /// Glutaraldehyde.
    Glutaraldehyde,
    /// Sodium hydrosulphite.
    Hydrosulphite,
    /// Ammonium salts.
    AmmoniumSalts,
    /// Strong sulphuric acid.
    SulphuricAcid,
}

/// The cautions about one part of a recipe.
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

/// The cautions about a solute.
pub fn of_solute(solute: Solute) -> &'static [FluidCaution] {
    match solute {
        Solute::Ethanol | Solute::Isopropanol => &[FluidCaution::Alcohol, FluidCaution::PouringAlcohol],
        Solute::DenaturedAlcohol => &[FluidCaution::Alcohol, FluidCaution::PouringAlcohol, FluidCaution::Denaturants],
        Solute::Glycerol => &[FluidCaution::Glycerol],
    }
}
