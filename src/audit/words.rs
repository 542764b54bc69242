//! What is said in words: wants for the rows that need a vessel, cautions, doubts and default prices where they apply.
//!
//! Sentences are held against the program's own, word for word, so that none is softened, added or left out. What must
//! be said at all is worked out here once more, by a word it cannot do without.

use std::collections::BTreeSet;

use super::claims::Claims;
use super::row;
use crate::options::portions::Lists;
use crate::options::table::{Row, Unknown, undecided};
use crate::options::tank::TankPriceBasis;
use crate::options::treatment::{Route, route};
use crate::options::{Marks, Vessels};
use crate::plan::{Outcome, Plan, Want, cautions, wants};
use crate::project::Project;
use crate::rules::{Family, Fluid, HazardId};
use crate::saved;
use crate::tank::cost;
use crate::units::Money;
use crate::words;

/// Holds wants, and what must be said at all, against the inputs.
pub(super) fn audit(project: &Project, vessels: &Vessels, plan: &Plan) -> Claims {
    let mut of_all = Claims::default();
    let claims = &mut of_all;
    wants(project, vessels, plan, claims);
    for (due, subject) in cautions_due(project, plan) {
        said("cautions", &plan.cautions, due, &subject, |text| text.starts_with(&subject), claims);
    }
    let unpriced = plan.tanks.iter().any(|tank| tank.cost.is_none());
    let unproven = plan.placements.iter().any(|row| row.fit.is_some_and(|fit| fit.marks.unproven));
    let doubtful = plan.placements.iter().any(|row| row.fit.is_some_and(|fit| fit.marks.doubtful_pair));
    let leaning = plan.placements.iter().any(|row| row.fit.is_some_and(|fit| fit.leaning));
    let marked = |mark: fn(Marks) -> bool| plan.placements.iter().any(|row| row.fit.is_some_and(|fit| mark(fit.marks)));
    let specimens = &project.collection.specimens;
    let placed = || plan.placements.iter().filter(|row| row.fluid.is_some() && !plan.waits_for_price(row));
    let assumed = placed().any(|row| specimens[row.specimen].current_fluid.is_none());
    let no_steps = placed().any(|row| route(project, &specimens[row.specimen]) == Route::NotKnown);
    let unmeasured = placed().any(|row| {
        let specimen = &specimens[row.specimen];
        let by_family = specimen.current_fluid.is_some_and(|id| project.rules.fluid(id).present_only);
        by_family && specimen.particulars.current_strength_pct.is_none()
    });
    let due = [
        (unpriced, "unknown price"),
        (unproven, "unproven"),
        (doubtful, "doubtful combination"),
        (unmeasured, "no known strength"),
        (leaning, "lean"),
        (marked(|marks| marks.turned_in), "turned below the neck"),
        (marked(|marks| marks.tight_coil), "open core"),
        (assumed, "present fluid is not stated"),
        (no_steps, "no steps are known"),
        (plan.tanks.iter().any(|tank| tank.price_basis == TankPriceBasis::SharedEstimate), "step after the decision"),
    ];
    for (due, word) in due {
        said("warnings", &plan.warnings, due, word, |text| text.contains(word), claims);
    }
    for line in &plan.make_up {
        let fluid = project.rules.fluid(line.fluid);
        let id = fluid.id.to_lowercase();
        let named = |text: &str| text.starts_with(&id);
        let due = fluid.price_is_default && fluid.price > Money::ZERO;
        said("prices_not_yours", &plan.prices_not_yours, due, &id, named, claims);
    }
    let tank_prices = !cost::defaults_in_use(&project.settings).is_empty();
    let due = tank_prices && plan.tanks.iter().any(|tank| tank.price_basis.is_estimate());
    said("prices_not_yours", &plan.prices_not_yours, due, "tank", |text| text.starts_with("tank"), claims);
    of_all
}

