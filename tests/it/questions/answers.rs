//! The answers beside a plan: against plans made by hand, through the audit, in memory and read back, and in the files of the folder.

use std::fs;
use std::path::Path;
use std::sync::Arc;

use rehouse::answers_audit::audit;
use rehouse::assign::question::{labour_per_row, question};
use rehouse::assign::{self, evaluate};
use rehouse::decision::{Aim, Level, Status};
use rehouse::inquiry::budget::staircase;
use rehouse::inquiry::questions::ask;
use rehouse::inquiry::{Inquiry, Watch};
use rehouse::options::table::{Row, judge_all};
use rehouse::plan::answers::{Housing, MOST_ROWS, OtherPlace, PlanAnswer, PlanChange, Questions, to_hundredths};
use rehouse::plan::{Plan, plan};
use rehouse::project::Project;
use rehouse::saved::{from_json, to_json};
use rehouse::settings::Seconds;
use rehouse::stock::VesselId;
use rehouse::units::Money;
use rehouse::words::NOT_AUDITED;
use rehouse::words::curve::next_step;

use super::{judged, small_files};
use crate::properties::files::random_files;
use crate::support::{TestProject, rows as lines, sampled, tries_all};

/// The plan of a project with its answers.
pub fn answered(project: &Project, rows: &[Row], asked: Questions) -> Plan {
    let asked_of = question(project, rows);
    let decision = assign::decide(&asked_of);
    let mut plan = plan(project, rows, &asked_of, &decision, labour_per_row(project), Vec::new());
    plan.answers = ask(project, rows, &plan, asked, &|| false).expect("nobody stops it");
    plan.questions = asked;
    plan
}

/// The project with that change made by hand.
fn by_hand(project: &Project, change: PlanChange) -> Project {
    let mut project = project.clone();
    match change {
        PlanChange::UpToPriority(last) => {
            (project.settings.budget, project.settings.litre_weight) = (None, Money::ZERO);
            for lot in project.collection.specimens.iter_mut().filter(|lot| lot.priority > last) {
                Arc::make_mut(&mut lot.particulars).hold = Some("later".to_owned());
            }
        }
        PlanChange::Budget(budget) => project.settings.budget = Some(budget),
        PlanChange::MostKinds(most) => project.settings.max_vessel_types = most,
        PlanChange::MostSuppliers(most) => project.settings.max_suppliers = most,
        PlanChange::NextBudget(budget) => project.settings.budget = Some(budget),
        PlanChange::LitreWeight(weight) => project.settings.litre_weight = weight,
        PlanChange::Waits(row) => {
            Arc::make_mut(&mut project.collection.specimens[row].particulars).hold = Some("later".to_owned());
        }
        PlanChange::Without(id) => {
            project.stock.offers.retain(|offer| offer.vessel != id);
            on_the_shelf(&mut project, id, 0);
        }
        PlanChange::FreePiece(id) => {
            let free = u32::try_from(project.stock.vessel(id).free_pieces()).expect("few");
            on_the_shelf(&mut project, id, free + 1);
        }
    }
    project
}

/// Gives a vessel so many free pieces.
fn on_the_shelf(project: &mut Project, id: VesselId, free: u32) {
    let vessel = &mut project.stock.vessels[id.0 as usize];
    (vessel.on_hand, vessel.on_order, vessel.reserve) = (free, 0, 0);
}

/// The place of a kind of question.
fn kind(change: PlanChange) -> usize {
    match change {
        PlanChange::UpToPriority(_) => 0,
        PlanChange::Budget(_) => 1,
        PlanChange::MostKinds(_) => 2,
        PlanChange::MostSuppliers(_) => 3,
        PlanChange::NextBudget(_) => 4,
        PlanChange::LitreWeight(_) => 5,
        PlanChange::Without(_) => 6,
        PlanChange::FreePiece(_) => 7,
        PlanChange::Waits(_) => 8,
    }
}

