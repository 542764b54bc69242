//! Every specimen against every vessel: what each row may have, and what misses by least where it may have nothing.

use std::cmp::Reverse;
use std::num::NonZero;
use std::panic::resume_unwind;
use std::thread;

use super::judge::Candidate;
use super::tank::{self, NoTank, TankOption};
use super::{Fit, Refusal, Rule, Treatment, Vessels};
use crate::collection::{Size, Specimen, VesselChoice};
use crate::project::Project;
use crate::rules::Family;
use crate::settings::Tanks;
use crate::stock::VesselId;

/// What one row of the survey may have.
#[derive(Clone, Debug, PartialEq)]
pub enum Row {
    /// Not to be moved, and why.
    Held(String),
    /// Something is unknown, and what.
    Undecided(&'static str),
    /// The rules have spoken.
    Judged(Judged),
}

/// The options of a row that may be decided.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// Vessels it may have, by id.
    pub fits: Vec<(VesselId, Fit)>,
    /// The refused vessel that misses by least, where no vessel fits.
    pub near_miss: Option<(VesselId, Refusal)>,
    /// Its tank, where a tank is an option; why not, where no vessel fits either.
    pub tank: Result<TankOption, Option<NoTank>>,
}

/// Why nothing can be decided about a row yet, if so.
pub fn undecided(project: &Project, specimen: &Specimen) -> Option<&'static str> {
    if project.rules.fluid(specimen.fluid).family == Family::Unknown {
        return Some("fluid unknown: test first");
    }
    (specimen.size == Size::Unknown).then_some("size unknown: measure first")
}

/// Judges every row of the survey, in survey order.
pub fn judge_all(project: &Project) -> Vec<Row> {
    let vessels = Vessels::of_survey(project);
    in_threads(&project.collection.specimens, |specimen| judge_row_against(project, &vessels, specimen))
}

/// What a function makes of each item, in their order, on as many threads as there are cores.
pub fn in_threads<T: Sync, R: Send>(items: &[T], make: impl Fn(&T) -> R + Sync) -> Vec<R> {
    in_so_many_threads(thread::available_parallelism().map_or(1, NonZero::get), items, make)
}

/// The same on so many threads; the result is the same for any number of them.
pub fn in_so_many_threads<T: Sync, R: Send>(threads: usize, items: &[T], make: impl Fn(&T) -> R + Sync) -> Vec<R> {
    if threads <= 1 || items.len() < FEWEST_FOR_THREADS {
        return items.iter().map(make).collect();
    }
    thread::scope(|scope| {
        let parts = items.chunks(items.len().div_ceil(threads));
        let making: Vec<_> = parts.map(|part| scope.spawn(|| part.iter().map(&make).collect::<Vec<R>>())).collect();
        let made = making.into_iter().flat_map(|part| part.join().unwrap_or_else(|panic| resume_unwind(panic)));
        made.collect()
    })
}

/// Fewer items than this are done before threads would have started.
const FEWEST_FOR_THREADS: usize = 500;

/// Judges one row against every vessel and, where it may have one, a tank.
pub fn judge_row(project: &Project, specimen: &Specimen) -> Row {
    judge_row_against(project, &Vessels::in_fluids(project, [specimen.fluid]), specimen)
}

/// The same against vessels at hand, which must be there in the row's fluid.
pub fn judge_row_against(project: &Project, vessels: &Vessels, specimen: &Specimen) -> Row {
    if let Some(reason) = specimen.held() {
        return Row::Held(reason);
    }
    if let Some(reason) = undecided(project, specimen) {
        return Row::Undecided(reason);
    }
    let treatment = Treatment::of(project, specimen);
    let candidate = Candidate::of(project, specimen, &treatment);
    let fits: Vec<(VesselId, Fit)> = candidate.fits(vessels).collect();
    let asked = specimen.must_use.contains(&VesselChoice::Tank) || project.settings.tanks == Tanks::WhenCheaper;
    let tank = if fits.is_empty() {
        tank::tank(project, specimen).map_err(Some)
    } else if asked {
        // Beside a vessel a tank must have a price to be weighed against it.
        tank::tank(project, specimen).map_err(|_| None).and_then(|tank| tank.cost.map(|_| tank).ok_or(None))
    } else {
        Err(None)
    };
    let near_miss = if fits.is_empty() { candidate.near_miss(vessels) } else { None };
    Row::Judged(Judged { fits, near_miss, tank })
}

/// Orders refusals by how near they miss: the further along the rules the nearer, then the smaller the shortfall.
pub fn nearness(refusal: &Refusal) -> (Reverse<Rule>, u8, u64) {
    // Within the first rule a life too short is a matter of degree, the rest is not; a pin is no miss at all.
    let kind = u8::from(refusal.shortfall.is_none());
    // Shortfalls are rounded to tenths, so tenths compare exactly.
    let tenths = refusal.shortfall.map_or(u64::MAX, |amount| (amount * 10.0).round() as u64);
    (Reverse(refusal.rule), kind, tenths)
}
