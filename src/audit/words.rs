//! What is said in words: wants for the rows that need a vessel, cautions, doubts and default prices where they apply.
//!
//! Only what must be said is asked for, by a word it cannot do without; how it is said is not audited.

use std::collections::BTreeMap;

use super::claims::Claims;
use super::row;
use crate::options::tank::{ESTIMATE, NoTank, design};
use crate::plan::{Outcome, Plan};
use crate::project::Project;
use crate::rules::Family;
use crate::settings::Settings;

/// Holds wants, cautions, warnings and default prices against the inputs.
pub(super) fn audit(project: &Project, plan: &Plan, claims: &mut Claims) {
    wants(project, plan, claims);
    for (due, subject) in cautions_due(project, plan) {
        said("cautions", &plan.cautions, due, subject, |text| text.starts_with(subject), claims);
    }
    let unpriced = plan.tanks.iter().any(|tank| tank.cost.is_none());
    let unproven = plan.placements.iter().any(|row| row.fit.is_some_and(|fit| fit.marks.unproven));
    let leaning = plan.placements.iter().any(|row| row.fit.is_some_and(|fit| fit.leaning));
    for (due, word) in [(unpriced, "unknown price"), (unproven, "unproven"), (leaning, "lean")] {
        said("warnings", &plan.warnings, due, word, |text| text.contains(word), claims);
    }
    for line in &plan.make_up {
        let fluid = project.rules.fluid(line.fluid);
        let named = |text: &str| text.split_whitespace().next() == Some(&fluid.id);
        said("prices_not_yours", &plan.prices_not_yours, fluid.price_is_default, &fluid.id, named, claims);
    }
    let (ours, given) = (&project.settings, Settings::default());
    let tank_prices =
        ours.tank_base_price == given.tank_base_price || ours.tank_price_per_m2 == given.tank_price_per_m2;
    let due = tank_prices && plan.tanks.iter().any(|tank| tank.note == ESTIMATE);
    said("prices_not_yours", &plan.prices_not_yours, due, "tank", |text| text.starts_with("tank"), claims);
}

/// Cautions by the subject they begin with, in lower case, and whether they are due.
fn cautions_due(project: &Project, plan: &Plan) -> [(bool, &'static str); 8] {
    let specimens = &project.collection.specimens;
    let family = |wanted: Family| {
        let of = |id| project.rules.fluid(id).family == wanted;
        specimens.iter().any(|specimen| of(specimen.fluid) || specimen.current_fluid.is_some_and(of))
    };
    let hazard = |word: &str| specimens.iter().any(|specimen| specimen.hazards.iter().any(|hazard| hazard == word));
    [
        (family(Family::Formaldehyde), "formaldehyde"),
        (family(Family::Alcohol), "alcohol"),
        (family(Family::Unknown), "unknown fluid"),
        (hazard("picric"), "picric"),
        (hazard("mercury"), "mercury"),
        (hazard("human"), "human tissue"),
        (!plan.tanks.is_empty(), "tanks"),
        (true, "the safety data sheet"),
    ]
}

/// Something that is due must be found among what is said, in lower case.
fn said(
    claim: &str,
    sentences: &[String],
    due: bool,
    subject: &str,
    found: impl Fn(&str) -> bool,
    claims: &mut Claims,
) {
    if due && !sentences.iter().any(|sentence| found(&sentence.to_lowercase())) {
        claims.refute(claim, "nothing of the kind", format!("something on {subject}"));
    }
}

/// Each row that no vessel takes and that is too small for a tank wants a vessel, once; no other row does.
fn wants(project: &Project, plan: &Plan, claims: &mut Claims) {
    let mut wanted: BTreeMap<usize, usize> = BTreeMap::new();
    for (i, want) in plan.wants.iter().enumerate() {
        if want.specimens.is_empty() || want.text.trim().is_empty() {
            claims.refute(format_args!("wants[{i}]"), "nothing", "rows and what they need");
        }
        for &row in &want.specimens {
            *wanted.entry(row).or_default() += 1;
        }
    }
    for placement in plan.placements.iter().filter(|row| row.outcome == Outcome::NeedsDecision) {
        let specimen = &project.collection.specimens[placement.specimen];
        let known = specimen.held().is_none() && !row::unknown(project, specimen);
        let due = known
            && row::fits(project, specimen).next().is_none()
            && matches!(design(project, specimen), Err(NoTank::TooSmall));
        let stated = wanted.remove(&placement.specimen).unwrap_or(0);
        claims.same(format_args!("wants: row {}", placement.specimen), stated, usize::from(due));
    }
    for row in wanted.into_keys() {
        claims.refute(format_args!("wants: row {row}"), "a vessel to look for", "no need of one");
    }
}
