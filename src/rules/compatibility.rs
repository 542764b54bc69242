//! Which fluid may stand in which material, under which closure, and for how long.

use super::{ClosureId, FluidId, MaterialId};

/// How a fluid gets on with a material or closure.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub enum Verdict {
    /// No limit from this pair.
    Permanent,
    /// This many years.
    Limited(f64),
    /// Nothing is known: needs to be accepted, and is marked for review.
    #[default]
    Unproven,
    /// Not to be used.
    Unsuitable,
}

/// Every fluid with every material and every closure. A pair without a row is unproven.
#[derive(Clone, Debug, Default)]
pub struct Compatibility {
    n_materials: usize,
    n_closures: usize,
    with_material: Vec<Verdict>,
    with_closure: Vec<Verdict>,
}

impl Compatibility {
    /// All pairs unproven.
    pub fn unproven(n_fluids: usize, n_materials: usize, n_closures: usize) -> Self {
        Self {
            n_materials,
            n_closures,
            with_material: vec![Verdict::Unproven; n_fluids * n_materials],
            with_closure: vec![Verdict::Unproven; n_fluids * n_closures],
        }
    }

    /// The verdict on a material in a fluid.
    pub fn material(&self, fluid: FluidId, material: MaterialId) -> Verdict {
        self.with_material[fluid.0 as usize * self.n_materials + material.0 as usize]
    }

    /// The verdict on a closure over a fluid.
    pub fn closure(&self, fluid: FluidId, closure: ClosureId) -> Verdict {
        self.with_closure[fluid.0 as usize * self.n_closures + closure.0 as usize]
    }

    /// Sets the verdict on a material in a fluid.
    pub fn set_material(&mut self, fluid: FluidId, material: MaterialId, verdict: Verdict) {
        self.with_material[fluid.0 as usize * self.n_materials + material.0 as usize] = verdict;
    }

    /// Sets the verdict on a closure over a fluid.
    pub fn set_closure(&mut self, fluid: FluidId, closure: ClosureId, verdict: Verdict) {
        self.with_closure[fluid.0 as usize * self.n_closures + closure.0 as usize] = verdict;
    }
}
