//! What would change the place of one lot: for one thing at a time, the value from which on the plan houses the lot differently.
//!
//! # Problem
//!
//! A lever is one number of the project: the budget, the price of a pack, the free pieces of a vessel, or the clearance, the years
//! to keep or a measure of the lot. It takes values on a grid, v(0) = as it is, v(1), …, v(n), in one direction. To find is an i
//! such that the plan at v(i − 1) houses the lot as the plan does, and the plan at v(i) does not.
//!
//! # Method
//!
//! The plan at v(n) comes first: where it houses the lot as before, v(n) is said to be without effect. Otherwise bisection
//! between a value where the lot stays and one where it does not, each the decision of a whole project. Two things save decisions:
//!
//! * A plan that takes M of a budget B ≥ M is best at every budget from M to B. So the end of the interval moves to M.
//! * The money of a plan is a line in the price of a pack, with the packs bought as its slope. The next price to try is where the
//!   plan of the lower price takes the whole budget, or where the lines of the plans at both ends cross.
//!
//! With strict priorities the place of a lot is not monotone in the budget: more money may buy a place for a more urgent lot,
//! and none is left for this one. Where the staircase of budgets is short ([`super::budget`]) and no litre is weighed, every step
//! of it is tried in order. Between two steps the same plans are best: they have the same lots waiting and take the least money.
//!
//! Measures, clearance and years act through the options of the lot alone, so values with equal options share one decision.
//!
//! # Why the result is what it claims
//!
//! Both plans beside the threshold are decided as `plan` decides them, and the threshold is called proved where both are best.
//! Where a plan that moves the lot is only as good as one that does not, the lot counts as staying, and the value is given as a
//! tie. To find a plan in which the lot stays, the project is decided with the lot in a more urgent priority than all others and
//! with its place as the only one it may use. That needs a priority that no lot has. Where all four are in use, or priorities are
//! weighed, the lot is instead exchanged with other lots that are in its place.
//! The place of a lot need not be monotone in a lever: but for the steps of a budget there may be other values where it changes,
//! nearer ones among them.
//!
//! # Cost
//!
//! At most log₂ n decisions a lever, usually two to five. Levers are tried on all cores.

mod levers;
mod search;

use std::cell::RefCell;
use std::sync::Arc;

use itertools::Itertools;

use super::budget::{is_short, staircase};
use super::instead::{Housing, OtherPlan, housings};
use super::{Inquiry, Watch, WhatIf};
use crate::collection::{Envelope, Size, Specimen};
use crate::decision::Decision;
use crate::stock::VesselId;
use crate::system::threads::{at_once, cores};
use crate::units::{Length, Money, truncated};
use levers::LotNow;
use search::LeverSearch;

/// What is changed, alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lever {
    /// The budget.
    Budget,
    /// The price of a pack, by the position of its offer in the stock.
    Price(usize),
    /// The free pieces of a vessel.
    Pieces(VesselId),
    /// The free space at each wall that the lot asks for.
    Clearance,
    /// The years that the lot is to be kept.
    KeepYears,
    /// A measure of the lot.
    Measure(LotMeasure),
}

/// A measure of a lot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LotMeasure {
    /// Along the body axis.
    Length,
    /// Across.
    Width,
    /// As it stands or lies.
    Height,
}

/// Which way a lever is moved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// To smaller values.
    Less,
    /// To larger values.
    More,
}

/// A value of a lever.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LeverValue {
    /// Of the budget or a price.
    Money(Money),
    /// Free pieces.
    Pieces(i64),
    /// Of a clearance or a measure.
    Length(Length),
    /// To keep.
    Years(f64),
}

/// What moving one lever does to the place of a lot.
#[derive(Clone, Debug)]
pub struct Threshold {
    /// Which lever.
    pub lever: Lever,
    /// Which way.
    pub way: Way,
    /// Its value as it is.
    pub now: LeverValue,
    /// What was found.
    pub found: Crossing,
}

/// What was found of a lever.
#[derive(Clone, Debug)]
pub enum Crossing {
    /// The place changes.
    At {
        /// The value beside it at which the lot is housed as it is in the plan.
        before: LeverValue,
        /// The value at which it is not.
        from: LeverValue,
        /// Where the lot goes at that value; `None` where it has no option then.
        then: Option<Housing>,
        /// The plan at that value.
        plan: Box<OtherPlan>,
        /// Whether the plans at both values are proved best.
        proved: bool,
        /// How far beyond it that is known.
        reach: ChangeExtent,
        /// A value before it at which another place is as good.
        tie: Option<Tie>,
    },
    /// The plan at the last value that was tried houses the lot as it is.
    Nowhere {
        /// That value.
        tried: LeverValue,
        /// Whether this holds of all values up to there.
        all: bool,
        /// A value up to there at which another place is as good.
        tie: Option<Tie>,
    },
    /// The search was stopped.
    Open,
}

