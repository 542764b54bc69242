//! What money buys: a published problem to the last digit, small projects against every plan, and the demo budget by budget.

use rehouse::assign;
use rehouse::assign::question::question;
use rehouse::decision::{Question, Status};
use rehouse::inquiry::budget::{BudgetCurve, spread, staircase};
use rehouse::inquiry::{Inquiry, Watch, WhatIf};
use rehouse::options::table::judge_all;
use rehouse::settings::PriorityRule;
use rehouse::units::Money;
use serde_json::{Value, json};

use super::{answered, judged, small_files};
use crate::decision_oracle::reference;
use crate::published_optima::{fixed_costs, opening, project, serving, serving_costs};
use crate::support::{one_in, sampled, tries_all};

fn watch<T>(look: impl FnOnce(&mut Watch) -> T) -> T {
    look(&mut Watch { report: &mut |_| {}, stop: &|| false })
}

/// Least cost of serving so many of the 50 customers of cap71, which every set of warehouses was tried for; the last is the
/// published optimum.
const LEAST: [(usize, &str); 12] = [
    (1, "0.00"),
    (2, "780.90"),
    (5, "4238.65"),
    (10, "15144.475"),
    (20, "59283.65"),
    (25, "91112.90"),
    (30, "140593.4125"),
    (40, "276566.2375"),
    (45, "406718.525"),
    (48, "600191.6375"),
    (49, "724242.8375"),
    (50, "932615.75"),
];

/// By number of customers, the least cost of serving so many.
fn least_by_number() -> Vec<f64> {
    let (costs, fixed) = (serving_costs(), fixed_costs("cap71"));
    let mut least = vec![f64::INFINITY; 51];
    least[0] = 0.0;
    for open in 1..1 << 16_usize {
        let mut serving = serving(&costs, open);
        serving.sort_by(f64::total_cmp);
        let mut cost = opening(&fixed, open);
        for (served, one) in serving.iter().enumerate() {
            cost += one;
            least[served + 1] = least[served + 1].min(cost);
        }
    }
    least
}

#[test]
fn cap71_by_budget_is_the_staircase_of_enumeration_to_the_last_digit() {
    let least = least_by_number();
    let curve = answered(&project("cap71"), "curve", &[]);
    assert_eq!((&curve["steps"], &curve["whole"]), (&json!(true), &json!(true)));
    let points = curve["points"].as_array().expect("points");
    let placed = |point: &Value| point["placed"][2].as_u64().expect("lots of priority 3") as usize;
    let stated = |point: &Value| point["budget"].as_str().expect("money").parse::<f64>().expect("a number");
    for point in points {
        let (lots, budget) = (placed(point), stated(point));
        assert!((budget - least[lots]).abs() < 0.000_05, "{lots} lots: {budget}, by enumeration {}", least[lots]);
        assert_eq!(point["status"], json!("proved best"), "{lots} lots");
        assert!(lots == placed(&points[0]) || point["step"]["proof"] == json!("recomputed"), "{lots} lots");
    }
    let all: Vec<usize> = points.iter().map(placed).collect();
    assert_eq!(all, (all[0]..=50).collect::<Vec<_>>(), "no step is left out");
    for (lots, budget) in LEAST {
        let point = points.iter().find(|point| placed(point) == lots).expect("a step");
        assert_eq!(point["budget"], json!(budget), "{lots} lots");
    }
    let all = curve["milestones"].as_array().and_then(|all| all.last()).expect("milestones");
    assert_eq!((&all["money"], &all["proved"]), (&json!("932615.75"), &json!(true)));
}

#[test]
fn on_either_side_of_a_step_the_plan_is_what_the_step_says() {
    let least = least_by_number();
    for (lots, budget) in LEAST.iter().skip(1).step_by(3) {
        let short = format!("{:.4}", least[*lots] - 0.0001);
        for (budget, placed) in [(*budget, *lots), (&short, lots - 1)] {
            let case = project("cap71");
            let ran = super::ran(&case, "plan", &["--budget", budget, "--format", "json"]);
            let plan: Value = serde_json::from_str(&ran.stdout).expect("JSON");
            assert_eq!(plan["totals"]["placed"], json!(placed), "at {budget}");
        }
    }
}

