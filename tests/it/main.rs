//! The one integration crate. Every module has one sentence here; give a new one its own.
//!
//! Every test uses the public library or the real binary, on files made for the case.

/// A correct plan passes the audit; each single wrong in a plan is found.
mod audit_mutations;
/// What an experienced keeper does by hand: a body turned below the neck, a tight coil.
mod by_hand;
/// Certificates: the audit's bounds against the formula and against all plans, wrong certificates, and their form in plan.json.
mod certificates;
/// What differs between two plans, and why.
mod comparison;
/// Bodies in rooms, leaning, coiled and through mouths: published criteria, worked cases, sampled rotations.
mod containment;
/// The solver's decisions against an exact judge that shares no code with it.
mod decision_oracle;
/// The demo project gives what README shows of it.
mod demo;
/// Reasons, licences and versions of what the project is built of.
mod dependencies;
/// Bad inputs by kind, limits, signals, faults of the system, and data that would act on a terminal.
mod faults;
/// Densities, expansion and headspace of the fluids against printed tables.
mod fluid_densities;
/// Fluid in whole plans: ladders, fillings, kept fluid, loss, tax, containers, disposal.
mod fluid_in_plan;
/// Dilution, restoring, topping up: pharmacopoeias, the classical table, and laws of every mixture.
mod fluid_mixing;
/// Fluid on the shelf is used first: small projects against every assignment, and cases by hand.
mod fluid_on_the_shelf;
/// Formalin, neutral buffer and Kaiserling's mountant by their published amounts.
mod fluid_recipes;
/// Tissue water, fillings, ladders of baths, and evaporation.
mod fluid_tissue;
/// Forms: columns, workbooks, the starter, plan.xlsx.
mod forms;
/// Inputs that a search for faults kept, and a minute of changes to them.
mod fuzzing;
/// The first lines of a plan, compared with its facts.
mod headline;
/// Vessels to look for, and the lots that each would serve.
mod look_for;
/// Thousands of vessels: a subset of them is decided, and the bound holds for all.
mod many_vessels;
/// Published measurements of fish, turtles, crabs and oysters, planned.
mod open_data;
/// The verdict on every pair of a random specimen and a random vessel, against an independent implementation of the rules.
mod options_oracle;
/// The papers to read, print and fill in: well formed, true to the plan, readable by everybody, small.
mod papers;
/// Priorities by rank and by weight.
mod priorities;
/// Relations between a plan and the plan of a changed project.
mod properties;
/// Whole plans against published optima of the warehouse location problem.
mod published_optima;
/// The planner's questions: curves against published fronts and enumeration, prices against plans made by hand.
mod questions;
/// Pseudorandom numbers, the same in every run.
mod random;
/// Reading: every diagnostic code with its place, dialects, rows left out, no panics.
mod reading;
/// Closures renewed while specimens are kept.
mod renewals;
/// The built-in tables are complete, unambiguous, with sources, and equal to published values.
mod rules_tables;
/// plan.json reads back to an equal plan; errors in the file are named.
mod saved_plan;
/// The complete screen output of every command.
mod screens;
/// Small whole projects against optima of an outside solver.
mod small_projects;
/// Structure of the source: module order, forbidden names, circles of use, type names.
mod structure;
/// A project folder made for one case, planned and audited with the real binary.
mod support;
/// Odd arguments, refused threads and very long texts do not crash the program.
mod survives;
/// Answers about tanks on which another program disagreed.
mod tank_answers;
/// Tanks in a plan: a loose lid, the cold density, sizes that several tanks share.
mod tank_choices;
/// Whole tanks: worked examples, laws, refusals, money.
mod tank_designs;
/// Single figures of tanks against finite elements, and the order of work that follows from them.
mod tank_figures;
/// The sheet for the glazier, and large vessels of other materials.
mod tank_glazier;
/// Bending of panes against a double series, an energy solution and published tables.
mod tank_plates;
/// Panes nested onto stock sheets.
mod tank_sheets;
/// Nesting against published bin packing instances.
mod tank_sheets_published;
/// General knowledge of the trade, tested on the default rules.
mod trade_facts;
/// Why a row waits, and what would place it.
mod waiting;
/// Nothing depends on the wording of a sentence: the same plan, numbers and audit under another wording.
mod wording;
/// Hours, days, baths and when work can begin, against published figures and by hand.
mod work;
/// A folder of output is replaced whole or not at all, and nobody's files are lost.
mod writing;
