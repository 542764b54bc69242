//! Checks the levels: their values against the plan, their bounds against the inputs, and the status against both.

use super::bounds::{self, Bounds, Least, Lots, Reached};
use super::claims::Claims;
use super::exact::Exact;
use super::money::Sums;
use crate::decision::{Aim, Level, Proof, Status};
use crate::plan::{Outcome, Plan};
use crate::project::Project;
use crate::saved;
use crate::units::{Money, saturated};

/// The certificates of the levels, if every one is sound.
pub(super) fn certificates<'a>(project: &Project, plan: &'a Plan, claims: &mut Claims) -> Option<Bounds<'a>> {
    let before = claims.findings.len();
    for (i, level) in plan.levels.iter().enumerate() {
        for (place, wrong) in bounds::faults(project, level.aim, bounds::of_level(&plan.levels, level)) {
            claims.refute(format_args!("levels[{i}].certificate.{place}"), wrong, CERTIFICATE);
        }
    }
    (claims.findings.len() == before).then(|| Bounds::of(project, &plan.levels))
}

/// What a sound certificate is, for messages.
const CERTIFICATE: &str = "numbers, groups and a tree of what the project has, all of it used, in order";

/// Checks the levels and their values against the values of the plan.
pub(super) fn values(project: &Project, plan: &Plan, sums: &Sums, claims: &mut Claims) {
    let names = |aims: Vec<Aim>| aims.into_iter().map(Aim::name).collect::<Vec<_>>().join(", ");
    claims.same(
        "levels",
        names(plan.levels.iter().map(|level| level.aim).collect()),
        names(Aim::levels_of(&project.settings).to_vec()),
    );
    let deferred = deferred(project, plan);
    for level in plan.levels.iter().enumerate() {
        value(project, &deferred, sums, level, claims);
    }
}

/// Checks the bounds against those that the certificates give with the lots of the survey, and the status against the levels.
pub(super) fn bounds(
    project: &Project,
    plan: &Plan,
    certificates: Option<(&Bounds, &Lots)>,
    sums: &Sums,
    claims: &mut Claims,
) {
    if let Some((certificates, lots)) = certificates
        && groups_and_cuts_hold(project, plan, (certificates, lots), claims)
    {
        let reached = reached(project, plan, sums);
        let bounds = certificates.bounds(project, lots, &reached);
        for (level, derived) in plan.levels.iter().enumerate().zip(bounds) {
            bound(level, derived, reached.of(level.1.aim), claims);
        }
    }
    status(project, plan, claims);
}

/// The bound at each leaf of each level, if groups and cuts are correct.
pub(super) fn leaf_bounds(
    project: &Project,
    plan: &Plan,
    (certificates, lots): (&Bounds, &Lots),
    sums: &Sums,
    claims: &mut Claims,
) -> Option<Vec<Vec<Least>>> {
    let hold = groups_and_cuts_hold(project, plan, (certificates, lots), claims);
    hold.then(|| certificates.leaves(project, lots, &reached(project, plan, sums)))
}

fn reached(project: &Project, plan: &Plan, sums: &Sums) -> Reached {
    let deferred = deferred(project, plan);
    let weighted_deferred = i128::from(weighted(project, &deferred));
    let deferred = deferred.map(i128::from);
    Reached { weighted_deferred, deferred, money: weighed(project, sums).0, fluid: sums.millilitres }
}

/// Checks that the lots of every group are alike, and that those of every cut may have its vessel and, but for `Count`, need more
/// pieces than are free.
fn groups_and_cuts_hold(
    project: &Project,
    plan: &Plan,
    (certificates, lots): (&Bounds, &Lots),
    claims: &mut Claims,
) -> bool {
    let before = claims.findings.len();
    for i in 0..plan.levels.len() {
        for (group, wrong) in certificates.wrong_groups(i, lots) {
            claims.refute(
                format_args!("levels[{i}].certificate.groups[{group}]"),
                wrong,
                "lots with the same options at costs that differ by a constant",
            );
        }
        for (cut, wrong) in certificates.wrong_cuts(project, i, lots) {
            claims.refute(
                format_args!("levels[{i}].certificate.cuts[{cut}]"),
                wrong,
                "lots that may have its vessel, and, but for a count, need more pieces of it than are free",
            );
        }
    }
    claims.findings.len() == before
}

