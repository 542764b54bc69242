//! Lots whose options differ in cost by a constant are evaluated together, each with its own constant.

use crate::collection::Specimen;
use crate::options::table::Judged;
use crate::project::Project;
use crate::rules::FluidId;
use crate::settings::ReuseFluid;
use crate::units::number_of;

/// The common properties of lots whose options differ in cost by a constant.
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
    /// The cuts that they are in.
    membership: u32,
}

impl Use {
    /// `None` for a lot that must be evaluated by itself.
    pub(super) fn of(project: &Project, specimen: &Specimen, judged: &Judged, membership: u32) -> Option<Self> {
        let Specimen { fluid, current_fluid, priority, .. } = *specimen;
        let constant = judged.tank.is_err() && project.settings.reuse_fluid == ReuseFluid::No;
        constant.then(|| Use { list: judged.fits.as_ptr().addr(), fluid, current_fluid, priority, membership })
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

/// Fewer constants than these are gone through one by one.
const FEWEST_TO_SUM: usize = 16;

/// The constants of lots: their amounts less those of the lot that represents them.
pub(super) struct Surplus {
    /// Amounts of a lot.
    stride: usize,
    /// So much, one after the other.
    amounts: Vec<i64>,
    /// How many lots each of them stands for.
    lots: Vec<i128>,
    /// Where no amount falls from one to the next: what all lots up to one come to, and how many they are.
    up_to: Option<Vec<i128>>,
    /// The least and most of each amount.
    pub(super) least: Vec<i64>,
    pub(super) most: Vec<i64>,
    /// Of all.
    pub(super) sum: Vec<i128>,
    /// All of them.
    pub(super) n: i128,
}

impl Surplus {
    /// Lots whose first options come to so much, where that of the lot that stands for them comes to `own`; without any, the
    /// lot itself.
    pub(super) fn of(own: &[i64], first: &[i64]) -> Self {
        let stride = own.len();
        let mut first: Vec<&[i64]> = first.chunks_exact(stride).collect();
        first.sort_unstable();
        let nothing = vec![0; stride];
        let mut beyond = Surplus {
            stride,
            amounts: Vec::new(),
            lots: Vec::new(),
            up_to: None,
            least: vec![i64::MAX; stride],
            most: vec![i64::MIN; stride],
            sum: vec![0; stride],
            n: 0,
        };
        for run in first.chunk_by(|a, b| a == b) {
            let amounts: Vec<i64> = run[0].iter().zip(own).map(|(amount, own)| amount - own).collect();
            beyond.add(&amounts, i128::from(number_of(run.len())));
        }
        if beyond.n == 0 {
            beyond.add(&nothing, 1);
        }
        beyond.sum_up();
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

    /// Adds them up one by one if every amount rises.
    fn sum_up(&mut self) {
        let stride = self.stride;
        let next = self.amounts.iter().skip(stride);
        if self.lots.len() < FEWEST_TO_SUM || self.amounts.iter().zip(next).any(|(amount, next)| amount > next) {
            return;
        }
        let mut sum = vec![0_i128; stride + 1];
        let mut up_to = sum.clone();
        for (amounts, lots) in self.amounts.chunks_exact(stride).zip(&self.lots) {
            sum.iter_mut().zip(amounts).for_each(|(sum, amount)| *sum += i128::from(*amount) * lots);
            sum[stride] += lots;
            up_to.extend(&sum);
        }
        self.up_to = Some(up_to);
    }

    /// What the lots that come first come to, and how many they are, where `is_first` holds of no lot that follows one of which
    /// it does not hold; `None` where the amounts do not rise together, so that no weights order them.
    pub(super) fn first(&self, is_first: impl Fn(&[i64]) -> Option<bool>) -> Option<(&[i128], i128)> {
        let up_to = self.up_to.as_ref()?;
        let (mut least, mut most) = (0, self.lots.len());
        while least < most {
            let middle = least.midpoint(most);
            if is_first(&self.amounts[middle * self.stride..][..self.stride])? {
                least = middle + 1;
            } else {
                most = middle;
            }
        }
        let row = &up_to[least * (self.stride + 1)..][..=self.stride];
        Some((&row[..self.stride], row[self.stride]))
    }

    /// So much beyond, so many lots.
    pub(super) fn each(&self) -> impl Iterator<Item = (&[i64], i128)> {
        self.amounts.chunks_exact(self.stride).zip(self.lots.iter().copied())
    }
}
