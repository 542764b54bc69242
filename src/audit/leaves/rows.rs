//! The rows of a survey as leaves see them: what each may have, at the prices at which the bounds hold.

use std::collections::HashMap;
use std::collections::hash_map::Entry;

use super::alike::{Alike, Beyond, Use, filled_alike};
use super::level::AtLevel;
use super::{AtPrices, Least, Leaves, Shelf};
use crate::collection::Specimen;
use crate::decision::Aim;
use crate::decision::leaf::Weights;
use crate::options::table::Judged;
use crate::options::{Filling, Treatment};
use crate::project::Project;
use crate::threads::shares_in_threads;
use crate::units::{Millilitres, Money};

/// What the rows of a survey, or of a share of it, come to.
pub(in crate::audit) struct Rows {
    /// At each set of fluid prices.
    pub(super) at: Vec<RowsAt>,
    /// By vessel, whether it is an option of any row.
    pub(super) occurs: Vec<bool>,
    /// Rows that are still to be weighed, those together that are alike.
    alike: HashMap<Use, Alike>,
}

/// What they come to at one set of fluid prices.
pub(super) struct RowsAt {
    /// By numbers, without the rows that are [`alike`](Alike).
    pub(super) sums: Vec<Least>,
    /// The largest amount of which the money of every option is a multiple.
    pub(super) unit: u64,
}

/// One way to place a row.
#[derive(Clone, Copy)]
pub(super) struct RowOption {
    /// The number of vessels stands for none.
    pub(super) vessel: usize,
    pub(super) pieces: u32,
    pub(super) amounts: Amounts,
    /// The least of each amount over this and all dearer options.
    pub(super) least: Amounts,
}

/// What an option adds to what leaves weigh.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Amounts {
    pub(super) weighed: i64,
    /// What counts against the budget, without labour.
    pub(super) paid: i64,
    pub(super) fluid: i64,
}

impl Amounts {
    pub(super) fn max(self, other: Self) -> Self {
        Amounts {
            weighed: self.weighed.max(other.weighed),
            paid: self.paid.max(other.paid),
            fluid: self.fluid.max(other.fluid),
        }
    }

    pub(super) fn less(self, other: Self) -> Self {
        Amounts { weighed: self.weighed - other.weighed, paid: self.paid - other.paid, fluid: self.fluid - other.fluid }
    }

    pub(super) fn min(self, other: Self) -> Self {
        Amounts {
            weighed: self.weighed.min(other.weighed),
            paid: self.paid.min(other.paid),
            fluid: self.fluid.min(other.fluid),
        }
    }
}

impl Rows {
    pub(super) fn none(leaves: &Leaves) -> Self {
        let at = leaves.at.iter().map(|at| RowsAt { sums: vec![Least::Of(0); at.numbers.len()], unit: 0 }).collect();
        Rows { at, occurs: vec![false; leaves.n_vessels], alike: HashMap::new() }
    }

    /// These and others.
    pub(in crate::audit) fn and(mut self, other: Self) -> Self {
        for (at, other) in self.at.iter_mut().zip(other.at) {
            at.sums.iter_mut().zip(other.sums).for_each(|(sum, other)| *sum = sum.and(other));
            at.unit = greatest_common_divisor(at.unit, other.unit);
        }
        self.occurs.iter_mut().zip(other.occurs).for_each(|(occurs, too)| *occurs |= too);
        for (of, others) in other.alike {
            match self.alike.entry(of) {
                Entry::Occupied(mut alike) => {
                    alike.get_mut().first.iter_mut().zip(others.first).for_each(|(first, more)| first.extend(more));
                }
                Entry::Vacant(none) => {
                    none.insert(others);
                }
            }
        }
        self
    }

    /// Adds a row of the survey with what it may have.
    pub(in crate::audit) fn add(&mut self, project: &Project, leaves: &Leaves, index: usize, judged: &Judged) {
        let specimen = &project.collection.specimens[index];
        let of = Use::of(project, specimen, judged);
        let alike = match of.map(|of| self.alike.entry(of)) {
            Some(Entry::Occupied(alike)) => alike.into_mut(),
            Some(Entry::Vacant(none)) if filled_alike(judged) => {
                none.insert(Alike { specimen: index, judged: judged.clone(), first: vec![Vec::new(); leaves.at.len()] })
            }
            _ => return self.weigh(project, leaves, specimen, judged, &[]),
        };
        for (first, at) in alike.first.iter_mut().zip(&leaves.at) {
            first.extend(options(project, &at.shelf, specimen, judged).next().map(|option| option.amounts));
        }
    }

