//! The rows of a plan in plan.json, written and read: outcome, vessel, fit, fluid and reason of each.
//!
//! Empty fields are left out, because there may be a million rows.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};

use super::keys::Keyed;
use super::names::PlanReading;
use super::object::{Fault, Object};
use super::quantities::{outcome, ratio, some_mm, some_money, some_posture, some_ratio};
use super::reason::{self, Refused, Why};
use crate::fit::Stance;
use crate::options::{Fit, Marks};
use crate::plan::{Outcome, Placement};
use crate::project::Project;
use crate::rules::FluidId;
use crate::units::{Length, Millilitres, Money};
use crate::words;

/// The fields of a row after its key.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct PlacementFile<'a> {
    #[serde(with = "outcome")]
    outcome: Outcome,
    #[serde(borrow, default, skip_serializing_if = "Option::is_none")]
    vessel: Option<Cow<'a, str>>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    vessels_used: Option<u32>,
    #[serde(default, skip_serializing_if = "is_default")]
    pieces_on_hand: u32,
    #[serde(with = "some_posture", default, skip_serializing_if = "Option::is_none")]
    posture: Option<Stance>,
    #[serde(default, skip_serializing_if = "is_default")]
    leaning: bool,
    #[serde(with = "some_mm", default, skip_serializing_if = "Option::is_none")]
    wall_gap_mm: Option<Length>,
    #[serde(with = "some_mm", default, skip_serializing_if = "Option::is_none")]
    cover_mm: Option<Length>,
    #[serde(with = "some_mm", default, skip_serializing_if = "Option::is_none")]
    mouth_gap_mm: Option<Length>,
    #[serde(with = "some_ratio", default, skip_serializing_if = "Option::is_none")]
    tissue_share_pct: Option<f64>,
    #[serde(with = "some_ratio", default, skip_serializing_if = "Option::is_none")]
    life_years: Option<f64>,
    #[serde(borrow)]
    fluid: Cow<'a, str>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    charges: Option<u32>,
    #[serde(default, skip_serializing_if = "is_default")]
    reused_ml: i64,
    #[serde(borrow, default, skip_serializing_if = "Vec::is_empty")]
    baths: Vec<BathFile<'a>>,
    #[serde(with = "ratio", default, skip_serializing_if = "is_default")]
    bath_days: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    filled_ml: Option<i64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    tissue_ml: Option<i64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    fluid_ml: Option<i64>,
    #[serde(with = "some_money", default, skip_serializing_if = "Option::is_none")]
    fluid_cost: Option<Money>,
    #[serde(with = "MarksFile", default, skip_serializing_if = "is_default")]
    marks: Marks,
    #[serde(borrow)]
    reason: Cow<'a, str>,
    why: Why,
    #[serde(borrow, default, skip_serializing_if = "str::is_empty")]
    review: Cow<'a, str>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    near_miss: Option<Refused>,
}

/// A bath.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct BathFile<'a> {
    #[serde(borrow)]
    fluid: Cow<'a, str>,
    ml: i64,
}

/// The marks that are set.
#[derive(Serialize, Deserialize)]
#[serde(remote = "Marks", deny_unknown_fields)]
struct MarksFile {
    #[serde(default, skip_serializing_if = "is_default")]
    unproven: bool,
    #[serde(default, skip_serializing_if = "is_default")]
    tissue_estimated: bool,
    #[serde(default, skip_serializing_if = "is_default")]
    size_from_vessel: bool,
    #[serde(default, skip_serializing_if = "is_default")]
    leaning: bool,
    #[serde(default, skip_serializing_if = "is_default")]
    renewed: bool,
    #[serde(default, skip_serializing_if = "is_default")]
    turned_in: bool,
    #[serde(default, skip_serializing_if = "is_default")]
    tight_coil: bool,
    #[serde(default, skip_serializing_if = "is_default")]
    steps_unknown: bool,
    #[serde(default, skip_serializing_if = "is_default")]
    fillings_unknown: bool,
    #[serde(default, skip_serializing_if = "is_default")]
    very_loose: bool,
    #[serde(default, skip_serializing_if = "is_default")]
    strength_not_known: bool,
    #[serde(default, skip_serializing_if = "is_default")]
    doubtful_pair: bool,
    #[serde(default, skip_serializing_if = "is_default")]
    loose_lid: bool,
}

/// Whether a field is left out.
fn is_default<T: Default + PartialEq>(field: &T) -> bool {
    *field == T::default()
}

