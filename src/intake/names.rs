//! Names in cells that stand for something listed elsewhere: fluids, materials, closures, vessels.

use std::collections::{BTreeSet, HashMap};

use super::cells::Fault;
use super::fluids;
use super::near::{self, Candidate, Parts};
use crate::diagnostics::nearest;
use crate::rules::hazards::Where;
use crate::rules::{ClosureId, FluidId, HazardId, MaterialId, Rules, plain};

/// Looks fluids up by any of their names, each way to type one only once.
pub struct FluidNames<'r> {
    rules: &'r Rules,
    by_plain_name: HashMap<String, FluidId>,
    typed: HashMap<String, FluidNamed>,
}

/// What the name of a fluid says.
#[derive(Clone)]
pub struct FluidNamed {
    /// The fluid that a lot is in, or why there is none of this name.
    pub present: Result<FluidId, Fault>,
    /// The fluid that a lot is to be kept in: one of a known strength, or one that is said to be unknown.
    pub kept: Result<FluidId, Fault>,
    /// Hazards that the name names (`Bouin's fluid`).
    pub hazards: Vec<HazardId>,
}

impl<'r> FluidNames<'r> {
    /// Of these rules.
    pub fn new(rules: &'r Rules) -> Self {
        let mut by_plain_name = HashMap::new();
        for (i, fluid) in rules.fluids.iter().enumerate() {
            for name in std::iter::once(&fluid.id).chain(&fluid.aliases) {
                by_plain_name.entry(plain(name)).or_insert(FluidId(i as u16));
            }
        }
        Self { rules, by_plain_name, typed: HashMap::new() }
    }

    /// The fluid with this name or alias. Nothing is guessed: a strength without a row of its own is not known.
    pub fn find(&mut self, typed: &str) -> &FluidNamed {
        if !self.typed.contains_key(typed) {
            let named = self.named(typed);
            self.typed.insert(typed.to_owned(), named);
        }
        &self.typed[typed]
    }

    fn named(&self, typed: &str) -> FluidNamed {
        let present = self.by_plain_name.get(&plain(typed)).copied().ok_or_else(|| fluids::unknown(self.rules, typed));
        let kept = match &present {
            Ok(id) if self.rules.fluid(*id).present_only => Err(fluids::of_no_strength(self.rules, typed, *id)),
            present => present.clone(),
        };
        FluidNamed { present, kept, hazards: self.rules.hazards.named_in(typed, Where::Elsewhere) }
    }
}

/// The material with this name.
pub fn material(rules: &Rules, typed: &str) -> Result<MaterialId, Fault> {
    rules.material_named(typed).ok_or_else(|| {
        let suits_nothing = |i: usize| rules.material_suits_nothing(MaterialId(i as u16));
        let parts = rules.materials.iter().enumerate();
        let candidates: Vec<Candidate> =
            parts.map(|(i, part)| Candidate::of(&part.id, &part.name, &part.aliases, suits_nothing(i))).collect();
        let is_glass = |id: &str| rules.materials.iter().any(|part| part.id == id && part.glass == Some(true));
        let of_kind = kind(&MATERIAL_KINDS, typed).map(|(word, ids)| match word {
            GLASS => candidates.iter().filter(|candidate| is_glass(candidate.id)).collect(),
            _ => listed(&candidates, ids),
        });
        not_listed("unknown-material", "material", typed, (&candidates, of_kind), "materials.csv")
    })
}

/// The closure with this name.
pub fn closure(rules: &Rules, typed: &str) -> Result<ClosureId, Fault> {
    rules.closure_named(typed).ok_or_else(|| {
        let suits_nothing = |i: usize| rules.closure_suits_nothing(ClosureId(i as u16));
        let parts = rules.closures.iter().enumerate();
        let candidates: Vec<Candidate> =
            parts.map(|(i, part)| Candidate::of(&part.id, &part.name, &part.aliases, suits_nothing(i))).collect();
        let of_kind = kind(&CLOSURE_KINDS, typed).map(|(_, ids)| listed(&candidates, ids));
        not_listed("unknown-closure", "closure", typed, (&candidates, of_kind), "closures.csv")
    })
}

