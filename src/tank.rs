//! The custom tank: glass plates bonded with silicone, computed, cut and priced.
//!
//! [`plate`] bends a pane, [`glass`] says what it is made of, [`seams`] what the joints carry, [`brace`] sizes strips round
//! the rim, [`clear`] and [`density`] say how large it is and how dense its fluid, [`design`] finds the cheapest construction
//! that passes, [`limits`] says why none does, [`panes`] cuts it, [`sheets`] nests it, [`cost`] prices it and [`remarks`] says
//! the rest. Planning figures only: annealed glass under a load that never goes away; a competent fabricator and
//! local rules decide. Impact, handling, earthquake and sudden heat are outside all of it.

pub mod brace;
pub mod clear;
pub mod cost;
pub mod density;
pub mod design;
pub mod glass;
pub mod limits;
pub mod panes;
pub mod plate;
pub mod remarks;
pub mod seams;
pub mod sheets;
