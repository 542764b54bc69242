//! `audit`, and a saved plan that was changed by hand.

use insta::assert_snapshot;

use super::{Bench, SURVEY};

fn planned() -> Bench {
    let bench = Bench::new();
    bench.screen("plan collection --out plan");
    bench
}

#[test]
fn the_screen_of_an_audit_without_findings() {
    assert_snapshot!(planned().screen("audit plan"), @r"
    $ rehouse audit plan
    plan: every figure was recalculated and agrees; every file was made again and is the same.
    Not compared: its copies of the inputs (--against DIR), and plan.json itself (--digest HEX).
    --- exit code 0
    ");
    assert_snapshot!(planned().screen("audit plan --against collection"), @r"
    $ rehouse audit plan --against collection
    plan: every figure was recalculated and agrees; every file was made again and is the same.
    --- exit code 0
    ");
}

#[test]
fn the_screen_of_an_audit_after_a_change_of_the_survey() {
    let bench = planned().file("collection/specimens.csv", &SURVEY.replace("70,45,35", "72,45,35"));
    assert_snapshot!(bench.screen("audit plan --against collection"), @r"
    $ rehouse audit plan --against collection
    plan: 1 finding
      specimens.csv has changed since the plan was made
    Next: plan again, or restore the files as they were written.
    --- exit code 1
    ");
}

#[test]
fn the_screen_of_an_audit_of_a_wrong_figure() {
    let bench = planned();
    let plan = std::fs::read_to_string(bench.path("plan/plan.json")).expect("plan.json");
    assert!(plan.contains("\"fluid_ml\":246,"), "{plan}");
    let bench = bench.file("plan/plan.json", &plan.replace("\"fluid_ml\":246,", "\"fluid_ml\":240,"));
    assert_snapshot!(bench.screen("audit plan"), @r"
    $ rehouse audit plan
    plan: 17 findings
      T-01, fluid_ml: the plan states 240, the inputs give 246
      make_up[0].litres: the plan states 0.46 l, the inputs give 0.454 l
      make_up[0].litres_to_make: the plan states 0.46 l, the inputs give 0.454 l
      make_up[0].cost: the plan states 1.932, the inputs give 1.9068
      make_up[0].made_from: the plan states 0.335 l ethanol-96, 0.137 l water, the inputs give 0.331 l ethanol-96, 0.135 l water
      fluid_orders[0].litres: the plan states 0.335 l, the inputs give 0.331 l
      fluid_orders[0].counted: the plan states 1.932, the inputs give 1.9068
      flammable[0].litres_after: the plan states 0.46 l, the inputs give 0.454 l
      flammable[0].litres_peak: the plan states 0.46 l, the inputs give 0.454 l
      totals.fluid: the plan states 6.1725, the inputs give 6.1473
      totals.money: the plan states 50.0725, the inputs give 50.0473
      totals.litres: the plan states 4.315 l, the inputs give 4.309 l
      totals.to_pay: the plan states 50.0725, the inputs give 50.0473
      levels[4].value: the plan states 50.0725, the inputs give 50.0473
      levels[5].value: the plan states 4.315 l, the inputs give 4.309 l
      The proof in plan.json does not fit the inputs: plan again.
      levels[4].certificate: the bound: the plan states 500725000, the inputs give at most 500473000
      levels[5].certificate: the bound: the plan states 4315, the inputs give at most 4309
    Next: plan again, or restore the files as they were written.
    --- exit code 1
    ");
}

#[test]
fn a_sheet_filled_in_by_hand_is_reported_and_kept() {
    let bench = planned();
    let sheet = std::fs::read_to_string(bench.path("plan/placements.csv")).expect("placements.csv");
    let filled = sheet.replace("on hand", "done");
    let bench = bench.file("plan/placements.csv", &filled);
    assert_snapshot!(bench.screen("audit plan"), @r"
    $ rehouse audit plan
    plan: 1 finding
      placements.csv: changed, added or removed since the plan was written
    Next: plan again, or restore the files as they were written.
    --- exit code 1
    ");
    assert_snapshot!(bench.screen("plan collection --out plan"), @r#"
    $ rehouse plan collection --out plan
    --- standard error
    rehouse: plan: files in it have changed since it was written: placements.csv
        → name another folder, or move what you want to keep; `--replace` deletes everything in it
    --- exit code 2
    "#);
    assert_eq!(std::fs::read_to_string(bench.path("plan/placements.csv")).expect("placements.csv"), filled);
}

#[test]
fn the_message_on_a_folder_that_is_no_plan() {
    assert_snapshot!(Bench::new().screen("audit collection"), @r#"
    $ rehouse audit collection
    --- standard error
    rehouse: collection: it holds no plan.json, so it is not a saved plan
        → name the folder that `--out` named when the plan was made
    --- exit code 2
    "#);
}
