//! A body through a mouth: straight in, as it will stand.
//!
//! Only the section across the vertical counts, and it passes where [`super::footprint::lack`], turned as it pleases, is
//! nothing. Tilting a body round the edge of a neck is left to a person's hands: [`most_tilt`] says how far it goes.

use super::footprint::FootprintMeasures;
use crate::stock::Section;
use crate::units::Length;

/// The measure of the section on which the mouth's clearance is reckoned, and which a round mouth must pass: the
/// diagonal of a box or the larger axis of a rounded section in a round mouth, the larger side in a rectangular one.
pub fn measure(body: impl Into<FootprintMeasures>, mouth: Section) -> Length {
    let body = body.into();
    match mouth {
        Section::Round(_) => body.round(),
        Section::Rectangular(..) => body.longer(),
    }
}

/// Degrees by which a long flat body can lean while it is still in a neck of this bore and length; `None` where it is
/// thicker than the bore.
///
/// In the plane of the tilt a slab of thickness T keeps clear of both rims while T + n sin θ ≤ d cos θ (elementary).
pub fn most_tilt(thickness: Length, bore: Length, neck: Length) -> Option<f64> {
    let (t, d, n) = (thickness.mm(), bore.mm(), neck.mm());
    let tilt = (t / d.hypot(n)).acos() - n.atan2(d);
    (t <= d && d > 0.0).then_some(tilt.to_degrees().max(0.0))
}
