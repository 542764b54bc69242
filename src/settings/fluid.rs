//! Types of settings about fluids.

use toml::Value;

use super::Setting;
use super::values::{number, quoted};
use crate::units::{Millilitres, Money, truncated};

/// Where the baths of a transfer are run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BathsIn {
    /// In tubs that the lots of a batch share.
    Tub,
    /// In the vessel that the lot goes into.
    Vessel,
}

/// What is done with the present fluid of a lot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReuseFluid {
    /// It becomes spent fluid.
    No,
    /// It moves with the lot, and the vessel is topped up.
    TopUp,
}

/// Strength of a concentrate in per cent: above 0, at most 100.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strength(pub f64);

/// Formaldehyde in the stock solution, per cent as on the label: 30 to 38.5 by mass, or 40 (grams in 100 ml).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LabelledFormaldehyde(pub f64);

/// Containers that a fluid is sold in, smallest first: litres and the price of the full container, as `"1=7.5|5=30|25=125"`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Containers(pub Vec<(Millilitres, Money)>);

impl Setting for Strength {
    fn read(value: &Value) -> Result<Self, String> {
        match number(value)? {
            strength if strength > 0.0 && strength <= 100.0 => Ok(Self(strength)),
            _ => Err("a strength above 0 and up to 100 %".to_owned()),
        }
    }
    fn write(&self) -> String {
        self.0.to_string()
    }
}

impl Setting for LabelledFormaldehyde {
    fn read(value: &Value) -> Result<Self, String> {
        match number(value)? {
            percent if (30.0..=38.5).contains(&percent) || percent == 40.0 => Ok(Self(percent)),
            _ => Err("30 to 38.5 (by mass), or 40 (grams in 100 ml)".to_owned()),
        }
    }
    fn write(&self) -> String {
        self.0.to_string()
    }
}

impl Setting for Containers {
    fn read(value: &Value) -> Result<Self, String> {
        let expected = || "litres with their prices, such as \"1=7.5|5=30|25=125\"".to_owned();
        let read = |part: &str| -> Option<(Millilitres, Money)> {
            let (litres, price) = part.split_once('=')?;
            let litres: f64 = litres.trim().parse().ok().filter(|litres| (0.001..=10_000.0).contains(litres))?;
            let whole = Millilitres(truncated((litres * 1000.0).round()));
            Some((whole, Money::parse(price.trim())?))
        };
        let text = value.as_str().ok_or_else(expected)?;
        let mut sold = text.split('|').map(read).collect::<Option<Vec<_>>>().ok_or_else(expected)?;
        sold.sort();
        if sold.windows(2).any(|pair| pair[0].0 == pair[1].0) {
            return Err("each size once".to_owned());
        }
        Ok(Self(sold))
    }
    fn write(&self) -> String {
        let one = |(holds, price): &(Millilitres, Money)| format!("{}={}", holds.litres(), price.text());
        quoted(&self.0.iter().map(one).collect::<Vec<_>>().join("|"))
    }
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
