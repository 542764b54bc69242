//! What else may hold a fluid that silicone-bonded glass must not hold: only what the compatibility table allows.

use crate::rules::{FluidId, Rules, Verdict};
use crate::units::rounded;

/// A way to keep a lot whose fluid silicone-bonded glass must not hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WayOut {
    /// Another kind of large vessel.
    Vessel {
        /// Which.
        vessel: LargeVessel,
        /// Years it lasts in this fluid; `None` = no limit is known.
        years: Option<f64>,
    },
    /// Another fluid.
    ChangeOfFluid,
}

/// Kinds of large vessel (common practice, no source).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LargeVessel {
    /// A welded tank of stainless steel 316.
    SteelTank,
    /// A welded tank of HDPE.
    HdpeTank,
    /// A welded tank of polypropylene.
    PolypropyleneTank,
    /// Borosilicate glass in one piece.
    BorosilicateVessel,
    /// Soda-lime glass in one piece.
    SodaLimeVessel,
}

impl LargeVessel {
    /// All, the most usual first.
    pub const ALL: [LargeVessel; 5] =
        [Self::SteelTank, Self::HdpeTank, Self::PolypropyleneTank, Self::BorosilicateVessel, Self::SodaLimeVessel];

    /// The id of its material, in the table of materials.
    pub fn material(self) -> &'static str {
        match self {
            Self::SteelTank => "stainless-steel-316",
            Self::HdpeTank => "hdpe",
            Self::PolypropyleneTank => "polypropylene",
            Self::BorosilicateVessel => "borosilicate",
            Self::SodaLimeVessel => "soda-lime",
        }
    }
}

/// The ways out, the most usual first. A change of fluid is always one; an unproven pair is none.
pub fn ways_out(rules: &Rules, fluid: FluidId) -> Vec<WayOut> {
    let allowed = LargeVessel::ALL.into_iter().filter_map(|vessel| {
        let material = rules.material_named(vessel.material())?;
        match rules.compatibility.material(fluid, material) {
            Verdict::Permanent => Some(WayOut::Vessel { vessel, years: None }),
            Verdict::Limited(years) => Some(WayOut::Vessel { vessel, years: Some(rounded(years, 1)) }),
            Verdict::Unproven | Verdict::Unsuitable => None,
        }
    });
    allowed.chain([WayOut::ChangeOfFluid]).collect()
}
