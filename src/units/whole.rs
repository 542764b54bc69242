//! Conversions of whole numbers between widths and from floating point, and what becomes of numbers that do not fit.

/// A number of 32 bits as an index or a count.
#[inline]
pub const fn index(number: u32) -> usize {
    const { assert!(usize::BITS >= u32::BITS, "an index has no fewer bits than a position") }
    number as usize
}

/// An index or a count as a number of 32 bits, for lists of many indices.
///
/// # Panics
/// If it is above `u32::MAX`: no list with short indices is that long.
#[inline]
pub fn short_index(index: usize) -> u32 {
    u32::try_from(index).expect("no list with short indices has more than u32::MAX items")
}

/// An offset in bytes into a file that is held in memory.
#[inline]
pub fn offset(bytes: u64) -> usize {
    usize::try_from(bytes).expect("a place in memory has no more bits than memory has")
}

/// The number of items of a list, as a signed number.
#[inline]
pub fn number_of(items: usize) -> i64 {
    i64::try_from(items).expect("no list has more items than memory has bytes, and those are fewer than 2^63")
}

/// A signed number of items as a count or an index. It must not be below 0.
#[inline]
pub fn items(number: i64) -> usize {
    usize::try_from(number).expect("no list has fewer items than none, nor more than memory has bytes")
}

/// A floating-point number cut to a whole number. Beyond 64 bits the least or the largest; 0 for NaN.
#[inline]
#[expect(
    clippy::cast_possible_truncation,
    reason = "a cast from floating point gives the least or the most where it is beyond"
)]
pub fn truncated(number: f64) -> i64 {
    number as i64
}

/// A floating-point number cut to a whole number of items: 0 where it is below 1 or NaN.
#[inline]
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a cast from floating point gives 0 below 0, and the most where it is beyond"
)]
pub fn truncated_count(number: f64) -> usize {
    number as usize
}

/// A number in 64 bits: the least or the largest where it is beyond.
#[inline]
pub fn saturated(number: i128) -> i64 {
    i64::try_from(number).unwrap_or(if number < 0 { i64::MIN } else { i64::MAX })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    #[should_panic = "short indices"]
    fn an_index_of_more_than_32_bits_is_not_cut() {
        short_index(1 << 32);
    }

    #[test]
    fn what_does_not_fit_is_the_least_or_the_most() {
        assert_eq!([i128::MIN, -1, 7, i128::MAX].map(saturated), [i64::MIN, -1, 7, i64::MAX]);
        assert_eq!([-1e30, -1.9, 2.9, 1e30, f64::NAN].map(truncated), [i64::MIN, -1, 2, i64::MAX, 0]);
        assert_eq!([-1e30, -1.9, 2.9, 1e30, f64::NAN].map(truncated_count), [0, 0, 2, usize::MAX, 0]);
    }
}
