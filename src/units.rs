//! Quantities with their unit in the type: lengths, volumes, masses, pressures, whole millilitres and money; densities,
//! temperatures and strengths.
//!
//! Measured quantities are finite and not negative by construction, so nothing downstream checks again.
//! What is decided upon (money, millilitres) is integer.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Neg, Rem, Sub, SubAssign};

/// Two lengths closer than this (in mm) are the same length: touching counts as fitting.
pub const TOUCH_MM: f64 = 1e-9;

macro_rules! measured {
    ($(#[$doc:meta])* $name:ident, $unit:ident, $unit_text:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl $name {
            /// Nothing at all.
            pub const ZERO: Self = Self(0.0);

            #[doc = concat!("From a number of ", $unit_text, "; `None` if it is negative or not finite.")]
            pub fn new($unit: f64) -> Option<Self> {
                ($unit.is_finite() && $unit >= 0.0).then_some(Self($unit))
            }

            #[doc = concat!("From a number of ", $unit_text, ", anything below zero taken as zero.")]
            ///
            /// # Panics
            /// If the number is not finite: callers pass results of arithmetic on checked quantities.
            pub fn at_least_zero($unit: f64) -> Self {
                assert!($unit.is_finite(), concat!(stringify!($name), " must be finite"));
                Self($unit.max(0.0))
            }

            #[doc = concat!("The number of ", $unit_text, ".")]
            pub const fn $unit(self) -> f64 {
                self.0
            }

            /// The smaller of the two.
            pub fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }

            /// The larger of the two.
            pub fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }

            /// The difference, or zero where `other` is larger.
            pub fn less(self, other: Self) -> Self {
                Self((self.0 - other.0).max(0.0))
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, ratio: f64) -> Self {
                Self::at_least_zero(self.0 * ratio)
            }
        }

        impl Sum for $name {
            fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
                items.fold(Self::ZERO, Add::add)
            }
        }
    };
}

measured!(
    /// A length in millimetres.
    Length, mm, "millimetres"
);
measured!(
    /// A volume in millilitres.
    Volume, ml, "millilitres"
);
measured!(
    /// A mass in grams.
    Mass, g, "grams"
);
measured!(
    /// A pressure or a stress in megapascals (newtons per square millimetre).
    Pressure, mpa, "megapascals"
);
measured!(
    /// A force in newtons.
    Force, newtons, "newtons"
);

// After the macro that it uses.
mod composition;
mod table;
mod whole;

pub use composition::{Density, MassFraction, Temperature, VolumeFraction};
pub use table::{IndexTable, Position, Span};
pub(crate) use table::{is_position, positions};
pub use whole::{index, items, number_of, saturated, truncated};

/// Standard gravity in m/s² (3rd General Conference on Weights and Measures, 1901).
const GRAVITY: f64 = 9.80665;

impl Pressure {
    /// Under so high a column of a fluid.
    pub fn under(density: Density, height: Length) -> Self {
        Self(density.kg_m3() * GRAVITY * (height.0 / 1000.0) / 1e6)
    }

    /// Of a mass standing on an area of length × width; nothing where there is no area.
    pub fn of_load(load: Mass, length: Length, width: Length) -> Self {
        let area_mm2 = length.0 * width.0;
        if area_mm2 > 0.0 { Self(load.0 / 1000.0 * GRAVITY / area_mm2) } else { Self::ZERO }
    }

    /// On an area of length × width.
    pub fn on(self, length: Length, width: Length) -> Force {
        Force(self.0 * length.0 * width.0)
    }

    /// The number of kilopascals.
    pub fn kpa(self) -> f64 {
        self.0 * 1000.0
    }

    /// From a number of kilopascals; `None` if it is negative or not finite.
    pub fn of_kpa(kpa: f64) -> Option<Self> {
        Self::new(kpa / 1000.0)
    }
}

impl Mass {
    /// The number of kilograms.
    pub fn kg(self) -> f64 {
        self.0 / 1000.0
    }

    /// From a number of kilograms, to the gram; `None` if it is negative or not finite.
    pub fn of_kg(kg: f64) -> Option<Self> {
        Self::new((kg * 1000.0).round())
    }
}

impl Length {
    /// True if a body of this length goes into `room`, touching allowed.
    pub fn fits(self, room: Length) -> bool {
        self.0 <= room.0 + TOUCH_MM
    }
}

