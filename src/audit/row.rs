//! The options of one row, judged again by the rules.

use crate::collection::{Specimen, VesselChoice};
use crate::options::judge::Candidate;
use crate::options::portions::Lists;
use crate::options::table::Judged;
use crate::options::tank::{self, TankOption};
use crate::options::{Treatment, Vessels};
use crate::project::Project;
use crate::settings::Tanks;
use crate::stock::VesselId;

/// The options of a row, judged again.
pub(super) fn judged(project: &Project, vessels: &Vessels, lists: &Lists, specimen: &Specimen) -> Judged {
    let treatment = Treatment::of(project, specimen);
    let candidate = Candidate::of(project, specimen, &treatment);
    let fits = lists.of(candidate.portions(vessels), vessels);
    let near_miss = if fits.is_empty() { candidate.near_miss(vessels) } else { None };
    let tank = match () {
        () if fits.is_empty() => tank::tank(project, specimen).map_err(Some),
        () if leftover(project, fits.iter().map(|(id, _)| *id)) => tank::tank(project, specimen).map_err(|_| None),
        () => beside(project, specimen).ok_or(None),
    };
    Judged::new(fits, candidate.tissue(), near_miss, tank)
}

/// The tank that a row may have. Where no listed vessel is suitable: at any price. Otherwise only where tanks may compete or the row is
/// restricted to one, and only at a known price.
pub(super) fn tank(project: &Project, vessels: &Vessels, specimen: &Specimen) -> Option<TankOption> {
    let treatment = Treatment::of(project, specimen);
    let portions = Candidate::of(project, specimen, &treatment).portions(vessels).list(vessels);
    if leftover(project, portions.iter().map(|(id, _)| *id)) {
        tank::tank(project, specimen).ok()
    } else {
        beside(project, specimen)
    }
}

/// Whether no listed vessel is among the suitable ones.
fn leftover(project: &Project, mut suitable: impl Iterator<Item = VesselId>) -> bool {
    suitable.all(|id| project.stock.is_proposed(id))
}

fn beside(project: &Project, specimen: &Specimen) -> Option<TankOption> {
    let competes =
        project.settings.tanks == Tanks::WhenCheaper || specimen.particulars.must_use.contains(&VesselChoice::Tank);
    let tank = competes.then(|| tank::tank(project, specimen).ok())?;
    tank.filter(|tank| tank.cost.is_some())
}
