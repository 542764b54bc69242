//! Suggests names of a table for a typed name that is not in it.
//!
//! A name is taken apart into numbers and words. Only candidates with exactly the typed numbers are suggested (7 % is not a
//! misspelling of 5 %); if no number was typed, a search by words accepts any numbers. There are three searches; the
//! next is made only if the one before finds nothing: names with all typed words, in any order (`screw cap` in `Polypropylene
//! screw cap, no liner`); names with all of them but for small misspellings; names with the most similar spelling, at most a
//! third of the letters changed (optimal string alignment distance; L. Boytsov, ACM Journal of Experimental Algorithmics 16
//! (2011) 1.1). A name of another substance is never suggested (ethanol for methanol). All equally near candidates are suggested
//! with their meaning; none is chosen.

use crate::diagnostics::LONGEST_NAME;
use crate::rules::plain;

/// One row of a table as a candidate, with its names.
#[derive(Debug)]
pub struct NearName<'r> {
    /// Its id, which the user should write.
    pub id: &'r str,
    /// Its descriptive name.
    pub meaning: &'r str,
    /// Every name it is known by, taken apart: id, descriptive name and aliases.
    pub names: Vec<NameParts>,
    /// Unsuitable with every fluid: suggested only if no other candidate is.
    pub last_resort: bool,
}

impl<'r> NearName<'r> {
    /// Takes id, descriptive name and aliases of a row.
    pub fn of(id: &'r str, meaning: &'r str, aliases: &'r [String], last_resort: bool) -> Self {
        let names = [id, meaning].into_iter().chain(aliases.iter().map(String::as_str)).map(NameParts::of).collect();
        NearName { id, meaning, names, last_resort }
    }
}

/// The candidates to suggest for a typed name.
pub fn meant<'c, 'r>(typed: &str, candidates: &'c [NearName<'r>]) -> Vec<&'c NearName<'r>> {
    let found = by_words(typed, candidates);
    usual(if found.is_empty() { by_slips(typed, candidates) } else { found })
}

/// The candidates without those that suit no fluid; all of them if none suits any.
pub fn usual<'c, 'r>(mut found: Vec<&'c NearName<'r>>) -> Vec<&'c NearName<'r>> {
    if found.iter().any(|candidate| !candidate.last_resort) {
        found.retain(|candidate| !candidate.last_resort);
    }
    found
}

/// The candidates with a name that has all typed words; if there are none, those that have all but for small misspellings.
pub fn by_words<'c, 'r>(typed: &str, candidates: &'c [NearName<'r>]) -> Vec<&'c NearName<'r>> {
    if typed.chars().nth(LONGEST_NAME).is_some() {
        return Vec::new();
    }
    let typed = NameParts::of(typed);
    if typed.words.is_empty() {
        return Vec::new();
    }
    let those = |holds: fn(&NameParts, &NameParts) -> bool| -> Vec<&NearName> {
        let named = |candidate: &&NearName| candidate.names.iter().any(|name| holds(name, &typed));
        candidates.iter().filter(named).collect()
    };
    let mut found = those(NameParts::holds);
    if found.is_empty() {
        found = those(NameParts::nearly_holds);
        // `ethanl-70` is a misspelling of one whole name; `denatured ethanol 70` only contains its words.
        let slip = |name: &NameParts| name.words.len() == typed.words.len() && name.nearly_holds(&typed);
        if found.iter().any(|candidate| candidate.names.iter().any(slip)) {
            found.retain(|candidate| candidate.names.iter().any(slip));
        }
    }
    found
}