fn values(levels: &[Level]) -> Vec<(Aim, i64)> {
    levels.iter().map(|level| (level.aim, level.value)).collect()
}

#[test]
fn answers_are_the_plans_of_the_changed_projects_and_pass_the_audit() {
    let (mut compared, mut elsewhere, mut kinds) = (0, 0, [0; 9]);
    for seed in 0..sampled(40) {
        let files = if seed % 2 == 0 { small_files(seed) } else { random_files(seed) };
        let (project, rows) = judged(&files);
        let plan = answered(&project, &rows, Questions::All);
        assert_eq!(audit(&project, &plan), Vec::new(), "seed {seed}");
        let text = to_json(&project, &plan, &[]);
        let again = from_json(&project, &text).unwrap_or_else(|wrong| panic!("seed {seed}: {wrong:#?}"));
        assert_eq!(audit(&project, &again), Vec::new(), "seed {seed}, read back");
        assert_eq!(to_json(&project, &again, &[]), text, "seed {seed}");
        for answer in plan.answers.iter().filter(|answer| answer.status == Status::ProvedBest) {
            let changed = by_hand(&project, answer.change);
            let asked = question(&changed, &judge_all(&changed));
            let decision = assign::decide(&asked);
            if decision.status == Status::ProvedBest {
                assert_eq!(values(&answer.levels), values(&decision.levels), "seed {seed}: {:?}", answer.change);
                // Weighed money and fluid are those of every best plan, and so is what it costs.
                let found = evaluate::values(&asked, &decision);
                let counted = found.money + asked.limits.labour_per_row * found.placed;
                assert!((answer.money - counted).parts().abs() <= 1000, "seed {seed}: {:?}", answer.change);
                compared += 1;
            }
            kinds[kind(answer.change)] += 1;
            elsewhere += usize::from(!answer.others.is_empty());
        }
    }
    // Few random lots take much of a budget.
    let often = kinds[..8].iter().all(|times| *times > 10) && kinds[8] > 2 && compared > 400 && elsewhere > 100;
    assert!(!tries_all() || often, "{compared} compared, {elsewhere} with lots elsewhere, by kind {kinds:?}");
}

#[test]
fn answers_do_not_depend_on_the_clock_and_a_stop_leaves_none() {
    let (mut project, rows) = judged(&random_files(3));
    let plan = answered(&project, &rows, Questions::Some);
    project.settings.time_limit = Seconds(0.0);
    let without_time = ask(&project, &rows, &plan, Questions::Some, &|| false);
    assert_eq!(without_time.as_ref(), Some(&plan.answers));
    assert!(!plan.answers.is_empty());
    assert_eq!(ask(&project, &rows, &plan, Questions::Some, &|| true), None);
    assert_eq!(ask(&project, &rows, &plan, Questions::None, &|| false), Some(Vec::new()));
}

/// Each wrong in an answer: what it is, and where the audit finds it.
type WrongAnswer = (&'static str, &'static str, fn(&mut Vec<PlanAnswer>));

/// The first answer with lots elsewhere, and the first with other packs.
fn with_others(answers: &mut [PlanAnswer]) -> &mut PlanAnswer {
    answers.iter_mut().find(|answer| !answer.others.is_empty()).expect("lots elsewhere")
}

fn with_packs(answers: &mut [PlanAnswer]) -> &mut PlanAnswer {
    answers.iter_mut().find(|answer| !answer.packs.is_empty()).expect("other packs")
}

