//! What evaporation leaves: alcohol goes first, so that what is left is weaker.

use super::ethanol;
use super::{Solute, Solution};
use crate::units::{MassFraction, Temperature};

/// Molar masses in g/mol.
const ETHANOL_G_MOL: f64 = 46.069;
const WATER_G_MOL: f64 = 18.015;
/// Van Laar constants of ethanol in water and water in ethanol (from memory: Holmes and Van Winkle, Industrial and
/// Engineering Chemistry 62 (1970) 21, to be checked).
const VAN_LAAR: (f64, f64) = (1.6798, 0.9227);
/// Vapour pressure of ethanol over that of water at 20 °C, both in mmHg (from memory: Antoine constants, to be checked).
const VAPOUR_PRESSURES: f64 = 43.86 / 17.47;
/// Share of the mass that leaves in one step of the reckoning.
const STEP: f64 = 1.0 / 2000.0;

/// What is left of ethanol and water when this share of the volume has evaporated freely at 20 °C (Rayleigh's equation;
/// water taken up from the air is left out, so that the true loss of strength is larger). `None` for other fluids and
/// for shares outside 0 to below 1.
///
/// A guide, not a reading: measure before anything is done on the strength of it.
pub fn after_evaporation(solution: Solution, lost: f64) -> Option<Solution> {
    if solution.solute != Solute::Ethanol || !(0.0..1.0).contains(&lost) {
        return None;
    }
    let volume = |alcohol: f64, water: f64| {
        let by_mass = MassFraction::within(alcohol / (alcohol + water));
        (alcohol + water) / ethanol::density(by_mass, Temperature::STANDARD).kg_m3()
    };
    let (mut alcohol, mut water) = (solution.by_mass.ratio(), 1.0 - solution.by_mass.ratio());
    let left = volume(alcohol, water) * (1.0 - lost);
    while volume(alcohol, water) > left {
        let vapour = vapour_share(alcohol / (alcohol + water));
        let step = STEP.min(0.1 * (alcohol + water));
        alcohol = (alcohol - step * vapour).max(0.0);
        water = (water - step * (1.0 - vapour)).max(0.0);
    }
    Some(Solution { by_mass: MassFraction::within(alcohol / (alcohol + water)), ..solution })
}

/// The share by mass of ethanol in the vapour over a liquid with this share by mass.
fn vapour_share(by_mass: f64) -> f64 {
    let moles = by_mass / ETHANOL_G_MOL;
    let x = moles / (moles + (1.0 - by_mass) / WATER_G_MOL);
    let (a, b) = VAN_LAAR;
    // The logarithm of an activity coefficient.
    let activity = |strength: f64, own: f64, other: f64| {
        let over = strength * own / (strength * own + other * (1.0 - own));
        strength * (1.0 - over) * (1.0 - over)
    };
    let volatility = VAPOUR_PRESSURES * (activity(a, x, b) - activity(b, 1.0 - x, a)).exp();
    let y = volatility * x / (1.0 + (volatility - 1.0) * x);
    y * ETHANOL_G_MOL / (y * ETHANOL_G_MOL + (1.0 - y) * WATER_G_MOL)
}
