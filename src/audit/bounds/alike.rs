//! Lots that differ by a constant in what their options come to: weighed together, each at its own constant.

use crate::collection::Specimen;
use crate::options::table::Judged;
use crate::project::Project;
use crate::rules::FluidId;
use crate::settings::ReuseFluid;

/// What lots have in common whose options differ by a constant.
///
/// What an option comes to is linear in the fluid of one filling: fillings at the price of the fluid, baths at theirs, of
/// so much for the lot or of one filling each. The lots take the same of the same vessels, so one filling differs by the
/// tissue alone; with one number of fillings for all of them, nothing kept of the fluid a lot is in, and no tank, which is
/// a lot's own, all options of a lot are dearer or cheaper than another lot's by the same.
#[derive(PartialEq, Eq, Hash)]
pub(super) struct Use {
    /// Where the list of what they take is held: one of an audit has one place, as long as any of its lots is held here.
    list: usize,
    fluid: FluidId,
    current_fluid: Option<FluidId>,
    priority: u8,
}

impl Use {
    /// `None` for a lot that must be weighed by itself, whatever its list.
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

/// Lots of one use.
pub(super) struct Alike {
    /// One of them, by its place in the survey.
    pub(super) specimen: usize,
    /// What it may have; that keeps the list in its place.
    pub(super) judged: Judged,
    /// What the first option of each comes to, one after the other.
    pub(super) first: Vec<i64>,
}

/// By how much lots are dearer than one that stands for them.
pub(super) struct Beyond {
    /// Amounts of a lot.
    stride: usize,
    /// So much, one after the other.
    amounts: Vec<i64>,
    /// How many lots each of them stands for.
    lots: Vec<i128>,
    /// The least and most of each amount.
    pub(super) least: Vec<i64>,
    pub(super) most: Vec<i64>,
    /// Of all.
    pub(super) sum: Vec<i128>,
    /// All of them.
    pub(super) n: i128,
}

impl Beyond {
    /// Lots whose first options come to so much, where that of the lot that stands for them comes to `own`; without any, the
    /// lot itself.
    pub(super) fn of(own: &[i64], first: &[i64]) -> Self {
        let stride = own.len();
        let mut first: Vec<&[i64]> = first.chunks_exact(stride).collect();
        first.sort_unstable();
        let nothing = vec![0; stride];
        let mut beyond = Beyond {
            stride,
            amounts: Vec::new(),
            lots: Vec::new(),
            least: vec![i64::MAX; stride],
            most: vec![i64::MIN; stride],
            sum: vec![0; stride],
            n: 0,
        };
        for run in first.chunk_by(|a, b| a == b) {
            let amounts: Vec<i64> = run[0].iter().zip(own).map(|(amount, own)| amount - own).collect();
            beyond.add(&amounts, run.len() as i128);
        }
        if beyond.n == 0 {
            beyond.add(&nothing, 1);
        }
        beyond
    }

    fn add(&mut self, amounts: &[i64], lots: i128) {
        self.amounts.extend(amounts);
        self.lots.push(lots);
        self.n += lots;
        for (at, amount) in amounts.iter().enumerate() {
            self.least[at] = self.least[at].min(*amount);
            self.most[at] = self.most[at].max(*amount);
            self.sum[at] += i128::from(*amount) * lots;
        }
    }

    /// So much beyond, so many lots.
    pub(super) fn each(&self) -> impl Iterator<Item = (&[i64], i128)> {
        self.amounts.chunks_exact(self.stride).zip(self.lots.iter().copied())
    }
}
