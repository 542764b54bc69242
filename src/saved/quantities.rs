//! Modules for `#[serde(with)]`: quantities as numbers in the unit that a key names, with at most three decimals; money as text; names of closed lists.

use super::names::named;
use super::object;
use crate::decision::{Aim, Proof, Status};
use crate::fit::Stance;
use crate::plan::{Outcome, Questions};
use crate::rules::Family;
use crate::units::{Force, Length, Mass, Millilitres, Money, Pressure, Volume};

/// A module that writes and reads a quantity as a number: the functions from and to the number, and the unit for messages.
macro_rules! numbers {
    ($($name:ident: $quantity:ident, $number:ident, $read:ident, $unit:literal;)*) => {$(
        pub(super) mod $name {
            use serde::de::Error;
            use serde::{Deserialize, Deserializer, Serialize, Serializer};

            use super::$quantity;

            pub(in crate::saved) fn serialize<S: Serializer>(quantity: &$quantity, out: S) -> Result<S::Ok, S::Error> {
                crate::saved::number(quantity.$number()).serialize(out)
            }

            pub(in crate::saved) fn deserialize<'de, D: Deserializer<'de>>(text: D) -> Result<$quantity, D::Error> {
                let number = f64::deserialize(text)?;
                $quantity::$read(number).ok_or_else(|| D::Error::custom(format!("expected {}, found {number}", $unit)))
            }
        }
    )*};
}

numbers! {
    mm: Length, mm, new, "millimetres";
    ml: Volume, ml, new, "millilitres";
    kg: Mass, kg, of_kg, "kilograms";
    mpa: Pressure, mpa, new, "megapascals";
    kpa: Pressure, kpa, of_kpa, "kilopascals";
    newtons: Force, newtons, new, "newtons";
}

/// A module that writes a value as it stands in files and reads it by its own function: the type, both functions, and what is
/// expected, for messages.
macro_rules! values {
    ($($name:ident: $value:ty, $write:expr, $read:expr, $expected:literal;)*) => {$(
        pub(super) mod $name {
            use serde::de::Error;
            use serde::{Deserialize, Deserializer, Serialize, Serializer};
            use serde_json::Value;

            #[allow(unused_imports, reason = "not every value has a type of its own")]
            use super::*;

            pub(in crate::saved) fn serialize<S: Serializer>(value: &$value, out: S) -> Result<S::Ok, S::Error> {
                ($write)(*value).serialize(out)
            }

            pub(in crate::saved) fn deserialize<'de, D: Deserializer<'de>>(text: D) -> Result<$value, D::Error> {
                let found = Value::deserialize(text)?;
                let wrong = || D::Error::custom(format!("expected {}, found {}", $expected, object::kind(&found)));
                ($read)(&found).ok_or_else(wrong)
            }
        }
    )*};
}

values! {
    money: Money, Money::text, object::money, "money as text";
    litres: Millilitres, crate::saved::litres, object::litres, "litres to the millilitre";
    count: usize, std::convert::identity, object::count, "a whole number";
    whole: i64, std::convert::identity, object::whole, "a whole number";
    ratio: f64, crate::saved::number, object::number, "a number";
    aim: Aim, Aim::name, |name| named(name, &Aim::ALL, Aim::name), "a level";
    family: Family, Family::name, |name| named(name, &Family::NAMES.map(|(_, family)| family), Family::name), "a family of fluids";
    outcome: Outcome, Outcome::name, |name| named(name, &Outcome::ALL, Outcome::name), "an outcome";
    posture: Stance, Stance::name, |name| object::text(name).and_then(Stance::named), "a posture";
    questions: Questions, Questions::name, |name| named(name, &Questions::ALL, Questions::name), "how many questions were asked";
    proof: Proof, Proof::name, |name| named(name, &Proof::ALL, Proof::name), "a kind of proof";
    status: Status, Status::name, |name| named(name, &Status::ALL, Status::name), "a status";
}

/// A module that writes and reads a quantity that may be missing, as `null` or not at all: its type, and the module of the quantity.
macro_rules! optional {
    ($($name:ident: $quantity:ident by $by:literal;)*) => {$(
        pub(super) mod $name {
            use serde::{Deserialize, Deserializer, Serialize, Serializer};

            #[allow(unused_imports, reason = "f64 is no type of this file")]
            use super::*;

            #[derive(Serialize, Deserialize)]
            #[serde(transparent)]
            struct QuantityField(#[serde(with = $by)] $quantity);

            pub(in crate::saved) fn serialize<S: Serializer>(found: &Option<$quantity>, out: S) -> Result<S::Ok, S::Error> {
                found.map(QuantityField).serialize(out)
            }

            pub(in crate::saved) fn deserialize<'de, D: Deserializer<'de>>(text: D) -> Result<Option<$quantity>, D::Error> {
                Option::<QuantityField>::deserialize(text).map(|found| found.map(|QuantityField(quantity)| quantity))
            }
        }
    )*};
}

optional! {
    some_mm: Length by "super::mm";
    some_money: Money by "super::money";
    some_litres: Millilitres by "super::litres";
    some_ratio: f64 by "super::ratio";
    some_posture: Stance by "super::posture";
}
