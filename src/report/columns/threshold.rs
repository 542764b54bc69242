//! What would change the place of a lot.

use crate::inquiry::threshold::{ChangeExtent, Crossing, Lever, LeverValue, Threshold, Tie};
use crate::project::Project;
use crate::report::table::{Cell, Column, Field};
use crate::stock::VesselId;
use crate::units::decimal;
use crate::words;

/// One thing that is changed.
#[derive(Clone, Copy)]
pub struct ThresholdLine<'a> {
    pub project: &'a Project,
    pub threshold: &'a Threshold,
}

type ThresholdField<'a> = Field<'a, ThresholdLine<'a>>;

impl<'a> ThresholdLine<'a> {
    pub const CHANGED: ThresholdField<'a> =
        Field::new(Column::text("changed"), |line| line.threshold.lever.name().into());
    pub const VESSEL: ThresholdField<'a> = Field::new(Column::text("vessel"), |line| {
        line.vessel().map(|vessel| line.project.stock.vessel(vessel).id.as_str()).into()
    });
    pub const SUPPLIER: ThresholdField<'a> = Field::new(Column::text("supplier"), |line| {
        let Lever::Price(offer) = line.threshold.lever else { return Cell::Blank };
        line.project.stock.offers[offer].supplier.map(|id| line.project.stock.supplier(id).name.as_str()).into()
    });
    pub const PACK: ThresholdField<'a> = Field::new(Column::whole("pack_size"), |line| {
        let Lever::Price(offer) = line.threshold.lever else { return Cell::Blank };
        Some(line.project.stock.offers[offer].pack_size).into()
    });
    pub const WAY: ThresholdField<'a> = Field::new(Column::text("way"), |line| line.threshold.way.name().into());
    pub const UNIT: ThresholdField<'a> = Field::new(Column::text("unit"), |line| {
        match line.threshold.now {
            LeverValue::Money(_) => "money",
            LeverValue::Pieces(_) => "pieces",
            LeverValue::Length(_) => "mm",
            LeverValue::Years(_) => "years",
        }
        .into()
    });
    pub const NOW: ThresholdField<'a> = Field::new(Column::figures("now"), |line| plain(line.threshold.now).into());
    pub const FOUND: ThresholdField<'a> = Field::new(Column::text("found"), |line| line.threshold.found.name().into());
    pub const BEFORE: ThresholdField<'a> = Field::new(Column::figures("unchanged_at"), |line| {
        match &line.threshold.found {
            Crossing::At { before, .. } => Some(plain(*before)),
            Crossing::Nowhere { tried, .. } => Some(plain(*tried)),
            Crossing::Open => None,
        }
        .into()
    });
    pub const FROM: ThresholdField<'a> = Field::new(Column::figures("changed_at"), |line| {
        if let Crossing::At { from, .. } = line.threshold.found { Some(plain(from)) } else { None }.into()
    });
    pub const TO: ThresholdField<'a> = Field::new(Column::figures("changed_up_to"), |line| {
        match line.threshold.found {
            Crossing::At { reach: ChangeExtent::To(last), .. } => Some(plain(last)),
            Crossing::At { reach: ChangeExtent::All, .. } => Some("all".to_owned()),
            _ => None,
        }
        .into()
    });
    pub const TIED: ThresholdField<'a> =
        Field::new(Column::figures("as_good_at"), |line| line.tie().map(|tie| plain(tie.at)).into());
    pub const TIED_THEN: ThresholdField<'a> = Field::new(Column::text("as_good_goes"), |line| {
        let goes = |place| words::instead::housing(line.project, place);
        line.tie().map(|tie| tie.then.map_or("no option", goes)).into()
    });
    pub const THEN: ThresholdField<'a> = Field::new(Column::text("goes"), |line| match line.threshold.found {
        Crossing::At { then, .. } => {
            then.map_or("no option", |place| words::instead::housing(line.project, place)).into()
        }
        Crossing::Nowhere { .. } | Crossing::Open => Cell::Blank,
    });
    pub const PROVED: ThresholdField<'a> = Field::new(Column::yes_no("proved"), |line| {
        if let Crossing::At { proved, .. } = line.threshold.found { Some(proved) } else { None }.into()
    });

    /// Columns of the answer as CSV, after the key columns.
    pub const FILE: [ThresholdField<'a>; 15] = [
        Self::CHANGED,
        Self::VESSEL,
        Self::SUPPLIER,
        Self::PACK,
        Self::WAY,
        Self::UNIT,
        Self::NOW,
        Self::FOUND,
        Self::BEFORE,
        Self::FROM,
        Self::TO,
        Self::THEN,
        Self::PROVED,
        Self::TIED,
        Self::TIED_THEN,
    ];

    /// What is changed, in words.
    pub const CHANGE: ThresholdField<'a> =
        Field::new(Column::text("change"), |line| words::threshold::lever(line.project, line.threshold.lever).into());
    /// Its value as it is, with its unit.
    pub const AS_IT_IS: ThresholdField<'a> =
        Field::new(Column::figures("now"), |line| words::threshold::amount(line.threshold.now).into());
    /// The value from which on the place changes, with its unit.
    pub const AT: ThresholdField<'a> = Field::new(Column::figures("at"), |line| match line.threshold.found {
        Crossing::At { from, reach, .. } => words::threshold::from(line.threshold.way, from, reach).into(),
        Crossing::Nowhere { .. } | Crossing::Open => Cell::Blank,
    });
    /// Where the lot goes then.
    pub const PLACE: ThresholdField<'a> = Field::new(Column::text("then"), |line| match line.threshold.found {
        Crossing::At { then, proved, tie, .. } => {
            let mut said = words::threshold::then(line.project, then);
            if !proved {
                said.push_str(" (not proved)");
            }
            if let Some(tie) = tie {
                let before = match tie.then == then {
                    true => words::threshold::only_as_good(&tie),
                    false => words::threshold::tie(line.project, &tie),
                };
                said = format!("{said} ({before})");
            }
            said.into()
        }
        Crossing::Nowhere { .. } | Crossing::Open => Cell::Blank,
    });

    fn tie(self) -> Option<Tie> {
        match self.threshold.found {
            Crossing::At { tie, .. } | Crossing::Nowhere { tie, .. } => tie,
            Crossing::Open => None,
        }
    }

    fn vessel(self) -> Option<VesselId> {
        match self.threshold.lever {
            Lever::Price(offer) => Some(self.project.stock.offers[offer].vessel),
            Lever::Pieces(vessel) => Some(vessel),
            Lever::Budget | Lever::Clearance | Lever::KeepYears | Lever::Measure(_) => None,
        }
    }
}

/// A value without its unit, for programs.
fn plain(amount: LeverValue) -> String {
    match amount {
        LeverValue::Money(money) => money.text(),
        LeverValue::Pieces(pieces) => pieces.to_string(),
        LeverValue::Length(length) => decimal(length.mm(), 3),
        LeverValue::Years(years) => decimal(years, 3),
    }
}
