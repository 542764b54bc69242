//! Makes the message for an unknown fluid: suggestions, and what to write instead.

use super::cells::CellFault;
use super::near::{self, NameParts, NearName};
use super::table::either;
use crate::diagnostics::Code;
use crate::rules::{Family, Fluid, FluidId, Rules, plain};

/// The fault of a name that no fluid has.
pub(super) fn unknown(rules: &Rules, candidates: &[NearName], typed: &str) -> CellFault {
    let meant = near::meant(typed, candidates);
    if let Some(fault) = in_doubt(rules, typed).or_else(|| strength_alone(rules, typed)) {
        return fault;
    }
    if let Some(fault) = formalin_in_two_ways(rules, typed, !meant.is_empty()) {
        return fault;
    }
    let NameParts { numbers, words } = NameParts::of(typed);
    let strength_aside = NameParts { numbers: Vec::new(), words };
    let known = |candidate: &NearName| candidate.names.iter().any(|name| name.holds(&strength_aside));
    let of_another_strength = meant.is_empty() && !strength_aside.words.is_empty() && candidates.iter().any(known);
    if of_another_strength && !numbers.is_empty() {
        let known = candidates.iter().filter(|candidate| known(candidate)).map(|candidate| candidate.id);
        // The number in the name of a fluid without a strength is the number of a recipe.
        let of_strength = |id: &str| rules.fluids.iter().any(|fluid| fluid.id == id && fluid.strength_pct.is_some());
        let numbered = |id: &str| !of_strength(id) || !id.contains(|c: char| c.is_ascii_digit());
        let (says, what) = match known.into_iter().all(numbered) {
            true => ("a fluid of this name is known, but with another number", "number"),
            false => (OTHER_STRENGTH, "strength"),
        };
        let cure = format!("check the {what}, or add a row for it to fluids.csv; if it is not known, write unknown");
        return CellFault::new(Code::UnknownFluid, says, cure);
    }
    CellFault::new(Code::UnknownFluid, "no fluid of this name is known", near::cure(&meant, "fluids.csv"))
}

/// Text of the fault if the fluid is listed, but not at the typed strength.
const OTHER_STRENGTH: &str = "the fluid is known, but not at this strength";

/// The fault of a known name with a question mark: the identification is uncertain.
fn in_doubt(rules: &Rules, typed: &str) -> Option<CellFault> {
    let name = typed.trim().strip_suffix('?')?.trim();
    let is = |fluid: &&Fluid| [&fluid.id].into_iter().chain(&fluid.aliases).any(|other| plain(other) == plain(name));
    let fluid = rules.fluids.iter().find(is).filter(|fluid| fluid.family != Family::Unknown)?;
    let of = if fluid.present_only { " (strength not known)" } else { "" };
    let cure = format!("if it is certain, write {name}{of}; otherwise write unknown");
    Some(CellFault::new(Code::UnknownFluid, "the question mark leaves open which fluid it is", cure))
}

/// The fault of a strength without a name: several fluids may have it.
fn strength_alone(rules: &Rules, typed: &str) -> Option<CellFault> {
    let NameParts { numbers, words } = NameParts::of(typed);
    let ([number], true) = (&numbers[..], words.is_empty()) else { return None };
    let of_strength = |id: &&str| id.rsplit_once('-').is_some_and(|(_, digits)| digits == number);
    let kept = rules.fluids.iter().filter(|fluid| !fluid.present_only).map(|fluid| fluid.id.as_str());
    let ids: Vec<&str> = kept.filter(of_strength).collect();
    let cure = match ids.is_empty() {
        true => "write the name with its strength, such as ethanol-70; if it is not known, write unknown".to_owned(),
        false => format!("write {}; if it is not known, write unknown", either(&ids)),
    };
    Some(CellFault::new(Code::UnknownFluid, "this is a strength without the name of a fluid", cure))
}

