//! Names in cells that stand for something listed elsewhere: fluids, materials, closures, vessels.

use std::collections::{BTreeSet, HashMap};

use super::cells::Fault;
use super::table::either;
use crate::diagnostics::nearest;
use crate::rules::{Closure, ClosureId, Family, FluidId, Material, MaterialId, Rules, plain};

/// Looks fluids up by any of their names, each way to type one only once.
pub struct FluidNames<'r> {
    rules: &'r Rules,
    by_plain_name: HashMap<String, FluidId>,
    typed: HashMap<String, Result<FluidId, Fault>>,
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
    pub fn find(&mut self, typed: &str) -> Result<FluidId, Fault> {
        if let Some(found) = self.typed.get(typed) {
            return found.clone();
        }
        let found = self.by_plain_name.get(&plain(typed)).copied().ok_or_else(|| self.unknown(typed));
        self.typed.insert(typed.to_owned(), found.clone());
        found
    }

    fn unknown(&self, typed: &str) -> Fault {
        let word = plain(typed);
        if let Some((_, family)) = WITHOUT_STRENGTH.iter().find(|(name, _)| *name == word) {
            let fluids = self.rules.fluids.iter().filter(|fluid| fluid.family == *family);
            let mut ids: Vec<&str> = fluids.map(|fluid| fluid.id.as_str()).take(12).collect();
            ids.push("unknown");
            let help = format!("measure it and write {}", either(&ids));
            return Fault::new("strength-missing", "it does not say how strong", help);
        }
        let names = self.rules.fluids.iter().flat_map(|fluid| std::iter::once(&fluid.id).chain(&fluid.aliases));
        let near = nearest(typed, names.map(String::as_str));
        unknown("unknown-fluid", "fluid", near, "fluids.csv")
    }
}

/// What people write for a fluid that only a strength makes definite, as [`plain`] has it.
const WITHOUT_STRENGTH: [(&str, Family); 22] = [
    ("alcohol", Family::Alcohol),
    ("alcohols", Family::Alcohol),
    ("alc", Family::Alcohol),
    ("alc.", Family::Alcohol),
    ("spirit", Family::Alcohol),
    ("spirits", Family::Alcohol),
    ("ethanol", Family::Alcohol),
    ("etoh", Family::Alcohol),
    ("ethylalcohol", Family::Alcohol),
    ("methylatedspirit", Family::Alcohol),
    ("methylatedspirits", Family::Alcohol),
    ("ims", Family::Alcohol),
    ("denaturedalcohol", Family::Alcohol),
    ("isopropanol", Family::Alcohol),
    ("isopropylalcohol", Family::Alcohol),
    ("ipa", Family::Alcohol),
    ("formalin", Family::Formaldehyde),
    ("formaldehyde", Family::Formaldehyde),
    ("formol", Family::Formaldehyde),
    ("glycerol", Family::Glycerol),
    ("glycerine", Family::Glycerol),
    ("glycerin", Family::Glycerol),
];

/// The material with this name.
pub fn material(rules: &Rules, typed: &str) -> Result<MaterialId, Fault> {
    let names = rules.materials.iter().map(|material: &Material| (material.id.as_str(), material.name.as_str()));
    rules
        .material_named(typed)
        .ok_or_else(|| unknown("unknown-material", "material", nearest_id(typed, names), "materials.csv"))
}

/// The closure with this name.
pub fn closure(rules: &Rules, typed: &str) -> Result<ClosureId, Fault> {
    let names = rules.closures.iter().map(|closure: &Closure| (closure.id.as_str(), closure.name.as_str()));
    rules
        .closure_named(typed)
        .ok_or_else(|| unknown("unknown-closure", "closure", nearest_id(typed, names), "closures.csv"))
}

/// The id nearest to what was typed, else the one whose name in words is: people write `soda lime glas`.
fn nearest_id<'r>(typed: &str, parts: impl Iterator<Item = (&'r str, &'r str)> + Clone) -> Option<&'r str> {
    nearest(typed, parts.clone().map(|(id, _)| id)).or_else(|| {
        let name = nearest(typed, parts.clone().map(|(_, name)| name))?;
        parts.into_iter().find(|(_, other)| *other == name).map(|(id, _)| id)
    })
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
