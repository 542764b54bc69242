//! What the tables of rules have in common: how their rows are named, and cells that name a fluid or a family of fluids.

use super::cells::CellFault;
use super::columns::InputColumns;
use super::names;
use super::source::Source;
use super::table::TableRow;
use crate::diagnostics::{Code, nearest};
use crate::rules::{Closure, Family, Fluid, FluidId, Hazard, Material, NeckFinish, Rules, plain};

/// One table as text.
pub struct RuleTable {
    /// `None` where the file could not be read as text: that has been said.
    pub source: Option<Source>,
    /// It is the user's own, not the compiled-in one.
    pub is_users: bool,
}

/// What a row of a table is called: no two rows may share a name.
pub(super) trait Named {
    /// Its id, then its other names.
    fn names(&self) -> Vec<String>;
}

macro_rules! named_with_aliases {
    ($($kind:ident),+) => {$(
        impl Named for $kind {
            fn names(&self) -> Vec<String> {
                std::iter::once(&self.id).chain(&self.aliases).cloned().collect()
            }
        }
    )+};
}
named_with_aliases!(Fluid, Hazard, Material, Closure);

impl Named for NeckFinish {
    fn names(&self) -> Vec<String> {
        vec![self.id.clone()]
    }
}

/// What a cell says that is yes or no.
pub(super) const YES_OR_NO: [(&str, bool); 2] = [("yes", true), ("no", false)];

/// The text of a cell.
pub(super) fn text<C: InputColumns>(row: &TableRow<C>, column: C) -> String {
    row.text(column).to_owned()
}

/// A fluid, or a family of fluids.
#[derive(Clone, Copy)]
pub(super) enum FluidOrFamily {
    /// One fluid.
    Fluid(FluidId),
    /// All fluids of a family.
    Family(Family),
}

/// The fluid or family of a name.
pub(super) fn fluid_or_family(rules: &Rules, typed: &str) -> Result<FluidOrFamily, CellFault> {
    let word = plain(typed);
    let by_id = rules.fluids.iter().position(|fluid| plain(&fluid.id) == word).map(FluidId::at);
    let family = || Family::NAMES.iter().find(|(name, _)| plain(name) == word).map(|(_, family)| *family);
    if let Some(id) = by_id {
        return Ok(FluidOrFamily::Fluid(id));
    }
    if let Some(family) = family() {
        return Ok(FluidOrFamily::Family(family));
    }
    rules.fluid_named(typed).map(FluidOrFamily::Fluid).ok_or_else(|| {
        let known =
            rules.fluids.iter().map(|fluid| fluid.id.as_str()).chain(Family::NAMES.iter().map(|(name, _)| *name));
        let near = nearest(typed, known);
        names::unknown(Code::UnknownFluid, "fluid or family", near, "fluids.csv")
    })
}
