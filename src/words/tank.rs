//! Tanks in words: their construction, the source of their price, and what else can hold their fluid. Warnings about
//! them: [`warnings`]; the order of work: [`steps`]; why there is no design: [`refusals`].

pub mod refusals;
pub mod steps;
pub mod warnings;

use std::borrow::Cow;

use super::spoken;
use crate::options::tank::TankPriceBasis;
use crate::tank::cost::TankPrice;
use crate::tank::design::{Footing, RimSupport, TankConstruction};
use crate::tank::glass::StressPlace;
use crate::tank::panes::{EdgeFinish, PaneKind};
use crate::tank::seams::SeamClass;
use crate::tank::ways_out::{LargeVessel, WayOut};
use crate::units::decimal;

/// The name of a pane: `long wall`, `base` …
pub fn pane(kind: PaneKind) -> Cow<'static, str> {
    spoken(match kind {
        PaneKind::LongWall => "long wall",
        PaneKind::EndWall => "end wall",
        PaneKind::Base => "base",
        PaneKind::Lid => "lid",
        PaneKind::LongStrip => "long strip",
        PaneKind::EndStrip => "end strip",
        PaneKind::CrossStrip => "cross strip",
    })
}

/// What the cutter does to the edges.
pub fn edges(finish: EdgeFinish) -> Cow<'static, str> {
    spoken(match finish {
        EdgeFinish::Arrissed => "all edges arrissed",
        EdgeFinish::TopGround => "top edge ground or polished, rest arrissed",
        EdgeFinish::LidWithOpening => {
            "all edges arrissed; fill-and-vent opening near a corner, its middle within a quarter of each side: a round hole, or the corner cut off straight, never notched; with a plug"
        }
    })
}

/// Where a stress acts; follows `the`.
pub fn place(place: StressPlace) -> Cow<'static, str> {
    spoken(place_name(place))
}

fn place_name(place: StressPlace) -> &'static str {
    match place {
        StressPlace::LongWall => "long wall",
        StressPlace::EndWall => "end wall",
        StressPlace::Base => "base",
        StressPlace::FreeTopEdge => "free top edge",
        StressPlace::Lid => "lid",
        StressPlace::LidUnderHand => "lid with a hand on it",
        StressPlace::LidOpening => "lid at its opening",
        StressPlace::LidOpeningUnderHand => "lid at its opening with a hand on it",
        StressPlace::UprightJoint => "upright joint",
        StressPlace::BottomJoint => "bottom joint",
        StressPlace::LidJoint => "joint of the lid",
    }
}

/// The construction of a tank: `walls on base, free rim`.
pub fn construction(construction: &TankConstruction) -> Cow<'static, str> {
    let footing = match construction.footing {
        Footing::WallsOnBase => "walls on base",
        Footing::BaseInside => "base inside",
    };
    let rim = match construction.rim {
        RimSupport::Free => "free rim".to_owned(),
        RimSupport::BondedLid => "rim held by the bonded lid".to_owned(),
        RimSupport::Strips { width } => format!("rim braced with strips {} mm wide", decimal(width.mm(), 0)),
    };
    spoken(format!("{footing}, {rim}"))
}

/// The class of a joint's stress.
pub fn seam_class(class: SeamClass) -> Cow<'static, str> {
    spoken(match class {
        SeamClass::Low => "low",
        SeamClass::TankPractice => "tank practice",
        SeamClass::High => "above ordinary tanks",
        SeamClass::Beyond => "above the short-term value",
    })
}

/// A part of a price.
pub fn cost_part(part: TankPrice) -> Cow<'static, str> {
    spoken(match part {
        TankPrice::Glass => "glass",
        TankPrice::EdgeWork => "edge work",
        TankPrice::SetUp => "set-up",
        TankPrice::SetUpAgain => "set-up again",
        TankPrice::Sealant => "sealant",
        TankPrice::Labour => "labour",
        TankPrice::Delivery => "delivery",
    })
}

/// Where a price is from, or why there is none.
pub fn price(price: TankPriceBasis) -> Cow<'static, str> {
    spoken(price_name(price))
}

fn price_name(price: TankPriceBasis) -> &'static str {
    match price {
        TankPriceBasis::Quoted => "quoted price",
        TankPriceBasis::Estimate => "estimate",
        TankPriceBasis::SharedEstimate => "estimate, in a size shared with other tanks",
        TankPriceBasis::NotBondedGlass => "silicone-bonded glass only after review",
        TankPriceBasis::DoesNotSuit => "not silicone-bonded glass, which does not suit this fluid",
        TankPriceBasis::DoesNotLast => "not silicone-bonded glass, which does not last so long in this fluid",
    }
}

/// Where a price is from, or why there is none, with what else can hold the fluid.
pub fn price_and_ways_out(price: TankPriceBasis, ways: &[WayOut]) -> Cow<'static, str> {
    if ways.is_empty() {
        return self::price(price);
    }
    spoken(format!("{}: {}; price unknown", price_name(price), joined(ways)))
}

/// One alternative that can hold the fluid.
pub fn way_out(way: &WayOut) -> Cow<'static, str> {
    spoken(way_out_name(way))
}

/// All alternatives that can hold the fluid; follows `instead of bonded glass`.
pub fn ways_out(ways: &[WayOut]) -> Cow<'static, str> {
    spoken(joined(ways))
}

fn joined(ways: &[WayOut]) -> String {
    ways.iter().map(way_out_name).collect::<Vec<_>>().join(", or ")
}

fn way_out_name(way: &WayOut) -> Cow<'static, str> {
    let (vessel, years) = match *way {
        WayOut::Vessel { vessel, years } => (vessel, years),
        WayOut::ChangeOfFluid => return "a change of fluid".into(),
    };
    let vessel = match vessel {
        LargeVessel::SteelTank => "a welded tank of stainless steel 316",
        LargeVessel::HdpeTank => "a welded tank of HDPE",
        LargeVessel::PolypropyleneTank => "a welded tank of polypropylene",
        LargeVessel::BorosilicateVessel => "a vessel of borosilicate glass in one piece",
        LargeVessel::SodaLimeVessel => "a vessel of soda-lime glass in one piece",
    };
    match years {
        Some(years) => format!("{vessel} ({} years in this fluid)", decimal(years, 1)).into(),
        None => vessel.into(),
    }
}