/// How far the lot is known to be housed differently.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ChangeExtent {
    /// At the value itself.
    Value,
    /// At all values from it to this one, and not at the next.
    To(LeverValue),
    /// At it and at all values beyond.
    All,
}

/// A value at which a plan that houses the lot differently is as good as one that houses it as it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tie {
    /// The value.
    pub at: LeverValue,
    /// Where the lot goes in that other plan; `None` where it has no option.
    pub then: Option<Housing>,
}

/// The values of a lever in one direction, in whole steps from its value as it is.
#[derive(Clone, Copy)]
struct LeverValues {
    lever: Lever,
    way: Way,
    now: LeverValue,
    /// Number of values.
    last: i64,
}

/// Most steps of a budget that are tried.
const MOST_STEPS: u32 = 200;
/// Steps in a millimetre: lengths are tried to the tenth.
const STEPS_IN_MM: f64 = 10.0;
/// Ten-millionths in a step of money: the smallest amount that a file shows.
const MONEY_STEP: i64 = Money::PER_UNIT / 10_000;

impl Lever {
    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            Lever::Budget => "budget",
            Lever::Price(_) => "pack price",
            Lever::Pieces(_) => "free pieces",
            Lever::Clearance => "clearance",
            Lever::KeepYears => "keep years",
            Lever::Measure(LotMeasure::Length) => "length",
            Lever::Measure(LotMeasure::Width) => "width",
            Lever::Measure(LotMeasure::Height) => "height",
        }
    }
}

impl Way {
    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            Way::Less => "less",
            Way::More => "more",
        }
    }
}

impl Crossing {
    /// Its name in files.
    pub fn name(&self) -> &'static str {
        match self {
            Crossing::At { .. } => "changes",
            Crossing::Nowhere { all: true, .. } => "no effect",
            Crossing::Nowhere { all: false, .. } => "no effect found",
            Crossing::Open => "stopped",
        }
    }
}

impl LeverValue {
    /// In steps of the grid: the last step below or at it, and the first at or above it.
    fn steps(self) -> (i64, i64) {
        let of = |value: f64| (truncated((value + 1e-6).floor()), truncated((value - 1e-6).ceil()));
        match self {
            LeverValue::Money(money) => {
                let below = money.parts().div_euclid(MONEY_STEP);
                (below, below + i64::from(money.parts().rem_euclid(MONEY_STEP) != 0))
            }
            LeverValue::Pieces(pieces) => (pieces, pieces),
            LeverValue::Length(length) => of(length.mm() * STEPS_IN_MM),
            LeverValue::Years(years) => of(years),
        }
    }

    /// The value of the same kind that is so many steps.
    fn of_steps(self, steps: i64) -> Self {
        match self {
            LeverValue::Money(_) => LeverValue::Money(Money::from_parts(steps.saturating_mul(MONEY_STEP))),
            LeverValue::Pieces(_) => LeverValue::Pieces(steps),
            LeverValue::Length(_) => LeverValue::Length(Length::at_least_zero(steps as f64 / STEPS_IN_MM)),
            LeverValue::Years(_) => LeverValue::Years(steps as f64),
        }
    }
}

impl LeverValues {
    /// All values beyond `now` up to `end`; none where that is not beyond.
    fn to(lever: Lever, way: Way, now: LeverValue, end: LeverValue) -> Self {
        let last = match way {
            Way::Less => now.steps().1 - end.steps().1,
            Way::More => end.steps().0 - now.steps().0,
        };
        LeverValues { lever, way, now, last: last.max(0) }
    }

    /// Whether the first value is tried before the last: one piece more or less often is enough.
    fn begins_near(&self) -> bool {
        matches!(self.lever, Lever::Pieces(_))
    }

    fn amount(&self, i: i64) -> LeverValue {
        let (below, above) = self.now.steps();
        match (i, self.way) {
            (0, _) => self.now,
            (i, Way::Less) => self.now.of_steps(above - i),
            (i, Way::More) => self.now.of_steps(below + i),
        }
    }

