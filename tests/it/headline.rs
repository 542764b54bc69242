//! The first lines of a plan are computed from facts: not from words that a name may contain, and without tanks that have no price.

use std::path::Path;

use crate::support::{TestProject, figure};

const SURVEY: &str = "catalogNumber,length_mm,width_mm,height_mm,outline,fluid,current_fluid\n";
const STOCK: &str = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n";

fn headline(text: &str, label: &str) -> String {
    let lines = text.lines().skip_while(|line| !line.starts_with(label));
    let whole = lines.enumerate().take_while(|(i, line)| *i == 0 || line.starts_with("      "));
    whole.map(|(_, line)| line.trim()).collect::<Vec<_>>().join(" ")
}

#[test]
fn the_name_of_a_vessel_changes_no_count() {
    // Too wide for the jar, too small for a tank: no vessel is suitable, and the jar is the nearest miss.
    let said = ["jar", "measure-jar", "test-first-jar", "pinned-jar"].map(|jar| {
        let stock = format!("{STOCK}{jar},cylinder,40,60,borosilicate,ground-glass-stopper,3\n");
        let survey = format!("{SURVEY}A-1,55,42,30,rounded,ethanol-70,ethanol-70\n");
        let planned = TestProject::new().file("specimens.csv", survey).file("vessels.csv", stock).planned();
        assert!(planned.placement("A-1")["reason"].contains(jar), "{:?}", planned.placement("A-1"));
        headline(&planned.ran.stdout, "Needs a decision")
    });
    assert!(said.iter().all(|other| *other == said[0]), "{said:?}");
    for said in said {
        assert_eq!(said, "Needs a decision  1 lot: no vessel is suitable (1)");
    }
}

#[test]
fn lots_that_need_an_answer_first_are_counted_as_such() {
    let stock = format!("{STOCK}jar,cylinder,40,60,borosilicate,ground-glass-stopper,3\n");
    let survey =
        format!("{SURVEY}A-1,20,10,10,rounded,unknown,\nA-2,,,,rounded,ethanol-70,\nA-3,,,,rounded,ethanol-70,\n");
    let planned = TestProject::new().file("specimens.csv", survey).file("vessels.csv", stock).planned();
    let said = headline(&planned.ran.stdout, "Needs a decision");
    assert_eq!(said, "Needs a decision  3 lots: measure first (2), test the fluid first (1)");
}

/// Two lots for jars, and one in alcohol that is too large for them: a silicone-bonded tank for alcohol needs review, so it has no price.
fn without_a_price() -> TestProject {
    let survey = format!(
        "{SURVEY}A-1,50,20,20,rounded,ethanol-70,ethanol-70\nA-2,50,20,20,rounded,ethanol-70,ethanol-70\n\
         A-3,400,300,200,box,ethanol-70,ethanol-70\n"
    );
    let stock = format!("{STOCK}jar,cylinder,60,110,borosilicate,ground-glass-stopper,5\n");
    TestProject::new()
        .file("specimens.csv", survey)
        .file("vessels.csv", stock)
        .file("settings.toml", "budget = 100\n[disposal_price]\nalcohol = 1.0\n")
}

#[test]
fn a_lot_in_a_tank_without_a_price_does_not_count_as_placed() {
    let planned = without_a_price().planned();
    assert_eq!(planned.placement("A-3")["outcome"], "custom tank");
    // The outcome equals that of a tank with a price; the column `in_totals` tells whether it is in the totals.
    assert_eq!(["A-1", "A-2", "A-3"].map(|key| planned.placement(key)["in_totals"].clone()), ["yes", "yes", "no"]);
    let counts = ["placed", "on_hand", "custom_tank", "unpriced_tanks", "deferred", "needs_decision", "held"];
    assert_eq!(counts.map(|name| planned.total(name)), [2.0, 2.0, 0.0, 1.0, 0.0, 0.0, 0.0]);
    let said = headline(&planned.ran.stdout, "Placed");
    assert_eq!(said, "Placed            2 of 3 lots: 2 on hand; 1 waits for the price of a tank");
    // The sentence at the end counts all lots of the survey.
    let said = headline(&planned.ran.stdout, "In short: ");
    assert!(said.starts_with("In short: 2 of 3 lots placed, 1 waits for the price of a tank; "), "{said}");
    // The fluid of the two jars alone.
    let row = planned.make_up.iter().find(|row| row["fluid"] == "ethanol-70").expect("its line");
    assert_eq!(figure(row, "rows"), 2.0);
    let of_jars: f64 = ["A-1", "A-2"].iter().map(|key| figure(planned.placement(key), "fluid_ml")).sum();
    assert_eq!(planned.total("litres") * 1000.0, of_jars);
    assert_eq!(planned.plan["spent_not_stated"], 2, "the third stays in what it is in");
    // No warning concerns its transfer either.
    let unstated = "A-3,400,300,200,box,ethanol-70,\n";
    let survey = format!("{SURVEY}A-1,50,20,20,rounded,ethanol-70,\nA-2,50,20,20,rounded,ethanol-70,\n{unstated}");
    let planned = without_a_price().file("specimens.csv", survey).planned();
    let warnings = planned.plan["warnings"].as_array().expect("a list");
    let not_stated: Vec<_> = warnings.iter().filter(|one| one["kind"] == "fluid-not-stated").collect();
    assert_eq!(not_stated.len(), 1, "{warnings:?}");
    assert_eq!(not_stated[0]["lots"], 2);
}

#[test]
fn papers_and_screen_name_the_same_lots_that_wait_for_a_price() {
    let case = without_a_price();
    case.papers("all");
    let paper = |name: &str| std::fs::read_to_string(case.out().join(name)).expect(name);
    let sheets = paper("transfer-sheets.html");
    assert!(sheets.contains("2 lots on 1 sheet") && !sheets.contains("A-3"), "the bench moves two");
    assert!(sheets.contains("1 waiting for the price of a tank"));
    let report = paper("report.html");
    assert!(report.contains("2 of 3 lots placed; 1 waits for the price of a tank."));
    assert!(!paper("labels.csv").contains("A-3"));
    let audit = TestProject::run(&[Path::new("audit"), &case.out()]);
    assert_eq!(audit.code, 0, "{}", audit.stdout);
}
