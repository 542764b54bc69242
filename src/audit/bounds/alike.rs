//! Lots whose options differ in cost by a constant are evaluated together, each with its own constant.

use crate::collection::Specimen;
use crate::options::table::Judged;
use crate::project::Project;
use crate::rules::FluidId;
use crate::settings::ReuseFluid;
use crate::units::number_of;

/// The common properties of lots whose options differ in cost by a constant.
///
/// The cost of an option is linear in the volume of one filling: each filling and each bath costs the price of its fluid, and a
/// bath takes a volume fixed for the lot or that of one filling. Lots of one `AlikeKey` take the same pieces of the same vessels, so
/// their fillings differ only by the volume of tissue. If also all options have the same number of fillings, the fluid that a lot
/// is in is not reused, and there is no tank (which is made for one lot), then all options of one lot are dearer than those of
/// another by the same constant.
#[derive(PartialEq, Eq, Hash)]
pub(super) struct AlikeKey {
    /// Address of the shared list of fits. Equal lists are one during an audit, and a list keeps its address while it is held here.
    list: usize,
    fluid: FluidId,
    current_fluid: Option<FluidId>,
    priority: u8,
    /// Number of the set of cuts that contain them ([`super::cuts`]).
    membership: u32,
}

impl AlikeKey {
    /// `None` for a lot that must be evaluated by itself.
    pub(super) fn of(project: &Project, specimen: &Specimen, judged: &Judged, membership: u32) -> Option<Self> {
        let Specimen { fluid, current_fluid, priority, .. } = *specimen;
        let constant = judged.tank.is_err() && project.settings.reuse_fluid == ReuseFluid::No;
        constant.then(|| AlikeKey { list: judged.fits.as_ptr().addr(), fluid, current_fluid, priority, membership })
    }
}

/// Whether all fits of a lot have the same number of fillings.
pub(super) fn filled_alike(judged: &Judged) -> bool {
    let mut charges = judged.fits.iter().map(|(_, portion)| portion.charges);
    charges.next().is_some_and(|first| charges.all(|others| others == first))
}

/// Lots with the same [`AlikeKey`].
pub(super) struct Alike {
    /// One of them, by its place in the survey.
    pub(super) specimen: usize,
    /// The options of that lot; holding them keeps the list at its address.
    pub(super) judged: Judged,
    /// The amounts of the first option of each lot, one lot after the other.
    pub(super) first: Vec<i64>,
}

/// With fewer constants than this there are no prefix sums.
const FEWEST_TO_SUM: usize = 16;

/// The constants of lots: their amounts less those of the lot that represents them. Equal constants are stored once.
pub(super) struct Surplus {
    /// Number of amounts of a lot.
    stride: usize,
    /// The constants in rising order, one after the other.
    amounts: Vec<i64>,
    /// Number of lots with each constant.
    lots: Vec<i128>,
    /// Prefix sums of amounts and number of lots, where no amount falls from one constant to the next.
    prefix_sums: Option<Vec<i128>>,
    /// The least and the most of each amount.
    pub(super) least: Vec<i64>,
    pub(super) most: Vec<i64>,
    /// Sum of each amount over all lots.
    pub(super) sum: Vec<i128>,
    /// Number of lots.
    pub(super) n: i128,
}

impl Surplus {
    /// The constants of lots with equal options. `own`: amounts of the first option of the representative; `first`: the same for
    /// each lot, one lot after the other. If `first` is empty, the representative is the only lot, and its constant is 0.
    pub(super) fn of(own: &[i64], first: &[i64]) -> Self {
        let stride = own.len();
        let mut first: Vec<&[i64]> = first.chunks_exact(stride).collect();
        first.sort_unstable();
        let nothing = vec![0; stride];
        let mut beyond = Surplus {
            stride,
            amounts: Vec::new(),
            lots: Vec::new(),
            prefix_sums: None,
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

    /// Makes the prefix sums, if no amount falls from one constant to the next.
    fn sum_up(&mut self) {
        let stride = self.stride;
        let next = self.amounts.iter().skip(stride);
        if self.lots.len() < FEWEST_TO_SUM || self.amounts.iter().zip(next).any(|(amount, next)| amount > next) {
            return;
        }
        let mut sum = vec![0_i128; stride + 1];
        let mut prefix_sums = sum.clone();
        for (amounts, lots) in self.amounts.chunks_exact(stride).zip(&self.lots) {
            sum.iter_mut().zip(amounts).for_each(|(sum, amount)| *sum += i128::from(*amount) * lots);
            sum[stride] += lots;
            prefix_sums.extend(&sum);
        }
        self.prefix_sums = Some(prefix_sums);
    }

    /// Sum of the amounts and number of the first lots for which `is_first` holds, by binary search: `is_first` must hold of no lot
    /// after one for which it does not. `None` without prefix sums: the order of the lots then depends on the weights.
    pub(super) fn first(&self, is_first: impl Fn(&[i64]) -> Option<bool>) -> Option<(&[i128], i128)> {
        let prefix_sums = self.prefix_sums.as_ref()?;
        let (mut least, mut most) = (0, self.lots.len());
        while least < most {
            let middle = least.midpoint(most);
            if is_first(&self.amounts[middle * self.stride..][..self.stride])? {
                least = middle + 1;
            } else {
                most = middle;
            }
        }
        let row = &prefix_sums[least * (self.stride + 1)..][..=self.stride];
        Some((&row[..self.stride], row[self.stride]))
    }

    /// Each constant, and its number of lots.
    pub(super) fn each(&self) -> impl Iterator<Item = (&[i64], i128)> {
        self.amounts.chunks_exact(self.stride).zip(self.lots.iter().copied())
    }
}
