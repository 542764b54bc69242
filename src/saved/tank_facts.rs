//! The form that facts of tanks have in `plan.json`: ids of their kinds and figures, both ways.
//!
//! A variant without figures has braces here, so that a field it does not have is refused.

use std::borrow::Cow;

use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::quantities::{kg, kpa, mm, mpa, newtons, ratio, some_ratio};
use super::typed::Told;
use crate::options::tank::TankPriceBasis;
use crate::tank::design::{Footing, RimSupport};
use crate::tank::glass::StressPlace;
use crate::tank::order::WorkStep;
use crate::tank::panes::{EdgeFinish, PaneKind};
use crate::tank::remarks::TankWarning;
use crate::tank::seams::SeamClass;
use crate::tank::ways_out::{LargeVessel, WayOut};
use crate::units::{Force, Length, Mass, Pressure};
use crate::words::tank as words;

#[derive(Serialize, Deserialize)]
#[serde(remote = "TankPriceBasis", rename_all = "kebab-case")]
pub(super) enum TankPriceBasisForm {
    Quoted,
    Estimate,
    SharedEstimate,
    NotBondedGlass,
    DoesNotSuit,
    DoesNotLast,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Footing", rename_all = "kebab-case")]
pub(super) enum FootingForm {
    WallsOnBase,
    BaseInside,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "RimSupport", tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
pub(super) enum RimSupportForm {
    Free {},
    Strips {
        #[serde(rename = "width_mm", with = "mm")]
        width: Length,
    },
    BondedLid {},
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "StressPlace", rename_all = "kebab-case")]
pub(super) enum StressPlaceForm {
    LongWall,
    EndWall,
    Base,
    FreeTopEdge,
    Lid,
    LidUnderHand,
    LidOpening,
    LidOpeningUnderHand,
    UprightJoint,
    BottomJoint,
    LidJoint,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "SeamClass", rename_all = "kebab-case")]
pub(super) enum SeamClassForm {
    Low,
    TankPractice,
    High,
    Beyond,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "PaneKind", rename_all = "kebab-case")]
pub(super) enum PaneKindForm {
    LongWall,
    EndWall,
    Base,
    Lid,
    LongStrip,
    EndStrip,
    CrossStrip,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "EdgeFinish", rename_all = "kebab-case")]
pub(super) enum EdgeFinishForm {
    Arrissed,
    TopGround,
    LidWithOpening,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "WayOut", tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
pub(super) enum WayOutForm {
    Vessel {
        #[serde(rename = "material", with = "large_vessel")]
        vessel: LargeVessel,
        #[serde(with = "some_ratio")]
        years: Option<f64>,
    },
    ChangeOfFluid {},
}

/// By what it is made of.
mod large_vessel {
    use super::*;

