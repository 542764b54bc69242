//! A brace: strips bonded flat round the inside of the rim, and across it where the tank is long, which hold the walls.
//!
//! A strip is a beam under the line load that its wall puts on a held top edge (taken everywhere as large as in the middle): a long
//! strip spans between the transverse strips, an end strip between the long ones. It must keep its stress and deflection
//! limits, and pass its load on through lapped bonds. The transverse strips lie under the long ones; all have one width. Beam
//! theory; common practice, no source.

use super::glass::Glass;
use crate::units::{Length, Pressure};

/// A frame of strips as thick as the walls.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Brace {
    /// Width of each strip.
    pub width: Length,
    /// Number of strips across the tank besides the two at its ends.
    pub cross: u32,
    /// Shear in the laps where a cross strip meets a long one.
    pub lap: Pressure,
    /// The free opening, along and across.
    pub opening: (Length, Length),
}

/// The rim that a brace must hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rim {
    /// Clear length.
    pub length: Length,
    /// Clear width.
    pub width: Length,
    /// The body that must pass, along and across; half the clear width each way where nothing is stated.
    pub opening: Option<(Length, Length)>,
    /// Pressure at the foot of the walls.
    pub foot: Pressure,
    /// Rise of the walls.
    pub rise: Length,
    /// Line loads on the top edges of a long and an end wall, as parts of foot × rise.
    pub line_loads: [f64; 2],
    /// Allowable stress of the laps.
    pub lap_limit: Pressure,
}

/// Narrowest strip, and the step of widths (common practice, no source).
const LEAST_MM: f64 = 40.0;
const STEP_MM: f64 = 5.0;
/// A strip deflects at most its span over this, so that the rim counts as held (common practice, no source).
const SPAN_OVER: f64 = 1000.0;
/// Most strips across the tank; with more it is no longer a brace.
const MOST_ACROSS: u32 = 4;

/// The frame with the fewest strips across that holds the walls and leaves the opening free, if there is one.
pub fn brace(glass: &Glass, rim: Rim, thickness: Length) -> Option<Brace> {
    let (along, across) = rim.opening.unwrap_or((rim.width * 0.5, rim.width * 0.5));
    (0..=MOST_ACROSS).find_map(|cross| {
        let bay = rim.length * (1.0 / f64::from(cross + 1));
        // Load per length of strip, N/mm; from here on in N and mm. A strip bends in its own plane.
        let load = |line_load: f64| rim.foot.mpa() * line_load * rim.rise.mm();
        let (t, limit) = (thickness.mm(), glass.top_edge_allowable.mpa());
        let needs = |load: f64, span: f64| {
            let by_stress = (6.0 * load * span * span / 8.0 / (t * limit)).sqrt();
            let by_bend = (5.0 * load * span.powi(3) * SPAN_OVER * 12.0 / (384.0 * glass.modulus.mpa() * t)).cbrt();
            by_stress.max(by_bend)
        };
        let strips = [(load(rim.line_loads[0]), bay.mm()), (load(rim.line_loads[1]), rim.width.mm())];
        let by_beam = strips.into_iter().map(|(load, span)| needs(load, span)).fold(LEAST_MM, f64::max);
        // At a transverse strip between two bays, a continuous long strip puts five quarters of the load of one bay on it.
        let pull = (1.25 * strips[0].0 * strips[0].1).max(strips[1].0 * strips[1].1 / 2.0);
        let needed = by_beam.max((pull / rim.lap_limit.mpa()).sqrt());
        let width = Length::new((needed / STEP_MM).ceil() * STEP_MM)?;
        let opening = (bay.less(width * if cross == 0 { 2.0 } else { 1.5 }), rim.width.less(width * 2.0));
        let passes = along.fits(opening.0) && across.fits(opening.1);
        let lap = Pressure::new(pull / width.mm().powi(2))?;
        passes.then_some(Brace { width, cross, lap, opening })
    })
}
