//! Fluid on the shelf is used first: decisions of small projects against all assignments, and cases by hand.

pub mod drawn;

use rehouse::assign::{Answered, decide_rows};
use rehouse::audit::audit;
use rehouse::decision::{Aim, Decision};
use rehouse::options::table::{Row, judge_all};
use rehouse::plan::Plan;
use rehouse::project::Project;
use rehouse::units::Millilitres;
use rehouse::{assign, plan};

use crate::audit_mutations::scenes;
use drawn::{Rank, STOCK, SURVEY, best_of_all, drawn};

/// Reads, decides, plans and audits a project.
fn planned(files: &[(&str, &str)]) -> (Project, Vec<Row>, Plan, Decision) {
    let project = scenes::project(files);
    let rows = judge_all(&project);
    let Answered { question, decision } = decide_rows(&project, &rows, &mut |_| {}, &|| false);
    let labour = assign::question::labour_per_row(&project);
    let plan = plan::plan(&project, &rows, &question, &decision, labour, Vec::new());
    assert_eq!(audit(&project, &plan), Vec::new());
    (project, rows, plan, decision)
}

/// The values of a rank, by level.
fn of_rank(rank: Rank) -> impl Iterator<Item = (Aim, i64)> {
    Aim::STRICT.into_iter().zip(rank.0.into_iter().chain([rank.1, rank.2]))
}

#[test]
fn the_decision_is_the_best_of_all_and_no_bound_is_above_it() {
    let (mut proved, mut with_shelf, mut all) = (0, 0, 0);
    for seed in 0..400 {
        let files = drawn(seed);
        let (project, rows, plan, decision) = planned(&files.each_ref().map(|(name, text)| (*name, text.as_str())));
        let best = best_of_all(&project, &rows);
        let value = |aim| decision.levels.iter().find(|level| level.aim == aim).expect("every level is told");
        let mut same = true;
        for (aim, least) in of_rank(best) {
            let level = value(aim);
            assert!(!same || level.bound <= least, "{seed} {aim:?}: bound {} above {least}\n{files:#?}", level.bound);
            if same && level.proved() {
                assert_eq!(level.value, least, "{seed} {aim:?}\n{files:#?}");
            }
            same &= level.value == least;
        }
        all += 1;
        proved += u32::from(decision.levels.iter().all(|level| level.proved()));
        with_shelf += u32::from(plan.make_up.iter().any(|made| made.from_stock > Millilitres::ZERO));
    }
    assert!(with_shelf > all / 2, "{with_shelf} of {all} use the shelf");
    assert_eq!(proved, all, "proved best");
}

#[test]
fn owned_fluid_is_subtracted_once_and_only_from_the_same_fluid() {
    let survey = format!("{SURVEY}A,60,20,20,10,ethanol-70,3,,\nB,60,20,20,10,ethanol-70,3,,\n");
    let stock = format!("{STOCK}J,cylinder,60,100,borosilicate,pp-cap-ptfe,2,,,\n");
    let settings = "[fluid_price]\nethanol-70 = 4\n";
    // π / 4 × 60² × 100 mm = 282.743 ml brimful; an uncontrolled store keeps 10 mm of 100 free, so 254.469 are filled: 254, less 10 ml of
    // tissue. There are two jars.
    for (shelf, from_stock, money) in [
        ("", 0, "1.952"),
        ("ethanol-70,0.1,\n", 100, "1.552"),
        ("ethanol-70,0.1,a\nethanol-70,0.2,b\n", 300, "0.752"),
        ("ethanol-70,9,\n", 488, "0.00"),
        ("ethanol-96,9,\n", 0, "1.952"),
    ] {
        let shelf = format!("fluid,litres,location\n{shelf}");
        let files = [
            ("specimens.csv", survey.as_str()),
            ("vessels.csv", stock.as_str()),
            ("settings.toml", settings),
            ("fluid-stock.csv", shelf.as_str()),
        ];
        let (_, _, plan, _) = planned(&files);
        assert_eq!(plan.make_up[0].from_stock, Millilitres(from_stock), "{shelf}");
        assert_eq!(plan.totals.fluid.text(), money, "{shelf}");
        assert_eq!(plan.totals.litres, Millilitres(488));
    }
}

#[test]
fn fluid_on_the_shelf_places_a_row_that_the_budget_defers() {
    let survey = format!("{SURVEY}A,60,20,20,10,ethanol-70,3,,\n");
    let stock = format!("{STOCK}J,cylinder,60,100,borosilicate,pp-cap-ptfe,,1,,\n");
    let files = |shelf| {
        [
            ("specimens.csv", survey.clone()),
            ("vessels.csv", stock.clone()),
            ("settings.toml", "budget = 1.5\n[fluid_price]\nethanol-70 = 4\n".to_owned()),
            ("fluid-stock.csv", format!("fluid,litres,location\n{shelf}")),
        ]
    };
    // 244 ml at 4 a litre are 0.976, and the jar is 1.
    for (shelf, placed) in [("", 0), ("ethanol-70,0.118,\n", 0), ("ethanol-70,0.119,\n", 1), ("ethanol-70,5,\n", 1)] {
        let files = files(shelf);
        let (_, _, plan, _) = planned(&files.each_ref().map(|(name, text)| (*name, text.as_str())));
        assert_eq!(plan.totals.placed, placed, "{shelf}");
    }
}
