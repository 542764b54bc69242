//! The stress of the joints, compared with design values of sealants; and why a tank must breathe.
//!
//! The stress of a joint is the line load of the panes on it divided by the bite, which is the thickness of the pane whose edge is
//! glued. The least thickness counts, nominal less tolerance ([`counted_on`](super::glass::counted_on)), as for the panes
//! themselves: thinner glass puts the same load on less sealant. The least bite of [`LEAST_BITE_MM`] is a dimension of the drawing
//! and is compared with the nominal thickness. Loads at right angles are combined to their resultant, √(pull² + shear²), where it is
//! largest along the joint: in an upright joint one wall pulls and the other shears; where the base lies between the walls, each wall
//! pulls, and the base shears by its own weight and the fluid on it.
//!
//! Where the rim is free, each wall ends at the top of its upright joints with a point force that pulls them open: 2 M_xy of
//! its corner (G. Kirchhoff's corner force; S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959,
//! article 22, from memory). It is stated in newtons and has no limit: no area over which a joint carries it, and no design value
//! for it, is published.
//!
//! Structural glazing allows 0.14 MPa for a short time (20 psi, ASTM C1401, quoted in the
//! Construction Waterproofing Handbook, p. 5.51; ETAG 002, from memory) and 0.007 to 0.014 MPa permanently (1 psi, ASTM C1401;
//! creep of ETAG 002; from memory). Ordinary tanks run at 0.03 to 0.10 MPa, two to fourteen times that permanent value, and
//! hold by the reserve of the sealant and by the inside fillet. No permanent design value in formalin or alcohol is published.

use super::plate::Reactions;
use crate::units::{Force, Length, Pressure};

/// Permanent value of structural glazing.
pub const PERMANENT_MPA: f64 = 0.014;
/// Half the short-term value: where ordinary tanks run (common practice, no source).
pub const PRACTICE_MPA: f64 = 0.07;
/// Short-term value of structural glazing; no tank is designed above it.
pub const LIMIT_MPA: f64 = 0.14;
/// Least bite of structural glazing, mm (ETAG 002, from memory; 1/4 inch in ASTM C1401, from memory).
pub const LEAST_BITE_MM: f64 = 6.0;

/// Class of the stress of a joint.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SeamClass {
    /// Within the permanent value of structural glazing.
    Low,
    /// As in ordinary tanks.
    TankPractice,
    /// Above that: designed only where the settings accept it.
    High,
    /// Above the short-term value: refused.
    Beyond,
}

impl SeamClass {
    /// The class of a stress.
    pub fn of(stress: Pressure) -> Self {
        // A stress equal to the limit keeps it.
        let within = |limit: f64| stress.mpa() <= limit + 1e-9;
        if within(PERMANENT_MPA) {
            Self::Low
        } else if within(PRACTICE_MPA) {
            Self::TankPractice
        } else if within(LIMIT_MPA) {
            Self::High
        } else {
            Self::Beyond
        }
    }
}

/// Stress of the joints of one tank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seams {
    /// Upright joints between walls.
    pub vertical: Pressure,
    /// Joints between walls and base.
    pub bottom: Pressure,
    /// Joints of a lid or brace that holds the walls; none otherwise.
    pub top: Pressure,
    /// Force with which a wall pulls the top of an upright joint open; zero where the rim is held.
    pub corner: Force,
}

impl Seams {
    /// The largest stress of a joint.
    pub fn worst(self) -> Pressure {
        self.vertical.max(self.bottom).max(self.top)
    }

    /// The class of the largest stress.
    pub fn class(self) -> SeamClass {
        SeamClass::of(self.worst())
    }
}

/// Stress of a joint: the line load (`line_load` × foot × rise) over the bite.
pub fn stress(line_load: f64, foot: Pressure, rise: Length, bite: Length) -> Pressure {
    foot * (line_load * rise.mm() / bite.mm())
}

/// The resultant of two stresses at right angles.
pub fn together(pull: Pressure, shear: Pressure) -> Pressure {
    Pressure::at_least_zero(pull.mpa().hypot(shear.mpa()))
}

/// Force with which a wall pulls the top of each of its upright joints open; `foot` is the pressure at its foot.
pub fn corner_pull(wall: &Reactions, foot: Pressure, span: Length, rise: Length) -> Force {
    foot.on(span, rise) * wall.top_corner.max(0.0)
}

/// Largest line load of an upright joint between two walls, as a part of foot × rise: one wall pulls, the other shears.
pub fn upright(walls: [&Reactions; 2]) -> f64 {
    let [one, other] = walls;
    let both = one.side_profile.iter().zip(&other.side_profile).map(|(pull, shear)| pull.hypot(*shear));
    both.fold(one.side_largest.max(other.side_largest), f64::max)
}
