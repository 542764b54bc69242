//! Words in a survey that name a hazard.
//!
//! A text is cut into words: letters and digits, in lower case, without a possessive s. An alias is found where its words
//! stand in the text one after the other: `picric` in `Picric acid` and `picric-acid`, `Bouin` in `Bouin's fluid`, but `lead`
//! not in `leaden`. Denial ("no picric acid") is not recognised: a person must read the text. Cost: the length of the text, times
//! the number of aliases that begin with the same word.

use std::collections::HashMap;

/// Index into the table of hazards.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct HazardId(pub u16);
super::is_rule_index!(HazardId);

/// What a hazard does to the lot that has it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Action {
    /// The lot is not moved.
    Held,
    /// The lot is planned, and the caution is printed.
    Caution,
}

/// Something that can hurt whoever handles a lot.
#[derive(Clone, Debug, PartialEq)]
pub struct Hazard {
    /// `picric`: what is written in the survey's column of hazards.
    pub id: String,
    /// Other words for it, and fluids that hold it.
    pub aliases: Vec<String>,
    /// What it does to the lot.
    pub action: Action,
    /// Whether the fluid of a lot with this hazard counts as flammable, whichever fluid is stated; `None` if the table does
    /// not say.
    pub flammable: Option<bool>,
    /// The words of the caution.
    pub words: String,
    /// Where the row's facts come from.
    pub source: String,
}

impl Hazard {
    /// Its usual name: the first of its aliases.
    pub fn spoken(&self) -> &str {
        self.aliases.first().unwrap_or(&self.id)
    }
}

/// All hazards, and how they are found in a text.
#[derive(Clone, Debug, Default)]
pub struct Hazards {
    /// In table order.
    list: Vec<Hazard>,
    /// By the first word of an id or alias.
    by_first_word: HashMap<String, Vec<Name>>,
    /// First bytes of those words: most words of a text begin with none of them.
    first_bytes: FirstBytes,
}

/// A way to name a hazard, without its first word.
#[derive(Clone, Debug)]
struct Name {
    further_words: Vec<String>,
    hazard: HazardId,
    is_id: bool,
}

/// Where in the survey a text stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Where {
    /// In the column of hazards: the ids count too.
    AmongHazards,
    /// Anywhere else: an id that is also a common word (`lead`) counts only if it is an alias.
    Elsewhere,
}

impl Hazards {
    /// From the rows of the table.
    pub fn new(list: Vec<Hazard>) -> Self {
        let mut hazards = Hazards::default();
        for (i, hazard) in list.iter().enumerate() {
            let ids = std::iter::once((&hazard.id, true));
            for (name, is_id) in ids.chain(hazard.aliases.iter().map(|alias| (alias, false))) {
                let mut words = words(name);
                let Some(first) = words.next() else { continue };
                hazards.first_bytes.add(&first);
                let name = Name { further_words: words.collect(), hazard: HazardId::at(i), is_id };
                hazards.by_first_word.entry(first).or_default().push(name);
            }
        }
        Hazards { list, ..hazards }
    }

    /// The hazard at an index.
    pub fn get(&self, id: HazardId) -> &Hazard {
        &self.list[id.0 as usize]
    }

    /// All of them, in table order.
    pub fn all(&self) -> impl Iterator<Item = (HazardId, &Hazard)> {
        self.list.iter().enumerate().map(|(i, hazard)| (HazardId::at(i), hazard))
    }

    /// The hazards that a text names, each once, in table order.
    pub fn named_in(&self, text: &str, place: Where) -> Vec<HazardId> {
        self.named(text, place, usize::MAX)
    }

    /// The hazards of a listed fluid that was typed as `typed`: those that its id or its name in words names, and those that `typed`
    /// begins with, numbers aside (`Bouin's fluid`). A later word may belong to the name of another substance: ethylene glycol phenyl
    /// ether is no ether.
    pub fn of_listed_fluid(&self, id: &str, name: &str, typed: &str) -> Vec<HazardId> {
        let mut found = self.named_in(id, Where::Elsewhere);
        found.extend(self.named_in(name, Where::Elsewhere));
        found.extend(self.named(typed, Where::Elsewhere, 1));
        found.sort_unstable();
        found.dedup();
        found
    }

