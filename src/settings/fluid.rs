//! Kinds of setting that only the fluid has.

use toml::Value;

use super::Setting;
use super::values::quoted;

/// Where the baths of a ladder are run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BathsIn {
    /// In tubs that the rows of a batch share.
    Tub,
    /// In the vessel that the row goes into.
    Vessel,
}

/// What becomes of the fluid a row is in now.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReuseFluid {
    /// It is spent.
    No,
    /// It goes with the row, and the rest is topped up.
    TopUp,
}

impl Setting for BathsIn {
    fn read(value: &Value) -> Result<Self, String> {
        match value.as_str() {
            Some("tub") => Ok(BathsIn::Tub),
            Some("vessel") => Ok(BathsIn::Vessel),
            _ => Err("\"tub\" or \"vessel\"".to_owned()),
        }
    }
    fn write(&self) -> String {
        quoted(match self {
            BathsIn::Tub => "tub",
            BathsIn::Vessel => "vessel",
        })
    }
}

impl Setting for ReuseFluid {
    fn read(value: &Value) -> Result<Self, String> {
        match value.as_str() {
            Some("no") => Ok(ReuseFluid::No),
            Some("top-up") => Ok(ReuseFluid::TopUp),
            _ => Err("\"no\" or \"top-up\"".to_owned()),
        }
    }
    fn write(&self) -> String {
        quoted(match self {
            ReuseFluid::No => "no",
            ReuseFluid::TopUp => "top-up",
        })
    }
}