const WRONGS: &[WrongAnswer] = &[
    ("a question left out", ".change", |answers| drop(answers.remove(1))),
    ("the last question left out", ".change", |answers| drop(answers.pop())),
    ("a question asked twice", ".change", |answers| answers.push(answers[0].clone())),
    ("another budget", ".change", |answers| {
        let budget =
            answers.iter_mut().find(|answer| matches!(answer.change, PlanChange::Budget(money) if money > Money::ZERO));
        budget.expect("a budget").change = PlanChange::Budget(Money::whole(1));
    }),
    ("less money", "].money", |answers| answers.last_mut().expect("answers").money -= Money::whole(1)),
    ("a worse bound", ".levels[4].bound", |answers| answers[0].levels[4].bound -= Money::whole(1).parts()),
    ("a better value", ".levels[4].value", |answers| answers[0].levels[4].value -= Money::whole(1).parts()),
    ("another status", ".status", |answers| answers[0].status = Status::BestFound),
    ("a lot that waits in its place", "", |answers| with_others(answers).others[0].to = Housing::Waits),
    ("a lot left out", "", |answers| with_others(answers).others.clear()),
    ("a lot twice", ".others[1]", |answers| {
        let others = &mut with_others(answers).others;
        others.insert(1, others[0]);
    }),
    ("a lot that the survey does not have", ".others[0]", |answers| {
        with_others(answers).others.insert(0, OtherPlace { specimen: 99_999, to: Housing::Waits });
    }),
    ("a pack too many", "", |answers| with_packs(answers).packs[0].1 += 1),
    ("packs below nothing", ".packs[0]", |answers| with_packs(answers).packs[0].1 = -1),
    ("packs beyond all counting", "", |answers| with_packs(answers).packs[0].1 = i64::MAX),
    ("an offer that the stock list does not have", ".packs[", |answers| with_packs(answers).packs.push((99_999, 1))),
];

#[test]
fn every_wrong_in_an_answer_is_found_at_its_place() {
    let (project, rows) = judged(&random_files(5));
    let plan = answered(&project, &rows, Questions::Some);
    assert_eq!(audit(&project, &plan), Vec::new());
    for (what, place, make) in WRONGS {
        let mut wrong = plan.clone();
        make(&mut wrong.answers);
        let findings = audit(&project, &wrong);
        let found =
            findings.iter().any(|finding| finding.path().starts_with("answers[") && finding.path().contains(place));
        assert!(found, "{what}: {findings:#?}");
    }
    let fewer = Plan { questions: Questions::None, ..plan.clone() };
    assert!(audit(&project, &fewer)[0].derived.contains("no further question"));
    let more = Plan { questions: Questions::All, ..plan };
    assert!(!audit(&project, &more).is_empty());
}

#[test]
fn a_changed_figure_of_an_answer_of_any_kind_is_found_in_that_answer() {
    let mut seen = [0; 9];
    for seed in 0..sampled(24) {
        let (project, rows) = judged(&small_files(seed));
        let plan = answered(&project, &rows, Questions::All);
        for at in 0..plan.answers.len() {
            let kind = kind(plan.answers[at].change);
            // A few of each kind.
            if seen[kind] >= 2 {
                continue;
            }
            seen[kind] += 1;
            let changes: [fn(&mut PlanAnswer); 5] = [
                |answer| answer.money += Money::from_parts(Money::PER_UNIT / 100),
                |answer| answer.deferred[3] += 1,
                |answer| answer.levels[4].value -= Money::from_parts(Money::PER_UNIT / 100).parts(),
                |answer| answer.levels[5].value += 1,
                |answer| {
                    let level = &mut answer.levels[5];
                    (level.value, level.bound) = (level.value - 1, level.bound - 1);
                },
            ];
            for (number, change) in changes.into_iter().enumerate() {
                let mut wrong = plan.clone();
                change(&mut wrong.answers[at]);
                let findings = audit(&project, &wrong);
                // Where a question that follows from the figure is another one, that is found first.
                let found = findings.iter().any(|finding| finding.path().starts_with("answers["));
                assert!(found, "seed {seed}, answer {at} of kind {kind}, change {number}");
            }
        }
    }
    assert!(!tries_all() || seen[..8].iter().all(|times| *times >= 2), "{seen:?}");
}

