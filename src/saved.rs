//! A plan as `plan.json`: written from a [`Plan`] and read back into one.
//!
//! The form is `rehouse-plan/1`. Rows are named by their key columns (the blank ones left out), as in `placements.csv`, vessels, fluids and
//! suppliers by their ids, an offer by its vessel and its line in the stock list. A missing value is `null`, never
//! left out. Only rows in `placements` leave out empty values (`null`, zero baths, days, pieces or millilitres kept, no
//! review, a mark that is not set), because there may be a million rows. Each row stands on a line of its
//! own, and so does each item of the other lists. Units stand in the names: lengths `_mm`, single fillings `_ml` (whole), ratios `_pct`, anything named
//! `litres` in litres. Lengths, shares and years have at most three decimals.
//!
//! Money is text, a decimal of at most four places. Inside, money is exact to seven places, so a plan read back agrees
//! with the one written once both are rounded to what a file shows; the audit compares them so.
//!
//! A tank, its panes, warnings and steps of work have each fact as an id or a number, and beside it its words. Facts are
//! read; words that differ from those of the facts are refused.
//!
//! Levels are those of the decision. Where tanks share sizes, a step after it, `totals` are lower in money by
//! `saved_by_sharing` and may be higher in litres.
//!
//! A level's `value` and `bound` are whole rows for a count, money as text for `money`, litres for `fluid`. A bound
//! that does not reach its value is rounded down, and stays below the value when both are rounded. Its `certificate` is as
//! in `saved/certificate.rs`.

mod certificate;
mod fluids;
mod lines;
mod names;
mod object;
mod orders;
mod quantities;
mod reading;
mod reason;
mod rows;
mod tank_facts;
mod tank_limits;
mod tanks;
mod totals;
mod typed;
mod wants;
mod warnings;
mod whole;

use std::io::{self, Write};

use serde::{Serialize, Serializer};
use serde_json::{Map, Number, Value, json};

use certificate::KeyOrder;
use lines::JsonLine;

use crate::collection::Key;
use crate::decision::{Aim, Level};
use crate::fit::Stance;
use crate::options::Marks;
use crate::plan::{Outcome, Placement, Plan, Reason, Want};
use crate::project::Project;
use crate::rules::FluidId;
use crate::units::{Length, Millilitres, Money, decimal};
use crate::words;

pub use reading::{files, from_json, version};

/// The name and version of the format.
pub const SCHEMA: &str = "rehouse-plan/1";

/// The one file beside a plan that people write in: it is listed without a digest.
pub const BENCH_RECORD: &str = "done.xlsx";

/// A file beside a plan: its name, and its SHA-256 in hexadecimal; `None` for the bench record.
pub type Listed = (String, Option<String>);

/// A plan as JSON, with the files written beside it.
///
/// # Panics
/// If the plan names rows, vessels, offers, fluids or suppliers that the project does not have.
pub fn to_json(project: &Project, plan: &Plan, files: &[Listed]) -> Vec<u8> {
    let mut json = Vec::new();
    write_json(project, plan, files, &mut json).expect("memory takes all");
    json
}

