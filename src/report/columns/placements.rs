//! Columns about a lot and its placement.

use std::borrow::Cow;

use crate::collection::Specimen;
use crate::options::Fit;
use crate::options::table::NearMiss;
use crate::plan::{Outcome, Placement, Plan};
use crate::project::Project;
use crate::report::table::{Cell, Column, Field, Unit};
use crate::rules::FluidId;
use crate::stock::VesselId;
use crate::units::{Length, Millilitres};
use crate::words;

/// A lot with its placement.
#[derive(Clone, Copy)]
pub struct Placed<'a> {
    pub project: &'a Project,
    pub plan: &'a Plan,
    pub specimen: &'a Specimen,
    pub placement: &'a Placement,
}

type PlacementField<'a> = Field<'a, Placed<'a>>;

impl<'a> Placed<'a> {
    pub fn of(project: &'a Project, plan: &'a Plan, placement: &'a Placement) -> Self {
        Placed { project, plan, specimen: &project.collection.specimens[placement.specimen], placement }
    }

    pub const LOT: PlacementField<'a> = Field::new(Column::text("lot"), |row| row.specimen.key.to_string().into());
    pub const NAME: PlacementField<'a> = Field::new(Column::text("scientificName"), |row| (&row.specimen.name).into());
    pub const PRIORITY: PlacementField<'a> = Field::new(Column::whole("priority"), |row| row.specimen.priority.into());
    pub const OUTCOME: PlacementField<'a> =
        Field::new(Column::text("outcome"), |row| row.placement.outcome.name().into());
    pub const VESSEL: PlacementField<'a> = Field::new(Column::text("vessel"), |row| row.id(row.placement.vessel));
    pub const VESSELS_USED: PlacementField<'a> =
        Field::new(Column::whole("vessels_used"), |row| row.fit(|fit| fit.pieces));
    pub const POSTURE: PlacementField<'a> = Field::new(Column::text("posture"), |row| row.posture("").into());
    pub const WALL_GAP: PlacementField<'a> =
        Field::new(Column::length("wall_gap_mm"), |row| row.gap(|fit| fit.wall_gap));
    pub const COVER: PlacementField<'a> = Field::new(Column::length("cover_mm"), |row| row.gap(|fit| fit.cover));
    /// What the gaps refer to: in a lot of several individuals, one individual, the largest.
    pub const GAPS_OF: PlacementField<'a> = Field::new(Column::text("gaps_of"), |row| {
        let measured = row.placement.fit.and_then(|fit| fit.cover);
        measured.filter(|_| row.specimen.individuals > 1).map(|_| "one individual").into()
    });
    pub const MOUTH_GAP: PlacementField<'a> =
        Field::new(Column::length("mouth_gap_mm"), |row| row.gap(|fit| fit.mouth_gap));
    pub const TISSUE_SHARE: PlacementField<'a> =
        Field::new(Column::decimal("tissue_share_pct", 1, Unit::Percent), |row| {
            row.placement.fit.and_then(|fit| fit.tissue_share).map(|share| share * 100.0).into()
        });
    pub const LIFE_YEARS: PlacementField<'a> = Field::new(Column::decimal("life_years", 1, Unit::Years), |row| {
        row.placement.fit.and_then(|fit| fit.life_years).into()
    });
    pub const FLUID: PlacementField<'a> =
        Field::new(Column::text("fluid"), |row| (&row.project.rules.fluid(row.specimen.fluid).id).into());
    pub const CHARGES: PlacementField<'a> =
        Field::new(Column::whole("charges"), |row| row.filled(row.placement.charges));
    pub const FLUID_ML: PlacementField<'a> =
        Field::new(Column::millilitres("fluid_ml"), |row| row.placement.fluid.into());
    pub const FLUID_COST: PlacementField<'a> =
        Field::new(Column::money("fluid_cost"), |row| row.placement.fluid_cost.into());
    pub const KEPT: PlacementField<'a> =
        Field::new(Column::millilitres("kept_ml"), |row| row.filled(row.placement.reused));
    pub const BATHS: PlacementField<'a> = Field::new(Column::text("baths"), |row| row.baths().into());
    pub const BATH_DAYS: PlacementField<'a> =
        Field::new(Column::decimal("bath_days", 1, Unit::Days), |row| row.filled(row.placement.bath_days));
    pub const REASON: PlacementField<'a> =
        Field::new(Column::text("reason").wide(44.0), |row| words::reason(row.project, row.placement).into());
    pub const REVIEW: PlacementField<'a> =
        Field::new(Column::text("review"), |row| words::review(row.placement.marks).into());
    pub const NEAREST_VESSEL: PlacementField<'a> = Field::new(Column::text("nearest_vessel"), |row| {
        row.near_miss().map(|(vessel, _)| row.named(Some(*vessel))).into()
    });
    pub const NEAREST_SHORTFALL: PlacementField<'a> =
        Field::new(Column::text("nearest_shortfall"), |row| row.near_miss().map(|(_, by)| words::refusal(by)).into());
    /// Whether the totals include the lot. They include no tank without a price, although its fluid is listed here.
    pub const IN_TOTALS: PlacementField<'a> = Field::new(Column::yes_no("in_totals"), |row| {
        let outcome = row.placement.outcome;
        let is_placed = matches!(outcome, Outcome::OnHand | Outcome::Order | Outcome::CustomTank);
        (is_placed && !row.plan.waits_for_price(row.placement)).into()
    });

    /// Columns of `placements.csv`, after the key columns and before the carried ones.
    pub const FILE: [PlacementField<'a>; 22] = [
        Self::OUTCOME,
        Self::VESSEL,
        Self::VESSELS_USED,
        Self::POSTURE,
        Self::WALL_GAP,
        Self::COVER,
        Self::GAPS_OF,
        Self::MOUTH_GAP,
        Self::TISSUE_SHARE,
        Self::LIFE_YEARS,
        Self::FLUID,
        Self::CHARGES,
        Self::FLUID_ML,
        Self::FLUID_COST,
        Self::KEPT,
        Self::BATHS,
        Self::BATH_DAYS,
        Self::REASON,
        Self::REVIEW,
        Self::NEAREST_VESSEL,
        Self::NEAREST_SHORTFALL,
        Self::IN_TOTALS,
    ];

    /// The vessel, with the number of pieces if there are several.
    pub const VESSELS: PlacementField<'a> = Field::new(Column::text("vessel"), |row| match row.placement.fit {
        Some(fit) if fit.pieces > 1 => format!("{} × {}", fit.pieces, row.named(row.placement.vessel)).into(),
        _ => row.id(row.placement.vessel),
    });
    /// The vessel, or `@tank`.
    pub const VESSEL_OR_TANK: PlacementField<'a> =
        Field::new(Column::text("vessel"), |row| match row.placement.outcome {
            Outcome::CustomTank => "@tank".into(),
            _ => row.id(row.placement.vessel),
        });
    /// Number of vessels to fill; a tank counts as one.
    pub const VESSELS_TO_FILL: PlacementField<'a> =
        Field::new(Column::whole("vessels"), |row| row.placement.fit.map_or(1, |fit| fit.pieces).into());
    pub const LOCATION: PlacementField<'a> =
        Field::new(Column::text("location"), |row| (&row.specimen.location).into());
    /// Where the vessels come from, with their number if there are several.
    pub const FROM: PlacementField<'a> = Field::new(Column::text("from"), |row| match row.placement.fit {
        Some(fit) if fit.pieces > 1 => format!("{}, in {}", row.placement.outcome.name(), fit.pieces).into(),
        _ => row.placement.outcome.name().into(),
    });
    /// The posture, or "as now" if the lot was not measured.
    pub const POSTURE_OR_NOW: PlacementField<'a> =
        Field::new(Column::text("posture"), |row| row.posture("as now").into());
    /// The posture without "leaning".
    pub const STANCE: PlacementField<'a> = Field::new(Column::text("posture"), |row| {
        row.placement.fit.and_then(|fit| fit.stance).map_or("as now", |stance| stance.name()).into()
    });
    pub const SMALLER_VESSEL: PlacementField<'a> =
        Field::new(Column::text("look for"), |row| words::smaller_vessel(row.project, row.specimen).into());

    /// The vessel to look for, if the lot waits for one.
    pub const WANTED: PlacementField<'a> = Field::new(Column::text("look for"), |row| {
        let mut wants = row.plan.wants.iter().filter(|want| want.instead_of.is_none());
        let want = wants.find(|want| want.specimens.contains(&row.placement.specimen));
        want.map(|want| words::want(row.project, want)).into()
    });

    fn fit<T: Into<Cell<'a>>>(self, of: fn(&Fit) -> T) -> Cell<'a> {
        self.placement.fit.as_ref().map(of).into()
    }

    fn gap(self, of: fn(&Fit) -> Option<Length>) -> Cell<'a> {
        self.placement.fit.as_ref().and_then(of).into()
    }

    /// The value, or a blank cell if the lot gets no fluid.
    fn filled<T: Into<Cell<'a>>>(self, value: T) -> Cell<'a> {
        self.placement.fluid.map(|_| value).into()
    }

    fn named(self, vessel: Option<VesselId>) -> &'a str {
        vessel.map_or("", |id| &self.project.stock.vessel(id).id)
    }

    fn id(self, vessel: Option<VesselId>) -> Cell<'a> {
        self.named(vessel).into()
    }

    fn posture(self, not_measured: &'static str) -> Cow<'a, str> {
        let fit = self.placement.fit;
        let stance = match fit {
            None => "",
            Some(fit) => fit.stance.map_or(not_measured, |stance| stance.name()),
        };
        if fit.is_some_and(|fit| fit.leaning) { format!("{stance} leaning").into() } else { stance.into() }
    }

    /// The baths in order: `ethanol-30 480 ml|ethanol-50 480 ml`.
    fn baths(self) -> String {
        let bath = |(fluid, amount): &(FluidId, Millilitres)| {
            format!("{} {} ml", self.project.rules.fluid(*fluid).id, amount.0)
        };
        self.placement.baths.iter().map(bath).collect::<Vec<_>>().join("|")
    }

    /// The nearest vessel and its refusal, if the lot is in no listed vessel.
    fn near_miss(self) -> Option<&'a NearMiss> {
        self.placement.near_miss.as_deref().filter(|_| self.placement.vessel.is_none())
    }
}
