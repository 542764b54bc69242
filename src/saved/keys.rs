//! The key of a row in plan.json, written and read: `catalogNumber` always, the other key columns where they are not blank.

use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};

use super::names::PlanReading;
use super::object::{Object, text};
use crate::collection::Key;

/// The key columns. The first is never left out.
const KEY_COLUMNS: [&str; 4] = ["catalogNumber", "institutionCode", "collectionCode", "part"];

/// The fields of a key, followed by other fields.
#[derive(Serialize)]
pub(super) struct Keyed<'a, Rest: Serialize> {
    #[serde(flatten)]
    key: KeyFields<'a>,
    #[serde(flatten)]
    rest: Rest,
}

impl<'a, Rest: Serialize> Keyed<'a, Rest> {
    pub(super) fn new(key: &'a Key, rest: Rest) -> Self {
        Keyed { key: KeyFields(key), rest }
    }
}

/// The fields of a key.
pub(super) struct KeyFields<'a>(pub(super) &'a Key);

impl Serialize for KeyFields<'_> {
    fn serialize<S: Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
        let Key { catalog_number, institution, collection, part } = self.0;
        let mut fields = out.serialize_map(None)?;
        for (column, cell) in KEY_COLUMNS.into_iter().zip([catalog_number, institution, collection, part]) {
            if column == KEY_COLUMNS[0] || !cell.is_empty() {
                fields.serialize_entry(column, cell)?;
            }
        }
        fields.end()
    }
}

impl PlanReading<'_> {
    /// The row of the survey that the key columns of an object name.
    pub(super) fn row(&self, object: &Object) -> Option<usize> {
        let [first, others @ ..] = KEY_COLUMNS;
        let catalog_number = object.read(first, "text", text);
        let others = others.map(|column| match object.absent_or(column) {
            None => Some(""),
            Some(value) => {
                let cell = text(value).filter(|cell| !cell.is_empty());
                if cell.is_none() {
                    object.wrong(column, format!("expected text or no such field, found {value}"));
                }
                cell
            }
        });
        let [institution, collection, part] = others;
        let key = Key {
            catalog_number: catalog_number?.to_owned(),
            institution: institution?.to_owned(),
            collection: collection?.to_owned(),
            part: part?.to_owned(),
        };
        let row = self.rows.get(&key).copied();
        if row.is_none() {
            object.wrong(first, format!("the survey has no row {key}"));
        }
        row
    }
}
