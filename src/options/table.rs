//! Judges every specimen against every vessel: the options of each row, and its nearest miss where it has none.

use super::judge::Candidate;
use super::portions::{Fits, Lists, Portion};
use super::tank::{self, NoTank, TankOption};
use super::vessels::Vessels;
use super::{Refusal, Treatment};
use crate::collection::{Hold, Size, Specimen, VesselChoice};
use crate::project::Project;
use crate::rules::Family;
use crate::settings::Tanks;
use crate::stock::VesselId;
use crate::system::threads::in_threads;
use crate::units::Millilitres;

/// What the rules give for one row of the survey.
#[derive(Clone, Debug, PartialEq)]
pub enum Row {
    /// Not to be moved, and why.
    Held(Hold),
    /// Something is unknown that the rules need.
    Undecided(Unknown),
    /// Judged by the rules.
    Judged(Judged),
}

/// What must be known before anything can be decided.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Unknown {
    /// The fluid it is to be kept in.
    Fluid,
    /// The fluid it is in now.
    PresentFluid,
    /// Its size, and no listed vessel that it is in now.
    Size,
}

impl Unknown {
    /// All of them.
    pub const ALL: [Unknown; 3] = [Unknown::Fluid, Unknown::PresentFluid, Unknown::Size];

    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            Unknown::Fluid => "fluid",
            Unknown::PresentFluid => "present-fluid",
            Unknown::Size => "size",
        }
    }
}

impl Row {
    /// Its options, if it was judged.
    pub fn judged(&self) -> Option<&Judged> {
        if let Row::Judged(judged) = self { Some(judged) } else { None }
    }
}

/// The options of a row that may be decided.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// Suitable vessels, by id, each with the portion that the decision needs. The whole fit is judged again for the chosen vessel
    /// only: fits of all pairs would take too much memory. Rows with equal lists share one list.
    pub fits: Fits,
    /// Volume of tissue that is subtracted from the fluid of a filling, the same in every vessel.
    pub tissue: Millilitres,
    /// The nearest miss, where no vessel is suitable.
    pub near_miss: Option<Box<NearMiss>>,
    /// The custom tank, if one is an option. Otherwise `Err`: with the reason if no vessel is suitable either, and with `None` if some
    /// vessel is suitable.
    pub tank: Result<Box<TankOption>, Option<Box<NoTank>>>,
}

/// A refused vessel, and why.
pub type NearMiss = (VesselId, Refusal);

impl Judged {
    /// From the portions of a row, its tissue, its nearest miss and its tank.
    pub fn new(
        fits: Fits,
        tissue: Millilitres,
        near_miss: Option<NearMiss>,
        tank: Result<TankOption, Option<NoTank>>,
    ) -> Self {
        let tank = tank.map(Box::new).map_err(|no_tank| no_tank.map(Box::new));
        Judged { fits, tissue, near_miss: near_miss.map(Box::new), tank }
    }

    /// Its portion of a suitable vessel.
    pub fn portion(&self, vessel: VesselId) -> Option<Portion> {
        let at = self.fits.binary_search_by_key(&vessel, |(id, _)| *id).ok()?;
        Some(self.fits[at].1)
    }

    /// How many kinds of listed vessels are suitable.
    pub fn suitable(&self) -> u32 {
        u32::try_from(self.fits.len()).unwrap_or(u32::MAX)
    }

    /// Fluid of one filling of all the vessels of a portion.
    pub fn fluid(&self, portion: &Portion) -> Millilitres {
        portion.filled * i64::from(portion.pieces) - self.tissue
    }
}

/// Why nothing can be decided about a row yet, if so.
pub fn undecided(project: &Project, specimen: &Specimen) -> Option<Unknown> {
    if project.rules.fluid(specimen.fluid).family == Family::Unknown {
        return Some(Unknown::Fluid);
    }
    if specimen.current_fluid.is_some_and(|id| project.rules.fluid(id).family == Family::Unknown) {
        return Some(Unknown::PresentFluid);
    }
    (specimen.size == Size::Unknown).then_some(Unknown::Size)
}

/// Judges every row of the survey, in survey order.
pub fn judge_all(project: &Project) -> Vec<Row> {
    let vessels = Vessels::of_survey(project);
    let lists = Lists::default();
    in_threads(&project.collection.specimens, |specimen| judge_row_against(project, &vessels, &lists, specimen))
}

/// Judges one row against every vessel and, where it may have one, a tank.
pub fn judge_row(project: &Project, specimen: &Specimen) -> Row {
    judge_row_against(project, &Vessels::in_fluids(project, [specimen.fluid]), &Lists::default(), specimen)
}

/// The same against given vessels, which must include those in the row's fluid; equal lists are shared.
fn judge_row_against(project: &Project, vessels: &Vessels, lists: &Lists, specimen: &Specimen) -> Row {
    if let Some(reason) = specimen.held(&project.rules) {
        return Row::Held(reason);
    }
    if let Some(unknown) = undecided(project, specimen) {
        return Row::Undecided(unknown);
    }
    let treatment = Treatment::of(project, specimen);
    let candidate = Candidate::of(project, specimen, &treatment);
    let fits = lists.of(candidate.portions(vessels), vessels);
    let asked =
        specimen.particulars.must_use.contains(&VesselChoice::Tank) || project.settings.tanks == Tanks::WhenCheaper;
    let is_leftover = fits.iter().all(|(id, _)| project.stock.is_proposed(*id));
    let tank = if fits.is_empty() {
        tank::tank(project, specimen).map_err(Some)
    } else if is_leftover {
        tank::tank(project, specimen).map_err(|_| None)
    } else if asked {
        // Where a vessel is suitable too, the tank must have a price to be compared with it.
        tank::tank(project, specimen).map_err(|_| None).and_then(|tank| tank.cost.map(|_| tank).ok_or(None))
    } else {
        Err(None)
    };
    let near_miss = if fits.is_empty() { candidate.near_miss(vessels) } else { None };
    Row::Judged(Judged::new(fits, candidate.tissue(), near_miss, tank))
}
