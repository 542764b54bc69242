//! Quantities as numbers of the unit that a key names, at most three decimals, and money as text: for `#[serde(with)]`.

use crate::units::{Force, Length, Mass, Pressure, Volume};

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
