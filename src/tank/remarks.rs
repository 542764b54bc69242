//! What is printed with every tank: warnings about this tank, and limits of the design. The order of work: [`order`](super::order).

use super::design::{Design, Footing, Top};
use super::glass::{AS_CUT_MPA, GROUND_MPA, StressPlace};
use super::limits::{mm, mpa};
use super::seams::{LEAST_BITE_MM, SeamClass};
use crate::rules::{Family, Fluid};
use crate::settings::Settings;
use crate::settings::glass::{Allowable, BaseSupport, LOOSE_LID, TopEdge};
use crate::units::{Density, Force, Length, Mass, Pressure, rounded};

/// A limit of the design of every tank: what it leaves out or leaves to others.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TankRemark {
    /// Planning figures only.
    PlanningFigures,
    /// No permanent design value of the sealant is published.
    SealantNotPublished,
    /// A competent fabricator decides.
    FabricatorDecides,
    /// It stands in a tray.
    StandInTray,
    /// The joint stresses of ordinary tanks.
    SeamsOfOrdinaryTanks,
    /// The strips of a brace are taken as rigid.
    RigidBrace,
}

/// Printed wherever a tank is printed.
pub const ALWAYS_PRINTED: [TankRemark; 4] = [
    TankRemark::PlanningFigures,
    TankRemark::SealantNotPublished,
    TankRemark::FabricatorDecides,
    TankRemark::StandInTray,
];

/// A warning about one tank. Figures are rounded as they are printed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TankWarning {
    /// Nothing is known about its glass, sealant or lid in this fluid, and it was accepted all the same.
    Unproven {
        /// Its fluid is an alcohol, whose vapour passes silicone and burns.
        alcohol: bool,
    },
    /// The joints are stressed more than is usual.
    SeamAbovePractice {
        /// Largest stress of a joint.
        stress: Pressure,
    },
    /// An allowable stress above the usual one.
    AllowableAboveUsual {
        /// The allowable stress that is set.
        allowable: Pressure,
    },
    /// Joints with less bite than structural glazing asks for.
    SmallBite {
        /// Their bite.
        bite: Length,
    },
    /// The bonded lid holds the walls.
    LidHoldsWalls,
    /// The fluid is denser than water: a water test does not prove the tank up to the rim.
    DenserThanWater,
    /// The lid seals nothing.
    LooseLid,
    /// The opening that the strips of a brace leave.
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
        /// Level of the fluid, below the rim.
        freeboard: Length,
    },
    /// A free top edge that is ground.
    GroundTopEdge {
        /// Allowable stress of the ground edge.
        ground: Pressure,
        /// Allowable stress of the edge as cut.
        as_cut: Pressure,
    },
    /// A long tank with a free rim.
    LongFreeRim {
        /// Length over height.
        times: f64,
        /// Force with which the walls pull the top of each upright joint open.
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
        /// Mass of the heaviest.
        mass: Mass,
    },
    /// A pane that one person may not lift.
    PaneForTwo {
        /// Mass of the heaviest.
        mass: Mass,
    },
    /// An empty tank that two people may not lift.
    EmptyNeedsLift {
        /// Mass of the glass.
        mass: Mass,
    },
    /// A full tank that is not moved.
    NeverMovedFull {
        /// Mass with its fluid.
        mass: Mass,
    },
    /// The load on its shelf.
    ShelfLoad {
        /// Pressure on the shelf, full.
        pressure: Pressure,
        /// The same as a mass on each square metre.
        mass_per_m2: Mass,
    },
    /// Panes so small that tolerances must be agreed.
    SmallPanes,
    /// It must not be sealed.
    MustBreathe {
        /// Gas pressure, above or below the air outside, that uses up what is left between stress and limit somewhere.
        gas: Pressure,
        /// Where: a pane or a joint.
        place: StressPlace,
    },
}

/// Mass above which a pane needs two persons; a pane or an empty tank needs lifting gear; a full tank is not moved (common
/// practice, no source).
const PANE_KG: f64 = 25.0;
pub(super) const EMPTY_KG: f64 = 40.0;
const FULL_KG: f64 = 200.0;
/// Load that an ordinary shelf is often built for (common practice, no source).
const SHELF_KPA: f64 = 2.5;

/// Length in heights above which the point force at the top of the upright joints of an open tank gets a warning (common practice,
/// no source; it is 1 % of the load on the wall at 1, 4 % at 1.5, 11 % at 4).
pub const WIDE_OPEN: f64 = 1.5;

/// The warning about a tank whose glass, sealant or lid was accepted unproven in this fluid.
pub fn unproven(fluid: &Fluid) -> TankWarning {
    TankWarning::Unproven { alcohol: fluid.family == Family::Alcohol }
}

/// The limits of all designs, printed wherever a design is printed whole. `braced`: strips hold the rim of one.
pub fn limits_of(braced: bool) -> Vec<TankRemark> {
    let rigid = braced.then_some(TankRemark::RigidBrace);
    ALWAYS_PRINTED.into_iter().chain([TankRemark::SeamsOfOrdinaryTanks]).chain(rigid).collect()
}

/// Warnings about one tank, the gravest first.
pub fn warnings(settings: &Settings, design: &Design) -> Vec<TankWarning> {
    let mut warnings = of_strength(settings, design);
    warnings.extend(of_the_rim(settings, design));
    warnings.extend(of_the_base(settings, design));
    warnings.extend(of_weight(settings, design));
    if design.build.clear[1].mm() < 100.0 || design.pieces.iter().any(|piece| piece.area_m2() < 0.05) {
        warnings.push(TankWarning::SmallPanes);
    }
    // A loose lid lets it breathe.
    if settings.tank_lid != LOOSE_LID {
        warnings.push(TankWarning::MustBreathe { gas: kpa(design.gas_to_limit, 2), place: design.gas_in });
    }
    warnings
}

/// Warnings about stresses and bites beyond the usual.
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

/// Warnings about what holds the rim, the lid, and the water test.
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

/// Warnings about a free rim.
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

/// Warnings about lifting and the load on the shelf.
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

/// A mass rounded as it is printed, in kilograms.
fn kg(mass: Mass, places: usize) -> Mass {
    Mass::of_kg(rounded(mass.kg(), places)).unwrap_or(mass)
}

/// A pressure rounded as it is printed, in kilopascals.
fn kpa(pressure: Pressure, places: usize) -> Pressure {
    Pressure::of_kpa(rounded(pressure.kpa(), places)).unwrap_or(pressure)
}

/// Whether a fluid is denser than water at its densest.
pub(super) fn denser_than_water(density: Density) -> bool {
    density.kg_m3() > DENSEST_WATER_KG_M3
}

/// Greatest density of water, at 4 °C (from memory). A tank for water itself is tested with water at 20 °C, within 0.2 %.
const DENSEST_WATER_KG_M3: f64 = 1000.0;
