//! Reads the rows of `plan.json`: their keys, outcomes and fits.

use serde_json::{Value, json};

use super::CATALOG_NUMBER;
use super::names::{PlanReading, named};
use super::object::{Object, count, length, money, number, text, whole};
use super::reason::{self, Refused};
use crate::collection::Key;
use crate::fit::Stance;
use crate::options::{Fit, Marks};
use crate::plan::{Outcome, Placement};
use crate::rules::FluidId;
use crate::units::Millilitres;
use crate::words;

impl PlanReading<'_> {
    pub(super) fn placement(&self, row: &Object) -> Option<Placement> {
        let specimen = self.row(row);
        let outcome = row.read("outcome", "an outcome", |value| named(value, &Outcome::ALL, Outcome::name));
        let vessel = row.optional("vessel", "a vessel of the stock list", |value| self.vessel(value));
        let charges = row.optional("charges", "a whole number", count);
        let marks = row.some_object("marks", marks).map(Option::unwrap_or_default);
        let fit = fit(row, charges.flatten(), marks.unwrap_or_default());
        let pieces_on_hand = row.optional("pieces_on_hand", "a whole number", count);
        match specimen {
            Some(i) => {
                let fluid = self.project.collection.specimens[i].fluid;
                row.same("fluid", &json!(self.project.rules.fluid(fluid).id));
            }
            None => drop(row.field("fluid")),
        }
        let fluid = row.optional("fluid_ml", "whole millilitres", whole);
        let reused = row.optional("reused_ml", "whole millilitres", whole);
        let baths = row.some_objects("baths", |bath| self.bath(bath));
        let bath_days = row.optional("bath_days", "days", number);
        let fluid_cost = row.optional("fluid_cost", "money as text", money);
        let reason = row.own::<reason::Why>("why").and_then(|why| row.or_wrong("why", reason::read(self.project, why)));
        let near_miss = match row.some_own::<Refused>("near_miss")? {
            Some(refused) => row.or_wrong("near_miss", reason::refused_read(self.project, refused)).map(Some),
            None => Some(None),
        };
        let placement = Placement {
            specimen: specimen?,
            outcome: outcome?,
            vessel: vessel?,
            fit: fit?,
            pieces_on_hand: pieces_on_hand?.unwrap_or(0),
            fluid: fluid?.map(Millilitres),
            charges: charges?.unwrap_or(0),
            reused: Millilitres(reused?.unwrap_or(0)),
            baths: baths?,
            bath_days: bath_days?.unwrap_or(0.0),
            fluid_cost: fluid_cost?,
            reason: reason?,
            marks: marks?,
            near_miss: near_miss?.map(Box::new),
        };
        // The words are those of the facts.
        row.same("reason", &json!(words::reason(self.project, &placement)));
        match &*words::review(placement.marks) {
            "" => {}
            review => row.same("review", &json!(review)),
        }
        Some(placement)
    }

    fn bath(&self, bath: &Object) -> Option<(FluidId, Millilitres)> {
        let fluid = bath.read("fluid", "a fluid of the rules", |value| self.fluid(value));
        let amount = bath.read("ml", "whole millilitres", whole);
        Some((fluid?, Millilitres(amount?)))
    }

    /// The row that the key columns of an object name.
    pub(super) fn row(&self, object: &Object) -> Option<usize> {
        let catalog_number = object.read(CATALOG_NUMBER, "text", text);
        let cell = |column: &'static str| match object.absent_or(column) {
            None => Some(""),
            Some(value) => {
                let cell = text(value).filter(|cell| !cell.is_empty());
                if cell.is_none() {
                    object.wrong(column, format!("expected text or no such field, found {value}"));
                }
                cell
            }
        };
        let (institution, collection, part) = (cell("institutionCode"), cell("collectionCode"), cell("part"));
        let key = Key {
            catalog_number: catalog_number?.to_owned(),
            institution: institution?.to_owned(),
            collection: collection?.to_owned(),
            part: part?.to_owned(),
        };
        let row = self.rows.get(&key).copied();
        if row.is_none() {
            object.wrong(CATALOG_NUMBER, format!("the survey has no row {key}"));
        }
        row
    }
}

/// How a row fits its vessel; `None` without `vessels_used`.
fn fit(row: &Object, charges: Option<u32>, marks: Marks) -> Option<Option<Fit>> {
    let pieces = row.optional("vessels_used", "a whole number", count);
    let stance = row.optional("posture", "a posture", |value| text(value).and_then(Stance::named));
    let leaning = row.optional("leaning", "true or false", Value::as_bool);
    let wall_gap = row.optional("wall_gap_mm", "millimetres", length);
    let cover = row.optional("cover_mm", "millimetres", length);
    let mouth_gap = row.optional("mouth_gap_mm", "millimetres", length);
    let tissue_share = row.optional("tissue_share_pct", "a percentage", number);
    let life_years = row.optional("life_years", "years", number);
    let filled = row.optional("filled_ml", "whole millilitres", whole);
    let tissue = row.optional("tissue_ml", "whole millilitres", whole);
    let (pieces, leaning) = (pieces?, leaning?.unwrap_or(false));
    let (stance, wall_gap, cover, mouth_gap) = (stance?, wall_gap?, cover?, mouth_gap?);
    let (tissue_share, life_years, filled, tissue) = (tissue_share?, life_years?, filled?, tissue?);
    match (pieces, filled, tissue, charges) {
        (Some(pieces), Some(filled), Some(tissue), Some(charges)) => Some(Some(Fit {
            pieces,
            stance,
            leaning,
            wall_gap,
            cover,
            mouth_gap,
            tissue_share: tissue_share.map(|share| share / 100.0),
            life_years,
            charges,
            filled: Millilitres(filled),
            tissue: Millilitres(tissue),
            marks,
        })),
        // A tank has fillings, too.
        (None, None, None, _)
            if stance.is_none()
                && !leaning
                && wall_gap.is_none()
                && cover.is_none()
                && mouth_gap.is_none()
                && tissue_share.is_none()
                && life_years.is_none() =>
        {
            Some(None)
        }
        _ => {
            row.wrong("vessels_used", "a row must have all the fields of its fit, or none");
            None
        }
    }
}

fn marks(object: &Object) -> Option<Marks> {
    let mark = |key| object.optional(key, "true or false", Value::as_bool).map(Option::unwrap_or_default);
    let (unproven, tissue_estimated) = (mark("unproven"), mark("tissue_estimated"));
    let (size_from_vessel, leaning) = (mark("size_from_vessel"), mark("leaning"));
    let renewed = mark("renewed");
    let (turned_in, tight_coil) = (mark("turned_in"), mark("tight_coil"));
    let (steps_unknown, fillings_unknown) = (mark("steps_unknown"), mark("fillings_unknown"));
    let very_loose = mark("very_loose");
    let (strength_not_known, doubtful_pair) = (mark("strength_not_known"), mark("doubtful_pair"));
    let loose_lid = mark("loose_lid");
    Some(Marks {
        unproven: unproven?,
        tissue_estimated: tissue_estimated?,
        size_from_vessel: size_from_vessel?,
        leaning: leaning?,
        renewed: renewed?,
        turned_in: turned_in?,
        tight_coil: tight_coil?,
        steps_unknown: steps_unknown?,
        fillings_unknown: fillings_unknown?,
        very_loose: very_loose?,
        strength_not_known: strength_not_known?,
        doubtful_pair: doubtful_pair?,
        loose_lid: loose_lid?,
    })
}
