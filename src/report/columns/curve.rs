//! A point of a curve.

use crate::inquiry::limits::{LimitPoint, Limited};
use crate::report::table::{Cell, Column, Field};

/// The best plan at a limit on kinds or suppliers.
#[derive(Clone, Copy)]
pub struct LimitLine<'a> {
    pub of: Limited,
    pub point: &'a LimitPoint,
    /// The point before it.
    pub before: Option<&'a LimitPoint>,
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
    pub const WAITING: LimitField<'a> =
        Field::new(Column::figures("waiting"), |line| by_priority(line.point.values.deferred).into());
    /// What the plan costs less than the one before, where as many lots wait.
    pub const SAVES: LimitField<'a> = Field::new(Column::money("saves"), |line| {
        let before = line.before.filter(|before| before.values.deferred == line.point.values.deferred);
        before.map(|before| before.values.money - line.point.values.money).into()
    });
}

/// Numbers of lots of priority 1 to 4, in one cell.
fn by_priority(lots: [i64; 4]) -> Cell<'static> {
    match lots {
        [0, 0, 0, 0] => "none".into(),
        [first, second, third, fourth] => format!("{first} + {second} + {third} + {fourth}").into(),
    }
}
