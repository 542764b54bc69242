//! Rows that differ by a constant in what their options come to: weighed together, each at its own constant.

use super::rows::Amounts;
use crate::collection::Specimen;
use crate::options::table::Judged;
use crate::project::Project;
use crate::rules::FluidId;
use crate::settings::ReuseFluid;

/// What rows have in common whose options differ by a constant.
///
/// What an option comes to is linear in the fluid of one filling: fillings at the price of the fluid, baths at theirs, of
/// so much for the row or of one filling each. The rows take the same of the same vessels, so one filling differs by the
/// tissue alone; with one number of fillings for all of them, nothing kept of the fluid a row is in, and no tank, which is
/// a row's own, all options of a row are dearer or cheaper than another row's by the same.
#[derive(PartialEq, Eq, Hash)]
pub(super) struct Use {
    /// Where the list of what they take is held: one of an audit has one place, as long as any of its rows is held here.
    list: usize,
    fluid: FluidId,
    current_fluid: Option<FluidId>,
    priority: u8,
}

impl Use {
    /// `None` for a row that must be weighed by itself, whatever its list.
    pub(super) fn of(project: &Project, specimen: &Specimen, judged: &Judged) -> Option<Self> {
        let Specimen { fluid, current_fluid, priority, .. } = *specimen;
        let constant = judged.tank.is_err() && project.settings.reuse_fluid == ReuseFluid::No;
        constant.then(|| Use { list: judged.fits.as_ptr().addr(), fluid, current_fluid, priority })
    }
}

/// Whether all that a list names is filled equally often.
pub(super) fn filled_alike(judged: &Judged) -> bool {
    let mut charges = judged.fits.iter().map(|(_, portion)| portion.charges);
    charges.next().is_some_and(|first| charges.all(|others| others == first))
}

/// Rows of one use.
pub(super) struct Alike {
    /// One of them, by its place in the survey.
    pub(super) specimen: usize,
    /// What it may have; that keeps the list in its place.
    pub(super) judged: Judged,
    /// What the first option of each comes to, at each set of fluid prices.
    pub(super) first: Vec<Vec<Amounts>>,
}

/// By how much rows are dearer than one that stands for them.
pub(super) struct Beyond {
    /// So much, so many of them.
    pub(super) each: Vec<(Amounts, i128)>,
    /// The least and most of each amount.
    pub(super) least: Amounts,
    pub(super) most: Amounts,
    /// Weighed, paid and fluid of all.
    pub(super) sum: [i128; 3],
    /// All of them.
    pub(super) n: i128,
}

impl Beyond {
    /// Rows whose first options come to so much, where that of the row that stands for them comes to `own`; without any, the
    /// row itself.
    pub(super) fn of(own: Amounts, first: &[Amounts]) -> Self {
        let mut first = first.to_vec();
        first.sort_unstable();
        let runs = first.chunk_by(|a, b| a == b).map(|run| (run[0].less(own), run.len() as i128));
        let mut each: Vec<(Amounts, i128)> = runs.collect();
        if each.is_empty() {
            each.push((Amounts::default(), 1));
        }
        let (mut least, mut most, mut sum, mut n) = (each[0].0, each[0].0, [0; 3], 0);
        for &(amounts, rows) in &each {
            (least, most, n) = (least.min(amounts), most.max(amounts), n + rows);
            for (sum, amount) in sum.iter_mut().zip([amounts.weighed, amounts.paid, amounts.fluid]) {
                *sum += i128::from(amount) * rows;
            }
        }
        Beyond { each, least, most, sum, n }
    }
}
