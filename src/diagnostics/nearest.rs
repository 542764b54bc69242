//! The known name that is nearest to a typed one, for "did you mean".
//!
//! Distance: optimal string alignment (L. Boytsov, ACM Journal of Experimental Algorithmics 16 (2011) 1.1), in lower case. There may be
//! thousands of names and of misspellings, so it is computed only where two lower bounds allow a nearer name: letters that only one of
//! the names has, and how often each letter occurs.

use super::LONGEST_NAME;
use crate::units::index;

/// Known names, prepared for comparison with typed ones.
#[derive(Debug)]
pub struct KnownNames<S> {
    names: Vec<KnownName<S>>,
}

#[derive(Debug)]
struct KnownName<S> {
    name: S,
    lower: String,
    letters: Option<u128>,
}

impl<S: AsRef<str>> KnownNames<S> {
    /// Takes the names.
    pub fn new(names: impl IntoIterator<Item = S>) -> Self {
        let known = |name: S| {
            let lower = name.as_ref().to_lowercase();
            KnownName { letters: letters(&lower), lower, name }
        };
        KnownNames { names: names.into_iter().map(known).collect() }
    }

    /// The known name nearest to a typed one: at most a third of the letters differ, or the known name contains the typed one. Of
    /// equally near names the first in the alphabet. `None` if no name is near, or the typed text is longer than [`LONGEST_NAME`].
    pub fn nearest(&self, typed: &str) -> Option<&S> {
        if typed.chars().nth(LONGEST_NAME).is_some() {
            return None;
        }
        let typed = typed.to_lowercase();
        // A single letter gets no suggestion: one change turns it into any other.
        let length = typed.chars().count();
        let limit = (length / 3).max(usize::from(length > 1));
        let own = letters(&typed);
        let mut nearest: Option<(usize, &KnownName<S>)> = None;
        for known in &self.names {
            let no_better = |distance: usize| {
                nearest.is_some_and(|(least, other)| (distance, known.name.as_ref()) >= (least, other.name.as_ref()))
            };
            let holds_it = || typed.len() >= 3 && known.lower.contains(&typed);
            let is_far = |bound: usize| no_better(bound) || (bound > limit && !holds_it());
            if is_far(index(other_letters(own, known.letters))) || is_far(least_distance(&typed, &known.lower)) {
                continue;
            }
            let distance = strsim::osa_distance(&typed, &known.lower);
            if (distance <= limit || holds_it()) && !no_better(distance) {
                nearest = Some((distance, known));
            }
        }
        nearest.map(|(_, known)| &known.name)
    }
}

/// As [`KnownNames::nearest`], where few names are looked up.
pub fn nearest<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    KnownNames::new(known).nearest(typed).copied()
}

/// The letters of a text as a set, if all are ASCII.
fn letters(text: &str) -> Option<u128> {
    text.is_ascii().then(|| text.bytes().fold(0, |letters, byte| letters | 1 << byte))
}

/// A lower bound on the distance of two texts: every kind of letter that only one of them has needs one change.
fn other_letters(one: Option<u128>, other: Option<u128>) -> u32 {
    let (Some(one), Some(other)) = (one, other) else { return 0 };
    (one & !other).count_ones().max((other & !one).count_ones())
}

/// A lower bound on the distance of two texts: every letter that only one of them has needs one change.
fn least_distance(one: &str, other: &str) -> usize {
    if !one.is_ascii() || !other.is_ascii() {
        return one.chars().count().abs_diff(other.chars().count());
    }
    let mut counts = [0_i32; 128];
    one.bytes().for_each(|byte| counts[usize::from(byte)] += 1);
    other.bytes().for_each(|byte| counts[usize::from(byte)] -= 1);
    let (mut more, mut fewer) = (0, 0);
    for count in counts {
        more += count.max(0).unsigned_abs() as usize;
        fewer += count.min(0).unsigned_abs() as usize;
    }
    more.max(fewer)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_near_name_is_found_and_a_far_one_is_not() {
        let known = ["ethanol-70", "ethanol-96", "formalin-10"];
        assert_eq!(nearest("ethonal-70", known), Some("ethanol-70"));
        assert_eq!(nearest("formalin", known), Some("formalin-10"));
        assert_eq!(nearest("glycerine", known), None);
        assert_eq!(nearest("x", ["?", "y"]), None);
    }

    #[test]
    fn the_nearest_name_is_the_one_that_measuring_all_gives() {
        let names =
            ["V-001", "v-010", "V-100", "jar", "Jar-2", "jra", "a jar of glass", "Öl", "ol", "ethanol-70", "ethanol-7"];
        let all = |typed: &str| {
            let (lower, length) = (typed.to_lowercase(), typed.chars().count());
            let limit = (length / 3).max(usize::from(length > 1));
            let near = names.iter().map(|name| (strsim::osa_distance(&lower, &name.to_lowercase()), *name));
            let near = near.filter(|(distance, name)| {
                *distance <= limit || name.to_lowercase().contains(&lower) && lower.len() >= 3
            });
            near.min().map(|(_, name)| name)
        };
        for typed in ["v-011", "V001", "jar", "glass", "ÖL", "oel", "ethanol 70", "ETHANOL-", "x", "", "V-10", "-"] {
            assert_eq!(nearest(typed, names), all(typed), "{typed}");
        }
        assert_eq!(nearest(&"jar".repeat(22), ["jar"]), None);
    }
}
