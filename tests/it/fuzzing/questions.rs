//! What must hold of the planner's questions, whatever the project.

use std::sync::atomic::{AtomicUsize, Ordering};

use rehouse::answers_audit::audit;
use rehouse::comparison::{ProjectPlan, compare};
use rehouse::decision::Decision;
use rehouse::inquiry::questions::ask;
use rehouse::inquiry::{Inquiry, Watch, budget, fluid, instead, kept, limits, listed, threshold};
use rehouse::options::table::Row;
use rehouse::plan::{Plan, Questions};
use rehouse::project::Project;
use rehouse::report;
use rehouse::report::comparison::Compared;
use rehouse::saved::{from_json, to_json};

/// How often the search of one answer may ask whether it is to stop before it is told so.
const MOST_ASKED: usize = 2_000;
/// How often the searches of all answers beside a plan may ask.
const MOST_ASKED_IN_ALL: usize = 40_000;
/// Most points of a curve.
const MOST_POINTS: u32 = 6;

/// Answers beside a plan that the audit finds nothing wrong with, that read back to themselves, and papers of all other answers.
pub fn answered(project: &Project, rows: &[Row], decision: &Decision, mut plan: Plan) -> Result<(), String> {
    let asked = AtomicUsize::new(0);
    let stop = || asked.fetch_add(1, Ordering::Relaxed) > MOST_ASKED_IN_ALL;
    if let Some(answers) = ask(project, rows, &plan, Questions::Some, &stop) {
        (plan.questions, plan.answers) = (Questions::Some, answers);
    }
    if let Some(finding) = audit(project, &plan).first() {
        return Err(format!("the audit of the answers finds: {finding}"));
    }
    let json = to_json(project, &plan, &[]);
    let again = from_json(project, &json).map_err(|wrong| format!("plan.json is refused: {}", wrong[0]))?;
    if to_json(project, &again, &[]) != json {
        return Err("plan.json is read as another plan".to_owned());
    }
    if let Some(finding) = audit(project, &again).first() {
        return Err(format!("the audit of plan.json finds: {finding}"));
    }
    let page = report::html::report(project, &plan, &[]);
    std::str::from_utf8(&page).map_err(|_| "the report is no text".to_owned())?;
    compared_with_itself(project, &plan)?;
    curves(project, rows);
    sizes(project, rows);
    of_a_lot(project, rows, decision);
    Ok(())
}

/// A plan does not differ from itself.
fn compared_with_itself(project: &Project, plan: &Plan) -> Result<(), String> {
    let side = || ProjectPlan { project, plan };
    let comparison = compare(side(), side()).map_err(|_| "two currencies".to_owned())?;
    if let Some(line) = comparison.money.iter().find(|line| line.differs()) {
        return Err(format!("a plan differs from itself: {line:?}"));
    }
    if !comparison.inputs.is_empty() {
        return Err("inputs differ from themselves".to_owned());
    }
    let compared = Compared { comparison: &comparison, names: ["old", "new"], versions: [None, None] };
    let pages = [compared.text().into_bytes(), compared.csv(), compared.json().into_bytes(), compared.page()];
    if pages.iter().any(|page| std::str::from_utf8(page).is_err()) {
        return Err("a page of a comparison is no text".to_owned());
    }
    Ok(())
}

/// A search that ends after some work.
fn within<R>(search: impl FnOnce(&mut Watch) -> R) -> R {
    let asked = AtomicUsize::new(0);
    let stop = || asked.fetch_add(1, Ordering::Relaxed) > MOST_ASKED;
    search(&mut Watch { report: &mut |_| {}, stop: &stop })
}

fn curves(project: &Project, rows: &[Row]) {
    let mut inquiry = Inquiry::about(project, rows);
    let curve = within(|watch| match budget::is_short(&inquiry) {
        true => budget::staircase(&mut inquiry, MOST_POINTS, watch),
        false => budget::spread(&mut inquiry, MOST_POINTS, watch),
    });
    let _ = report::curve::budget::text(project, &curve, None);
    let _ = (report::curve::budget::csv(project, &curve, &[]), report::curve::budget::json(project, &curve, &[]));
    for of in [limits::LimitOf::Kinds, limits::LimitOf::Suppliers] {
        let mut inquiry = Inquiry::about(project, rows);
        let curve = within(|watch| limits::limit_curve(&mut inquiry, of, MOST_POINTS, watch));
        let _ = report::curve::limits::text(project, &curve, None);
        let _ = (report::curve::limits::csv(&curve, &[]), report::curve::limits::json(project, &curve, &[]));
    }
    let inquiry = Inquiry::about(project, rows);
    let curve = within(|watch| fluid::fluid_curve(inquiry.question(), MOST_POINTS, watch));
    let _ = report::curve::fluid::text(project, &curve, None);
    let _ = (report::curve::fluid::csv(&curve, &[]), report::curve::fluid::json(project, &curve, &[]));
}

fn sizes(project: &Project, rows: &[Row]) {
    let inquiry = Inquiry::about(project, rows);
    let worth = within(|watch| listed::listed(&inquiry, watch));
    let _ = report::sizes::listed::text(project, &worth, None);
    let _ = (report::sizes::listed::csv(project, &worth, &[]), report::sizes::listed::json(project, &worth, &[]));
    // The command refuses the rest.
    if project.settings.spare_pct.0 == 0.0 && project.settings.max_vessel_types.is_none() {
        let kinds = within(|watch| kept::kept(&inquiry, 2, watch));
        let _ = report::sizes::kept::text(project, &kinds, None);
        let _ = (report::sizes::kept::csv(project, &kinds, &[]), report::sizes::kept::json(project, &kinds, &[]));
    }
}

/// Another place for the first lot, and what would change its place.
fn of_a_lot(project: &Project, rows: &[Row], decision: &Decision) {
    if rows.is_empty() {
        return;
    }
    let mut inquiry = Inquiry::about(project, rows);
    let to = instead::elsewhere(&inquiry, 0, decision);
    let other = within(|watch| instead::instead(&mut inquiry, 0, decision, &to, watch));
    let goes = instead::housings(&inquiry, decision).get(&0).copied();
    let asked = AtomicUsize::new(0);
    let stop = || asked.fetch_add(1, Ordering::Relaxed) > MOST_ASKED;
    let thresholds = threshold::thresholds(&inquiry, 0, decision, &stop);
    let _ = (report::threshold::text(project, &thresholds), report::threshold::json(project, &thresholds));
    let lots = [report::instead::LotInstead { row: 0, goes, other, not_asked: 0, thresholds: Some(thresholds) }];
    let elsewhere = report::instead::Elsewhere::of(project, &inquiry, decision, &lots);
    let _ = (elsewhere.text(&lots[0]), elsewhere.csv(&[]), elsewhere.json(&[]));
}
