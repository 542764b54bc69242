//! Values of `plan.json` read as types of their own; and words that must be those of the facts beside them.

use std::borrow::Cow;

use serde::de::{DeserializeOwned, Error};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use serde_json::{Map, Value};

use super::object::{Object, ReadFindings, kind};

/// A value as it stands in the file.
pub(super) fn value(of: &impl Serialize) -> Value {
    serde_json::to_value(of).expect("every value of a plan is one of JSON")
}

/// Fields that name what is meant, followed by the others.
pub(super) fn followed(mut named: Value, rest: &impl Serialize) -> Value {
    if let (Value::Object(named), Value::Object(rest)) = (&mut named, value(rest)) {
        named.extend(rest);
    }
    named
}

/// The fields of an object that were not read so far, as a type; a finding with its path where they are not of this type, or where writing it again
/// gives something else. Facts decide; words and the spelling of numbers must agree with them.
pub(super) fn rest<T: DeserializeOwned>(object: &Object, write: impl Fn(&T) -> Value) -> Option<T> {
    let found = object.rest();
    match serde_path_to_error::deserialize::<_, T>(&found) {
        Ok(read) => {
            same(&object.path, &write(&read), &found, object.findings);
            Some(read)
        }
        Err(error) => {
            let path = match error.path().to_string().as_str() {
                "." => object.path.clone(),
                inner => object.at(inner),
            };
            object.findings.add(&path, error.inner());
            None
        }
    }
}

/// Notes each place where a value differs from what its facts give.
fn same(path: &str, given: &Value, found: &Value, findings: &ReadFindings) {
    match (given, found) {
        (Value::Object(given), Value::Object(found)) => {
            for (key, given) in given {
                let path = format!("{path}.{key}");
                match found.get(key) {
                    Some(found) => same(&path, given, found, findings),
                    None => findings.add(&path, "missing"),
                }
            }
        }
        (Value::Array(given), Value::Array(found)) if given.len() == found.len() => {
            for (i, (given, found)) in given.iter().zip(found).enumerate() {
                same(&format!("{path}[{i}]"), given, found, findings);
            }
        }
        (Value::Number(one), Value::Number(other)) if one.as_f64() == other.as_f64() => {}
        (given, found) if given == found => {}
        (given, found) => {
            findings.add(path, format!("the facts beside it give {}, found {}", kind(given), kind(found)));
        }
    }
}

/// A fact that has words.
pub(super) trait Told {
    /// In words.
    fn told(&self) -> Cow<'static, str>;
}

/// A fact with its words, in one object.
#[derive(Clone)]
pub(super) struct Worded<T>(pub(super) T);

/// The field of a fact that holds its words.
pub(super) const WORDS: &str = "words";

impl<T: Serialize + Told> Serialize for Worded<T> {
    fn serialize<S: Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
        let mut fact = serde_json::to_value(&self.0).map_err(serde::ser::Error::custom)?;
        fact[WORDS] = self.0.told().into();
        fact.serialize(out)
    }
}

impl<'de, T: DeserializeOwned> Deserialize<'de> for Worded<T> {
    fn deserialize<D: Deserializer<'de>>(text: D) -> Result<Self, D::Error> {
        let mut fact = Map::deserialize(text)?;
        fact.shift_remove(WORDS).ok_or_else(|| D::Error::missing_field(WORDS))?;
        T::deserialize(Value::Object(fact)).map(Worded).map_err(D::Error::custom)
    }
}

/// A field that must be there, though it may be `null`.
pub(super) fn nullable<'de, T: Deserialize<'de>, D: Deserializer<'de>>(text: D) -> Result<Option<T>, D::Error> {
    Option::deserialize(text)
}
