//! Reads `plan.json` as a whole: its rows one by one while the text is parsed, all else as values. Of a large
//! plan the text and the rows that were read are in memory, and one row as values.

use std::fmt;

use serde::de::value::{MapAccessDeserializer, SeqAccessDeserializer};
use serde::de::{DeserializeSeed, Error, MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer};
use serde_json::{Map, Value};

use super::object::{ROOT, ReadFindings, kind};

/// The field that holds the rows.
const ROWS: &str = "placements";

/// The rows of a plan.
pub(super) enum PlacementRows<T> {
    /// The field is missing.
    Absent,
    /// The field is not a list.
    Other(Value),
    /// What was read of each row; `None` of a row that could not be read.
    List(Vec<Option<T>>),
}

/// Reads a row at its path.
type ReadRow<'a, T> = &'a dyn Fn(&str, &Value) -> Option<T>;

/// A plan's text as a value without its rows, and what `read` makes of each row.
///
/// # Errors
/// Where it is no JSON.
pub(super) fn read<T>(bytes: &[u8], read: ReadRow<T>) -> Result<(Value, PlacementRows<T>), Vec<String>> {
    let wrong = |error: serde_json::Error| vec![format!("{ROOT}: {error}")];
    let mut rows = PlacementRows::Absent;
    let mut text = serde_json::Deserializer::from_slice(bytes);
    let value = text.deserialize_any(Fields { rows: &mut rows, read }).map_err(wrong)?;
    text.end().map_err(wrong)?;
    Ok((value, rows))
}

impl<T> PlacementRows<T> {
    /// The rows, if all could be read.
    pub(super) fn list(self, findings: &ReadFindings) -> Option<Vec<T>> {
        match self {
            // The whole was read, so the field was there.
            PlacementRows::Absent => None,
            PlacementRows::Other(value) => {
                findings.add(ROWS, format!("expected a list, found {}", kind(&value)));
                None
            }
            PlacementRows::List(rows) => rows.into_iter().collect(),
        }
    }
}

/// The fields of the whole, in their order.
struct Fields<'a, T> {
    rows: &'a mut PlacementRows<T>,
    read: ReadRow<'a, T>,
}

/// The list of rows.
struct List<'a, T> {
    read: ReadRow<'a, T>,
}

/// What is no object, or no list, as a value.
macro_rules! plain {
    ($make:expr) => {
        fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
            f.write_str("any valid JSON value")
        }

        fn visit_unit<E: Error>(self) -> Result<Self::Value, E> {
            Ok($make(Value::Null))
        }

        fn visit_bool<E: Error>(self, value: bool) -> Result<Self::Value, E> {
            Ok($make(value.into()))
        }

        fn visit_i64<E: Error>(self, value: i64) -> Result<Self::Value, E> {
            Ok($make(value.into()))
        }

        fn visit_u64<E: Error>(self, value: u64) -> Result<Self::Value, E> {
            Ok($make(value.into()))
        }

        fn visit_f64<E: Error>(self, value: f64) -> Result<Self::Value, E> {
            Ok($make(value.into()))
        }

        fn visit_str<E: Error>(self, value: &str) -> Result<Self::Value, E> {
            Ok($make(value.into()))
        }
    };
}

impl<'de, T> Visitor<'de> for Fields<'_, T> {
    type Value = Value;

    plain!(|value: Value| value);

    fn visit_seq<A: SeqAccess<'de>>(self, items: A) -> Result<Value, A::Error> {
        serde::Deserialize::deserialize(SeqAccessDeserializer::new(items))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut fields: A) -> Result<Value, A::Error> {
        let Fields { rows, read } = self;
        let mut others = Map::new();
        while let Some(key) = fields.next_key::<String>()? {
            if others.contains_key(&key) {
                return Err(twice(&key));
            }
            let value = if key == ROWS {
                *rows = fields.next_value_seed(List { read })?;
                Value::Null
            } else {
                fields.next_value::<Once>()?.0
            };
            others.insert(key, value);
        }
        Ok(Value::Object(others))
    }
}

impl<'de, T> DeserializeSeed<'de> for List<'_, T> {
    type Value = PlacementRows<T>;

    fn deserialize<D: Deserializer<'de>>(self, text: D) -> Result<PlacementRows<T>, D::Error> {
        text.deserialize_any(self)
    }
}

impl<'de, T> Visitor<'de> for List<'_, T> {
    type Value = PlacementRows<T>;

    plain!(PlacementRows::Other);

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<PlacementRows<T>, A::Error> {
        let mut rows = Vec::new();
        while let Some(item) = items.next_element::<Once>()? {
            let path = format!("{ROWS}[{}]", rows.len());
            rows.push((self.read)(&path, &item.0));
        }
        Ok(PlacementRows::List(rows))
    }

    fn visit_map<A: MapAccess<'de>>(self, fields: A) -> Result<PlacementRows<T>, A::Error> {
        serde::Deserialize::deserialize(MapAccessDeserializer::new(fields)).map(PlacementRows::Other)
    }
}

/// A value in which no key occurs twice: two programs might read different ones.
struct Once(Value);

/// Says so.
fn twice<E: Error>(key: &str) -> E {
    E::custom(format!("the key {key:?} occurs twice in one object"))
}

impl<'de> Deserialize<'de> for Once {
    fn deserialize<D: Deserializer<'de>>(text: D) -> Result<Self, D::Error> {
        text.deserialize_any(OnceVisitor)
    }
}

struct OnceVisitor;

impl<'de> Visitor<'de> for OnceVisitor {
    type Value = Once;

    plain!(Once);

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Once, A::Error> {
        let mut list = Vec::new();
        while let Some(Once(item)) = items.next_element()? {
            list.push(item);
        }
        Ok(Once(Value::Array(list)))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut fields: A) -> Result<Once, A::Error> {
        let mut map = Map::new();
        while let Some(key) = fields.next_key::<String>()? {
            if map.contains_key(&key) {
                return Err(twice(&key));
            }
            let Once(value) = fields.next_value()?;
            map.insert(key, value);
        }
        Ok(Once(Value::Object(map)))
    }
}
