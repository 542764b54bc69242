//! The space that must stay free: wall, mouth, cover and headspace, as the settings scale them.

use super::{Closure, Family, Fluid};
use crate::settings::{Settings, Store};
use crate::units::{Length, Volume};

/// Free space at each wall: a share of the bore or the smaller inner width, within limits.
pub fn wall(settings: &Settings, smaller_width: Length) -> Length {
    (smaller_width * settings.wall_pct.ratio()).max(settings.wall_min).min(settings.wall_max)
}

/// The same, unless the row asks for a free space of its own.
pub fn own_or_wall(settings: &Settings, own: Option<Length>, smaller_width: Length) -> Length {
    own.unwrap_or_else(|| wall(settings, smaller_width))
}

/// Free space in the mouth, both sides together: a share of the measure that passes, within limits.
pub fn mouth(settings: &Settings, measure: Length) -> Length {
    (measure * settings.mouth_pct.ratio()).max(settings.mouth_min).min(settings.mouth_max)
}

/// Fluid above the highest point: a share of the inner height, within limits.
pub fn cover(settings: &Settings, inner_height: Length) -> Length {
    (inner_height * settings.cover_pct.ratio()).max(settings.cover_min).min(settings.cover_max)
}

/// The headspace of a vessel as a ratio of its brimful volume, at most 1.
///
/// The fraction of the settings for the fluid; at least the smaller of the settings' least height and 12 % of the inner height, and
/// never below twice the fluid's growth from 20 to 35 °C. Source of the growth: OIML R 22 (1975) for ethanol; the fractions are
/// common practice, no source.
pub fn headspace(settings: &Settings, fluid: &Fluid, closure: &Closure, inner_height: Length) -> f64 {
    let strong = fluid.strength_pct.is_some_and(|strength| strength >= 90.0);
    let fraction = match (fluid.family, settings.store) {
        (Family::Alcohol, _) if strong || closure.plate_sealed => settings.sealed_pct,
        (Family::Alcohol, Store::Controlled) => settings.alcohol_controlled_pct,
        (Family::Alcohol, Store::Uncontrolled) => settings.alcohol_uncontrolled_pct,
        _ => settings.aqueous_pct,
    };
    let least_height = settings.headspace_least.min(inner_height * LEAST_HEADSPACE_SHARE);
    let by_height = if inner_height > Length::ZERO { least_height.mm() / inner_height.mm() } else { 0.0 };
    fraction.ratio().max(by_height).max(2.0 * fluid.growth_20_35).min(1.0)
}

/// The headspace need not be higher than this share of the inner height (common practice, no source).
const LEAST_HEADSPACE_SHARE: f64 = 0.12;

/// A vessel as it is filled with one fluid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fill {
    /// Brimful less headspace.
    pub volume: Volume,
    /// Height of the surface above the floor: the inner height less the same share.
    pub height: Length,
}

/// How far a vessel of this inner height and brimful volume is filled with a fluid.
pub fn fill(settings: &Settings, fluid: &Fluid, closure: &Closure, inner_height: Length, brimful: Volume) -> Fill {
    let filled = 1.0 - headspace(settings, fluid, closure, inner_height);
    Fill { volume: brimful * filled, height: inner_height * filled }
}
