//! What is said with every tank: warnings of this one, and its limits. The order of work: [`order`](super::order).

use super::design::{Design, Footing, Top};
use super::glass::{AS_CUT_MPA, GROUND_MPA, StressPlace};
use super::limits::{mm, mpa};
use super::seams::{LEAST_BITE_MM, SeamClass};
use crate::rules::{Family, Fluid};
use crate::settings::Settings;
use crate::settings::glass::{Allowable, BaseSupport, LOOSE_LID, TopEdge};
use crate::units::{Density, Force, Length, Mass, Pressure, rounded};

/// What the design of a tank leaves out or leaves to others.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TankRemark {
    /// Planning figures only.
    PlanningFigures,
    /// No design value of the sealant for good is published.
    SealantNotPublished,
    /// Who decides.
    FabricatorDecides,
    /// What it stands in.
    StandInTray,
    /// What ordinary tanks ask of their joints.
    SeamsOfOrdinaryTanks,
    /// The strips of a brace are taken as rigid.
    RigidBrace,
}

/// Said plainly wherever a tank is printed.
pub const PLAINLY: [TankRemark; 4] = [
    TankRemark::PlanningFigures,
    TankRemark::SealantNotPublished,
    TankRemark::FabricatorDecides,
    TankRemark::StandInTray,
];

/// What to mind with one tank. Figures are rounded as they are told.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TankWarning {
    /// Nothing is known about its glass, sealant or lid in this fluid, and it was accepted all the same.
    Unproven {
        /// Its fluid is an alcohol, whose vapour passes silicone and burns.
        alcohol: bool,
    },
    /// Joints that work harder than is usual.
    SeamAbovePractice {
        /// Of the hardest worked.
        stress: Pressure,
    },
    /// An allowable stress above the usual one.
    AllowableAboveUsual {
        /// As set.
        allowable: Pressure,
    },
    /// Joints with less bite than structural glazing asks for.
    SmallBite {
        /// Theirs.
        bite: Length,
    },
    /// The bonded lid holds the walls.
    LidHoldsWalls,
    /// A water test does not prove it up to the rim.
    DenserThanWater,
    /// The lid seals nothing.
    LooseLid,
    /// What the strips of a brace leave open.
    BraceOpening {
        /// Along the tank.
        along: Length,
        /// Across it.
        across: Length,
    },
    /// How far down the strips of a brace reach.
    BraceDepth {
        /// Below the rim.
        depth: Length,
        /// Where the fluid stands, below the rim.
        freeboard: Length,
    },
    /// A free top edge that is ground.
    GroundTopEdge {
        /// What it is held to.
        ground: Pressure,
        /// What it would be held to as cut.
        as_cut: Pressure,
    },
    /// A long tank with a free rim.
    LongFreeRim {
        /// Length over height.
        times: f64,
        /// With what the walls pull the top of each upright joint open.
        pull: Force,
    },
    /// The base is designed as carried on its edges.
    BaseOnEdges,
    /// The base must be bedded.
    BaseBedded,
    /// The base lies between the walls, which must stand on the pad too.
    WallsOnPad,
    /// A pane that two people may not lift.
    PaneNeedsLift {
        /// Of the heaviest.
        mass: Mass,
    },
    /// A pane that one person may not lift.
    PaneForTwo {
        /// Of the heaviest.
        mass: Mass,
    },
    /// An empty tank that two people may not lift.
    EmptyNeedsLift {
        /// Of the glass.
        mass: Mass,
    },
    /// A full tank that is not moved.
    NeverMovedFull {
        /// With its fluid.
        mass: Mass,
    },
    /// What its shelf must bear.
    ShelfLoad {
        /// Full.
        pressure: Pressure,
        /// The same as a mass on each square metre.
        mass_per_m2: Mass,
    },
    /// Panes so small that tolerances must be agreed.
    SmallPanes,
    /// It must not be sealed.
    MustBreathe {
        /// Gas pressure, above or below the air outside, that would use up what is left somewhere.
        gas: Pressure,
        /// Where.
        place: StressPlace,
    },
}

/// Heaviest pane for one person, heaviest pane or empty tank for two, and full tank that is not moved (common practice, no
/// source).
const PANE_KG: f64 = 25.0;
pub(super) const EMPTY_KG: f64 = 40.0;
const FULL_KG: f64 = 200.0;
/// Shelf load that an ordinary shelf is often built for (common practice, no source).
const SHELF_KPA: f64 = 2.5;

/// Lengths in heights from which the point force at the top of the upright joints of an open tank is warned of (common practice,
/// no source; it is 1 % of the load on the wall at 1, 4 % at 1.5, 11 % at 4).
pub const WIDE_OPEN: f64 = 1.5;

/// Of a tank about whose glass, sealant or lid in this fluid nothing is known, and which was accepted all the same.
pub fn unproven(fluid: &Fluid) -> TankWarning {
    TankWarning::Unproven { alcohol: fluid.family == Family::Alcohol }
}

/// What designs leave out, said plainly wherever one is printed whole. `braced`: strips hold the rim of one.
pub fn limits_of(braced: bool) -> Vec<TankRemark> {
    let rigid = braced.then_some(TankRemark::RigidBrace);
    PLAINLY.into_iter().chain([TankRemark::SeamsOfOrdinaryTanks]).chain(rigid).collect()
}

/// Warnings of one tank, the gravest first.
pub fn warnings(settings: &Settings, design: &Design) -> Vec<TankWarning> {
    let mut warnings = of_strength(settings, design);
    warnings.extend(of_the_rim(settings, design));
    warnings.extend(of_the_base(settings, design));
    warnings.extend(of_weight(settings, design));
    if design.build.clear[1].mm() < 100.0 || design.pieces.iter().any(|piece| piece.area_m2() < 0.05) {
        warnings.push(TankWarning::SmallPanes);
    }
    // Under a lid that lies loose it does.
    if settings.tank_lid != LOOSE_LID {
        warnings.push(TankWarning::MustBreathe { gas: kpa(design.gas_to_limit, 2), place: design.gas_in });
    }
    warnings
}

