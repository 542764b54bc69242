//! A whole project as read: survey, stock, rules and settings in one value, which every later step is given.

use crate::collection::Collection;
use crate::rules::Rules;
use crate::settings::Settings;
use crate::stock::Stock;

/// Everything a plan is made from.
#[derive(Clone, Debug, Default)]
pub struct Project {
    /// The survey.
    pub collection: Collection,
    /// The stock list with its suppliers.
    pub stock: Stock,
    /// The rules in force.
    pub rules: Rules,
    /// The settings in force.
    pub settings: Settings,
    /// True where a suppliers' file was given.
    pub suppliers_given: bool,
}
