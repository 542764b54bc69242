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
//! The plan at v(n) comes first: where it houses the lot as before, nothing up to v(n) is said to help. Otherwise bisection
//! between a value where the lot stays and one where it does not, each the decision of a whole project. Two things save decisions:
//!
//! * A plan that takes M of a budget B ≥ M is best at every budget from M to B. So the end of the interval moves to M.
//! * The money of a plan is a line in the price of a pack, with the packs bought as its slope. The next price to try is where the
//!   plan of the lower price takes the whole budget, or where the lines of the plans at both ends cross.
//!
//! Measures, clearance and years act through the options of the lot alone, so values with equal options share one decision.
//!
//! # Why the result is what it claims
//!
//! Both plans beside the threshold are decided as `plan` decides them, and the threshold is called proved where both are best.
//! Where a plan that moves the lot is only as good as one that does not, the lot counts as staying.
//! The place of a lot need not be monotone in a lever: there may be other values where it changes, nearer ones among them.
//!
//! # Cost
//!
//! At most log₂ n decisions a lever, usually two to five. Levers are tried on all cores.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::sync::Arc;

use itertools::Itertools;

use super::instead::{Housing, OtherPlan, elsewhere, housings, other_plan, start};
use super::{Inquiry, Watch, WhatIf};
use crate::collection::{Envelope, Size, Specimen, VesselChoice};
use crate::decision::{Decision, Status};
use crate::options::table::Row;
use crate::rules::clearance::own_or_wall;
use crate::stock::VesselId;
use crate::system::threads::{at_once, cores};
use crate::units::{Length, Millilitres, Money, Packs, index, truncated};

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
    Measure(Measure),
}

/// A measure of a lot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
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
pub enum Amount {
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
    pub now: Amount,
    /// What was found.
    pub found: Crossing,
}

/// What was found of a lever.
#[derive(Clone, Debug)]
pub enum Crossing {
    /// The place changes.
    At {
        /// The value beside it at which the lot is housed as it is in the plan.
        before: Amount,
        /// The value at which it is not.
        from: Amount,
        /// Where the lot goes at that value; `None` where it has no option then.
        then: Option<Housing>,
        /// The plan at that value.
        plan: Box<OtherPlan>,
        /// Whether the plans at both values are proved best.
        proved: bool,
    },
    /// The plan at the last value that was tried houses the lot as it is.
    Nowhere {
        /// That value.
        tried: Amount,
    },
    /// The search was stopped.
    Open,
}

/// The values of a lever in one direction, in whole steps from its value as it is.
#[derive(Clone, Copy)]
struct Grid {
    lever: Lever,
    way: Way,
    now: Amount,
    /// Number of values.
    last: i64,
}

/// Steps in a millimetre: lengths are tried to the tenth.
const STEPS_IN_MM: f64 = 10.0;
/// Ten-millionths in a step of money: the smallest amount that a file shows.
const MONEY_STEP: i64 = Money::PER_UNIT / 10_000;
/// Most years to keep that are tried.
const MOST_YEARS: f64 = 100.0;
/// Most free pieces that are added.
const MOST_PIECES: i64 = 20;
/// Other vessels whose free pieces are tried, the cheapest by itself first.
const OTHER_VESSELS: usize = 2;
/// How many of these are tried at other prices.
const OTHER_PRICES: usize = 1;
/// A price is raised to at most so many times itself.
const TIMES_PRICE: i64 = 20;

impl Lever {
    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            Lever::Budget => "budget",
            Lever::Price(_) => "pack price",
            Lever::Pieces(_) => "free pieces",
            Lever::Clearance => "clearance",
            Lever::KeepYears => "keep years",
            Lever::Measure(Measure::Length) => "length",
            Lever::Measure(Measure::Width) => "width",
            Lever::Measure(Measure::Height) => "height",
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
            Crossing::Nowhere { .. } => "no effect",
            Crossing::Open => "stopped",
        }
    }
}

