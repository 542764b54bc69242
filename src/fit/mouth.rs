//! A body through a mouth: straight in, as it will stand.
//!
//! Only the section across the vertical counts. The body passes where [`super::footprint::lack`] is zero, turned about the
//! vertical as needed. Tilting a body past the edge of a neck is not planned; [`most_tilt`] says how far it can be tilted.

use super::footprint::FootprintMeasures;
use crate::stock::Section;
use crate::units::Length;

/// The measure of the section that the mouth's clearance is a share of, and that must pass a round mouth: the diagonal of a box
/// or the larger axis of a rounded section in a round mouth, the larger side in a rectangular one.
pub fn measure(body: impl Into<FootprintMeasures>, mouth: Section) -> Length {
    let body = body.into();
    match mouth {
        Section::Round(_) => body.round(),
        Section::Rectangular(..) => body.longer(),
    }
}

/// Degrees by which a long flat body can tilt while it is still in a neck of this bore and length; `None` where it is
/// thicker than the bore.
///
/// In the plane of the tilt a slab of thickness T keeps clear of both rims while T + n sin θ ≤ d cos θ (elementary).
pub fn most_tilt(thickness: Length, bore: Length, neck: Length) -> Option<f64> {
    let (t, d, n) = (thickness.mm(), bore.mm(), neck.mm());
    let tilt = (t / d.hypot(n)).acos() - n.atan2(d);
    (t <= d && d > 0.0).then_some(tilt.to_degrees().max(0.0))
}
