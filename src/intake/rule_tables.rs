//! Shared by the readers of rule tables: names of rows, and cells that name a fluid or a family of fluids.

use super::cells::CellFault;
use super::columns::InputColumns;
use super::names;
use super::source::Source;
use super::table::TableRow;
use crate::diagnostics::{Code, nearest};
use crate::rules::{Closure, Family, Fluid, FluidId, Hazard, Material, NeckFinish, Rules, plain};

/// One table as text.
pub struct RuleTable {
    /// The text; `None` if the file could not be read, which has been reported.
    pub source: Option<Source>,
    /// Whether it is the user's own table, not the compiled-in one.
    pub is_users: bool,
}

/// A row of a table with names. No two rows of a table may share one.
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

/// Words of a yes-or-no cell.
pub(super) const YES_OR_NO: [(&str, bool); 2] = [("yes", true), ("no", false)];

/// The text of a cell; empty if blank.
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

/// The fluid or family that a cell names. An id takes precedence over a family, and a family over an alias.
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
