//! The columns of an input file, for a terminal.

use super::old_table::in_full;

/// One column as four cells: name, whether it is needed, what it holds, what it means.
pub type Described = [String; 4];

/// The columns of one file.
pub fn columns(file: &str, described: &[Described]) -> String {
    let rows: Vec<Vec<String>> = described.iter().map(|cells| cells.to_vec()).collect();
    in_full(file, &["column", "needed", "holds", "meaning"], &rows, &[])
}
