//! Names in plan.json, resolved against the project: keys, fluids, vessels, and words of closed lists.

use std::collections::HashMap;

use serde_json::Value;

use super::object::text;
use crate::collection::Key;
use crate::project::Project;
use crate::rules::FluidId;
use crate::stock::VesselId;

/// The project, and its rows by key.
pub(super) struct PlanReading<'a> {
    pub(super) project: &'a Project,
    pub(super) rows: HashMap<&'a Key, usize>,
}

impl<'a> PlanReading<'a> {
    pub(super) fn new(project: &'a Project) -> Self {
        let rows = project.collection.specimens.iter().enumerate().map(|(i, specimen)| (&specimen.key, i)).collect();
        Self { project, rows }
    }

    /// A fluid by its id.
    pub(super) fn fluid(&self, value: &Value) -> Option<FluidId> {
        let id = text(value)?;
        self.project.rules.fluids.iter().position(|fluid| fluid.id == id).map(FluidId::at)
    }

    pub(super) fn vessel(&self, value: &Value) -> Option<VesselId> {
        self.project.stock.vessel_named(text(value)?)
    }
}

/// The item of a closed list that has this name.
pub(super) fn named<T: Copy>(value: &Value, all: &[T], name: impl Fn(T) -> &'static str) -> Option<T> {
    let typed = text(value)?;
    all.iter().copied().find(|&one| name(one) == typed)
}
