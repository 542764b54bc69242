//! Lists whose positions have a type of their own, so that a position in one list is not taken for one in another.
//!
//! An [`IndexTable`] is a vector that is indexed only by its own kind of [`Position`]. It costs what a vector costs: positions are
//! 32-bit numbers, and the length is checked when a table grows, not when it is read.

use std::fmt::Debug;
use std::hash::Hash;
use std::marker::PhantomData;
use std::ops::{Deref, DerefMut, Index, IndexMut, Range};

use super::whole::index;

/// A position in one kind of list, counted from 0.
pub trait Position: Copy + Ord + Hash + Debug {
    /// From its number.
    fn new(number: u32) -> Self;

    /// Its number.
    fn number(self) -> u32;

    /// Its number as an index into a slice.
    #[inline]
    fn index(self) -> usize {
        index(self.number())
    }

    /// From an index into a slice.
    ///
    /// # Panics
    /// If the index is above `u32::MAX`: no table is that long.
    #[inline]
    fn at(index: usize) -> Self {
        Self::new(u32::try_from(index).expect("a position of a table has 32 bits"))
    }
}

/// Declares kinds of position: numbers of 32 bits that do not convert into one another.
macro_rules! positions {
    ($($(#[$doc:meta])* $name:ident,)+) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[repr(transparent)]
        pub struct $name(u32);

        $crate::units::is_position!($name);
    )+};
}
pub(crate) use positions;

/// Makes a position of a type that holds a number of 32 bits.
macro_rules! is_position {
    ($name:ident) => {
        impl $crate::units::Position for $name {
            #[inline]
            fn new(number: u32) -> Self {
                Self(number)
            }

            #[inline]
            fn number(self) -> u32 {
                self.0
            }
        }
    };
}
pub(crate) use is_position;

/// A vector indexed by one kind of position.
#[repr(transparent)]
pub struct IndexTable<P, T> {
    /// At most `u32::MAX` of them.
    rows: Vec<T>,
    positions: PhantomData<fn(P) -> P>,
}

impl<P: Position, T> IndexTable<P, T> {
    /// An empty table.
    pub const fn new() -> Self {
        IndexTable { rows: Vec::new(), positions: PhantomData }
    }

    /// An empty table with room for `rows` rows.
    pub fn with_capacity(rows: usize) -> Self {
        IndexTable { rows: Vec::with_capacity(rows), positions: PhantomData }
    }

    /// Adds a row at the end.
    pub fn push(&mut self, row: T) -> P {
        let position = P::at(self.rows.len());
        assert!(position.number() < u32::MAX, "{FULL}");
        self.rows.push(row);
        position
    }

    /// The row at a position, if there is one.
    #[inline]
    pub fn get(&self, position: P) -> Option<&T> {
        self.rows.get(position.index())
    }

    /// The row at a position, if there is one.
    #[inline]
    pub fn get_mut(&mut self, position: P) -> Option<&mut T> {
        self.rows.get_mut(position.index())
    }

    /// All positions in order.
    #[inline]
    pub fn positions(&self) -> impl DoubleEndedIterator<Item = P> + ExactSizeIterator + Clone + use<P, T> {
        #[expect(
            clippy::cast_possible_truncation,
            reason = "that the length has 32 bits was asked when the table grew"
        )]
        let length = self.rows.len() as u32;
        (0..length).map(P::new)
    }

    /// All rows with their positions.
    #[inline]
    pub fn enumerated(&self) -> impl DoubleEndedIterator<Item = (P, &T)> + ExactSizeIterator + Clone {
        self.positions().zip(&self.rows)
    }

    /// All rows with their positions, mutable.
    #[inline]
    pub fn enumerated_mut(&mut self) -> impl DoubleEndedIterator<Item = (P, &mut T)> + ExactSizeIterator {
        self.positions().zip(&mut self.rows)
    }

    /// A table of the same positions, with the same value at each.
    pub fn filled<U: Clone>(&self, value: U) -> IndexTable<P, U> {
        IndexTable { rows: vec![value; self.rows.len()], positions: PhantomData }
    }

    /// A table of the same positions, with `of` applied to each row.
    pub fn map<U>(&self, of: impl FnMut(&T) -> U) -> IndexTable<P, U> {
        IndexTable { rows: self.rows.iter().map(of).collect(), positions: PhantomData }
    }

    /// The first position whose row satisfies `is`.
    pub fn position(&self, is: impl FnMut(&T) -> bool) -> Option<P> {
        self.rows.iter().position(is).map(P::at)
    }

    /// The rows as a plain vector.
    pub fn into_vec(self) -> Vec<T> {
        self.rows
    }
}

const FULL: &str = "a table holds no more than u32::MAX rows";

impl<P, T> From<Vec<T>> for IndexTable<P, T> {
    fn from(rows: Vec<T>) -> Self {
        assert!(u32::try_from(rows.len()).is_ok(), "{FULL}");
        IndexTable { rows, positions: PhantomData }
    }
}

impl<P, T> FromIterator<T> for IndexTable<P, T> {
    fn from_iter<I: IntoIterator<Item = T>>(rows: I) -> Self {
        Vec::from_iter(rows).into()
    }
}

