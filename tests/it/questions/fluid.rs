//! The curve of fluid: a published front of two aims, and small projects against every plan.

use rehouse::assign::question::question;
use rehouse::assign::{decide, evaluate};
use rehouse::decision::{Choice, Class, Limits, Member, Question, Supply, SupplyIndex};
use rehouse::inquiry::Watch;
use rehouse::inquiry::fluid::{FluidCurve, FluidPoint, fluid_curve};
use rehouse::plan::Questions;
use rehouse::plan::answers::PlanChange;
use rehouse::stock::VesselId;
use rehouse::units::{Millilitres, Money, Pieces, Position};
use serde_json::json;

use super::answers::answered as answered_plan;
use super::{answered, judged, ran, small_files};
use crate::decision_oracle::reference;
use crate::published_optima::project;
use crate::support::{rows, sampled, tries_all};

fn curve_of(question: &Question, most: u32) -> FluidCurve {
    fluid_curve(question, most, &mut Watch { report: &mut |_| {}, stop: &|| false })
}

/// Money in ten-millionths and fluid in millilitres.
fn front_of(curve: &FluidCurve) -> Vec<(i64, i64)> {
    curve.points.iter().map(|point| (point.values.money.parts(), point.values.fluid.0)).collect()
}

/// Two costs of each pair: instance AP n05 of D. Tuyttens, J. Teghem, P. Fortemps and K. Van Nieuwenhuyze, "Performance of the MOSA
/// method for the bicriteria assignment problem", Journal of Heuristics 6 (2000) 295–310, as given in the repository
/// MCDMSociety/MOrepo-Tuyttens00, `instances/raw/Tuyttens_AP_n05.raw`.
const FIRST: [[i64; 5]; 5] =
    [[13, 14, 7, 2, 11], [5, 10, 11, 7, 10], [7, 19, 9, 16, 19], [3, 19, 10, 0, 6], [12, 9, 2, 4, 15]];
const SECOND: [[i64; 5]; 5] =
    [[1, 13, 15, 18, 3], [0, 3, 17, 8, 6], [9, 5, 8, 0, 4], [18, 19, 3, 19, 7], [2, 3, 19, 12, 15]];

/// All efficient points, as published with the instance from C. R. Pedersen, L. R. Nielsen and K. A. Andersen, "The bicriterion
/// multimodal assignment problem", INFORMS Journal on Computing 20 (2008) 400–411. The first, third and last are supported.
const FRONT: [(i64, i64); 8] = [(27, 56), (30, 53), (31, 36), (34, 33), (42, 30), (43, 25), (49, 23), (51, 9)];

#[test]
fn the_published_front_of_an_assignment_is_found_whole_with_what_no_weight_selects() {
    let supply =
        |vessel| Supply { vessel: VesselId(vessel), free: Pieces(1), offers: Vec::new(), counts_as_kind: true };
    let class = |lot: usize| Class {
        priority: 1,
        members: vec![Member { money: Money::ZERO, fluid: Millilitres::ZERO, specimen: lot as u32 }],
        choices: (0..5)
            .map(|vessel| Choice {
                supply: Some(SupplyIndex::at(vessel)),
                pieces: Pieces(1),
                money: Money::whole(FIRST[lot][vessel]),
                fluid: Millilitres(SECOND[lot][vessel]),
            })
            .collect(),
    };
    let question = Question {
        classes: (0..5).map(class).collect(),
        supplies: (0..5).map(supply).collect(),
        limits: Limits::default(),
        ..Question::default()
    };
    // Stopped at once, it claims nothing.
    let stopped = fluid_curve(&question, 200, &mut Watch { report: &mut |_| {}, stop: &|| true });
    assert!(!stopped.whole && stopped.points.len() == 1);
    let curve = curve_of(&question, 200);
    let found: Vec<(i64, i64)> =
        front_of(&curve).into_iter().map(|(money, fluid)| (money / Money::PER_UNIT, fluid)).collect();
    assert_eq!(found, FRONT);
    assert!(curve.whole && curve.points.iter().all(|point| point.is_proved()));
    let supported: Vec<usize> = (0..8).filter(|at| curve.points[*at].litre_weight.is_some()).collect();
    assert_eq!(supported, [0, 2, 7]);
    // 4 more for 20 less, then 20 more for 27 less: 200 and, rounded up, 740.7408 a litre.
    let weights: Vec<String> = supported.iter().map(|at| curve.points[*at].litre_weight.expect("one").text()).collect();
    assert_eq!(weights, ["0.00", "200.00", "740.7408"]);
    // Fewer lines: the ends first, then what weights select, then what lies in the widest gap, 20 by 27.
    let widest = [FRONT[0], FRONT[2], FRONT[3], FRONT[7]];
    for (most, expected) in
        [(1, &FRONT[..1]), (2, &[FRONT[0], FRONT[7]]), (3, &[FRONT[0], FRONT[2], FRONT[7]]), (4, &widest)]
    {
        let few = curve_of(&question, most);
        let places = front_of(&few).into_iter().map(|(money, fluid)| (money / Money::PER_UNIT, fluid));
        assert_eq!(places.collect::<Vec<_>>(), expected);
        assert!(!few.whole, "{most}");
    }
}

