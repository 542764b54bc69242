//! The strength of a filling once the liquid in the tissue has mixed in, and how many fillings or baths reach a strength.
//!
//! The part of the tissue that exchanges (about three quarters of its volume in fixed or rinsed material: common
//! practice, no source; less where it is fatty or bony) is taken as liquid of a fixed volume. A filling mixes with
//! it until both have one strength, and the tissue keeps its volume of the mixture when the filling is poured off.

use super::mixing::{Unmixable, pour_together};
use super::{Blend, Solution};
use crate::units::{Temperature, Volume};

/// Liquid in the tissue that exchanges with the fluid round it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TissueLiquid {
    /// Its volume.
    pub volume: Volume,
    /// Its solution; water where the tissue comes out of an aqueous fluid.
    pub solution: Solution,
}

/// The mixture of a filling with the liquid in the tissue, at 20 °C; `mixed` is both together.
///
/// # Errors
/// The two are of different kinds.
pub fn after_filling(filling: Solution, fluid: Volume, held: TissueLiquid) -> Result<Blend, Unmixable> {
    pour_together(filling, fluid, held.solution, held.volume, Temperature::STANDARD)
}

/// The strength at the end of each of several baths of this volume, one after another, at 20 °C.
///
/// # Errors
/// One is of another kind than the liquid held.
pub fn after_baths(baths: &[Solution], fluid: Volume, held: TissueLiquid) -> Result<Vec<Solution>, Unmixable> {
    let mut ends = Vec::with_capacity(baths.len());
    let mut solution = held.solution;
    for &bath in baths {
        solution = after_filling(bath, fluid, TissueLiquid { solution, ..held })?.solution;
        ends.push(solution);
    }
    Ok(ends)
}

/// The least number of fillings after which the strength is at least that wanted, up to `most`; `None` if not even so
/// many reach it. No number of fillings brings weaker tissue to the strength of the filling itself.
///
/// # Errors
/// The filling is of another kind than the liquid held or the strength wanted.
pub fn fillings_to_reach(
    filling: Solution,
    fluid: Volume,
    held: TissueLiquid,
    wanted: Solution,
    most: u32,
) -> Result<Option<u32>, Unmixable> {
    for other in [wanted, held.solution] {
        if filling.solute != other.solute {
            return Err(Unmixable::DifferentKinds(filling.solute, other.solute));
        }
    }
    // A mixture lies between its parts. Tested here, because after some fillings rounding makes the mixture equal to the filling.
    match (filling.by_mass > wanted.by_mass, held.solution.by_mass >= wanted.by_mass) {
        (false, false) => return Ok(None),
        (_, true) if filling.by_mass >= wanted.by_mass => return Ok((most > 0).then_some(1)),
        _ => {}
    }
    let mut solution = held.solution;
    for filled in 1..=most {
        solution = after_filling(filling, fluid, TissueLiquid { solution, ..held })?.solution;
        if solution.by_mass >= wanted.by_mass {
            return Ok(Some(filled));
        }
    }
    Ok(None)
}
