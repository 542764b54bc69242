//! Decides which fluid-preserved specimen goes into which vessel, what to order and how much fluid to make up.
//!
//! Data flows one way: `intake` reads files into a [`project`]; [`options`] judges every specimen against every
//! vessel; `assign` turns the options into a [`decision`]; [`plan`] is the one value every `report` is made from;
//! `audit` re-derives it from the inputs before `output` writes anything.

pub mod assign;
pub mod audit;
pub mod cli;
pub mod collection;
pub mod commands;
pub mod decision;
pub mod diagnostics;
pub mod fit;
pub mod fluid;
pub mod intake;
pub mod interrupt;
pub mod options;
pub mod output;
pub mod plan;
pub mod project;
pub mod report;
pub mod rules;
pub mod saved;
pub mod settings;
pub mod starter;
pub mod stock;
pub mod tank;
pub mod threads;
pub mod units;
pub mod words;
