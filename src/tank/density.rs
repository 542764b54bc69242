//! How dense a tank's fluid is, warm and at its coldest.

use crate::fluid::solution::Solution;
use crate::rules::Fluid;
use crate::settings::Settings;
use crate::units::{Density, Temperature};

/// Density of a fluid at 20 °C and at the coldest that is set; `None` where the table does not say.
///
/// It shrinks as its [`Solution`] does where that is known at the coldest (ethanol and denatured alcohol). Of any other
/// fluid the table's growth from 20 to 35 °C is taken for the shrinking below 20 °C too: too much near 4 °C in water, on
/// the safe side. Nothing counts as less dense than at 20 °C.
pub fn densities(settings: &Settings, fluid: &Fluid) -> Option<(Density, Density)> {
    let density = Density::new(fluid.density_g_ml? * 1000.0)?;
    let coldest = settings.coldest_c.0;
    let by_table = || fluid.growth_20_35 * (20.0 - coldest) / 15.0;
    let shrunk = shrunk(fluid, coldest).unwrap_or_else(by_table).max(0.0);
    Some((density, density * (1.0 + shrunk)))
}

/// How much denser than at 20 °C, as a ratio less one, where the fluid is a solution whose density is known there.
fn shrunk(fluid: &Fluid, coldest: f64) -> Option<f64> {
    Solution::named(&fluid.id)?.growth(Temperature::new(coldest)?, Temperature::STANDARD)
}
