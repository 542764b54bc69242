//! `plan`: the table, the folder, JSON, no time to search, rows that must not be moved.

use insta::assert_snapshot;

use super::{Bench, head, tail};
use crate::support::{row, table};

#[test]
fn the_screen_of_a_plan() {
    assert_snapshot!(Bench::new().screen("plan collection"), @r"
    $ rehouse plan collection
    Needs a decision  1 lot: test the fluid first (1)
    Placed            4 of 10 lots: 2 on hand, 2 to order; 1 waits for the price of a tank
    Deferred          1 lot: 1 of priority 4
    Held              3 lots, not to be moved
    Cost              50.07 crowns of a budget of 51.00: vessels 30.40 + delivery 13.50 + fluid 6.17
    Work              1 h: 4 moves; about 2 working days for 1 person at 5 h a day
                      from the shelf now: 2 lots, 0.5 h
                      when the order arrives (delivery time not stated): 2 lots, 0.5 h
    Fluid             4.315 l: ethanol-70 0.46, formalin-10 3.855
    Proof             proved best: fewest deferred by priority, then least cost, then least fluid
    Note              1 tank of unknown price: ask for a price. Not in the cost, budget or litres (2.758 l of
                      fluid for all fillings and baths, 11.58 for it)
    Note              T-04 takes 20.64 of the budget of 51.00, before any lot of a later priority: `rehouse why
                      T-04 --instead wait` says how many others could be placed without it
    Note              present fluid is not stated for 4 placed lots: assumed to be the fluid it will be kept in,
                      at full strength
    Note              1 lot is coiled with an open core of less than 3 thicknesses: check that the body bends that
                      far; never force it

    Needs a decision
      lot    name           reason
      T-07   Vipera berus   fluid unknown: test first

    To order
      supplier            order code   vessel     packs × pieces   spare   price, crowns
      Foss Glass          F-250        jar-250             1 × 6       5           11.40
      Nether Lab Supply   N-S12        show-12             1 × 1       0           19.00
      Foss Glass                       delivery                                     9.50
      Nether Lab Supply                delivery                                     4.00

    Custom tanks (length × width × height)
      lot    clear inside, mm   fluid        fluid, l   walls / base / lid, mm   full, kg   price, crowns   note
      T-03    230 × 150 × 120   ethanol-70      2.758                                             unknown   silicone-bonded glass only after review
      A jar of at least 210 × 100 mm inside (round), mouth 200 mm, for ethanol-70, lasting 10 years would also do:
      ask for one before having a tank priced: 1 lot
      instead of bonded glass, for ethanol-70: a welded tank of stainless steel 316, or a welded tank of HDPE, or
      a welded tank of polypropylene, or a vessel of borosilicate glass in one piece, or a vessel of soda-lime
      glass in one piece, or a change of fluid; price unknown

    Fluid to make up
      fluid         lots   in vessels, l   to make, l   per litre, crowns   price, crowns   flash °C   class
      ethanol-70       2            0.46         0.46                4.20            1.93         21   GHS 2, US IB
      formalin-10      2           3.855        3.855                1.10            4.24
      ethanol-70: Highly flammable liquid and vapour; eye irritant; see the safety data sheet and local fire code
      formalin-10: May cause cancer; skin sensitiser; irritating and toxic vapour: ventilate; see the safety data
      sheet

    Made from, at 20 °C (`rehouse mix` prints the bench cards)
      fluid         litres   from
      ethanol-70      0.46   0.335 l ethanol-96 + 0.137 l water
      formalin-10    3.855   0.386 l formaldehyde-37 + 3.47 l water

    Fluid to buy (counted in the amount to pay, not in the cost)
      fluid             needed, l   on the shelf, l   to buy, l   containers         price, crowns
      ethanol-96            0.335                 0       0.335   sizes not stated
      formaldehyde-37       0.386                 0       0.386   sizes not stated

    Spent fluid
      for 4 placed lots the volume of present fluid is not stated: add it
      spent alcohol often holds formaldehyde: tell the waste contractor, and never pour it down a drain

    Flammable fluid, largest places first
      place               now, l   after, l   at the peak, at most, l
      not stated               0       0.46                      0.46
      preparation place        0          0                      0.46
      all 2 places             0       0.46                      0.46
      glass vessels above 0.95 l with class IB: now none; not stated for 7 lots; after none; glass vessels above
      3.79 l with class IC: none; the largest vessel, whatever is in it, holds 2.771 l and needs a tray of 3.049
      l; fire-sheet.html (with --out DIR) sets these beside the quantities the fire authority usually asks about
      fluid not identified, 1 lot of unstated volume at a place not stated: counted as flammable until it is
      tested, class not stated
      present volume of 8 lots not stated: add it to the figures for now and for the peak

    Placed in vessels
      lot    outcome   vessel     posture   wall mm   cover mm   fluid ml   review
      T-01   on hand   jar-250    upright      10.5         10        246
      T-02   order     jar-250    coil          3.3       24.8        214   tight coil: check that it bends that far
      T-04   order     show-12    as-set       12.5         50       1494
      T-05   on hand   pot-2000   as-set         10         70       2361

    Deferred
      lot    priority   name                 reason
      T-06          4   Triturus cristatus   waits: by itself it takes 1.12 crowns more; 0.93 of the budget is left; 3 kinds of vessel are suitable

    Held, not to be moved
      lot    name                         reason
      T-08   Erinaceus europaeus embryo   hold: on show until May
      T-09   Lumbricus terrestris         picric acid: not moved; call a specialist
      T-10   Salmo trutta                 disposition: on loan

    Cautions
      Formaldehyde: carcinogen and sensitiser. Exposure limits as read on 25 November 2026, check today's: US 0.75
      ppm over 8 h, 2 ppm over 15 min (29 CFR 1910.1048); EU 0.3 ppm over 8 h, 0.6 ppm short term (Directive
      2019/983, annex); Great Britain 2 ppm (answer of 11 November 2021, UK Parliament HL3278). Extraction,
      gloves, eye protection; never to a drain.
      Formaldehyde, hydrochloric acid and bleach: never together. With the acid it forms chloromethyl ethers,
      which cause cancer; with bleach, toxic gases (J. A. Kiernan, Histonet list, 6 July 2000). Stock formaldehyde
      holds up to 15 % methanol (ASTM D2380, scope): toxic and flammable.
      Alcohol: flammable liquid and vapour, heavier than air. Keep ignition sources away, ventilate at low level,
      and ask the fire authority about quantities and the size of glass vessels before you make up or store it.
      Exposure limits as read on 26 November 2026, check today's: ethanol US 1000 ppm over 8 h (OSHA, quoted in
      its sampling method for ethyl alcohol); isopropanol US 400 ppm over 8 h (OSHA, 54 FR 2332 of 19 January
      1989, quoted by NIOSH).
      Pouring alcohol: static can light the vapour. Bond and earth metal drums, cans and pumps (29 CFR
      1910.106(e)(6)(ii)); pour slowly, without splashing, from small vessels; ask about plastic containers.
      Unknown fluid: until it is tested, treat it as flammable and as holding formaldehyde; mix it with nothing.
      Picric acid: explosive when dry; a lot that was fixed with it and is now in alcohol still holds some. Do not
      open, move or let it dry; call a specialist.
      Tanks: planning figures only. Annealed glass under permanent load and sealant in these fluids have no
      published long-term design value; a competent fabricator and local rules decide. Stand each in a tray that
      holds 110 % of its fluid; know the weight before you lift.
      Glass breaks: lift vessels from below, never by the lid; two people where they are heavy.
      The safety data sheet of each fluid, local code and licensed practice decide; this plan does not.

    In short: 4 of 10 lots placed, 1 waits for the price of a tank, 1 to decide, 1 deferred, 3 held; 50.07 crowns
    of a budget of 51.00; 1 h of work; proved best.

    Next: decide on the 1 lot that needs it (`rehouse why KEY` shows each choice), then plan again.
    --- exit code 0
    ");
}