/// The candidates with the most similar spelling.
fn by_slips<'c, 'r>(typed: &str, candidates: &'c [NearName<'r>]) -> Vec<&'c NearName<'r>> {
    if typed.chars().nth(LONGEST_NAME).is_some() {
        return Vec::new();
    }
    let typed = NameParts::of(typed);
    if typed.words.is_empty() {
        return Vec::new();
    }
    let slips = |candidate: &NearName| candidate.names.iter().filter_map(|name| name.slips(&typed)).min();
    let near: Vec<(usize, &NearName)> =
        candidates.iter().filter_map(|candidate| Some((slips(candidate)?, candidate))).collect();
    let least = near.iter().map(|(slips, _)| *slips).min();
    near.into_iter().filter(|(slips, _)| Some(*slips) == least).map(|(_, candidate)| candidate).collect()
}

/// Cure, such as `write soda-lime (Soda-lime glass) or borosilicate (Borosilicate glass)`; `file` is the table to look in.
pub fn cure(meant: &[&NearName], file: &str) -> String {
    let with_meaning = |candidate: &&NearName| match plain(candidate.id) == plain(candidate.meaning) {
        true => candidate.id.to_owned(),
        false => format!("{} ({})", candidate.id, candidate.meaning),
    };
    match meant {
        [] => format!("write a name from {file}, or add this one to it"),
        [one] if plain(one.id) == plain(one.meaning) => {
            format!("if you mean {:?}, write that; otherwise add it to {file}", one.id)
        }
        [one] => format!("if you mean {:?} ({}), write that; otherwise add it to {file}", one.id, one.meaning),
        many => {
            let most = if many.len() > MOST { MOST_IDS } else { MOST };
            let ids = many.iter().take(most).map(|candidate| candidate.id.to_owned());
            let names: Vec<String> =
                if many.len() > MOST { ids.collect() } else { many.iter().map(with_meaning).collect() };
            let names: Vec<&str> = names.iter().map(String::as_str).collect();
            let more = match many.len().saturating_sub(most) {
                0 => String::new(),
                more => format!("; {file} has {more} more"),
            };
            format!("write {}{more}; or add it to {file}", super::table::either(&names))
        }
    }
}

/// Largest number of suggestions that are shown with their meaning.
const MOST: usize = 12;

/// Largest number of suggestions that are shown as ids only.
const MOST_IDS: usize = 20;

/// The numbers and words of a name.
#[derive(Debug)]
pub struct NameParts {
    /// Numbers, sorted as text, in their shortest form (`4` for `4.0`).
    pub numbers: Vec<String>,
    /// Words in order, in lower case, without `FILLERS`.
    pub words: Vec<String>,
}

impl NameParts {
    /// Takes a name apart.
    pub fn of(text: &str) -> Self {
        let (mut numbers, mut words) = (Vec::new(), Vec::new());
        let mut rest = text;
        while let Some(start) = rest.find(char::is_alphanumeric) {
            rest = &rest[start..];
            let digits = rest.starts_with(|c: char| c.is_ascii_digit());
            let end = if digits {
                rest.find(|c: char| !c.is_ascii_digit() && c != '.' && c != ',').unwrap_or(rest.len())
            } else {
                rest.find(|c: char| !c.is_alphanumeric() || c.is_ascii_digit()).unwrap_or(rest.len())
            };
            let piece = &rest[..end];
            match digits {
                true => numbers.push(number(piece)),
                false => {
                    let word = piece.to_lowercase();
                    if let Some((_, number)) = ROMAN.iter().find(|(roman, _)| *roman == word) {
                        numbers.push((*number).to_owned());
                        rest = &rest[end..];
                        continue;
                    }
                    match WRITTEN_TOGETHER.iter().find(|(together, _)| *together == word) {
                        Some((_, apart)) => words.extend(apart.map(str::to_owned)),
                        None => words.push(word),
                    }
                }
            }
            rest = &rest[end..];
        }
        words.retain(|word| !FILLERS.contains(&word.as_str()));
        numbers.sort();
        NameParts { numbers, words }
    }

    /// Whether this name has the typed numbers, or none were typed.
    fn numbers_agree(&self, typed: &NameParts) -> bool {
        typed.numbers.is_empty() || self.numbers == typed.numbers
    }

