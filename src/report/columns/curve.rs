//! A point of a curve.

use itertools::Itertools;

use crate::decision::Status;
use crate::inquiry::budget::{BudgetCurve, BudgetPoint};
use crate::inquiry::fluid::{FluidCurve, FluidPoint};
use crate::inquiry::limits::{LimitCurve, LimitOf, LimitPoint};
use crate::plan::answers::to_hundredths;
use crate::project::Project;
use crate::report::table::{Column, Field};
use crate::units::{Money, index, saturated};

/// The best plan at a limit on kinds or suppliers.
#[derive(Clone, Copy)]
pub struct LimitLine<'a> {
    pub of: LimitOf,
    pub point: &'a LimitPoint,
    /// The point before it.
    pub before: Option<&'a LimitPoint>,
}

impl<'a> LimitLine<'a> {
    /// The points of a curve.
    pub fn all(curve: &'a LimitCurve) -> impl Iterator<Item = Self> {
        let before = std::iter::once(None).chain(curve.points.iter().map(Some));
        curve.points.iter().zip(before).map(|(point, before)| LimitLine { of: curve.of, point, before })
    }
}

type LimitField<'a> = Field<'a, LimitLine<'a>>;

impl<'a> LimitLine<'a> {
    pub const OF: LimitField<'a> = Field::new(Column::text("of"), |line| line.of.name().into());
    pub const AT_MOST: LimitField<'a> = Field::new(Column::whole("at_most"), |line| line.point.at_most.into());
    pub const USED: LimitField<'a> = Field::new(Column::whole("used"), |line| line.point.used.into());
    pub const DEFERRED: [LimitField<'a>; 4] = [
        Field::new(Column::whole("deferred_1"), |line| line.point.values.deferred[0].into()),
        Field::new(Column::whole("deferred_2"), |line| line.point.values.deferred[1].into()),
        Field::new(Column::whole("deferred_3"), |line| line.point.values.deferred[2].into()),
        Field::new(Column::whole("deferred_4"), |line| line.point.values.deferred[3].into()),
    ];
    pub const MONEY: LimitField<'a> = Field::new(Column::money("money"), |line| line.point.values.money.into());
    pub const WEIGHED: LimitField<'a> =
        Field::new(Column::money("weighed_money"), |line| line.point.values.weighed.into());
    pub const LITRES: LimitField<'a> = Field::new(Column::litres("litres"), |line| line.point.values.fluid.into());
    pub const STATUS: LimitField<'a> = Field::new(Column::text("status"), |line| line.point.status.name().into());

    /// Columns of the file.
    pub const FILE: [LimitField<'a>; 11] = [
        Self::OF,
        Self::AT_MOST,
        Self::USED,
        Self::DEFERRED[0],
        Self::DEFERRED[1],
        Self::DEFERRED[2],
        Self::DEFERRED[3],
        Self::MONEY,
        Self::WEIGHED,
        Self::LITRES,
        Self::STATUS,
    ];

    /// Lots that wait, of priority 1, 2, 3 and 4.
    pub const WAITING: LimitField<'a> = Field::new(WAITING, |line| by_priority(line.point.values.deferred).into());
    /// Whether it is proved best.
    pub const PROVED: LimitField<'a> = Field::new(Column::text("proved"), |line| proved(line.point.status).into());
    /// What the plan costs less than the one before, where as many lots wait.
    pub const SAVES: LimitField<'a> = Field::new(Column::money("saves"), |line| {
        let before = line.before.filter(|before| before.values.deferred == line.point.values.deferred);
        before.map(|before| before.values.money - line.point.values.money).into()
    });
}

/// A plan of less fluid.
#[derive(Clone, Copy)]
pub struct FluidLine<'a> {
    pub point: &'a FluidPoint,
    /// The point before it.
    pub before: Option<&'a FluidPoint>,
}

impl<'a> FluidLine<'a> {
    /// The points of a curve.
    pub fn all(curve: &'a FluidCurve) -> impl Iterator<Item = Self> {
        let before = std::iter::once(None).chain(curve.points.iter().map(Some));
        curve.points.iter().zip(before).map(|(point, before)| FluidLine { point, before })
    }
}

