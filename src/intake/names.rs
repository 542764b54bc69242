//! Names in cells that stand for something listed elsewhere: fluids, materials, closures, vessels.

use std::collections::{BTreeSet, HashMap};
use std::sync::{Mutex, PoisonError};

use super::cells::CellFault;
use super::near::{self, NameParts, NearName};
use super::unknown_fluids;
use crate::diagnostics::{Code, nearest};
use crate::rules::hazards::Where;
use crate::rules::{ClosureId, FluidId, HazardId, MaterialId, Rules, plain};

/// Looks fluids up by any of their names; each spelling is resolved only once.
pub struct FluidNames<'r> {
    rules: &'r Rules,
    by_plain_name: HashMap<String, FluidId>,
    typed: HashMap<String, FluidNamed>,
}

/// What the name of a fluid stands for.
#[derive(Clone)]
pub struct FluidNamed {
    /// The fluid that a lot is in, or why there is none of this name.
    pub present: Result<FluidId, CellFault>,
    /// The fluid that a lot is to be kept in: one of a known strength, or one that is said to be unknown.
    pub kept: Result<FluidId, CellFault>,
    /// No fluid has this name, but the words of it stand in the names of some (`glutaraldehyde`, without its strength).
    pub is_listed: bool,
    /// Hazards that the name names (`Bouin's fluid`).
    pub hazards: Vec<HazardId>,
}

impl<'r> FluidNames<'r> {
    /// Of these rules.
    pub fn new(rules: &'r Rules) -> Self {
        let mut by_plain_name = HashMap::new();
        for (i, fluid) in rules.fluids.iter().enumerate() {
            for name in std::iter::once(&fluid.id).chain(&fluid.aliases) {
                by_plain_name.entry(plain(name)).or_insert(FluidId::at(i));
            }
        }
        // Names in words stand on the papers, so people type them; an id or alias of another fluid comes before them.
        for (i, fluid) in rules.fluids.iter().enumerate() {
            by_plain_name.entry(plain(&fluid.name)).or_insert(FluidId::at(i));
        }
        Self { rules, by_plain_name, typed: HashMap::new() }
    }

    /// The fluid with this id, alias or name in words. Nothing is guessed: a strength without a row of its own is not known.
    pub fn find(&mut self, typed: &str) -> &FluidNamed {
        if !self.typed.contains_key(typed) {
            let named = self.named(typed);
            self.typed.insert(typed.to_owned(), named);
        }
        &self.typed[typed]
    }

    fn named(&self, typed: &str) -> FluidNamed {
        let present =
            self.by_plain_name.get(&plain(typed)).copied().ok_or_else(|| unknown_fluids::unknown(self.rules, typed));
        let kept = match &present {
            Ok(id) if self.rules.fluid(*id).present_only => Err(unknown_fluids::of_no_strength(self.rules, typed, *id)),
            present => present.clone(),
        };
        let present = present.map_err(|fault| unknown_fluids::of_another_strength_now(self.rules, typed, fault));
        let is_listed = present.is_err() && unknown_fluids::is_listed(self.rules, typed);
        let hazards = match &present {
            Ok(id) => {
                let fluid = self.rules.fluid(*id);
                self.rules.hazards.of_listed_fluid(&fluid.id, &fluid.name, typed)
            }
            Err(_) => self.rules.hazards.named_in(typed, Where::Elsewhere),
        };
        FluidNamed { present, kept, is_listed, hazards }
    }
}

/// The material with this name.
pub fn material(rules: &Rules, typed: &str) -> Result<MaterialId, CellFault> {
    rules.material_named(typed).ok_or_else(|| {
        let suits_nothing = |i: usize| rules.material_suits_nothing(MaterialId::at(i));
        let parts = rules.materials.iter().enumerate();
        let candidates: Vec<NearName> =
            parts.map(|(i, part)| NearName::of(&part.id, &part.name, &part.aliases, suits_nothing(i))).collect();
        let of_kind = of_kind(&MATERIAL_KINDS, rules, typed, &candidates);
        not_listed(Code::UnknownMaterial, "material", typed, (&candidates, of_kind), "materials.csv")
    })
}