impl Amount {
    /// In steps of the grid: the last step below or at it, and the first at or above it.
    fn steps(self) -> (i64, i64) {
        let of = |value: f64| (truncated((value + 1e-6).floor()), truncated((value - 1e-6).ceil()));
        match self {
            Amount::Money(money) => {
                let below = money.parts().div_euclid(MONEY_STEP);
                (below, below + i64::from(money.parts().rem_euclid(MONEY_STEP) != 0))
            }
            Amount::Pieces(pieces) => (pieces, pieces),
            Amount::Length(length) => of(length.mm() * STEPS_IN_MM),
            Amount::Years(years) => of(years),
        }
    }

    /// The value of the same kind that is so many steps.
    fn of_steps(self, steps: i64) -> Self {
        match self {
            Amount::Money(_) => Amount::Money(Money::from_parts(steps.saturating_mul(MONEY_STEP))),
            Amount::Pieces(_) => Amount::Pieces(steps),
            Amount::Length(_) => Amount::Length(Length::at_least_zero(steps as f64 / STEPS_IN_MM)),
            Amount::Years(_) => Amount::Years(steps as f64),
        }
    }
}

impl Grid {
    /// All values beyond `now` up to `end`; none where that is not beyond.
    fn to(lever: Lever, way: Way, now: Amount, end: Amount) -> Self {
        let last = match way {
            Way::Less => now.steps().1 - end.steps().1,
            Way::More => end.steps().0 - now.steps().0,
        };
        Grid { lever, way, now, last: last.max(0) }
    }

    /// Whether the first value is tried before the last: one piece more or less often is enough.
    fn begins_near(&self) -> bool {
        matches!(self.lever, Lever::Pieces(_))
    }

    fn amount(&self, i: i64) -> Amount {
        let (below, above) = self.now.steps();
        match (i, self.way) {
            (0, _) => self.now,
            (i, Way::Less) => self.now.of_steps(above - i),
            (i, Way::More) => self.now.of_steps(below + i),
        }
    }

    /// The position of the value nearest to an amount: not beyond it in this direction, or not before it.
    fn position(&self, amount: Amount, beyond: bool) -> i64 {
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
            (Lever::Budget, Amount::Money(budget)) => WhatIf::Budget(Some(budget)),
            (Lever::Price(offer), Amount::Money(price)) => WhatIf::Price { offer, price },
            (Lever::Pieces(vessel), Amount::Pieces(free)) => WhatIf::FreePieces { vessel, free },
            (Lever::Clearance, Amount::Length(own)) => {
                lot(&|lot| Arc::make_mut(&mut lot.particulars).clearance = Some(own))
            }
            (Lever::KeepYears, Amount::Years(years)) => lot(&|lot| lot.keep_years = years),
            (Lever::Measure(measure), Amount::Length(side)) => lot(&|lot| {
                if let Size::Measured(envelope) = &mut lot.size {
                    *measure.of(envelope) = side;
                }
            }),
            (lever, amount) => unreachable!("{lever:?} of {amount:?}"),
        }
    }
}

impl Measure {
    /// All of them.
    pub const ALL: [Measure; 3] = [Measure::Length, Measure::Width, Measure::Height];

    fn of(self, envelope: &mut Envelope) -> &mut Length {
        match self {
            Measure::Length => &mut envelope.length,
            Measure::Width => &mut envelope.width,
            Measure::Height => &mut envelope.height,
        }
    }
}

/// What would change the place of the lot of a row, for each lever that may; empty where nothing is decided of the lot.
pub fn thresholds(inquiry: &Inquiry, row: usize, plan: &Decision, stop: &(dyn Fn() -> bool + Sync)) -> Vec<Threshold> {
    let now = housings(inquiry, plan);
    let goes = now.get(&row).copied().unwrap_or(Housing::Waits);
    let lot = LotNow { inquiry, row, plan, goes, now };
    let grids = lot.grids();
    let search = |at: &usize| {
        let grid = grids[*at];
        let found = Search { lot: &lot, grid, decided: RefCell::default(), stop }.crossing();
        (*at, Threshold { lever: grid.lever, way: grid.way, now: grid.now, found })
    };
    // Levers of one kind take about as long as one another, so each core gets some of every kind.
    let shares: Vec<Vec<usize>> = (0..cores()).map(|first| (first..grids.len()).step_by(cores()).collect()).collect();
    let found = at_once(&shares, |share| share.iter().map(search).collect::<Vec<_>>());
    found.into_iter().flatten().sorted_by_key(|(at, _)| *at).map(|(_, threshold)| threshold).collect()
}

