//! `check`, and the messages on files with errors.

use insta::assert_snapshot;

use super::{Bench, STOCK, SURVEY, head};

/// The project with a few mistakes in both files.
fn with_mistakes() -> Bench {
    let survey = SURVEY
        .replace("70,45,35", "70,4O,35")
        .replace("60,ethanol-70", "60,ethanl-70")
        .replace("upright", "upwards")
        .replace("T-05", "T-04");
    let stock = STOCK.replace("90,58,soda-lime", "90,58,soda line").replace("19.00", "19.OO").replace(
        "screw jar,cylinder,84,,,115,76,soda-lime,pp-cap-foamed-pe,0,,Foss Glass",
        "screw jar,cylinder,84,,,115,76,soda-lime,pp-cap-foamed-pe,0,,Fos Glass",
    );
    Bench::new().file("collection/specimens.csv", &survey).file("collection/vessels.csv", &stock)
}

#[test]
fn the_screen_of_check() {
    assert_snapshot!(Bench::new().screen("check collection"), @r"
    $ rehouse check collection
    Survey            10 lots, 13 individuals
    Sizes             9 measured, 0 taken from their present vessel, 1 missing
    Tissue            5 measured, 0 weighed, 4 estimated from the envelope, 1 unknown
    Fluids            ethanol-70 7, formalin-10 2, unknown 1
    Priorities        1: 1, 2: 3, 3: 5, 4: 1
    Outline           stated for every lot
    Not planned       3 held, 1 to be decided before a vessel can be chosen
    Stock list        6 kinds of vessel: 11 pieces free, 5 kinds can be ordered
    Cannot be ordered pot-2000: no price, or none may be ordered
    Suppliers         2, with their terms
    Budget            51.00 crowns

    Next: rehouse plan with the same inputs and --out DIR.
    --- exit code 0
    ");
}

#[test]
fn several_mistakes_are_reported_at_once() {
    assert_snapshot!(with_mistakes().screen("plan collection"), @r#"
    $ rehouse plan collection
    --- standard error
    To correct:
    collection/specimens.csv, row 2, width_mm: "4O" – "O" is not a unit used here
        → write 120 mm, 12 cm, 0.12 m or 4.7 in  [unknown-unit]
    collection/specimens.csv, row 3, fluid: "ethanl-70" – no fluid of this name is known
        → if you mean "ethanol-70" (Ethanol 70 %), write that; otherwise add it to fluids.csv  [unknown-fluid]
    collection/specimens.csv, row 6, catalogNumber: the key "T-04" is also in row 5
        → give each row its own catalogNumber, institutionCode, collectionCode and part together  [duplicate-key]
    collection/specimens.csv, row 7, posture: "upwards" – not one of the words used in this column
        → write as-set for a body kept as it was fixed (height vertical), upright for one on end (length
          vertical), either: height or length vertical; any: any side; coil: it still bends and will be coiled
          [unknown-word]
    collection/vessels.csv, row 3, material: "soda line" – no material of this name is known
        → if you mean "soda-lime" (Soda-lime glass), write that; otherwise add it to materials.csv
          [unknown-material]
    collection/vessels.csv, row 4, supplier: "Fos Glass" – no supplier of this name is known
        → if you mean "Foss Glass", write that; otherwise add it to collection/suppliers.csv  [unknown-supplier]
    collection/vessels.csv, row 6, unit_price: "19.OO" – not a number
        → write digits with at most one decimal mark, such as 120 or 12.5  [not-a-number]

    7 to correct.
    Nothing was planned.
    --- exit code 1
    "#);
}

#[test]
fn rows_left_out_come_first() {
    assert_snapshot!(head(&with_mistakes().screen("plan collection --skip-bad-rows"), 17), @r#"
    $ rehouse plan collection --skip-bad-rows
    LEFT OUT: 7 lines that could not be read
      vessels.csv, row 3: material: "soda line" – no material of this name is known
      vessels.csv, row 4: supplier: "Fos Glass" – no supplier of this name is known
      vessels.csv, row 6: unit_price: "19.OO" – not a number
      specimens.csv, row 2: width_mm: "4O" – "O" is not a unit used here
      specimens.csv, row 3: fluid: "ethanl-70" – no fluid of this name is known
      specimens.csv, row 7: posture: "upwards" – not one of the words used in this column
      specimens.csv, row 6: catalogNumber: the key "T-04" is also in row 5

    Needs a decision  1 lot: test the fluid first (1)
    Placed            0 of 6 lots; 1 waits for the price of a tank
    Deferred          1 lot: 1 of priority 2
    Held              3 lots, not to be moved
    Cost              0.00 crowns of a budget of 51.00
    Fluid             0 l
    Proof             proved best: fewest deferred by priority, then least cost, then least fluid
    [82 lines]
    --- exit code 1
    "#);
    assert_snapshot!(head(&with_mistakes().screen("check collection --skip-bad-rows"), 3), @r#"
    $ rehouse check collection --skip-bad-rows
    Left out          7 lines: vessels.csv, row 3: material: "soda line" – no material of this name is known;
                      vessels.csv, row 4: supplier: "Fos Glass" – no supplier of this name is known; vessels.csv,
    [38 lines]
    --- exit code 1
    "#);
}

#[test]
fn the_message_on_a_stock_list_given_as_the_survey() {
    assert_snapshot!(Bench::new().screen("plan collection/vessels.csv collection/specimens.csv"), @r"
    $ rehouse plan collection/vessels.csv collection/specimens.csv
    --- standard error
    To correct:
    collection/vessels.csv: this is a stock list and collection/specimens.csv is a survey: they are in the wrong
        order
        → give them in this order: collection/specimens.csv collection/vessels.csv  [wrong-order]

    1 to correct.
    Nothing was planned.
    --- exit code 1
    ");
    assert_snapshot!(Bench::new().screen("check collection/specimens.csv collection/specimens.csv"), @r"
    $ rehouse check collection/specimens.csv collection/specimens.csv
    --- standard error
    To correct:
    collection/specimens.csv: this is a survey, but it was given as the stock list
        → give the survey first, then the stock list  [wrong-order]

    1 to correct.
    Nothing was planned.
    --- exit code 1
    ");
}

#[test]
fn the_messages_on_unknown_and_invalid_settings() {
    let bench = Bench::new().file("collection/settings.toml", "budget = \"12,5\"\n[clearance]\nwal_pct = 3\n");
    assert_snapshot!(bench.screen("plan collection"), @r#"
    $ rehouse plan collection
    --- standard error
    To correct:
    collection/settings.toml, line 1, budget: "12,5" is not an accepted value
        → write an amount of money with at most 4 decimals  [wrong-setting]
    collection/settings.toml, line 3, clearance.wal_pct: no setting "clearance.wal_pct" is known
        → if you mean clearance.wall_pct, write that  [unknown-setting]

    2 to correct.
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
    assert!(bench.screen("audit plan").contains("every figure was recalculated and agrees"));
}

#[test]
fn diagnostics_as_json() {
    let bench = with_mistakes();
    let checked = bench.screen("check collection --format json");
    let json = checked.split_once('{').expect("an object").1.rsplit_once("--- exit").expect("an end").0;
    let value: serde_json::Value = serde_json::from_str(&format!("{{{json}")).expect("JSON");
    assert_eq!(value["can_be_planned"], false);
    let found = value["found"].as_array().expect("a list");
    assert_eq!(found.len(), 7);
    let first = &found[0];
    let stated = ["severity", "code", "column", "at"].map(|key| first[key].as_str().expect("text"));
    assert_eq!(stated, ["error", "unknown-unit", "width_mm", "collection/specimens.csv:2:27"]);
    assert_eq!(first["row"], 2);
    // `plan --format json` writes only the result to standard output; the messages go to standard error, one a line.
    let told = bench.screen("plan collection --format json");
    let lines =
        told.split("--- standard error\n").nth(1).expect("messages").lines().filter(|line| line.starts_with('{'));
    let codes: Vec<_> = lines.map(|line| serde_json::from_str::<serde_json::Value>(line).expect("JSON")).collect();
    assert_eq!(codes.len(), 7);
}
