//! What else a lot could have: prices against plans made by hand with `must_use`, and against every plan of small projects.

use rehouse::assign;
use rehouse::assign::evaluate::values;
use rehouse::assign::question::question;
use rehouse::collection::VesselChoice;
use rehouse::decision::{Aim, Decision, Status};
use rehouse::inquiry::instead::{Follows, Housing, elsewhere, housings, instead};
use rehouse::inquiry::{Inquiry, Watch};
use rehouse::options::table::judge_all;
use rehouse::project::Project;
use serde_json::{Value, json};

use super::{judged, small_files};
use crate::decision_oracle::reference;
use crate::support::{TestProject, sampled, tries_all};

fn watch<T>(look: impl FnOnce(&mut Watch) -> T) -> T {
    look(&mut Watch { report: &mut |_| {}, stop: &|| false })
}

/// Lots that wait by priority, weighed money, fluid.
fn levels(values: &assign::evaluate::Values) -> [i64; 6] {
    Aim::STRICT.map(|aim| values.of(aim))
}

/// The demonstration with `must_use` of a lot in the survey file.
fn by_hand(number: &str, must_use: &str) -> Project {
    let survey = std::fs::read_to_string("demo-data/specimens.csv").expect("the survey");
    let mut lines = survey.lines();
    let header = lines.next().expect("a header");
    let place = |name: &str| header.split(',').position(|column| column == name).expect("a column");
    let (key, pin) = (place("catalogNumber"), place("must_use"));
    let changed = lines.map(|line| {
        let mut cells: Vec<&str> = line.split(',').collect();
        if cells[key] == number {
            assert!(!line.contains('"'), "{number}: a line that is easily taken apart");
            cells[pin] = must_use;
        }
        cells.join(",")
    });
    let changed: Vec<String> = std::iter::once(header.to_owned()).chain(changed).collect();
    let mut case = TestProject::new().file("specimens.csv", changed.join("\n"));
    for file in ["vessels.csv", "suppliers.csv", "settings.toml", "fluid-stock.csv"] {
        case = case.file(file, std::fs::read(format!("demo-data/{file}")).expect("its text"));
    }
    rehouse::read(&case.project()).unwrap_or_else(|wrong| panic!("{number}: {wrong:#?}")).project
}

#[test]
fn prices_on_the_demo_are_those_of_must_use_by_hand() {
    let project = rehouse::read("demo-data".as_ref()).expect("the demonstration").project;
    let rows = judge_all(&project);
    let mut inquiry = Inquiry::about(&project, &rows);
    let plan = watch(|watch| inquiry.decide(watch));
    let (mut compared, mut changed) = (0, 0);
    for number in ["A0302", "P0056", "H0102", "I0275"] {
        let row = project.collection.specimens.iter().position(|lot| lot.key.catalog_number == number);
        let row = row.expect("a lot of the demonstration");
        let to = elsewhere(&inquiry, row, &plan);
        assert_eq!(to.last(), Some(&Housing::Waits), "{number}");
        let vessels: Vec<Housing> = to.into_iter().filter(|housing| *housing != Housing::Waits).take(3).collect();
        for found in watch(|watch| instead(&mut inquiry, row, &plan, &vessels, watch)) {
            let Housing::In(VesselChoice::Listed(id)) = found.housing else { panic!("{number}: a listed vessel") };
            let Follows::Plan(other) = found.follows else { panic!("{number}: a suitable vessel") };
            let by_hand = by_hand(number, &project.stock.vessel(id).id);
            let asked = question(&by_hand, &judge_all(&by_hand));
            let decision = assign::decide(&asked);
            assert_eq!((other.status, decision.status), (Status::ProvedBest, Status::ProvedBest));
            assert_eq!(levels(&other.values), levels(&values(&asked, &decision)), "{number}: {found:?}", found = id);
            compared += 1;
            changed += usize::from(!other.others.is_empty());
        }
    }
    assert!(compared >= 8 && changed >= 2, "{compared} compared, {changed} with other lots that move");
    // Asking changes nothing.
    assert_eq!(watch(|watch| inquiry.decide(watch)).chosen, plan.chosen);
}

