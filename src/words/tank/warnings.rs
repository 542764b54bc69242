//! Warnings about a tank, and the limits of its design calculation, in words.

use std::borrow::Cow;

use super::place_name;
use crate::settings::glass::Allowable;
use crate::tank::glass::StressPlace;
use crate::tank::remarks::{TankRemark, TankWarning, WIDE_OPEN};
use crate::tank::seams::{LEAST_BITE_MM, LIMIT_MPA, PRACTICE_MPA};
use crate::units::{Force, Length, Mass, Pressure, decimal};
use crate::words::spoken;

/// One warning.
pub fn warning(warning: &TankWarning) -> Cow<'static, str> {
    spoken(match *warning {
        TankWarning::Unproven { alcohol: false } => UNPROVEN.into(),
        TankWarning::Unproven { alcohol: true } => {
            format!("{UNPROVEN} Alcohol vapour passes silicone and burns: ventilate.").into()
        }
        TankWarning::SeamAbovePractice { stress } => seam_above_practice(stress),
        TankWarning::AllowableAboveUsual { allowable } => allowable_above_usual(allowable),
        TankWarning::SmallBite { bite } => Cow::Owned(format!(
            "joints have a bite of {} mm: structural glazing asks for at least {LEAST_BITE_MM} mm",
            decimal(bite.mm(), 1)
        )),
        TankWarning::LidHoldsWalls => LID_HOLDS_WALLS.into(),
        TankWarning::DenserThanWater => DENSER_THAN_WATER.into(),
        TankWarning::LooseLid => LOOSE_LID.into(),
        TankWarning::BraceOpening { along, across } => {
            let [along, across] = [along, across].map(|side| decimal(side.mm(), 0));
            format!("opening inside the brace: {along} × {across} mm").into()
        }
        TankWarning::BraceDepth { depth, freeboard } => brace_depth(depth, freeboard),
        TankWarning::GroundTopEdge { ground, as_cut } => ground_top_edge(ground, as_cut),
        TankWarning::LongFreeRim { times, pull } => long_free_rim(times, pull),
        TankWarning::BaseOnEdges => BASE_ON_EDGES.into(),
        TankWarning::BaseBedded => BASE_BEDDED.into(),
        TankWarning::WallsOnPad => WALLS_ON_PAD.into(),
        TankWarning::PaneNeedsLift { mass } => {
            format!("heaviest pane {} kg, more than two people may lift: mechanical lift", kg(mass, 1)).into()
        }
        TankWarning::PaneForTwo { mass } => {
            format!("heaviest pane {} kg: suction lifters and two people", kg(mass, 1)).into()
        }
        TankWarning::EmptyNeedsLift { mass } => {
            format!("{} kg empty, more than two people may lift: mechanical lift", kg(mass, 1)).into()
        }
        TankWarning::NeverMovedFull { mass } => Cow::Owned(format!(
            "{} kg full: never moved full; build it where it will stand, and ask about the floor",
            kg(mass, 0)
        )),
        TankWarning::ShelfLoad { pressure, mass_per_m2 } => Cow::Owned(format!(
            "presses on its shelf with {} kPa ({} kg/m²): check the shelf",
            decimal(pressure.kpa(), 1),
            kg(mass_per_m2, 0)
        )),
        TankWarning::SmallPanes => SMALL_PANES.into(),
        TankWarning::MustBreathe { gas, place } => must_breathe(gas, place),
    })
}

const UNPROVEN: &str = "Unproven in this fluid, accepted: review before it is made.";

const LID_HOLDS_WALLS: &str =
    "the bonded lid supports the walls: never fill the tank without it, never cut it open while the tank is full";

const DENSER_THAN_WATER: &str =
    "its fluid is denser than water: a water test does not prove the tank for this fluid up to the rim";

const LOOSE_LID: &str = "the lid lies loose and seals nothing: fluid and vapour escape (25 tanks so covered lost over 1300 litres of alcohol a \
     year: A. Graham, NHCOLL-L list, 4 December 2000); ventilate, look at the level often, top up";

const BASE_ON_EDGES: &str = "base designed as supported on its edges only; bed it on a closed-cell pad as well";

const BASE_BEDDED: &str = "base must be bedded on a pad over its whole area on a flat stiff board";

const WALLS_ON_PAD: &str =
    "base inside: its joint carries tension and shear, so the walls must stand on the pad as well";

