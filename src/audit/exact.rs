//! Sums of money in 128 bits, which no plan overflows, however wrong it is.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign};

use crate::units::Money;

/// Money in ten-millionths of the currency; exact, and saturating at the limits of 128 bits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(super) struct Exact(pub(super) i128);

impl Exact {
    /// `number` times an amount.
    pub(super) fn times(amount: Money, number: i128) -> Self {
        Self(i128::from(amount.parts()).saturating_mul(number))
    }

    /// The cost of `millilitres` at a price per litre of at most four places.
    pub(super) fn per_litre(price: Money, millilitres: i128) -> Self {
        Self(i128::from(price.parts() / 1000).saturating_mul(millilitres))
    }

    /// Rounded to four places and written with all four.
    pub(super) fn text(self) -> String {
        let places = (self.0.unsigned_abs().saturating_add(500)) / 1000;
        let sign = if self.0 < 0 && places > 0 { "-" } else { "" };
        format!("{sign}{}.{:04}", places / 10_000, places % 10_000)
    }
}

impl From<Money> for Exact {
    fn from(amount: Money) -> Self {
        Self(i128::from(amount.parts()))
    }
}

impl Add for Exact {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl AddAssign for Exact {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sum for Exact {
    fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
        items.fold(Self::default(), Add::add)
    }
}

impl fmt::Display for Exact {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text())
    }
}