/// Which materials are glass their table says.
const GLASS: &str = "glass";

/// A word for a kind of thing, and the ids of what is of that kind.
type Kind = (&'static str, &'static [&'static str]);

/// Words for a kind of material. Names hold them too, of things of another kind: `acrylic glass` is no glass, glass-reinforced
/// plastic is not what a plastic jar is made of, and polyethylene terephthalate is no polyethylene.
const MATERIAL_KINDS: [Kind; 9] = [
    (GLASS, &[]),
    ("glas", &[]),
    ("glassware", &[]),
    ("plastic", PLASTICS),
    ("plastics", PLASTICS),
    ("polyethylene", POLYETHYLENES),
    ("polythene", POLYETHYLENES),
    ("polyester", &["pet", "petg", "grp"]),
    ("metal", METALS),
];
/// The usual ones first.
const PLASTICS: &[&str] = &[
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
];
const POLYETHYLENES: &[&str] = &["hdpe", "ldpe"];
const METALS: &[&str] = &["stainless-steel-316", "coated-steel", "aluminium"];

/// The same of closures.
const CLOSURE_KINDS: [Kind; 1] = [(
    "plastic",
    &[
        "pp-cap-ptfe",
        "pp-cap-foamed-pe",
        "pp-cap-pe-insert",
        "pp-cap-unlined",
        "pp-cap-cone-liner",
        "pp-cap-foam-ptfe",
        "snap-pe",
    ],
)];

/// What has these ids, in their order.
fn listed<'c, 'r>(candidates: &'c [Candidate<'r>], ids: &[&str]) -> Vec<&'c Candidate<'r>> {
    ids.iter().filter_map(|id| candidates.iter().find(|candidate| candidate.id == *id)).collect()
}

/// The kind that one of the words typed names; `glas` and `glassware` are glass.
fn kind(kinds: &[Kind], typed: &str) -> Option<Kind> {
    let words = Parts::of(typed).words;
    let (word, ids) = kinds.iter().find(|(word, _)| words.iter().any(|own| own == word))?;
    Some((if ids.is_empty() { GLASS } else { word }, ids))
}

/// A name that no list has, with what may be meant: of a word for a kind all of that kind, also where no name has the words
/// beside it (`clear glass`).
fn not_listed(
    code: &'static str,
    what: &str,
    typed: &str,
    (candidates, of_kind): (&[Candidate], Option<Vec<&Candidate>>),
    file: &str,
) -> Fault {
    let of_kind = of_kind.map(near::usual).filter(|of_kind| !of_kind.is_empty());
    let alone = Parts::of(typed).words.len() == 1;
    let named = || near::usual(near::by_words(typed, candidates));
    let meant = match of_kind {
        Some(of_kind) if alone => of_kind,
        Some(of_kind) => Some(named()).filter(|named| !named.is_empty()).unwrap_or(of_kind),
        None => near::meant(typed, candidates),
    };
    Fault::new(code, format!("no {what} of this name is known"), near::cure(&meant, file))
}

/// A name that no list has.
pub fn unknown(code: &'static str, what: &str, near: Option<&str>, file: &str) -> Fault {
    let help = match near {
        Some(near) => format!("if you mean {near:?}, write that; otherwise add it to {file}"),
        None => format!("write a name from {file}, or add this one to it"),
    };
    Fault::new(code, format!("no {what} of this name is known"), help)
}

/// Names of vessels typed in the stock list, whether or not their rows could be read.
pub struct VesselNames {
    /// As typed; `None` where the stock list could not be read at all, so that nothing is known to be absent.
    pub typed: Option<BTreeSet<String>>,
    /// The stock list, for messages.
    pub file: String,
}

impl VesselNames {
    /// True if the name is in the list, or may be.
    pub fn may_be_listed(&self, name: &str) -> bool {
        self.typed.as_ref().is_none_or(|typed| typed.contains(name))
    }

    /// The nearest name in the list.
    pub fn nearest(&self, name: &str) -> Option<&str> {
        self.typed.as_ref().and_then(|typed| nearest(name, typed.iter().map(String::as_str)))
    }
}
