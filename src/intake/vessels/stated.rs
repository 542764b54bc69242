//! Values with their places, and the check that the rows of one vessel agree.

use crate::diagnostics::Code;
use crate::intake::cells::CellFault;
use crate::intake::columns::VesselColumn as Column;
use crate::intake::table::{At, TableRow, Zero};
use crate::units::Length;

/// A value and the place of its cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StatedValue<T> {
    /// The value.
    pub value: T,
    /// Its place.
    pub at: At,
}

/// A value found by its name in the rules, if stated.
pub fn named<T>(
    row: &mut TableRow<Column>,
    column: Column,
    unread: &mut Vec<Column>,
    find: impl Fn(&str) -> Result<T, CellFault>,
) -> Option<StatedValue<T>> {
    stated(row, column, unread, |row, column| find(row.stated(column)?).map_err(|fault| row.fault(column, fault)).ok())
}

/// A value, if stated. A column whose cell cannot be read is added to `unread`.
pub fn stated<T>(
    row: &mut TableRow<Column>,
    column: Column,
    unread: &mut Vec<Column>,
    read: impl FnOnce(&mut TableRow<Column>, Column) -> Option<T>,
) -> Option<StatedValue<T>> {
    let value = read(row, column);
    if value.is_none() && row.stated(column).is_some() {
        unread.push(column);
    }
    value.map(|value| StatedValue { value, at: row.at(column) })
}

/// A length, if stated.
pub fn length(row: &mut TableRow<Column>, column: Column, unread: &mut Vec<Column>) -> Option<StatedValue<Length>> {
    stated(row, column, unread, |row, column| row.length(column, Zero::Refused))
}

/// Adds the value in another row of the same vessel. A different value is an error of that row.
pub fn agree<T: PartialEq>(
    row: &mut TableRow<Column>,
    column: Column,
    known: &mut Option<StatedValue<T>>,
    other: Option<StatedValue<T>>,
) {
    match (&*known, other) {
        (_, None) => {}
        (None, other) => *known = other,
        (Some(first), Some(other)) if first.value == other.value => {}
        (Some(first), Some(_)) => {
            let says = format!("{} has another value for the same vessel", row.line_named(first.at.line));
            let cure = "make the rows of a vessel agree, or leave the cell blank";
            row.fault(column, CellFault::new(Code::ContradictoryRows, says, cure));
        }
    }
}
