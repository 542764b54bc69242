//! The order of work, which follows from what carries what.
//!
//! * Whatever holds the walls is bonded before water stands in the tank: the strips of a brace, and a lid that supports them.
//!   Such a lid is cut off again while the tank is empty, and bonded anew over the specimen; that joint is proved by the filling
//!   itself.
//! * Water proves a tank only for what presses no harder than water. A denser fluid at its working level, the freeboard below
//!   the rim, presses nowhere harder than water at the rim where it does not at the floor. Where it does, water proves that the
//!   joints are tight; the strength is proved with the fluid itself before the specimen goes in.
//! * The time out of fluid is what must be planned: the specimen stays in its old fluid until the tank is proved.
//!
//! Common practice, no source.

use super::brace::Brace;
use super::design::{Design, Footing, Top};
use super::remarks::EMPTY_KG;
use crate::settings::Settings;
use crate::units::{Density, decimal};

/// Density of water at 20 °C, kg/m³ (Bettin and Spieweck, PTB-Mitteilungen 100 (1990) 195: 998.2; from memory), and of water
/// at its densest, at 4 °C (from memory). A tank for water itself is proved by it, within 0.2 %.
const WATER_KG_M3: f64 = 998.2;
const DENSEST_WATER_KG_M3: f64 = 1000.0;

const CURE: &str = "cure 7 to 14 days; acetic cure gives off acid that attacks shell and bone: air, then rinse";
const CURE_AGAIN: &str = "cure as before";

/// The steps of one tank, first to last.
pub fn order_of_work(settings: &Settings, design: &Design) -> Vec<String> {
    let mut steps = built(design);
    let by_lid = matches!(design.build.top, Top::Lid);
    if by_lid {
        steps.push("bond the lid all round: it holds the walls, so the tank must not be tested without it".to_owned());
        steps.push(CURE_AGAIN.to_owned());
    }
    steps.extend(tested(settings, design));
    if by_lid {
        steps.push("with the tank empty, cut the joint of the lid, take the lid off and clean both faces".to_owned());
    }
    steps.push("dry the rim".to_owned());
    steps.push(placed(design));
    steps.push("put the specimen in (it stays in its present fluid until this day)".to_owned());
    steps.push(part_filled(design));
    steps.extend(closed(settings, design));
    steps
}

/// Panes and strips bonded and cured.
fn built(design: &Design) -> Vec<String> {
    let joined = match design.build.footing {
        Footing::WallsOnBase => "bond the walls to the base and to each other",
        Footing::BaseInside => "bond the walls to each other and to the edges of the base, which lies between them",
    };
    let mut steps = vec![format!(
        "{joined}, panes dry and wiped with solvent, with spacers in the joints; run the inside fillet the full height"
    )];
    if let Top::Braced(Brace { cross, .. }) = design.build.top {
        let across = match cross {
            0 => String::new(),
            1 => " and the cross strip".to_owned(),
            more => format!(" and the {more} cross strips, evenly spaced"),
        };
        steps.push(format!(
            "bond the end strips{across} flat inside the rim, then the long strips on them, lapped where they meet: they \
             hold the walls, so the tank must not be tested without them"
        ));
    }
    steps.push(CURE.to_owned());
    steps
}

/// With water, and with the fluid where water does not press as hard.
fn tested(settings: &Settings, design: &Design) -> Vec<String> {
    let through = if matches!(design.build.top, Top::Lid) { " through the opening of the lid" } else { "" };
    let mut steps = vec![format!("fill with water{through} to the rim for a week, in a tray; empty")];
    if !denser_than_water(design.coldest) {
        return steps;
    }
    let share = decimal((100.0 * WATER_KG_M3 / design.coldest.kg_m3()).min(99.9), 1);
    let freeboard = decimal(settings.tank_freeboard.mm(), 0);
    let height = design.build.clear[2];
    let working = design.coldest.kg_m3() * height.less(settings.tank_freeboard).mm();
    if working <= WATER_KG_M3 * height.mm() {
        steps.push(format!(
            "this fluid is denser: water to the rim gives only {share} % of its pressure there, and proves the tank for it \
             to {freeboard} mm below the rim. Mark that level: no higher"
        ));
    } else {
        steps.push(format!(
            "this fluid is denser: water gives only {share} % of its pressure, and proves that the joints are tight, not that \
             they are strong enough. Fill once more{through} with this fluid, to {freeboard} mm below the rim, for a week, without the \
             specimen; empty. Mark that level: no higher"
        ));
    }
    steps
}

/// Whether a fluid presses harder than water ever does.
pub(super) fn denser_than_water(density: Density) -> bool {
    density.kg_m3() > DENSEST_WATER_KG_M3
}

fn placed(design: &Design) -> String {
    if design.empty_mass.kg() > EMPTY_KG {
        return "place the tank, level, where it will stay, with a mechanical lift; or build it there".to_owned();
    }
    "place the tank, level, where it will stay".to_owned()
}

fn part_filled(design: &Design) -> String {
    match (design.build.top, design.without_lid) {
        (Top::Lid, Some(depth)) if depth < design.build.clear[2] => format!(
            "part fill, no deeper than {} mm: nothing holds the walls until the lid has cured. Keep what stands out wet under \
             cloth soaked in the fluid; leave the rim dry",
            decimal(depth.mm(), 0)
        ),
        (Top::Lid, None) => {
            "no fluid may stand in the tank until the lid has cured: keep the specimen wet under cloth soaked in \
                             the fluid; leave the rim dry"
                .to_owned()
        }
        _ => "part fill, so that the specimen never dries; leave the rim dry".to_owned(),
    }
}

fn closed(settings: &Settings, design: &Design) -> Vec<String> {
    let lid = &settings.tank_lid;
    if !design.build.bonded_lid {
        let top_up = format!("top up to {} mm below the rim", decimal(settings.tank_freeboard.mm(), 0));
        return vec![top_up, format!("set the lid ({lid}); plug its opening, label the tank")];
    }
    let mut steps = Vec::new();
    if matches!(design.build.top, Top::Lid) {
        steps.push("bond the lid again, all round".to_owned());
        steps.push(CURE_AGAIN.to_owned());
        steps.push(
            "fill up through the opening, in a tray, and watch it for a week: this joint of the lid has not been tested before"
                .to_owned(),
        );
        steps.push("plug the opening, label the tank".to_owned());
    } else {
        steps.push("bond the lid".to_owned());
        steps.push(CURE_AGAIN.to_owned());
        steps.push("top up through the opening, plug it, label the tank".to_owned());
    }
    steps
}
