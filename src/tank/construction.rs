//! What a tank must hold, and the ways to build it.

use super::brace::Brace;
use crate::settings::Settings;
use crate::settings::glass::BONDED_LIDS;
use crate::units::{Density, Length};

/// What a tank must hold.
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
    /// What must pass the rim, along and across, where that is known.
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
    /// Strips do.
    Braced,
    /// The bonded lid does.
    Lid,
}

/// One way to build a tank, its thicknesses nominal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Construction {
    /// What holds the rim.
    pub rim: Rimmed,
    /// How walls and base meet.
    pub footing: Footing,
    /// Of the walls, and of strips.
    pub wall: Length,
    /// Of the base.
    pub base: Length,
    /// Of the lid.
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
        /// Of each.
        width: Length,
    },
    /// The bonded lid.
    BondedLid,
}

/// Whether the lid that is set is glued on.
pub fn bonded(settings: &Settings) -> bool {
    BONDED_LIDS.contains(&settings.tank_lid.as_str())
}

/// Length over height.
pub(super) fn ratio(demand: &Demand) -> f64 {
    demand.length.mm() / demand.height.mm()
}