/// The plans of a question without a budget: the money that a budget counts, and the lots that wait.
fn plans_of(question: &Question) -> Vec<(i64, [i64; 4])> {
    let mut question = question.clone();
    let labour = question.limits.labour_per_row.parts();
    (question.limits.budget, question.limits.litre_weight) = (None, Money::ZERO);
    let lots: i64 = question.classes.iter().map(|class| class.members.len() as i64).sum();
    let plans = reference::attainable(&question).into_iter().map(|[first, second, third, fourth, money, _]| {
        let waits = [first, second, third, fourth];
        (money + labour * (lots - waits.iter().sum::<i64>()), waits)
    });
    plans.collect()
}

/// The steps of a question by enumeration: budgets and the lots that wait.
fn steps_of(question: &Question) -> Vec<(i64, [i64; 4])> {
    let mut plans = plans_of(question);
    plans.sort_unstable();
    let mut steps: Vec<(i64, [i64; 4])> = Vec::new();
    for (money, waits) in plans {
        match steps.last_mut() {
            None => steps.push((0, waits)),
            Some((at, last)) if waits < *last && *at == money => *last = waits,
            Some((_, last)) if waits < *last => steps.push((money, waits)),
            Some(_) => {}
        }
    }
    steps
}

#[test]
fn staircases_of_small_projects_are_those_of_enumeration() {
    let (mut steps, mut falls) = (0, 0);
    for seed in 0..sampled(100) {
        let (project, rows) = judged(&small_files(seed));
        let mut inquiry = Inquiry::about(&project, &rows);
        let curve: BudgetCurve = watch(|watch| staircase(&mut inquiry, 200, watch));
        assert!(curve.whole, "seed {seed}");
        let found: Vec<(i64, [i64; 4])> =
            curve.points.iter().map(|point| (point.budget.parts(), point.deferred)).collect();
        assert_eq!(found, steps_of(&question(&project, &rows)), "seed {seed}");
        assert!(curve.points.iter().all(|point| point.status == Status::ProvedBest), "seed {seed}");
        // The last milestone is where the staircase ends.
        let last = curve.points.last().expect("a point");
        assert_eq!(curve.milestones.last().map(|all| all.money), Some(last.money), "seed {seed}");
        let waiting = |of: [i64; 4]| of.iter().sum::<i64>();
        falls += curve.points.windows(2).filter(|pair| waiting(pair[0].deferred) < waiting(pair[1].deferred)).count();
        steps += curve.points.len();
    }
    assert!(!tries_all() || steps > 150 && falls > 0, "{steps} steps, {falls} of them with fewer lots");
}

#[test]
fn staircases_by_weight_are_those_of_enumeration() {
    let mut steps = 0;
    for seed in 0..sampled(60) {
        let (mut project, rows) = judged(&small_files(seed));
        let asked = question(&project, &rows);
        project.settings.priority_rule = PriorityRule::Weighted;
        let weights = project.settings.weights_in_force().expect("weights").map(i64::from);
        // Every plan by its money and the lots that wait, and what these count.
        let mut plans: Vec<(i64, i64)> = plans_of(&asked)
            .into_iter()
            .map(|(money, waits)| (money, waits.iter().zip(weights).map(|(lots, weight)| lots * weight).sum()))
            .collect();
        plans.sort_unstable();
        let mut expected: Vec<(i64, i64)> = Vec::new();
        for (money, waits) in plans {
            match expected.last() {
                None => expected.push((0, waits)),
                Some((_, last)) if waits < *last => expected.push((money, waits)),
                Some(_) => {}
            }
        }
        let mut inquiry = Inquiry::about(&project, &rows);
        let curve: BudgetCurve = watch(|watch| staircase(&mut inquiry, 200, watch));
        assert!(curve.whole, "seed {seed}");
        let found: Vec<(i64, i64)> = curve
            .points
            .iter()
            .map(|point| (point.budget.parts(), inquiry.values(&point.decision).weighted_deferred))
            .collect();
        assert_eq!(found, expected, "seed {seed}");
        steps += found.len();
    }
    assert!(!tries_all() || steps > 90, "{steps} steps");
}

