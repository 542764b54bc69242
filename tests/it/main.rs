//! The one integration crate. Each module has a sentence; add new ones here.
//!
//! Everything goes through the public library or the real binary, on files made for the case.

/// Published measurements of fish, turtles, crabs and oysters, planned.
mod open_data;
/// Every verdict on random specimens and vessels against a second working of the rules.
mod options_oracle;
/// Whole plans against published optima of the warehouse location problem.
mod published_optima;
/// A project folder made for one case, planned and audited with the real binary.
mod support;
/// What the trade takes for granted, asked of the default rules.
mod trade_facts;
