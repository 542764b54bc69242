//! The bounds that a plan's leaves give, worked out from the inputs by the formula of [`crate::decision::leaf`].
//!
//! Option by option of every row, as the rules of the options allow them, and with nothing of the solver's. Rows whose
//! options differ by a constant are weighed together, each at its own ([`alike`]). A row is asked once for all leaves, and what
//! its options come to is worked out once for each set of fluid prices that leaves have ([`shelf`]), mostly a single one, and
//! weighed once by numbers that leaves share; its dearer options are passed over once even free pieces would make none of them
//! the least. What is ordered is worked out leaf by leaf ([`orders`]). Sums that leave 128 bits are no bound.

mod alike;
pub(super) mod coverage;
mod level;
mod orders;
mod rows;
mod shelf;
mod sound;

use itertools::Itertools;
use level::AtLevel;
pub(super) use rows::Rows;
use rows::greatest_common_divisor;
use shelf::Shelf;
pub(super) use sound::unsound;

use super::money::labour_per_row;
use crate::decision::leaf::{self, Numbers};
use crate::decision::{Aim, Level};
use crate::project::Project;
use crate::stock::SupplierId;
use crate::units::Money;

/// What a plan reaches, as derived.
pub(super) struct Reached {
    pub deferred: [i128; 4],
    /// Weighed.
    pub money: i128,
    pub fluid: i128,
}

impl Reached {
    pub fn of(&self, aim: Aim) -> i128 {
        match aim {
            Aim::Deferred(priority) => self.deferred[usize::from(priority.clamp(1, 4)) - 1],
            Aim::Money => self.money,
            Aim::Fluid => self.fluid,
        }
    }
}

/// Below which no plan is on a level that does no worse on the earlier ones; `None` where the leaves give no bound.
pub(super) type Bound = Option<i128>;

/// The leaves of all levels, before the rows of the survey are added up for them.
pub(super) struct Leaves<'a> {
    n_vessels: usize,
    n_levels: usize,
    /// Of one row, where it counts against the budget.
    labour: Money,
    at: Vec<AtPrices<'a>>,
}

/// Numbers that reckon fluid at the same prices.
struct AtPrices<'a> {
    shelf: Shelf,
    /// Of any level.
    numbers: Vec<AtLevel<'a>>,
}

impl<'a> Leaves<'a> {
    /// Nothing about the leaves may be [`unsound`].
    pub(super) fn of(project: &Project, levels: &'a [Level]) -> Self {
        let mut leaves = Leaves {
            n_vessels: project.stock.vessels.len(),
            n_levels: levels.len(),
            labour: if project.settings.labour_in_budget { labour_per_row(project) } else { Money::ZERO },
            at: Vec::new(),
        };
        // Those of money first: what weighs no money is the same at any prices of fluid, and is weighed at theirs.
        for (index, level) in levels.iter().enumerate().sorted_by_key(|(_, level)| level.aim != Aim::Money) {
            let place = (index, level.aim);
            let of_level = of_level(levels, level);
            let mut parts = vec![Vec::new(); of_level.numbers.len()];
            of_level.parts.iter().for_each(|leaf| parts[leaf.numbers].push(leaf));
            for (numbers, parts) in of_level.numbers.iter().zip(parts) {
                let same_at_any = !leaves.at.is_empty() && !weighs_money(level.aim, numbers);
                let at = if same_at_any { 0 } else { leaves.at(project, numbers) };
                leaves.at[at].numbers.push(AtLevel::new(project, numbers, place, parts));
            }
        }
        leaves
    }

    /// Where the numbers at the fluid prices of some of them are.
    fn at(&mut self, project: &Project, numbers: &Numbers) -> usize {
        let shelf = Shelf::of(project, numbers);
        self.at.iter().position(|at| at.shelf == shelf).unwrap_or_else(|| {
            self.at.push(AtPrices { shelf, numbers: Vec::new() });
            self.at.len() - 1
        })
    }

    /// No row yet.
    pub(super) fn no_rows(&self) -> Rows {
        Rows::none(self)
    }

    /// The bounds of all levels, once all rows are added up.
    pub(super) fn bounds(&self, project: &Project, rows: &Rows, reached: &Reached) -> Vec<Bound> {
        let of_orders = unit_of_orders(project, &rows.occurs);
        let mut levels = vec![Least::NoPlan; self.n_levels];
        for (AtPrices { shelf, numbers }, of_rows) in self.at.iter().zip(&rows.at) {
            let reached = Reached { money: reached.money.saturating_add(shelf.credit), ..*reached };
            let unit = i128::from(greatest_common_divisor(of_rows.unit, of_orders).max(1));
            let true_money = |bound: Least| match bound {
                Least::Of(least) => {
                    let units = least.div_euclid(unit) + i128::from(least.rem_euclid(unit) > 0);
                    Least::of(units.checked_mul(unit).and_then(|least| least.checked_sub(shelf.credit)))
                }
                bound => bound,
            };
            for (at, sum) in numbers.iter().zip(&of_rows.sums) {
                let bound = at.bound(project, shelf, &rows.occurs, *sum, &reached);
                let bound = if at.aim == Aim::Money { true_money(bound) } else { bound };
                levels[at.level] = levels[at.level].min(bound);
            }
        }
        let bound = |least: Least| match least {
            Least::NoBound => None,
            Least::NoPlan => Some(i128::MAX),
            Least::Of(least) => Some(least),
        };
        levels.into_iter().map(bound).collect()
    }
}

fn weighs_money(aim: Aim, numbers: &Numbers) -> bool {
    let weights = numbers.weights.up_to(aim);
    weights.money > 0 || weights.budget > 0
}

/// The leaves that bound a level: those of money bound fluid too, where it has none of its own.
pub(super) fn of_level<'a>(levels: &'a [Level], level: &'a Level) -> &'a leaf::Leaves {
    let money = levels.iter().find(|money| money.aim == Aim::Money && level.aim == Aim::Fluid);
    money.filter(|_| level.leaves.is_empty()).map_or(&level.leaves, |money| &money.leaves)
}

/// The least that something comes to.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Least {
    /// More than 128 bits, or less and less without end.
    NoBound,
    Of(i128),
    /// There is no way at all.
    NoPlan,
}

impl Least {
    fn of(least: Option<i128>) -> Self {
        least.map_or(Least::NoBound, Least::Of)
    }

    fn and(self, other: Self) -> Self {
        match (self, other) {
            (Least::NoPlan, _) | (_, Least::NoPlan) => Least::NoPlan,
            (Least::Of(one), Least::Of(other)) => Least::of(one.checked_add(other)),
            _ => Least::NoBound,
        }
    }
}

/// The largest amount of which the packs that may be ordered, and what their suppliers charge, are multiples.
fn unit_of_orders(project: &Project, occurs: &[bool]) -> u64 {
    let offers = project.stock.offers.iter().filter(|offer| occurs[offer.vessel.0 as usize]);
    let offers = offers.filter(|offer| orders::most_packs(offer).is_none_or(|most| most >= i64::from(offer.min_packs)));
    let charge = |supplier: SupplierId| project.stock.supplier(supplier).delivery_charge;
    let amounts = offers.flat_map(|offer| [Some(offer.pack_price), offer.supplier.map(charge)]).flatten();
    amounts.fold(0, |unit, money| greatest_common_divisor(unit, money.parts().unsigned_abs()))
}
