//! Curves of kinds and suppliers: a published problem to the last digit, and small projects against every plan.

use rehouse::assign::question::question;
use rehouse::decision::{Limits, Status};
use rehouse::inquiry::limits::{LimitCurve, LimitOf, limit_curve};
use rehouse::inquiry::{Inquiry, Watch};
use serde_json::json;

use super::{answered, judged, ran, small_files};
use crate::decision_oracle::reference;
use crate::published_optima::{fixed_costs, opening, project, serving, serving_costs};
use crate::support::{TestProject, rows, sampled, tries_all};

/// Least cost of cap71 with at most 1, 2, … suppliers; the last is the published optimum.
const FRONT: [&str; 11] = [
    "1248142.90",
    "1083499.925",
    "1003841.375",
    "982476.975",
    "970641.45",
    "960808.1625",
    "951234.3625",
    "944099.6125",
    "937799.40",
    "933876.30",
    "932615.75",
];

#[test]
fn cap71_by_number_of_suppliers_is_the_front_of_enumeration_to_the_last_digit() {
    let (costs, fixed) = (serving_costs(), fixed_costs("cap71"));
    let mut least = [f64::INFINITY; 17];
    for open in 1..1 << 16_usize {
        let cost = opening(&fixed, open) + serving(&costs, open).iter().sum::<f64>();
        let number = open.count_ones() as usize;
        least[number] = least[number].min(cost);
    }
    let curve = answered(&project("cap71"), "curve", &["--of", "suppliers"]);
    let points = curve["points"].as_array().expect("points");
    assert_eq!(points.iter().map(|point| &point["money"]).collect::<Vec<_>>(), FRONT);
    assert_eq!(curve["whole"], json!(true));
    for (at, point) in points.iter().enumerate() {
        let stated: f64 = FRONT[at].parse().expect("a number");
        assert!((stated - least[at + 1]).abs() < 0.000_05, "{stated}, by enumeration {}", least[at + 1]);
        assert_eq!((&point["at_most"], &point["used"]), (&json!(at + 1), &json!(at + 1)));
        assert_eq!((&point["status"], &point["deferred"]), (&json!("proved best"), &json!([0, 0, 0, 0])));
        let levels = point["levels"].as_array().expect("levels");
        assert_eq!(levels.len(), 6);
        for level in levels {
            assert_eq!((&level["proof"], &level["bound"]), (&json!("recomputed"), &level["value"]), "{level}");
        }
    }
    assert!(least[12..].iter().all(|cost| *cost > least[11]), "a twelfth saves nothing");
}

#[test]
fn the_file_says_what_the_screen_and_the_json_say() {
    let case = project("cap71");
    let file = case.project().with_file_name("curve.csv");
    let asked = ["--of", "suppliers", "--steps", "3"];
    let written = ran(&case, "curve", &[&asked[..], &["--out", file.to_str().expect("a name")]].concat());
    assert_eq!(written.code, 0, "{}", written.stderr);
    let table = rows(&std::fs::read(&file).expect("curve.csv"));
    let printed = ran(&case, "curve", &[&asked[..], &["--format", "csv"]].concat());
    assert_eq!(rows(printed.stdout.as_bytes()), table);
    assert_eq!(table.iter().map(|line| line["money"].as_str()).collect::<Vec<_>>(), FRONT[..3]);
    assert!(written.stdout.contains("Ended after 3 lines: more are to be had with --steps 12."), "{}", written.stdout);
    for line in &table {
        let shown = written.stdout.lines().find(|shown| shown.trim_start().starts_with(&line["at_most"]));
        let money: f64 = line["money"].parse().expect("a number");
        assert!(shown.is_some_and(|shown| shown.contains(&format!("{money:.2}"))), "{}", written.stdout);
    }
}

/// The curve of small projects, each point against enumeration; more curves than `enough` have several points.
fn against_every_plan(of: LimitOf, enough: usize, limited: impl Fn(&mut Limits, Option<u32>)) {
    let (mut points, mut falls) = (0, 0);
    for seed in 0..sampled(100) {
        let (project, rows) = judged(&small_files(seed));
        let mut inquiry = Inquiry::about(&project, &rows);
        let curve: LimitCurve = limit_curve(&mut inquiry, of, 50, &mut Watch { report: &mut |_| {}, stop: &|| false });
        let mut asked = question(&project, &rows);
        let mut best = |most: Option<u32>| {
            limited(&mut asked.limits, most);
            reference::best(&asked)
        };
        let without = best(None);
        assert!(curve.whole, "seed {seed}");
        for (at, point) in curve.points.iter().enumerate() {
            let most = at as u32 + 1;
            let least = best(Some(most));
            let levels: Vec<i64> = point.levels.iter().map(|level| level.value).collect();
            assert_eq!(levels[..], least, "seed {seed}, at most {most}");
            assert_eq!(point.status, Status::ProvedBest, "seed {seed}, at most {most}");
            assert!(point.used <= most);
            // One more helps until the last.
            assert_eq!(least[..5] == without[..5], at + 1 == curve.points.len(), "seed {seed}, at most {most}");
        }
        points += curve.points.len();
        falls += usize::from(curve.points.len() > 1);
    }
    assert!(
        !tries_all() || points >= 100 + enough && falls > enough,
        "{points} points, {falls} curves of more than one"
    );
}

#[test]
fn curves_of_kinds_are_those_of_enumeration() {
    against_every_plan(LimitOf::Kinds, 5, |limits, most| limits.max_vessel_types = most);
}

#[test]
fn curves_of_suppliers_are_those_of_enumeration() {
    against_every_plan(LimitOf::Suppliers, 1, |limits, most| limits.max_suppliers = most);
}

#[test]
fn what_cannot_be_answered_is_refused_with_a_cure() {
    let case: TestProject = project("cap74");
    for (asked, cure) in [
        (&["--of", "kinds", "--steps", "0"][..], "write a whole number of lines from 1 to 10000"),
        (&["--of", "kinds", "--time", "-4"], "write whole seconds from 1 to 1000000"),
        (&["--of", "colours"], "[possible values: "),
        (&["--of", "kinds", "--budget", "-3"], "budget"),
    ] {
        let ran = ran(&case, "curve", asked);
        assert_eq!((ran.code, ran.stdout.as_str()), (2, ""), "{asked:?}");
        assert!(ran.stderr.contains(cure), "{asked:?}: {}", ran.stderr);
    }
    let out = case.project().join("specimens.csv");
    let ran = ran(&case, "curve", &["--of", "kinds", "--out", out.to_str().expect("a name")]);
    assert_eq!(ran.code, 2);
    assert!(ran.stderr.contains("it is one of the inputs"), "{}", ran.stderr);
}
