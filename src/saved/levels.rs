//! The levels of a plan in plan.json, written and read: value, bound, proof and certificate of each; and the gap.

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::certificate::{self, KeyOrder};
use super::object::{self, Object, kind};
use super::quantities::{aim, proof};
use super::{litres, typed};
use crate::decision::{Aim, Level, Proof};
use crate::plan::{Outcome, Plan};
use crate::project::Project;
use crate::units::{Millilitres, Money};

/// A level. Value and bound are whole rows for a count, money as text for money, litres for fluid.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct LevelFile {
    #[serde(with = "aim")]
    level: Aim,
    value: Value,
    bound: Value,
    #[serde(with = "proof")]
    proof: Proof,
    certificate: Value,
}

pub(super) fn written(project: &Project, order: &KeyOrder, level: &Level) -> Value {
    let (value, bound) = as_shown(level);
    typed::value(&LevelFile {
        level: level.aim,
        value: amount(level.aim, value),
        bound: amount(level.aim, bound),
        proof: level.proof,
        certificate: certificate::written(project, order, level),
    })
}

pub(super) fn read(project: &Project, order: &KeyOrder, level: &Object) -> Option<Level> {
    let file: LevelFile = level.rest_as()?;
    let [value, bound] = [("value", &file.value), ("bound", &file.bound)].map(|(field, found)| {
        let read = match file.level {
            Aim::WeightedDeferred | Aim::Deferred(_) => object::whole(found).ok_or("a whole number"),
            Aim::Money => object::money(found).map(Money::parts).ok_or("money as text"),
            Aim::Fluid => object::litres(found).map(|amount| amount.0).ok_or("litres to the millilitre"),
        };
        let wrong = |expected| level.wrong(field, format!("expected {expected}, found {}", kind(found)));
        read.map_err(wrong).ok()
    });
    let certificate = certificate::read(project, order, level, file.level, &file.certificate);
    Some(Level { aim: file.level, value: value?, bound: bound?, proof: file.proof, certificate: certificate? })
}

/// Value, bound and proof of a level in the form of plan.json, without the certificate.
pub fn stated(level: &Level) -> Value {
    let (value, bound) = as_shown(level);
    json!({
        "level": level.aim.name(),
        "value": amount(level.aim, value),
        "bound": amount(level.aim, bound),
        "proof": level.proof.name(),
    })
}

/// A value or a bound in the form of its level.
fn amount(aim: Aim, number: i64) -> Value {
    match aim {
        Aim::WeightedDeferred | Aim::Deferred(_) => json!(number),
        Aim::Money => json!(Money::from_parts(number).text()),
        Aim::Fluid => litres(Millilitres(number)),
    }
}

/// The gap of the first level whose bound does not reach its value, as a ratio of what a file shows: a count's over the
/// rows of that priority in the decision (all, each with its weight, for a weighted number), money's and litres' over the value. 0 where every bound does.
pub fn gap(project: &Project, plan: &Plan) -> f64 {
    let short = |level: &&Level| as_shown(level).1 < as_shown(level).0;
    plan.levels.iter().find(short).map_or(0.0, |level| gap_of(project, plan, level))
}

/// The gap of one level.
pub fn gap_of(project: &Project, plan: &Plan, level: &Level) -> f64 {
    let (value, bound) = as_shown(level);
    let whole = match level.aim {
        Aim::WeightedDeferred => {
            let weights = project.settings.weights_in_force().unwrap_or([0; 4]);
            let lots = |(priority, weight): (u8, u32)| f64::from(weight) * rows_decided(project, plan, priority) as f64;
            (1..).zip(weights).map(lots).sum()
        }
        Aim::Deferred(priority) => rows_decided(project, plan, priority) as f64,
        Aim::Money | Aim::Fluid => value as f64,
    };
    let short = value as f64 - bound as f64;
    if short == 0.0 || whole == 0.0 { 0.0 } else { short / whole }
}

/// Rows of a priority that were decided upon: placed within the money, or deferred.
fn rows_decided(project: &Project, plan: &Plan, priority: u8) -> usize {
    let counts = |specimen: usize| project.collection.specimens[specimen].priority == priority;
    let asked = |outcome| !matches!(outcome, Outcome::NeedsDecision | Outcome::Held);
    let rows = plan.placements.iter().filter(|row| asked(row.outcome) && counts(row.specimen)).count();
    let outside = plan.tanks.iter().filter(|tank| tank.cost.is_none() && counts(tank.specimen)).count();
    rows.saturating_sub(outside)
}

/// Value and bound of a level as a file shows them: money rounded to four places, a bound that does not reach its value
/// kept below it.
pub fn as_shown(level: &Level) -> (i64, i64) {
    if level.aim != Aim::Money {
        return (level.value, level.bound);
    }
    let value = nearest_place(level.value);
    if level.bound >= level.value {
        return (value, nearest_place(level.bound));
    }
    let below = level.bound.div_euclid(PLACE).saturating_mul(PLACE);
    (value, below.min(value.saturating_sub(PLACE)))
}

/// Money rounded to four places, as a file shows it.
pub fn nearest_place(parts: i64) -> i64 {
    parts.saturating_add(PLACE / 2).div_euclid(PLACE).saturating_mul(PLACE)
}

/// Ten-millionths in the last place that money shows.
const PLACE: i64 = Money::PER_UNIT / 10_000;
