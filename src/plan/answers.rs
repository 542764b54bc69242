//! Answers to the planner's questions: plans of the project in which one thing is changed.
//!
//! An answer holds what differs from the plan, so that its plan can be made again: where other lots go, and the packs.

use super::{Outcome, Placement, Plan};
use std::collections::BTreeMap;

use crate::collection::VesselChoice;
use crate::decision::{Aim, Level, Status};
use crate::stock::VesselId;
use crate::units::{Millilitres, Money};

/// How many questions are asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
#[cfg_attr(feature = "program", derive(clap::ValueEnum))]
pub enum Questions {
    /// All, whatever time that takes.
    All,
    /// Those that take little time beside the plan.
    Some,
    /// None.
    #[default]
    None,
}

impl Questions {
    /// All of them, the most first.
    pub const ALL: [Questions; 3] = [Questions::All, Questions::Some, Questions::None];

    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            Questions::All => "all",
            Questions::Some => "some",
            Questions::None => "none",
        }
    }
}

/// Rows of a survey up to which questions are asked without being asked for, and answers are audited. Beyond, answers claim no proof.
pub const MOST_ROWS: usize = 2_000;

/// Whether answers about a survey of so many rows are audited.
pub fn are_audited(rows: usize) -> bool {
    rows <= MOST_ROWS
}

/// What is changed in the project.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PlanChange {
    /// Only lots up to this priority are placed, without a budget and without a weight of litres: the least money for them.
    UpToPriority(u8),
    /// The budget.
    Budget(Money),
    /// The most kinds of vessel bought; `None` for any number.
    MostKinds(Option<u32>),
    /// The most suppliers ordered from; `None` for any number.
    MostSuppliers(Option<u32>),
    /// The budget, to find the least at which more, or more urgent, lots are placed than in the plan.
    NextBudget(Money),
    /// What a litre weighs beside its price.
    LitreWeight(Money),
    /// The lot of this row is held where it is.
    Waits(usize),
    /// No piece of this vessel is to be had.
    Without(VesselId),
    /// One more piece of this vessel costs nothing.
    FreePiece(VesselId),
}

/// The best plan of the project as changed.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanAnswer {
    /// What is changed.
    pub change: PlanChange,
    /// Money that the budget counts, rounded up to four decimals.
    pub money: Money,
    /// Lots that wait, by priority.
    pub deferred: [i64; 4],
    /// How good the plan is.
    pub status: Status,
    /// Its levels, with their certificates.
    pub levels: Vec<Level>,
    /// Rows that go elsewhere than in the plan, rising.
    pub others: Vec<OtherPlace>,
    /// Offers of which another number of packs is bought than in the plan, and the number, in the order of the stock list.
    pub packs: Vec<(usize, i64)>,
}

/// Where a lot is to go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Housing {
    /// Into pieces of a vessel, or a tank.
    In(VesselChoice),
    /// Nowhere yet.
    Waits,
}

/// A row and where it goes in an answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OtherPlace {
    /// Index into the collection's specimens.
    pub specimen: usize,
    /// Where it goes.
    pub to: Housing,
}

impl PlanAnswer {
    /// Value of a level; 0 without it.
    fn value(&self, aim: Aim) -> i64 {
        self.levels.iter().find(|level| level.aim == aim).map_or(0, |level| level.value)
    }

    /// The less, the better: the levels up to money, money rounded as a file shows it.
    pub fn rank(&self) -> Vec<i64> {
        let upto_money = self.levels.iter().filter(|level| level.aim <= Aim::Money);
        let value = |level: &Level| match level.aim {
            Aim::Money => self.weighed().parts(),
            _ => level.value,
        };
        upto_money.map(value).collect()
    }

    /// The levels that count lots, in their order: the less, the better.
    pub fn waiting(&self) -> Vec<i64> {
        waiting(&self.levels)
    }

    /// Whether these levels are proved: no plan of the changed project places more, or more urgent, lots.
    pub fn waiting_is_proved(&self) -> bool {
        self.levels.iter().filter(|level| level.aim.counts_lots()).all(Level::proved)
    }

    /// Where each lot goes that has a place or waits, by its row.
    pub fn places(&self, plan: &Plan) -> BTreeMap<usize, Housing> {
        let planned =
            plan.placements.iter().filter_map(|placement| Some((placement.specimen, plan.housing(placement)?)));
        let mut goes: BTreeMap<usize, Housing> = planned.collect();
        goes.extend(self.others.iter().map(|other| (other.specimen, other.to)));
        match self.change {
            // Lots that stay in it in the plan have no other place, so they are not listed.
            PlanChange::Without(vessel) => {
                let gone = Housing::In(VesselChoice::Listed(vessel));
                goes.values_mut().filter(|housing| **housing == gone).for_each(|housing| *housing = Housing::Waits);
            }
            PlanChange::Waits(row) => drop(goes.remove(&row)),
            _ => {}
        }
        goes
    }

    /// Lots that wait, each with the weight of its priority; 0 where priorities are not weighed.
    pub fn weighted_deferred(&self) -> i64 {
        self.value(Aim::WeightedDeferred)
    }

    /// Money and the weight of litres, rounded as a file shows it.
    pub fn weighed(&self) -> Money {
        Money::from_parts(self.value(Aim::Money)).rounded()
    }

    /// Fluid of all fillings.
    pub fn fluid(&self) -> Millilitres {
        Millilitres(self.value(Aim::Fluid))
    }

    /// Whether every level up to money is proved best.
    pub fn money_is_proved(&self) -> bool {
        self.levels.iter().take_while(|level| level.aim != Aim::Fluid).all(Level::proved)
    }
}

/// Values of the levels that count lots.
fn waiting(levels: &[Level]) -> Vec<i64> {
    levels.iter().filter(|level| level.aim.counts_lots()).map(|level| level.value).collect()
}

/// An amount rounded up to four decimals, which a file shows in full.
pub fn rounded_up(money: Money) -> Money {
    in_steps(money, Money::PER_UNIT / 10_000)
}

/// An amount rounded up to hundredths, as people set a budget.
pub fn to_hundredths(money: Money) -> Money {
    in_steps(money, Money::PER_UNIT / 100)
}

fn in_steps(money: Money, step: i64) -> Money {
    let short = money.parts().rem_euclid(step);
    Money::from_parts(if short == 0 { money.parts() } else { money.parts().saturating_add(step - short) })
}

impl Plan {
    /// The levels that count lots, in their order: the less, the better.
    pub fn waiting(&self) -> Vec<i64> {
        waiting(&self.levels)
    }

    /// Where the decision puts a row; `None` for rows that it is not about.
    pub fn housing(&self, placement: &Placement) -> Option<Housing> {
        match placement.outcome {
            Outcome::OnHand | Outcome::Order => {
                placement.vessel.map(|vessel| Housing::In(VesselChoice::Listed(vessel)))
            }
            Outcome::CustomTank if self.waits_for_price(placement) => None,
            Outcome::CustomTank => Some(Housing::In(VesselChoice::Tank)),
            Outcome::Deferred => Some(Housing::Waits),
            Outcome::NeedsDecision | Outcome::Held => None,
        }
    }
}