impl fmt::Display for Length {
    /// At most one decimal: `95 mm`, `40.1 mm`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mm", decimal(self.0, 1))
    }
}

/// A number with at most `places` decimals and no trailing zeros, never `-0`.
pub fn decimal(number: f64, places: usize) -> String {
    if let Some(text) = thousandths(number, places) {
        return text;
    }
    let text = format!("{number:.places$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// The number that [`decimal`] writes.
pub fn rounded(number: f64, places: usize) -> f64 {
    match last_places(number, places) {
        // A quotient of two whole numbers is the nearest there is to the decimal.
        Some((counted, per_unit)) if counted > 0 => (f64::from(counted) / f64::from(per_unit)).copysign(number),
        Some(_) => 0.0,
        // Digits round exactly; only ties and very large numbers come this way.
        None => decimal(number, places).parse().unwrap_or(number),
    }
}

/// How many last places a number is, and how many of them a unit has: for a number of at most three places that is not too
/// large and clearly nearer to one whole count of last places than to the next.
fn last_places(number: f64, places: usize) -> Option<(u32, u32)> {
    let per_unit = *[1_u32, 10, 100, 1000].get(places)?;
    let scaled = number.abs() * f64::from(per_unit);
    // Scaling errs by less than 1e-7 below this; what may be a tie is left to the exact way.
    if scaled.is_nan() || scaled >= 1e9 || (scaled.fract() - 0.5).abs() < 1e-6 {
        return None;
    }
    Some((scaled.round() as u32, per_unit))
}

/// [`decimal`] at a tenth of the time, where [`last_places`] can be counted.
fn thousandths(number: f64, places: usize) -> Option<String> {
    let (counted, per_unit) = last_places(number, places)?;
    let (mut whole, mut rest, mut places) = (counted / per_unit, counted % per_unit, places);
    while places > 0 && rest.is_multiple_of(10) {
        rest /= 10;
        places -= 1;
    }
    // Digits from the last to the first: ten of a whole number, three decimals, a point and a sign at most.
    let mut text = [0; 16];
    let mut start = text.len();
    let mut put = |byte: u8| {
        start -= 1;
        text[start] = byte;
    };
    for last in (0..places).rev() {
        put(b'0' + (rest % 10) as u8);
        rest /= 10;
        if last == 0 {
            put(b'.');
        }
    }
    loop {
        put(b'0' + (whole % 10) as u8);
        whole /= 10;
        if whole == 0 {
            break;
        }
    }
    if number < 0.0 && counted > 0 {
        put(b'-');
    }
    Some(String::from_utf8_lossy(&text[start..]).into_owned())
}

/// A whole number of millilitres, as the decision counts fluid. May be negative only as a difference.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Millilitres(pub i64);

impl Millilitres {
    /// Nothing at all.
    pub const ZERO: Self = Self(0);

    /// The nearest whole number of millilitres (halves up).
    pub fn nearest(volume: Volume) -> Self {
        Self((volume.ml() + 0.5).floor() as i64)
    }

    /// As litres with three decimals at most, without the unit: `12.4`.
    pub fn litres(self) -> String {
        decimal(self.0 as f64 / 1000.0, 3)
    }
}

/// An exact amount of the project's currency.
///
/// Held as ten-millionths, so that a price per litre with four decimals times whole millilitres stays exact.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Money(i64);

impl Money {
    /// Nothing at all.
    pub const ZERO: Self = Self(0);
    /// Ten-millionths in one unit of currency.
    pub const PER_UNIT: i64 = 10_000_000;

    /// From ten-millionths of the currency.
    pub const fn from_parts(parts: i64) -> Self {
        Self(parts)
    }

    /// The number of ten-millionths.
    pub const fn parts(self) -> i64 {
        self.0
    }

    /// From whole units of the currency.
    pub const fn whole(units: i64) -> Self {
        Self(units * Self::PER_UNIT)
    }

    /// Reads `12`, `12.5` or `0.0325`: digits with at most four decimals and a decimal point, at most 11 digits before it.
    pub fn parse(text: &str) -> Option<Self> {
        let (whole, part) = text.split_once('.').unwrap_or((text, ""));
        let digits = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
        let dangling = text.ends_with('.') || (whole.is_empty() && part.is_empty());
        if dangling || !digits(whole) || !digits(part) || part.len() > 4 || whole.len() > 11 {
            return None;
        }
        let whole: i64 = if whole.is_empty() { 0 } else { whole.parse().ok()? };
        let part: i64 = format!("{part:0<7}").parse().ok()?;
        whole.checked_mul(Self::PER_UNIT)?.checked_add(part).map(Self)
    }

    /// Reads what [`Money::text`] wrote, whatever it comes to, with a sign where it is below zero.
    pub fn read_back(text: &str) -> Option<Self> {
        if let Some(amount) = text.strip_prefix('-') {
            return Self::read_back(amount).filter(|amount| amount.0 >= 0).map(|amount| -amount);
        }
        // Sums may have a digit more than can be typed, and the largest of all was rounded up.
        let most = || (text == Self::MOST.text()).then_some(Self::MOST);
        let (whole, rest) = text.split_at_checked(text.find('.')?)?;
        let last = whole.len().checked_sub(11).filter(|more| *more <= 1 && whole.is_ascii());
        match last {
            Some(more) if more == 1 => {
                let low = Self::parse(&format!("{}{rest}", &whole[1..]))?;
                let high = whole[..1].parse::<i64>().ok()?.checked_mul(100_000_000_000 * Self::PER_UNIT);
                high.and_then(|high| high.checked_add(low.0)).map(Self).or_else(most)
            }
            _ => Self::parse(text),
        }
    }

    /// The most that can be held: what an amount is that would be more.
    pub const MOST: Self = Self(i64::MAX);

    /// The nearest amount with four decimals to a number that was computed, not typed (an estimate); `None` if it is
    /// negative, not finite or too large to hold.
    pub fn estimate(units: f64) -> Option<Self> {
        let ten_thousandths = (units * 1e4).round();
        (0.0..9e14).contains(&ten_thousandths).then(|| Self(ten_thousandths as i64 * 1000))
    }

    /// The same of a number that is not negative: the most that can be held where it is too large.
    pub fn estimate_or_most(units: f64) -> Self {
        Self::estimate(units).unwrap_or(if units > 0.0 { Self::MOST } else { Self::ZERO })
    }

    /// What a whole number of millilitres costs at this price a litre. Exact.
    pub fn per_litre(self, fluid: Millilitres) -> Self {
        // A price has at most four decimals, so its parts are a multiple of 1000.
        Self((self.0 / 1000).saturating_mul(fluid.0))
    }

    /// How many steps reach this amount.
    pub fn in_steps_of(self, step: Money) -> i64 {
        self.0.div_euclid(step.0) + i64::from(self.0.rem_euclid(step.0) > 0)
    }

    /// As a floating-point number of currency units, for ratios and solvers only.
    pub fn approximate(self) -> f64 {
        self.0 as f64 / Self::PER_UNIT as f64
    }

    /// The number of currency units that [`Money::text`] writes: for spreadsheets, never to reckon with.
    pub fn units(self) -> f64 {
        let ten_thousandths = (i128::from(self.0.unsigned_abs()) + 500) / 1000;
        let units = ten_thousandths as f64 / 10_000.0;
        if self.0 < 0 && ten_thousandths > 0 { -units } else { units }
    }

    /// Rounded to four decimals, half up: the amount that [`Money::text`] writes.
    pub fn rounded(self) -> Self {
        Self(self.0.saturating_add(500).div_euclid(1000) * 1000)
    }

    /// For a screen: two decimals, and four where two would hide the amount.
    pub fn on_screen(self) -> String {
        let rounded = self.rounded();
        let hundredths = Self(rounded.0.saturating_add(50_000).div_euclid(100_000) * 100_000);
        if hundredths == Self::ZERO { rounded.text() } else { hundredths.text() }
    }

    /// Rounded once to four decimals and written with at least two: `12.50`, `0.0325`.
    pub fn text(self) -> String {
        let ten_thousandths = (i128::from(self.0.unsigned_abs()) + 500) / 1000;
        let sign = if self.0 < 0 && ten_thousandths > 0 { "-" } else { "" };
        let text = format!("{sign}{}.{:04}", ten_thousandths / 10_000, ten_thousandths % 10_000);
        match text.strip_suffix("00") {
            Some(short) => short.to_owned(),
            None => text.strip_suffix('0').unwrap_or(&text).to_owned(),
        }
    }
}

// What a person can type may be more than can be held: then it is the most that can, never a small number or a negative one.
macro_rules! counted {
    ($name:ident) => {
        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0.saturating_add(other.0))
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0.saturating_sub(other.0))
            }
        }
        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(self.0.saturating_neg())
            }
        }
        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                *self = *self + other;
            }
        }
        impl SubAssign for $name {
            fn sub_assign(&mut self, other: Self) {
                *self = *self - other;
            }
        }
        impl Mul<i64> for $name {
            type Output = Self;
            fn mul(self, times: i64) -> Self {
                Self(self.0.saturating_mul(times))
            }
        }
        impl Sum for $name {
            fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
                items.fold(Self(0), Add::add)
            }
        }
    };
}
counted!(Millilitres);
counted!(Money);

