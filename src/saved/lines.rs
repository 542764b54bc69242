//! Writes `plan.json` piece by piece: each field of the whole on a line, and each item of its lists. Of large plans
//! only some rows are held in memory at a time.

use std::io::{self, Write};

use serde_json::Value;

use crate::plan::Placement;
use crate::system::threads::made_and_written;
use crate::units::decimal;

/// Writes fields of the whole that are ready.
pub(super) fn fields(fields: &Value, out: &mut dyn Write) -> io::Result<()> {
    for (key, value) in fields.as_object().into_iter().flatten() {
        match value {
            Value::Array(items) if !items.is_empty() => {
                write!(out, "  \"{key}\": [")?;
                for (index, item) in items.iter().enumerate() {
                    write!(out, "{}\n    {item}", if index == 0 { "" } else { "," })?;
                }
                write!(out, "\n  ]")?;
            }
            value => write!(out, "  \"{key}\": {value}")?,
        }
        out.write_all(b",\n")?;
    }
    Ok(())
}

/// Writes the rows of a plan, which all cores make in parts.
pub(super) fn placements(
    rows: &[Placement],
    write_row: impl Fn(&Placement, &mut JsonLine) + Sync,
    out: &mut dyn Write,
) -> io::Result<()> {
    out.write_all(b"  \"placements\": [")?;
    let make = |share: &[Placement]| {
        let mut text = Vec::with_capacity(share.len() * BYTES_A_ROW);
        for (index, row) in share.iter().enumerate() {
            if index > 0 {
                text.extend_from_slice(b",\n    ");
            }
            let mut line = JsonLine::new(text);
            write_row(row, &mut line);
            text = line.end();
        }
        text
    };
    let mut before: &[u8] = b"\n    ";
    made_and_written(rows, ROWS_AT_A_TIME, make, |text| {
        out.write_all(std::mem::replace(&mut before, b",\n    "))?;
        out.write_all(text)
    })?;
    out.write_all(if rows.is_empty() { b"],\n" } else { b"\n  ],\n" })
}

/// Rows are made and written in blocks of so many.
const ROWS_AT_A_TIME: usize = 50_000;

/// Usual length of a row in bytes.
const BYTES_A_ROW: usize = 420;

/// One object on a line while it is written. Keys are plain words; `some_…` leaves out empty values
/// (no value, no text, zero, false).
pub(super) struct JsonLine {
    text: Vec<u8>,
    is_first: bool,
}

impl JsonLine {
    fn new(mut text: Vec<u8>) -> Self {
        text.push(b'{');
        JsonLine { text, is_first: true }
    }

    fn end(mut self) -> Vec<u8> {
        self.text.push(b'}');
        self.text
    }

    fn key(&mut self, key: &str) -> &mut Vec<u8> {
        let before: &[u8] = if std::mem::take(&mut self.is_first) { b"\"" } else { b",\"" };
        for part in [before, key.as_bytes(), b"\":"] {
            self.text.extend_from_slice(part);
        }
        &mut self.text
    }

    pub(super) fn text(&mut self, key: &str, text: &str) {
        // Memory takes all, and text is always JSON.
        let _ = serde_json::to_writer(self.key(key), text);
    }

    pub(super) fn some_text(&mut self, key: &str, text: Option<&str>) {
        if let Some(text) = text.filter(|text| !text.is_empty()) {
            self.text(key, text);
        }
    }

    pub(super) fn some_whole(&mut self, key: &str, number: Option<i64>) {
        if let Some(number) = number {
            let _ = serde_json::to_writer(self.key(key), &number);
        }
    }

    /// At most three decimals.
    pub(super) fn some_number(&mut self, key: &str, number: Option<f64>) {
        if let Some(number) = number.filter(|number| number.is_finite()) {
            self.key(key).extend_from_slice(decimal(number, 3).as_bytes());
        }
    }

    pub(super) fn flag(&mut self, key: &str, is_set: bool) {
        if is_set {
            self.key(key).extend_from_slice(b"true");
        }
    }

    /// An object of its own.
    pub(super) fn value(&mut self, key: &str, value: &impl serde::Serialize) {
        let _ = serde_json::to_writer(self.key(key), value);
    }

    /// An object or list of its own; left out where it holds nothing.
    pub(super) fn some_value(&mut self, key: &str, value: Option<Value>) {
        let holds = |value: &Value| match value {
            Value::Object(fields) => !fields.is_empty(),
            Value::Array(items) => !items.is_empty(),
            other => !other.is_null(),
        };
        if let Some(value) = value.filter(holds) {
            let _ = serde_json::to_writer(self.key(key), &value);
        }
    }
}