/// Holds cautions, warnings and default prices against the program's own, word for word.
pub(super) fn sentences(project: &Project, plan: &Plan) -> Claims {
    let mut claims = Claims::default();
    one_by_one("cautions", &plan.cautions, &cautions::cautions(project, plan), &mut claims);
    one_by_one("warnings", &plan.warnings, &cautions::warnings(project, plan), &mut claims);
    let default_prices = cautions::prices_not_yours(project, plan);
    one_by_one("prices_not_yours", &plan.prices_not_yours, &default_prices, &mut claims);
    claims
}

/// Cautions by the subject they begin with, in lower case, and whether they are due.
fn cautions_due(project: &Project, plan: &Plan) -> Vec<(bool, String)> {
    let specimens = &project.collection.specimens;
    let used = |wanted: &dyn Fn(&Fluid) -> bool| {
        let of = |id| wanted(project.rules.fluid(id));
        specimens.iter().any(|specimen| of(specimen.fluid) || specimen.current_fluid.is_some_and(of))
    };
    let family = |wanted: Family| used(&|fluid| fluid.is_of(wanted));
    let fixed = [
        (family(Family::Formaldehyde), "formaldehyde"),
        (family(Family::Formaldehyde), "formaldehyde, hydrochloric acid and bleach"),
        (family(Family::Alcohol), "alcohol"),
        (family(Family::Alcohol), "pouring alcohol"),
        (used(&|fluid| fluid.is_of(Family::Glycerol) && !fluid.id.starts_with("propylene-glycol")), "glycerol"),
        (used(&|fluid| fluid.id.starts_with("propylene-glycol")), "propylene glycol"),
        (used(&|fluid| fluid.id == "carnoy"), "chloroform"),
        (used(&|fluid| fluid.family == Family::Oil), "clearing oils"),
        (family(Family::Unknown), "unknown fluid"),
        (!plan.tanks.is_empty(), "tanks"),
        (true, "the safety data sheet"),
    ];
    let named: BTreeSet<HazardId> =
        specimens.iter().flat_map(|specimen| specimen.particulars.known_hazards.iter().copied()).collect();
    let hazards = project.rules.hazards.all();
    // What stands before the colon; that all of it is said, word for word, `sentences` sees to.
    let subject = |words: &str| words.split(':').next().unwrap_or_default().to_lowercase();
    let hazards = hazards.map(|(id, hazard)| (named.contains(&id), subject(&hazard.words)));
    fixed.into_iter().map(|(due, subject)| (due, subject.to_owned())).chain(hazards).collect()
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

/// The vessels to look for, for each row that no vessel takes and that is too small for a tank, or that gets one.
fn wants(project: &Project, vessels: &Vessels, plan: &Plan, claims: &mut Claims) {
    let mut rows = vec![Row::Undecided(Unknown::Fluid); project.collection.specimens.len()];
    let lists = Lists::default();
    for placement in plan.placements.iter().filter(|row| row.outcome == Outcome::NeedsDecision) {
        let specimen = &project.collection.specimens[placement.specimen];
        if specimen.held(&project.rules).is_none() && undecided(project, specimen).is_none() {
            rows[placement.specimen] = Row::Judged(row::judged(project, vessels, &lists, specimen));
        }
    }
    let derived = wants::wants(project, plan, &rows);
    let list = |want: &Want| want.specimens.iter().map(usize::to_string).collect::<Vec<_>>().join(", ");
    for i in 0..plan.wants.len().max(derived.len()) {
        let (stated, derived) = (plan.wants.get(i), derived.get(i));
        claims.shown(format_args!("wants[{i}].rows"), stated.map(list), derived.map(list), String::clone);
        let file = |want: &Want| saved::want_in_file(project, want);
        if stated.map(file) != derived.map(file) {
            let words = |want: Option<&Want>| want.map_or("nothing".into(), |want| words::want(project, want));
            claims.refute(format_args!("wants[{i}].wanted"), words(stated), words(derived));
        }
    }
}

/// Sentences in their order.
fn one_by_one(claim: &str, stated: &[String], derived: &[String], claims: &mut Claims) {
    for i in 0..stated.len().max(derived.len()) {
        claims.shown(format_args!("{claim}[{i}]"), stated.get(i), derived.get(i), |sentence| (*sentence).clone());
    }
}
