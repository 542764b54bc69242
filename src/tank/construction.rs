//! The demand on a tank, and the ways to build it.

use super::brace::Brace;
use crate::settings::Settings;
use crate::settings::glass::BONDED_LIDS;
use crate::units::{Density, Length};

/// The demand on a tank: clear size, fluid and opening.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Demand {
    /// Clear length, the longer side.
    pub length: Length,
    /// Clear width.
    pub width: Length,
    /// Clear height, floor to rim.
    pub height: Length,
    /// Density of the fluid at 20 °C.
    pub density: Density,
    /// Density at its coldest.
    pub coldest: Density,
    /// The body that must pass the rim, along and across, where it is known.
    pub opening: Option<(Length, Length)>,
}

/// How walls and base meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Footing {
    /// The base lies between the walls.
    BaseInside,
    /// The walls stand on the base.
    WallsOnBase,
}

/// A rim, before its strips are sized.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Rimmed {
    /// Nothing holds it.
    Free,
    /// Strips hold it.
    Braced,
    /// The bonded lid holds it.
    Lid,
}

/// One way to build a tank, its thicknesses nominal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Construction {
    /// What holds the rim.
    pub rim: Rimmed,
    /// How walls and base meet.
    pub footing: Footing,
    /// Thickness of the walls and of strips.
    pub wall: Length,
    /// Thickness of the base.
    pub base: Length,
    /// Thickness of the lid.
    pub lid: Length,
}

/// What holds the top edges of the walls.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Top {
    /// Nothing.
    Free,
    /// A frame of strips.
    Braced(Brace),
    /// The bonded lid.
    Lid,
}

/// How a tank is built, without its thicknesses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TankConstruction {
    /// How walls and base meet.
    pub footing: Footing,
    /// What holds the rim.
    pub rim: RimSupport,
}

/// What holds a rim, as a plan states it.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub enum RimSupport {
    /// Nothing.
    Free,
    /// A frame of strips.
    Strips {
        /// Width of each strip.
        width: Length,
    },
    /// The bonded lid.
    BondedLid,
}

/// Whether the lid of the settings is bonded.
pub fn bonded(settings: &Settings) -> bool {
    BONDED_LIDS.contains(&settings.tank_lid.as_str())
}

/// Length over height.
pub(super) fn ratio(demand: &Demand) -> f64 {
    demand.length.mm() / demand.height.mm()
}
