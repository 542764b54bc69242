//! The custom tank: glass plates bonded with silicone, computed, cut and priced.
//!
//! [`plate`] bends a pane, [`glass`] says what it is made of, [`seams`] what the joints carry, [`brace`] sizes strips round
//! the rim and [`lid`] the lid, [`clear`] and [`density`] say how large it is and how dense its fluid, `bending` what one
//! construction bears and `gas` what gas it takes beside, [`design`] finds the cheapest that passes, [`limits`] says why none
//! does, [`panes`] cuts it, [`sheets`] nests it, [`cost`] prices it, [`order`] puts the work in order, [`remarks`] says the
//! rest and [`ways_out`] what else may hold the fluid. Planning figures only: annealed glass under a load that never goes away; a competent fabricator and
//! local rules decide. Impact, handling, earthquake and sudden heat are outside all of it.

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
