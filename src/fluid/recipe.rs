//! How a fluid is made up: concentrate, water and salts, by its id.

use super::formaldehyde::{self, Dibasic, FormaldehydeStock, Monobasic};
use super::mixing::blend;
use super::mountant::KAISERLING_III;
use super::{Solute, Solution};
use crate::units::{Mass, Temperature, Volume, decimal};

/// The concentrates that fluids can be made from, owned or bought.
#[derive(Clone, Debug, PartialEq)]
pub struct Concentrates {
    /// Concentrates of alcohols and glycerol.
    pub solutions: Vec<Solution>,
    /// Stock formaldehyde, with the per cent on its label.
    pub formaldehyde: (f64, FormaldehydeStock),
}

/// How an amount of fluid is made up.
#[derive(Clone, Debug, PartialEq)]
pub struct Recipe {
    /// The concentrate, by its id.
    pub concentrate: String,
    /// How much of it.
    pub amount: Volume,
    /// Volume of water; `None` where the fluid is made up to the volume with it.
    pub water: Option<Volume>,
    /// Salts that are added.
    pub salts: Vec<(&'static str, Mass)>,
}

/// Borax in borax-buffered formalin, g a litre (Meador, Cuffney and Gurtz, Methods for sampling fish communities, USGS
/// Open-File Report 93-104, 1993, p. 28).
const BORAX_G_A_LITRE: f64 = 3.0;

/// Sodium chloride in formol-saline, g a litre (a summary of fixatives read on the web, scribd 453366182, undated).
const SALT_G_A_LITRE: f64 = 9.0;

/// The recipe for a volume of a fluid, at 20 °C. `None` where the fluid is bought ready for use: no recipe is known here, or no
/// concentrate is stronger.
pub fn recipe(id: &str, concentrates: &Concentrates, made: Volume) -> Option<Recipe> {
    if let Some(wanted) = Solution::named(id) {
        let from = concentrates.solutions.iter().find(|stock| stock.solute == wanted.solute)?;
        if from.by_mass <= wanted.by_mass {
            return None;
        }
        let blend = blend(*from, Solution::water(wanted.solute), wanted, made, Temperature::STANDARD).ok()?;
        return Some(Recipe {
            concentrate: from.id(),
            amount: blend.present.volume,
            water: Some(blend.added.volume),
            salts: Vec::new(),
        });
    }
    let (labelled, stock) = concentrates.formaldehyde;
    let from_stock = |amount: Volume, water: Volume, salts| Recipe {
        concentrate: format!("formaldehyde-{}", decimal(labelled, 2)),
        amount,
        water: Some(water),
        salts,
    };
    let formalin = |percent: f64, salts| {
        let parts = formaldehyde::formalin(stock, percent, made)?;
        Some(from_stock(parts.stock, parts.water, salts))
    };
    match id {
        "nbf-10" => {
            let parts = formaldehyde::buffered(stock, made, Monobasic::Monohydrate, Dibasic::Anhydrous);
            let salts = vec![
                (Monobasic::Monohydrate.formula(), parts.monobasic),
                (Dibasic::Anhydrous.formula(), parts.dibasic),
            ];
            Some(from_stock(parts.formalin.stock, parts.formalin.water, salts))
        }
        "borax-formalin-10" => {
            formalin(10.0, vec![("borax", Mass::at_least_zero(made.ml() / 1000.0 * BORAX_G_A_LITRE))])
        }
        "formol-saline-10" => {
            formalin(10.0, vec![("sodium chloride", Mass::at_least_zero(made.ml() / 1000.0 * SALT_G_A_LITRE))])
        }
        "kaiserling-3" => {
            let mixture = &KAISERLING_III[0];
            let amounts = mixture.amounts(made);
            // Its glycerol is by volume, of pure glycerol.
            Some(Recipe {
                concentrate: Solution::of(Solute::Glycerol, 100.0)?.id(),
                amount: amounts.glycerol,
                water: amounts.water,
                salts: vec![(mixture.salt, amounts.salt)],
            })
        }
        _ => formalin(id.strip_prefix("formalin-")?.parse().ok()?, Vec::new()),
    }
}
