//! Names in cells that stand for something listed elsewhere: fluids, materials, closures, vessels.

use std::collections::{BTreeSet, HashMap};

use super::cells::Fault;
use super::fluids;
use super::near::{self, Candidate};
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
        let present = present.map_err(|fault| fluids::of_another_strength_now(self.rules, typed, fault));
        let is_listed = present.is_err() && fluids::is_listed(self.rules, typed);
        FluidNamed { present, kept, is_listed, hazards: self.rules.hazards.named_in(typed, Where::Elsewhere) }
    }
}

/// Words for a glass that no table has built in, and that is near to nothing else.
const GLASS_NOT_LISTED: [&str; 4] = ["lead", "crystal", "quartz", "silica"];

/// Kinds of material that people name, by the ids of the built-in table.
const KINDS: [(&str, &[&str]); 3] = [
    (
        "plastic",
        &[
            "polypropylene",
            "hdpe",
            "ldpe",
            "pmp",
            "ptfe",
            "fep",
            "nylon",
            "pet",
            "petg",
            "pvc",
            "acrylic",
            "polycarbonate",
            "polystyrene",
            "san",
            "abs",
            "grp",
            "phenolic-resin",
        ],
    ),
    ("metal", &["stainless-steel-316", "coated-steel", "aluminium"]),
    ("ceramic", &["stoneware"]),
];

/// The material with this name.
pub fn material(rules: &Rules, typed: &str) -> Result<MaterialId, Fault> {
    rules.material_named(typed).ok_or_else(|| {
        let words = near::Parts::of(typed).words;
        if words.iter().any(|word| GLASS_NOT_LISTED.contains(&word.as_str())) {
            return not_listed("unknown-material", "material", typed, &[], "materials.csv");
        }
        let suits_nothing = |i: usize| rules.material_suits_nothing(MaterialId(i as u16));
        let parts = rules.materials.iter().enumerate();
        let mut candidates: Vec<Candidate> =
            parts.map(|(i, part)| Candidate::of(&part.id, &part.name, &part.aliases, suits_nothing(i))).collect();
        for candidate in &mut candidates {
            let kinds = KINDS.iter().filter(|(_, ids)| ids.contains(&candidate.id));
            candidate.names.extend(kinds.map(|(kind, _)| *kind));
        }
        not_listed("unknown-material", "material", typed, &candidates, "materials.csv")
    })
}

/// What people write of a vessel without a closure.
const OPEN: [&str; 10] = ["none", "no", "noclosure", "nolid", "nocap", "open", "without", "nothing", "n/a", "na"];

/// What they are to write.
const OPEN_CURE: &str = "write the closure it is to have, by a name in closures.csv; where there is none for it, leave the \
    vessel out of the list";

/// The closure with this name.
pub fn closure(rules: &Rules, typed: &str) -> Result<ClosureId, Fault> {
    rules.closure_named(typed).ok_or_else(|| {
        if OPEN.contains(&plain(typed).as_str()) {
            return Fault::new("no-closure", "an open vessel holds no fluid for long", OPEN_CURE);
        }
        let suits_nothing = |i: usize| rules.closure_suits_nothing(ClosureId(i as u16));
        let parts = rules.closures.iter().enumerate();
        let candidates: Vec<Candidate> =
            parts.map(|(i, part)| Candidate::of(&part.id, &part.name, &part.aliases, suits_nothing(i))).collect();
        not_listed("unknown-closure", "closure", typed, &candidates, "closures.csv")
    })
}

/// A name that no list has, with what may be meant.
fn not_listed(code: &'static str, what: &str, typed: &str, candidates: &[Candidate], file: &str) -> Fault {
    Fault::new(code, format!("no {what} of this name is known"), near::cure(&near::meant(typed, candidates), file))
}

/// A name that no list has.
pub fn unknown(code: &'static str, what: &str, near: Option<&str>, file: &str) -> Fault {
    let help = match near {
        Some(near) => format!("if {near:?} is meant, write that; else add it to {file}"),
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
