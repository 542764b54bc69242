//! What the cells of a survey refer to.

use std::sync::Arc;

use super::names::VesselNames;
use crate::collection::Particulars;
use crate::rules::Rules;
use crate::stock::Stock;

/// What the cells of a survey refer to.
pub struct References<'r> {
    /// The rules in force.
    pub rules: &'r Rules,
    /// The stock list.
    pub stock: &'r Stock,
    /// Its names, with those of rows that could not be read.
    pub vessel_names: &'r VesselNames,
    /// Years a specimen stays where the row does not say.
    pub keep_years: f64,
    /// Rows with errors are left out: what refers to such a row cannot be read either.
    pub skips_bad_rows: bool,
    /// What rows share of which no particulars are stated.
    pub nothing_more: Arc<Particulars>,
}
