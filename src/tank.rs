//! The custom tank: glass plates bonded with silicone, computed, cut and priced.
//!
//! [`clear`] and [`density`] give its clear size and the density of its fluid. [`plate`] computes the bending of a pane, [`glass`]
//! its allowable stress, [`seams`] the stress of the joints; [`brace`] sizes strips round the rim, and [`lid`] the lid. `bending`
//! puts these together for one construction, and `gas` adds the gas pressure that it can take. [`design`] finds the cheapest
//! construction that passes, [`limits`] says why none does, [`panes`] makes the cut list, [`sheets`] nests it, [`cost`] prices it,
//! [`order`] lists the steps of work, [`remarks`] the warnings, and [`ways_out`] what else may hold the fluid.
//!
//! Planning figures only, for annealed glass under a permanent load: a competent fabricator and local rules decide. Impact,
//! handling, earthquake and thermal shock are left out.

mod bending;
pub mod brace;
pub mod clear;
mod construction;
pub mod cost;
pub mod density;
pub mod design;
mod gas;
pub mod glass;
pub mod lid;
pub mod limits;
pub mod order;
pub mod panes;
pub mod plate;
pub mod remarks;
pub mod seams;
pub mod sheets;
pub mod ways_out;
