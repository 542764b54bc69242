//! A body through a mouth: straight in, as it will stand.
//!
//! Only the section across the vertical counts. Tilting a body round the edge of a neck is left to a person's hands.

use super::plan::{self, Plan};
use crate::stock::Section;
use crate::units::Length;

/// The measure of the section on which the mouth's clearance is reckoned, and which a round mouth must pass: the
/// diagonal of a box or the larger axis of a rounded section in a round mouth, the larger side in a rectangular one.
pub fn measure(body: Plan, mouth: Section) -> Length {
    match mouth {
        Section::Round(_) => body.round_measure(),
        Section::Rectangular(..) => body.along.max(body.across),
    }
}

/// What the mouth, already less its clearance, lacks: zero exactly if the section passes.
///
/// Round: [`measure`] less the bore. Rectangular: [`plan::lack`], turned in plan as it pleases, whatever its room
/// later allows.
pub fn lack(body: Plan, mouth: Section) -> Length {
    plan::lack(body, mouth, true)
}
