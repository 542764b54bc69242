//! Forms that people fill in and receive, in every file format.

/// Command-line arguments, and their results on a terminal.
mod command_line;
/// plan.xlsx agrees with the plan, and its formulas give its values.
mod plan_book;
/// The columns are described in the same way everywhere.
mod schema;
/// The folder to fill in.
mod starter;
/// Workbooks are read like CSV, with sheet and cell as places.
mod workbooks;
