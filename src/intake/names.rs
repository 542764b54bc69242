//! Resolves names in cells that refer to rows of other tables: fluids, materials, closures, vessels.

use std::cell::OnceCell;
use std::collections::{BTreeMap, HashMap};
use std::sync::{Mutex, OnceLock, PoisonError};

use super::cells::CellFault;
use super::near::{self, NameParts, NearName};
use super::unknown_fluids;
use crate::diagnostics::{Code, KnownNames};
use crate::rules::hazards::Where;
use crate::rules::{ClosureId, FluidId, HazardId, MaterialId, Rules, plain};

/// Looks fluids up by any of their names. Each spelling is resolved only once.
pub struct FluidNames<'r> {
    rules: &'r Rules,
    by_plain_name: HashMap<String, FluidId>,
    /// What may be meant by an unknown name; made for the first of these.
    candidates: OnceCell<Vec<NearName<'r>>>,
    typed: HashMap<String, FluidNamed>,
}

/// What a typed name of a fluid refers to.
#[derive(Clone)]
pub struct FluidNamed {
    /// The fluid of this name as the lot's present fluid, or the fault.
    pub present: Result<FluidId, CellFault>,
    /// The fluid of this name as the fluid to keep the lot in, or the fault. Its strength must be known, or it is the unknown
    /// fluid.
    pub kept: Result<FluidId, CellFault>,
    /// No fluid has this name, but some have all its words (`glutaraldehyde`, without its strength).
    pub words_are_listed: bool,
    /// Hazards that the words of the name refer to (`Bouin's fluid`).
    pub hazards: Vec<HazardId>,
}

impl<'r> FluidNames<'r> {
    /// Takes the fluids of these rules.
    pub fn new(rules: &'r Rules) -> Self {
        let mut by_plain_name = HashMap::new();
        for (i, fluid) in rules.fluids.iter().enumerate() {
            for name in std::iter::once(&fluid.id).chain(&fluid.aliases) {
                by_plain_name.entry(plain(name)).or_insert(FluidId::at(i));
            }
        }
        // People also type the descriptive names that are printed on the papers. An id or alias takes precedence over them.
        for (i, fluid) in rules.fluids.iter().enumerate() {
            by_plain_name.entry(plain(&fluid.name)).or_insert(FluidId::at(i));
        }
        Self { rules, by_plain_name, candidates: OnceCell::new(), typed: HashMap::new() }
    }

    /// The fluid with this id, alias or descriptive name. Nothing is guessed: a strength without a row of its own is unknown.
    pub fn find(&mut self, typed: &str) -> &FluidNamed {
        if !self.typed.contains_key(typed) {
            let named = self.named(typed);
            self.typed.insert(typed.to_owned(), named);
        }
        &self.typed[typed]
    }

    fn named(&self, typed: &str) -> FluidNamed {
        let candidates = || self.candidates.get_or_init(|| unknown_fluids::candidates(self.rules));
        let listed = self.by_plain_name.get(&plain(typed)).copied();
        let present = listed.ok_or_else(|| unknown_fluids::unknown(self.rules, candidates(), typed));
        let kept = match &present {
            Ok(id) if self.rules.fluid(*id).present_only => Err(unknown_fluids::of_no_strength(self.rules, typed, *id)),
            present => present.clone(),
        };
        let present = present.map_err(|fault| unknown_fluids::of_another_strength_now(self.rules, typed, fault));
        let words_are_listed = present.is_err() && unknown_fluids::words_are_listed(candidates(), typed);
        let hazards = match &present {
            Ok(id) => {
                let fluid = self.rules.fluid(*id);
                self.rules.hazards.of_listed_fluid(&fluid.id, &fluid.name, typed)
            }
            Err(_) => self.rules.hazards.named_in(typed, Where::Elsewhere),
        };
        FluidNamed { present, kept, words_are_listed, hazards }
    }
}

/// The material with this id, name or alias.
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

/// What people write for a vessel without a closure.
const OPEN: [&str; 10] = ["none", "no", "noclosure", "nolid", "nocap", "open", "without", "nothing", "n/a", "na"];

/// Cure for such a cell.
const OPEN_CURE: &str = "write the closure it is to have, by a name from closures.csv; if there is none for it, leave the \
    vessel out of the list";

