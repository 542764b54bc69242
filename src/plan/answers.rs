//! Answers to the planner's questions: plans of the project in which one thing is changed.
//!
//! An answer holds what differs from the plan, so that its plan can be made again: where other lots go, and the packs.

use super::{Outcome, Placement, Plan};
use crate::collection::VesselChoice;
use crate::decision::{Aim, Level, Status};
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

/// Rows of a survey up to which questions are asked.
pub const MOST_ROWS: usize = 2_000;

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
