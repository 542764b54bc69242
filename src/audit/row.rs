//! What one row may have, by the rules of the options alone.

use crate::collection::{Specimen, VesselChoice};
use crate::options::judge::judge_treated;
use crate::options::table::{Judged, nearness};
use crate::options::tank::{self, TankOption};
use crate::options::{Fit, Refusal, Treatment, judge};
use crate::project::Project;
use crate::settings::Tanks;
use crate::stock::VesselId;

/// What a row may have, asked again vessel by vessel.
pub(super) fn judged(project: &Project, specimen: &Specimen) -> Judged {
    let fits: Vec<_> = fits(project, specimen).collect();
    let leftover = fits.is_empty();
    let near_miss = leftover.then(|| near_miss(project, specimen)).flatten();
    let tank =
        if leftover { tank::tank(project, specimen).map_err(Some) } else { tank(project, specimen, false).ok_or(None) };
    Judged::new(fits, near_miss, tank)
}

/// All vessels that take a row.
pub(super) fn fits<'a>(project: &'a Project, specimen: &'a Specimen) -> impl Iterator<Item = (VesselId, Fit)> + 'a {
    let treatment = Treatment::of(project, specimen);
    let judged = move |id| judge_treated(project, specimen, &treatment, id).ok().map(|fit| (id, fit));
    project.stock.listed().filter_map(move |(id, _)| judged(id))
}

/// The vessel that misses by least, the first in the stock where several miss alike; `None` where one fits.
fn near_miss(project: &Project, specimen: &Specimen) -> Option<(VesselId, Refusal)> {
    let mut nearest: Option<(VesselId, Refusal)> = None;
    for (id, _) in project.stock.listed() {
        let refusal = judge(project, specimen, id).err()?;
        if nearest.is_none_or(|(_, least)| nearness(&refusal) < nearness(&least)) {
            nearest = Some((id, refusal));
        }
    }
    nearest
}

/// The tank a row may have: a leftover's whatever its price; beside a vessel, only where tanks may compete or the row is
/// pinned to one, and only at a known price.
pub(super) fn tank(project: &Project, specimen: &Specimen, leftover: bool) -> Option<TankOption> {
    let competes = project.settings.tanks == Tanks::WhenCheaper || specimen.must_use.contains(&VesselChoice::Tank);
    if !leftover && !competes {
        return None;
    }
    tank::tank(project, specimen).ok().filter(|tank| leftover || tank.cost.is_some())
}