#[test]
fn the_next_step_of_the_answers_is_that_of_the_staircase() {
    let (mut compared, mut least) = (0, 0);
    for seed in 0..sampled(80) {
        let (mut project, rows) = judged(&small_files(seed));
        let mut watch = Watch { report: &mut |_| {}, stop: &|| false };
        let curve = staircase(&mut Inquiry::about(&project, &rows), 500, &mut watch);
        if !curve.whole || curve.points.len() < 3 {
            continue;
        }
        // A budget between two steps, in whole hundredths.
        let steps: Vec<Money> = curve.points.iter().map(|point| to_hundredths(point.budget)).collect();
        let (now, next) = (steps[1], steps[2]);
        project.settings.budget = Some(now);
        let rows = judge_all(&project);
        let plan = answered(&project, &rows, Questions::All);
        let Some(said) = next_step(&project, &plan) else { panic!("seed {seed}: a step at {}", next.text()) };
        compared += 1;
        let expected = format!("For {} more, and no less, ", (next - now).on_screen());
        if said.starts_with(&expected) {
            least += 1;
        } else {
            // Too many steps lie between, and this is one of them.
            assert!(!said.contains("no less"), "seed {seed}: {said}, not {expected}");
        }
    }
    assert!(!tries_all() || (compared > 20 && least * 10 > compared * 9), "{least} of {compared}");
}

#[test]
fn answers_about_a_large_survey_claim_nothing_and_say_so() {
    let mut files = small_files(1);
    let lot = files.survey[0].clone();
    for number in 0..=MOST_ROWS {
        let mut lot = lot.clone();
        lot.insert("catalogNumber".to_owned(), format!("N{number}"));
        files.survey.push(lot);
    }
    let (project, rows) = judged(&files);
    let plan = answered(&project, &rows, Questions::Some);
    assert!(!plan.answers.is_empty());
    for answer in &plan.answers {
        assert_eq!(answer.status, Status::BestFound);
        assert!(answer.levels.iter().all(|level| !level.proved()));
    }
    assert_eq!(audit(&project, &plan), Vec::new());
    let text = to_json(&project, &plan, &[]);
    assert_eq!(from_json(&project, &text).expect("it is read back").answers.len(), plan.answers.len());
    let report = rehouse::report::html::report(&project, &plan, &[]);
    let report = String::from_utf8(report).expect("text");
    let section = report.split("<section id=\"money\">").nth(1).expect("the section");
    assert!(section.contains(NOT_AUDITED));
    // `why` says so too, beside the prices of other places.
    let case = files.texts().into_iter().fold(TestProject::new(), |case, (name, text)| case.file(&name, text));
    let (project, vessel) = (case.project(), project.stock.vessels[0].id.clone());
    let why = ["why", "N7", "--instead", &vessel, "--instead", "wait", "--in"].map(Path::new);
    let said = TestProject::run(&[&why[..], &[&project]].concat());
    assert_eq!(said.code, 0, "{}", said.stderr);
    assert!(said.stdout.contains(NOT_AUDITED), "{}", said.stdout);
}

/// A plan of the demonstration in a folder of its own.
fn planned(more: &[&str]) -> (tempfile::TempDir, std::path::PathBuf, String) {
    let out = tempfile::tempdir().expect("a folder");
    let dir = out.path().join("plan");
    let plan = ["plan", "demo-data", "--out"].map(Path::new);
    let ran = TestProject::run(&[&plan[..], &[&dir], &more.iter().map(Path::new).collect::<Vec<_>>()].concat());
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    (out, dir, ran.stdout)
}

