//! The kinds of vessel to look for: for rows that no vessel serves and that are too small for a tank.

use std::collections::BTreeMap;

use super::{Outcome, Plan, Want};
use crate::collection::{Envelope, Outline, Posture, Size, Specimen};
use crate::fit::plan::Plan as Footprint;
use crate::fit::{self, Stance};
use crate::options::judge;
use crate::options::table::Row;
use crate::options::tank::NoTank;
use crate::project::Project;
use crate::rules::clearance;
use crate::stock::Section;
use crate::units::Length;

/// The wants of a plan, equal ones grouped, in order of their first row.
pub fn wants(project: &Project, plan: &Plan, rows: &[Row]) -> Vec<Want> {
    let mut grouped: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for placement in plan.placements.iter().filter(|placement| placement.outcome == Outcome::NeedsDecision) {
        let Some(judged) = rows[placement.specimen].judged() else { continue };
        let too_small = matches!(judged.tank.as_ref().map_err(Option::as_deref), Err(Some(NoTank::TooSmall)));
        if too_small {
            let specimen = &project.collection.specimens[placement.specimen];
            let text = wanted(project, specimen).unwrap_or_else(|| NO_ROUND_VESSEL.to_owned());
            grouped.entry(text).or_default().push(placement.specimen);
        }
    }
    let mut wants: Vec<Want> = grouped.into_iter().map(|(text, specimens)| Want { specimens, text }).collect();
    wants.sort_by_key(|want| want.specimens.first().copied());
    wants
}

/// What is wanted where the search for a round vessel, up to ten times the body, comes to nothing.
const NO_ROUND_VESSEL: &str = "a vessel of another form: no round one up to ten times as wide and high serves";

/// The least round vessel that would serve a specimen, of the postures it allows the one of least volume.
pub fn wanted(project: &Project, specimen: &Specimen) -> Option<String> {
    let Size::Measured(envelope) = specimen.size else { return None };
    let settings = &project.settings;
    let (bore, height, mouth) = Stance::allowed(specimen.posture)
        .iter()
        .filter_map(|&stance| least_round(project, specimen, &envelope, stance))
        .min_by(|a, b| (a.0.mm() * a.0.mm() * a.1.mm()).total_cmp(&(b.0.mm() * b.0.mm() * b.1.mm())))?;
    let tissue = judge::tissue(settings, specimen).high?;
    let least_fill = tissue.ml() / settings.tissue_share_pct.ratio().max(1e-9);
    let volume = Section::Round(bore).area_mm2() * height.mm() / 1000.0;
    let capacity =
        if least_fill > volume { format!(", holding {} ml or more", (least_fill * 1.1).ceil()) } else { String::new() };
    Some(format!(
        "at least {} × {} mm inside (round), mouth {} mm{capacity}, for {}, lasting {} years",
        bore.mm(),
        height.mm(),
        mouth.mm(),
        project.rules.fluid(specimen.fluid).id,
        crate::units::decimal(specimen.keep_years, 1),
    ))
}

/// Least bore, inner height and mouth in whole millimetres for one stance.
fn least_round(
    project: &Project,
    specimen: &Specimen,
    envelope: &Envelope,
    stance: Stance,
) -> Option<(Length, Length, Length)> {
    let settings = &project.settings;
    let (vertical, (along, across)) = stance.measures(envelope);
    let coiled = specimen.posture == Posture::Coil;
    let outline = if coiled { Outline::Rounded } else { specimen.outline };
    let section = fit::mouth::measure(Footprint { outline, along, across }, Section::Round(Length::ZERO));
    let mouth = section + clearance::mouth(settings, section);
    let wall = |bore: Length| specimen.particulars.clearance.unwrap_or_else(|| clearance::wall(settings, bore)) * 2.0;
    let coil =
        |bore: Length| fit::coil::coil(envelope.length, vertical, bore.less(wall(bore)), settings.coil_core.0).ok();
    let bore = whole_millimetres(section)
        .find(|&bore| if coiled { coil(bore).is_some() } else { (section + wall(bore)).fits(bore) })?;
    let vertical = if coiled { coil(bore)?.height } else { vertical };
    let fluid = project.rules.fluid(specimen.fluid);
    // Any closure but a sealed plate: the wanted vessel's own is not known yet.
    let closure = project.rules.closures.iter().find(|closure| !closure.plate_sealed)?;
    let height = whole_millimetres(vertical).find(|&height| {
        let filled = height * (1.0 - clearance::headspace(settings, fluid, closure, height));
        (settings.floor + vertical + clearance::cover(settings, height)).fits(filled)
    })?;
    let up = |length: Length| Length::at_least_zero((length.mm() - crate::units::TOUCH_MM).ceil());
    Some((up(bore), up(height), up(mouth)))
}

/// Whole millimetres from a length up, to ten times as much and a little more.
fn whole_millimetres(from: Length) -> impl Iterator<Item = Length> {
    let first = from.mm().floor() as u64;
    (first..first * 10 + 100).map(|mm| Length::at_least_zero(mm as f64))
}
