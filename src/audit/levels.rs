//! The levels: values the plan really reaches, bounds that follow from the inputs where they say so, and a status that
//! fits them.

use super::claims::Claims;
use super::exact::Exact;
use super::money::Sums;
use super::row;
use crate::decision::{Aim, Level, Proof, Status};
use crate::options::table::undecided;
use crate::options::{Filling, Treatment};
use crate::plan::{Outcome, Plan, saved};
use crate::project::Project;
use crate::units::{Millilitres, Money};

/// Holds levels and status against what the plan reaches.
pub(super) fn audit(project: &Project, plan: &Plan, sums: &Sums, claims: &mut Claims) {
    let names = |aims: Vec<Aim>| aims.into_iter().map(Aim::name).collect::<Vec<_>>().join(", ");
    claims.same("levels", names(plan.levels.iter().map(|level| level.aim).collect()), names(Aim::ALL.to_vec()));
    for (i, level) in plan.levels.iter().enumerate() {
        value(project, plan, sums, (i, level), claims);
        bound(project, plan, (i, level), claims);
    }
    status(project, plan, claims);
}

fn value(project: &Project, plan: &Plan, sums: &Sums, (i, level): (usize, &Level), claims: &mut Claims) {
    let claim = format!("levels[{i}].value");
    match level.aim {
        Aim::Deferred(priority) => claims.same(claim, level.value, deferred(project, plan, priority) as i64),
        Aim::Money => {
            let weighed = sums.money + Exact::per_litre(project.settings.litre_weight, sums.millilitres);
            claims.money(claim, Money::from_parts(level.value), weighed);
        }
        Aim::Fluid => claims.litres(claim, i128::from(level.value), sums.millilitres),
    }
}

fn bound(project: &Project, plan: &Plan, (i, level): (usize, &Level), claims: &mut Claims) {
    let claim = format!("levels[{i}].bound");
    claims.at_most(&claim, level.bound, level.value);
    match level.proof {
        Proof::None => {}
        Proof::BySearch => {
            // Only a complete search proves anything, and then the bound is the value.
            claims.at_least(&claim, level.bound, level.value);
            // Least fluid is asked only among plans of proved least money.
            let money_open = plan.levels[..i].iter().any(|earlier| earlier.aim == Aim::Money && !earlier.proved());
            if level.aim == Aim::Fluid && money_open {
                let claim = format!("levels[{i}].proof");
                claims.refute(claim, level.proof.name(), "money that is not proved least");
            }
        }
        Proof::Recomputed => {
            let derived = match level.aim {
                Aim::Deferred(_) => 0,
                Aim::Money => least_money(project, plan),
                Aim::Fluid => least_fluid(project, plan),
            };
            // A file shows bounds of money to four places, so a whole place is let pass.
            let shown = saved::as_shown(Level { bound: derived, value: derived, ..*level }).bound;
            claims.at_most(&claim, level.bound, shown.max(derived));
        }
    }
}

fn status(project: &Project, plan: &Plan, claims: &mut Claims) {
    let complete = plan.levels.len() == Aim::ALL.len();
    let proved = complete && plan.levels.iter().all(|level| saved::as_shown(*level).proved());
    let gap = saved::gap(project, plan);
    let asked = project.settings.gap_pct.ratio();
    match plan.status {
        Status::ProvedBest if !proved => claims.refute("status", plan.status.name(), "a level that is not proved"),
        Status::ProvedBest => {}
        _ if proved => claims.refute("status", plan.status.name(), "every level proved"),
        Status::WithinGap if gap - rounding(plan) > asked || asked == 0.0 => {
            claims.refute("status", plan.status.name(), format!("a gap of {gap}, with {asked} asked for"));
        }
        _ => {}
    }
}

/// How much wider than it is a gap may seem where money is shown to four places: value and bound by a place each.
fn rounding(plan: &Plan) -> f64 {
    let open = plan.levels.iter().find(|level| !saved::as_shown(**level).proved());
    let places = Money::PER_UNIT as f64 / 10_000.0 * 2.0;
    open.filter(|level| level.aim == Aim::Money).map_or(0.0, |level| places / (level.value.max(1) as f64))
}

/// Rows of a priority that a plan leaves deferred.
fn deferred(project: &Project, plan: &Plan, priority: u8) -> usize {
    let of_priority = |specimen: usize| project.collection.specimens[specimen].priority == priority;
    plan.placements.iter().filter(|row| row.outcome == Outcome::Deferred && of_priority(row.specimen)).count()
}

/// Weighed money, in ten-millionths, below which no plan is that defers no more rows of any priority than this one.
///
/// Every row costs at least the fluid (and the tank) of its cheapest option; vessels count nothing, since they may be
/// free. Of each priority all rows but as many as this plan defers must be placed, at best the cheapest of them.
pub fn least_money(project: &Project, plan: &Plan) -> i64 {
    let weight = project.settings.litre_weight;
    least(project, plan, |cost, fluid| (cost + weight.per_litre(fluid)).parts())
}

/// Fluid, in millilitres, below which no plan is that defers no more rows of any priority than this one; like
/// [`least_money`].
pub fn least_fluid(project: &Project, plan: &Plan) -> i64 {
    least(project, plan, |_, fluid| fluid.0)
}

/// The sum of the least measures of the rows that must be placed, given the money and the fluid of an option.
fn least(project: &Project, plan: &Plan, measure: impl Fn(Money, Millilitres) -> i64) -> i64 {
    let mut by_priority: [Vec<i64>; 4] = Default::default();
    for specimen in &project.collection.specimens {
        if specimen.held().is_some() || undecided(project, specimen).is_some() {
            continue;
        }
        let treatment = Treatment::of(project, specimen);
        let measured = |tank: Money, charges, one| {
            let filling = Filling::of(project, specimen, &treatment, charges, one);
            measure(tank + filling.money(project, specimen.fluid), filling.filled())
        };
        let fits: Vec<i64> =
            row::fits(project, specimen).map(|(_, fit)| measured(Money::ZERO, fit.charges, fit.fluid())).collect();
        let tank = row::tank(project, specimen, fits.is_empty())
            .and_then(|tank| tank.cost.map(|cost| measured(cost, tank.charges, tank.fluid)));
        let slot = usize::from(specimen.priority.clamp(1, 4)) - 1;
        by_priority[slot].extend(fits.into_iter().chain(tank).min());
    }
    let mut sum = 0;
    for (slot, mut rows) in by_priority.into_iter().enumerate() {
        rows.sort_unstable();
        let must = rows.len().saturating_sub(deferred(project, plan, slot as u8 + 1));
        // A row beyond those may still be placed where that gives something back.
        sum += rows[..must].iter().sum::<i64>() + rows[must..].iter().filter(|least| **least < 0).sum::<i64>();
    }
    sum
}
