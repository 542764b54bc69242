//! Priorities by rank and by weight, through the program.

use std::path::Path;

use rehouse::audit::audit;
use rehouse::decision::{Aim, Status};
use rehouse::plan::Warning;
use rehouse::project::Project;
use rehouse::units::Money;
use serde_json::{Value, json};

use crate::audit_mutations::{planned_until, scenes};
use crate::support::{Planned, TestProject};

/// A costly lot of priority 2 and cheap ones of priority 3: the budget is for the first or for all others.
fn case(settings: &str) -> TestProject {
    let cheap: String = (1..=9).map(|lot| format!("B-{lot},40,20,20,ethanol-70,3\n")).collect();
    TestProject::new()
        .file(
            "specimens.csv",
            format!("catalogNumber,length_mm,width_mm,height_mm,fluid,priority\nA-1,150,90,90,ethanol-70,2\n{cheap}"),
        )
        .file(
            "vessels.csv",
            "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,unit_price\n\
             JAR,cylinder,50,80,borosilicate,pp-cap-ptfe,5\n\
             LARGE,cylinder,200,250,borosilicate,pp-cap-ptfe,45\n",
        )
        .file("settings.toml", format!("budget = 50\n[fluid_price]\nethanol-70 = 0\n{settings}"))
}

fn weighted(weights: &str) -> TestProject {
    case(&format!("[priority]\nrule = \"weighted\"\nweights = {weights}\n"))
}

fn level<'a>(planned: &'a Planned, name: &str) -> &'a Value {
    let levels = planned.plan["levels"].as_array().expect("levels");
    levels.iter().find(|level| level["level"] == name).unwrap_or_else(|| panic!("no level {name} in {levels:#?}"))
}

#[test]
fn weights_place_nine_lots_where_the_strict_rule_places_the_urgent_one() {
    let strict = case("").planned();
    assert_eq!((strict.total("placed"), strict.total("deferred")), (2.0, 8.0));
    assert_eq!(strict.placement("A-1")["outcome"], "order");
    let planned = weighted("[8, 4, 2, 1]").planned();
    assert_eq!((planned.total("placed"), planned.total("deferred")), (9.0, 1.0));
    assert_eq!(planned.placement("A-1")["outcome"], "deferred");
    assert_eq!(planned.status(), "proved best");
    let levels: Vec<&str> = planned.plan["levels"]
        .as_array()
        .expect("levels")
        .iter()
        .map(|level| level["level"].as_str().unwrap())
        .collect();
    assert_eq!(levels, ["deferred-weighted", "money", "fluid"]);
    let counted = level(&planned, "deferred-weighted");
    assert_eq!((&counted["value"], &counted["bound"], &counted["proof"]), (&json!(4), &json!(4), &json!("recomputed")));
    assert!(planned.ran.stdout.contains("fewest deferred, counted 8, 4, 2, 1 by"), "{}", planned.ran.stdout);
    // A weight of 17 for the urgent lot is more than eight lots of weight 2.
    let planned = weighted("[17, 17, 2, 1]").planned();
    assert_eq!(planned.placement("A-1")["outcome"], "order");
    assert_eq!(level(&planned, "deferred-weighted")["value"], json!(16));
}

#[test]
fn only_the_ratios_of_weights_matter() {
    let [once, many] = ["[8, 4, 2, 1]", "[8000, 4000, 2000, 1000]"].map(|weights| weighted(weights).planned());
    assert_eq!(once.plan["levels"], many.plan["levels"]);
    assert_eq!(once.placements, many.placements);
    assert_eq!(once.purchases, many.purchases);
    assert_eq!(once.ran.stdout.split("Files:").next(), many.ran.stdout.split("Files:").next());
}

#[test]
fn weights_that_cannot_be_are_refused_with_the_cure() {
    for weights in ["[4, 3, 2]", "[1, 2, 3, 4]", "[4, 3, 2, 0]", "[10001, 3, 2, 1]", "[4.5, 3, 2, 1]", "\"high\"", "5"]
    {
        let ran = weighted(weights).plan();
        assert_eq!(ran.code, 1, "{weights}: {}", ran.stderr);
        assert!(
            ran.stderr.contains("four whole numbers from 1 to 10000, none above the one before it")
                && ran.stderr.contains("settings.toml, line 6, priority.weights"),
            "{weights}: {}",
            ran.stderr
        );
    }
    let ran = case("[priority]\nrule = \"equal\"\n").plan();
    assert!(ran.stderr.contains("\"strict\" or \"weighted\""), "{}", ran.stderr);
    // Weights alone do nothing, and that is said.
    let ran = case("[priority]\nweights = [9, 3, 1, 1]\n").plan();
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let said = ran.stderr.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("these weights count only with priority.rule = \"weighted\""), "{said}");
}