/// A lot in the plan as it is.
struct LotNow<'a> {
    inquiry: &'a Inquiry<'a>,
    row: usize,
    plan: &'a Decision,
    goes: Housing,
    /// Where every lot goes.
    now: BTreeMap<usize, Housing>,
}

impl LotNow<'_> {
    /// The levers that may change its place, each in one direction.
    fn grids(&self) -> Vec<Grid> {
        let project = self.inquiry.project();
        let specimen = &project.collection.specimens[self.row];
        let Row::Judged(judged) = &self.inquiry.rows[self.row] else { return Vec::new() };
        let mut grids = Vec::new();
        let decided = !judged.fits.is_empty() || judged.tank.as_ref().is_ok_and(|tank| tank.cost.is_some());
        if decided {
            grids.extend(self.money());
        }
        let near = judged.near_miss.as_ref().map(|near| near.0);
        let vessel = self.vessel().or(near);
        let wall = vessel.map_or(project.settings.wall_max, |id| {
            let inner = project.stock.vessel(id).section.smaller();
            own_or_wall(&project.settings, specimen.particulars.clearance, inner)
        });
        let length = |mm: f64| Amount::Length(Length::at_least_zero(mm));
        grids.push(Grid::to(Lever::Clearance, Way::Less, Amount::Length(wall), length(0.0)));
        let years = Amount::Years(specimen.keep_years);
        grids.push(Grid::to(Lever::KeepYears, Way::Less, years, Amount::Years(1.0)));
        grids.push(Grid::to(Lever::KeepYears, Way::More, years, Amount::Years(MOST_YEARS)));
        if let Size::Measured(mut envelope) = specimen.size {
            for measure in Measure::ALL {
                let side = *measure.of(&mut envelope);
                let lever = Lever::Measure(measure);
                grids.push(Grid::to(lever, Way::Less, Amount::Length(side), length(side.mm() / 2.0)));
                grids.push(Grid::to(lever, Way::More, Amount::Length(side), length(side.mm() * 2.0)));
            }
        }
        grids.retain(|grid| grid.last > 0);
        grids
    }

    /// The listed vessel that it goes into.
    fn vessel(&self) -> Option<VesselId> {
        if let Housing::In(VesselChoice::Listed(id)) = self.goes { Some(id) } else { None }
    }

    /// Budget, prices and pieces.
    fn money(&self) -> Vec<Grid> {
        let project = self.inquiry.project();
        let mut grids = Vec::new();
        if let Some(budget) = project.settings.budget {
            let now = Amount::Money(budget);
            grids.push(Grid::to(Lever::Budget, Way::More, now, Amount::Money(self.enough(budget))));
            grids.push(Grid::to(Lever::Budget, Way::Less, now, Amount::Money(Money::ZERO)));
        }
        if let Some(vessel) = self.vessel() {
            grids.extend(self.bought_offers(vessel).map(|offer| {
                let price = project.stock.offers[offer].pack_price;
                let most = (price + Money::whole(1)) * TIMES_PRICE;
                Grid::to(Lever::Price(offer), Way::More, Amount::Money(price), Amount::Money(most))
            }));
            let free = project.stock.vessel(vessel).free_pieces();
            grids.push(Grid::to(Lever::Pieces(vessel), Way::Less, Amount::Pieces(free), Amount::Pieces(0)));
        }
        let others = elsewhere(self.inquiry, self.row, self.plan).into_iter().filter_map(|housing| match housing {
            Housing::In(VesselChoice::Listed(id)) => Some(id),
            Housing::In(VesselChoice::Tank) | Housing::Waits => None,
        });
        for (nth, vessel) in others.take(OTHER_VESSELS).enumerate() {
            let per_piece = |offer: &usize| {
                let offer = &project.stock.offers[*offer];
                offer.pack_price.parts() / i64::from(offer.pack_size.max(1))
            };
            let of_vessel = project.stock.offers_of(vessel).map(|(offer, _)| offer);
            if let Some(offer) = of_vessel.min_by_key(per_piece)
                && nth < OTHER_PRICES
            {
                let price = Amount::Money(project.stock.offers[offer].pack_price);
                grids.push(Grid::to(Lever::Price(offer), Way::Less, price, Amount::Money(Money::ZERO)));
            }
            let free = project.stock.vessel(vessel).free_pieces();
            let most = Amount::Pieces(free + MOST_PIECES);
            grids.push(Grid::to(Lever::Pieces(vessel), Way::More, Amount::Pieces(free), most));
        }
        grids
    }

    /// The money of the plan without a budget: more changes nothing.
    fn enough(&self, budget: Money) -> Money {
        let mut without = self.inquiry.branch();
        without.change(WhatIf::Budget(None));
        let decision = without.decide(&mut Watch { report: &mut |_| {}, stop: &|| false });
        budget.max(without.counted_money(&decision) + Money::from_parts(MONEY_STEP))
    }

    /// Offers of a vessel that the plan buys packs of.
    fn bought_offers(&self, vessel: VesselId) -> impl Iterator<Item = usize> {
        let supplies = self.inquiry.question.supplies.iter().zip(&self.plan.packs);
        let bought = supplies.filter(move |(supply, _)| supply.vessel == vessel).flat_map(|(supply, packs)| {
            let offers = supply.offers.iter().zip(packs);
            offers.filter(|(_, packs)| **packs > Packs::ZERO).map(|(terms, _)| index(terms.offer))
        });
        bought.collect::<Vec<_>>().into_iter()
    }
}

