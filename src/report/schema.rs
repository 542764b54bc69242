//! The columns of an input file, for a terminal.

use super::table::terminal::spared;
use super::table::{Cell, Column, Table};

/// One column as four cells: name, whether it is needed, what it holds, what it means.
pub type Described = [String; 4];

/// The columns of one file.
pub fn columns(file: &str, described: &[Described]) -> String {
    let columns = [
        Column::text("column"),
        Column::text("needed").spared(spared::NEEDED),
        Column::text("holds"),
        Column::text("meaning"),
    ];
    let mut table = Table::new(file, columns);
    for cells in described {
        table.row(cells.iter().map(Cell::from));
    }
    table.text("")
}