type FluidField<'a> = Field<'a, FluidLine<'a>>;

impl<'a> FluidLine<'a> {
    pub const OF: FluidField<'a> = Field::new(Column::text("of"), |_| "fluid".into());
    pub const MONEY: FluidField<'a> = Field::new(Column::money("money"), |line| line.point.values.money.into());
    pub const LITRES: FluidField<'a> = Field::new(Column::litres("litres"), |line| line.point.values.fluid.into());
    pub const DEFERRED: [FluidField<'a>; 4] = [
        Field::new(Column::whole("deferred_1"), |line| line.point.values.deferred[0].into()),
        Field::new(Column::whole("deferred_2"), |line| line.point.values.deferred[1].into()),
        Field::new(Column::whole("deferred_3"), |line| line.point.values.deferred[2].into()),
        Field::new(Column::whole("deferred_4"), |line| line.point.values.deferred[3].into()),
    ];
    /// The least weight of a litre that selects the plan. Text, because a screen rounds money to two places.
    pub const LITRE_WEIGHT: FluidField<'a> =
        Field::new(Column::figures("litre_weight"), |line| line.point.litre_weight.map(Money::text).into());
    /// Money for a litre less than in the plan before.
    pub const PER_LITRE: FluidField<'a> =
        Field::new(Column::money("money_per_litre_saved"), |line| line.per_litre().into());
    pub const PROVED: FluidField<'a> =
        Field::new(Column::text("proved"), |line| if line.point.is_proved() { "yes".into() } else { "no".into() });

    /// Columns of the file.
    pub const FILE: [FluidField<'a>; 10] = [
        Self::OF,
        Self::MONEY,
        Self::LITRES,
        Self::DEFERRED[0],
        Self::DEFERRED[1],
        Self::DEFERRED[2],
        Self::DEFERRED[3],
        Self::LITRE_WEIGHT,
        Self::PER_LITRE,
        Self::PROVED,
    ];

    /// Money for a litre less than in the plan before, to four places.
    pub fn per_litre(self) -> Option<Money> {
        let before = &self.before?.values;
        let saved = (before.fluid - self.point.values.fluid).0;
        let parts = i128::from((self.point.values.money - before.money).parts()) * 1000;
        let each = parts.checked_div_euclid(i128::from(saved))?;
        Some(Money::from_parts(saturated(each)).rounded())
    }
}

/// The best plan at a budget.
#[derive(Clone, Copy)]
pub struct BudgetLine<'a> {
    pub project: &'a Project,
    pub curve: &'a BudgetCurve,
    pub point: &'a BudgetPoint,
}

type BudgetField<'a> = Field<'a, BudgetLine<'a>>;

/// Keys that a file names in a cell.
const MOST_KEYS: usize = 10;

impl<'a> BudgetLine<'a> {
    pub const OF: BudgetField<'a> = Field::new(Column::text("of"), |_| "budget".into());
    pub const BUDGET: BudgetField<'a> = Field::new(Column::money("budget"), |line| line.point.budget.into());
    pub const MONEY: BudgetField<'a> = Field::new(Column::money("money"), |line| line.point.money.into());
    pub const PLACED: BudgetField<'a> =
        Field::new(Column::whole("placed"), |line| line.placed().iter().sum::<i64>().into());
    pub const PLACED_BY: [BudgetField<'a>; 4] = [
        Field::new(Column::whole("placed_1"), |line| line.placed()[0].into()),
        Field::new(Column::whole("placed_2"), |line| line.placed()[1].into()),
        Field::new(Column::whole("placed_3"), |line| line.placed()[2].into()),
        Field::new(Column::whole("placed_4"), |line| line.placed()[3].into()),
    ];
    pub const DEFERRED: [BudgetField<'a>; 4] = [
        Field::new(Column::whole("deferred_1"), |line| line.point.deferred[0].into()),
        Field::new(Column::whole("deferred_2"), |line| line.point.deferred[1].into()),
        Field::new(Column::whole("deferred_3"), |line| line.point.deferred[2].into()),
        Field::new(Column::whole("deferred_4"), |line| line.point.deferred[3].into()),
    ];
    pub const N_GAINED: BudgetField<'a> = Field::new(Column::whole("gained"), |line| line.point.gained.len().into());
    pub const N_LOST: BudgetField<'a> = Field::new(Column::whole("lost"), |line| line.point.lost.len().into());
    pub const GAINED: BudgetField<'a> =
        Field::new(Column::text("gained_lots"), |line| line.keys(&line.point.gained, MOST_KEYS, "|").into());
    pub const LOST: BudgetField<'a> =
        Field::new(Column::text("lost_lots"), |line| line.keys(&line.point.lost, MOST_KEYS, "|").into());
    pub const STATUS: BudgetField<'a> = Field::new(Column::text("status"), |line| line.point.status.name().into());
    /// Whether less money is proved to buy no better plan than the one before.
    pub const LEAST: BudgetField<'a> =
        Field::new(Column::text("least_budget"), |line| line.point.step.as_ref().map(|step| step.proof.name()).into());

