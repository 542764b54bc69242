//! What is said with every tank: warnings of this one, and the plain words. The order of work: [`order`](super::order).

use super::design::{Design, Footing, Top};
use super::glass::{AS_CUT_MPA, GROUND_MPA};
use super::order::denser_than_water;
use super::seams::{self, LEAST_BITE_MM, LIMIT_MPA, PRACTICE_MPA, SeamClass, VENT};
use crate::rules::{Family, Fluid};
use crate::settings::Settings;
use crate::settings::glass::{Allowable, BaseSupport, LOOSE_LID, TopEdge};
use crate::units::{Density, Pressure, decimal};

/// Said plainly wherever a tank is printed.
pub const PLAINLY: [&str; 4] = [
    "planning figures only: annealed glass under permanent load; impact, handling, earthquake and sudden heat are not covered",
    "the sealant's long-term strength in these fluids has no published design value",
    "a competent fabricator and local rules decide",
    "stand it in a tray that holds 110 % of the fluid",
];

/// Heaviest pane for one person, heaviest pane or empty tank for two, and full tank that is not moved (common practice, no
/// source).
const PANE_KG: f64 = 25.0;
pub(super) const EMPTY_KG: f64 = 40.0;
const FULL_KG: f64 = 200.0;
/// Shelf load that an ordinary shelf is often built for (common practice, no source).
const SHELF_KPA: f64 = 2.5;

/// Lengths in heights from which the point force at the top of the upright joints of an open tank is warned of (common practice,
/// no source; it is 1 % of the load on the wall at 1, 4 % at 1.5, 11 % at 4).
const WIDE_OPEN: f64 = 1.5;
/// Of a brace.
pub const RIGID_BRACE: &str = "the strips of the brace are taken as rigid supports of the walls; in fact they yield by up to a thousandth of their \
                               span, and the walls then bend and bear somewhat more than is stated";

/// Of a lid that only lies on the rim.
const LOOSE: &str = "the lid lies loose and seals nothing: fluid and vapour escape (25 tanks so covered lost over 1300 litres of alcohol a \
                     year: A. Graham, NHCOLL-L list, 4 December 2000); ventilate, look at the level often, top up";

/// How [`unproven`] begins.
pub const UNPROVEN: &str = "Unproven in this fluid, accepted: review before it is made.";

/// Of a tank about whose glass, sealant or lid in this fluid nothing is known, and which was accepted all the same.
pub fn unproven(fluid: &Fluid) -> String {
    let vapour =
        if fluid.family == Family::Alcohol { " Alcohol vapour passes silicone and burns: ventilate." } else { "" };
    format!("{UNPROVEN}{vapour}")
}

/// What the design leaves out, said plainly wherever one is printed whole.
pub fn limits_of(design: &Design) -> Vec<&'static str> {
    let rigid = matches!(design.build.top, Top::Braced(_)).then_some(RIGID_BRACE);
    PLAINLY.into_iter().chain([seams::REMARK]).chain(rigid).collect()
}

/// Warnings of one tank, the gravest first.
pub fn warnings(settings: &Settings, design: &Design) -> Vec<String> {
    let mut said = of_strength(settings, design);
    said.extend(of_the_rim(settings, design));
    said.extend(of_the_base(settings, design));
    said.extend(of_weight(settings, design));
    if design.build.clear[1].mm() < 100.0 || design.pieces.iter().any(|piece| piece.area_m2() < 0.05) {
        said.push("small panes: agree tolerances with the cutter (EN 572-8 leaves out sides under 100 mm and areas under 0.05 m²)".to_owned());
    }
    said.push(format!(
        "{VENT} ({} kPa of gas pressure, above or below the air outside, would bring the {} to its limit: glass is held to its \
         permanent limit, joints to {LIMIT_MPA} MPa, the short-term value)",
        decimal(design.gas_to_limit.kpa(), 2),
        design.gas_in
    ));
    said
}

/// Where glass or joints are asked for more than is usual.
fn of_strength(settings: &Settings, design: &Design) -> Vec<String> {
    let mut said = Vec::new();
    if design.seams.class() >= SeamClass::High {
        said.push(format!(
            "seam stress {} MPa is above the {PRACTICE_MPA} MPa usual for ordinary tanks, as tank.seam_mpa allows: a competent \
             person must have decided so",
            decimal(design.seams.worst().mpa(), 3)
        ));
    }
    if settings.allowable.0.mpa() > Allowable::USUAL_MPA {
        said.push(unfactored(settings.allowable.0));
    }
    if settings.least_bite.mm() < LEAST_BITE_MM && design.build.wall.mm() < LEAST_BITE_MM {
        said.push(format!(
            "joints have a bite of {} mm: structural glazing asks for at least {LEAST_BITE_MM} mm",
            decimal(design.build.wall.mm(), 1)
        ));
    }
    said
}

