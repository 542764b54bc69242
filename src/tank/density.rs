//! The density of a tank's fluid, at 20 °C and at its coldest.

use crate::fluid::solution::Solution;
use crate::rules::Fluid;
use crate::settings::Settings;
use crate::units::{Density, Temperature};

/// Density of a fluid at 20 °C and at the coldest temperature of the settings; `None` where the table has none.
///
/// It contracts as its [`Solution`] does where that is known at the coldest (ethanol and denatured alcohol). For any other
/// fluid the table's growth from 20 to 35 °C is used for the contraction below 20 °C too: too much near 4 °C in water, on
/// the safe side. Nothing counts as less dense than at 20 °C.
pub fn densities(settings: &Settings, fluid: &Fluid) -> Option<(Density, Density)> {
    let density = Density::new(fluid.density_g_ml? * 1000.0)?;
    let coldest = settings.coldest_c.0;
    let by_table = || fluid.growth_20_35 * (20.0 - coldest) / 15.0;
    let shrunk = shrunk(fluid, coldest).unwrap_or_else(by_table).max(0.0);
    Some((density, density * (1.0 + shrunk)))
}

/// The ratio of the densities at the coldest and at 20 °C, less 1, where the fluid is a solution whose density is known there.
fn shrunk(fluid: &Fluid, coldest: f64) -> Option<f64> {
    Solution::named(&fluid.id)?.growth(Temperature::new(coldest)?, Temperature::STANDARD)
}