#[test]
fn curves_of_fluid_are_those_of_enumeration_and_each_weight_selects_its_plan() {
    let (mut points, mut several, mut between) = (0, 0, 0);
    for seed in 0..sampled(200) {
        let (project, rows) = judged(&small_files(seed));
        let mut asked = question(&project, &rows);
        let curve = curve_of(&asked, 500);
        asked.limits.litre_weight = Money::ZERO;
        let best = reference::best(&asked);
        let plans: Vec<(i64, i64)> = reference::attainable(&asked)
            .into_iter()
            .filter(|levels| levels[..4] == best[..4])
            .map(|[.., money, fluid]| (money, fluid))
            .collect();
        let better = |one: &(i64, i64), other: &(i64, i64)| one != other && one.0 <= other.0 && one.1 <= other.1;
        let mut front: Vec<(i64, i64)> =
            plans.iter().copied().filter(|plan| !plans.iter().any(|other| better(other, plan))).collect();
        front.sort_unstable();
        front.dedup();
        assert_eq!(front_of(&curve), front, "seed {seed}");
        let levels = |curve: &FluidCurve| -> Vec<_> {
            let stated = |level: &rehouse::decision::Level| (level.aim, level.value, level.bound);
            curve.points.iter().map(|point| point.levels.iter().map(stated).collect::<Vec<_>>()).collect()
        };
        assert!(curve.whole, "seed {seed}: {:?}", levels(&curve));
        for (at, point) in curve.points.iter().enumerate() {
            assert_eq!(point.values.deferred, curve.points[0].values.deferred, "seed {seed}");
            let Some(weight) = point.litre_weight else {
                between += 1;
                continue;
            };
            asked.limits.litre_weight = weight;
            let values = evaluate::values(&asked, &decide(&asked));
            assert_eq!((values.money, values.fluid), (point.values.money, point.values.fluid), "seed {seed}, {at}");
        }
        points += front.len();
        several += usize::from(front.len() > 2);
    }
    assert!(!tries_all() || several > 40 && between > 20, "{points} points, {several} curves, {between} between");
}

#[test]
fn the_file_says_of_fluid_what_the_screen_and_the_json_say() {
    let case = project("cap71");
    let file = case.project().with_file_name("curve.csv");
    let asked = ["--of", "fluid", "--steps", "3"];
    let written = ran(&case, "curve", &[&asked[..], &["--out", file.to_str().expect("a name")]].concat());
    assert_eq!(written.code, 0, "{}", written.stderr);
    let table = rows(&std::fs::read(&file).expect("curve.csv"));
    let answer = answered(&case, "curve", &asked);
    let points = answer["points"].as_array().expect("points");
    assert_eq!(points.len(), table.len());
    assert!(written.stdout.lines().all(|line| line.chars().count() <= 80), "{}", written.stdout);
    for (point, line) in points.iter().zip(&table) {
        for field in ["money", "litre_weight", "money_per_litre_saved"] {
            assert_eq!(point[field].as_str().unwrap_or_default(), line[field], "{field}");
        }
        assert_eq!(point["proved"], json!(line["proved"] == "yes"));
        let money: f64 = line["money"].parse().expect("a number");
        assert!(written.stdout.contains(&format!("{money:.2}")), "{}", written.stdout);
    }
}

#[test]
fn the_answers_of_a_plan_hold_the_plans_that_weights_select() {
    let (mut all, mut points, mut several) = (0, 0, 0);
    for seed in 0..sampled(60) {
        let (project, rows) = judged(&small_files(seed));
        let plan = answered_plan(&project, &rows, Questions::All);
        let Some(found) = FluidCurve::of_answers(&project, &plan) else { continue };
        let curve = curve_of(&question(&project, &rows), 500);
        let largest = plan.answers.iter().filter_map(|answer| match answer.change {
            PlanChange::LitreWeight(weight) => Some(weight),
            _ => None,
        });
        let largest = largest.max().expect("a weight");
        for point in &found.points {
            assert!(point.is_proved(), "seed {seed}");
            let same = curve.points.iter().find(|other| other.values.fluid == point.values.fluid);
            let same = same.unwrap_or_else(|| panic!("seed {seed}: {} l", point.values.fluid.litres()));
            assert!((same.values.money - point.values.money).parts().abs() <= 1000, "seed {seed}");
            assert_eq!(same.values.deferred, point.values.deferred, "seed {seed}");
        }
        let selected = |point: &&FluidPoint| point.litre_weight.is_some_and(|weight| weight <= largest);
        all += curve.points.iter().filter(selected).count();
        points += found.points.len();
        several += usize::from(found.points.len() > 2);
    }
    // Two weights may round to one.
    assert!(points <= all && points * 100 >= all * 97, "{points} of {all}");
    assert!(!tries_all() || several > 10, "{several} with more than the ends");
}