/// Deferred lots, each with the weight of its priority; 0 where priorities are not weighed.
fn weighted(project: &Project, deferred: &[i64; 4]) -> i64 {
    let weights = project.settings.weights_in_force().unwrap_or([0; 4]);
    weights.into_iter().zip(deferred).map(|(weight, lots)| i64::from(weight) * lots).sum()
}

/// Weighed money of a plan.
fn weighed(project: &Project, sums: &Sums) -> Exact {
    sums.money + Exact::per_litre(project.settings.litre_weight, sums.millilitres)
}

fn value(project: &Project, deferred: &[i64; 4], sums: &Sums, (i, level): (usize, &Level), claims: &mut Claims) {
    let claim = format!("levels[{i}].value");
    match level.aim {
        Aim::WeightedDeferred => {
            claims.same(claim, level.value, weighted(project, deferred));
        }
        Aim::Deferred(priority) => {
            claims.same(claim, level.value, deferred[usize::from(priority.clamp(1, 4)) - 1]);
        }
        Aim::Money => {
            claims.money(claim, Money::from_parts(level.value), weighed(project, sums));
        }
        Aim::Fluid => claims.litres(claim, i128::from(level.value), sums.millilitres),
    }
}

/// Checks one bound: from 0 to the level's value, at most what the certificate gives, and the value itself if the level is proved.
/// The certificate must not give more than the plan reaches.
fn bound((i, level): (usize, &Level), derived: Option<i128>, reached: i128, claims: &mut Claims) {
    let claim = format!("levels[{i}].bound");
    let (value, stated) = saved::as_shown(level);
    claims.at_most(&claim, stated, value);
    claims.at_least(&claim, stated, 0);
    if let Some(derived) = derived {
        let claim = format!("levels[{i}].certificate: the bound");
        claims.at_most(&claim, derived, reached);
        // Compared exactly, although a file shows money to four places.
        if level.proof == Proof::Recomputed {
            claims.at_least(&claim, derived, reached);
        }
    }
    let derived = derived.map_or(0, |bound| saturated(bound.max(0)));
    // A file shows money to four places, and a bound that reaches its value as it shows the value.
    let reaches = level.aim == Aim::Money && i128::from(derived) >= reached;
    claims.at_most(&claim, level.bound, if reaches { derived.max(saved::nearest_place(derived)) } else { derived });
    if level.proof == Proof::Recomputed {
        claims.at_least(&claim, stated, value);
    }
}

fn status(project: &Project, plan: &Plan, claims: &mut Claims) {
    let complete = plan.levels.len() == Aim::levels_of(&project.settings).len();
    let open = plan.levels.iter().find(|level| !level.proved());
    let proved = complete && open.is_none();
    let gap = open.map_or(0.0, |level| saved::gap_of(project, plan, level));
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

/// How much wider a gap may seem than it is, because value and bound are each shown to four places.
fn rounding(plan: &Plan) -> f64 {
    let open = plan.levels.iter().find(|level| !level.proved());
    let places = Money::PER_UNIT as f64 / 10_000.0 * 2.0;
    open.filter(|level| level.aim == Aim::Money).map_or(0.0, |level| places / (level.value.max(1) as f64))
}

/// Rows that a plan leaves deferred, by priority.
fn deferred(project: &Project, plan: &Plan) -> [i64; 4] {
    let mut deferred = [0; 4];
    for row in plan.placements.iter().filter(|row| row.outcome == Outcome::Deferred) {
        deferred[usize::from(project.collection.specimens[row.specimen].priority.clamp(1, 4)) - 1] += 1;
    }
    deferred
}
