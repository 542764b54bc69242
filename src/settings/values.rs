//! Types of setting values. Each is read from TOML and written back.

use toml::Value;

use super::limits::most;
use super::{BLANK, Setting, Settings};
use crate::units::{Length, Money, greatest_common_divisor};

/// A percentage as typed: 5 means 5 %.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Percent(pub f64);

impl Percent {
    /// As a ratio: 0.05 for 5 %.
    pub fn ratio(self) -> f64 {
        self.0 / 100.0
    }
}

/// A dimensionless factor, or a number whose unit is in its key.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Factor(pub f64);

/// A number of years.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Years(pub f64);

/// A number of seconds.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Seconds(pub f64);

/// Which lots may have a custom tank.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tanks {
    /// Only lots without a suitable vessel.
    Leftovers,
    /// All lots, where a tank is cheaper.
    WhenCheaper,
}

/// Climate of the store.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Store {
    /// The temperature is kept within a few kelvin.
    Controlled,
    /// The temperature is not controlled.
    Uncontrolled,
}

/// How priorities count against each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PriorityRule {
    /// Priorities are compared in order: one more placed lot of priority 1 outweighs any number of lots of priorities 2 to 4, and so on.
    Strict,
    /// Each deferred lot counts with the weight of its priority.
    Weighted,
}

/// What a deferred lot of priority 1 to 4 counts: at least 1, and no more than one of the priority before.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PriorityWeights(pub [u32; 4]);

impl PriorityWeights {
    /// Key of the setting.
    pub const KEY: &'static str = "priority.weights";
}

/// The most of something that the whole plan may have; `None` = no limit. Whoever counts against these takes the value apart and
/// names each, so that the compiler asks about a new one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CountLimits {
    /// Kinds of vessel bought.
    pub max_vessel_types: Option<u32>,
    /// Suppliers ordered from.
    pub max_suppliers: Option<u32>,
}

impl Settings {
    /// Where priorities are weighed, what a deferred lot of each counts, divided by the largest number that divides all four: only
    /// their ratios matter.
    pub fn weights_in_force(&self) -> Option<[u32; 4]> {
        let PriorityWeights(weights) = self.priority_weights;
        let shared = weights.into_iter().fold(0, greatest_common_divisor).max(1);
        (self.priority_rule == PriorityRule::Weighted).then(|| weights.map(|weight| weight / shared))
    }

    /// The most of something that the whole plan may have.
    pub fn count_limits(&self) -> CountLimits {
        CountLimits { max_vessel_types: self.max_vessel_types, max_suppliers: self.max_suppliers }
    }
}

pub(super) fn number(value: &Value) -> Result<f64, String> {
    let number = match value {
        Value::Integer(whole) => *whole as f64,
        Value::Float(float) => *float,
        _ => return Err("a number".to_owned()),
    };
    if number.is_finite() && number >= 0.0 { Ok(number) } else { Err("a number, 0 or above".to_owned()) }
}

pub(super) fn quoted(text: &str) -> String {
    Value::String(text.to_owned()).to_string()
}

macro_rules! number_setting {
    ($($kind:ident),+) => {$(
        impl Setting for $kind {
            fn read(value: &Value) -> Result<Self, String> {
                number(value).map($kind)
            }
            fn write(&self) -> String {
                self.0.to_string()
            }
        }
    )+};
}
number_setting!(Factor, Years, Seconds);

impl Setting for Percent {
    fn read(value: &Value) -> Result<Self, String> {
        match number(value)? {
            percent if percent <= 1000.0 => Ok(Percent(percent)),
            _ => Err("a percentage".to_owned()),
        }
    }
    fn write(&self) -> String {
        self.0.to_string()
    }
}

impl Setting for Length {
    fn read(value: &Value) -> Result<Self, String> {
        number(value).map(Length::at_least_zero)
    }
    fn write(&self) -> String {
        self.mm().to_string()
    }
}

impl Setting for u32 {
    fn read(value: &Value) -> Result<Self, String> {
        let whole = value.as_integer().and_then(|whole| u32::try_from(whole).ok());
        whole.ok_or_else(|| "a whole number".to_owned())
    }
    fn write(&self) -> String {
        self.to_string()
    }
}

impl Setting for bool {
    fn read(value: &Value) -> Result<Self, String> {
        value.as_bool().ok_or_else(|| "true or false".to_owned())
    }
    fn write(&self) -> String {
        self.to_string()
    }
}

