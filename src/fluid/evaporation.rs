//! The strength left after evaporation: alcohol evaporates first, so the rest is weaker.

use super::curve::ETHANOL_VAPOUR;
use super::{Solute, Solution, ethanol, pour_together};
use crate::units::{MassFraction, Temperature, Volume};

/// Molar masses in g/mol.
const ETHANOL_G_MOL: f64 = 46.069;
const WATER_G_MOL: f64 = 18.015;
/// Share of the mass that leaves in one step of the integration.
const STEP: f64 = 1.0 / 2000.0;

/// The ethanol and water left when this share of the volume has evaporated freely (Rayleigh's equation, with the vapour measured
/// over the liquid at 30 °C; at a boil the vapour is poorer in alcohol, and the rest stronger). Water taken up from the air is
/// left out, so the true loss of strength is larger. `None` for other fluids and for shares outside 0 to below 1.
///
/// A guide, not a measurement: measure the strength before you act on it.
pub fn after_evaporation(solution: Solution, lost: f64) -> Option<Solution> {
    if solution.solute != Solute::Ethanol || !(0.0..1.0).contains(&lost) {
        return None;
    }
    let volume = |alcohol: f64, water: f64| {
        let by_mass = MassFraction::within(alcohol / (alcohol + water));
        (alcohol + water) / ethanol::density(by_mass, Temperature::STANDARD).kg_m3()
    };
    let (mut alcohol, mut water) = (solution.by_mass.ratio(), 1.0 - solution.by_mass.ratio());
    let mut now = volume(alcohol, water);
    let left = now * (1.0 - lost);
    while now > left {
        let vapour = vapour_share(alcohol / (alcohol + water));
        let step = STEP.min(0.1 * (alcohol + water));
        let after =
            |part: f64| ((alcohol - part * step * vapour).max(0.0), (water - part * step * (1.0 - vapour)).max(0.0));
        let whole = after(1.0);
        let then = volume(whole.0, whole.1);
        // Only the missing part of the last step is taken: a step too much each year would add up.
        let last = then <= left;
        (alcohol, water) = if last { after((now - left) / (now - then)) } else { whole };
        if last {
            break;
        }
        now = then;
    }
    Some(Solution { by_mass: MassFraction::within(alcohol / (alcohol + water)), ..solution })
}

/// The strength of a vessel after each of several times that it loses this share of its volume and is topped up with the same
/// fluid. The contraction on topping up, below 0.2 % of the volume, is left out. `None` as for [`after_evaporation`].
///
/// Topped up with its own strength it weakens from year to year: the vapour is stronger than the fluid poured in.
pub fn topped_up(solution: Solution, lost: f64, with: Solution, times: usize) -> Option<Vec<Solution>> {
    let share = |share: f64| Volume::at_least_zero(1000.0 * share);
    let mut now = solution;
    (0..times)
        .map(|_| {
            let left = after_evaporation(now, lost)?;
            let poured = pour_together(left, share(1.0 - lost), with, share(lost), Temperature::STANDARD).ok()?;
            now = poured.solution;
            Some(now)
        })
        .collect()
}

/// The share by mass of ethanol in the vapour over a liquid with this share by mass.
fn vapour_share(by_mass: f64) -> f64 {
    let moles = by_mass / ETHANOL_G_MOL;
    let x = moles / (moles + (1.0 - by_mass) / WATER_G_MOL);
    let y = 0.01 * ETHANOL_VAPOUR.at(x);
    y * ETHANOL_G_MOL / (y * ETHANOL_G_MOL + (1.0 - y) * WATER_G_MOL)
}
