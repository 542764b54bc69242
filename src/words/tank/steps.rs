//! The order of work on a tank in words.

use std::borrow::Cow;

use crate::settings::glass::LOOSE_LID;
use crate::tank::design::Footing;
use crate::tank::order::WorkStep;
use crate::units::{Length, decimal};
use crate::words::spoken;

/// One step.
pub fn step(step: &WorkStep) -> Cow<'static, str> {
    spoken(match step {
        WorkStep::BondWalls { footing } => bond_walls(*footing),
        WorkStep::BondStrips { cross } => bond_strips(*cross),
        WorkStep::Cure => CURE.into(),
        WorkStep::BondHoldingLid => BOND_HOLDING_LID.into(),
        WorkStep::CureAgain => "cure as before".into(),
        WorkStep::WaterTest { through_lid } => {
            format!("fill with water{} to the rim for a week, in a tray; empty", through(*through_lid)).into()
        }
        WorkStep::MarkProvedLevel { share_pct, freeboard } => mark_proved_level(*share_pct, *freeboard),
        WorkStep::FluidTest { share_pct, freeboard, through_lid } => fluid_test(*share_pct, *freeboard, *through_lid),
        WorkStep::CutLidOff => CUT_LID_OFF.into(),
        WorkStep::DryRim => "dry the rim".into(),
        WorkStep::Place { lift: false } => "place the tank, level, where it will stay".into(),
        WorkStep::Place { lift: true } => PLACE_BY_LIFT.into(),
        WorkStep::PutSpecimenIn => "put the specimen in (it stays in its present fluid until this day)".into(),
        WorkStep::PartFill => "part fill, so that the specimen never dries; leave the rim dry".into(),
        WorkStep::PartFillTo { depth } => part_fill_to(*depth),
        WorkStep::KeepWetWithoutFluid => KEEP_WET_WITHOUT_FLUID.into(),
        WorkStep::TopUp { freeboard } => format!("top up to {} mm below the rim", decimal(freeboard.mm(), 0)).into(),
        WorkStep::SetLid { lid } => set_lid(lid),
        WorkStep::BondHoldingLidAgain => "bond the lid again, all round".into(),
        WorkStep::FillThroughOpening => FILL_THROUGH_OPENING.into(),
        WorkStep::PlugAndLabel => "plug the opening, label the tank".into(),
        WorkStep::BondLid => "bond the lid".into(),
        WorkStep::TopUpThroughOpening => "top up through the opening, plug it, label the tank".into(),
    })
}

const CURE: &str = "cure 7 to 14 days; acetic cure gives off acid that attacks shell and bone: air, then rinse";

const BOND_HOLDING_LID: &str = "bond the lid all round: it supports the walls: do not fill or test the tank without it";

const CUT_LID_OFF: &str = "with the tank empty, cut the joint of the lid, take the lid off and clean both faces";

const PLACE_BY_LIFT: &str = "place the tank, level, where it will stay, with a mechanical lift; or build it there";

const KEEP_WET_WITHOUT_FLUID: &str = "no fluid may stand in the tank until the lid has cured: keep the specimen wet under cloth soaked in the fluid; \
     leave the rim dry";

const FILL_THROUGH_OPENING: &str =
    "fill up through the opening, in a tray, and watch it for a week: this joint of the lid has not been tested before";

/// Closing a tank with a lid that is not bonded.
fn set_lid(lid: &str) -> Cow<'static, str> {
    let close = match lid {
        LOOSE_LID => return "lay the loose cover on; label the tank".into(),
        "taped-plate" => "lay the plate and tape it round".to_owned(),
        "gasketed-lid" => "clamp the lid on its gasket".to_owned(),
        "plate-greased" => "grease the ground rim and lay the plate on it".to_owned(),
        other => format!("close it with its lid ({other})"),
    };
    Cow::Owned(format!("{close}; plug its opening, label the tank"))
}

fn bond_walls(footing: Footing) -> Cow<'static, str> {
    let joined = match footing {
        Footing::WallsOnBase => "bond the walls to the base and to each other",
        Footing::BaseInside => "bond the walls to each other and to the edges of the base, which lies between them",
    };
    Cow::Owned(format!(
        "{joined}, panes dry and wiped with solvent, with spacers in the joints; run the inside fillet the full height"
    ))
}

fn bond_strips(cross: u32) -> Cow<'static, str> {
    let across = match cross {
        0 => String::new(),
        1 => " and the cross strip".to_owned(),
        more => format!(" and the {more} cross strips, evenly spaced"),
    };
    Cow::Owned(format!(
        "bond the end strips{across} flat inside the rim, then the long strips on them, lapped where they meet: they support \
         the walls: do not fill or test the tank without them"
    ))
}

fn through(lid: bool) -> &'static str {
    if lid { " through the opening of the lid" } else { "" }
}

fn mark_proved_level(share_pct: f64, freeboard: Length) -> Cow<'static, str> {
    Cow::Owned(format!(
        "this fluid is denser: water to the rim gives only {} % of its pressure there, and proves the tank for it to {} mm below \
         the rim. Mark that level: no higher",
        decimal(share_pct, 1),
        decimal(freeboard.mm(), 0)
    ))
}

fn fluid_test(share_pct: f64, freeboard: Length, through_lid: bool) -> Cow<'static, str> {
    Cow::Owned(format!(
        "this fluid is denser: water gives only {} % of its pressure, and proves that the joints are tight, not that they are \
         strong enough. Fill once more{} with this fluid, to {} mm below the rim, for a week, without the specimen; empty. \
         Mark that level: no higher",
        decimal(share_pct, 1),
        through(through_lid),
        decimal(freeboard.mm(), 0)
    ))
}

fn part_fill_to(depth: Length) -> Cow<'static, str> {
    Cow::Owned(format!(
        "part fill, no deeper than {} mm: nothing holds the walls until the lid has cured. Keep what stands out wet under cloth \
         soaked in the fluid; leave the rim dry",
        decimal(depth.mm(), 0)
    ))
}
