//! Recomputes from the inputs the bounds that the certificates of a plan give, by the formula of
//! [`crate::decision::certificate`].
//!
//! Nothing of the solver is used: the options of every lot are those that the rules allow. The survey is gone through once:
//!
//! * [`lots`] adds up the cheapest option of every lot for each set of [`numbers`], once, however many leaves name them. Lots
//!   whose options differ by a constant are weighed together ([`alike`]);
//! * [`groups`] replaces in that sum the lots of a group that a leaf limits by their cheapest distribution within the limits;
//! * [`cuts`] finds which lots are in which cuts, and what their weights add to lots and take off orders;
//! * [`orders`] computes the least cost of packs and suppliers within the limits of a leaf, [`covering`] the covering cost of
//!   goods. The covering cost takes longest, so it is computed only in leaves whose bound is below the level's value without it;
//! * [`tree`] walks the nodes and gives each leaf its limits.
//!
//! [`sound`] checks before all this that a certificate is well formed. Sums beyond 128 bits give no bound.
//!
//! Cost: a pass over the options of every lot for each set of numbers; for each leaf a pass over the offers, and over the
//! lots and options of the groups that it limits, and at most 4096 steps for each offer of a supplier that has terms.

mod alike;
mod covering;
mod cuts;
mod gathered;
mod groups;
mod lots;
mod numbers;
mod orders;
mod owned;
mod priced;
mod sound;
mod tree;

use std::collections::HashMap;

use cuts::{CutTerms, Cuts};
pub(super) use lots::Lots;
use numbers::{AtNumbers, PricedVessels};
use orders::{Goods, OrderLimits};
use owned::OwnedFluids;
pub(super) use sound::faults;

use super::fluids::price_of;
use super::work::labour_per_row;
use crate::decision::{Aim, Certificate, Level};
use crate::project::Project;
use crate::rules::FluidId;
use crate::stock::VesselId;
use crate::units::{Money, Position, greatest_common_divisor};
use gathered::Gathered;
use groups::{Groups, Weighed};

/// The value that a plan reaches on each level, derived from its rows.
pub(super) struct Reached {
    /// The weighted number of deferred lots; 0 where priorities are not weighed.
    pub weighted_deferred: i128,
    pub deferred: [i128; 4],
    /// Weighed money.
    pub money: i128,
    pub fluid: i128,
}

impl Reached {
    pub fn of(&self, aim: Aim) -> i128 {
        match aim {
            Aim::WeightedDeferred => self.weighted_deferred,
            Aim::Deferred(priority) => self.deferred[usize::from(priority.clamp(1, 4)) - 1],
            Aim::Money => self.money,
            Aim::Fluid => self.fluid,
        }
    }
}

/// The certificates of all levels, prepared for adding up the lots of the survey.
pub(super) struct Bounds<'a> {
    n_vessels: usize,
    /// Money for the labour of one lot; zero unless labour counts against the budget.
    labour: Money,
    owned: OwnedFluids,
    /// Price of a litre, by fluid.
    prices: Vec<Money>,
    columns: PricedVessels,
    /// The multipliers of all leaves, level by level.
    numbers: Vec<AtNumbers<'a>>,
    levels: Vec<OfLevel<'a>>,
    groups: Groups,
    cuts: Cuts<'a>,
}

/// The certificate that bounds one level.
struct OfLevel<'a> {
    aim: Aim,
    certificate: &'a Certificate,
    /// Positions of its first numbers, group and cut among those of all levels.
    first_numbers: usize,
    first_group: usize,
    first_cut: usize,
}

