//! Plans and diagnostics for the terminal, as CSV, as workbooks and on paper. Each function takes what it shows, and returns text
//! or bytes.

mod columns;
pub mod comparison;
pub mod csv;
pub mod curve;
pub mod diagnostics;
pub mod drawing;
pub mod fire_sheet;
pub mod fluids;
pub mod glazier;
pub mod html;
pub mod instead;
pub mod labels;
mod left_out;
pub mod message;
pub mod mix;
mod natural;
pub mod options;
pub mod rules;
pub mod schema;
pub mod sizes;
pub mod summary;
mod table;
pub mod tank;
pub mod threshold;
pub mod transfer_sheets;
pub(crate) mod understood;
pub mod visible;
pub mod why;
pub mod work;
pub mod wrapping;
pub mod xlsx;
