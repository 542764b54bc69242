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

mod answers;
mod certificate;
mod fluids;
mod keys;
mod levels;
mod lines;
mod names;
mod object;
mod orders;
mod placements;
mod plan_file;
mod quantities;
mod reading;
mod reason;
mod tank_facts;
mod tank_limits;
mod tanks;
mod totals;
mod typed;
mod wants;
mod warnings;
mod whole;

use serde_json::{Number, Value};

use crate::plan::{Plan, Reason, Want};
use crate::project::Project;
use crate::units::{Millilitres, decimal};

pub use levels::{as_shown, gap, gap_of, nearest_place, stated};
pub use plan_file::write_json;
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

/// A reason as a file holds it, without its words: equal where the facts are.
pub fn reason_in_file(project: &Project, reason: &Reason) -> impl PartialEq + use<> {
    reason::written(project, reason)
}

/// What to look for as a file holds it, without its words.
pub fn want_in_file(project: &Project, want: &Want) -> impl PartialEq + use<> {
    (wants::wanted_written(project, &want.wanted), want.instead_of)
}

/// A number with at most three decimals, and none where it is whole.
fn number(number: f64) -> Value {
    decimal(number, 3).parse::<Number>().map_or(Value::Null, Value::Number)
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