    /// The position in the list of values that is nearest to an amount. Values are on a grid, so the amount may lie between two
    /// positions: `beyond` chooses the one farther from the value as it is, otherwise the nearer one is returned.
    fn position(&self, amount: LeverValue, beyond: bool) -> i64 {
        let (below, above) = self.now.steps();
        let (lower, upper) = amount.steps();
        match (self.way, beyond) {
            (Way::Less, false) => above - upper,
            (Way::Less, true) => above - lower,
            (Way::More, false) => lower - below,
            (Way::More, true) => upper - below,
        }
    }

    /// What is changed in the project of an inquiry at a value.
    fn change(&self, inquiry: &Inquiry, row: usize, i: i64) -> WhatIf {
        let lot = |change: &dyn Fn(&mut Specimen)| {
            let mut specimen = inquiry.project().collection.specimens[row].clone();
            change(&mut specimen);
            WhatIf::Lot { row, lot: Box::new(specimen) }
        };
        match (self.lever, self.amount(i)) {
            (Lever::Budget, LeverValue::Money(budget)) => WhatIf::Budget(Some(budget)),
            (Lever::Price(offer), LeverValue::Money(price)) => WhatIf::Price { offer, price },
            (Lever::Pieces(vessel), LeverValue::Pieces(free)) => WhatIf::FreePieces { vessel, free },
            (Lever::Clearance, LeverValue::Length(own)) => {
                lot(&|lot| Arc::make_mut(&mut lot.particulars).clearance = Some(own))
            }
            (Lever::KeepYears, LeverValue::Years(years)) => lot(&|lot| lot.keep_years = years),
            (Lever::Measure(measure), LeverValue::Length(side)) => lot(&|lot| {
                if let Size::Measured(envelope) = &mut lot.size {
                    *measure.of(envelope) = side;
                }
            }),
            (lever, amount) => unreachable!("{lever:?} of {amount:?}"),
        }
    }
}

impl LotMeasure {
    /// All of them.
    pub const ALL: [LotMeasure; 3] = [LotMeasure::Length, LotMeasure::Width, LotMeasure::Height];

    fn of(self, envelope: &mut Envelope) -> &mut Length {
        match self {
            LotMeasure::Length => &mut envelope.length,
            LotMeasure::Width => &mut envelope.width,
            LotMeasure::Height => &mut envelope.height,
        }
    }
}

/// What would change the place of the lot of a row, for each lever that may; empty where nothing is decided of the lot.
pub fn thresholds(inquiry: &Inquiry, row: usize, plan: &Decision, stop: &(dyn Fn() -> bool + Sync)) -> Vec<Threshold> {
    let now = housings(inquiry, plan);
    let goes = now.get(&row).copied().unwrap_or(Housing::Waits);
    let mut lot = LotNow { inquiry, row, plan, goes, now, budget_steps: None };
    let grids = lot.grids();
    if grids.iter().any(|grid| grid.lever == Lever::Budget) {
        lot.budget_steps = steps_of_budget(inquiry, stop);
    }
    let search = |at: &usize| {
        let grid = grids[*at];
        let found =
            LeverSearch { lot: &lot, grid, decided: RefCell::default(), ties: RefCell::default(), stop }.crossing();
        (*at, Threshold { lever: grid.lever, way: grid.way, now: grid.now, found })
    };
    // Levers of one kind take about as long as one another, so each core gets some of every kind.
    let shares: Vec<Vec<usize>> = (0..cores()).map(|first| (first..grids.len()).step_by(cores()).collect()).collect();
    let found = at_once(&shares, |share| share.iter().map(search).collect::<Vec<_>>());
    found.into_iter().flatten().sorted_by_key(|(at, _)| *at).map(|(_, threshold)| threshold).collect()
}

/// The budgets at which the plan changes, where they are few enough to be tried and the plan between two of them is one.
fn steps_of_budget(inquiry: &Inquiry, stop: &(dyn Fn() -> bool + Sync)) -> Option<Vec<Money>> {
    let limits = &inquiry.question.limits;
    let plans_are_steps = limits.litre_weight == Money::ZERO
        && (limits.priority_weights.is_none() || limits.labour_per_row == Money::ZERO);
    if !plans_are_steps || !is_short(inquiry) {
        return None;
    }
    let mut watch = Watch { report: &mut |_| {}, stop };
    let curve = staircase(&mut inquiry.branch(), MOST_STEPS, &mut watch);
    curve.whole.then(|| curve.points.iter().map(|point| point.budget).collect())
}