#[test]
fn the_folder_of_the_demo_has_the_curve_as_the_command_writes_it_and_the_report_shows_it() {
    let (_kept, dir, screen) = planned(&[]);
    let curve = lines(&fs::read(dir.join("curve.csv")).expect("curve.csv"));
    let command = ["curve", "demo-data", "--steps", "12", "--format", "csv"].map(Path::new);
    let command = lines(TestProject::run(&command).stdout.as_bytes());
    assert_eq!(curve.len(), command.len());
    let report = fs::read_to_string(dir.join("report.html")).expect("report.html");
    let section = report.split("<section id=\"money\">").nth(1).and_then(|rest| rest.split("</section>").next());
    let section = section.expect("the section");
    for (line, other) in curve.iter().zip(&command) {
        for column in ["budget", "placed", "placed_1", "placed_4", "gained_lots", "lost_lots", "status"] {
            assert_eq!(line[column], other[column], "{column} at {}", line["budget"]);
        }
        assert!(section.contains(&line["budget"]), "{}", line["budget"]);
    }
    for dash in ["step-1", "step-2", "step-3", "step-4"] {
        assert!(section.contains(&format!("<polyline class=\"{dash}\"")), "{dash}");
    }
    assert!(section.contains("the total falls from"), "a fall is explained");
    // What the next budget buys, on the screen and in the report: exactly, and so less than the next that was tried.
    let budget = |line: &crate::support::CsvRow| line["budget"].parse::<f64>().expect("money");
    let next = curve
        .iter()
        .find(|line| budget(line) > 1950.0 && line["deferred_4"].parse::<i64>().expect("lots") < 6)
        .expect("a budget");
    let exact = next["money"].parse::<f64>().expect("money");
    let said =
        format!("For {:.2} more, and no less, 1 more lot of priority 4", (exact * 100.0).ceil() / 100.0 - 1950.0);
    assert!(screen.contains(&said) && section.contains(&said), "{said}: {screen}");
    assert!(
        screen
            .contains("Of the vessels in use jar-250-ptfe is worth most: without it 1 more lot has no place (proved).")
    );
    // The other files, with a section each.
    let fluid = lines(&fs::read(dir.join("curve-fluid.csv")).expect("curve-fluid.csv"));
    assert!(fluid.len() > 4 && fluid.iter().all(|line| line["proved"] == "yes"));
    let sizes = lines(&fs::read(dir.join("sizes.csv")).expect("sizes.csv"));
    for (id, file, column) in [("litres", &fluid, "litres"), ("worth", &sizes, "vessel")] {
        let section =
            report.split(&format!("<section id=\"{id}\">")).nth(1).and_then(|rest| rest.split("</section>").next());
        let section = section.expect("the section");
        assert!(section.contains("<svg") && section.contains("<table"), "{id}");
        for line in file {
            assert!(section.contains(line[column].trim_end_matches('0')), "{id}: {}", line[column]);
        }
        assert!(report.contains(&format!("<a href=\"#{id}\"")), "{id} is in the contents");
    }
    let suppliers = lines(&fs::read(dir.join("curve-suppliers.csv")).expect("curve-suppliers.csv"));
    assert_eq!(suppliers.last().map(|line| line["used"].as_str()), Some("4"));
}

#[test]
fn questions_are_asked_only_where_they_are_kept() {
    let has_answers = |dir: &Path| {
        let text = fs::read_to_string(dir.join("plan.json")).expect("plan.json");
        assert_eq!(text.contains("\"questions\": \"some\""), dir.join("curve.csv").exists());
        dir.join("curve.csv").exists()
    };
    let (_kept, dir, screen) = planned(&["--questions", "none"]);
    assert!(!has_answers(&dir) && !screen.contains(" more, 1 more lot"), "{screen}");
    assert!(!fs::read_to_string(dir.join("report.html")).expect("a report").contains("id=\"money\""));
    let (_kept, dir, _) = planned(&["--papers", "none"]);
    assert!(!has_answers(&dir));
    let (_kept, dir, _) = planned(&["--papers", "none", "--questions", "some"]);
    assert!(has_answers(&dir));
    let ran = TestProject::run(&[Path::new("audit"), &dir]);
    assert_eq!(ran.code, 0, "{}", ran.stdout);
}
