//! Formalin: strengths from the stock on the shelf, and neutral buffering with the phosphates on the shelf.
//!
//! "10 % formalin" is one part of stock in ten, whatever the stock; it holds 3.7 to 4 % formaldehyde. A stock labelled
//! 37 % (by mass) and one labelled 40 % (grams in 100 ml) are the same liquid: 37 % of 1.083 g/ml is 400.7 g a litre.

use crate::units::{Density, Mass, MassFraction, Volume};

/// Concentrated formaldehyde solution.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FormaldehydeStock {
    /// Formaldehyde by mass.
    pub by_mass: MassFraction,
    /// Density at 20 °C.
    pub density: Density,
}

impl FormaldehydeStock {
    /// A stock by its formaldehyde by mass, at the density of the usual stock with 10 to 15 % methanol: 1.083 g/ml
    /// (British Pharmacopoeia, Formaldehyde solution: weight per ml about 1.08 g). `None` outside 30 to 40 %: nothing
    /// else is sold as stock.
    pub fn of(by_mass_pct: f64) -> Option<Self> {
        let by_mass = MassFraction::new(by_mass_pct / 100.0)?;
        (30.0..=40.0).contains(&by_mass_pct).then_some(Self { by_mass, density: Density::at_least_zero(1083.0) })
    }

    /// The usual stock: 37 % by mass, which some labels call 40 % (grams in 100 ml).
    pub fn usual() -> Self {
        Self { by_mass: MassFraction::within(0.37), density: Density::at_least_zero(1083.0) }
    }

    /// A stock by the per cent on its label: 40 % is grams in 100 ml, the usual stock; up to 38.5 % is by mass. `None`
    /// for anything else, which could be either.
    pub fn labelled(percent: f64) -> Option<Self> {
        if percent == 40.0 { Some(Self::usual()) } else { Self::of(percent).filter(|_| percent <= 38.5) }
    }

    /// Grams of formaldehyde in a litre.
    pub fn grams_a_litre(self) -> f64 {
        self.by_mass.ratio() * self.density.kg_m3()
    }
}

/// A dilution of stock made up to a volume with water.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Formalin {
    /// Stock to measure out.
    pub stock: Volume,
    /// Water to make it up with; the parts are taken to add up, as they nearly do.
    pub water: Volume,
    /// Volume made.
    pub made: Volume,
    /// Grams of formaldehyde in a litre of it: 40 for 4 %.
    pub grams_a_litre: f64,
}

/// Formalin named by its parts: 10 for one part of stock in ten. `None` outside 0 to 100.
pub fn formalin(stock: FormaldehydeStock, formalin_pct: f64, made: Volume) -> Option<Formalin> {
    let share = (0.0..=100.0).contains(&formalin_pct).then_some(formalin_pct / 100.0)?;
    Some(Formalin {
        stock: made * share,
        water: made * (1.0 - share),
        made,
        grams_a_litre: stock.grams_a_litre() * share,
    })
}

/// Sodium dihydrogen phosphate as it is sold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Monobasic {
    /// NaH2PO4.
    Anhydrous,
    /// NaH2PO4·H2O.
    Monohydrate,
    /// NaH2PO4·2H2O.
    Dihydrate,
}

/// Disodium hydrogen phosphate as it is sold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dibasic {
    /// Na2HPO4.
    Anhydrous,
    /// Na2HPO4·2H2O.
    Dihydrate,
    /// Na2HPO4·7H2O: nearly half of its mass is water.
    Heptahydrate,
    /// Na2HPO4·12H2O.
    Dodecahydrate,
}

/// Molar masses in g/mol, from the standard atomic weights (IUPAC 2021, abridged).
const NAH2PO4: f64 = 119.976;
const NA2HPO4: f64 = 141.957;
const WATER: f64 = 18.015;

impl Monobasic {
    /// All, with the word on the label that tells them apart.
    pub const NAMES: [(&'static str, Monobasic); 3] = [
        ("anhydrous", Monobasic::Anhydrous),
        ("monohydrate", Monobasic::Monohydrate),
        ("dihydrate", Monobasic::Dihydrate),
    ];

    /// Grams a mole.
    pub fn molar_mass(self) -> f64 {
        NAH2PO4 + WATER * self.waters()
    }

    fn waters(self) -> f64 {
        match self {
            Monobasic::Anhydrous => 0.0,
            Monobasic::Monohydrate => 1.0,
            Monobasic::Dihydrate => 2.0,
        }
    }

    /// Its formula.
    pub fn formula(self) -> &'static str {
        match self {
            Monobasic::Anhydrous => "NaH2PO4",
            Monobasic::Monohydrate => "NaH2PO4·H2O",
            Monobasic::Dihydrate => "NaH2PO4·2H2O",
        }
    }
}

impl Dibasic {
    /// All, with the word on the label that tells them apart.
    pub const NAMES: [(&'static str, Dibasic); 4] = [
        ("anhydrous", Dibasic::Anhydrous),
        ("dihydrate", Dibasic::Dihydrate),
        ("heptahydrate", Dibasic::Heptahydrate),
        ("dodecahydrate", Dibasic::Dodecahydrate),
    ];

    /// Grams a mole.
    pub fn molar_mass(self) -> f64 {
        NA2HPO4 + WATER * self.waters()
    }

    fn waters(self) -> f64 {
        match self {
            Dibasic::Anhydrous => 0.0,
            Dibasic::Dihydrate => 2.0,
            Dibasic::Heptahydrate => 7.0,
            Dibasic::Dodecahydrate => 12.0,
        }
    }

    /// Its formula.
    pub fn formula(self) -> &'static str {
        match self {
            Dibasic::Anhydrous => "Na2HPO4",
            Dibasic::Dihydrate => "Na2HPO4·2H2O",
            Dibasic::Heptahydrate => "Na2HPO4·7H2O",
            Dibasic::Dodecahydrate => "Na2HPO4·12H2O",
        }
    }
}

/// Neutral buffered formalin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Buffered {
    /// Stock and water: one part in ten.
    pub formalin: Formalin,
    /// Sodium dihydrogen phosphate, of the hydrate asked for.
    pub monobasic: Mass,
    /// Disodium hydrogen phosphate, of the hydrate asked for.
    pub dibasic: Mass,
    /// Moles of phosphate in a litre.
    pub phosphate_molar: f64,
}

/// Per litre of 10 % NBF: 4.0 g NaH2PO4·H2O and 6.5 g Na2HPO4 (from memory: R. D. Lillie, Histopathologic Technic; L. G. Luna,
/// Manual of Histologic Staining Methods of the AFIP, 3rd ed., 1968). Other hydrates replace them mole for mole.
pub fn buffered(stock: FormaldehydeStock, made: Volume, monobasic: Monobasic, dibasic: Dibasic) -> Buffered {
    let (acid, base) = (4.0 / Monobasic::Monohydrate.molar_mass(), 6.5 / Dibasic::Anhydrous.molar_mass());
    let litres = made.ml() / 1000.0;
    Buffered {
        formalin: Formalin { stock: made * 0.1, water: made * 0.9, made, grams_a_litre: 0.1 * stock.grams_a_litre() },
        monobasic: Mass::at_least_zero(acid * monobasic.molar_mass() * litres),
        dibasic: Mass::at_least_zero(base * dibasic.molar_mass() * litres),
        phosphate_molar: acid + base,
    }
}