/// Writes the same piece by piece: a large plan is never held as text.
///
/// # Errors
/// Where it cannot be written.
///
/// # Panics
/// As [`to_json`].
pub fn write_json(project: &Project, plan: &Plan, files: &[Listed], out: &mut dyn Write) -> io::Result<()> {
    let file = |(name, digest): &Listed| match digest {
        Some(digest) => json!({"name": name, "sha256": digest}),
        None => json!({"name": name}),
    };
    let order = KeyOrder::of(project);
    let before = json!({
        "schema": SCHEMA,
        "skipped_rows": plan.skipped_rows,
        "program": {"name": env!("CARGO_PKG_NAME"), "version": env!("CARGO_PKG_VERSION")},
        "status": plan.status.name(),
        "gap": gap(project, plan),
        "levels": plan.levels.iter().map(|line| level(project, &order, line)).collect::<Vec<_>>(),
        "totals": totals::written(&plan.totals),
    });
    let after = json!({
        "purchases": plan.purchases.iter().map(|line| orders::purchase(project, line)).collect::<Vec<_>>(),
        "deliveries": plan.deliveries.iter().map(|line| orders::delivery(project, line)).collect::<Vec<_>>(),
        "tanks": plan.tanks.iter().map(|line| tanks::written(project, line)).collect::<Vec<_>>(),
        "sheets": plan.sheets.iter().map(|sheet| tanks::sheet_written(project, sheet)).collect::<Vec<_>>(),
        "make_up": plan.make_up.iter().map(|line| fluids::make_up_written(project, line)).collect::<Vec<_>>(),
        "fluid_orders": plan.fluid_orders.iter().map(fluids::order_written).collect::<Vec<_>>(),
        "spent": plan.spent.iter().map(fluids::spent_written).collect::<Vec<_>>(),
        "spent_not_stated": plan.spent_not_stated,
        "flammable": plan.flammable.iter().map(fluids::flammable_written).collect::<Vec<_>>(),
        "wants": plan.wants.iter().map(|want| wants::written(project, want)).collect::<Vec<_>>(),
        "warnings": warnings::warnings(project, plan),
        "cautions": warnings::cautions(project, plan),
        "prices_not_yours": warnings::default_prices(project, plan),
    });
    let files = json!({"files": files.iter().map(file).collect::<Vec<_>>()});
    out.write_all(b"{\n")?;
    lines::fields(&before, out)?;
    lines::placements(&plan.placements, |row, line| placement(project, row, line), out)?;
    lines::fields(&after, out)?;
    writeln!(out, "  \"files\": {}\n}}", files["files"])
}

/// A reason as a file holds it, without its words: equal where the facts are.
pub fn reason_in_file(project: &Project, reason: &Reason) -> impl PartialEq + use<> {
    reason::written(project, reason)
}

/// What to look for as a file holds it, without its words.
pub fn want_in_file(project: &Project, want: &Want) -> impl PartialEq + use<> {
    (wants::wanted_written(project, &want.wanted), want.instead_of)
}

/// The gap of the first level whose bound does not reach its value, as a ratio of what a file shows: a count's over the
/// rows of that priority in the decision, money's and litres' over the value. 0 where every bound does.
pub fn gap(project: &Project, plan: &Plan) -> f64 {
    let short = |level: &&Level| as_shown(level).1 < as_shown(level).0;
    plan.levels.iter().find(short).map_or(0.0, |level| gap_of(project, plan, level))
}

