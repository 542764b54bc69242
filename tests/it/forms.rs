//! Forms: what a person fills in and is handed, in all the shapes it comes in.

/// What is typed after `rehouse`, and what comes of it on a terminal.
mod command_line;
/// plan.xlsx says what the plan says, and its formulas come to it.
mod plan_book;
/// The columns, said in one way everywhere.
mod schema;
/// The folder to fill in.
mod starter;
/// Workbooks are read as CSV is, with sheet and cell as places.
mod workbooks;
