//! Money line by line: the lines that a plan shows.

use super::ProjectPlan;
use crate::plan::renewals::{self, renewals};
use crate::units::Money;

/// A line of money.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MoneyLine {
    /// Packs of vessels.
    Vessels,
    /// Delivery.
    Delivery,
    /// Fluid by the litre.
    Fluid,
    /// Custom tanks.
    Tanks,
    /// The cost: the sum of the four above.
    Cost,
    /// Disposal of spent fluid.
    Disposal,
    /// What whole containers cost beyond the fluid by the litre.
    Containers,
    /// The amount to pay: the cost and the two above.
    ToPay,
    /// Labour.
    Labour,
    /// The part of labour that counts against the budget.
    LabourCounted,
    /// Later renewals of closures.
    Renewals,
    /// What was saved because tanks share sizes; the tanks above are without it already.
    SavedBySharing,
    /// The budget; absent if there is no limit.
    Budget,
    /// What is left of the budget; absent if there is no limit.
    Left,
}

impl MoneyLine {
    /// All lines, in the order they are shown.
    pub const ALL: [MoneyLine; 14] = [
        MoneyLine::Vessels,
        MoneyLine::Delivery,
        MoneyLine::Fluid,
        MoneyLine::Tanks,
        MoneyLine::Cost,
        MoneyLine::Disposal,
        MoneyLine::Containers,
        MoneyLine::ToPay,
        MoneyLine::Labour,
        MoneyLine::LabourCounted,
        MoneyLine::Renewals,
        MoneyLine::SavedBySharing,
        MoneyLine::Budget,
        MoneyLine::Left,
    ];

    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            MoneyLine::Vessels => "vessels",
            MoneyLine::Delivery => "delivery",
            MoneyLine::Fluid => "fluid",
            MoneyLine::Tanks => "tanks",
            MoneyLine::Cost => "cost",
            MoneyLine::Disposal => "disposal",
            MoneyLine::Containers => "containers",
            MoneyLine::ToPay => "to_pay",
            MoneyLine::Labour => "labour",
            MoneyLine::LabourCounted => "labour_in_budget",
            MoneyLine::Renewals => "renewals",
            MoneyLine::SavedBySharing => "saved_by_sharing",
            MoneyLine::Budget => "budget",
            MoneyLine::Left => "left",
        }
    }

    /// Whether it is a sum of lines above it.
    pub fn is_sum(self) -> bool {
        matches!(self, MoneyLine::Cost | MoneyLine::ToPay)
    }

    fn of(self, side: ProjectPlan) -> Option<Money> {
        let totals = &side.plan.totals;
        let budget = side.project.settings.budget;
        Some(match self {
            MoneyLine::Vessels => totals.purchase,
            MoneyLine::Delivery => totals.delivery,
            MoneyLine::Fluid => totals.fluid,
            MoneyLine::Tanks => totals.tanks,
            MoneyLine::Cost => totals.money,
            MoneyLine::Disposal => totals.disposal,
            MoneyLine::Containers => totals.containers,
            MoneyLine::ToPay => totals.to_pay,
            MoneyLine::Labour => totals.labour,
            MoneyLine::LabourCounted => totals.labour_counted,
            MoneyLine::Renewals => {
                let times = renewals(side.project, side.plan).iter().map(|due| due.times).fold(0, i64::saturating_add);
                renewals::money(side.project, times)
            }
            MoneyLine::SavedBySharing => totals.saved_by_sharing,
            MoneyLine::Budget => budget?,
            MoneyLine::Left => totals.left_of(budget?),
        })
    }
}

/// A line of money in both plans.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MoneyChange {
    /// Which line.
    pub line: MoneyLine,
    /// In the old plan.
    pub old: Option<Money>,
    /// In the new one.
    pub new: Option<Money>,
}

impl MoneyChange {
    /// The new amount less the old one, if there are both.
    pub fn difference(&self) -> Option<Money> {
        Some(self.new? - self.old?)
    }

    /// Whether the amounts differ.
    pub fn differs(&self) -> bool {
        self.old != self.new
    }

    /// Whether the line says anything: one of the amounts is not zero.
    pub fn is_used(&self) -> bool {
        [self.old, self.new].into_iter().flatten().any(|amount| amount != Money::ZERO)
    }
}

/// Every line.
pub(super) fn changes(old: ProjectPlan, new: ProjectPlan) -> Vec<MoneyChange> {
    MoneyLine::ALL.map(|line| MoneyChange { line, old: line.of(old), new: line.of(new) }).into()
}