    /// Weighs the rows that are alike, on all cores.
    pub(in crate::audit) fn weighed(mut self, project: &Project, leaves: &Leaves) -> Self {
        let alike: Vec<Alike> = std::mem::take(&mut self.alike).into_values().collect();
        let shares = shares_in_threads(&alike, |_, share| {
            let mut rows = Rows::none(leaves);
            for Alike { specimen, judged, first } in share {
                rows.weigh(project, leaves, &project.collection.specimens[*specimen], judged, first);
            }
            rows
        });
        shares.into_iter().fold(self, Rows::and)
    }

    /// Weighs a row, or rows like it whose first options come to so much at each set of fluid prices.
    fn weigh(
        &mut self,
        project: &Project,
        leaves: &Leaves,
        specimen: &Specimen,
        judged: &Judged,
        first: &[Vec<Amounts>],
    ) {
        for (vessel, _) in judged.fits.iter() {
            self.occurs[vessel.0 as usize] = true;
        }
        for (at, (AtPrices { shelf, numbers }, sums)) in leaves.at.iter().zip(&mut self.at).enumerate() {
            let Some(own) = options(project, shelf, specimen, judged).next() else { return };
            let row = Row::of(options(project, shelf, specimen, judged));
            let beyond = Beyond::of(own.amounts, first.get(at).map_or(&[], Vec::as_slice));
            sums.divide(&row, &beyond);
            for (at, sum) in numbers.iter().zip(&mut sums.sums) {
                *sum = sum.and(at.of_rows(specimen.priority, leaves.labour, &row, &beyond));
            }
        }
    }
}

impl RowsAt {
    /// Narrows the unit to what divides the money of rows too.
    fn divide(&mut self, row: &Row, beyond: &Beyond) {
        let amounts = row.options.iter().map(|option| option.amounts.weighed);
        for amount in amounts.chain(beyond.each.iter().map(|(amounts, _)| amounts.weighed)) {
            let amount = amount.unsigned_abs();
            // Nearly always so, and far sooner asked than the divisor.
            let divides = self.unit == 1 || (self.unit != 0 && amount % self.unit == 0);
            if !divides {
                self.unit = greatest_common_divisor(self.unit, amount);
            }
        }
    }
}

/// What one row may have.
struct Row {
    /// In order of weighed money.
    options: Vec<RowOption>,
    /// The most of each amount in any of them, without its sign.
    most: [u64; 3],
    /// None takes more than one piece.
    single: bool,
}

impl Row {
    fn of(options: impl Iterator<Item = RowOption>) -> Self {
        let mut options: Vec<RowOption> = options.collect();
        options.sort_unstable_by_key(|option| option.amounts.weighed);
        let single = options.iter().all(|option| option.pieces == 1);
        let mut most = [0; 3];
        let mut least: Option<Amounts> = None;
        for option in options.iter_mut().rev() {
            let Amounts { weighed, paid, fluid } = option.amounts;
            for (most, amount) in most.iter_mut().zip([weighed, paid, fluid]) {
                *most = amount.unsigned_abs().max(*most);
            }
            option.least = least.map_or(option.amounts, |least| least.min(option.amounts));
            least = Some(option.least);
        }
        Row { options, most, single }
    }
}

