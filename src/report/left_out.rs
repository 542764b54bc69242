//! Input rows that could not be read. Every output begins with them: the first [`SHOWN`], then how many more there are.
//! plan.json lists all of them.

use std::borrow::Cow;

/// Largest number of rows listed; nobody reads more.
const SHOWN: usize = 100;

/// The first rows that were left out, then one line that counts the others.
pub fn first(rows: &[String]) -> impl Iterator<Item = Cow<'_, str>> {
    let more = rows.len().saturating_sub(SHOWN);
    let others = (more > 0).then(|| format!("and {more} more: plan.json lists all").into());
    rows.iter().take(SHOWN).map(|row| Cow::from(row.as_str())).chain(others)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hundred_are_shown_and_the_others_counted() {
        let rows: Vec<String> = (0..102).map(|row| row.to_string()).collect();
        assert_eq!(first(&rows[..100]).count(), 100);
        assert_eq!(first(&rows).last().as_deref(), Some("and 2 more: plan.json lists all"));
        assert_eq!(first(&rows).count(), 101);
        assert_eq!(first(&[]).count(), 0);
    }
}