impl<P, T> Extend<T> for IndexTable<P, T> {
    fn extend<I: IntoIterator<Item = T>>(&mut self, rows: I) {
        self.rows.extend(rows);
        assert!(u32::try_from(self.rows.len()).is_ok(), "{FULL}");
    }
}

impl<P: Position, T> Index<P> for IndexTable<P, T> {
    type Output = T;
    #[inline]
    fn index(&self, position: P) -> &T {
        &self.rows[position.index()]
    }
}

impl<P: Position, T> IndexMut<P> for IndexTable<P, T> {
    #[inline]
    fn index_mut(&mut self, position: P) -> &mut T {
        &mut self.rows[position.index()]
    }
}

impl<P: Position, T> Index<Span<P>> for IndexTable<P, T> {
    type Output = [T];
    #[inline]
    fn index(&self, span: Span<P>) -> &[T] {
        &self.rows[span.indices()]
    }
}

/// Consecutive positions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Span<P> {
    /// The first position, and the one after the last.
    ends: (u32, u32),
    positions: PhantomData<fn(P) -> P>,
}

impl<P: Position> Span<P> {
    /// From one index up to another.
    ///
    /// # Panics
    /// If an index is above `u32::MAX`, as in [`Position::at`].
    pub fn of(indices: Range<usize>) -> Self {
        let end = |index: usize| u32::try_from(index).expect("a position of a table has 32 bits");
        Span { ends: (end(indices.start), end(indices.end)), positions: PhantomData }
    }

    /// As indices into a slice.
    #[inline]
    pub fn indices(self) -> Range<usize> {
        index(self.ends.0)..index(self.ends.1)
    }

    /// All positions in order.
    #[inline]
    pub fn positions(self) -> impl DoubleEndedIterator<Item = P> + ExactSizeIterator + Clone + use<P> {
        (self.ends.0..self.ends.1).map(P::new)
    }

    /// Whether there are none.
    pub fn is_empty(self) -> bool {
        self.ends.0 >= self.ends.1
    }
}

impl<P, T> Deref for IndexTable<P, T> {
    type Target = [T];
    #[inline]
    fn deref(&self) -> &[T] {
        &self.rows
    }
}

impl<P, T> DerefMut for IndexTable<P, T> {
    #[inline]
    fn deref_mut(&mut self) -> &mut [T] {
        &mut self.rows
    }
}

impl<P, T> IntoIterator for IndexTable<P, T> {
    type Item = T;
    type IntoIter = std::vec::IntoIter<T>;
    fn into_iter(self) -> Self::IntoIter {
        self.rows.into_iter()
    }
}

impl<'a, P, T> IntoIterator for &'a IndexTable<P, T> {
    type Item = &'a T;
    type IntoIter = std::slice::Iter<'a, T>;
    fn into_iter(self) -> Self::IntoIter {
        self.rows.iter()
    }
}

impl<'a, P, T> IntoIterator for &'a mut IndexTable<P, T> {
    type Item = &'a mut T;
    type IntoIter = std::slice::IterMut<'a, T>;
    fn into_iter(self) -> Self::IntoIter {
        self.rows.iter_mut()
    }
}

// Written out, because derived implementations would ask the same traits of the kind of position.
impl<P, T> Default for IndexTable<P, T> {
    fn default() -> Self {
        IndexTable { rows: Vec::new(), positions: PhantomData }
    }
}

impl<P, T: Clone> Clone for IndexTable<P, T> {
    fn clone(&self) -> Self {
        IndexTable { rows: self.rows.clone(), positions: PhantomData }
    }

    fn clone_from(&mut self, other: &Self) {
        self.rows.clone_from(&other.rows);
    }
}

impl<P, T: Debug> Debug for IndexTable<P, T> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.rows.fmt(f)
    }
}

impl<P, T: PartialEq> PartialEq for IndexTable<P, T> {
    fn eq(&self, other: &Self) -> bool {
        self.rows == other.rows
    }
}

impl<P, T: Eq> Eq for IndexTable<P, T> {}

#[cfg(test)]
mod tests {
    use super::*;

    positions! {
        /// Of letters.
        Letter,
    }

    #[test]
    fn a_table_is_read_at_its_own_positions() {
        let mut letters: IndexTable<Letter, char> = ['a', 'b'].into_iter().collect();
        let last = letters.push('c');
        assert_eq!((last.number(), letters[last], letters.get(Letter::new(3))), (2, 'c', None));
        letters[Letter::at(0)] = 'z';
        let with_positions: Vec<(u32, char)> =
            letters.enumerated().map(|(at, letter)| (at.number(), *letter)).collect();
        assert_eq!(with_positions, [(0, 'z'), (1, 'b'), (2, 'c')]);
        assert_eq!(letters.position(|letter| *letter == 'b'), Some(Letter::new(1)));
        assert_eq!(letters.filled(7).into_vec(), [7, 7, 7]);
        let span = Span::of(1..3);
        assert_eq!((&letters[span], span.positions().next_back()), (&['b', 'c'][..], Some(last)));
    }

    #[test]
    fn positions_and_tables_take_no_more_room_than_numbers_and_vectors() {
        assert_eq!(size_of::<Letter>(), size_of::<u32>());
        assert_eq!(size_of::<IndexTable<Letter, u8>>(), size_of::<Vec<u8>>());
    }
}
