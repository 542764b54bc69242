//! Decides which fluid-preserved specimen goes into which vessel, what to order and how much fluid to make up.
//!
//! Five functions make a whole run: [`read`] a project folder, [`decide`], make the [`plan`](fn@plan), [`audit`](fn@audit) it
//! and [`write`](fn@write) its folder.
//!
//! ```
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let inputs = rehouse::read("demo-data".as_ref()).map_err(|wrong| format!("{wrong:#?}"))?;
//! let decided = rehouse::decide(&inputs.project);
//! let plan = rehouse::plan(&inputs.project, &decided);
//! assert!(rehouse::audit(&inputs.project, &plan).is_empty(), "a plan agrees with its inputs");
//! let folder = tempfile::tempdir()?;
//! rehouse::write(&inputs, &plan, &folder.path().join("plan"))?;
//! println!("{} lots placed, {} to pay", plan.totals.placed, plan.totals.to_pay.text());
//! # Ok(())
//! # }
//! ```
//!
//! These five functions and the types they name are meant to last. The modules are public for the program and its tests alone and
//! change without notice. Data flows one way through them: [`intake`] reads files into a [`project`]; [`options`] judges every
//! specimen against every vessel; [`assign`] turns the options into a [`decision`]; [`plan`](mod@plan) is the one value that
//! every [`report`] is made from; [`audit`](mod@audit) re-derives it from the inputs before [`output`] puts anything in place.
//!
//! Without the feature `program` (on by default) there is no command line, no signal is watched, no thread is started and no
//! clock is read: time limits do not hold, and the caller's own `stop` ends a search.

// A conversion that may cut a number or lose its sign goes through `units`, never through `as`. (Unit tests cast small numbers.)
#![cfg_attr(not(test), warn(clippy::cast_possible_truncation, clippy::cast_possible_wrap, clippy::cast_sign_loss))]

// Unstable: public only for the program, its tests and its benches.
pub mod answers_audit;
pub mod assign;
pub mod audit;
#[cfg(feature = "program")]
pub mod cli;
pub mod collection;
#[cfg(feature = "program")]
pub mod commands;
pub mod comparison;
pub mod decision;
pub mod diagnostics;
mod facade;
pub mod fit;
pub mod fluid;
pub mod inquiry;
pub mod intake;
pub mod options;
pub mod output;
pub mod plan;
pub(crate) mod plan_folder;
pub mod project;
pub mod report;
pub mod rules;
pub mod saved;
pub mod settings;
pub mod starter;
pub mod stock;
pub mod system;
pub mod tank;
pub mod units;
pub mod words;

pub use facade::{Decided, Inputs, audit, decide, plan, read, write};