#[test]
fn a_plan_written_to_a_folder_names_it_at_the_end() {
    let bench = Bench::new();
    assert_snapshot!(tail(&bench.screen("plan collection --out plan"), 5), @r"
    [121 lines]
    Next: decide on the 1 lot that needs it (`rehouse why KEY` shows each choice), then plan again.
    Files: plan; open report.html first.
    SHA-256 of plan.json, for `rehouse audit plan --digest`:
    [SHA-256]
    --- exit code 0
    ");
    let mut written: Vec<_> = std::fs::read_dir(bench.path("plan"))
        .expect("the folder")
        .map(|entry| entry.expect("an entry").file_name().into_string().expect("a name"))
        .collect();
    written.sort();
    assert_eq!(
        written,
        [
            "curve-fluid.csv",
            "curve-suppliers.csv",
            "curve.csv",
            "done.xlsx",
            "fire-sheet.html",
            "inputs",
            "labels.csv",
            "labels.html",
            "make-up.csv",
            "panes.csv",
            "placements.csv",
            "plan.json",
            "plan.xlsx",
            "purchases.csv",
            "report.html",
            "sheets.csv",
            "sizes.csv",
            "tanks.csv",
            "transfer-sheets.html"
        ]
    );
}

#[test]
fn the_json_of_a_plan() {
    assert_snapshot!(head(&Bench::new().screen("plan collection --format json"), 27), @r#"
    $ rehouse plan collection --format json
    {
      "schema": "rehouse-plan/1",
      "skipped_rows": [],
      "program": {"name":"rehouse","version":"[VERSION]"},
      "status": "proved best",
      "gap": 0.0,
      "levels": [
        {"level":"deferred-1","value":0,"bound":0,"proof":"recomputed","certificate":{"suppliers":[],"offers":[],"vessels":[],"fluids":[],"groups":[],"cuts":[],"numbers":["1,0,0,0,0,0,0|0,0|||||"],"tree":["0"]}},
        {"level":"deferred-2","value":0,"bound":0,"proof":"recomputed","certificate":{"suppliers":[],"offers":[],"vessels":[],"fluids":[],"groups":[],"cuts":[],"numbers":["0,1,0,0,0,0,0|0,0|||||"],"tree":["0"]}},
        {"level":"deferred-3","value":0,"bound":0,"proof":"recomputed","certificate":{"suppliers":[],"offers":[],"vessels":[],"fluids":[],"groups":[],"cuts":[],"numbers":["0,0,1,0,0,0,0|0,0|||||"],"tree":["0"]}},
        {"level":"deferred-4","value":1,"bound":1,"proof":"recomputed","certificate":{"suppliers":["Foss Glass","Nether Lab Supply"],"offers":[],"vessels":["jar-1000","jar-250","jar-500","show-12"],"fluids":[],"groups":[],"cuts":["v1/s0:0-1,5","v1/6:=0","v3/s1:3","v2/s0:0-1","v2/6:=3","v2/6:5","v2/s0:=5","v1/6:=3"],"numbers":["1152921504606846976,1152921504606846976,1152921504606846976,0,0,0,0|0,0||28936069135230668,,,|||0:28936069135230668,3:28936069135230668,6:28936069135230668","1152921504606846976,1152921504606846976,1152921504606846976,4503599627370496,0,0,79902059|0,0||9188736731736694,,,15181391121999755|||1:3610933829396910,2:3196082341473633,4:4464287814570370,5:2577320800164337,7:1886967014406033","1152921504606846976,1152921504606846976,1152921504606846976,0,0,0,90425216|0,0|0:76895098|1555963524930505,,,17180791049043209|||0:2346860826695647,1:771216703661207,2:3617008641903834,3:1948336935565155,5:1948336935565155"],"tree":["s0","0","1","2"]}},
        {"level":"money","value":"50.0725","bound":"50.0725","proof":"recomputed","certificate":{"suppliers":["Foss Glass","Nether Lab Supply"],"offers":[{"vessel":"jar-500","line":4}],"vessels":["jar-1000","jar-250","jar-500","show-12"],"fluids":[],"groups":[],"cuts":["v1/s0:0-1,5","v1/6:=0","v3/s1:3","v2/s0:0-1","v2/6:=3","v2/6:5","v2/s0:=5","v1/6:=3"],"numbers":["1152921504606846976,1152921504606846976,1152921504606846976,0,0,0,0|0,0||28936069135230668,,,|||0:28936069135230668,3:28936069135230668,6:28936069135230668","1152921504606846976,1152921504606846976,1152921504606846976,0,134217728,0,0|0,0||15435038720000000,,,25501368320000000|||2:5368709120000000,4:13564580462592000,7:15300820992000000","1152921504606846976,1152921504606846976,1152921504606846976,0,0,0,134217728|0,0||,2550136832000000,,|||2:5368709120000000,4:813896302592000","1152921504606846976,1152921504606846976,1152921504606846976,0,0,0,90425216|0,0|0:76895098|1555963524930505,0,,17180791049043209|||0:2346860826695647,1:771216703661207,2:3617008641903834,3:1948336935565155,5:1948336935565155"],"tree":["s0","0","p0<=0","1","2","3"]}},
        {"level":"fluid","value":4.315,"bound":4.315,"proof":"recomputed","certificate":{"suppliers":[],"offers":[],"vessels":[],"fluids":[],"groups":[],"cuts":[],"numbers":["1152921504606846976,1152921504606846976,1152921504606846976,0,0,1,0|0,0|||||"],"tree":["0"]}}
      ],
      "totals": {"placed":4,"on_hand":2,"order":2,"custom_tank":0,"unpriced_tanks":1,"deferred":1,"needs_decision":1,"held":3,"purchase":"30.40","delivery":"13.50","fluid":"6.1725","tanks":"0.00","money":"50.0725","saved_by_sharing":"0.00","minutes":60,"labour":"0.00","labour_counted":"0.00","disposal":"0.00","containers":"0.00","to_pay":"50.0725","litres":4.315},
      "placements": [
        {"catalogNumber":"T-01","outcome":"on hand","vessel":"jar-250","vessels_used":1,"pieces_on_hand":1,"posture":"upright","wall_gap_mm":10.5,"cover_mm":10,"mouth_gap_mm":13,"tissue_share_pct":10.23,"life_years":15,"fluid":"ethanol-70","charges":1,"filled_ml":274,"tissue_ml":28,"fluid_ml":246,"fluid_cost":"1.0332","reason":"least cost over the whole plan; from the shelf; 3 kinds of vessel are suitable","why":{"cause":"vessel","suitable":3}},
        {"catalogNumber":"T-02","outcome":"order","vessel":"jar-250","vessels_used":1,"posture":"coil","wall_gap_mm":3.3,"cover_mm":24.774,"mouth_gap_mm":44,"tissue_share_pct":21.922,"life_years":15,"fluid":"ethanol-70","charges":1,"filled_ml":274,"tissue_ml":60,"fluid_ml":214,"fluid_cost":"0.8988","marks":{"tight_coil":true},"reason":"least cost over the whole plan; to be ordered; 3 kinds of vessel are suitable","why":{"cause":"vessel","suitable":3},"review":"tight coil: check that it bends that far"},
        {"catalogNumber":"T-03","outcome":"custom tank","fluid":"ethanol-70","charges":1,"fluid_ml":2758,"fluid_cost":"11.5836","marks":{"unproven":true},"reason":"no listed vessel is suitable; nearest jar-1000: 110 mm too narrow in the mouth","why":{"cause":"tank-only"},"review":"unproven combination of fluid and vessel","near_miss":{"vessel":"jar-1000","rule":"mouth","cause":"mouth-too-narrow","shortfall":110,"unit":"mm"}},
        {"catalogNumber":"T-04","outcome":"order","vessel":"show-12","vessels_used":1,"posture":"as-set","wall_gap_mm":12.5,"cover_mm":50,"mouth_gap_mm":25,"tissue_share_pct":13.841,"life_years":15,"fluid":"formalin-10","charges":1,"filled_ml":1734,"tissue_ml":240,"fluid_ml":1494,"fluid_cost":"1.6434","reason":"the only suitable vessel; to be ordered","why":{"cause":"vessel","suitable":1}},
        {"catalogNumber":"T-05","outcome":"on hand","vessel":"pot-2000","vessels_used":1,"pieces_on_hand":1,"posture":"as-set","wall_gap_mm":10,"cover_mm":70,"mouth_gap_mm":20,"tissue_share_pct":14.797,"life_years":10,"fluid":"formalin-10","charges":1,"filled_ml":2771,"tissue_ml":410,"fluid_ml":2361,"fluid_cost":"2.5971","reason":"the only suitable vessel; from the shelf","why":{"cause":"vessel","suitable":1}},
        {"catalogNumber":"T-06","outcome":"deferred","fluid":"ethanol-70","reason":"waits: by itself it takes 1.12 crowns more; 0.93 of the budget is left; 3 kinds of vessel are suitable","why":{"cause":"money","by_itself":"1.1172","left":"0.9275","suitable":3}},
        {"catalogNumber":"T-07","outcome":"needs a decision","fluid":"unknown","reason":"fluid unknown: test first","why":{"cause":"unknown","what":"fluid"}},
        {"catalogNumber":"T-08","outcome":"held","fluid":"ethanol-70","reason":"hold: on show until May","why":{"cause":"held","by":"hold"}},
        {"catalogNumber":"T-09","outcome":"held","fluid":"ethanol-70","reason":"picric acid: not moved; call a specialist","why":{"cause":"held","by":"hazard","hazard":"picric"}},
        {"catalogNumber":"T-10","outcome":"held","fluid":"ethanol-70","reason":"disposition: on loan","why":{"cause":"held","by":"disposition"}}
    [52 lines]
    --- exit code 0
    "#);
}

#[test]
fn the_screen_of_a_plan_with_an_absolute_path_and_a_small_budget() {
    let bench = Bench::new();
    assert_snapshot!(head(&bench.screen("plan [DIR]/collection --budget 5 --strict"), 10), @r"
    $ rehouse plan [DIR]/collection --budget 5 --strict
    Needs a decision  1 lot: test the fluid first (1)
    Placed            2 of 10 lots: 2 on hand; 1 waits for the price of a tank
    Deferred          3 lots: 2 of priority 2, 1 of priority 4
    Held              3 lots, not to be moved
    Cost              3.63 crowns of a budget of 5.00: fluid 3.63
    Work              0.5 h: 2 moves; about 1 working day for 1 person at 5 h a day
                      from the shelf now: 2 lots, 0.5 h
    Fluid             2.607 l: ethanol-70 0.246, formalin-10 2.361
    Proof             proved best: fewest deferred by priority, then least cost, then least fluid
    [99 lines]
    --- exit code 1
    ");
}

#[test]
fn a_plan_without_time_to_search_reports_it_and_passes_the_audit() {
    let bench = Bench::new();
    let screen = bench.screen("plan collection --set solver.time_limit_s=0 --out plan");
    assert_snapshot!(head(&screen, 9), @r"
    $ rehouse plan collection --set solver.time_limit_s=0 --out plan
    Needs a decision  1 lot: test the fluid first (1)
    Placed            4 of 10 lots: 2 on hand, 2 to order; 1 waits for the price of a tank
    Deferred          1 lot: 1 of priority 4
    Held              3 lots, not to be moved
    Cost              50.07 crowns of a budget of 51.00: vessels 30.40 + delivery 13.50 + fluid 6.17
    Work              1 h: 4 moves; about 2 working days for 1 person at 5 h a day
                      from the shelf now: 2 lots, 0.5 h
                      when the order arrives (delivery time not stated): 2 lots, 0.5 h
    [117 lines]
    --- exit code 0
    ");
    assert_snapshot!(bench.screen("audit plan"), @r"
    $ rehouse audit plan
    plan: every figure was recalculated and agrees; every file was made again and is the same.
    Not compared: its copies of the inputs (--against DIR), and plan.json itself (--digest HEX).
    --- exit code 0
    ");
}

#[test]
fn rows_on_hold_with_picric_acid_or_on_loan_are_never_moved() {
    let bench = Bench::new();
    assert_snapshot!(bench.screen("why T-08 T-09 T-10 --in collection"), @r#"
    $ rehouse why T-08 T-09 T-10 --in collection
    T-08 Erinaceus europaeus embryo
      40 × 25 × 25 mm (length × width × height), ethanol-70, to keep 10 years, priority 3
      held; hold: on show until May

    T-09 Lumbricus terrestris
      90 × 8 × 8 mm (length × width × height), ethanol-70, to keep 10 years, priority 3
      held; picric acid: not moved; call a specialist

    T-10 Salmo trutta
      150 × 30 × 45 mm (length × width × height), ethanol-70, to keep 10 years, priority 3
      held; disposition: on loan

    --- exit code 0
    "#);
    for flags in ["", " --budget 100000", " --accept-unproven", " --set tanks=when%cheaper --set budget=\"\""] {
        bench.screen(&format!("plan collection --replace --out plan{flags}"));
        let placements = table(&bench.path("plan/placements.csv"));
        for number in ["T-08", "T-09", "T-10"] {
            let placement = row(&placements, "catalogNumber", number);
            let said = ["outcome", "vessel", "fluid_ml", "review"].map(|column| placement[column].as_str());
            assert_eq!(said, ["held", "", "", ""], "{number}{flags}");
        }
    }
}