    pub(super) fn serialize<S: Serializer>(vessel: &LargeVessel, out: S) -> Result<S::Ok, S::Error> {
        vessel.material().serialize(out)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(text: D) -> Result<LargeVessel, D::Error> {
        let id = String::deserialize(text)?;
        let found = LargeVessel::ALL.into_iter().find(|vessel| vessel.material() == id);
        found.ok_or_else(|| D::Error::custom(format!("expected what a larger vessel is made of, found {id:?}")))
    }
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "TankWarning", tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
enum TankWarningForm {
    Unproven {
        alcohol: bool,
    },
    SeamAbovePractice {
        #[serde(rename = "mpa", with = "mpa")]
        stress: Pressure,
    },
    AllowableAboveUsual {
        #[serde(rename = "mpa", with = "mpa")]
        allowable: Pressure,
    },
    SmallBite {
        #[serde(rename = "mm", with = "mm")]
        bite: Length,
    },
    LidHoldsWalls {},
    DenserThanWater {},
    LooseLid {},
    BraceOpening {
        #[serde(rename = "along_mm", with = "mm")]
        along: Length,
        #[serde(rename = "across_mm", with = "mm")]
        across: Length,
    },
    BraceDepth {
        #[serde(rename = "depth_mm", with = "mm")]
        depth: Length,
        #[serde(rename = "freeboard_mm", with = "mm")]
        freeboard: Length,
    },
    GroundTopEdge {
        #[serde(rename = "ground_mpa", with = "mpa")]
        ground: Pressure,
        #[serde(rename = "as_cut_mpa", with = "mpa")]
        as_cut: Pressure,
    },
    LongFreeRim {
        #[serde(with = "ratio")]
        times: f64,
        #[serde(rename = "pull_n", with = "newtons")]
        pull: Force,
    },
    BaseOnEdges {},
    BaseBedded {},
    WallsOnPad {},
    PaneNeedsLift {
        #[serde(rename = "kg", with = "kg")]
        mass: Mass,
    },
    PaneForTwo {
        #[serde(rename = "kg", with = "kg")]
        mass: Mass,
    },
    EmptyNeedsLift {
        #[serde(rename = "kg", with = "kg")]
        mass: Mass,
    },
    NeverMovedFull {
        #[serde(rename = "kg", with = "kg")]
        mass: Mass,
    },
    ShelfLoad {
        #[serde(rename = "kpa", with = "kpa")]
        pressure: Pressure,
        #[serde(rename = "kg_per_m2", with = "kg")]
        mass_per_m2: Mass,
    },
    SmallPanes {},
    MustBreathe {
        #[serde(rename = "gas_kpa", with = "kpa")]
        gas: Pressure,
        #[serde(with = "StressPlaceForm")]
        place: StressPlace,
    },
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "WorkStep", tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
enum WorkStepForm {
    BondWalls {
        #[serde(with = "FootingForm")]
        footing: Footing,
    },
    BondStrips {
        cross: u32,
    },
    Cure {},
    BondHoldingLid {},
    CureAgain {},
    WaterTest {
        through_lid: bool,
    },
    MarkProvedLevel {
        #[serde(with = "ratio")]
        share_pct: f64,
        #[serde(rename = "freeboard_mm", with = "mm")]
        freeboard: Length,
    },
    FluidTest {
        #[serde(with = "ratio")]
        share_pct: f64,
        #[serde(rename = "freeboard_mm", with = "mm")]
        freeboard: Length,
        through_lid: bool,
    },
    CutLidOff {},
    DryRim {},
    Place {
        lift: bool,
    },
    PutSpecimenIn {},
    PartFill {},
    PartFillTo {
        #[serde(rename = "depth_mm", with = "mm")]
        depth: Length,
    },
    KeepWetWithoutFluid {},
    TopUp {
        #[serde(rename = "freeboard_mm", with = "mm")]
        freeboard: Length,
    },
    SetLid {
        lid: String,
    },
    BondHoldingLidAgain {},
    FillThroughOpening {},
    PlugAndLabel {},
    BondLid {},
    TopUpThroughOpening {},
}

/// A way out.
#[derive(Serialize, Deserialize)]
#[serde(transparent)]
pub(super) struct WayOutFact(#[serde(with = "WayOutForm")] pub(super) WayOut);

impl Told for WayOutFact {
    fn told(&self) -> Cow<'static, str> {
        words::way_out(&self.0)
    }
}

/// What to mind.
#[derive(Serialize, Deserialize)]
#[serde(transparent)]
pub(super) struct WarningFact(#[serde(with = "TankWarningForm")] pub(super) TankWarning);

impl Told for WarningFact {
    fn told(&self) -> Cow<'static, str> {
        words::warnings::warning(&self.0)
    }
}

/// A step of the work.
#[derive(Serialize, Deserialize)]
#[serde(transparent)]
pub(super) struct StepFact(#[serde(with = "WorkStepForm")] pub(super) WorkStep);

impl Told for StepFact {
    fn told(&self) -> Cow<'static, str> {
        words::steps::step(&self.0)
    }
}
