//! Quantities as numbers of the unit that a key names, at most three decimals, and money as text: for `#[serde(with)]`.

use super::object;
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

pub(super) mod ratio {
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    pub(in crate::saved) fn serialize<S: Serializer>(ratio: &f64, out: S) -> Result<S::Ok, S::Error> {
        crate::saved::number(*ratio).serialize(out)
    }

    pub(in crate::saved) fn deserialize<'de, D: Deserializer<'de>>(text: D) -> Result<f64, D::Error> {
        f64::deserialize(text)
    }
}

pub(super) mod some_ratio {
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    pub(in crate::saved) fn serialize<S: Serializer>(number: &Option<f64>, out: S) -> Result<S::Ok, S::Error> {
        number.map(crate::saved::number).serialize(out)
    }

    pub(in crate::saved) fn deserialize<'de, D: Deserializer<'de>>(text: D) -> Result<Option<f64>, D::Error> {
        Option::deserialize(text)
    }
}

pub(super) mod some_money {
    use serde::de::Error;
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    use crate::saved::object::signed;
    use crate::units::Money;

    pub(in crate::saved) fn serialize<S: Serializer>(money: &Option<Money>, out: S) -> Result<S::Ok, S::Error> {
        money.map(Money::text).serialize(out)
    }

    pub(in crate::saved) fn deserialize<'de, D: Deserializer<'de>>(text: D) -> Result<Option<Money>, D::Error> {
        let Some(text) = Option::<String>::deserialize(text)? else { return Ok(None) };
        let wrong = || D::Error::custom(format!("expected money as text or null, found {text:?}"));
        signed(&text).map(Some).ok_or_else(wrong)
    }
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
}

pub(super) mod some_litres {
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    use crate::units::Millilitres;

    #[derive(Serialize, Deserialize)]
    #[serde(transparent)]
    struct Litres(#[serde(with = "super::litres")] Millilitres);

    pub(in crate::saved) fn serialize<S: Serializer>(amount: &Option<Millilitres>, out: S) -> Result<S::Ok, S::Error> {
        amount.map(Litres).serialize(out)
    }

    pub(in crate::saved) fn deserialize<'de, D: Deserializer<'de>>(text: D) -> Result<Option<Millilitres>, D::Error> {
        Option::<Litres>::deserialize(text).map(|amount| amount.map(|amount| amount.0))
    }
}
