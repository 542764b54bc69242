//! What it does to the whole plan that a lot goes elsewhere.

use itertools::Itertools;

use crate::decision::Status;
use crate::inquiry::instead::{Follows, Housing, Instead, OtherPlan, Rehoused};
use crate::project::Project;
use crate::report::table::{Column, Field};
use crate::units::{Millilitres, Money};
use crate::words;

/// Another place for a lot, and the plan as it is.
#[derive(Clone, Copy)]
pub struct InsteadLine<'a> {
    pub project: &'a Project,
    pub now: &'a PlanSums,
    pub instead: &'a Instead,
}

/// What the plan as it is comes to.
#[derive(Clone, Copy, Debug)]
pub struct PlanSums {
    pub deferred: [i64; 4],
    pub money: Money,
    pub fluid: Millilitres,
}

type InsteadField<'a> = Field<'a, InsteadLine<'a>>;

impl<'a> InsteadLine<'a> {
    pub const INSTEAD: InsteadField<'a> =
        Field::new(Column::text("instead"), |line| words::instead::housing(line.project, line.instead.housing).into());
    pub const FOLLOWS: InsteadField<'a> = Field::new(Column::text("follows"), |line| match &line.instead.follows {
        Follows::Refused(_) => "refused".into(),
        Follows::Unpriced => "no price".into(),
        Follows::Plan(_) => "plan".into(),
    });
    pub const GOES: InsteadField<'a> = Field::new(Column::text("goes"), |line| {
        line.plan().map(|plan| words::instead::housing(line.project, plan.got)).into()
    });
    pub const MORE_MONEY: InsteadField<'a> = Field::new(Column::money("money_more"), |line| {
        line.plan().map(|plan| plan.values.money - line.now.money).into()
    });
    pub const MORE_DEFERRED: [InsteadField<'a>; 4] = [
        Field::new(Column::whole("deferred_more_1"), |line| line.more_deferred().map(|more| more[0]).into()),
        Field::new(Column::whole("deferred_more_2"), |line| line.more_deferred().map(|more| more[1]).into()),
        Field::new(Column::whole("deferred_more_3"), |line| line.more_deferred().map(|more| more[2]).into()),
        Field::new(Column::whole("deferred_more_4"), |line| line.more_deferred().map(|more| more[3]).into()),
    ];
    pub const MORE_LITRES: InsteadField<'a> = Field::new(Column::litres("litres_more"), |line| {
        line.plan().map(|plan| plan.values.fluid - line.now.fluid).into()
    });
    pub const STATUS: InsteadField<'a> =
        Field::new(Column::text("status"), |line| line.plan().map(|plan| plan.status.name()).into());
    pub const OTHERS: InsteadField<'a> = Field::new(Column::text("others"), |line| {
        let others = line.plan().map_or(&[][..], |plan| &plan.others);
        let other = |lot: &Rehoused| {
            let key = &line.project.collection.specimens[lot.row].key;
            match lot.to {
                Housing::Waits => format!("{key} waits"),
                to => format!("{key} in {}", words::instead::housing(line.project, to)),
            }
        };
        others.iter().map(other).join("|").into()
    });

    /// Columns of the answer as CSV, after the key columns.
    pub const FILE: [InsteadField<'a>; 11] = [
        Self::INSTEAD,
        Self::FOLLOWS,
        Self::GOES,
        Self::MORE_MONEY,
        Self::MORE_DEFERRED[0],
        Self::MORE_DEFERRED[1],
        Self::MORE_DEFERRED[2],
        Self::MORE_DEFERRED[3],
        Self::MORE_LITRES,
        Self::STATUS,
        Self::OTHERS,
    ];

    /// The difference in cost with its sign.
    pub const COST: InsteadField<'a> = Field::new(Column::money("cost"), |line| {
        let more = line.plan().map(|plan| plan.values.money - line.now.money);
        more.map(signed).into()
    });
    /// How many more lots wait, or fewer.
    pub const WAITING: InsteadField<'a> = Field::new(Column::text("waiting"), |line| {
        let of = |(priority, more): (usize, i64)| match more {
            0 => None,
            more => Some(format!("{more:+} of priority {}", priority + 1)),
        };
        line.more_deferred().map(|more| more.into_iter().enumerate().filter_map(of).join(", ")).into()
    });
    /// What else changes.
    pub const CONSEQUENCE: InsteadField<'a> = Field::new(Column::text("what else changes"), |line| {
        let said = words::instead::consequence(line.project, line.instead);
        match line.plan() {
            Some(plan) if plan.status != Status::ProvedBest => {
                format!("{said} (not proved)").trim_start().to_owned().into()
            }
            Some(_) if said.is_empty() => "nothing".into(),
            _ => said.into(),
        }
    });

    fn plan(self) -> Option<&'a OtherPlan> {
        if let Follows::Plan(plan) = &self.instead.follows { Some(plan) } else { None }
    }

    /// Lots that wait beyond those of the plan as it is, by priority.
    fn more_deferred(self) -> Option<[i64; 4]> {
        let now = self.now.deferred;
        self.plan().map(|plan| std::array::from_fn(|at| plan.values.deferred[at] - now[at]))
    }
}

/// An amount with its sign; nothing has none.
pub(super) fn signed(amount: Money) -> String {
    match amount.on_screen() {
        none if amount.rounded() == Money::ZERO => none,
        more if amount > Money::ZERO => format!("+{more}"),
        less => less,
    }
}
