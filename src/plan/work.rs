//! The hours and days that a plan takes.
//!
//! Problem: how many hours of work a plan is, which of them can begin today, and on how many days they are done.
//! Notation: n_k times that work of kind k is done, m_k minutes each (`[labour]`), p people, h hours of a day that go into
//! this work.
//! Method: counting. Minutes = Σ n_k m_k; days = ⌈minutes ÷ (60 p h)⌉, or ⌈lots ÷ `per_day`⌉ if that is set.
//! Why it holds: the placements state all that is counted: pieces, fillings, baths, tanks. Days in baths, of delivery and of
//! curing are waiting times, not work: they delay the end and are stated beside it.
//! Limits: h leaves time for setting up, cleaning and writing, which m_k does not include; a lot that goes through baths is
//! worked on over weeks and counts on the day it begins.
//! Sources: calendar from rows, minutes and productive hours: D. H. Dicus, "One response to a collection-wide mold
//! outbreak", Journal of the American Institute for Conservation 39(1), 2000, section 3 (five hours of eight went into the
//! objects). Minutes of a move: 10 to 20 a lot, Academy of Natural Sciences of Philadelphia, workshop "Estimates of costs of
//! archiving biological samples", G. Rosenberg (ed.), 2003. The other minutes are common practice, no source.

use super::{Outcome, Placement, Purchase, Tank};
use crate::project::Project;
use crate::settings::Settings;
use crate::units::{Money, number_of, truncated};

/// A kind of work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WorkKind {
    /// One lot into one vessel, closed and labelled.
    Move,
    /// Each further vessel of a lot.
    Vessel,
    /// Each further filling of a vessel.
    Filling,
    /// Each bath of a lot.
    Bath,
    /// Additional work for a tank.
    Tank,
}

impl WorkKind {
    /// All of them.
    pub const ALL: [WorkKind; 5] =
        [WorkKind::Move, WorkKind::Vessel, WorkKind::Filling, WorkKind::Bath, WorkKind::Tank];

    /// In words: singular and plural.
    pub fn words(self) -> [&'static str; 2] {
        match self {
            WorkKind::Move => ["move", "moves"],
            WorkKind::Vessel => ["further vessel", "further vessels"],
            WorkKind::Filling => ["further filling", "further fillings"],
            WorkKind::Bath => ["bath", "baths"],
            WorkKind::Tank => ["tank", "tanks"],
        }
    }

    /// Minutes for doing it once.
    pub fn minutes(self, settings: &Settings) -> f64 {
        match self {
            WorkKind::Move => settings.minutes_per_move.0,
            WorkKind::Vessel => settings.minutes_per_vessel.0,
            WorkKind::Filling => settings.minutes_per_filling.0,
            WorkKind::Bath => settings.minutes_per_bath.0,
            WorkKind::Tank => settings.minutes_per_tank.0,
        }
    }
}

/// When work can begin, soonest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// All vessels are on the shelf.
    Now,
    /// Vessels must be delivered first.
    Delivered,
    /// A tank must be built and have cured.
    Cured,
}

impl Stage {
    /// All of them.
    pub const ALL: [Stage; 3] = [Stage::Now, Stage::Delivered, Stage::Cured];

    /// The stage of a row that is placed.
    pub fn of(placement: &Placement) -> Self {
        match placement.outcome {
            Outcome::Order => Stage::Delivered,
            Outcome::CustomTank => Stage::Cured,
            _ => Stage::Now,
        }
    }

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Stage::Now => "from the shelf now",
            Stage::Delivered => "when the order arrives",
            Stage::Cured => "when tanks have cured",
        }
    }
}

/// How often each kind of work is done.
pub type Times = [i64; WorkKind::ALL.len()];

/// The work of one row that is placed.
pub fn of_row(placement: &Placement) -> Times {
    let pieces = placement.fit.map_or(1, |fit| i64::from(fit.pieces));
    [
        1,
        pieces - 1,
        pieces * (i64::from(placement.charges) - 1).max(0),
        number_of(placement.baths.len()),
        i64::from(placement.vessel.is_none()),
    ]
}