    /// Whether this name has all typed words, and numbers that agree.
    pub fn holds(&self, typed: &NameParts) -> bool {
        self.numbers_agree(typed)
            && !has_another_substance(&self.words, &typed.words)
            && typed.words.iter().all(|word| self.words.iter().any(|own| own == word || are_alike(own, word)))
    }

    /// As `holds`, but a word may have one misspelling for each four letters.
    fn nearly_holds(&self, typed: &NameParts) -> bool {
        let near = |word: &String| {
            let most = word.chars().count() / 4;
            self.words.iter().any(|own| strsim::osa_distance(own, word) <= most && !has_suggestions(own, word))
        };
        self.numbers_agree(typed) && !has_another_substance(&self.words, &typed.words) && typed.words.iter().all(near)
    }

    /// Number of misspellings by which the words differ; `None` if the numbers differ, the substance differs, or there are too
    /// many.
    fn slips(&self, typed: &NameParts) -> Option<usize> {
        let another = |word: &String| self.words.iter().any(|own| has_suggestions(own, word));
        if self.numbers != typed.numbers
            || typed.words.iter().any(another)
            || has_another_substance(&self.words, &typed.words)
        {
            return None;
        }
        // Words that most names share do not make names similar: `Owen's fluid` is not nearly `Jore's fluid`.
        let telling = |words: &[String]| {
            let telling: Vec<&str> = words.iter().map(String::as_str).filter(|word| !COMMON.contains(word)).collect();
            if telling.is_empty() { words.concat() } else { telling.concat() }
        };
        let (own, other) = (telling(&self.words), telling(&typed.words));
        let letters = other.chars().count();
        // A single letter gets no suggestion: one change turns it into any other.
        let most = (letters / 3).max(usize::from(letters > 1));
        Some(strsim::osa_distance(&own, &other)).filter(|slips| *slips <= most)
    }
}

/// Roman numbers of recipes (`Kaiserling III`). V is left out because it stands for volume.
const ROMAN: [(&str, &str); 4] = [("i", "1"), ("ii", "2"), ("iii", "3"), ("iv", "4")];

/// Words that do not identify a material, closure or fluid.
const FILLERS: [&str; 18] = [
    "a", "and", "aq", "by", "for", "in", "of", "on", "or", "pc", "pct", "percent", "solution", "the", "v", "vol", "w",
    "with",
];

/// Words that many names of fluids share.
const COMMON: [&str; 6] = ["s", "fluid", "fixative", "liquid", "medium", "mountant"];

/// Pairs of words that count as the same.
const ALIKE: [(&str, &str); 7] = [
    ("cap", "lid"),
    ("cap", "top"),
    ("seal", "sealed"),
    ("seal", "gasket"),
    ("seal", "bonded"),
    ("stopper", "bung"),
    ("polypropylene", "pp"),
];

fn are_alike(one: &str, other: &str) -> bool {
    ALIKE.iter().any(|pair| *pair == (one, other) || *pair == (other, one))
}

/// Pairs of words for different substances that differ by few letters: one is never suggested for the other.
const OTHER_SUBSTANCES: [(&str, &str); 4] =
    [("ethanol", "methanol"), ("ethyl", "methyl"), ("etoh", "meoh"), ("propylene", "ethylene")];

/// Substances of mixtures. If two of them were typed, a name with a further one is another mixture. A name with `ether` that was
/// not typed is another substance.
const MIXED: [&str; 11] = [
    "formalin",
    "formol",
    "formaldehyde",
    "acetic",
    "aceto",
    "alcohol",
    "ethanol",
    "chloroform",
    "glycerol",
    "glycerine",
    "glycerin",
];

/// Whether a name has a further substance, so that it cannot be the one that was typed.
fn has_another_substance(own: &[String], typed: &[String]) -> bool {
    let further = |word: &&str| own.iter().any(|own| own == word) && !typed.iter().any(|typed| typed == word);
    let typed_of = MIXED.iter().filter(|word| typed.iter().any(|typed| typed == **word)).count();
    (typed_of > 1 && MIXED.iter().any(further)) || further(&"ether")
}

