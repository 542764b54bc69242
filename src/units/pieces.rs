//! Whole vessels, and whole packs that they are bought in.
//!
//! They are held in 64 bits: all rows of a survey could use more pieces of one vessel than 32 bits hold, and differences may be
//! below 0.

use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Neg, Sub, SubAssign};

use super::Money;

/// A whole number of pieces of a vessel. May be negative only as a difference.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
#[repr(transparent)]
pub struct Pieces(pub i64);

/// A whole number of packs of an offer. May be negative only as a difference.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
#[repr(transparent)]
pub struct Packs(pub i64);

counted!(Pieces);
counted!(Packs);

impl Pieces {
    /// Zero.
    pub const ZERO: Self = Self(0);

    /// The fewest packs of `size` pieces that hold these pieces.
    #[inline]
    pub fn in_packs_of(self, size: Pieces) -> Packs {
        Packs(self.0.div_euclid(size.0) + i64::from(self.0.rem_euclid(size.0) > 0))
    }
}

impl Packs {
    /// Zero.
    pub const ZERO: Self = Self(0);
    /// The largest number: no limit.
    pub const MOST: Self = Self(i64::MAX);
}

/// Pieces in a pack, times packs.
impl Mul<Packs> for Pieces {
    type Output = Pieces;
    #[inline]
    fn mul(self, packs: Packs) -> Pieces {
        self * packs.0
    }
}

/// Price of a pack, times packs.
impl Mul<Packs> for Money {
    type Output = Money;
    #[inline]
    fn mul(self, packs: Packs) -> Money {
        self * packs.0
    }
}

/// Price of a piece, times pieces.
impl Mul<Pieces> for Money {
    type Output = Money;
    #[inline]
    fn mul(self, pieces: Pieces) -> Money {
        self * pieces.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn packs_hold_pieces() {
        assert_eq!([0, 1, 11, 12, 13].map(|pieces| Pieces(pieces).in_packs_of(Pieces(12)).0), [0, 1, 1, 1, 2]);
        assert_eq!(Pieces(-1).in_packs_of(Pieces(12)), Packs::ZERO);
        assert_eq!(Pieces(12) * Packs(3), Pieces(36));
        assert_eq!(Money::whole(2) * Packs(3), Money::whole(6));
    }
}
