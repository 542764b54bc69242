//! Reads one JSON object: each key is read once, as one type; a key that is missing, of another type or not read is
//! a finding with its path. Nothing here depends on plans.

use std::cell::{Cell, RefCell};

use serde::Deserialize;
use serde::de::value::MapDeserializer;
use serde_json::{Map, Value, json};

use crate::units::{Millilitres, Money, truncated};

/// What was found wrong, in the order it was found.
#[derive(Default)]
pub(super) struct ReadFindings(RefCell<Vec<String>>);

impl ReadFindings {
    /// Notes what is wrong at a path.
    pub(super) fn add(&self, path: &str, what: impl std::fmt::Display) {
        self.0.borrow_mut().push(format!("{path}: {what}"));
    }

    /// Notes what was found elsewhere.
    pub(super) fn and(&self, others: ReadFindings) {
        self.0.borrow_mut().extend(others.into_inner());
    }

    pub(super) fn into_inner(self) -> Vec<String> {
        self.0.into_inner()
    }
}

/// What is wrong with a field of an object that is read as a type of its own.
pub(crate) struct Fault {
    /// The field in that object; empty for the object itself.
    field: String,
    what: String,
}

impl Fault {
    /// At a field.
    pub(super) fn at(field: &str, what: impl Into<String>) -> Self {
        Self { field: field.to_owned(), what: what.into() }
    }

    /// Notes it as a finding of the object at a path.
    pub(super) fn noted(self, path: &str, findings: &ReadFindings) {
        findings.add(&inside(path, &self.field), self.what);
    }

    /// The value that was read, or where reading stopped.
    pub(super) fn of<T>(read: Result<T, serde_path_to_error::Error<serde_json::Error>>) -> Result<T, Self> {
        read.map_err(|error| {
            let field = error.path().to_string();
            Self::at(if field == "." { "" } else { &field }, error.inner().to_string())
        })
    }
}

/// The path of a field of the object at a path; of no field, that of the object.
fn inside(path: &str, field: &str) -> String {
    match (path, field) {
        (path, "") => path.to_owned(),
        (ROOT, field) => field.to_owned(),
        (path, field) => format!("{path}.{field}"),
    }
}

/// An object at its path.
pub(super) struct Object<'a> {
    pub(super) path: String,
    fields: &'a Map<String, Value>,
    taken: RefCell<Vec<&'static str>>,
    all_taken: Cell<bool>,
    pub(super) findings: &'a ReadFindings,
}

impl<'a> Object<'a> {
    /// The object that a value is, or a finding.
    pub(super) fn new(path: &str, value: &'a Value, findings: &'a ReadFindings) -> Option<Self> {
        let Value::Object(fields) = value else {
            findings.add(path, format!("expected an object, found {}", kind(value)));
            return None;
        };
        Some(Self { path: path.to_owned(), fields, taken: RefCell::default(), all_taken: Cell::new(false), findings })
    }

    /// The path of a field.
    pub(super) fn at(&self, key: &str) -> String {
        inside(&self.path, key)
    }

    /// Notes what is wrong with a field.
    pub(super) fn wrong(&self, key: &str, what: impl std::fmt::Display) {
        self.findings.add(&self.at(key), what);
    }

    /// A field that may be absent.
    pub(super) fn absent_or(&self, key: &'static str) -> Option<&'a Value> {
        self.taken.borrow_mut().push(key);
        self.fields.get(key)
    }

    /// A field that must be there.
    pub(super) fn field(&self, key: &'static str) -> Option<&'a Value> {
        let value = self.absent_or(key);
        if value.is_none() {
            self.wrong(key, "missing");
        }
        value
    }

    /// A field of one type.
    pub(super) fn read<T>(
        &self,
        key: &'static str,
        expected: &str,
        read: impl Fn(&'a Value) -> Option<T>,
    ) -> Option<T> {
        let value = self.field(key)?;
        let read = read(value);
        if read.is_none() {
            self.wrong(key, format!("expected {expected}, found {}", kind(value)));
        }
        read
    }

    /// A list of whatever `read` makes of each item at its path; `None` if any item fails.
    pub(super) fn list<T>(&self, key: &'static str, read: impl Fn(&str, &'a Value) -> Option<T>) -> Option<Vec<T>> {
        let items = self.read(key, "a list", Value::as_array)?;
        let read: Vec<Option<T>> =
            items.iter().enumerate().map(|(i, item)| read(&format!("{}[{i}]", self.at(key)), item)).collect();
        read.into_iter().collect()
    }

    /// A list of objects.
    pub(super) fn objects<T>(&self, key: &'static str, read: impl Fn(&Object<'a>) -> Option<T>) -> Option<Vec<T>> {
        self.list(key, |path, item| {
            let object = Object::new(path, item, self.findings)?;
            let made = read(&object);
            object.done();
            made
        })
    }

    /// The fields that were not read so far, as a type; a finding with its path where they are not of this type.
    pub(super) fn rest_as<T: Deserialize<'a>>(&self) -> Option<T> {
        let taken = self.taken.borrow();
        let rest = self.fields.iter().filter(|(key, _)| !taken.contains(&key.as_str()));
        let fields = MapDeserializer::new(rest.map(|(key, value)| (key.as_str(), value)));
        self.all_taken.set(true);
        self.or_wrong_here(Fault::of(serde_path_to_error::deserialize(fields)))
    }