/// What people write of a vessel without a closure.
const OPEN: [&str; 10] = ["none", "no", "noclosure", "nolid", "nocap", "open", "without", "nothing", "n/a", "na"];

/// What they are to write.
const OPEN_CURE: &str = "write the closure it is to have, by a name from closures.csv; if there is none for it, leave the \
    vessel out of the list";

/// The closure with this name.
pub fn closure(rules: &Rules, typed: &str) -> Result<ClosureId, CellFault> {
    rules.closure_named(typed).ok_or_else(|| {
        if OPEN.contains(&plain(typed).as_str()) {
            return CellFault::new(Code::NoClosure, "an open vessel holds no fluid for long", OPEN_CURE);
        }
        let suits_nothing = |i: usize| rules.closure_suits_nothing(ClosureId::at(i));
        let parts = rules.closures.iter().enumerate();
        let candidates: Vec<NearName> =
            parts.map(|(i, part)| NearName::of(&part.id, &part.name, &part.aliases, suits_nothing(i))).collect();
        if is_colour_alone(typed) {
            let caps = near::by_words("screw cap", &candidates);
            let help = format!("find out what it is made of, then {}", near::cure(&caps, "closures.csv"));
            return CellFault::new(Code::UnknownClosure, "a colour does not say what the cap is made of", help);
        }
        let of_kind = of_kind(&CLOSURE_KINDS, rules, typed, &candidates);
        not_listed(Code::UnknownClosure, "closure", typed, (&candidates, of_kind), "closures.csv")
    })
}

/// Whether a cap is described by its colour only (`black cap`).
fn is_colour_alone(typed: &str) -> bool {
    const COLOURS: [&str; 9] = ["black", "white", "red", "blue", "green", "yellow", "brown", "grey", "gray"];
    const CAPS: [&str; 6] = ["cap", "lid", "top", "screw", "screwcap", "closure"];
    let words = NameParts::of(typed).words;
    let is = |list: &[&str], word: &String| list.contains(&word.as_str());
    words.iter().any(|word| is(&COLOURS, word)) && words.iter().all(|word| is(&COLOURS, word) || is(&CAPS, word))
}

/// The materials or closures of a kind.
#[derive(Clone, Copy)]
enum Members {
    /// Those with these ids in the built-in table, the usual ones first.
    These(&'static [&'static str]),
    /// Materials that their table says are glass.
    Glass,
    /// None: the built-in table has nothing of this kind or close to it.
    Nothing,
}

