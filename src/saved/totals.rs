//! The sums of a plan in plan.json, both ways.

use serde::{Deserialize, Serialize};

use super::quantities::{count, litres, money, whole};
use crate::plan::Totals;
use crate::units::{Millilitres, Money};

/// The fields of [`Totals`] as they stand in the file.
#[derive(Serialize, Deserialize)]
#[serde(remote = "Totals", deny_unknown_fields)]
pub(super) struct TotalsFile {
    #[serde(with = "count")]
    placed: usize,
    #[serde(with = "count")]
    on_hand: usize,
    #[serde(with = "count")]
    order: usize,
    #[serde(with = "count")]
    custom_tank: usize,
    #[serde(with = "count")]
    unpriced_tanks: usize,
    #[serde(with = "count")]
    deferred: usize,
    #[serde(with = "count")]
    needs_decision: usize,
    #[serde(with = "count")]
    held: usize,
    #[serde(with = "money")]
    purchase: Money,
    #[serde(with = "money")]
    delivery: Money,
    #[serde(with = "money")]
    fluid: Money,
    #[serde(with = "money")]
    tanks: Money,
    #[serde(with = "money")]
    money: Money,
    #[serde(with = "money")]
    saved_by_sharing: Money,
    #[serde(with = "whole")]
    minutes: i64,
    #[serde(with = "money")]
    labour: Money,
    #[serde(with = "money")]
    labour_counted: Money,
    #[serde(with = "money")]
    disposal: Money,
    #[serde(with = "money")]
    containers: Money,
    #[serde(with = "money")]
    to_pay: Money,
    #[serde(with = "litres")]
    litres: Millilitres,
}