/// Whether some candidate has all words of the typed name, its strength left aside.
pub(super) fn words_are_listed(candidates: &[NearName], typed: &str) -> bool {
    let typed = NameParts { numbers: Vec::new(), ..NameParts::of(typed) };
    let holds = |candidate: &NearName| candidate.names.iter().any(|name| name.holds(&typed));
    !typed.words.is_empty() && candidates.iter().any(holds)
}

/// For an alcohol in current_fluid whose strength is not listed, the cure is to give the strength in current_strength_pct.
pub(super) fn of_another_strength_now(rules: &Rules, typed: &str, fault: CellFault) -> CellFault {
    let NameParts { numbers, words } = NameParts::of(typed);
    let ([number], true) = (&numbers[..], fault.says == OTHER_STRENGTH) else { return fault };
    let unmeasured = rules.fluids.iter().filter(|fluid| fluid.present_only && fluid.family == Family::Alcohol);
    let names = unmeasured.flat_map(|fluid| &fluid.aliases).find(|alias| plain(alias) == plain(&words.concat()));
    match names {
        Some(name) => {
            let cure = format!("write {name} under current_fluid and {number} under current_strength_pct");
            CellFault::new(fault.code, fault.says, cure)
        }
        None => fault,
    }
}

/// The fluids that a lot may be kept in, with all their names.
pub(super) fn candidates(rules: &Rules) -> Vec<NearName<'_>> {
    let kept = rules.fluids.iter().filter(|fluid| !fluid.present_only);
    kept.map(|fluid| NearName::of(&fluid.id, &fluid.name, &fluid.aliases, false)).collect()
}

/// The fault of a name without a strength in a column where the strength must be known.
pub(super) fn of_no_strength(rules: &Rules, typed: &str, id: FluidId) -> CellFault {
    let family = rules.fluid(id).family;
    let of_family = || rules.fluids.iter().filter(move |fluid| fluid.family == family && !fluid.present_only);
    let word = plain(typed);
    let first = FIRST_WORDS.iter().find(|(name, _)| *name == word).map(|(_, first)| *first);
    let of_word = |first: &str| of_family().filter(|fluid| fluid.id.starts_with(first)).collect::<Vec<&Fluid>>();
    let fluids = first.map(of_word).filter(|fluids| !fluids.is_empty()).unwrap_or_else(|| of_family().collect());
    let ids: Vec<&str> = fluids.iter().map(|fluid| fluid.id.as_str()).collect();
    let mut names =
        if ids.len() > MOST_IN_FULL { by_strength(&ids) } else { ids.into_iter().map(str::to_owned).collect() };
    names.push("unknown".to_owned());
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    match family {
        Family::Oil | Family::Aqueous => CellFault::new(
            Code::FluidMissing,
            "the fluid is not named",
            format!("find out and write {}", either(&names)),
        ),
        _ => CellFault::new(
            Code::StrengthMissing,
            "the strength is missing",
            format!("measure it and write {}", either(&names)),
        ),
    }
}

/// Most names that are listed singly; more are grouped by [`by_strength`].
const MOST_IN_FULL: usize = 6;

/// Ids as text; those that differ only in strength are grouped: `ethanol- with its strength (60, 70 or 96)`.
fn by_strength(ids: &[&str]) -> Vec<String> {
    let mut groups: Vec<(&str, Vec<u32>)> = Vec::new();
    for id in ids {
        let parts = id.rsplit_once('-').and_then(|(stem, digits)| Some((stem, digits.parse().ok()?)));
        let (stem, strength) = parts.map_or((*id, None), |(stem, strength)| (stem, Some(strength)));
        match groups.iter_mut().find(|(known, strengths)| *known == stem && !strengths.is_empty()) {
            Some((_, strengths)) => strengths.extend(strength),
            None => groups.push((stem, strength.into_iter().collect())),
        }
    }
    let mut said = false;
    let name = |(stem, mut strengths): (&str, Vec<u32>)| {
        strengths.sort_unstable();
        let strengths: Vec<String> = strengths.iter().map(u32::to_string).collect();
        match &strengths[..] {
            [] => stem.to_owned(),
            [one] => format!("{stem}-{one}"),
            many => {
                let many: Vec<&str> = many.iter().map(String::as_str).collect();
                let with = if said { "" } else { "with its strength " };
                said = true;
                format!("{stem}- {with}({})", either(&many))
            }
        }
    };
    groups.into_iter().map(name).collect()
}