impl<'a> Bounds<'a> {
    /// No certificate may be [`faults`].
    pub(super) fn of(project: &Project, levels: &'a [Level]) -> Self {
        let owned = OwnedFluids::of(project);
        let columns = PricedVessels::of(project, levels);
        let mut bounds = Bounds {
            n_vessels: project.stock.vessels.len(),
            labour: if project.settings.labour_in_budget { labour_per_row(project) } else { Money::ZERO },
            owned,
            prices: project.rules.fluids.iter().zip(0..).map(|(_, index)| price_of(project, FluidId(index))).collect(),
            columns,
            numbers: Vec::new(),
            levels: Vec::new(),
            groups: Groups::default(),
            cuts: Cuts::none(project),
        };
        let mut first: HashMap<*const Certificate, (usize, usize)> = HashMap::new();
        for level in levels {
            let certificate = of_level(levels, level);
            let first_numbers = bounds.numbers.len();
            // Where the certificate of money also bounds fluid, its groups and cuts are stored once.
            let (first_group, first_cut) = *first
                .entry(std::ptr::from_ref(certificate))
                .or_insert_with(|| (bounds.groups.add(certificate), bounds.cuts.add(project, certificate)));
            let at = certificate.numbers.iter().map(|numbers| {
                AtNumbers::new(project, numbers, level.aim, (&bounds.columns, &bounds.owned, first_cut))
            });
            bounds.numbers.extend(at);
            bounds.levels.push(OfLevel { aim: level.aim, certificate, first_numbers, first_group, first_cut });
        }
        bounds
    }

    /// The position after the last vessel: it stands for a tank.
    fn tank(&self) -> VesselId {
        VesselId::at(self.n_vessels)
    }

    /// Sums without any lot.
    pub(super) fn no_lots(&self) -> Lots {
        Lots::none(self)
    }

    /// Faults of the groups of a level, once all lots are added up: position of the group, message.
    pub(super) fn wrong_groups(&self, level: usize, lots: &Lots) -> Vec<(usize, String)> {
        let OfLevel { certificate, first_group, .. } = &self.levels[level];
        groups::wrong(certificate, &lots.groups[*first_group..], self.tank())
    }

    /// Faults of the cuts of a level, once all lots are added up: position of the cut, message.
    pub(super) fn wrong_cuts(&self, project: &Project, level: usize, lots: &Lots) -> Vec<(usize, String)> {
        let OfLevel { certificate, first_cut, .. } = &self.levels[level];
        cuts::wrong(project, certificate, &lots.cuts[*first_cut..])
    }

    /// The bound of each level, once all lots are added up and no group or cut is wrong; `None` where there is none.
    pub(super) fn bounds(&self, project: &Project, lots: &Lots, reached: &Reached) -> Vec<Option<i128>> {
        let least = |leaves: Vec<Least>| leaves.into_iter().min().unwrap_or(Least::NoBound);
        let bound = |leaves| match least(leaves) {
            Least::NoBound => None,
            Least::NoPlan => Some(i128::MAX),
            Least::Of(least) => Some(least),
        };
        let enough = |level: &OfLevel| Least::Of(reached.of(level.aim));
        self.leaves_with(project, lots, reached, &enough).into_iter().map(bound).collect()
    }

    /// The bound of each leaf of each level, in the order of the tree.
    pub(super) fn leaves(&self, project: &Project, lots: &Lots, reached: &Reached) -> Vec<Vec<Least>> {
        self.leaves_with(project, lots, reached, &|_| Least::NoPlan)
    }

    /// The same, but without the covering cost in leaves whose bound is `enough` for the level without it.
    fn leaves_with(
        &self,
        project: &Project,
        lots: &Lots,
        reached: &Reached,
        enough: &dyn Fn(&OfLevel) -> Least,
    ) -> Vec<Vec<Least>> {
        let held = self.cuts.held(project, &lots.cuts);
        let limits = OrderLimits::of(project, &lots.needed);
        let unit = greatest_common_divisor(lots.unit, limits.unit(project));
        let unit = greatest_common_divisor(unit, self.owned.unit()).max(1);
        let leaves =
            |level: &OfLevel| self.leaves_of(project, lots, reached, (level, &limits, unit), (&held, enough(level)));
        self.levels.iter().map(leaves).collect()
    }

