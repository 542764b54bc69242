//! The fluids as liquids: density, expansion, mixing, and how the liquid in tissue changes their strength.
//!
//! Mixtures are calculated by mass, because masses add and volumes do not. Strengths of alcohols are by volume at 20 °C,
//! those of glycerol by mass, those of formaldehyde in grams a litre. Nothing here knows the specimens or the settings.

pub mod cautions;
pub mod containers;
pub mod curve;
pub mod ethanol;
pub mod evaporation;
pub mod flash;
pub mod formaldehyde;
pub mod mixing;
pub mod mountant;
pub mod parts;
pub mod recipe;
pub mod solution;
pub mod tissue;

pub use mixing::{Blend, LiquidPart, TopUp, blend, pour_together, top_up};
pub use solution::{Solute, Solution};