#[test]
fn a_lot_that_takes_more_than_a_tenth_of_the_budget_is_named_with_what_others_it_keeps_out() {
    let strict = case("").planned();
    let warnings = strict.plan["warnings"].as_array().expect("warnings");
    let named: Vec<&Value> = warnings.iter().filter(|warning| warning["kind"] == "costly-lots").collect();
    // A jar of 5.00 is a tenth of the budget, and not more than that.
    assert_eq!(named.len(), 1);
    assert_eq!(named[0]["lots"], json!([{"key": "A-1", "takes": "45.00"}]));
    assert!(strict.ran.stdout.contains("A-1 takes 45.00 of the budget of 50.00"), "{}", strict.ran.stdout);
    // The plan itself says how many others could be placed: ten jars, of nine lots, and one is placed now.
    assert!(strict.ran.stdout.contains("Without A-1 8 more lots could be placed (proved)"), "{}", strict.ran.stdout);
    let case = case("");
    let project = case.project();
    let why = |options: &[&str]| {
        let options = options.iter().map(Path::new);
        let of = [Path::new("why"), Path::new("A-1"), Path::new("--in"), &project];
        TestProject::run(&of.into_iter().chain(options).collect::<Vec<_>>())
    };
    let said = why(&["--instead", "wait"]).stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        said.contains("If it waited, 8 more of the other lots could be placed: 0/0/8/0 of priority 1/2/3/4."),
        "{said}"
    );
    // Nothing is said where all lots are placed, or where priorities are weighed.
    for settings in ["", "[priority]\nrule = \"weighted\"\nweights = [17, 17, 2, 1]\n"] {
        let other = self::case(settings);
        let other = if settings.is_empty() {
            other.file("settings.toml", "budget = 200\n[fluid_price]\nethanol-70 = 0\n")
        } else {
            other
        };
        let planned = other.planned();
        assert_eq!(planned.placement("A-1")["outcome"], "order");
        let warnings = planned.plan["warnings"].as_array().expect("warnings");
        assert!(warnings.iter().all(|warning| warning["kind"] != "costly-lots"), "{warnings:#?}");
    }
}

#[test]
fn the_audit_finds_a_costly_lot_that_is_left_out_or_takes_another_amount() {
    let files = [
        (
            "specimens.csv",
            "catalogNumber,length_mm,width_mm,height_mm,fluid,priority\nA,150,90,90,ethanol-70,2\nB,40,20,20,ethanol-70,3\nC,40,20,20,ethanol-70,3\n",
        ),
        (
            "vessels.csv",
            "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,unit_price\nJAR,cylinder,50,80,borosilicate,pp-cap-ptfe,5\nLARGE,cylinder,200,250,borosilicate,pp-cap-ptfe,45\n",
        ),
        ("settings.toml", "budget = 50\n[fluid_price]\nethanol-70 = 0\n"),
    ];
    let (project, plan) = planned_until(scenes::project(&files), &|| false);
    assert_eq!(audit(&project, &plan), Vec::new());
    let at =
        plan.warnings.iter().position(|warning| matches!(warning, Warning::CostlyLots { .. })).expect("a costly lot");
    let mut without = plan.clone();
    without.warnings.remove(at);
    let mut less = plan.clone();
    less.warnings[at] = Warning::CostlyLots { lots: vec![(0, Money::whole(44))] };
    let mut more = plan.clone();
    more.warnings[at] = Warning::CostlyLots { lots: vec![(0, Money::whole(45)), (1, Money::whole(5))] };
    for wrong in [without, less, more] {
        let found = audit(&project, &wrong);
        assert!(found.iter().any(|finding| finding.claim.starts_with("warnings")), "{found:#?}");
    }
}

/// Sixty kinds of vessel and 240 classes of lots: too large for a linear relaxation at once.
fn large(settings: &str) -> Project {
    let mut survey = "catalogNumber,length_mm,width_mm,height_mm,fluid,priority\n".to_owned();
    for lot in 0..240 {
        let side = 20 + lot / 4;
        survey += &format!("L-{lot},{side},{side},{side},ethanol-70,{}\n", lot % 4 + 1);
    }
    let mut stock = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand,unit_price\n".to_owned();
    for vessel in 0..60 {
        let across = 36.0 + 1.5 * f64::from(vessel);
        stock += &format!(
            "V{vessel:02},cylinder,{across},{across},borosilicate,pp-cap-ptfe,{},{}.{:02}\n",
            vessel % 3,
            2 + vessel / 5,
            vessel * 7 % 100
        );
    }
    let files = [("specimens.csv", survey.as_str()), ("vessels.csv", &stock), ("settings.toml", settings)];
    scenes::project(&files)
}

const BY_WEIGHT: &str = "[priority]\nrule = \"weighted\"\nweights = [5, 3, 2, 1]\n";

#[test]
fn a_large_survey_without_a_budget_is_proved_by_weight_too_and_audited() {
    let (project, plan) = planned_until(large(BY_WEIGHT), &|| false);
    assert_eq!(plan.totals.deferred, 0);
    assert_eq!(plan.levels.iter().map(|level| level.aim).collect::<Vec<_>>(), Aim::WEIGHTED);
    let (strict_project, strict) = planned_until(large(""), &|| false);
    assert_eq!(audit(&project, &plan), Vec::new());
    assert_eq!(audit(&strict_project, &strict), Vec::new());
    // The same plan with the same proofs.
    let of = |plan: &rehouse::plan::Plan| {
        let levels = plan.levels.iter().filter(|level| !level.aim.counts_lots());
        levels.map(|level| (level.value, level.bound, level.proof)).collect::<Vec<_>>()
    };
    assert_eq!(of(&plan), of(&strict));
    assert_eq!(plan.placements, strict.placements);
}

#[test]
fn a_large_survey_with_a_budget_states_true_bounds_by_weight() {
    for weights in ["[5, 3, 2, 1]", "[1, 1, 1, 1]"] {
        let settings =
            format!("budget = 600\n[solver]\ntime_limit_s = 6\n[priority]\nrule = \"weighted\"\nweights = {weights}\n");
        let (project, plan) = planned_until(large(&settings), &|| false);
        assert!(plan.totals.deferred > 0);
        assert_ne!(plan.status, Status::NotOptimised);
        // The audit recomputes every bound from its certificate, and that of the weighted number is not trivial.
        assert_eq!(audit(&project, &plan), Vec::new(), "{weights}");
        assert!(plan.levels[0].bound > 0, "{weights}: {:?}", plan.levels[0].bound);
        assert!(plan.levels[0].bound * 10 >= plan.levels[0].value * 8, "{:?}", plan.levels[0]);
    }
}
