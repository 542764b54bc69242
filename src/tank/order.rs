//! The order of work, which follows from what supports what.
//!
//! * Whatever holds the walls is bonded before water stands in the tank: the strips of a brace, and a lid that supports them.
//!   Such a lid is cut off again while the tank is empty, and bonded anew over the specimen; that joint is proved by the filling
//!   itself.
//! * A water test proves the strength only for pressures up to that of water. A denser fluid at its working level (the freeboard
//!   below the rim) presses nowhere harder than water up to the rim, if it does not at the floor. If it does, water proves only that
//!   the joints are tight, and the strength is proved with the fluid itself before the specimen goes in.
//! * The time out of fluid must be planned: the specimen stays in its old fluid until the tank is proved.
//!
//! Common practice, no source.

use super::brace::Brace;
use super::design::{Design, Footing, Top};
use super::limits::mm;
use super::remarks::{EMPTY_KG, denser_than_water};
use crate::settings::Settings;
use crate::units::{Length, rounded};

/// Density of water at 20 °C, kg/m³ (Bettin and Spieweck, PTB-Mitteilungen 100 (1990) 195: 998.2; from memory).
const WATER_KG_M3: f64 = 998.2;

/// One step of the work on a tank. Figures are rounded as they are printed.
#[derive(Clone, Debug, PartialEq)]
pub enum WorkStep {
    /// Bond walls, base and the joints between them.
    BondWalls {
        /// How they meet.
        footing: Footing,
    },
    /// Bond the strips of a brace.
    BondStrips {
        /// Number of strips across, besides the two at the ends.
        cross: u32,
    },
    /// Let the sealant cure.
    Cure,
    /// Bond a lid that holds the walls, before the test.
    BondHoldingLid,
    /// Let what was bonded after the walls cure.
    CureAgain,
    /// Fill with water to the rim.
    WaterTest {
        /// Through the opening of a lid that is on.
        through_lid: bool,
    },
    /// Mark the working level of a denser fluid, up to which water proves the tank.
    MarkProvedLevel {
        /// Pressure of water in per cent of that of the fluid.
        share_pct: f64,
        /// From that level to the rim.
        freeboard: Length,
    },
    /// Test with the fluid itself, because water does not press hard enough.
    FluidTest {
        /// Pressure of water in per cent of that of the fluid.
        share_pct: f64,
        /// From the level of the fluid to the rim.
        freeboard: Length,
        /// Through the opening of a lid that is on.
        through_lid: bool,
    },
    /// Cut the lid off again.
    CutLidOff,
    /// Dry the rim.
    DryRim,
    /// Put the tank where it will stay.
    Place {
        /// It is too heavy for two people.
        lift: bool,
    },
    /// Put the specimen in.
    PutSpecimenIn,
    /// Pour in some fluid, so that the specimen does not dry.
    PartFill,
    /// Pour in no more fluid than the walls can hold without their lid.
    PartFillTo {
        /// How deep.
        depth: Length,
    },
    /// Keep the specimen wet without any fluid: the walls can hold none without their lid.
    KeepWetWithoutFluid,
    /// Top up to the working level.
    TopUp {
        /// From that level to the rim.
        freeboard: Length,
    },
    /// Put on a lid that is not bonded.
    SetLid {
        /// The closure, by its id.
        lid: String,
    },
    /// Bond the lid that holds the walls again, over the specimen.
    BondHoldingLidAgain,
    /// Fill through the opening of the lid, which also tests its joint.
    FillThroughOpening,
    /// Close the opening and label the tank.
    PlugAndLabel,
    /// Bond a lid that holds nothing.
    BondLid,
    /// Top up through the opening of the lid, close it, and label the tank.
    TopUpThroughOpening,
}

/// The steps of the work on one tank, in order.
pub fn order_of_work(settings: &Settings, design: &Design) -> Vec<WorkStep> {
    let mut steps = built(design);
    let by_lid = matches!(design.build.top, Top::Lid);
    if by_lid {
        steps.extend([WorkStep::BondHoldingLid, WorkStep::CureAgain]);
    }
    steps.extend(tested(settings, design));
    if by_lid {
        steps.push(WorkStep::CutLidOff);
    }
    let lift = design.empty_mass.kg() > EMPTY_KG;
    steps.extend([WorkStep::DryRim, WorkStep::Place { lift }, WorkStep::PutSpecimenIn, part_filled(design)]);
    steps.extend(closed(settings, design));
    steps
}

/// Bonding and curing of panes and strips.
fn built(design: &Design) -> Vec<WorkStep> {
    let mut steps = vec![WorkStep::BondWalls { footing: design.build.footing }];
    if let Top::Braced(Brace { cross, .. }) = design.build.top {
        steps.push(WorkStep::BondStrips { cross });
    }
    steps.push(WorkStep::Cure);
    steps
}

/// The test with water, and with the fluid where water does not press as hard.
fn tested(settings: &Settings, design: &Design) -> Vec<WorkStep> {
    let through_lid = matches!(design.build.top, Top::Lid);
    let mut steps = vec![WorkStep::WaterTest { through_lid }];
    if !denser_than_water(design.coldest) {
        return steps;
    }
    let share_pct = rounded((100.0 * WATER_KG_M3 / design.coldest.kg_m3()).min(99.9), 1);
    let freeboard = mm(settings.tank_freeboard, 0);
    let height = design.build.clear[2];
    let working = design.coldest.kg_m3() * height.less(settings.tank_freeboard).mm();
    if working <= WATER_KG_M3 * height.mm() {
        steps.push(WorkStep::MarkProvedLevel { share_pct, freeboard });
    } else {
        steps.push(WorkStep::FluidTest { share_pct, freeboard, through_lid });
    }
    steps
}

fn part_filled(design: &Design) -> WorkStep {
    match (design.build.top, design.without_lid) {
        (Top::Lid, Some(depth)) if depth < design.build.clear[2] => WorkStep::PartFillTo { depth: mm(depth, 0) },
        (Top::Lid, None) => WorkStep::KeepWetWithoutFluid,
        _ => WorkStep::PartFill,
    }
}

fn closed(settings: &Settings, design: &Design) -> Vec<WorkStep> {
    if !design.build.bonded_lid {
        let freeboard = mm(settings.tank_freeboard, 0);
        return vec![WorkStep::TopUp { freeboard }, WorkStep::SetLid { lid: settings.tank_lid.clone() }];
    }
    if matches!(design.build.top, Top::Lid) {
        let filled = [WorkStep::FillThroughOpening, WorkStep::PlugAndLabel];
        return [WorkStep::BondHoldingLidAgain, WorkStep::CureAgain].into_iter().chain(filled).collect();
    }
    vec![WorkStep::BondLid, WorkStep::CureAgain, WorkStep::TopUpThroughOpening]
}
