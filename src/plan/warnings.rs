//! Which warnings apply to a plan, with their figures. Their words: [`crate::words::warning`].

use std::collections::BTreeSet;

use itertools::Itertools;

use super::{MakeUp, Plan, costly};
use crate::collection::{Outline, Size, Specimen};
use crate::decision::Aim;
use crate::options::tank::TankPriceBasis;
use crate::options::treatment::{Route, route, strength_not_known};
use crate::project::Project;
use crate::stock::VesselId;
use crate::units::{Millilitres, Money, decimal, index};

/// A warning about a plan. Money and days are rounded as a file shows them.
#[derive(Clone, Debug, PartialEq)]
pub enum Warning {
    /// Tanks of unknown price, and the fluid for them, which the totals leave out.
    UnpricedTanks {
        /// How many.
        tanks: usize,
        /// Fluid for all their fillings and baths.
        fluid: Millilitres,
        /// Its cost.
        cost: Money,
    },
    /// Lots whose combination of fluid and vessel is unproven.
    Unproven {
        /// How many.
        lots: usize,
    },
    /// Lots whose combination of fluid and vessel is doubtful by the table of compatibility.
    DoubtfulPair {
        /// How many.
        lots: usize,
    },
    /// Tanks that share sizes, a step after the decision.
    SharedSizes {
        /// How many.
        tanks: usize,
        /// Number of sizes.
        sizes: usize,
        /// How much less the plan costs.
        saved: Money,
        /// How much more fluid it takes.
        more_fluid: Millilitres,
    },
    /// The amount to pay exceeds the budget.
    OverBudget {
        /// How much more.
        by: Money,
    },
    /// Lots that each take more than a tenth of the budget while others wait.
    CostlyLots {
        /// Rows, with what each takes, the most first.
        lots: Vec<(usize, Money)>,
    },
    /// Placed lots in another fluid now, for which no transfer to their own fluid is known.
    StepsUnknown {
        /// How many.
        lots: usize,
    },
    /// Placed lots in a fluid of which only the family is known.
    StrengthNotKnown {
        /// How many.
        lots: usize,
    },
    /// Placed lots whose present fluid is not stated.
    FluidNotStated {
        /// How many.
        lots: usize,
    },
    /// Lots that go through baths.
    Baths {
        /// How many.
        lots: usize,
        /// Most days that any lot spends in baths.
        most_days: f64,
    },
    /// Very loose lots: their vessels are far too large for them.
    VeryLoose {
        /// How many.
        lots: usize,
    },
    /// Bodies that are turned below the neck.
    TurnedIn {
        /// How many: all individuals of such lots.
        bodies: usize,
    },
    /// Lots coiled more tightly than usual.
    TightCoil {
        /// How many.
        lots: usize,
    },
    /// Bodies that lean.
    Leaning {
        /// How many: all individuals of such lots.
        bodies: usize,
    },
    /// Lots of which the tissue is neither measured nor weighed.
    TissueEstimated {
        /// How many.
        lots: usize,
    },
    /// Vessels in use that are too small for a label of the set size.
    LabelTooLarge {
        /// Which.
        vessels: Vec<VesselId>,
    },
    /// Lots taken as boxes, because no outline is stated.
    TakenAsBox {
        /// How many.
        lots: usize,
    },
}

/// The warnings, the most important first.
pub fn warnings(project: &Project, plan: &Plan) -> Vec<Warning> {
    let mut warnings: Vec<Warning> = tanks_without_price(project, plan).into_iter().collect();
    let marked = Marked::of(project, plan);
    warnings.extend(some(marked.unproven, |lots| Warning::Unproven { lots }));
    warnings.extend(some(marked.doubtful, |lots| Warning::DoubtfulPair { lots }));
    warnings.extend(sharing(plan));
    warnings.extend(over_budget(project, plan));
    let costly = costly::costly(project, plan);
    warnings.extend((!costly.is_empty()).then_some(Warning::CostlyLots { lots: costly }));
    warnings.extend(of_present_fluid(project, plan));
    warnings.extend(some(marked.very_loose, |lots| Warning::VeryLoose { lots }));
    warnings.extend(some(marked.turned_in, |bodies| Warning::TurnedIn { bodies }));
    warnings.extend(some(marked.tight_coil, |lots| Warning::TightCoil { lots }));
    warnings.extend(some(marked.leaning, |bodies| Warning::Leaning { bodies }));
    warnings.extend(some(marked.tissue_estimated, |lots| Warning::TissueEstimated { lots }));
    warnings.extend(labels(project, plan));
    warnings.extend(some(boxes(project), |lots| Warning::TakenAsBox { lots }));
    warnings
}

/// A warning if the count is not zero.
fn some(count: usize, warning: impl FnOnce(usize) -> Warning) -> Option<Warning> {
    (count > 0).then(|| warning(count))
}

