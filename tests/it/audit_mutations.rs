//! A correct plan passes the audit. Each of many single wrongs is found, at its place.

mod cells;
mod fluids;
mod leaves;
mod papers;
mod random;
mod rows;
pub mod scenes;
pub mod sharing;
mod whole;

use std::sync::Arc;

use rehouse::audit::audit;
use rehouse::collection::Particulars;
use rehouse::decision::{Proof, Status};
use rehouse::plan::Plan;
use rehouse::project::Project;
use rehouse::saved::{from_json, to_json};
use rehouse::settings::Percent;
use rehouse::tank::seams::SeamClass;
use rehouse::{assign, options, plan};

/// A wrong: its name, the claim that the audit must report, and the change that makes it.
pub type Wrong = (&'static str, &'static str, fn(&mut Project, &mut Plan));

/// A project and the plan that the program makes of it.
pub fn planned(project: Project) -> (Project, Plan) {
    planned_until(project, &|| false)
}

/// Like [`planned`], with the search stopped as soon as `stop` returns true.
pub fn planned_until(project: Project, stop: &dyn Fn() -> bool) -> (Project, Plan) {
    let rows = options::table::judge_all(&project);
    let assign::Answered { question, decision } = assign::decide_rows(&project, &rows, &mut |_| {}, stop);
    let labour = assign::question::labour_per_row(&project);
    let plan = plan::plan(&project, &rows, &question, &decision, labour, Vec::new());
    (project, plan)
}

/// The particulars of a row, to be changed.
fn particulars(project: &mut Project, row: usize) -> &mut Particulars {
    Arc::make_mut(&mut project.collection.specimens[row].particulars)
}

/// Makes each wrong by itself and expects the audit to report its claim.
fn each_is_found(scene: Project, wrongs: &[Wrong]) {
    let (project, plan) = planned(scene);
    assert_eq!(audit(&project, &plan), Vec::new(), "the plan is correct to begin with");
    let missed: Vec<String> = wrongs
        .iter()
        .filter_map(|(what, claim, make)| {
            let (mut project, mut plan) = (project.clone(), plan.clone());
            make(&mut project, &mut plan);
            let findings = audit(&project, &plan);
            let found = findings.iter().any(|finding| finding.path().starts_with(claim));
            (!found).then(|| format!("{what}: no finding on {claim} in {findings:#?}"))
        })
        .collect();
    assert!(missed.is_empty(), "{} of {} missed:\n{}", missed.len(), wrongs.len(), missed.join("\n"));
}

#[test]
fn a_correct_plan_has_no_findings() {
    for scene in [scenes::every_outcome(), scenes::divided_lot(), scenes::treated()] {
        let (project, plan) = planned(scene);
        assert_eq!(audit(&project, &plan), Vec::new());
    }
}

#[test]
fn a_finding_states_the_value_in_the_plan_and_the_value_from_the_inputs() {
    let (project, mut plan) = planned(scenes::every_outcome());
    plan.totals.held += 1;
    let findings: Vec<String> = audit(&project, &plan).iter().map(ToString::to_string).collect();
    assert_eq!(findings, ["totals.held: the plan states 3, the inputs give 2"]);
}

#[test]
fn a_finding_names_vessels_suppliers_and_lots_and_never_prints_what_only_a_program_reads() {
    let said = |change: &dyn Fn(&mut Plan)| {
        let (project, mut plan) = planned(scenes::every_outcome());
        change(&mut plan);
        audit(&project, &plan).iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
    };
    let twice = said(&|plan| plan.purchases.insert(0, plan.purchases[0].clone()));
    assert!(
        twice.contains("JAR-50 from Alder Glass again, the inputs give each offer of a supplier in one line"),
        "{twice}"
    );
    let without_pane = said(&|plan| {
        plan.sheets[0].panes.pop();
    });
    assert!(
        without_pane.contains("sheets: C-01, ") && without_pane.contains("the plan states 1 too few"),
        "{without_pane}"
    );
    let outside = said(&|plan| plan.placements[2].specimen = 77);
    assert!(outside.contains("the plan states entry 78 of a list, the inputs give a list of 14 entries"), "{outside}");
    let other_lid = said(&|plan| plan.tanks[0].design.as_mut().expect("a design").seam_class = SeamClass::Low);
    assert!(other_lid.contains("the same words with other figures behind them"), "{other_lid}");
    for text in [twice, without_pane, outside, other_lid] {
        assert!(!text.contains("Some(") && !text.contains(" { "), "{text}");
    }
}

#[test]
fn a_lower_but_true_bound_is_no_finding() {
    let (project, mut plan) = planned(scenes::every_outcome());
    let money = &mut plan.levels[4];
    (money.bound, money.proof) = (money.value / 2, Proof::None);
    // The fluid level has a bound only where the money level is proved.
    (plan.levels[5].bound, plan.levels[5].proof) = (0, Proof::None);
    plan.status = Status::BestFound;
    assert_eq!(audit(&project, &plan), Vec::new());
}

#[test]
fn a_gap_that_only_rounding_widens_is_no_finding() {
    let (mut project, mut plan) = planned(scenes::every_outcome());
    let money = &mut plan.levels[4];
    // A bound just above a whole last decimal: the file shows the decimal below it.
    money.bound = money.value / 2000 * 1000 + 999;
    money.proof = Proof::None;
    let gap = (money.value - money.bound) as f64 / money.value as f64;
    // The fluid level has a bound only where the money level is proved.
    (plan.levels[5].bound, plan.levels[5].proof) = (0, Proof::None);
    plan.status = Status::WithinGap;
    project.settings.gap_pct = Percent(100.0 * gap + 1e-9);
    let saved = |plan: &Plan| from_json(&project, &to_json(&project, plan, &[])).unwrap();
    assert!(rehouse::saved::gap(&project, &plan) > project.settings.gap_pct.ratio());
    assert_eq!(audit(&project, &plan), Vec::new());
    assert_eq!(audit(&project, &saved(&plan)), Vec::new());
    plan.levels[4].bound -= 3000;
    for wider in [saved(&plan), plan] {
        let findings = audit(&project, &wider);
        assert!(findings.iter().any(|finding| finding.claim == "status"), "{findings:#?}");
    }
}

#[test]
fn every_wrong_row_is_found() {
    each_is_found(scenes::every_outcome(), rows::EVERY_OUTCOME);
    each_is_found(scenes::divided_lot(), rows::DIVIDED_LOT);
    each_is_found(scenes::treated(), fluids::TREATED);
}

#[test]
fn every_wrong_in_sizes_that_tanks_share_is_found() {
    each_is_found(sharing::shared_sizes(), sharing::SHARED_SIZES);
}

#[test]
fn every_wrong_purchase_sum_level_and_word_is_found() {
    each_is_found(scenes::every_outcome(), whole::EVERY_OUTCOME);
    each_is_found(scenes::divided_lot(), whole::DIVIDED_LOT);
}

#[test]
fn a_plan_of_another_project_is_found_wrong_without_a_panic() {
    let (ours, ours_plan) = planned(scenes::every_outcome());
    let (theirs, theirs_plan) = planned(scenes::divided_lot());
    let nothing = Project { rules: ours.rules.clone(), ..Project::default() };
    for (project, plan) in [(&ours, &theirs_plan), (&theirs, &ours_plan), (&nothing, &ours_plan)] {
        assert!(!audit(project, plan).is_empty());
    }
    assert!(!audit(&ours, &Plan::default()).is_empty());
}
