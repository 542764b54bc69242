//! Annealed float glass: stocked thicknesses, allowable stresses, and thickness tolerance.

use crate::settings::Settings;
use crate::settings::glass::TopEdge;
use crate::units::{Density, Length, Pressure};

/// Glass as set.
#[derive(Clone, Debug, PartialEq)]
pub struct Glass {
    /// Nominal thicknesses in stock, thinnest first, none below the settings' least thickness or the least bite of a joint.
    pub thicknesses: Vec<Length>,
    /// Modulus of elasticity.
    pub modulus: Pressure,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Density.
    pub density: Density,
    /// Allowable stress under a permanent load without a load factor.
    pub allowable: Pressure,
    /// The same along a free top edge.
    pub top_edge_allowable: Pressure,
    /// A pane may deflect at most its span divided by this, and half its thickness.
    pub span_over: f64,
}

/// Where a stress of glass or of a joint occurs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum StressPlace {
    /// A long wall.
    LongWall,
    /// An end wall.
    EndWall,
    /// The base.
    Base,
    /// A free top edge of the walls.
    FreeTopEdge,
    /// The lid, by its own weight.
    Lid,
    /// The lid with a hand on it.
    LidUnderHand,
    /// The edge of the opening of the lid, by its own weight.
    LidOpening,
    /// The same with a hand on the lid.
    LidOpeningUnderHand,
    /// A joint between walls.
    UprightJoint,
    /// A joint between walls and base.
    BottomJoint,
    /// The joint of the lid.
    LidJoint,
}

/// Allowable permanent stress of a free edge as cut: 7.25 MPa × 0.8 (edge factor of EN 16612:2019, second-hand) / 1.35 (load factor
/// of EN 1990, from memory).
pub const AS_CUT_MPA: f64 = 4.3;
/// The same for an edge that is ground: 7.25 MPa × 0.9 / 1.35.
pub const GROUND_MPA: f64 = 4.8;
/// Allowable stress within a pane for some minutes: 45 MPa × 0.74 (10 minutes) / 1.8 / 1.5 (EN 16612:2019, second-hand; load factor
/// of EN 1990, from memory).
pub const MINUTES_MPA: f64 = 12.3;
/// The same at the edge of an opening, as cut: × 0.8.
pub const MINUTES_AS_CUT_MPA: f64 = 9.8;

impl Glass {
    /// Glass as the settings have it.
    pub fn new(settings: &Settings) -> Self {
        let stocked = settings.glass_prices.0.iter().map(|(thickness, _)| *thickness);
        let allowable = settings.allowable.0;
        let edge = if settings.top_edge == TopEdge::AsCut { AS_CUT_MPA } else { GROUND_MPA };
        let least = settings.least_thickness.max(settings.least_bite);
        Self {
            thicknesses: stocked.filter(|thickness| least.fits(*thickness)).collect(),
            modulus: Pressure::at_least_zero(settings.modulus_gpa.0 * 1000.0),
            poisson: settings.poisson.0,
            density: Density::at_least_zero(settings.glass_density.0 * 1000.0),
            allowable,
            top_edge_allowable: allowable.min(Pressure::at_least_zero(edge)),
            span_over: settings.deflection_span_over.0,
        }
    }

    /// Largest allowed deflection of a pane: half its thickness, where the theory of small deflections ends, or its span over the
    /// set number, if that is less. The span of a pane with a free top edge is its length, of any other its shorter side.
    pub fn deflection_limit(&self, span: Length, thickness: Length) -> Length {
        (span * (1.0 / self.span_over)).min(thickness * 0.5)
    }
}

/// How much thinner than nominal a pane may be: float glass, PN-EN 12150 (as EN 572-2): 0.2 mm to 6, 0.3 to 12, 0.5 to 15,
/// 1.0 mm beyond; the 2 and 25 mm rows from memory.
pub fn tolerance(nominal: Length) -> Length {
    let mm = match nominal.mm() {
        thin if thin <= 6.0 => 0.2,
        usual if usual <= 12.0 => 0.3,
        thick if thick <= 15.0 => 0.5,
        _ => 1.0,
    };
    Length::at_least_zero(mm)
}

/// The thickness that is counted on: nominal less tolerance.
pub fn counted_on(nominal: Length) -> Length {
    nominal.less(tolerance(nominal))
}