fn tanks_without_price(project: &Project, plan: &Plan) -> Option<Warning> {
    let tanks = plan.tanks.iter().filter(|tank| tank.cost.is_none()).count();
    // Computed from whole millilitres, which a saved plan holds exactly.
    let price = |made: &MakeUp| project.fluid_price(made.fluid).per_litre(made.amount_outside);
    some(tanks, |tanks| Warning::UnpricedTanks {
        tanks,
        fluid: plan.make_up.iter().map(|made| made.amount_outside).sum(),
        cost: plan.make_up.iter().map(price).sum::<Money>().rounded(),
    })
}

/// The effect of sharing sizes of tanks after the decision, if any do.
fn sharing(plan: &Plan) -> Option<Warning> {
    let shared = || plan.tanks.iter().filter(|tank| tank.price_basis == TankPriceBasis::SharedEstimate);
    let sizes =
        shared().map(|tank| [tank.length, tank.width, tank.height].map(|side| side.mm().to_bits())).unique().count();
    let decided = plan.levels.iter().find(|level| level.aim == Aim::Fluid)?.value;
    some(sizes, |sizes| Warning::SharedSizes {
        tanks: shared().count(),
        sizes,
        saved: plan.totals.saved_by_sharing.rounded(),
        more_fluid: Millilitres(plan.totals.litres.0 - decided),
    })
}

fn over_budget(project: &Project, plan: &Plan) -> Option<Warning> {
    let pays = plan.totals.to_pay;
    let budget = project.settings.budget.filter(|budget| pays > *budget)?;
    Some(Warning::OverBudget { by: (pays - budget).rounded() })
}

/// Warnings about the present fluid of lots that are moved, and the transfer from it.
fn of_present_fluid(project: &Project, plan: &Plan) -> impl Iterator<Item = Warning> {
    let (mut steps_unknown, mut strength, mut not_stated, mut bathed, mut most_days) = (0, 0, 0, 0, 0.0_f64);
    for placement in plan.moved() {
        let specimen = &project.collection.specimens[placement.specimen];
        let route = route(project, specimen);
        steps_unknown += usize::from(route == Route::NotKnown);
        strength += usize::from(strength_not_known(project, specimen));
        not_stated += usize::from(route == Route::NotStated);
        bathed += usize::from(!placement.baths.is_empty());
        most_days = most_days.max(placement.bath_days);
    }
    let most_days = decimal(most_days, 3).parse().unwrap_or(most_days);
    let warnings = [
        some(steps_unknown, |lots| Warning::StepsUnknown { lots }),
        some(strength, |lots| Warning::StrengthNotKnown { lots }),
        some(not_stated, |lots| Warning::FluidNotStated { lots }),
        some(bathed, |lots| Warning::Baths { lots, most_days }),
    ];
    warnings.into_iter().flatten()
}

/// The vessels in use in which a label cannot stand.
fn labels(project: &Project, plan: &Plan) -> Option<Warning> {
    let settings = &project.settings;
    let in_use: BTreeSet<VesselId> = plan.placements.iter().filter_map(|placement| placement.vessel).collect();
    let stands = |id: &VesselId| project.stock.vessel(*id).label_stands(settings.label_width, settings.label_height);
    let vessels: Vec<VesselId> = in_use.into_iter().filter(|id| !stands(id)).collect();
    (!vessels.is_empty()).then_some(Warning::LabelTooLarge { vessels })
}

/// Number of measured lots taken as boxes because no outline is stated.
fn boxes(project: &Project) -> usize {
    let assumed = |s: &&Specimen| !s.outline_stated && s.outline == Outline::Box && matches!(s.size, Size::Measured(_));
    project.collection.specimens.iter().filter(assumed).count()
}

/// Numbers of lots in vessels, by mark of their fit.
#[derive(Default)]
struct Marked {
    unproven: usize,
    doubtful: usize,
    very_loose: usize,
    /// In bodies: each is turned by hand.
    turned_in: usize,
    tight_coil: usize,
    /// In bodies: each needs support.
    leaning: usize,
    tissue_estimated: usize,
}

impl Marked {
    fn of(project: &Project, plan: &Plan) -> Self {
        let mut marked = Marked::default();
        for placement in &plan.placements {
            let Some(fit) = placement.fit.as_ref() else { continue };
            let bodies = index(project.collection.specimens[placement.specimen].individuals);
            marked.unproven += usize::from(fit.marks.unproven);
            marked.doubtful += usize::from(fit.marks.doubtful_pair);
            marked.very_loose += usize::from(fit.marks.very_loose);
            marked.turned_in += if fit.marks.turned_in { bodies } else { 0 };
            marked.tight_coil += usize::from(fit.marks.tight_coil);
            marked.leaning += if fit.leaning { bodies } else { 0 };
            marked.tissue_estimated += usize::from(fit.marks.tissue_estimated);
        }
        marked
    }
}