/// Whether the typed word is nearer to the word for another substance than to this one.
fn has_suggestions(own: &str, typed: &str) -> bool {
    let other = |(one, other): &(&'static str, &'static str)| match own {
        own if own == *one => Some(*other),
        own if own == *other => Some(*one),
        _ => None,
    };
    let nearer = |other: &str| strsim::osa_distance(other, typed) < strsim::osa_distance(own, typed);
    OTHER_SUBSTANCES.iter().filter_map(other).any(nearer)
}

/// Words that are written as one word or as two.
const WRITTEN_TOGETHER: [(&str, [&str; 2]); 2] = [("seawater", ["sea", "water"]), ("saltwater", ["salt", "water"])];

/// A number in its shortest form: `4` for `4.0`, `4,0` and `04`.
fn number(digits: &str) -> String {
    let point = digits.replace(',', ".");
    let point = point.trim_end_matches('.');
    point.parse::<f64>().map_or_else(|_| point.to_owned(), |number| number.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ids(typed: &str) -> Vec<&'static str> {
        let candidate = |id, meaning, last_resort| NearName { last_resort, ..NearName::of(id, meaning, &[], false) };
        let candidates = [
            candidate("formalin-5", "Formalin 5 %", false),
            candidate("formalin-10", "Formalin 10 %", false),
            candidate("nbf-10", "Neutral buffered formalin 10 %", false),
            candidate("pp-cap", "Polypropylene screw cap", false),
            candidate("phenolic-cap", "Phenolic screw cap", true),
            candidate("soda-lime", "Soda-lime glass", false),
            candidate("borosilicate", "Borosilicate glass", false),
        ];
        meant(typed, &candidates).into_iter().map(|candidate| candidate.id).collect()
    }

    #[test]
    fn numbers_are_never_changed() {
        assert_eq!(ids("7% formalin"), [""; 0]);
        assert_eq!(ids("formalin-50"), [""; 0]);
        assert_eq!(ids("5.0 % formalyn"), ["formalin-5"]);
        assert_eq!(ids("10% buffered formalin"), ["nbf-10"]);
        assert_eq!(ids("10"), [""; 0]);
    }

    #[test]
    fn what_holds_all_words_is_offered_before_what_is_spelt_alike() {
        assert_eq!(ids("glass"), ["soda-lime", "borosilicate"]);
        assert_eq!(ids("Glas"), ["soda-lime", "borosilicate"]);
        assert_eq!(ids("soda lime glas"), ["soda-lime"]);
        assert_eq!(ids("buffered"), ["nbf-10"]);
    }

    #[test]
    fn no_other_substance_is_offered() {
        let candidate = |id| NearName::of(id, id, &[], false);
        let candidates = ["ethanol-80", "ethyl alcohol 80", "methyl-salicylate", "sea-water-formalin-4"].map(candidate);
        let ids =
            |typed| meant(typed, &candidates).into_iter().map(|candidate| candidate.id).collect::<Vec<&'static str>>();
        for typed in ["methanol", "methanol 80", "methanl 80", "methyl alcohol 80", "Methylalcohol"] {
            assert_eq!(ids(typed), [""; 0], "{typed}");
        }
        assert_eq!(ids("ethonol 80"), ["ethanol-80"]);
        assert_eq!(ids("methyl salicylat"), ["methyl-salicylate"]);
        assert_eq!(ids("seawater formalin"), ["sea-water-formalin-4"]);
    }

    #[test]
    fn what_suits_nothing_is_offered_only_alone() {
        assert_eq!(ids("screw cap"), ["pp-cap"]);
        assert_eq!(ids("phenolc-cap"), ["phenolic-cap"]);
    }
}