/// The closure with this id, name or alias.
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
            let cure = format!("find out what it is made of, then {}", near::cure(&caps, "closures.csv"));
            return CellFault::new(Code::UnknownClosure, "a colour does not say what the cap is made of", cure);
        }
        let of_kind = of_kind(&CLOSURE_KINDS, rules, typed, &candidates);
        not_listed(Code::UnknownClosure, "closure", typed, (&candidates, of_kind), "closures.csv")
    })
}

/// Whether a cap is described only by its colour (`black cap`).
fn is_colour_alone(typed: &str) -> bool {
    const COLOURS: [&str; 9] = ["black", "white", "red", "blue", "green", "yellow", "brown", "grey", "gray"];
    const CAPS: [&str; 6] = ["cap", "lid", "top", "screw", "screwcap", "closure"];
    let words = NameParts::of(typed).words;
    let is = |list: &[&str], word: &String| list.contains(&word.as_str());
    words.iter().any(|word| is(&COLOURS, word)) && words.iter().all(|word| is(&COLOURS, word) || is(&CAPS, word))
}

/// The materials or closures that a kind word refers to.
#[derive(Clone, Copy)]
enum Members {
    /// Those with these ids, the most common first.
    These(&'static [&'static str]),
    /// Materials that are glass according to their table.
    Glass,
    /// None: the compiled-in table has nothing of this kind or close to it.
    Nothing,
}

/// A word for a kind of material or closure, and its members.
type KindWord = (&'static str, Members);

/// Words for kinds of material. The first entry whose word was typed decides (`lead glass` is none of the glasses listed).
/// Members are listed because a search by word would also find names that mean another kind: `acrylic glass` is not glass,
/// glass-reinforced plastic is not the plastic of a jar, and polyethylene terephthalate is not polyethylene.
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

/// Words for kinds of closure.
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

/// The candidates of the kind that the typed words name. `None` if no word names a kind, or if the table has none of that kind (a
/// user's table may leave them out).
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

/// The fault of a name that is in no table, with suggestions. After a kind word, all of that kind are suggested, even if no name
/// also has the other typed words (`clear glass`).
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

/// The fault of a name that is in no table, with the nearest name if there is one.
pub fn unknown(code: Code, what: &str, near: Option<&str>, file: &str) -> CellFault {
    let cure = match near {
        Some(near) => format!("if you mean {near:?}, write that; otherwise add it to {file}"),
        None => format!("write a name from {file}, or add this one to it"),
    };
    CellFault::new(code, format!("no {what} of this name is known"), cure)
}

/// Names of vessels typed in the stock list, including those of rows that could not be read.
pub struct VesselNames {
    /// The names as typed, each with its row (`row 3`); `None` if the stock list could not be read at all, so that no name is known
    /// to be absent.
    pub typed: Option<BTreeMap<String, String>>,
    /// File name of the stock list, for messages.
    pub file: String,
    /// The same names, prepared for the first that is looked up.
    known: OnceLock<KnownNames<String>>,
    /// Nearest names found so far, by the name looked up.
    near: Mutex<HashMap<String, Option<String>>>,
}

impl VesselNames {
    /// Takes the names of a stock list.
    pub fn new(typed: Option<BTreeMap<String, String>>, file: String) -> Self {
        VesselNames { typed, file, known: OnceLock::new(), near: Mutex::default() }
    }

    /// Whether the name is in the list, or the list could not be read.
    pub fn may_be_listed(&self, name: &str) -> bool {
        self.typed.as_ref().is_none_or(|typed| typed.contains_key(name))
    }

    /// The row that describes a vessel, of those left out the first: `row 3`.
    pub fn row_of(&self, name: &str) -> Option<&str> {
        self.typed.as_ref()?.get(name).map(String::as_str)
    }

    /// The nearest name in the list.
    pub fn nearest(&self, name: &str) -> Option<String> {
        let looked_up = || self.near.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = looked_up().get(name) {
            return known.clone();
        }
        let typed = self.typed.as_ref()?;
        let known = self.known.get_or_init(|| KnownNames::new(typed.keys().cloned()));
        let near = known.nearest(name).cloned();
        looked_up().insert(name.to_owned(), near.clone());
        near
    }
}