const SMALL_PANES: &str =
    "small panes: agree tolerances with the cutter (EN 572-8 leaves out sides under 100 mm and areas under 0.05 m²)";

fn kg(mass: Mass, places: usize) -> String {
    decimal(mass.kg(), places)
}

fn seam_above_practice(stress: Pressure) -> Cow<'static, str> {
    Cow::Owned(format!(
        "seam stress {} MPa is above the {PRACTICE_MPA} MPa usual for ordinary tanks, as tank.seam_mpa allows: a competent \
         person must have decided so",
        decimal(stress.mpa(), 3)
    ))
}

fn allowable_above_usual(allowable: Pressure) -> Cow<'static, str> {
    Cow::Owned(format!(
        "tank.allowable_mpa is {}: above {} MPa it is a permanent stress without a load factor (EN 16612: 7.25 / 1.35 = \
         5.4 MPa)",
        decimal(allowable.mpa(), 2),
        Allowable::USUAL_MPA
    ))
}

fn ground_top_edge(ground: Pressure, as_cut: Pressure) -> Cow<'static, str> {
    let [ground, as_cut] = [ground, as_cut].map(|edge| decimal(edge.mpa(), 2));
    Cow::Owned(format!(
        "free top edge: ground or polished, held to {ground} MPa; as cut it would be held to {as_cut} MPa"
    ))
}

fn brace_depth(depth: Length, freeboard: Length) -> Cow<'static, str> {
    let fluid = match depth.fits(freeboard) {
        true => "stays below them",
        false => "stands against the lower strips and their joints",
    };
    let [depth, freeboard] = [depth, freeboard].map(|length| decimal(length.mm(), 1));
    Cow::Owned(format!(
        "long strips of the brace flush with the rim, the others under them, down to {depth} mm below it: the fluid, filled to \
         {freeboard} mm below the rim, {fluid}"
    ))
}

fn long_free_rim(times: f64, pull: Force) -> Cow<'static, str> {
    Cow::Owned(format!(
        "{} times as long as high with a free rim: the walls pull the top of each upright joint open with {} N, a point force \
         that is not in the seam stress and has no published limit; from {WIDE_OPEN} times on it matters most, and the \
         inside fillet is run the full height for it",
        decimal(times, 1),
        decimal(pull.newtons(), 0)
    ))
}

/// Reason: in a rigid closed vessel, 5 % of headspace over water that is warmed from 20 to 25 °C presses with 4.8 kPa, as half a
/// metre of fluid does at its foot (gas law with the vapour pressure of water).
fn must_breathe(gas: Pressure, place: StressPlace) -> Cow<'static, str> {
    Cow::Owned(format!(
        "a tank of flat panes must breathe: keep the fill-and-vent opening with a plug that gives way, never seal it hermetically \
         ({} kPa of gas pressure, above or below the air outside, would bring the {} to its limit: glass is held to its \
         permanent limit, joints to {LIMIT_MPA} MPa, the short-term value)",
        decimal(gas.kpa(), 2),
        place_name(place)
    ))
}

/// A remark on what the design calculation does not cover.
pub fn remark(remark: TankRemark) -> Cow<'static, str> {
    spoken(match remark {
        TankRemark::PlanningFigures => {
            "planning figures only: annealed glass under permanent load; impact, handling, earthquake and sudden heat are not \
             covered"
        }
        TankRemark::SealantNotPublished => {
            "the sealant's long-term strength in these fluids has no published design value"
        }
        TankRemark::FabricatorDecides => "a competent fabricator and local rules decide",
        TankRemark::StandInTray => "stand it in a tray that holds 110 % of the fluid",
        TankRemark::SeamsOfOrdinaryTanks => {
            "ordinary silicone tanks carry 2 to 14 times the permanent stress that structural glazing allows (0.007-0.014 MPa) \
             and stay below its short-term value (0.14 MPa): they hold by the sealant's reserve and the inside fillet; \
             no long-term value in these fluids is published, so ask the maker about immersion"
        }
        TankRemark::RigidBrace => {
            "the strips of the brace are taken as rigid supports of the walls; in fact they yield by up to a thousandth of their \
             span, and the walls then bend and bear somewhat more than is stated"
        }
    })
}

/// Several remarks in one line.
pub fn remarks(remarks: &[TankRemark]) -> String {
    remarks.iter().map(|one| remark(*one)).collect::<Vec<_>>().join("; ")
}