impl AtLevel<'_> {
    /// What rows come to: each the cheapest of its options, or deferring it.
    fn of_rows(&self, priority: u8, labour: Money, row: &Row, beyond: &Beyond) -> Least {
        let deferred = i128::from(self.weights.of(Aim::Deferred(priority)));
        // The same however it is placed.
        let labour = i128::from(self.weights.budget) * i128::from(labour.parts());
        let [least, most] = [beyond.least, beyond.most].map(|amounts| self.weigh(&amounts));
        // What placing the row itself comes to, if that is less than leaves any of the rows deferred.
        let enough = deferred - labour - least;
        let placed = match self.narrow_for(row) {
            Some(prices) => {
                let enough = enough.clamp(i64::MIN.into(), i64::MAX.into()) as i64;
                i128::from(self.cheapest_below(enough, row, prices))
            }
            None => self.costs(row).fold(enough, i128::min),
        };
        let placed = placed + labour;
        if placed + least >= deferred {
            return Least::of(deferred.checked_mul(beyond.n));
        }
        if placed + most <= deferred {
            return Least::of(placed.checked_mul(beyond.n).and_then(|all| all.checked_add(self.weigh_sum(beyond)?)));
        }
        let each = beyond.each.iter();
        let costs = each.map(|(amounts, n)| (placed + self.weigh(amounts)).min(deferred).checked_mul(*n));
        Least::of(costs.sum::<Option<i128>>())
    }

    fn weigh(&self, amounts: &Amounts) -> i128 {
        let Weights { money, fluid, budget, .. } = self.weights;
        let weights = [money, budget, fluid].map(i128::from);
        let amounts = [amounts.weighed, amounts.paid, amounts.fluid].map(i128::from);
        weights.into_iter().zip(amounts).map(|(weight, amount)| weight * amount).sum()
    }

    fn weigh_sum(&self, beyond: &Beyond) -> Option<i128> {
        let Weights { money, fluid, budget, .. } = self.weights;
        let weights = [money, budget, fluid].map(i128::from);
        weights
            .into_iter()
            .zip(beyond.sum)
            .try_fold(0_i128, |sum, (weight, all)| sum.checked_add(weight.checked_mul(all)?))
    }

    /// The prices in 64 bits, if no sum over the options of a row leaves those.
    fn narrow_for(&self, row: &Row) -> Option<&[i64]> {
        let (prices, dearest) = self.narrow.as_ref()?;
        let Weights { money, fluid, budget, .. } = self.weights;
        let weights = [money, budget, fluid].map(i128::from);
        let sums: i128 = weights.into_iter().zip(row.most).map(|(weight, most)| weight * i128::from(most)).sum();
        (row.single && sums + i128::from(*dearest) <= i64::MAX.into()).then_some(prices)
    }

    /// The cheapest option, or an amount if none costs less.
    fn cheapest_below(&self, amount: i64, row: &Row, prices: &[i64]) -> i64 {
        let Weights { money, fluid, budget, .. } = self.weights;
        let weigh = |amounts: &Amounts| money * amounts.weighed + budget * amounts.paid + fluid * amounts.fluid;
        let mut cheapest = amount;
        for option in &row.options {
            // No price is below nothing, so neither this nor any that follows is cheaper.
            if weigh(&option.least) >= cheapest {
                break;
            }
            cheapest = cheapest.min(weigh(&option.amounts) + prices[option.vessel]);
        }
        cheapest
    }

    /// What each option comes to.
    fn costs<'b>(&'b self, row: &'b Row) -> impl Iterator<Item = i128> + 'b {
        let cost = move |RowOption { vessel, pieces, amounts, .. }: &RowOption| {
            let pieces = match *pieces {
                1 => self.with_spare[*vessel],
                pieces => (self.prices[*vessel] * self.spare * i128::from(pieces)).div_euclid(10_000),
            };
            self.weigh(amounts) + pieces
        };
        row.options.iter().map(cost)
    }
}

/// What a row may have at a known price, with owned fluid at these.
fn options<'a>(
    project: &'a Project,
    shelf: &'a Shelf,
    specimen: &'a Specimen,
    judged: &'a Judged,
) -> impl Iterator<Item = RowOption> + 'a {
    let treatment = Treatment::of(project, specimen);
    let fluid = move |charges, one| {
        let filling = Filling::of(project, specimen, &treatment, charges, one);
        (filling.money_at(specimen.fluid, |fluid| shelf.price(fluid)), filling.filled())
    };
    let weight = project.settings.litre_weight;
    let option = move |vessel: usize, pieces: u32, money: Money, fluid: Millilitres| {
        let weighed = money.parts().saturating_add(weight.per_litre(fluid).parts());
        let amounts = Amounts { weighed, paid: money.parts(), fluid: fluid.0 };
        RowOption { vessel, pieces, amounts, least: amounts }
    };
    let no_vessel = project.stock.vessels.len();
    let tank = judged.tank.iter().filter_map(|tank| Some((tank, tank.cost?)));
    let in_tanks = tank.map({
        let fluid = fluid.clone();
        move |(tank, cost)| {
            let (money, fluid) = fluid(tank.charges, tank.fluid);
            option(no_vessel, 1, cost + money, fluid)
        }
    });
    let in_vessels = judged.fits.iter().map(move |(vessel, fit)| {
        let (money, fluid) = fluid(fit.charges, judged.fluid(fit));
        option(vessel.0 as usize, fit.pieces, money, fluid)
    });
    in_vessels.chain(in_tanks)
}

pub(super) fn greatest_common_divisor(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { greatest_common_divisor(b, a % b) }
}
