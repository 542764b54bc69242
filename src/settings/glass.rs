//! Types of settings about custom tanks.

use toml::Value;

use super::Setting;
use super::values::{number, quoted};
use crate::units::{Length, Money, Pressure, TOUCH_MM, decimal, rounded};

/// Closures that are bonded all round; only these can support the walls.
pub const BONDED_LIDS: [&str; 2] = ["plate-silicone", "epoxy-plate"];

/// The closure that lies loose on the rim.
pub const LOOSE_LID: &str = "loose-cover";

/// Permanent stress allowed in a pane, within the range for which the tank's calculation is meant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Allowable(pub Pressure);

impl Allowable {
    /// Smallest and largest accepted value, MPa. The largest is EN 16612:2019 for annealed float under permanent load, 0.29 × 45
    /// / 1.8 (second-hand, to be checked); the smallest is common practice, no source.
    pub const RANGE_MPA: (f64, f64) = (3.5, 7.25);
    /// Above this the value is a permanent stress without a load factor: EN 16612, 7.25 / 1.35 = 5.4 (second-hand, to be
    /// checked).
    pub const USUAL_MPA: f64 = 5.0;
}

impl Setting for Allowable {
    fn read(value: &Value) -> Result<Self, String> {
        stress_within(Self::RANGE_MPA, value).map(Self)
    }
    fn write(&self) -> String {
        self.0.mpa().to_string()
    }
}

/// A stress in MPa within a range.
fn stress_within((least, most): (f64, f64), value: &Value) -> Result<Pressure, String> {
    let mpa = number(value)?;
    match (least..=most).contains(&mpa) {
        true => Ok(Pressure::at_least_zero(mpa)),
        false => Err(format!("a stress from {least} to {most} MPa")),
    }
}

/// Stress allowed in a joint.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SeamLimit(pub Pressure);

impl SeamLimit {
    /// Smallest and largest accepted value, MPa: design values of structural glazing for permanent and for short load (from
    /// memory).
    pub const RANGE_MPA: (f64, f64) = (0.014, 0.14);
}

impl Setting for SeamLimit {
    fn read(value: &Value) -> Result<Self, String> {
        stress_within(Self::RANGE_MPA, value).map(Self)
    }
    fn write(&self) -> String {
        self.0.mpa().to_string()
    }
}

/// Poisson's ratio: transverse contraction divided by longitudinal strain, 0 to 0.5.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PoissonRatio(pub f64);

impl Setting for PoissonRatio {
    fn read(value: &Value) -> Result<Self, String> {
        match number(value)? {
            ratio if ratio <= 0.5 => Ok(Self(ratio)),
            _ => Err("a ratio from 0 to 0.5".to_owned()),
        }
    }
    fn write(&self) -> String {
        self.0.to_string()
    }
}

/// Nominal thicknesses that the glazier stocks, thinnest first: mm and price per square metre, as `"4=30|5=36"`.
#[derive(Clone, Debug, PartialEq)]
pub struct GlassPrices(pub Vec<(Length, Money)>);

impl Setting for GlassPrices {
    fn read(value: &Value) -> Result<Self, String> {
        let expected = || "thicknesses in mm with their prices per square metre, such as \"4=30|5=36|6=42\"".to_owned();
        let read = |part: &str| -> Option<(Length, Money)> {
            let (thickness, price) = part.split_once('=')?;
            let thickness = thickness.trim().parse().ok().filter(|mm| (1.0..=100.0).contains(mm))?;
            Some((Length::new(thickness)?, Money::parse(price.trim())?))
        };
        let text = value.as_str().ok_or_else(expected)?;
        let mut prices = text.split('|').map(read).collect::<Option<Vec<_>>>().ok_or_else(expected)?;
        prices.sort_by(|a, b| a.0.mm().total_cmp(&b.0.mm()));
        if prices.windows(2).any(|pair| pair[0].0 == pair[1].0) {
            return Err("each thickness once".to_owned());
        }
        Ok(Self(prices))
    }
    fn write(&self) -> String {
        let one = |(thickness, price): &(Length, Money)| format!("{}={}", thickness.mm(), price.text());
        quoted(&self.0.iter().map(one).collect::<Vec<_>>().join("|"))
    }
}

/// Stock sheets in mm, the longer side first, as `"3210x2250|2250x1605"`.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheets(pub Vec<(Length, Length)>);

impl Setting for Sheets {
    fn read(value: &Value) -> Result<Self, String> {
        let expected = || "sheet sizes in mm with at most 3 decimals, such as \"3210x2250|2250x1605\"".to_owned();
        let read = |part: &str| -> Option<(Length, Length)> {
            let (one, other) = part.split_once(['x', '×'])?;
            // A plan states panes to three decimals. A sheet as exact is as large as every pane that was found to fit it.
            let exact = |mm: f64| (rounded(mm, 3) - mm).abs() < TOUCH_MM;
            let side = |text: &str| text.trim().parse().ok().filter(|mm| (100.0..=20_000.0).contains(mm) && exact(*mm));
            let (one, other) = (Length::new(side(one)?)?, Length::new(side(other)?)?);
            Some((one.max(other), one.min(other)))
        };
        let text = value.as_str().ok_or_else(expected)?;
        text.split('|').map(read).collect::<Option<Vec<_>>>().map(Self).ok_or_else(expected)
    }
    fn write(&self) -> String {
        let one =
            |(length, width): &(Length, Length)| format!("{}x{}", decimal(length.mm(), 3), decimal(width.mm(), 3));
        quoted(&self.0.iter().map(one).collect::<Vec<_>>().join("|"))
    }
}

macro_rules! named {
    ($(#[$doc:meta])* $name:ident { $($(#[$case_doc:meta])* $case:ident = $text:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum $name {
            $($(#[$case_doc])* $case),+
        }

        impl Setting for $name {
            fn read(value: &Value) -> Result<Self, String> {
                match value.as_str() {
                    $(Some($text) => Ok(Self::$case),)+
                    _ => Err([$(concat!("\"", $text, "\"")),+].join(" or ")),
                }
            }
            fn write(&self) -> String {
                quoted(match self {
                    $(Self::$case => $text),+
                })
            }
        }
    };
}

named!(
    /// Support of the base of a tank.
    BaseSupport {
        /// At its edges only: the base bends.
        Edges = "edges",
        /// By a pad over its whole area on a flat, stiff board: bending is neglected.
        Bedded = "bedded",
    }
);
named!(
    /// How walls and base of a tank meet.
    WallsAndBase {
        /// Whichever costs less.
        Cheapest = "cheapest",
        /// The walls stand on the base.
        OnBase = "walls on base",
        /// The base lies between the walls.
        Inside = "base inside",
    }
);
named!(
    /// The finish of a free top edge.
    TopEdge {
        /// Ground or polished.
        Ground = "ground",
        /// As cut, with the sharp edge taken off.
        AsCut = "as cut",
    }
);