#[test]
fn milestones_are_least_money_by_enumeration() {
    for seed in 0..sampled(100) {
        let (project, rows) = judged(&small_files(seed));
        let mut inquiry = Inquiry::about(&project, &rows);
        let found = watch(|watch| spread(&mut inquiry, 8, watch)).milestones;
        let steps = steps_of(&question(&project, &rows));
        for milestone in &found {
            let upto = |waits: &[i64; 4]| waits[..milestone.priority.into()].to_vec();
            let fewest = upto(&steps.last().expect("a step").1);
            let first = steps.iter().find(|(_, waits)| upto(waits) == fewest).expect("a step");
            assert_eq!((milestone.money.parts(), milestone.proved), (first.0, true), "seed {seed}: {milestone:?}");
        }
    }
}

#[test]
fn a_point_is_the_plan_of_its_budget_and_more_money_is_never_worse() {
    let project = rehouse::read("demo-data".as_ref()).expect("the demonstration").project;
    let rows = judge_all(&project);
    let mut inquiry = Inquiry::about(&project, &rows);
    let curve = watch(|watch| spread(&mut inquiry, 16, watch));
    assert!(curve.whole && curve.points.len() >= 12, "{} points", curve.points.len());
    for pair in curve.points.windows(2) {
        assert!(pair[0].budget < pair[1].budget && pair[0].deferred >= pair[1].deferred);
    }
    for point in curve.points.iter().step_by(one_in().clamp(2, 4) as usize) {
        let mut by_hand = project.clone();
        by_hand.settings.budget = Some(point.budget);
        let plan = assign::decide(&question(&by_hand, &rows));
        assert_eq!((&plan.chosen, &plan.packs), (&point.decision.chosen, &point.decision.packs), "{:?}", point.budget);
        assert!(point.money <= point.budget);
    }
    // Changing nothing changes nothing.
    inquiry.change(WhatIf::Budget(project.settings.budget));
    let same = watch(|watch| inquiry.decide(watch));
    assert_eq!(same.chosen, assign::decide(&question(&project, &rows)).chosen);
}

#[test]
fn a_step_on_the_screen_is_a_budget_that_is_enough() {
    let case = crate::support::TestProject::new()
        .file(
            "specimens.csv",
            "catalogNumber,length_mm,width_mm,height_mm,fluid,tissue_ml\n\
             L011,32,54,41,formalin-10,18.7\nL012,23,58,52,ethanol-70,26.7\n",
        )
        .file(
            "vessels.csv",
            "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand,supplier,order_code,pack_price\n\
             v03,cylinder,125,50,borosilicate,pp-cap-ptfe,1,S0,C3-0,16.2\n\
             v04,cylinder,150,150,borosilicate,pp-cap-ptfe,,S0,C4-0,6\n",
        )
        .file("settings.toml", "budget = 12.51\n[fluid_price]\n\"ethanol-70\" = 2\n\"formalin-10\" = 20\n");
    let curve = answered(&case, "curve", &[]);
    let steps = curve["points"].as_array().expect("points");
    assert_eq!(steps.last().expect("a step")["budget"], json!("21.244"));
    let shown = super::ran(&case, "curve", &[]).stdout;
    let (_, table) = shown.split_once("Budgets at which the plan gets better").expect("the steps");
    let lines = table.lines().skip(2).take(steps.len());
    let budgets: Vec<&str> = lines.map(|line| line.split_whitespace().next().expect("a budget")).collect();
    assert_eq!(budgets.len(), steps.len());
    for (budget, step) in budgets.iter().zip(steps) {
        let ran = super::ran(&case, "plan", &["--budget", budget, "--format", "json"]);
        let plan: Value = serde_json::from_str(&ran.stdout).expect("JSON");
        let placed: i64 = step["placed"].as_array().expect("by priority").iter().filter_map(Value::as_i64).sum();
        assert_eq!(plan["totals"]["placed"], json!(placed), "at {budget}: {shown}");
    }
}