/// The gap of one level.
pub fn gap_of(project: &Project, plan: &Plan, level: &Level) -> f64 {
    let (value, bound) = as_shown(level);
    let whole = match level.aim {
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

fn level(project: &Project, order: &KeyOrder, level: &Level) -> Value {
    let mut stated = stated(level);
    stated["certificate"] = certificate::written(project, order, level);
    stated
}

/// What is said of a level: its value, its bound, and whether that is a proof.
pub fn stated(level: &Level) -> Value {
    let (value, bound) = as_shown(level);
    let amount = |number: i64| match level.aim {
        Aim::Deferred(_) => json!(number),
        Aim::Money => json!(Money::from_parts(number).text()),
        Aim::Fluid => litres(Millilitres(number)),
    };
    json!({
        "level": level.aim.name(),
        "value": amount(value),
        "bound": amount(bound),
        "proof": level.proof.name(),
    })
}

fn placement(project: &Project, row: &Placement, line: &mut JsonLine) {
    let specimen = &project.collection.specimens[row.specimen];
    let fit = row.fit.as_ref();
    let not_zero = |whole: i64| Some(whole).filter(|whole| *whole != 0);
    for (column, cell) in key_columns(&specimen.key) {
        match column {
            CATALOG_NUMBER => line.text(column, cell),
            _ => line.some_text(column, Some(cell)),
        }
    }
    line.text("outcome", row.outcome.name());
    line.some_text("vessel", row.vessel.map(|vessel| project.stock.vessel(vessel).id.as_str()));
    line.some_whole("vessels_used", fit.map(|fit| i64::from(fit.pieces)));
    line.some_whole("pieces_on_hand", not_zero(i64::from(row.pieces_on_hand)));
    line.some_text("posture", fit.and_then(|fit| fit.stance).map(Stance::name));
    line.flag("leaning", fit.is_some_and(|fit| fit.leaning));
    line.some_number("wall_gap_mm", fit.and_then(|fit| fit.wall_gap).map(Length::mm));
    line.some_number("cover_mm", fit.and_then(|fit| fit.cover).map(Length::mm));
    line.some_number("mouth_gap_mm", fit.and_then(|fit| fit.mouth_gap).map(Length::mm));
    line.some_number("tissue_share_pct", fit.and_then(|fit| fit.tissue_share).map(|share| share * 100.0));
    line.some_number("life_years", fit.and_then(|fit| fit.life_years));
    line.text("fluid", &project.rules.fluid(specimen.fluid).id);
    line.some_whole("charges", row.fluid.map(|_| i64::from(row.charges)));
    line.some_whole("reused_ml", row.fluid.and_then(|_| not_zero(row.reused.0)));
    line.some_value("baths", Some(row.baths.iter().map(|bath| bath_written(project, bath)).collect()));
    line.some_number("bath_days", Some(row.bath_days).filter(|days| *days != 0.0));
    line.some_whole("filled_ml", fit.map(|fit| fit.filled.0));
    line.some_whole("tissue_ml", fit.map(|fit| fit.tissue.0));
    line.some_whole("fluid_ml", row.fluid.map(|fluid| fluid.0));
    line.some_text("fluid_cost", row.fluid_cost.map(Money::text).as_deref());
    line.some_value("marks", Some(marks(row.marks)));
    line.text("reason", &words::reason(project, row));
    line.value("why", &reason::written(project, &row.reason));
    line.some_text("review", Some(&words::review(row.marks)));
    if let Some(miss) = row.near_miss.as_deref() {
        line.value("near_miss", &reason::refused(project, miss));
    }
}

fn bath_written(project: &Project, (fluid, amount): &(FluidId, Millilitres)) -> Value {
    json!({"fluid": project.rules.fluid(*fluid).id, "ml": amount.0})
}

/// The names of the marks that are set.
fn marks(marks: Marks) -> Value {
    let marks = [
        ("unproven", marks.unproven),
        ("tissue_estimated", marks.tissue_estimated),
        ("size_from_vessel", marks.size_from_vessel),
        ("leaning", marks.leaning),
        ("renewed", marks.renewed),
        ("turned_in", marks.turned_in),
        ("tight_coil", marks.tight_coil),
        ("steps_unknown", marks.steps_unknown),
        ("fillings_unknown", marks.fillings_unknown),
        ("very_loose", marks.very_loose),
        ("strength_not_known", marks.strength_not_known),
        ("doubtful_pair", marks.doubtful_pair),
        ("loose_lid", marks.loose_lid),
    ];
    marks.into_iter().filter(|(_, set)| *set).map(|(mark, set)| (mark.to_owned(), json!(set))).collect()
}

/// The key columns that are not blank, `catalogNumber` always, then the fields of `rest`.
fn keyed(key: &Key, rest: Value) -> Value {
    let mut fields = Map::new();
    for (column, cell) in key_columns(key) {
        if column == CATALOG_NUMBER || !cell.is_empty() {
            fields.insert(column.to_owned(), json!(cell));
        }
    }
    if let Value::Object(rest) = rest {
        fields.extend(rest);
    }
    Value::Object(fields)
}

/// The key columns by name.
fn key_columns(key: &Key) -> [(&'static str, &str); 4] {
    [
        (CATALOG_NUMBER, &key.catalog_number),
        ("institutionCode", &key.institution),
        ("collectionCode", &key.collection),
        ("part", &key.part),
    ]
}

const CATALOG_NUMBER: &str = "catalogNumber";

/// A number with at most three decimals, and none where it is whole.
fn number(number: f64) -> Value {
    decimal(number, 3).parse::<Number>().map_or(Value::Null, Value::Number)
}

/// The same while a form of its own is written.
fn shown<S: Serializer>(amount: &f64, out: S) -> Result<S::Ok, S::Error> {
    number(*amount).serialize(out)
}

/// The same, where there is one.
fn shown_if<S: Serializer>(amount: &Option<f64>, out: S) -> Result<S::Ok, S::Error> {
    amount.map(number).serialize(out)
}

fn litres(amount: Millilitres) -> Value {
    let sign = if amount.0 < 0 { "-" } else { "" };
    let (whole, rest) = (amount.0.unsigned_abs() / 1000, amount.0.unsigned_abs() % 1000);
    format!("{sign}{whole}.{rest:03}")
        .trim_end_matches('0')
        .trim_end_matches('.')
        .parse::<Number>()
        .map_or(Value::Null, Value::Number)
}