    /// The hazards whose names begin within the first `first` words. Numbers before them are not counted.
    fn named(&self, text: &str, place: Where, first: usize) -> Vec<HazardId> {
        if !self.first_bytes.may_begin_a_word_of(text) {
            return Vec::new();
        }
        let words: Vec<String> = words(text).collect();
        let is_number = |word: &&String| word.bytes().all(|byte| byte.is_ascii_digit());
        let end = first.saturating_add(words.iter().take_while(is_number).count()).min(words.len());
        let mut found = Vec::new();
        for (at, word) in words[..end].iter().enumerate() {
            for name in self.by_first_word.get(word).into_iter().flatten() {
                let counts = !name.is_id || place == Where::AmongHazards;
                if counts && words[at + 1..].starts_with(&name.further_words) {
                    found.push(name.hazard);
                }
            }
        }
        found.sort_unstable();
        found.dedup();
        found
    }
}

/// Letters and digits, in lower case, without a possessive s.
fn words(text: &str) -> impl Iterator<Item = String> {
    let apostrophe = |c: char| matches!(c, '\'' | '’' | '`' | '´');
    let pieces = text.split(move |c: char| !c.is_alphanumeric() && !apostrophe(c));
    pieces.filter_map(move |piece| {
        let whole = piece.trim_matches(apostrophe);
        let mut parts = whole.rsplitn(2, apostrophe);
        let word = match (parts.next(), parts.next()) {
            (Some("s" | "S"), Some(owner)) => owner,
            _ => whole,
        };
        let word: String = word.chars().filter(|c| !apostrophe(*c)).flat_map(char::to_lowercase).collect();
        (!word.is_empty()).then_some(word)
    })
}

/// Which ASCII letters and digits begin a word that names a hazard; any other character may.
#[derive(Clone, Copy, Debug, Default)]
struct FirstBytes(u128);

impl FirstBytes {
    fn add(&mut self, word: &str) {
        for byte in word.bytes().take(1).filter(u8::is_ascii) {
            self.0 |= 1 << byte.to_ascii_lowercase() | 1 << byte.to_ascii_uppercase();
        }
    }

    fn may_begin_a_word_of(self, text: &str) -> bool {
        let mut within = false;
        text.bytes().any(|byte| {
            let begins = !within;
            within = byte.is_ascii_alphanumeric();
            !byte.is_ascii() || (begins && within && self.0 >> byte & 1 == 1)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hazards() -> Hazards {
        let hazard = |id: &str, aliases: &[&str]| Hazard {
            id: id.to_owned(),
            aliases: aliases.iter().map(|alias| (*alias).to_owned()).collect(),
            action: Action::Held,
            flammable: None,
            words: String::new(),
            source: String::new(),
        };
        Hazards::new(vec![
            hazard("picric", &["picric acid", "picric", "Bouin", "Müller's fluid"]),
            hazard("lead", &["lead seal"]),
        ])
    }

    #[test]
    fn an_alias_is_found_as_whole_words_in_any_spelling() {
        let hazards = hazards();
        for text in [
            "picric",
            "Picric acid",
            "PICRIC-ACID",
            "picric_acid",
            "Bouin's fluid",
            "bouin’s",
            "in 'Bouin'",
            "fixed 1931 (Bouin); alcohol since",
            "MÜLLER'S fluid",
        ] {
            assert_eq!(hazards.named_in(text, Where::Elsewhere), [HazardId(0)], "{text}");
        }
        for text in ["", "picrics", "hypicric", "Bouinia", "Müller", "4-7", "lead author", "leaden seal"] {
            assert_eq!(hazards.named_in(text, Where::Elsewhere), [], "{text}");
        }
    }

    #[test]
    fn an_id_counts_among_hazards_only() {
        let hazards = hazards();
        assert_eq!(hazards.named_in("Lead", Where::AmongHazards), [HazardId(1)]);
        assert_eq!(hazards.named_in("lead seal, Bouin", Where::Elsewhere), [HazardId(0), HazardId(1)]);
    }
}
