//! Why a tank is not designed, and what would help.

use super::bending::LONGEST_FREE;
use super::design::{Demand, designed};
use super::lid::Fault;
use super::seams;
use crate::settings::Settings;
use crate::settings::glass::{BONDED_LIDS, SeamLimit};
use crate::units::{Length, Pressure, decimal};

/// Why no design is made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Limit {
    /// Longer than four times its height with a free rim (the ratio).
    TooLong(f64),
    /// No stocked glass bears it: the least stress or deflection is with the thickest.
    Stress {
        /// The pane, or the free top edge.
        place: &'static str,
        /// Largest stress with the thickest glass.
        stress: Pressure,
        /// What it is held to there.
        limit: Pressure,
        /// Nominal.
        thickest: Length,
    },
    /// No stocked glass is stiff enough.
    Deflection {
        /// The pane.
        pane: &'static str,
        /// Largest deflection with the thickest glass.
        deflection: Length,
        /// Nominal.
        thickest: Length,
    },
    /// No stocked glass makes a lid.
    Lid {
        /// What it lacks.
        fault: Fault,
        /// Nominal.
        thickest: Length,
    },
    /// The joints work too hard.
    Seam(Pressure),
    /// No strips hold the rim and leave the opening.
    NoBrace,
    /// A pane is larger than any stock sheet.
    Sheet {
        /// Its longer side.
        length: Length,
        /// Its shorter side.
        width: Length,
    },
    /// Smaller inside than its own joints.
    TooSmall,
    /// No thickness is stocked.
    NoGlass,
    /// The fluids table has no density for what is to be in it.
    DensityUnknown,
}

/// A refusal, with what would help.
#[derive(Clone, Debug, PartialEq)]
pub struct Beyond {
    /// What stops it.
    pub limit: Limit,
    /// What would help, the nearest first.
    pub helps: Vec<String>,
}

impl Beyond {
    /// Where the fluids table has no density.
    pub fn density_unknown() -> Self {
        let help = "the density in the fluids table (rehouse rules --export DIR, then --rules DIR)".to_owned();
        Self { limit: Limit::DensityUnknown, helps: vec![help] }
    }

    /// Why, and what would help, in one line.
    pub fn sentence(&self) -> String {
        format!("{}; would help: {}", self.limit.words(), self.helps.join(", or "))
    }
}

impl Limit {
    /// In words.
    pub fn words(&self) -> String {
        match self {
            Limit::TooLong(ratio) => {
                format!("{} times as long as high with a free rim: above 4 the method is not valid", decimal(*ratio, 2))
            }
            Limit::Stress { place, stress, limit, thickest } => too_high(place, *stress, *limit, *thickest),
            Limit::Lid { fault: Fault::Stress(borne), thickest } => {
                too_high(borne.place, borne.stress, borne.limit, *thickest)
            }
            Limit::Deflection { pane, deflection, thickest } => bends_too_far(pane, "bends", *deflection, *thickest),
            Limit::Lid { fault: Fault::Sag(sag), thickest } => bends_too_far("lid", "sags", *sag, *thickest),
            Limit::Seam(stress) if stress.mpa() > seams::LIMIT_MPA => format!(
                "seam stress {} MPa is above {} MPa, the short-term value of structural glazing",
                decimal(stress.mpa(), 3),
                seams::LIMIT_MPA
            ),
            Limit::Seam(stress) => format!(
                "joint stress {} MPa even in the thickest glass stocked, above the limit set (tank.seam_mpa; up to {} MPa is usual for ordinary tanks)",
                decimal(stress.mpa(), 3),
                seams::PRACTICE_MPA
            ),
            Limit::NoBrace => "no brace holds the rim and leaves the opening".to_owned(),
            Limit::Sheet { length, width } => format!(
                "a pane of {} × {} mm is larger than any stock sheet",
                decimal(length.mm(), 1),
                decimal(width.mm(), 1)
            ),
            Limit::TooSmall => "smaller inside than its own joints".to_owned(),
            Limit::NoGlass => {
                "no glass is stocked that is thick enough for the least thickness and the least bite of a joint"
                    .to_owned()
            }
            Limit::DensityUnknown => "the density of its fluid is not known".to_owned(),
        }
    }
}

fn too_high(place: &str, stress: Pressure, limit: Pressure, thickest: Length) -> String {
    let [stress, limit] = [stress, limit].map(|stress| decimal(stress.mpa(), 2));
    format!("the {place}: {stress} MPa in {}, more than the {limit} MPa allowed there", thickest_glass(thickest))
}

fn bends_too_far(pane: &str, bends: &str, by: Length, thickest: Length) -> String {
    format!("the {pane} {bends} {} mm in {}, more than is allowed", decimal(by.mm(), 2), thickest_glass(thickest))
}

fn thickest_glass(thickness: Length) -> String {
    format!("{} mm, the thickest stocked", decimal(thickness.mm(), 1))
}

/// What would make a design of a refused tank.
pub(super) fn helps(settings: &Settings, demand: &Demand, limit: Limit) -> Vec<String> {
    let mut helps = Vec::new();
    if !matches!(limit, Limit::TooSmall | Limit::Sheet { .. } | Limit::NoGlass) {
        let braced = Settings { tank_brace: true, ..settings.clone() };
        if !settings.tank_brace
            && let Ok(design) = designed(&braced, demand)
        {
            helps
                .push(format!("a brace round the rim: {} mm glass is then enough", decimal(design.build.wall.mm(), 1)));
        }
        let held = Settings { lid_supports_walls: true, tank_lid: BONDED_LIDS[0].to_owned(), ..settings.clone() };
        if !settings.lid_supports_walls
            && let Ok(design) = designed(&held, demand)
        {
            helps.push(format!(
                "a bonded lid that supports the walls: {} mm glass is then enough",
                decimal(design.build.wall.mm(), 1)
            ));
        }
        let high = (demand.length.mm() / LONGEST_FREE / 10.0).ceil() * 10.0;
        let higher = Demand { height: Length::at_least_zero(high), ..*demand };
        if matches!(limit, Limit::TooLong(_))
            && let Ok(design) = designed(settings, &higher)
        {
            let wall = decimal(design.build.wall.mm(), 1);
            helps.push(format!("a higher tank of {} mm: {wall} mm glass is then enough", decimal(high, 0)));
        }
        let accepted =
            Settings { seam_limit: SeamLimit(Pressure::at_least_zero(seams::LIMIT_MPA)), ..settings.clone() };
        if matches!(limit, Limit::Seam(_))
            && let Ok(design) = designed(&accepted, demand)
        {
            helps.push(format!(
                "a competent person's decision to allow {} MPa in the joints (--set tank.seam_mpa={}): {} mm glass is then enough",
                decimal(design.seams.worst().mpa(), 3),
                seams::LIMIT_MPA,
                decimal(design.build.wall.mm(), 1)
            ));
        }
        if !matches!(limit, Limit::Seam(_)) {
            helps.push("a second compartment: two shorter tanks".to_owned());
        }
    }
    helps.push("a fabricator's own design".to_owned());
    helps
}
