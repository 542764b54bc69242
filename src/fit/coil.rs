//! A body that still bends, coiled along the wall: one turn a layer, each on top of the last.
//!
//! With thickness `t`, length `l` and room width `w`: the mean line of a turn is a circle of diameter `d = w − t`, the
//! free core is `d − t`, the body makes `l / (π d)` turns and stands `t (1 + l / (π d))` high. Elementary geometry of
//! a helix of pitch `t`; a turn of the helix is a little longer than the circle, which is left out, on the safe side.
//! How tightly a body may be coiled is common practice, no source.

use std::f64::consts::PI;

use crate::collection::Envelope;
use crate::units::{Length, TOUCH_MM};

/// A coiled body.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coil {
    /// Diameter of the mean line of a turn.
    pub mean_diameter: Length,
    /// Diameter of the free core inside the turns.
    pub core: Length,
    /// Number of turns, not rounded.
    pub turns: f64,
    /// Height from the floor to the top of the last turn.
    pub height: Length,
}

/// Coils a body along the wall of a room.
///
/// `room_width` is the bore or the smaller inner width, less both wall clearances; `least_core` is the least core in
/// thicknesses.
///
/// # Errors
/// The missing room width, always above zero, where the core would be narrower than `least_core` thicknesses.
pub fn coil(length: Length, thickness: Length, room_width: Length, least_core: f64) -> Result<Coil, Length> {
    let thick = thickness.mm();
    // A body without thickness still needs a room with some width.
    let needed = ((2.0 + least_core.max(0.0)) * thick).max(2.0 * TOUCH_MM);
    if needed > room_width.mm() + TOUCH_MM {
        return Err(Length::at_least_zero(needed - room_width.mm()));
    }
    let mean_diameter = room_width.less(thickness);
    let turns = length.mm() / (PI * mean_diameter.mm());
    Ok(Coil {
        mean_diameter,
        core: mean_diameter.less(thickness),
        turns,
        height: Length::at_least_zero(thick * (1.0 + turns)),
    })
}

/// The box round the tightest usual coil, for a tank made to measure: a core of three thicknesses, so a mean diameter
/// of `4 t`, hence `5 t × 5 t × t (1 + l / (4 π t))`.
pub fn coil_envelope(length: Length, thickness: Length) -> Envelope {
    let across = thickness * 5.0;
    // t (1 + l / (4 π t)), written so that a thickness of zero is no divisor.
    Envelope { length: across, width: across, height: thickness + length * (1.0 / (4.0 * PI)) }
}
