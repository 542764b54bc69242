//! Lists and numbers as a certificate spells them: each in one way only.

use std::str::FromStr;

/// Positions and numbers, `,` between them.
pub(super) fn pairs<T: Copy>(list: &str, names: &[T]) -> Option<Vec<(T, i64)>> {
    let named = |(position, number): (usize, i64)| Some((*names.get(position)?, number));
    items(list).map(|pair| position_and_number(pair).and_then(named)).collect()
}

pub(super) fn position_and_number(pair: &str) -> Option<(usize, i64)> {
    let (position, number) = pair.split_once(':')?;
    Some((whole(position)?, whole(number)?))
}

/// What stands between commas.
pub(super) fn items(list: &str) -> impl Iterator<Item = &str> {
    list.split(',').filter(move |_| !list.is_empty())
}

/// What stands between commas, one for each of so many things; blank for a single one too.
pub(super) fn one_for_each(list: &str, n: usize) -> Option<Vec<&str>> {
    let found: Vec<&str> = if n == 1 { vec![list] } else { items(list).collect() };
    (found.len() == n).then_some(found)
}

/// A whole number as it is written here: digits, and a sign where it is below 0.
pub(super) fn whole<T: FromStr + ToString>(text: &str) -> Option<T> {
    text.parse().ok().filter(|number: &T| number.to_string() == text)
}
