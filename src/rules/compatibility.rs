//! Which fluid may stand in which material, under which closure, and for how long.

use super::{ClosureId, FluidId, MaterialId};

/// Whether a fluid suits a material or closure.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub enum Verdict {
    /// Suitable, without a limit from this pair.
    Permanent,
    /// Suitable for this many years.
    Limited(f64),
    /// Nothing is known: it must be accepted, and is marked for review.
    #[default]
    Unproven,
    /// Not to be used.
    Unsuitable,
}

impl Verdict {
    /// The stricter of two verdicts, for a mixture of two kinds of fluid.
    pub fn worse(self, other: Self) -> Self {
        match (self, other) {
            (Verdict::Limited(one), Verdict::Limited(two)) => Verdict::Limited(one.min(two)),
            _ if self.rank() >= other.rank() => self,
            _ => other,
        }
    }

    fn rank(self) -> u8 {
        match self {
            Verdict::Permanent => 0,
            Verdict::Limited(_) => 1,
            Verdict::Unproven => 2,
            Verdict::Unsuitable => 3,
        }
    }
}

/// A verdict, and whether somebody should look at the pair before it is used.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Judgement {
    /// Whether they suit one another.
    pub verdict: Verdict,
    /// It may be used, but is marked for review: sources differ, or it rests on few cases.
    pub review: bool,
}

impl Judgement {
    /// The stricter verdict; for review if either is.
    pub fn worse(self, other: Self) -> Self {
        Judgement { verdict: self.verdict.worse(other.verdict), review: self.review || other.review }
    }
}

/// Every fluid with every material and every closure. A pair without a row is unproven.
#[derive(Clone, Debug, Default)]
pub struct Compatibility {
    n_materials: usize,
    n_closures: usize,
    with_material: Vec<Judgement>,
    with_closure: Vec<Judgement>,
}

impl Compatibility {
    /// All pairs unproven.
    pub fn unproven(n_fluids: usize, n_materials: usize, n_closures: usize) -> Self {
        Self {
            n_materials,
            n_closures,
            with_material: vec![Judgement::default(); n_fluids * n_materials],
            with_closure: vec![Judgement::default(); n_fluids * n_closures],
        }
    }

    /// The verdict on a material in a fluid.
    pub fn material(&self, fluid: FluidId, material: MaterialId) -> Verdict {
        self.of_material(fluid, material).verdict
    }

    /// The verdict on a closure over a fluid.
    pub fn closure(&self, fluid: FluidId, closure: ClosureId) -> Verdict {
        self.of_closure(fluid, closure).verdict
    }

    /// The judgement on a material in a fluid.
    pub fn of_material(&self, fluid: FluidId, material: MaterialId) -> Judgement {
        self.with_material[fluid.0 as usize * self.n_materials + material.0 as usize]
    }

    /// The judgement on a closure over a fluid.
    pub fn of_closure(&self, fluid: FluidId, closure: ClosureId) -> Judgement {
        self.with_closure[fluid.0 as usize * self.n_closures + closure.0 as usize]
    }

    /// Sets the judgement on a material in a fluid.
    pub fn set_material(&mut self, fluid: FluidId, material: MaterialId, judgement: Judgement) {
        self.with_material[fluid.0 as usize * self.n_materials + material.0 as usize] = judgement;
    }

    /// Sets the judgement on a closure over a fluid.
    pub fn set_closure(&mut self, fluid: FluidId, closure: ClosureId, judgement: Judgement) {
        self.with_closure[fluid.0 as usize * self.n_closures + closure.0 as usize] = judgement;
    }
}