#[test]
fn prices_of_small_projects_are_those_of_enumeration() {
    let (mut plans, mut waits, mut no_piece) = (0, 0, 0);
    for seed in 0..sampled(40) {
        let files = small_files(seed);
        let (project, rows) = judged(&files);
        let mut inquiry = Inquiry::about(&project, &rows);
        let plan: Decision = watch(|watch| inquiry.decide(watch));
        for row in 0..rows.len() {
            let to = elsewhere(&inquiry, row, &plan);
            for found in watch(|watch| instead(&mut inquiry, row, &plan, &to, watch)) {
                let Follows::Plan(other) = found.follows else {
                    panic!("seed {seed}: {:?} is an option", found.housing)
                };
                let mut by_hand = files.clone();
                let cell = match found.housing {
                    Housing::In(VesselChoice::Listed(id)) => ("must_use", project.stock.vessel(id).id.clone()),
                    Housing::In(VesselChoice::Tank) => ("must_use", "@tank".to_owned()),
                    Housing::Waits => ("hold", "waits".to_owned()),
                };
                by_hand.survey[row].insert(cell.0.to_owned(), cell.1);
                let (changed, judged) = judged(&by_hand);
                let mut best = reference::best(&question(&changed, &judged));
                if found.housing == Housing::Waits {
                    best[usize::from(project.collection.specimens[row].priority) - 1] += 1;
                    assert_eq!(other.got, Housing::Waits);
                    waits += 1;
                }
                assert_eq!(levels(&other.values), best, "seed {seed}, row {row}: {:?}", found.housing);
                assert!(other.got == found.housing || other.got == Housing::Waits);
                no_piece += usize::from(other.got != found.housing);
                plans += 1;
            }
        }
        let lots: usize = inquiry.question().classes.iter().map(|class| class.members.len()).sum();
        assert_eq!(housings(&inquiry, &plan).len(), lots, "seed {seed}");
    }
    let enough = plans > 150 && waits > 40 && no_piece > 5;
    assert!(!tries_all() || enough, "{plans} plans, {waits} to wait, {no_piece} without a piece");
}

fn why(options: &[&str]) -> (i32, String, String) {
    let words = [&["why", "--in", "demo-data"], options].concat();
    let ran = assert_cmd::cargo::cargo_bin_cmd!("rehouse").args(words).output().expect("it runs");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (ran.status.code().unwrap_or(-1), text(&ran.stdout), text(&ran.stderr))
}

#[test]
fn why_prices_what_it_is_asked_and_says_how_many_it_did_not() {
    let named = ["--instead", "acrylic-250x180x260", "--instead", "wait", "--instead", "museum-150x80x200"];
    let (code, out, _) = why(&[&["A0302", "--format", "json"], &named[..]].concat());
    assert_eq!(code, 0);
    let answer: Value = serde_json::from_str(&out).expect("JSON");
    let lot = &answer["lots"][0];
    assert_eq!(lot["goes"], json!("acrylic-180x120x200"));
    let told: Vec<(&str, &str)> = (lot["instead"].as_array().expect("a list").iter())
        .map(|it| (it["instead"].as_str().expect("a name"), it["follows"].as_str().expect("a word")))
        .collect();
    assert_eq!(told, [("acrylic-250x180x260", "plan"), ("wait", "plan"), ("museum-150x80x200", "refused")]);
    assert_eq!((&lot["instead"][2]["rule"], &lot["instead"][2]["shortfall"]), (&json!("mouth"), &json!("5.8")));
    // Money of the whole plan and the difference agree.
    let money = |value: &Value| value.as_str().expect("money").parse::<f64>().expect("a number");
    let other = &lot["instead"][0];
    let more = money(&other["money"]) - money(&answer["plan"]["money"]);
    assert!((more - money(&other["money_more"])).abs() < 0.000_05);
    let (_, screen, _) = why(&[&["A0302"], &named[..]].concat());
    assert!(screen.contains(&format!("{more:+.2}")), "{screen}");
    assert!(!screen.contains("Refused, nearest miss first"), "{screen}");
    let (_, all, _) = why(&["P0010"]);
    assert!(all.contains("Refused, nearest miss first") && all.contains("Instead: what it does to the whole plan"));
    let hint = all.split("Instead: ").nth(1).expect("prices");
    assert!(hint.contains(" more: `rehouse why WDLM:PIS:P0010 --instead VESSEL` prices any of them"), "{hint}");
}

#[test]
fn a_tank_has_the_name_under_which_it_is_asked_for() {
    let (code, out, told) = why(&["A0302", "--instead", "@tank", "--format", "json"]);
    assert_eq!(code, 0, "{told}");
    let answer: Value = serde_json::from_str(&out).expect("JSON");
    assert_eq!(answer["lots"][0]["instead"][0]["instead"], json!("@tank"));
}

#[test]
fn places_that_are_not_there_are_named_with_a_cure() {
    let (code, out, told) = why(&["A0302", "--instead", "acrylic-250x180x206"]);
    assert_eq!((code, out.as_str()), (2, ""));
    assert!(told.contains("acrylic-250x180x206: no such vessel in the stock list"), "{told}");
    let (_, _, told) = why(&["A0302", "--instead", "zzzzzzzz"]);
    assert!(told.contains("name a vessel of the stock list, @tank or wait"), "{told}");
}
