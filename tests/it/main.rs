//! The one integration crate. Each module has a sentence; add new ones here.
//!
//! Everything goes through the public library or the real binary, on files made for the case.

/// The solver's decisions against an exact judge that shares no code with it.
mod decision_oracle;
/// Bodies in rooms, leaning, coiled and through mouths: published criteria, worked cases, and sampled rotations.
mod containment;
mod rules_tables; // The compiled-in tables are whole, unambiguous, sourced and equal to published values.
/// The order of the modules and what each must not know, read off the `use` lines.
mod structure;
/// A folder of output is replaced whole or not at all, and nothing of anybody's is lost.
mod writing;
/// Published measurements of fish, turtles, crabs and oysters, planned.
mod open_data;
/// Whole plans against published optima of the warehouse location problem.
mod published_optima;
/// A project folder made for one case, planned and audited with the real binary.
mod support;
