//! Quantities with their unit in the type: lengths, volumes, masses, pressures, whole millilitres and money; densities,
//! temperatures and strengths.
//!
//! Measured quantities are finite and not negative by construction, so nothing that uses them checks again.
//! Quantities of the decision (money, millilitres) are whole numbers.

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
            /// Zero.
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

// Must follow the macro that it uses.
mod composition;
mod decimal;
mod money;
mod table;
mod whole;

pub use composition::{Density, MassFraction, Temperature, VolumeFraction};
pub use decimal::{decimal, rounded};
pub use money::Money;
pub use table::{IndexTable, Position, Span};
pub(crate) use table::{is_position, positions};
pub use whole::{index, items, number_of, offset, saturated, short_index, truncated, truncated_count};

/// Standard gravity in m/s² (3rd General Conference on Weights and Measures, 1901).
const GRAVITY: f64 = 9.80665;

impl Pressure {
    /// Pressure under a column of fluid of this height.
    pub fn under(density: Density, height: Length) -> Self {
        Self(density.kg_m3() * GRAVITY * (height.0 / 1000.0) / 1e6)
    }

    /// Pressure of a mass that stands on an area of length × width; zero where there is no area.
    pub fn of_load(load: Mass, length: Length, width: Length) -> Self {
        let area_mm2 = length.0 * width.0;
        if area_mm2 > 0.0 { Self(load.0 / 1000.0 * GRAVITY / area_mm2) } else { Self::ZERO }
    }

    /// Force on an area of length × width.
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

/// A whole number of millilitres, as the decision counts fluid. May be negative only as a difference.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Millilitres(pub i64);

impl Millilitres {
    /// Zero.
    pub const ZERO: Self = Self(0);

    /// The nearest whole number of millilitres (halves up).
    pub fn nearest(volume: Volume) -> Self {
        Self(truncated((volume.ml() + 0.5).floor()))
    }

    /// As litres with three decimals at most, without the unit: `12.4`.
    pub fn litres(self) -> String {
        decimal(self.0 as f64 / 1000.0, 3)
    }
}

// Saturating: amounts that people type may add up to more than 64 bits hold, and must not become small or negative.
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

// Must follow the macro that it uses.
mod pieces;

pub use pieces::{Packs, Pieces};

/// The greatest common divisor of two whole numbers, whose sign may be either. With 0, the other number.
pub fn greatest_common_divisor<N: Copy + PartialEq + Default + Rem<Output = N>>(a: N, b: N) -> N {
    if b == N::default() { a } else { greatest_common_divisor(b, a % b) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_refuse_what_is_not_a_length() {
        assert_eq!(Length::new(-0.1), None);
        assert_eq!(Length::new(f64::NAN), None);
        assert_eq!(Length::new(f64::INFINITY), None);
        assert_eq!(Length::new(40.06).unwrap().to_string(), "40.1 mm");
    }
}