// After the macro that it uses.
mod pieces;

pub use pieces::{Packs, Pieces};

/// The greatest common divisor of two whole numbers, but for its sign; of any number and 0 that number.
pub fn greatest_common_divisor<N: Copy + PartialEq + Default + Rem<Output = N>>(a: N, b: N) -> N {
    if b == N::default() { a } else { greatest_common_divisor(b, a % b) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn money_is_read_and_written_exactly() {
        for (typed, written) in
            [("12", "12.00"), ("12.5", "12.50"), ("0.0325", "0.0325"), (".5", "0.50"), ("3.125", "3.125")]
        {
            assert_eq!(Money::parse(typed).map(Money::text).as_deref(), Some(written), "{typed}");
        }
        for refused in ["", ".", "1.", "1.23456", "-1", "1e3", "12,5", "NaN", "123456789012"] {
            assert_eq!(Money::parse(refused), None, "{refused}");
        }
    }

    #[test]
    fn what_was_written_reads_back_whatever_it_comes_to() {
        for amount in ["0.00", "99999999999.9999", "100000000000.00", "123456789012.5001", "922337203685.4775"] {
            assert_eq!(Money::read_back(amount).map(Money::text).as_deref(), Some(amount));
            let owed = format!("-{amount}");
            let written = if amount == "0.00" { amount } else { &owed };
            assert_eq!(Money::read_back(&owed).map(Money::text).as_deref(), Some(written));
        }
        assert_eq!(Money::read_back(&Money::MOST.text()), Some(Money::MOST));
        for refused in
            ["922337203685.48", "1000000000000.00", "x00000000000.00", "--1.00", "", "-", ".", "é0000000000.00"]
        {
            assert_eq!(Money::read_back(refused), None, "{refused}");
        }
        assert_eq!(Money::estimate_or_most(1e30), Money::MOST);
        assert_eq!(Money::estimate_or_most(12.5), Money::parse("12.5").unwrap());
    }

    #[test]
    fn a_decimal_is_the_exact_number_rounded_to_its_places() {
        let exact = |number: f64, places: usize| {
            let text = format!("{number:.places$}");
            let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
            if text == "-0" { "0".to_owned() } else { text.to_owned() }
        };
        let ties =
            [0.0, -0.0, 0.5, 1.5, 2.5, 0.125, 0.25, 0.0625, 1.0005, 2.675, 1.005, 8.345, 0.05, 0.95, 0.9995, -0.0004];
        let large = [999_999.999_5, 1e6 - 1e-4, 123_456_789.012_5, 1e9, 4.3e9, 1e17, f64::MAX, f64::INFINITY];
        let many = (0..20_000).map(|i| f64::from(i) * 0.000_5 + f64::from(i % 7) * 1e-9);
        for number in ties.into_iter().chain(large).chain(many) {
            for places in 0..=4 {
                assert_eq!(decimal(number, places), exact(number, places), "{number:?} to {places}");
                assert_eq!(decimal(-number, places), exact(-number, places), "-{number:?} to {places}");
            }
        }
    }

    #[test]
    fn a_price_a_litre_times_millilitres_is_exact() {
        let price = Money::parse("3.1234").unwrap();
        assert_eq!(price.per_litre(Millilitres(1)).parts(), 31_234);
        assert_eq!(price.per_litre(Millilitres(1000)), price);
    }

    #[test]
    fn lengths_refuse_what_is_not_a_length() {
        assert_eq!(Length::new(-0.1), None);
        assert_eq!(Length::new(f64::NAN), None);
        assert_eq!(Length::new(f64::INFINITY), None);
        assert_eq!(Length::new(40.06).unwrap().to_string(), "40.1 mm");
    }
}
