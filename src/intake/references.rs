//! Values that survey cells refer to.

use std::sync::Arc;

use super::names::VesselNames;
use crate::collection::Particulars;
use crate::rules::Rules;
use crate::stock::Stock;

/// Values that survey cells refer to, and what all survey rows share.
pub struct References<'r> {
    /// The rules in force.
    pub rules: &'r Rules,
    /// The stock list.
    pub stock: &'r Stock,
    /// Names typed in the stock list, including those of rows that could not be read.
    pub vessel_names: &'r VesselNames,
    /// Years that a specimen is to stay in its vessel where the row does not say.
    pub keep_years: f64,
    /// Rows with errors are left out, so a vessel may be missing because its row was.
    pub skips_bad_rows: bool,
    /// The one empty value shared by all rows that state no particulars.
    pub nothing_more: Arc<Particulars>,
}
