//! Renewal of closures while specimens are kept: new grease, a new seal, a new gasket.
//!
//! Problem: how often closures must be renewed later, and what that costs. Notation: k years that a lot is kept, y years after
//! which its closure is due, p vessels of the lot. Method: a closure is due after y, 2 y, … years, before k is over:
//! p (⌈k / y⌉ − 1) times. y is the least of the closure's `renewal_years` and, with `renewals = true`, of its own life (if it has
//! no `renewal_years`) and the years of its pair with the fluid. Limits: years count from the day of the move; tanks are not
//! counted. The cost is at today's prices and outside the budget. Cost of computing: one pass over the placements.

use std::collections::BTreeMap;

use super::{Placement, Plan};
use crate::options::compatible::{Parts, Suitability};
use crate::project::Project;
use crate::rules::ClosureId;
use crate::units::{Money, TOUCH_MM, truncated};

/// Closures of one kind that are due after the same years.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Renewals {
    /// The closure.
    pub closure: ClosureId,
    /// Years from one renewal to the next.
    pub years: f64,
    /// Number of lots with this closure.
    pub lots: usize,
    /// Renewals in all the years that these lots are kept.
    pub times: i64,
}

/// All renewals of a plan, by closure in table order, sooner ones first.
pub fn renewals(project: &Project, plan: &Plan) -> Vec<Renewals> {
    let mut found: BTreeMap<(u16, u64), Renewals> = BTreeMap::new();
    for placement in &plan.placements {
        let Some((closure, years)) = due(project, placement) else { continue };
        let kept = project.collection.specimens[placement.specimen].keep_years;
        let pieces = placement.fit.map_or(1, |fit| i64::from(fit.pieces));
        // The tolerance: rounding of years typed as decimals must not add a renewal.
        let times = (truncated((kept / years - TOUCH_MM).ceil()) - 1).max(0).saturating_mul(pieces);
        if times == 0 {
            continue;
        }
        // The bits of floats that are not negative sort as the floats do.
        let entry = found.entry((closure.0, years.to_bits()));
        let of_kind = entry.or_insert(Renewals { closure, years, lots: 0, times: 0 });
        of_kind.lots += 1;
        of_kind.times = of_kind.times.saturating_add(times);
    }
    found.into_values().collect()
}

/// The closure of a row that is placed, and the years after which it is due; `None` if it is never renewed.
fn due(project: &Project, placement: &Placement) -> Option<(ClosureId, f64)> {
    let vessel = project.stock.vessel(placement.vessel?);
    let closure = project.rules.closure(vessel.closure);
    let fluid = project.collection.specimens[placement.specimen].fluid;
    let parts = Parts { material: vessel.material, closure: vessel.closure, loose: false };
    let of_its_life = Suitability::of(project, fluid, parts).renewed_after();
    let of_itself = closure.renewal_years.filter(|_| !closure.renewal.is_empty());
    let years = of_its_life.into_iter().chain(of_itself).min_by(f64::total_cmp)?;
    (years > TOUCH_MM).then_some((vessel.closure, years))
}

/// Minutes of work for `times` renewals.
pub fn minutes(project: &Project, times: i64) -> f64 {
    project.settings.minutes_per_renewal.0 * times as f64
}

/// Cost of `times` renewals at today's prices: materials, and time at the hourly rate of the settings.
pub fn money(project: &Project, times: i64) -> Money {
    let settings = &project.settings;
    let labour = Money::estimate_or_most(settings.rate_per_hour.approximate() * minutes(project, times) / 60.0);
    settings.renewal_price * times + labour
}
