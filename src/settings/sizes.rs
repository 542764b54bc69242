//! Types of settings about sizes of vessel that are not listed.

use toml::Value;

use super::values::{number, quoted};
use super::{BLANK, Setting};
use crate::units::{Length, Money};

/// A length that inner sizes are rounded up to a multiple of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RoundTo(pub Length);

impl RoundTo {
    /// Smallest and largest accepted value, mm (common practice, no source).
    pub const RANGE_MM: (f64, f64) = (1.0, 100.0);
}

impl Setting for RoundTo {
    fn read(value: &Value) -> Result<Self, String> {
        let (least, most) = Self::RANGE_MM;
        match number(value)? {
            mm if (least..=most).contains(&mm) => Ok(Self(Length::at_least_zero(mm))),
            _ => Err(format!("a length from {least} to {most} mm")),
        }
    }
    fn write(&self) -> String {
        self.0.mm().to_string()
    }
}

/// Prices of a piece by capacity, smallest first: litres and price, as `"0.1=1.20|1=3.50"`; none = not stated.
#[derive(Clone, Debug, PartialEq)]
pub struct PricesByLitres(pub Vec<(f64, Money)>);

impl Setting for PricesByLitres {
    fn read(value: &Value) -> Result<Self, String> {
        let expected = || {
            "capacities in litres with the price of a piece above 0, two or more, such as \"0.1=1.20|1=3.50|5=9\"; blank = \
             fitted to the listed prices"
                .to_owned()
        };
        let read = |part: &str| -> Option<(f64, Money)> {
            let (litres, price) = part.split_once('=')?;
            let litres = litres.trim().parse().ok().filter(|litres| (1e-4..=1e4).contains(litres))?;
            let price = Money::parse(price.trim()).filter(|price| *price > Money::ZERO)?;
            Some((litres, price))
        };
        let text = value.as_str().ok_or_else(expected)?;
        if text.is_empty() {
            return Ok(Self(Vec::new()));
        }
        let mut prices = text.split('|').map(read).collect::<Option<Vec<_>>>().ok_or_else(expected)?;
        prices.sort_by(|a, b| a.0.total_cmp(&b.0));
        if prices.len() < 2 {
            return Err(expected());
        }
        if prices.windows(2).any(|pair| pair[0].0.total_cmp(&pair[1].0).is_eq()) {
            return Err("each capacity once".to_owned());
        }
        Ok(Self(prices))
    }
    fn write(&self) -> String {
        if self.is_blank() {
            return BLANK.to_owned();
        }
        let one = |(litres, price): &(f64, Money)| format!("{litres}={}", price.text());
        quoted(&self.0.iter().map(one).collect::<Vec<_>>().join("|"))
    }

    fn is_blank(&self) -> bool {
        self.0.is_empty()
    }
}
