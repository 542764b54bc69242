//! A pane of a given size: stress and deflection from the coefficients of its plate.

use super::PlateCoefficients;
use crate::units::{Length, Pressure};

/// A pane of glass in its size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pane {
    /// Clear span, horizontal.
    pub span: Length,
    /// Clear rise, vertical (of a base: its short side).
    pub rise: Length,
    /// Thickness that is counted on: nominal less tolerance.
    pub thickness: Length,
}

impl PlateCoefficients {
    /// Largest principal bending stress of a pane under a load of `pressure` at its foot.
    pub fn stress_of(&self, pane: Pane, pressure: Pressure) -> Pressure {
        pressure * (self.stress * (pane.rise.mm() / pane.thickness.mm()).powi(2))
    }

    /// Largest bending stress along its free top edge.
    pub fn top_edge_stress_of(&self, pane: Pane, pressure: Pressure) -> Pressure {
        pressure * (self.top_edge_stress * (pane.rise.mm() / pane.thickness.mm()).powi(2))
    }

    /// Largest stress at the edge of a small hole near a bottom corner.
    pub fn by_hole_of(&self, pane: Pane, pressure: Pressure) -> Pressure {
        pressure * (self.by_hole * (pane.rise.mm() / pane.thickness.mm()).powi(2))
    }

    /// Largest deflection of a pane of glass with a modulus of elasticity.
    pub fn deflection_of(&self, pane: Pane, pressure: Pressure, modulus: Pressure) -> Length {
        let slender = pane.rise.mm() / pane.thickness.mm();
        let bends = self.deflection * pressure.mpa() / modulus.mpa() * slender.powi(3) * pane.rise.mm();
        // The cap keeps the deflection of a pane with hardly any stiffness finite.
        Length::at_least_zero(bends.min(1e12))
    }
}