/// A word for a kind of material or closure, and those of that kind.
type KindWord = (&'static str, Members);

/// Words for a kind of material; the first that was typed decides (`lead glass` is none of the glasses listed). Names hold them
/// too, of things of another kind: `acrylic glass` is no glass, glass-reinforced plastic is not what a plastic jar is made of, and
/// polyethylene terephthalate is no polyethylene.
const MATERIAL_KINDS: [KindWord; 14] = [
    ("lead", Members::Nothing),
    ("crystal", Members::Nothing),
    ("quartz", Members::Nothing),
    ("silica", Members::Nothing),
    ("glass", Members::Glass),
    ("glas", Members::Glass),
    ("glassware", Members::Glass),
    ("plastic", PLASTICS),
    ("plastics", PLASTICS),
    ("polyethylene", POLYETHYLENES),
    ("polythene", POLYETHYLENES),
    ("polyester", Members::These(&["pet", "petg", "grp"])),
    ("metal", Members::These(&["stainless-steel-316", "coated-steel", "aluminium"])),
    ("ceramic", Members::These(&["stoneware"])),
];
const PLASTICS: Members = Members::These(&[
    "polypropylene",
    "hdpe",
    "ldpe",
    "pet",
    "petg",
    "acrylic",
    "polycarbonate",
    "polystyrene",
    "san",
    "pvc",
    "nylon",
    "pmp",
    "ptfe",
    "fep",
    "abs",
    "grp",
    "phenolic-resin",
]);
const POLYETHYLENES: Members = Members::These(&["hdpe", "ldpe"]);

/// The same of closures.
const CLOSURE_KINDS: [KindWord; 1] = [(
    "plastic",
    Members::These(&[
        "pp-cap-ptfe",
        "pp-cap-foamed-pe",
        "pp-cap-pe-insert",
        "pp-cap-unlined",
        "pp-cap-cone-liner",
        "pp-cap-foam-ptfe",
        "snap-pe",
    ]),
)];

/// What is of the kind that one of the words typed names, as far as a table has it; `None` where no word names a kind, or where
/// a table of the user's has nothing of it.
fn of_kind<'c, 'r>(
    kinds: &[KindWord],
    rules: &Rules,
    typed: &str,
    candidates: &'c [NearName<'r>],
) -> Option<Vec<&'c NearName<'r>>> {
    let words = NameParts::of(typed).words;
    let (_, members) = kinds.iter().find(|(word, _)| words.iter().any(|own| own == word))?;
    let is_glass =
        |candidate: &&NearName| rules.materials.iter().any(|part| part.id == candidate.id && part.glass == Some(true));
    let by_id = |id: &&str| candidates.iter().find(|candidate| candidate.id == *id);
    let found: Vec<&NearName> = match members {
        Members::These(ids) => ids.iter().filter_map(by_id).collect(),
        Members::Glass => candidates.iter().filter(is_glass).collect(),
        Members::Nothing => return Some(Vec::new()),
    };
    Some(near::usual(found)).filter(|found| !found.is_empty())
}

/// A name that no list has, with what may be meant: of a word for a kind all of that kind, also where no name has the words
/// beside it (`clear glass`).
fn not_listed(
    code: Code,
    what: &str,
    typed: &str,
    (candidates, of_kind): (&[NearName], Option<Vec<&NearName>>),
    file: &str,
) -> CellFault {
    let alone = NameParts::of(typed).words.len() == 1;
    let named = || near::usual(near::by_words(typed, candidates));
    let meant = match of_kind {
        Some(of_kind) if alone || of_kind.is_empty() => of_kind,
        Some(of_kind) => Some(named()).filter(|named| !named.is_empty()).unwrap_or(of_kind),
        None => near::meant(typed, candidates),
    };
    CellFault::new(code, format!("no {what} of this name is known"), near::cure(&meant, file))
}

/// A name that no list has.
pub fn unknown(code: Code, what: &str, near: Option<&str>, file: &str) -> CellFault {
    let help = match near {
        Some(near) => format!("if you mean {near:?}, write that; otherwise add it to {file}"),
        None => format!("write a name from {file}, or add this one to it"),
    };
    CellFault::new(code, format!("no {what} of this name is known"), help)
}

/// Names of vessels typed in the stock list, whether or not their rows could be read.
pub struct VesselNames {
    /// As typed; `None` where the stock list could not be read at all, so that nothing is known to be absent.
    pub typed: Option<BTreeSet<String>>,
    /// The stock list, for messages.
    pub file: String,
    /// What was looked up, each name once.
    near: Mutex<HashMap<String, Option<String>>>,
}

impl VesselNames {
    /// Of a stock list.
    pub fn new(typed: Option<BTreeSet<String>>, file: String) -> Self {
        VesselNames { typed, file, near: Mutex::default() }
    }

    /// True if the name is in the list, or may be.
    pub fn may_be_listed(&self, name: &str) -> bool {
        self.typed.as_ref().is_none_or(|typed| typed.contains(name))
    }

    /// The nearest name in the list.
    pub fn nearest(&self, name: &str) -> Option<String> {
        let looked_up = || self.near.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = looked_up().get(name) {
            return known.clone();
        }
        let typed = self.typed.as_ref()?;
        let near = nearest(name, typed.iter().map(String::as_str)).map(str::to_owned);
        looked_up().insert(name.to_owned(), near.clone());
        near
    }
}