/// The part of the labour cost of moving one row that counts against the budget.
pub fn labour_counted(settings: &Settings, labour_per_row: Money) -> Money {
    if settings.labour_in_budget { labour_per_row } else { Money::ZERO }
}

/// Minutes of all this work.
pub fn minutes(settings: &Settings, times: &Times) -> f64 {
    WorkKind::ALL.iter().zip(times).map(|(kind, times)| kind.minutes(settings) * *times as f64).sum()
}

/// Minutes of work in a day.
pub fn minutes_of_a_day(settings: &Settings) -> f64 {
    f64::from(settings.people) * settings.hours_per_day.0 * 60.0
}

/// The work that can begin at one stage.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Share {
    /// Lots.
    pub rows: usize,
    /// How often each kind of work is done to them.
    pub times: Times,
    /// Most days that any of these lots spends in baths.
    pub longest_baths: f64,
}

/// The work of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Work {
    /// By stage, in the order of [`Stage::ALL`].
    pub shares: [Share; Stage::ALL.len()],
    /// Days until the last delivery; `None` if no supplier ordered from states a delivery time.
    pub lead_days: Option<u32>,
    /// Whether some supplier ordered from states no delivery time.
    pub lead_not_stated: bool,
}

impl Work {
    /// The work of these placements, without rows that wait for the price of their tank.
    pub fn of(project: &Project, placements: &[Placement], tanks: &[Tank], purchases: &[Purchase]) -> Self {
        let mut shares = [Share::default(); Stage::ALL.len()];
        let unpriced = |specimen| {
            let found = tanks.binary_search_by_key(&specimen, |tank| tank.specimen);
            found.is_ok_and(|at| tanks[at].cost.is_none())
        };
        for placement in placements.iter().filter(|placement| placement.fluid.is_some()) {
            if placement.vessel.is_none() && unpriced(placement.specimen) {
                continue;
            }
            let share = &mut shares[Stage::of(placement) as usize];
            share.rows += 1;
            share.longest_baths = share.longest_baths.max(placement.bath_days);
            for (all, one) in share.times.iter_mut().zip(of_row(placement)) {
                *all += one;
            }
        }
        let used = purchases.iter().filter(|line| line.pieces_used > 0);
        let supplier = |line: &Purchase| project.stock.offers[line.offer].supplier;
        let leads = used.map(|line| supplier(line).and_then(|id| project.stock.supplier(id).lead_days));
        let (mut lead_days, mut lead_not_stated) = (None, false);
        for lead in leads {
            lead_days = lead_days.max(lead);
            lead_not_stated |= lead.is_none();
        }
        Work { shares, lead_days, lead_not_stated }
    }

    /// How often each kind of work is done in all stages together.
    pub fn times(&self) -> Times {
        let mut all = Times::default();
        self.shares.iter().for_each(|share| all.iter_mut().zip(share.times).for_each(|(all, times)| *all += times));
        all
    }

    /// Lots of all stages.
    pub fn rows(&self) -> usize {
        self.shares.iter().map(|share| share.rows).sum()
    }

    /// Minutes of all stages, rounded to a whole minute.
    pub fn minutes(&self, settings: &Settings) -> i64 {
        truncated(minutes(settings, &self.times()).round())
    }

    /// Cost at the hourly rate: the price of one piece of work of each kind is rounded to four decimals.
    pub fn cost(&self, settings: &Settings) -> Money {
        let one = |kind: &WorkKind| {
            Money::estimate_or_most(settings.rate_per_hour.approximate() * (kind.minutes(settings) / 60.0))
        };
        WorkKind::ALL.iter().zip(self.times()).map(|(kind, times)| one(kind) * times).sum()
    }
}

impl Share {
    /// Working days, at least one if there is work.
    pub fn days(&self, settings: &Settings) -> i64 {
        if self.rows == 0 {
            return 0;
        }
        let days = match settings.per_day {
            Some(per_day) => self.rows as f64 / f64::from(per_day.max(1)),
            None => minutes(settings, &self.times) / minutes_of_a_day(settings).max(f64::MIN_POSITIVE),
        };
        truncated((days - 1e-9).ceil().max(1.0))
    }
}
