//! The one integration crate. Each module has a sentence; add new ones here.
//!
//! Everything goes through the public library or the real binary, on files made for the case.

/// Correct plans pass the audit, and single wrongs are found.
mod audit_mutations;
/// What a keeper does by hand: turned below a neck, coiled tight.
mod by_hand;
/// Certificates: recomputed bounds against the formula and all plans, wrongs, and how they stand in a file.
mod certificates;
/// Bodies in rooms, leaning, coiled and through mouths: published criteria, worked cases, and sampled rotations.
mod containment;
/// The solver's decisions against an exact judge that shares no code with it.
mod decision_oracle;
/// The demo project is what README says of it.
mod demo;
/// Reasons, licences and versions of what the project is built of.
mod dependencies;
/// Bad inputs by kind, limits, signals, faults of the system, and data that would act on a terminal.
mod faults;
/// Densities, expansion and headspace of the fluids against printed tables.
mod fluid_densities;
/// Fluid in whole plans: ladders, fillings, kept fluid, loss, tax, containers, disposal.
mod fluid_in_plan;
/// Dilution, restoring, topping up: pharmacopoeias, the classical table, and what must hold of any mixture.
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
/// What a plan says first: counted from facts.
mod headline;
/// Vessels to look for serve whoever finds them.
mod look_for;
/// Thousands of vessels: a core of them is decided, and the whole is bounded.
mod many_vessels;
/// Published measurements of fish, turtles, crabs and oysters, planned.
mod open_data;
/// Every verdict on random specimens and vessels against a second working of the rules.
mod options_oracle;
/// The papers to read, print and fill in: well formed, true to the plan, readable by everybody, small.
mod papers;
/// What must hold between a plan and the plan of a changed project.
mod properties;
/// Whole plans against published optima of the warehouse location problem.
mod published_optima;
/// Reading: every code with its place, dialects, rows left out, nothing that panics.
mod reading;
/// Closures renewed while specimens are kept.
mod renewals;
/// The compiled-in tables are whole, unambiguous, sourced and equal to published values.
mod rules_tables;
/// plan.json reads back to itself, and what is wrong in it is named.
mod saved_plan;
/// What a person sees of every command, whole.
mod screens;
/// Small whole projects against optima of an outside solver.
mod small_projects;
/// The order of the modules and what each must not know, read off the `use` lines.
mod structure;
/// A project folder made for one case, planned and audited with the real binary.
mod support;
/// Odd arguments, refused threads and endless texts end nothing.
mod survives;
/// What the program answers of tanks that another program contradicted.
mod tank_answers;
/// Tanks in a plan: a loose lid, the cold density, sizes that several tanks share.
mod tank_choices;
/// Whole tanks: worked examples, laws, refusals, money.
mod tank_designs;
/// Single figures of tanks against finite elements, and the order of work that follows from them.
mod tank_figures;
/// The sheet for the glazier, and what else may hold a fluid.
mod tank_glazier;
/// Bending of panes against a double series, an energy solution and published tables.
mod tank_plates;
/// Panes nested onto stock sheets.
mod tank_sheets;
/// Nesting against published bin packing instances.
mod tank_sheets_published;
/// What the trade takes for granted, asked of the default rules.
mod trade_facts;
/// Why a row waits, and what would let it in.
mod waiting;
/// Nothing reads a sentence: the same plan, numbers and audit under another wording.
mod wording;
/// Hours, days, baths and what can begin when, against published figures and by hand.
mod work;
/// A folder of output is replaced whole or not at all, and nothing of anybody's is lost.
mod writing;
