//! Why a tank is not designed, and what would help, in the form that `plan.json` has.

use serde::{Deserialize, Serialize};

use super::quantities::{mm, mpa, ratio};
use super::tank_facts::{SeamClassForm, StressPlaceForm, WayOutForm};
use crate::tank::glass::StressPlace;
use crate::tank::limits::{Beyond, Limit, TankRemedy};
use crate::tank::seams::SeamClass;
use crate::tank::ways_out::WayOut;
use crate::units::{Length, Pressure};

#[derive(Serialize, Deserialize)]
#[serde(remote = "Limit", tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
enum LimitForm {
    TooLong {
        #[serde(with = "ratio")]
        times: f64,
    },
    Stress {
        #[serde(with = "StressPlaceForm")]
        place: StressPlace,
        #[serde(rename = "mpa", with = "mpa")]
        stress: Pressure,
        #[serde(rename = "limit_mpa", with = "mpa")]
        limit: Pressure,
        #[serde(rename = "thickest_mm", with = "mm")]
        thickest: Length,
    },
    Deflection {
        #[serde(with = "StressPlaceForm")]
        pane: StressPlace,
        #[serde(rename = "deflection_mm", with = "mm")]
        deflection: Length,
        #[serde(rename = "thickest_mm", with = "mm")]
        thickest: Length,
    },
    LidSag {
        #[serde(rename = "sag_mm", with = "mm")]
        sag: Length,
        #[serde(rename = "thickest_mm", with = "mm")]
        thickest: Length,
    },
    Seam {
        #[serde(rename = "mpa", with = "mpa")]
        stress: Pressure,
        #[serde(with = "SeamClassForm")]
        class: SeamClass,
    },
    NoBrace {},
    Sheet {
        #[serde(rename = "length_mm", with = "mm")]
        length: Length,
        #[serde(rename = "width_mm", with = "mm")]
        width: Length,
    },
    TooSmall {},
    NoGlass {},
    DensityUnknown {},
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "TankRemedy", tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
enum TankRemedyForm {
    Brace {
        #[serde(rename = "wall_mm", with = "mm")]
        wall: Length,
    },
    BondedLid {
        #[serde(rename = "wall_mm", with = "mm")]
        wall: Length,
    },
    HigherTank {
        #[serde(rename = "height_mm", with = "mm")]
        height: Length,
        #[serde(rename = "wall_mm", with = "mm")]
        wall: Length,
    },
    SeamDecision {
        #[serde(rename = "mpa", with = "mpa")]
        stress: Pressure,
        #[serde(rename = "wall_mm", with = "mm")]
        wall: Length,
    },
    SecondCompartment {},
    FabricatorsDesign {},
    Density {},
    AnotherLid {},
    FluidTest {},
    Review {},
    Instead {
        #[serde(with = "WayOutForm")]
        way: WayOut,
    },
}

/// What stops it, and what would help.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct BeyondFile {
    #[serde(with = "LimitForm")]
    limit: Limit,
    #[serde(rename = "helps")]
    remedies: Vec<RemedyFile>,
}

#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
struct RemedyFile(#[serde(with = "TankRemedyForm")] TankRemedy);

impl From<&Beyond> for BeyondFile {
    fn from(beyond: &Beyond) -> Self {
        Self { limit: beyond.limit, remedies: beyond.remedies.iter().copied().map(RemedyFile).collect() }
    }
}

impl From<BeyondFile> for Beyond {
    fn from(file: BeyondFile) -> Self {
        Self { limit: file.limit, remedies: file.remedies.into_iter().map(|RemedyFile(remedy)| remedy).collect() }
    }
}
