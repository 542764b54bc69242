//! Why there is no design of a tank, and what would help, in words.

use std::borrow::Cow;

use super::{place_name, way_out_name};
use crate::tank::glass::StressPlace;
use crate::tank::limits::{Beyond, Limit, TankRemedy};
use crate::tank::seams::{LIMIT_MPA, PRACTICE_MPA, SeamClass};
use crate::units::{Length, Pressure, decimal};
use crate::words::spoken;

/// Why there is no design, and what would help, in one line.
pub fn beyond(beyond: &Beyond) -> Cow<'static, str> {
    let remedies: Vec<Cow<str>> = beyond.remedies.iter().map(remedy_name).collect();
    spoken(format!("{}; would help: {}", limit_name(&beyond.limit), remedies.join(", or ")))
}

/// Why there is no design.
pub fn limit(limit: &Limit) -> Cow<'static, str> {
    spoken(limit_name(limit))
}

fn limit_name(limit: &Limit) -> Cow<'static, str> {
    Cow::Owned(match limit {
        Limit::TooLong { times } => {
            format!("{} times as long as high with a free rim: above 4 the method is not valid", decimal(*times, 2))
        }
        Limit::Stress { place, stress, limit, thickest } => too_high(*place, *stress, *limit, *thickest),
        Limit::Deflection { pane, deflection, thickest } => bends_too_far(*pane, "bends", *deflection, *thickest),
        Limit::LidSag { sag, thickest } => bends_too_far(StressPlace::Lid, "sags", *sag, *thickest),
        Limit::Seam { stress, class: SeamClass::Beyond } => format!(
            "seam stress {} MPa is above {LIMIT_MPA} MPa, the short-term value of structural glazing",
            decimal(stress.mpa(), 3)
        ),
        Limit::Seam { stress, .. } => format!(
            "joint stress {} MPa even in the thickest glass stocked, above the limit set (tank.seam_mpa; up to {PRACTICE_MPA} MPa is \
             usual for ordinary tanks)",
            decimal(stress.mpa(), 3)
        ),
        Limit::NoBrace => return "no brace holds the rim and leaves the opening".into(),
        Limit::Sheet { length, width } => format!(
            "a pane of {} × {} mm is larger than any stock sheet",
            decimal(length.mm(), 1),
            decimal(width.mm(), 1)
        ),
        Limit::TooSmall => return "smaller inside than its own joints".into(),
        Limit::NoGlass => {
            return "no glass is stocked that is thick enough for the least thickness and the least bite of a joint"
                .into();
        }
        Limit::DensityUnknown => return "the density of its fluid is not known".into(),
    })
}

fn too_high(place: StressPlace, stress: Pressure, limit: Pressure, thickest: Length) -> String {
    let place = place_name(place);
    let [stress, limit] = [stress, limit].map(|stress| decimal(stress.mpa(), 2));
    format!("the {place}: {stress} MPa in {}, more than the {limit} MPa allowed there", thickest_glass(thickest))
}

fn bends_too_far(pane: StressPlace, bends: &str, by: Length, thickest: Length) -> String {
    let pane = place_name(pane);
    format!("the {pane} {bends} {} mm in {}, more than is allowed", decimal(by.mm(), 2), thickest_glass(thickest))
}

fn thickest_glass(thickness: Length) -> String {
    format!("{} mm, the thickest stocked", decimal(thickness.mm(), 1))
}

/// That a material or closure does not suit a fluid, both by their ids.
pub fn does_not_suit(part: &str, fluid: &str) -> Cow<'static, str> {
    spoken(format!("{part} does not suit {fluid}"))
}

/// That nothing is known of a material or closure in a fluid, both by their ids.
pub fn is_unproven(part: &str, fluid: &str) -> Cow<'static, str> {
    spoken(format!("{part} is unproven in {fluid}"))
}

/// That it is not known what the fluid is.
pub fn not_identified() -> Cow<'static, str> {
    spoken("the fluid is not identified")
}

/// What would help.
pub fn remedy(remedy: &TankRemedy) -> Cow<'static, str> {
    spoken(remedy_name(remedy))
}

fn remedy_name(remedy: &TankRemedy) -> Cow<'static, str> {
    let enough = |wall: &Length| format!("{} mm glass is then enough", decimal(wall.mm(), 1));
    Cow::Owned(match remedy {
        TankRemedy::Brace { wall } => format!("a brace round the rim: {}", enough(wall)),
        TankRemedy::BondedLid { wall } => format!("a bonded lid that supports the walls: {}", enough(wall)),
        TankRemedy::HigherTank { height, wall } => {
            format!("a higher tank of {} mm: {}", decimal(height.mm(), 0), enough(wall))
        }
        TankRemedy::SeamDecision { stress, wall } => format!(
            "a competent person's decision to allow {} MPa in the joints (--set tank.seam_mpa={LIMIT_MPA}): {}",
            decimal(stress.mpa(), 3),
            enough(wall)
        ),
        TankRemedy::SecondCompartment => return "a second compartment: two shorter tanks".into(),
        TankRemedy::FabricatorsDesign => return "a fabricator's own design".into(),
        TankRemedy::Density => {
            return "the density in the fluids table (rehouse rules --export DIR, then --rules DIR)".into();
        }
        TankRemedy::AnotherLid => return "another lid: --set tank.lid=ID".into(),
        TankRemedy::FluidTest => return "a test of the fluid; leave it where it is until then".into(),
        TankRemedy::Review => return "a review, then --accept-unproven".into(),
        TankRemedy::Instead { way } => return way_out_name(way),
    })
}
