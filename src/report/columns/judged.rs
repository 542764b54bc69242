//! Columns of the file of options: one vessel judged for one specimen.

use crate::collection::Specimen;
use crate::options::{Filling, Fit, Refusal, Treatment};
use crate::project::Project;
use crate::report::table::{Cell, Column, Field, Unit};
use crate::stock::Vessel;
use crate::units::{Length, Money};

/// A vessel with its verdict.
#[derive(Clone, Copy)]
pub struct JudgedLine<'a> {
    pub vessel: &'a Vessel,
    pub verdict: Result<Suits, Refusal>,
}

/// How a specimen fits, and what its fluid costs.
#[derive(Clone, Copy)]
pub struct Suits {
    pub fit: Fit,
    pub fluid_cost: Money,
}

impl Suits {
    pub fn of(project: &Project, specimen: &Specimen, treatment: &Treatment, fit: Fit) -> Self {
        let filling = Filling::of(project, specimen, treatment, fit.charges, fit.fluid());
        Suits { fit, fluid_cost: filling.money(project, specimen.fluid) }
    }
}

type JudgedField<'a> = Field<'a, JudgedLine<'a>>;

impl<'a> JudgedLine<'a> {
    pub const VESSEL: JudgedField<'a> = Field::new(Column::text("vessel"), |row| (&row.vessel.id).into());
    pub const VERDICT: JudgedField<'a> = Field::new(Column::text("verdict"), |row| match row.verdict {
        Ok(_) => "option".into(),
        Err(_) => "refused".into(),
    });
    pub const PIECES: JudgedField<'a> = Field::new(Column::whole("pieces"), |row| row.suits(|suits| suits.fit.pieces));
    pub const POSTURE: JudgedField<'a> = Field::new(Column::text("posture"), |row| {
        row.verdict.ok().and_then(|suits| suits.fit.stance).map(|stance| stance.name()).into()
    });
    pub const CHARGES: JudgedField<'a> =
        Field::new(Column::whole("charges"), |row| row.suits(|suits| suits.fit.charges));
    pub const FLUID_ML: JudgedField<'a> =
        Field::new(Column::millilitres("fluid_ml"), |row| row.suits(|suits| suits.fit.fluid()));
    pub const FLUID_COST: JudgedField<'a> =
        Field::new(Column::money("fluid_cost"), |row| row.suits(|suits| suits.fluid_cost));
    pub const RULE: JudgedField<'a> =
        Field::new(Column::text("rule"), |row| row.verdict.err().map(|refusal| refusal.rule.name()).into());
    pub const SHORTFALL: JudgedField<'a> = Field::new(Column::decimal("shortfall", 1, Unit::None), |row| {
        row.verdict.err().and_then(|refusal| refusal.shortfall).into()
    });
    pub const UNIT: JudgedField<'a> = Field::new(Column::text("unit"), |row| {
        row.verdict
            .err()
            .filter(|refusal| refusal.shortfall.is_some())
            .map(|refusal| refusal.cause.unit().name())
            .into()
    });

    /// Columns of the file of options, after the key columns.
    pub const FILE: [JudgedField<'a>; 10] = [
        Self::VESSEL,
        Self::VERDICT,
        Self::PIECES,
        Self::POSTURE,
        Self::CHARGES,
        Self::FLUID_ML,
        Self::FLUID_COST,
        Self::RULE,
        Self::SHORTFALL,
        Self::UNIT,
    ];

    /// The posture, or "as now" if the specimen was not measured.
    pub const POSTURE_OR_NOW: JudgedField<'a> = Field::new(Column::text("posture"), |row| {
        row.verdict.ok().map(|suits| suits.fit.stance.map_or("as now", |stance| stance.name())).into()
    });
    pub const WALL_GAP: JudgedField<'a> = Field::new(Column::length("wall_gap_mm"), |row| row.gap(|fit| fit.wall_gap));
    pub const COVER: JudgedField<'a> = Field::new(Column::length("cover_mm"), |row| row.gap(|fit| fit.cover));
    pub const TISSUE_SHARE: JudgedField<'a> =
        Field::new(Column::decimal("tissue_share_pct", 1, Unit::Percent), |row| {
            row.verdict.ok().and_then(|suits| suits.fit.tissue_share).map(|share| share * 100.0).into()
        });
    pub const LIFE_YEARS: JudgedField<'a> = Field::new(Column::decimal("life_years", 1, Unit::Years), |row| {
        row.verdict.ok().and_then(|suits| suits.fit.life_years).into()
    });

    fn suits<T: Into<Cell<'a>>>(self, of: fn(&Suits) -> T) -> Cell<'a> {
        self.verdict.ok().as_ref().map(of).into()
    }

    fn gap(self, of: fn(&Fit) -> Option<Length>) -> Cell<'a> {
        self.verdict.ok().and_then(|suits| of(&suits.fit)).into()
    }
}
