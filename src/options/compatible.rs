//! Rule 1: a fluid with a material and a closure, their lives, and display.

use super::{Cause, Refusal, Rule};
use crate::collection::{Display, Specimen, VesselChoice};
use crate::project::Project;
use crate::rules::{ClosureId, FluidId, MaterialId, Verdict};

/// What touches the fluid.
#[derive(Clone, Copy, Debug)]
pub struct Parts {
    /// Material of the vessel's body.
    pub material: MaterialId,
    /// The closure.
    pub closure: ClosureId,
    /// The closure need not seal, so it may be one that does not suit the fluid.
    pub loose: bool,
}

/// How long material and closure serve in the fluid.
#[derive(Clone, Copy, Debug)]
pub struct Lasting {
    /// The shortest of all lives in years; `None` = no limit.
    pub life_years: Option<f64>,
    /// A pair about which nothing is known was accepted.
    pub unproven: bool,
    /// The closure must be renewed within the years it is to be kept.
    pub renewed: bool,
    /// A pair is marked for review in its table.
    pub review: bool,
}

/// The suitability of a material and a closure for a fluid, independent of the specimen.
#[derive(Clone, Copy, Debug)]
pub struct Suitability {
    with_material: Verdict,
    with_closure: Verdict,
    loose: bool,
    life_years: Option<f64>,
    /// Years after which the closure must be renewed, where renewal is chosen.
    renewed_after: Option<f64>,
    clear: bool,
    review: bool,
}

impl Suitability {
    /// The suitability of these parts for this fluid.
    pub fn of(project: &Project, fluid: FluidId, parts: Parts) -> Self {
        let rules = &project.rules;
        let of_material = rules.compatibility.of_material(fluid, parts.material);
        let of_closure = rules.compatibility.of_closure(fluid, parts.closure);
        let (with_material, with_closure) = (of_material.verdict, of_closure.verdict);
        let review = of_material.review || of_closure.review;
        let limited = |verdict| if let Verdict::Limited(years) = verdict { Some(years) } else { None };
        let least = |lives: [Option<f64>; 2]| lives.into_iter().flatten().min_by(f64::total_cmp);
        let closure = rules.closure(parts.closure);
        let body = least([rules.material(parts.material).life_years, limited(with_material)]);
        let shut = least([closure.life_years, limited(with_closure)]);
        // A closure that is renewed when due does not limit the life of the vessel. One that is only looked after (a stopper that is
        // greased again, `renewal_years`) still limits it by its own life.
        let renewed = project.settings.renewals && !closure.renewal.is_empty();
        let own = closure.life_years.filter(|_| renewed && closure.renewal_years.is_some());
        let life_years = if renewed { least([body, own]) } else { least([body, shut]) };
        let of_itself = if own.is_some() { None } else { closure.life_years };
        let renewed_after = least([of_itself, limited(with_closure)]).filter(|_| renewed);
        let clear = rules.material(parts.material).clear;
        Suitability { with_material, with_closure, loose: parts.loose, life_years, renewed_after, clear, review }
    }

    /// Whether it is unsuitable for every row.
    pub fn never(&self) -> bool {
        self.with_material == Verdict::Unsuitable || (self.with_closure == Verdict::Unsuitable && !self.loose)
    }

    /// Longest service in years, if limited.
    pub fn life_years(&self) -> Option<f64> {
        self.life_years
    }

    /// Years after which the closure must be renewed, where renewal is chosen; the vessel then serves on.
    pub fn renewed_after(&self) -> Option<f64> {
        self.renewed_after
    }

    /// Whether it can be seen through.
    pub fn clear(&self) -> bool {
        self.clear
    }

    /// Whether nothing is known about some pair.
    pub fn unproven(&self) -> bool {
        self.with_material == Verdict::Unproven || self.with_closure == Verdict::Unproven
    }

    /// How long it is suitable for a row, or why it is not; `accepted` where unproven pairs are accepted.
    pub fn serves(&self, specimen: &Specimen, flat_faces: bool, accepted: bool) -> Result<Lasting, Refusal> {
        let refuse = |cause| Err(Refusal::plain(Rule::Compatible, cause));
        if self.with_material == Verdict::Unsuitable {
            return refuse(Cause::MaterialUnsuitable);
        }
        if self.with_closure == Verdict::Unsuitable && !self.loose {
            return refuse(Cause::ClosureUnsuitable);
        }
        if let Some(life) = self.life_years
            && life < specimen.keep_years
        {
            return Err(Refusal::by(Rule::Compatible, Cause::LifeTooShort, specimen.keep_years - life));
        }
        if self.with_material == Verdict::Unproven && !accepted {
            return refuse(Cause::MaterialUnproven);
        }
        if self.with_closure == Verdict::Unproven && !accepted {
            return refuse(Cause::ClosureUnproven);
        }
        if specimen.display != Display::No && !self.clear {
            return refuse(Cause::NotClear);
        }
        if specimen.display == Display::Flat && !flat_faces {
            return refuse(Cause::NotFlat);
        }
        let renewed = self.renewed_after.is_some_and(|years| years < specimen.keep_years);
        let (life_years, review) = (self.life_years, self.review);
        Ok(Lasting { life_years, unproven: self.unproven(), renewed, review })
    }
}

/// The same for parts that are not those of a listed vessel.
pub fn compatible(
    project: &Project,
    specimen: &Specimen,
    parts: Parts,
    flat_faces: bool,
    pinned: bool,
) -> Result<Lasting, Refusal> {
    let accepted = pinned || project.settings.accept_unproven;
    Suitability::of(project, specimen.fluid, parts).serves(specimen, flat_faces, accepted)
}

/// Whether `must_use` and `must_not_use` of the row allow a choice; true where `must_use` names it.
pub fn pin(specimen: &Specimen, choice: VesselChoice) -> Result<bool, Refusal> {
    if specimen.particulars.must_not_use.contains(&choice) {
        return Err(Refusal::plain(Rule::Pin, Cause::Excluded));
    }
    if specimen.particulars.must_use.is_empty() {
        return Ok(false);
    }
    if specimen.particulars.must_use.contains(&choice) {
        Ok(true)
    } else {
        Err(Refusal::plain(Rule::Pin, Cause::PinnedElsewhere))
    }
}