impl Setting for String {
    fn read(value: &Value) -> Result<Self, String> {
        value.as_str().map(str::to_owned).ok_or_else(|| "text in quotes".to_owned())
    }
    fn write(&self) -> String {
        quoted(self)
    }

    fn is_blank(&self) -> bool {
        self.is_empty()
    }
}

impl Setting for Money {
    fn read(value: &Value) -> Result<Self, String> {
        let text = match value {
            Value::Integer(whole) => whole.to_string(),
            Value::Float(float) => float.to_string(),
            Value::String(text) => text.clone(),
            _ => String::new(),
        };
        Money::parse(&text).ok_or_else(|| "an amount of money with at most 4 decimals".to_owned())
    }
    fn write(&self) -> String {
        self.text()
    }
}

impl Setting for Option<Money> {
    fn read(value: &Value) -> Result<Self, String> {
        if value.as_str() == Some("") { Ok(None) } else { Money::read(value).map(Some) }
    }
    fn write(&self) -> String {
        self.map_or_else(|| BLANK.to_owned(), Money::text)
    }

    fn is_blank(&self) -> bool {
        self.is_none()
    }
}

impl Setting for Option<u32> {
    fn read(value: &Value) -> Result<Self, String> {
        match value {
            Value::String(text) if text.is_empty() => Ok(None),
            Value::Integer(whole) => u32::try_from(*whole).map(Some).map_err(|_| "a whole number".to_owned()),
            _ => Err("a whole number".to_owned()),
        }
    }
    fn write(&self) -> String {
        self.map_or_else(|| BLANK.to_owned(), |whole| whole.to_string())
    }

    fn is_blank(&self) -> bool {
        self.is_none()
    }
}

impl Setting for Tanks {
    fn read(value: &Value) -> Result<Self, String> {
        match value.as_str() {
            Some("leftovers") => Ok(Tanks::Leftovers),
            Some("when cheaper") => Ok(Tanks::WhenCheaper),
            _ => Err("\"leftovers\" or \"when cheaper\"".to_owned()),
        }
    }
    fn write(&self) -> String {
        quoted(match self {
            Tanks::Leftovers => "leftovers",
            Tanks::WhenCheaper => "when cheaper",
        })
    }
}

impl Setting for Store {
    fn read(value: &Value) -> Result<Self, String> {
        match value.as_str() {
            Some("controlled") => Ok(Store::Controlled),
            Some("uncontrolled") => Ok(Store::Uncontrolled),
            _ => Err("\"controlled\" or \"uncontrolled\"".to_owned()),
        }
    }
    fn write(&self) -> String {
        quoted(match self {
            Store::Controlled => "controlled",
            Store::Uncontrolled => "uncontrolled",
        })
    }
}

impl Setting for PriorityRule {
    fn read(value: &Value) -> Result<Self, String> {
        match value.as_str() {
            Some("strict") => Ok(PriorityRule::Strict),
            Some("weighted") => Ok(PriorityRule::Weighted),
            _ => Err("\"strict\" or \"weighted\"".to_owned()),
        }
    }
    fn write(&self) -> String {
        quoted(match self {
            PriorityRule::Strict => "strict",
            PriorityRule::Weighted => "weighted",
        })
    }
}

impl Setting for PriorityWeights {
    fn read(value: &Value) -> Result<Self, String> {
        let most = most(Self::KEY);
        let expected =
            || format!("four whole numbers from 1 to {most}, none above the one before it, such as [8, 4, 2, 1]");
        let whole = |value: &Value| u32::read(value).ok();
        let weights: Option<Vec<u32>> = match value {
            Value::Array(items) => items.iter().map(whole).collect(),
            // A flag holds text.
            Value::String(text) => text.split(',').map(|weight| weight.trim().parse().ok()).collect(),
            _ => None,
        };
        let weights: [u32; 4] = weights.and_then(|weights| weights.try_into().ok()).ok_or_else(expected)?;
        let falls = weights.windows(2).all(|pair| pair[0] >= pair[1]);
        if falls && weights[3] >= 1 && f64::from(weights[0]) <= most { Ok(Self(weights)) } else { Err(expected()) }
    }
    fn write(&self) -> String {
        format!("[{}]", self.0.map(|weight| weight.to_string()).join(", "))
    }
}