/// Names for one kind of alcohol, as [`plain`] gives them, with the prefix of its ids.
const FIRST_WORDS: [(&str, &str); 10] = [
    ("ethanol", "ethanol-"),
    ("etoh", "ethanol-"),
    ("ethylalcohol", "ethanol-"),
    ("ims", "denatured-"),
    ("meths", "denatured-"),
    ("methylatedspirit", "denatured-"),
    ("methylatedspirits", "denatured-"),
    ("denaturedalcohol", "denatured-"),
    ("isopropanol", "isopropanol-"),
    ("isopropylalcohol", "isopropanol-"),
];

/// Cure for a fluid that no table has.
const ADD_A_ROW: &str = "add a row for it to fluids.csv";

/// The fault of a per cent of formalin, which may mean the stock solution (10 % of it holds 4 % formaldehyde) or formaldehyde;
/// both are in use. Further words (`4% buffered formalin`) restrict the fluids to suggest. If there are further words and
/// `has_suggestions` (other suggestions exist), there is no fault of this kind.
fn formalin_in_two_ways(rules: &Rules, typed: &str, has_suggestions: bool) -> Option<CellFault> {
    let NameParts { numbers, mut words } = NameParts::of(typed);
    let [number] = &numbers[..] else { return None };
    let formalin = words
        .iter()
        .position(|word| ["formalin", "formol", "formal", "formaldehyde", "hcho"].contains(&word.as_str()))?;
    words.remove(formalin);
    if has_suggestions && !words.is_empty() {
        return None;
    }
    let further = NameParts { numbers: Vec::new(), words };
    let formalins = || {
        let candidates =
            rules.fluids.iter().filter(|fluid| fluid.family == Family::Formaldehyde && !fluid.present_only);
        candidates.filter(|fluid| [&fluid.id, &fluid.name].iter().any(|name| NameParts::of(name).holds(&further)))
    };
    let list = |which: &dyn Fn(&Fluid) -> bool| {
        let these: Vec<String> =
            formalins().filter(|fluid| which(fluid)).map(|fluid| format!("{} ({})", fluid.id, fluid.name)).collect();
        let these: Vec<&str> = these.iter().map(String::as_str).collect();
        (!these.is_empty()).then(|| format!("write {}", either(&these)))
    };
    let of_stock = list(&|fluid| NameParts::of(&fluid.id).numbers == [number.as_str()]);
    let of_formaldehyde = list(&|fluid| fluid.strength_pct.is_some_and(|pct| pct.to_string() == *number));
    if of_stock.is_none() && of_formaldehyde.is_none() {
        return None;
    }
    let [of_stock, of_formaldehyde] =
        [of_stock, of_formaldehyde].map(|cure| cure.unwrap_or_else(|| ADD_A_ROW.to_owned()));
    // No listed fluid has exactly the typed words (in `formalin-4`, only one in sea water may be listed), so adding a row is
    // offered too.
    let as_typed = |fluid: &Fluid| {
        let own = NameParts::of(&fluid.id);
        own.numbers == [number.as_str()] && own.words.len() == further.words.len() + 1
    };
    let of_stock = match formalins().any(as_typed) || of_stock == ADD_A_ROW {
        true => of_stock,
        false => format!("{of_stock} if you mean that, otherwise {ADD_A_ROW}"),
    };
    let says = "the per cent may be of stock solution or of formaldehyde: both are written this way";
    let cure = format!(
        "if it holds {number} % of stock, {of_stock}; if it holds {number} % of formaldehyde, {of_formaldehyde}; if it \
         is not known, write unknown"
    );
    Some(CellFault::new(Code::TwoStrengths, says, cure))
}