    /// Columns of the file.
    pub const FILE: [BudgetField<'a>; 18] = [
        Self::OF,
        Self::BUDGET,
        Self::MONEY,
        Self::PLACED,
        Self::PLACED_BY[0],
        Self::PLACED_BY[1],
        Self::PLACED_BY[2],
        Self::PLACED_BY[3],
        Self::DEFERRED[0],
        Self::DEFERRED[1],
        Self::DEFERRED[2],
        Self::DEFERRED[3],
        Self::N_GAINED,
        Self::N_LOST,
        Self::GAINED,
        Self::LOST,
        Self::STATUS,
        Self::LEAST,
    ];

    /// The budget as people set it: rounded up, so that it is enough.
    pub const NEEDED: BudgetField<'a> =
        Field::new(Column::money("budget"), |line| to_hundredths(line.point.budget).into());
    /// Lots placed, of priority 1, 2, 3 and 4.
    pub const BY_PRIORITY: BudgetField<'a> =
        Field::new(Column::figures("by priority").on_one_line(), |line| by_priority(line.placed()).into());
    /// Lots placed that were not, for a screen.
    pub const NEW: BudgetField<'a> =
        Field::new(Column::text("placed now"), |line| line.numbers(&line.point.gained).into());
    /// Whether it is proved best, and the budget least.
    pub const PROVED: BudgetField<'a> =
        Field::new(Column::text("proved"), |line| if line.point.is_proved() { "yes".into() } else { "no".into() });

    /// Lots placed, by priority.
    pub fn placed(self) -> [i64; 4] {
        std::array::from_fn(|at| self.curve.lots[at] - self.point.deferred[at])
    }

    fn keys(self, rows: &[u32], most: usize, between: &str) -> String {
        let key = |row: &u32| self.project.collection.specimens[index(*row)].key.to_string();
        let more = rows.len().saturating_sub(most);
        let more = (more > 0).then(|| format!("{more} more"));
        rows.iter().take(most).map(key).chain(more).join(between)
    }

    /// Catalogue numbers of a few lots, and how many more there are.
    fn numbers(self, rows: &[u32]) -> String {
        let number = |row: &u32| self.project.collection.specimens[index(*row)].key.catalog_number.clone();
        let more = rows.len().saturating_sub(SHOWN_LOTS);
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        rows.iter().take(SHOWN_LOTS).map(number).join(", ") + &more
    }
}

/// Lots that a cell of a screen names.
const SHOWN_LOTS: usize = 2;

const WAITING: Column<'static> = Column::figures("waiting").on_one_line();

/// Numbers of lots of priority 1 to 4, in one cell.
fn by_priority(lots: [i64; 4]) -> String {
    if lots == [0; 4] { "none".to_owned() } else { lots.iter().join("/") }
}

/// Whether a plan is proved best, for a narrow column.
fn proved(status: Status) -> &'static str {
    match status {
        Status::ProvedBest => "yes",
        Status::WithinGap => "within gap",
        Status::BestFound | Status::NotOptimised => "no",
    }
}
