//! `check`, and what is said of files that are wrong.

use insta::assert_snapshot;

use super::{Bench, STOCK, SURVEY, head};

/// The project with a handful of mistakes in both files.
fn with_mistakes() -> Bench {
    let survey = SURVEY
        .replace("70,45,35", "70,4O,35")
        .replace("60,ethanol-70", "60,ethanl-70")
        .replace("upright", "upwards")
        .replace("T-05", "T-04");
    let stock = STOCK.replace("90,58,soda-lime", "90,58,soda lime").replace("19.00", "19.OO").replace(
        "screw jar,cylinder,84,,,115,76,soda-lime,pp-cap-foamed-pe,0,,Foss Glass",
        "screw jar,cylinder,84,,,115,76,soda-lime,pp-cap-foamed-pe,0,,Fos Glass",
    );
    Bench::new().file("collection/specimens.csv", &survey).file("collection/vessels.csv", &stock)
}

#[test]
fn what_was_understood() {
    assert_snapshot!(Bench::new().screen("check collection"), @r#"
    $ rehouse check collection
    Survey            10 rows, 13 individuals
    Sizes             9 measured, 0 taken from their present vessel, 1 missing
    Tissue            5 measured, 0 weighed, 4 estimated from the envelope, 1 unknown
    Fluids            ethanol-70 7, formalin-10 2, unknown 1
    Priorities        1: 1, 2: 3, 3: 5, 4: 1
    Outline           stated for every row
    Not planned       3 held, 1 need a decision before any vessel is asked about
    Stock list        6 kinds of vessel: 11 pieces free, 5 kinds can be ordered
    Suppliers         2, with their terms
    Budget            55.00 crowns

    Next: rehouse plan with the same inputs and --out DIR.
    --- exit code 0
    "#);
}

#[test]
fn several_mistakes_are_said_at_once() {
    assert_snapshot!(with_mistakes().screen("plan collection"), @r#"
    $ rehouse plan collection
    --- standard error
    collection/specimens.csv:2:27: error[unknown-unit]: width_mm is "4O": no unit "O" is known here
      help: write 120 mm, 12 cm, 0.12 m or 4.7 in
    collection/specimens.csv:3:52: error[unknown-fluid]: fluid is "ethanl-70": no fluid of this name is known
      help: if "ethanol-70" is meant, write that; else add it to fluids.csv
    collection/specimens.csv:6:1: error[duplicate-key]: the key "T-04" is also on line 5
      help: give each row its own catalogNumber, institutionCode, collectionCode and part together
    collection/specimens.csv:7:44: error[unknown-word]: posture is "upwards": it is none of the words taken here
      help: write as-set, upright, either, any or coil
    collection/vessels.csv:3:39: error[unknown-material]: material is "soda lime": no material of this name is known
      help: if "soda-lime" is meant, write that; else add it to materials.csv
    collection/vessels.csv:4:70: error[unknown-supplier]: supplier is "Fos Glass": no supplier of this name is known
      help: if "Foss Glass" is meant, write that; else add it to collection/suppliers.csv
    collection/vessels.csv:6:95: error[not-a-number]: unit_price is "19.OO": it is not a number
      help: write digits with at most one decimal mark, such as 120 or 12.5
    7 errors, 0 warnings
    Nothing was planned.
    --- exit code 1
    "#);
}

#[test]
fn rows_left_out_come_first() {
    assert_snapshot!(head(&with_mistakes().screen("plan collection --skip-bad-rows"), 17), @r#"
    $ rehouse plan collection --skip-bad-rows
    LEFT OUT: 7 rows that could not be read
      collection/vessels.csv:3: material is "soda lime": no material of this name is known
      collection/vessels.csv:4: supplier is "Fos Glass": no supplier of this name is known
      collection/vessels.csv:6: unit_price is "19.OO": it is not a number
      collection/specimens.csv:2: width_mm is "4O": no unit "O" is known here
      collection/specimens.csv:3: fluid is "ethanl-70": no fluid of this name is known
      collection/specimens.csv:7: posture is "upwards": it is none of the words taken here
      collection/specimens.csv:6: the key "T-04" is also on line 5

    Needs a decision  1 row: 1 test the fluid first
    Placed            1 of 6 rows: 1 custom tank
    Deferred          1 row: 1 of priority 2
    Held              3 rows, not to be moved
    Money             0.00 crowns of a budget of 55.00
    Fluid             0 l
    Proof             proved best: fewest deferred by priority, then least money, then least fluid
    [75 lines]
    --- exit code 1
    "#);
    assert_snapshot!(head(&with_mistakes().screen("check collection --skip-bad-rows"), 3), @r#"
    $ rehouse check collection --skip-bad-rows
    Left out          7 rows: collection/vessels.csv:3: material is "soda lime": no material of this name is
                      known; collection/vessels.csv:4: supplier is "Fos Glass": no supplier of this name is known;
    [33 lines]
    --- exit code 1
    "#);
}

#[test]
fn a_stock_list_given_as_the_survey() {
    assert_snapshot!(Bench::new().screen("plan collection/vessels.csv collection/specimens.csv"), @r#"
    $ rehouse plan collection/vessels.csv collection/specimens.csv
    --- standard error
    collection/vessels.csv: error[wrong-order]: this is a stock list and collection/specimens.csv a survey: the two are in the wrong order
      help: name them as collection/specimens.csv collection/vessels.csv
    1 error, 0 warnings
    Nothing was planned.
    --- exit code 1
    "#);
    assert_snapshot!(Bench::new().screen("check collection/specimens.csv collection/specimens.csv"), @r#"
    $ rehouse check collection/specimens.csv collection/specimens.csv
    --- standard error
    collection/specimens.csv: error[wrong-order]: this is a survey, given as the stock list
      help: name the survey first, then the stock list
    1 error, 0 warnings
    Nothing was planned.
    --- exit code 1
    "#);
}

#[test]
fn settings_that_are_not_there_or_not_right() {
    let bench = Bench::new().file("collection/settings.toml", "budget = \"12,5\"\n[clearance]\nwal_pct = 3\n");
    assert_snapshot!(bench.screen("plan collection"), @r#"
    $ rehouse plan collection
    --- standard error
    collection/settings.toml:1:10: error[wrong-setting]: budget is "12,5"
      help: write an amount of money with at most 4 decimals
    collection/settings.toml:3:1: error[unknown-setting]: no setting "clearance.wal_pct" is known
      help: if clearance.wall_pct is meant, write that
    2 errors, 0 warnings
    Nothing was planned.
    --- exit code 1
    "#);
}

#[test]
fn rows_left_out_come_first_in_the_files_too() {
    let bench = with_mistakes();
    bench.screen("plan collection --skip-bad-rows --out plan");
    let read = |name: &str| std::fs::read_to_string(bench.path("plan").join(name)).expect("a file of the plan");
    let placements = read("placements.csv");
    let left_out = placements.lines().skip(1).take_while(|line| line.contains("left out")).count();
    assert_eq!(left_out, 7, "{placements}");
    assert_eq!(placements.lines().count(), 1 + 7 + 6, "then the six rows that were read");
    for name in ["purchases.csv", "tanks.csv", "panes.csv", "sheets.csv"] {
        assert_eq!(read(name).lines().skip(1).take_while(|line| line.starts_with("left out,")).count(), 7, "{name}");
    }
    let json = read("plan.json");
    let place = |field: &str| json.find(&format!("\"{field}\"")).expect("a field");
    assert!(place("skipped_rows") < place("status") && place("skipped_rows") < place("placements"));
    assert!(bench.screen("audit plan").contains("every figure was derived again and agrees"));
}