/// The decision at one value of a lever.
#[derive(Clone)]
struct Probe {
    is_same: bool,
    /// What counts against the budget.
    counted: Money,
    /// Packs bought of the offer whose price is the lever.
    packs: i64,
    /// Where every lot goes.
    goes: BTreeMap<usize, Housing>,
    plan: Box<OtherPlan>,
}

/// How good a plan is: lots that wait, weighed money, fluid.
fn rank(probe: &Probe) -> ([i64; 4], Money, Millilitres) {
    let values = &probe.plan.values;
    (values.deferred, values.weighed, values.fluid)
}

/// The search along one lever.
struct Search<'a> {
    lot: &'a LotNow<'a>,
    grid: Grid,
    /// Decisions by the options of the lot, where only these change.
    decided: RefCell<Vec<(Row, Probe)>>,
    stop: &'a (dyn Fn() -> bool + Sync),
}

impl Search<'_> {
    fn crossing(&self) -> Crossing {
        let LotNow { inquiry, plan, ref now, .. } = *self.lot;
        let mut same = (0, self.seen(inquiry, plan, now.clone()));
        // Ends at which the lot moves, the nearest last.
        let mut others = Vec::new();
        for i in [self.grid.begins_near().then_some(1), Some(self.grid.last)].into_iter().flatten() {
            let probe = self.probe(i, &same.1);
            if !probe.is_same {
                others.push((i, probe));
                break;
            }
            same = (i, probe);
        }
        let mut tries = 0;
        while let Some(mut other) = others.pop() {
            self.narrow(&mut same, &mut other);
            if other.0 - same.0 <= 1 {
                if let Some(stays) = self.stays(other.0, &other.1) {
                    same = (other.0, stays);
                    continue;
                }
                let proved = [&same, &other].iter().all(|(_, probe)| probe.plan.status == Status::ProvedBest);
                let (before, from) = (self.grid.amount(same.0), self.grid.amount(other.0));
                let then = other.1.goes.get(&self.lot.row).copied();
                return Crossing::At { before, from, then, plan: other.1.plan, proved };
            }
            if (self.stop)() {
                return Crossing::Open;
            }
            let next = self.next(tries, (same.0, &same.1), (other.0, &other.1));
            tries += 1;
            others.push(other);
            let probe = self.probe(next, &same.1);
            if probe.is_same {
                same = (next, probe);
            } else {
                others.push((next, probe));
            }
        }
        if (self.stop)() { Crossing::Open } else { Crossing::Nowhere { tried: self.grid.amount(same.0) } }
    }

    /// The best plan at a value that houses the lot as it is, if that is as good as the plan there.
    fn stays(&self, i: i64, best: &Probe) -> Option<Probe> {
        let LotNow { inquiry, row, goes, ref now, .. } = *self.lot;
        let mut asked = inquiry.branch();
        asked.change(self.grid.change(inquiry, row, i));
        asked.change(match goes {
            Housing::In(choice) => WhatIf::MustUse { row, choices: vec![choice] },
            Housing::Waits => WhatIf::Waits { row },
        });
        let mut watch = Watch { report: &mut |_| {}, stop: self.stop };
        let decision = match start(&asked, row, goes, now) {
            Some(start) => asked.decide_from(&start, &mut watch),
            None => asked.decide(&mut watch),
        };
        let mut stays = self.seen(&asked, &decision, housings(&asked, &decision));
        if goes == Housing::Waits && best.goes.contains_key(&row) {
            let priority = inquiry.project().collection.specimens[row].priority;
            stays.plan.values.deferred[usize::from(priority) - 1] += 1;
        }
        (stays.is_same && rank(&stays) == rank(best)).then_some(stays)
    }

    /// Moves the ends of the interval to where their plans stay best: the money that they take of a budget.
    fn narrow(&self, same: &mut (i64, Probe), other: &mut (i64, Probe)) {
        if self.grid.lever != Lever::Budget {
            return;
        }
        match self.grid.way {
            Way::More if other.1.plan.status == Status::ProvedBest => {
                let taken = self.grid.position(Amount::Money(other.1.counted), true);
                other.0 = other.0.min(taken).max(same.0 + 1);
            }
            Way::Less if same.1.plan.status == Status::ProvedBest => {
                let taken = self.grid.position(Amount::Money(same.1.counted), false);
                same.0 = same.0.max(taken).min(other.0 - 1);
            }
            Way::More | Way::Less => {}
        }
    }

    /// The value to try next, strictly between the ends. Every third one halves the interval, so that none is long.
    fn next(&self, tries: u32, (same, at_same): (i64, &Probe), (other, at_other): (i64, &Probe)) -> i64 {
        let half = same + (other - same) / 2;
        let guess = match (self.grid.lever, self.grid.way) {
            _ if tries % 3 == 2 => half,
            (Lever::Budget, Way::More) => other - 1,
            (Lever::Budget, Way::Less) => same + 1,
            (Lever::Price(_), _) => {
                let ends = ((same, at_same), (other, at_other));
                let breaks = self.break_of_budget(ends.0, ends.1).filter(|at| (same + 1..other).contains(at));
                breaks.or_else(|| self.crossing_of_lines(ends.0, ends.1)).unwrap_or(half)
            }
            _ => half,
        };
        guess.clamp(same + 1, other - 1)
    }

    /// The highest price at which the plan of the end with the lower price keeps the budget.
    fn break_of_budget(&self, same: (i64, &Probe), other: (i64, &Probe)) -> Option<i64> {
        let (low, plan) = if self.grid.way == Way::More { same } else { other };
        let (budget, Amount::Money(price)) = (self.lot.inquiry.project().settings.budget?, self.grid.amount(low))
        else {
            return None;
        };
        let more = (budget - plan.counted).parts().checked_div(plan.packs)?;
        let kept = self.grid.position(Amount::Money(price + Money::from_parts(more)), self.grid.way == Way::Less);
        // Where it is kept no further than at that end, the value beside the end is next.
        Some(match self.grid.way {
            Way::More if kept <= same.0 => same.0 + 1,
            Way::Less if kept >= other.0 => other.0 - 1,
            Way::More | Way::Less => kept,
        })
    }

    /// The last value at which the plan of the near end costs no more than that of the other, both as they are.
    fn crossing_of_lines(&self, (same, at_same): (i64, &Probe), (other, at_other): (i64, &Probe)) -> Option<i64> {
        let price = |i| if let Amount::Money(price) = self.grid.amount(i) { i128::from(price.parts()) } else { 0 };
        // The money of a plan at price p is fixed + packs · p.
        let fixed =
            |i, probe: &Probe| i128::from(probe.plan.values.weighed.parts()) - i128::from(probe.packs) * price(i);
        let slope = i128::from(at_same.packs) - i128::from(at_other.packs);
        if slope == 0 {
            return None;
        }
        let at = (fixed(other, at_other) - fixed(same, at_same)).div_euclid(slope);
        let at = Money::from_parts(i64::try_from(at).ok()?);
        let position = self.grid.position(Amount::Money(at), false);
        // The near end is tried on both sides of the crossing.
        Some(if position <= same { same + 1 } else { position.min(other - 1) })
    }

    /// The decision at a value. Where a plan that houses the lot as it is is as good, it is that plan: `near` houses it so.
    fn probe(&self, i: i64, near: &Probe) -> Probe {
        let LotNow { inquiry, row, goes, ref now, .. } = *self.lot;
        let mut asked = inquiry.branch();
        asked.change(self.grid.change(inquiry, row, i));
        let by_options = matches!(self.grid.lever, Lever::Clearance | Lever::KeepYears | Lever::Measure(_));
        if by_options {
            if asked.rows[row] == inquiry.rows[row] {
                return near.clone();
            }
            let known = self.decided.borrow();
            if let Some((_, probe)) = known.iter().find(|(row_then, _)| *row_then == asked.rows[row]) {
                return probe.clone();
            }
        }
        let mut watch = Watch { report: &mut |_| {}, stop: self.stop };
        let decision = match start(&asked, row, goes, now) {
            Some(start) => asked.decide_from(&start, &mut watch),
            None => asked.decide(&mut watch),
        };
        let mut probe = self.seen(&asked, &decision, housings(&asked, &decision));
        let as_good = [now, &near.goes].into_iter().filter(|_| !probe.is_same).find_map(|goes_near| {
            let stays = start(&asked, row, goes, goes_near)?;
            let stays = Decision { levels: decision.levels.clone(), status: decision.status, ..stays };
            let stays = self.seen(&asked, &stays, housings(&asked, &stays));
            (stays.is_same && rank(&stays) == rank(&probe)).then_some(stays)
        });
        if let Some(as_good) = as_good {
            probe = as_good;
        }
        if by_options {
            self.decided.borrow_mut().push((asked.rows[row].clone(), probe.clone()));
        }
        probe
    }

    fn seen(&self, asked: &Inquiry, decision: &Decision, goes: BTreeMap<usize, Housing>) -> Probe {
        let plan = other_plan(asked, self.lot.row, decision, &self.lot.now);
        Probe {
            is_same: plan.got == self.lot.goes,
            counted: asked.counted_money(decision),
            packs: self.packs(asked, decision),
            goes,
            plan: Box::new(plan),
        }
    }

    fn packs(&self, asked: &Inquiry, decision: &Decision) -> i64 {
        let Lever::Price(offer) = self.grid.lever else { return 0 };
        let supplies = asked.question.supplies.iter().zip(&decision.packs);
        let offers = supplies.flat_map(|(supply, packs)| supply.offers.iter().zip(packs));
        offers.filter(|(terms, _)| index(terms.offer) == offer).map(|(_, packs)| packs.0).sum()
    }
}