    /// What was made of a field, or a finding.
    pub(super) fn or_wrong<T>(&self, key: &str, made: Result<T, Fault>) -> Option<T> {
        made.map_err(|fault| fault.noted(&self.at(key), self.findings)).ok()
    }

    /// What was made of fields of this object, or a finding.
    pub(super) fn or_wrong_here<T>(&self, made: Result<T, Fault>) -> Option<T> {
        made.map_err(|fault| fault.noted(&self.path, self.findings)).ok()
    }

    /// Notes a text that differs from what the facts give.
    pub(super) fn derived(&self, key: &str, expected: &str, found: &str) {
        if found != expected {
            self.wrong(key, format!("the project has {}, found {}", json!(expected), json!(found)));
        }
    }

    /// Notes every field of these that differs from the project.
    pub(super) fn agrees(&self, with: &Value) {
        for (key, expected) in with.as_object().into_iter().flatten() {
            if let Some(found) = self.fields.get(key)
                && found != expected
            {
                self.wrong(key, format!("the project has {expected}, found {found}"));
            }
        }
    }

    /// Notes a field that differs from the project.
    pub(super) fn same(&self, key: &'static str, expected: &Value) {
        if let Some(found) = self.field(key)
            && found != expected
        {
            self.wrong(key, format!("the project has {expected}, found {found}"));
        }
    }

    /// All fields that were not read so far, as one object.
    pub(super) fn rest(&self) -> Value {
        let taken = self.taken.borrow();
        let rest = self.fields.iter().filter(|(key, _)| !taken.contains(&key.as_str()));
        self.all_taken.set(true);
        Value::Object(rest.map(|(key, value)| (key.clone(), value.clone())).collect())
    }

    /// Notes every field that was not read.
    pub(super) fn done(&self) {
        if self.all_taken.get() {
            return;
        }
        let taken = self.taken.borrow();
        for key in self.fields.keys().filter(|key| !taken.contains(&key.as_str())) {
            self.wrong(key, "unknown field");
        }
    }
}

/// The path of a whole file.
pub(super) const ROOT: &str = "plan.json";

/// Text.
pub(super) fn text(value: &Value) -> Option<&str> {
    value.as_str()
}

/// A whole number that is not negative, in any integer type.
pub(super) fn count<T: TryFrom<u64>>(value: &Value) -> Option<T> {
    value.as_u64().and_then(|whole| T::try_from(whole).ok())
}

/// A whole number.
pub(super) fn whole(value: &Value) -> Option<i64> {
    value.as_i64()
}

/// Money as text, with a sign where it is below zero.
pub(super) fn money(value: &Value) -> Option<Money> {
    Money::read_back(value.as_str()?)
}

/// Money in a text field.
///
/// # Errors
/// That the text is not money.
pub(super) fn money_in(field: &str, text: &str) -> Result<Money, Fault> {
    Money::read_back(text).ok_or_else(|| Fault::at(field, format!("expected money as text, found {text:?}")))
}

/// A finite number.
pub(super) fn number(value: &Value) -> Option<f64> {
    value.as_f64().filter(|number| number.is_finite())
}

/// Litres with at most three decimals, to whole millilitres.
pub(super) fn litres(value: &Value) -> Option<Millilitres> {
    let millilitres = number(value)? * 1000.0;
    let nearest = millilitres.round();
    let exact = (millilitres - nearest).abs() <= 1e-9 * nearest.abs().max(1.0);
    (exact && nearest.abs() < 9e15).then_some(Millilitres(truncated(nearest)))
}

/// The type of a value, for a message.
pub(super) fn kind(value: &Value) -> String {
    match value {
        Value::Object(_) => "an object".to_owned(),
        Value::Array(_) => "a list".to_owned(),
        plain => plain.to_string(),
    }
}