impl<'a> PlacementFile<'a> {
    fn of(project: &'a Project, row: &'a Placement) -> Self {
        let specimen = &project.collection.specimens[row.specimen];
        let fit = row.fit.as_ref();
        let bath = |(fluid, amount): &(FluidId, Millilitres)| BathFile {
            fluid: project.rules.fluid(*fluid).id.as_str().into(),
            ml: amount.0,
        };
        PlacementFile {
            outcome: row.outcome,
            vessel: row.vessel.map(|vessel| project.stock.vessel(vessel).id.as_str().into()),
            vessels_used: fit.map(|fit| fit.pieces),
            pieces_on_hand: row.pieces_on_hand,
            posture: fit.and_then(|fit| fit.stance),
            leaning: fit.is_some_and(|fit| fit.leaning),
            wall_gap_mm: fit.and_then(|fit| fit.wall_gap),
            cover_mm: fit.and_then(|fit| fit.cover),
            mouth_gap_mm: fit.and_then(|fit| fit.mouth_gap),
            tissue_share_pct: fit.and_then(|fit| fit.tissue_share).map(|share| share * 100.0),
            life_years: fit.and_then(|fit| fit.life_years).filter(|years| years.is_finite()),
            fluid: project.rules.fluid(specimen.fluid).id.as_str().into(),
            charges: row.fluid.map(|_| row.charges),
            reused_ml: row.fluid.map_or(0, |_| row.reused.0),
            baths: row.baths.iter().map(bath).collect(),
            bath_days: row.bath_days,
            filled_ml: fit.map(|fit| fit.filled.0),
            tissue_ml: fit.map(|fit| fit.tissue.0),
            fluid_ml: row.fluid.map(|fluid| fluid.0),
            fluid_cost: row.fluid_cost,
            marks: row.marks,
            reason: words::reason(project, row),
            why: reason::written(project, &row.reason),
            review: words::review(row.marks),
            near_miss: row.near_miss.as_deref().map(|miss| reason::refused(project, miss)),
        }
    }

    /// How the row fits its vessel, `None` without a vessel.
    ///
    /// # Errors
    /// Where some of its fields are there and others are not.
    fn fit(&self) -> Result<Option<Fit>, Fault> {
        let PlacementFile { leaning, wall_gap_mm, cover_mm, mouth_gap_mm, life_years, marks, .. } = *self;
        let tissue_share = self.tissue_share_pct.map(|share| share / 100.0);
        let gaps = [wall_gap_mm, cover_mm, mouth_gap_mm];
        match (self.vessels_used, self.filled_ml, self.tissue_ml, self.charges) {
            (Some(pieces), Some(filled), Some(tissue), Some(charges)) => Ok(Some(Fit {
                pieces,
                stance: self.posture,
                leaning,
                wall_gap: wall_gap_mm,
                cover: cover_mm,
                mouth_gap: mouth_gap_mm,
                tissue_share,
                life_years,
                charges,
                filled: Millilitres(filled),
                tissue: Millilitres(tissue),
                marks,
            })),
            // A tank has fillings, too.
            (None, None, None, _)
                if self.posture.is_none()
                    && !leaning
                    && gaps == [None; 3]
                    && tissue_share.is_none()
                    && life_years.is_none() =>
            {
                Ok(None)
            }
            _ => Err(Fault::at("vessels_used", "a row must have all the fields of its fit, or none")),
        }
    }
}

/// Appends a row to a text.
pub(super) fn append(project: &Project, row: &Placement, text: &mut Vec<u8>) {
    let key = &project.collection.specimens[row.specimen].key;
    serde_json::to_writer(text, &Keyed::new(key, PlacementFile::of(project, row))).expect("every row is JSON");
}

impl PlanReading<'_> {
    /// A row. Everything wrong with it is a finding.
    pub(super) fn placement(&self, row: &Object) -> Option<Placement> {
        let specimen = self.row(row);
        let file: PlacementFile = row.rest_as()?;
        let vessel = match file.vessel.as_deref() {
            None => Some(None),
            Some(id) => {
                let found = self.project.stock.vessel_named(id);
                let unknown =
                    || Fault::at("vessel", format!("expected a vessel of the stock list or null, found {id:?}"));
                row.or_wrong_here(found.ok_or_else(unknown)).map(Some)
            }
        };
        let baths: Vec<_> = file.baths.iter().enumerate().map(|(at, bath)| self.bath(row, at, bath)).collect();
        let baths: Option<Vec<_>> = baths.into_iter().collect();
        let fit = row.or_wrong_here(file.fit());
        let facts = row.or_wrong("why", reason::read(self.project, file.why));
        let near_miss = match file.near_miss {
            None => Some(None),
            Some(refused) => row.or_wrong("near_miss", reason::refused_read(self.project, refused)).map(Some),
        };
        let placement = Placement {
            specimen: specimen?,
            outcome: file.outcome,
            vessel: vessel?,
            fit: fit?,
            pieces_on_hand: file.pieces_on_hand,
            fluid: file.fluid_ml.map(Millilitres),
            charges: file.charges.unwrap_or(0),
            reused: Millilitres(file.reused_ml),
            baths: baths?,
            bath_days: file.bath_days,
            fluid_cost: file.fluid_cost,
            reason: facts?,
            marks: file.marks,
            near_miss: near_miss?.map(Box::new),
        };
        // What follows from other facts must agree with them.
        let fluid = self.project.collection.specimens[placement.specimen].fluid;
        row.derived("fluid", &self.project.rules.fluid(fluid).id, &file.fluid);
        row.derived("reason", &words::reason(self.project, &placement), &file.reason);
        row.derived("review", &words::review(placement.marks), &file.review);
        Some(placement)
    }

    fn bath(&self, row: &Object, at: usize, bath: &BathFile) -> Option<(FluidId, Millilitres)> {
        let found = self.project.rules.fluids.iter().position(|fluid| fluid.id == bath.fluid);
        let unknown = || {
            Fault::at(&format!("baths[{at}].fluid"), format!("expected a fluid of the rules, found {:?}", bath.fluid))
        };
        row.or_wrong_here(found.ok_or_else(unknown)).map(|fluid| (FluidId::at(fluid), Millilitres(bath.ml)))
    }
}