/// What holds the walls at the top, what covers the tank, and the test.
fn of_the_rim(settings: &Settings, design: &Design) -> Vec<String> {
    let mut said = Vec::new();
    if matches!(design.build.top, Top::Lid) {
        said.push(
            "the bonded lid holds the walls: never fill the tank without it, never cut it open while the tank is full"
                .to_owned(),
        );
    }
    if denser_than_water(design.coldest) {
        said.push(
            "its fluid is denser than water: a water test does not prove the tank for this fluid up to the rim"
                .to_owned(),
        );
    }
    if settings.tank_lid == LOOSE_LID {
        said.push(LOOSE.to_owned());
    }
    if let Top::Braced(brace) = design.build.top {
        let (along, across) = brace.opening;
        said.push(format!("opening inside the brace: {} × {} mm", decimal(along.mm(), 0), decimal(across.mm(), 0)));
    }
    if matches!(design.build.top, Top::Free) {
        said.extend(of_a_free_rim(settings, design));
    }
    said
}

/// Walls whose top edge nothing holds.
fn of_a_free_rim(settings: &Settings, design: &Design) -> Vec<String> {
    let mut said = Vec::new();
    if settings.top_edge == TopEdge::Ground {
        let held = |edge: f64| decimal(edge.min(settings.allowable.0.mpa()), 2);
        said.push(format!(
            "free top edge: ground or polished, held to {} MPa; as cut it would be held to {} MPa",
            held(GROUND_MPA),
            held(AS_CUT_MPA)
        ));
    }
    let [length, _, height] = design.build.clear;
    let times = length.mm() / height.mm();
    if times > WIDE_OPEN {
        said.push(format!(
            "{} times as long as high with a free rim: the walls pull the top of each upright joint open with {} N, a point force \
             that is not in the seam stress and has no published limit; from {WIDE_OPEN} times on it matters most: run the inside \
             fillet the full height, or brace the rim",
            decimal(times, 1),
            decimal(design.seams.corner.newtons(), 0)
        ));
    }
    said
}

fn of_the_base(settings: &Settings, design: &Design) -> Vec<String> {
    let carried = match settings.base_support {
        BaseSupport::Edges => "base designed as supported on its edges only; bed it on a closed-cell pad as well",
        BaseSupport::Bedded => "base must be bedded on a pad over its whole area on a flat stiff board",
    };
    let inside = "base inside: its joint carries tension and shear, so the walls must stand on the pad as well";
    let inside = (design.build.footing == Footing::BaseInside).then_some(inside);
    [carried].into_iter().chain(inside).map(str::to_owned).collect()
}

/// What must be lifted, and what carries it.
fn of_weight(settings: &Settings, design: &Design) -> Vec<String> {
    let mut said = Vec::new();
    let density = Density::at_least_zero(settings.glass_density.0 * 1000.0);
    let heaviest = design.pieces.iter().map(|piece| piece.mass(density).kg()).fold(0.0, f64::max);
    if heaviest > EMPTY_KG {
        said.push(format!("heaviest pane {} kg, more than two people may lift: mechanical lift", decimal(heaviest, 1)));
    } else if heaviest > PANE_KG {
        said.push(format!("heaviest pane {} kg: suction lifters and two people", decimal(heaviest, 1)));
    }
    if design.empty_mass.kg() > EMPTY_KG {
        said.push(format!(
            "{} kg empty, more than two people may lift: mechanical lift",
            decimal(design.empty_mass.kg(), 1)
        ));
    }
    let full = (design.empty_mass + design.fluid_mass).kg();
    if full > FULL_KG {
        said.push(format!(
            "{} kg full: never moved full; build it where it will stand, and ask about the floor",
            decimal(full, 0)
        ));
    }
    if design.shelf_load.kpa() > SHELF_KPA {
        let per_m2 = design.shelf_load.kpa() / 9.80665 * 1000.0;
        said.push(format!(
            "presses on its shelf with {} kPa ({} kg/m²): check the shelf",
            decimal(design.shelf_load.kpa(), 1),
            decimal(per_m2, 0)
        ));
    }
    said
}

/// Of an allowable stress above the usual one.
pub fn unfactored(allowable: Pressure) -> String {
    format!(
        "tank.allowable_mpa is {}: above {} MPa it is a permanent stress without a load factor (EN 16612: 7.25 / 1.35 = \
         5.4 MPa)",
        decimal(allowable.mpa(), 2),
        Allowable::USUAL_MPA
    )
}