/// Where glass or joints are asked for more than is usual.
fn of_strength(settings: &Settings, design: &Design) -> Vec<TankWarning> {
    let mut warnings = Vec::new();
    if design.seams.class() >= SeamClass::High {
        warnings.push(TankWarning::SeamAbovePractice { stress: mpa(design.seams.worst(), 3) });
    }
    let allowable = settings.allowable.0;
    if allowable.mpa() > Allowable::USUAL_MPA {
        warnings.push(TankWarning::AllowableAboveUsual { allowable: mpa(allowable, 2) });
    }
    if settings.least_bite.mm() < LEAST_BITE_MM && design.build.wall.mm() < LEAST_BITE_MM {
        warnings.push(TankWarning::SmallBite { bite: mm(design.build.wall, 1) });
    }
    warnings
}

/// What holds the walls at the top, what covers the tank, and the test.
fn of_the_rim(settings: &Settings, design: &Design) -> Vec<TankWarning> {
    let mut warnings = Vec::new();
    if matches!(design.build.top, Top::Lid) {
        warnings.push(TankWarning::LidHoldsWalls);
    }
    if denser_than_water(design.coldest) {
        warnings.push(TankWarning::DenserThanWater);
    }
    if settings.tank_lid == LOOSE_LID {
        warnings.push(TankWarning::LooseLid);
    }
    if let Top::Braced(brace) = design.build.top {
        let (along, across) = brace.opening;
        warnings.push(TankWarning::BraceOpening { along: mm(along, 0), across: mm(across, 0) });
        let freeboard = mm(settings.tank_freeboard, 1);
        warnings.push(TankWarning::BraceDepth { depth: mm(design.build.depth_of_strips(), 1), freeboard });
    }
    if matches!(design.build.top, Top::Free) {
        warnings.extend(of_a_free_rim(settings, design));
    }
    warnings
}

/// Walls whose top edge nothing holds.
fn of_a_free_rim(settings: &Settings, design: &Design) -> Vec<TankWarning> {
    let mut warnings = Vec::new();
    if settings.top_edge == TopEdge::Ground {
        let held = |edge: f64| mpa(settings.allowable.0.min(Pressure::at_least_zero(edge)), 2);
        warnings.push(TankWarning::GroundTopEdge { ground: held(GROUND_MPA), as_cut: held(AS_CUT_MPA) });
    }
    let [length, _, height] = design.build.clear;
    let times = length.mm() / height.mm();
    if times > WIDE_OPEN {
        let pull = Force::at_least_zero(rounded(design.seams.corner.newtons(), 0));
        warnings.push(TankWarning::LongFreeRim { times: rounded(times, 1), pull });
    }
    warnings
}

fn of_the_base(settings: &Settings, design: &Design) -> Vec<TankWarning> {
    let carried = match settings.base_support {
        BaseSupport::Edges => TankWarning::BaseOnEdges,
        BaseSupport::Bedded => TankWarning::BaseBedded,
    };
    let inside = (design.build.footing == Footing::BaseInside).then_some(TankWarning::WallsOnPad);
    [carried].into_iter().chain(inside).collect()
}

/// What must be lifted, and what carries it.
fn of_weight(settings: &Settings, design: &Design) -> Vec<TankWarning> {
    let mut warnings = Vec::new();
    let density = Density::at_least_zero(settings.glass_density.0 * 1000.0);
    let heaviest = design.pieces.iter().map(|piece| piece.mass(density)).fold(Mass::ZERO, Mass::max);
    if heaviest.kg() > EMPTY_KG {
        warnings.push(TankWarning::PaneNeedsLift { mass: kg(heaviest, 1) });
    } else if heaviest.kg() > PANE_KG {
        warnings.push(TankWarning::PaneForTwo { mass: kg(heaviest, 1) });
    }
    if design.empty_mass.kg() > EMPTY_KG {
        warnings.push(TankWarning::EmptyNeedsLift { mass: kg(design.empty_mass, 1) });
    }
    let full = design.empty_mass + design.fluid_mass;
    if full.kg() > FULL_KG {
        warnings.push(TankWarning::NeverMovedFull { mass: kg(full, 0) });
    }
    if design.shelf_load.kpa() > SHELF_KPA {
        let mass_per_m2 = Mass::at_least_zero(design.shelf_load.kpa() / 9.80665 * 1e6);
        let pressure = kpa(design.shelf_load, 1);
        warnings.push(TankWarning::ShelfLoad { pressure, mass_per_m2: kg(mass_per_m2, 0) });
    }
    warnings
}

/// A mass as it is told, in kilograms.
fn kg(mass: Mass, places: usize) -> Mass {
    Mass::of_kg(rounded(mass.kg(), places)).unwrap_or(mass)
}

/// A pressure as it is told, in kilopascals.
fn kpa(pressure: Pressure, places: usize) -> Pressure {
    Pressure::of_kpa(rounded(pressure.kpa(), places)).unwrap_or(pressure)
}

/// Whether a fluid presses harder than water ever does.
pub(super) fn denser_than_water(density: Density) -> bool {
    density.kg_m3() > DENSEST_WATER_KG_M3
}

/// Density of water at its densest, at 4 °C (from memory). A tank for water itself is proved by water at 20 °C, within 0.2 %.
const DENSEST_WATER_KG_M3: f64 = 1000.0;
