//! `why`, `rules`, and mistyped commands.

use insta::assert_snapshot;

use super::{Bench, head};

#[test]
fn the_screen_of_why_for_a_placed_specimen() {
    assert_snapshot!(Bench::new().screen("why T-02 --in collection"), @r#"
    $ rehouse why T-02 --in collection
    T-02 Anguilla anguilla
      420 × 14 × 14 mm (length × width × height), ethanol-70, to keep 10 years, priority 2
      order → jar-250; least cost over the whole plan; to be ordered; 3 kinds of vessel are suitable
      review: tight coil: check that it bends that far
      coiled along the wall: 2.9 turns, open core 31.4 mm, 55.2 mm high

    Suitable
               vessel     posture   wall mm   cover mm   tissue %   years   fluid ml   fillings   fluid, crowns   available
               jar-1000   coil            5      108.6        5.2      25       1096          1            4.60   order at 11.50
      chosen   jar-250    coil          3.3       24.8       21.9      15        214          1            0.90   1 free, taken by T-01; order, 6 for 11.40
               jar-500    coil          4.2       60.6       10.3      15        522          1            2.19   order, 6 for 14.40

    Refused, nearest miss first
      vessel     rule         by
      vial-30    room         33.5 mm too narrow
      show-12    compatible   does not last long enough: 5 years short
      pot-2000   compatible   material does not suit the fluid

    Instead: what it does to the whole plan
      instead    cost, crowns   waiting                              what else changes
      jar-500          -17.94   +1 of priority 2, -1 of priority 4   T-04 waits, T-06 is placed in jar-500
      jar-1000          -8.32   +1 of priority 2, -1 of priority 4   T-04 waits, T-06 is placed in jar-250
      wait              +0.22   +1 of priority 2, -1 of priority 4   T-06 is placed in jar-250
      If it waited, 1 more of the other lots could be placed: 0/0/0/1 of priority 1/2/3/4.

    --- exit code 0
    "#);
}

#[test]
fn the_screen_of_why_for_a_tank_a_waiting_row_and_an_open_decision() {
    assert_snapshot!(Bench::new().screen("why T-03 T-06 T-07 --in collection"), @r"
    $ rehouse why T-03 T-06 T-07 --in collection
    T-03 Sepia officinalis
      190 × 110 × 80 mm (length × width × height), ethanol-70, to keep 10 years, priority 2
      custom tank; no listed vessel is suitable; nearest jar-1000: 110 mm too narrow in the mouth
      review: unproven combination of fluid and vessel
      tank 230 × 150 × 120 mm clear, 2.758 l, silicone-bonded glass only after review: a welded tank of stainless steel 316, or a welded tank of HDPE, or a welded tank of polypropylene, or a vessel of borosilicate glass in one piece, or a vessel of soda-lime glass in one piece, or a change of fluid; price unknown
      planning figures only: annealed glass under permanent load; impact, handling, earthquake and sudden heat are
      not covered; the sealant's long-term strength in these fluids has no published design value; a competent
      fabricator and local rules decide; stand it in a tray that holds 110 % of the fluid

    Refused, nearest miss first
      vessel     rule         by
      jar-1000   mouth        110 mm too narrow in the mouth
      jar-500    mouth        124 mm too narrow in the mouth
      jar-250    mouth        142 mm too narrow in the mouth
      vial-30    mouth        180 mm too narrow in the mouth
      show-12    compatible   does not last long enough: 5 years short
      pot-2000   compatible   material does not suit the fluid

    T-06 Triturus cristatus
      60 × 14 × 12 mm (length × width × height), ethanol-70, to keep 10 years, priority 4
      deferred; waits: by itself it takes 1.12 crowns more; 0.93 of the budget is left; 3 kinds of vessel are suitable

    Suitable
         vessel     posture   wall mm   cover mm   tissue %   years   fluid ml   fillings   fluid, crowns   available
         jar-1000   upright        43       87.2        1.8      25       1148          1            4.82   order at 11.50
         jar-250    upright        26         20        7.7      15        266          1            1.12   1 free, taken by T-01; order, 6 for 11.40
         jar-500    upright        35         45        3.6      15        574          1            2.41   order, 6 for 14.40

    Refused, nearest miss first
      vessel     rule         by
      vial-30    room         1.5 mm too low
      show-12    compatible   does not last long enough: 5 years short
      pot-2000   compatible   material does not suit the fluid

    Instead: what it does to the whole plan
      instead    cost, crowns   waiting   what else changes
      jar-250            0.00             it waits: there is no piece or no money for it
      jar-500            0.00             it waits: there is no piece or no money for it
      jar-1000           0.00             it waits: there is no piece or no money for it

    T-07 Vipera berus
      size unknown, unknown, to keep 10 years, priority 3
      needs a decision; fluid unknown: test first

    --- exit code 0
    ");
}

#[test]
fn the_message_on_a_specimen_that_is_not_in_the_survey() {
    assert_snapshot!(Bench::new().screen("why T-2 --in collection"), @r#"
    $ rehouse why T-2 --in collection
    --- standard error
    rehouse: no lot "T-2" in the survey
        → did you mean T-02?
    --- exit code 2
    "#);
}

#[test]
fn the_screens_of_the_rules_and_of_one_table() {
    assert_snapshot!(Bench::new().screen("rules"), @r#"
    $ rehouse rules
    Every entry gives its source. Show a table: rehouse rules fluids. Edit them: rehouse rules --export DIR.

      fluids               67 rows: fluid, name, aliases, family, also_family, strength_pct, density_g_ml, growth_20_35_pct, flash_c, price_per_litre, present_only, hazard, source, note
      materials            24 rows: material, name, aliases, clear, glass, life_years, source, note
      closures             38 rows: closure, name, aliases, plate_sealed, renewal, renewal_years, life_years, source, note
      compatibility       326 rows: fluid, part, verdict, years, review, note, source
      neck-finishes        22 rows: finish, bore_mm, thread_mm, height_mm, source
      transfers            90 rows: from, to, baths, days_per_bath, source, note
      hazards              11 rows: hazard, aliases, action, flammable, words, source
    --- exit code 0
    "#);
    assert_snapshot!(head(&Bench::new().screen("rules fluids"), 3), @r#"
    $ rehouse rules fluids
    fluids
      fluid                  name                                                                     family         also_family    strength_pct   density_g_ml   growth_20_35_pct   flash_c   price_per_litre   present_only
    [719 lines]
    --- exit code 0
    "#);
    assert_snapshot!(Bench::new().screen("rules fluid"), @r#"
    $ rehouse rules fluid
    --- standard error
    rehouse: there is no table "fluid"
        → did you mean fluids?
    --- exit code 2
    "#);
}

#[test]
fn the_message_on_a_missing_folder() {
    assert_snapshot!(Bench::new().screen("plan colection"), @r#"
    $ rehouse plan colection
    --- standard error
    rehouse: colection does not exist
        → did you mean collection?
    --- exit code 2
    "#);
}

#[test]
fn the_message_on_a_folder_without_a_stock_list() {
    let bench = Bench::new();
    std::fs::remove_file(bench.path("collection/vessels.csv")).expect("the stock list");
    assert_snapshot!(bench.screen("plan collection"), @r"
    $ rehouse plan collection
    --- standard error
    rehouse: collection: there is no vessels.csv in this folder
        → a project folder holds specimens.csv and vessels.csv, or either as .xlsx or .ods  [cannot-read]
    --- exit code 2
    ");
}

#[test]
fn the_message_on_an_unknown_flag() {
    assert_snapshot!(Bench::new().screen("plan collection --buget 90"), @r#"
    $ rehouse plan collection --buget 90
    --- standard error
    error: unexpected argument '--buget' found

      tip: a similar argument exists: '--budget'

    Usage: rehouse plan --budget <AMOUNT> <DIR or SPECIMENS> [VESSELS]...

    For more information, try '--help'.
    --- exit code 2
    "#);
}

#[test]
fn the_message_on_a_plan_over_its_own_inputs() {
    assert_snapshot!(Bench::new().screen("plan collection --out collection"), @r#"
    $ rehouse plan collection --out collection
    --- standard error
    rehouse: collection: it is, or holds, an input (collection/specimens.csv)
        → name a separate folder for the output
    --- exit code 2
    "#);
}

#[test]
fn a_useless_flag_or_file_is_reported_before_planning() {
    let bench = Bench::new();
    assert_snapshot!(bench.screen("plan collection --budget -5 --set budgt=3 --fluid-stock nowhere.csv"), @r#"
    $ rehouse plan collection --budget -5 --set budgt=3 --fluid-stock nowhere.csv
    --- standard error
    rehouse: this command cannot be run
    To correct:
    command line, budget: "-5" is not an accepted value
        → write an amount of money with at most 4 decimals  [wrong-setting]
    command line, budgt: no setting "budgt" is known
        → if you mean budget, write that  [unknown-setting]
    nowhere.csv: there is no such file
        → check the name and the permissions  [cannot-read]

    3 to correct.

    --- exit code 2
    "#);
    assert_snapshot!(bench.screen("audit nowhere"), @r#"
    $ rehouse audit nowhere
    --- standard error
    rehouse: nowhere: there is no such folder
        → name the folder that `--out` named when the plan was made
    --- exit code 2
    "#);
}

#[test]
fn an_invalid_number_of_threads_is_reported() {
    let run = |threads: &str| {
        let ran = assert_cmd::cargo::cargo_bin_cmd!("rehouse").arg("rules").env("REHOUSE_THREADS", threads).output();
        let ran = ran.expect("it runs");
        (ran.status.success(), String::from_utf8_lossy(&ran.stderr).into_owned())
    };
    for threads in ["abc", "0", "-1", ""] {
        let (success, said) = run(threads);
        assert!(success && said.contains("which is no number of threads, and is ignored"), "{threads}: {said}");
    }
    assert_eq!(run("2"), (true, String::new()));
}