    fn leaves_of(
        &self,
        project: &Project,
        lots: &Lots,
        reached: &Reached,
        (level, limits, unit): (&OfLevel, &OrderLimits, u64),
        (held, enough): (&[CutTerms], Least),
    ) -> Vec<Least> {
        let numbers = &self.numbers[level.first_numbers..][..level.certificate.numbers.len()];
        let sums = lots.sums[level.first_numbers..].iter();
        let shared = |at: &AtNumbers| at.shared(project, &self.owned, reached).and(at.of_cuts(held));
        let shared: Vec<Least> = numbers.iter().zip(sums).map(|(at, sum)| sum.and(shared(at))).collect();
        let (mut weighed, mut orders) = (Weighed::default(), orders::LastOrders::default());
        let mut leaves = Vec::new();
        let walked = tree::walk(project, level.certificate, &mut |leaf, number| {
            let at = &numbers[number];
            let of_groups = weighed.change(self, level, lots, (number, at), leaf);
            let of_counts = at.of_counts(held, &leaf.pieces);
            let orders = orders.within(project, limits, (number, at, &self.columns, held), &leaf.packs);
            let bound = |goods: Goods| {
                let sum = shared[number].and(of_groups).and(of_counts).and(orders.of_leaf(project, leaf, goods));
                let bound = at.over_own_weight(sum);
                if level.aim == Aim::Money { bound.in_whole(unit) } else { bound }
            };
            let quick = bound(Goods::Priced);
            leaves.push(if quick < enough { quick.max(bound(Goods::Reached)) } else { quick });
        });
        // The tree was checked before (`sound`), so this does not fail.
        if walked.is_ok() { leaves } else { vec![Least::NoBound] }
    }

    /// What a litre of a fluid that is not owned costs.
    fn price(&self, fluid: FluidId) -> Money {
        self.prices[usize::from(fluid.0)]
    }

    fn gathered<'b>(&self, lots: &'b Lots, level: &OfLevel, group: usize) -> &'b Gathered {
        &lots.groups[level.first_group + group]
    }
}

/// The certificate that bounds a level. That of money bounds fluid too, if fluid has none of its own.
pub(super) fn of_level<'a>(levels: &'a [Level], level: &'a Level) -> &'a Certificate {
    let money = levels.iter().find(|money| money.aim == Aim::Money && level.aim == Aim::Fluid);
    money.filter(|_| level.certificate.is_empty()).map_or(&level.certificate, |money| &money.certificate)
}

/// A lower bound on a cost.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Least {
    /// Unknown: beyond 128 bits, or the cost has no least value.
    NoBound,
    /// This much.
    Of(i128),
    /// Nothing satisfies the limits.
    NoPlan,
}

impl Least {
    fn of(least: Option<i128>) -> Self {
        least.map_or(Least::NoBound, Least::Of)
    }

    /// Rounded up to a multiple of a unit.
    fn in_whole(self, unit: u64) -> Self {
        let Least::Of(least) = self else { return self };
        let unit = i128::from(unit);
        let units = least.div_euclid(unit) + i128::from(least.rem_euclid(unit) > 0);
        Least::of(units.checked_mul(unit))
    }

    fn and(self, other: Self) -> Self {
        match (self, other) {
            (Least::NoPlan, _) | (_, Least::NoPlan) => Least::NoPlan,
            (Least::Of(one), Least::Of(other)) => Least::of(one.checked_add(other)),
            _ => Least::NoBound,
        }
    }

    /// Subtracts a part of the cost.
    fn less(self, part: Self) -> Self {
        match (self, part) {
            (Least::NoPlan, _) => Least::NoPlan,
            (Least::Of(one), Least::Of(part)) => Least::of(one.checked_sub(part)),
            _ => Least::NoBound,
        }
    }
}

fn ceiling(amount: i128, divisor: i128) -> i128 {
    amount.div_euclid(divisor) + i128::from(amount.rem_euclid(divisor) > 0)
}
