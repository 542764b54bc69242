//! Writes `plan.json` piece by piece: each field of the whole on a line, and each item of its lists. Of large plans
//! only some rows are held in memory at a time.

use std::io::{self, Write};

use serde_json::Value;

use crate::plan::Placement;
use crate::system::threads::made_and_written;

/// Writes a list, each item on a line.
pub(super) fn items(items: &[Value], out: &mut dyn Write) -> io::Result<()> {
    for (index, item) in items.iter().enumerate() {
        write!(out, "{}\n    {item}", if index == 0 { "[" } else { "," })?;
    }
    out.write_all(b"\n  ]")
}

/// Writes the rows of a plan, which all cores make in parts.
pub(super) fn rows(
    rows: &[Placement],
    write_row: impl Fn(&Placement, &mut Vec<u8>) + Sync,
    out: &mut dyn Write,
) -> io::Result<()> {
    out.write_all(b"[")?;
    let make = |share: &[Placement]| {
        let mut text = Vec::with_capacity(share.len() * BYTES_A_ROW);
        for (index, row) in share.iter().enumerate() {
            if index > 0 {
                text.extend_from_slice(b",\n    ");
            }
            write_row(row, &mut text);
        }
        text
    };
    let mut before: &[u8] = b"\n    ";
    made_and_written(rows, ROWS_AT_A_TIME, make, |text| {
        out.write_all(std::mem::replace(&mut before, b",\n    "))?;
        out.write_all(text)
    })?;
    out.write_all(if rows.is_empty() { b"]" } else { b"\n  ]" })
}

/// Rows are made and written in blocks of so many.
const ROWS_AT_A_TIME: usize = 50_000;

/// Usual length of a row in bytes.
const BYTES_A_ROW: usize = 420;
