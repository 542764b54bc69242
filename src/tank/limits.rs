//! Why a tank cannot be designed, and what would help.

use super::construction::Demand;
use super::glass::StressPlace;
use super::seams::{self, SeamClass};
use super::ways_out::WayOut;
use crate::settings::Settings;
use crate::settings::glass::{BONDED_LIDS, SeamLimit};
use crate::units::{Length, Pressure, rounded};

/// The limit that no construction keeps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Limit {
    /// Longer than four times its height with a free rim.
    TooLong {
        /// Length over height.
        times: f64,
    },
    /// The stress exceeds its limit even with the thickest stocked glass.
    Stress {
        /// Place of the stress.
        place: StressPlace,
        /// Largest stress with the thickest glass.
        stress: Pressure,
        /// The allowable stress there.
        limit: Pressure,
        /// Nominal thickness of that glass.
        thickest: Length,
    },
    /// The deflection exceeds its limit even with the thickest stocked glass.
    Deflection {
        /// A wall or the base.
        pane: StressPlace,
        /// Largest deflection with the thickest glass.
        deflection: Length,
        /// Nominal thickness of that glass.
        thickest: Length,
    },
    /// The lid sags too much even with the thickest stocked glass.
    LidSag {
        /// Sag with a hand on it and the thickest glass.
        sag: Length,
        /// Nominal thickness of that glass.
        thickest: Length,
    },
    /// The stress of the joints exceeds its limit.
    Seam {
        /// Stress of the most heavily loaded joint, with the thickest glass.
        stress: Pressure,
        /// Class of that stress.
        class: SeamClass,
    },
    /// No strips hold the rim and leave the opening free.
    NoBrace,
    /// A pane is larger than any stock sheet.
    Sheet {
        /// Its longer side.
        length: Length,
        /// Its shorter side.
        width: Length,
    },
    /// The clear size is smaller than the joints.
    TooSmall,
    /// No thickness is stocked.
    NoGlass,
    /// The fluids table has no density for its fluid.
    DensityUnknown,
}

/// What would make a design possible, or serve instead of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TankRemedy {
    /// A brace round the rim.
    Brace {
        /// Thickness of the walls that is then enough.
        wall: Length,
    },
    /// A bonded lid that supports the walls.
    BondedLid {
        /// Thickness of the walls that is then enough.
        wall: Length,
    },
    /// A higher tank.
    HigherTank {
        /// Its height.
        height: Length,
        /// Thickness of the walls that is then enough.
        wall: Length,
    },
    /// A competent person's decision to allow a higher stress of the joints.
    SeamDecision {
        /// Stress of the joints.
        stress: Pressure,
        /// Thickness of the walls that is then enough.
        wall: Length,
    },
    /// Two shorter tanks.
    SecondCompartment,
    /// A fabricator's own design.
    FabricatorsDesign,
    /// A density in the fluids table.
    Density,
    /// Another lid.
    AnotherLid,
    /// A test of a fluid that is not identified.
    FluidTest,
    /// A review of the unproven pair, which may then be accepted.
    Review,
    /// Something else than silicone-bonded glass.
    Instead {
        /// What.
        way: WayOut,
    },
}

/// The reason why no design is made, with what would help.
#[derive(Clone, Debug, PartialEq)]
pub struct Beyond {
    /// The limit that is exceeded.
    pub limit: Limit,
    /// What would help, the nearest first.
    pub remedies: Vec<TankRemedy>,
}

impl Beyond {
    /// For a fluid without density in the fluids table.
    pub fn density_unknown() -> Self {
        Self { limit: Limit::DensityUnknown, remedies: vec![TankRemedy::Density] }
    }
}

impl Limit {
    /// With figures rounded as they are printed: lengths to one place, stresses and deflections to two, stresses of joints to three.
    pub fn rounded(self) -> Self {
        match self {
            Limit::TooLong { times } => Limit::TooLong { times: rounded(times, 2) },
            Limit::Stress { place, stress, limit, thickest } => {
                Limit::Stress { place, stress: mpa(stress, 2), limit: mpa(limit, 2), thickest: mm(thickest, 1) }
            }
            Limit::Deflection { pane, deflection, thickest } => {
                Limit::Deflection { pane, deflection: mm(deflection, 2), thickest: mm(thickest, 1) }
            }
            Limit::LidSag { sag, thickest } => Limit::LidSag { sag: mm(sag, 2), thickest: mm(thickest, 1) },
            Limit::Seam { stress, class } => Limit::Seam { stress: mpa(stress, 3), class },
            Limit::Sheet { length, width } => Limit::Sheet { length: mm(length, 1), width: mm(width, 1) },
            Limit::NoBrace | Limit::TooSmall | Limit::NoGlass | Limit::DensityUnknown => self,
        }
    }
}

/// A length rounded as it is printed.
pub(super) fn mm(length: Length, places: usize) -> Length {
    Length::at_least_zero(rounded(length.mm(), places))
}

/// A stress rounded as it is printed.
pub(super) fn mpa(stress: Pressure, places: usize) -> Pressure {
    Pressure::at_least_zero(rounded(stress.mpa(), places))
}

/// Longest wall with a free rim, in heights.
pub(super) const LONGEST_FREE: f64 = 4.0;

/// Tries a design. Returns the thickness of its walls and the stress of its joints, if it passes.
type TryDesign<'a> = &'a dyn Fn(&Settings, &Demand) -> Option<(Length, Pressure)>;

/// What would make a design possible for a refused tank. `designed` tries a design.
pub(super) fn remedies(settings: &Settings, demand: &Demand, limit: Limit, designed: TryDesign) -> Vec<TankRemedy> {
    let mut remedies = Vec::new();
    if !matches!(limit, Limit::TooSmall | Limit::Sheet { .. } | Limit::NoGlass) {
        let braced = Settings { tank_brace: true, ..settings.clone() };
        if !settings.tank_brace
            && let Some((wall, _)) = designed(&braced, demand)
        {
            remedies.push(TankRemedy::Brace { wall: mm(wall, 1) });
        }
        let held = Settings { lid_supports_walls: true, tank_lid: BONDED_LIDS[0].to_owned(), ..settings.clone() };
        if !settings.lid_supports_walls
            && let Some((wall, _)) = designed(&held, demand)
        {
            remedies.push(TankRemedy::BondedLid { wall: mm(wall, 1) });
        }
        let high = (demand.length.mm() / LONGEST_FREE / 10.0).ceil() * 10.0;
        let higher = Demand { height: Length::at_least_zero(high), ..*demand };
        if matches!(limit, Limit::TooLong { .. })
            && let Some((wall, _)) = designed(settings, &higher)
        {
            remedies.push(TankRemedy::HigherTank { height: higher.height, wall: mm(wall, 1) });
        }
        let accepted =
            Settings { seam_limit: SeamLimit(Pressure::at_least_zero(seams::LIMIT_MPA)), ..settings.clone() };
        if matches!(limit, Limit::Seam { .. })
            && let Some((wall, stress)) = designed(&accepted, demand)
        {
            let stress = mpa(stress, 3);
            remedies.push(TankRemedy::SeamDecision { stress, wall: mm(wall, 1) });
        }
        // A body longer than half the tank fits in no half of it.
        let divides = demand.opening.is_none_or(|(along, _)| along.fits(demand.length * 0.5));
        if !matches!(limit, Limit::Seam { .. }) && divides {
            remedies.push(TankRemedy::SecondCompartment);
        }
    }
    remedies.push(TankRemedy::FabricatorsDesign);
    remedies
}
