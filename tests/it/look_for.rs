//! Vessels to look for: a vessel with the requested measures, or a larger one, places the row.

use serde_json::Value;

use crate::support::{Planned, TestProject};

const SURVEY: &str = "catalogNumber,length_mm,width_mm,height_mm,outline,posture,fluid,current_fluid,display,tissue_ml,individualCount,\
                      max_vessels,max_outer_height_mm,clearance_mm,keep_years,must_use\n";
const STOCK: &str = "vessel,form,inner_diameter_mm,inner_length_mm,inner_width_mm,inner_height_mm,mouth_diameter_mm,capacity_ml,\
                     material,closure,on_hand\n";
/// A vessel that no row fits.
const SMALL: &str = "thimble,cylinder,4,,,6,,,borosilicate,ground-glass-stopper,1\n";

fn planned(rows: &str, vessels: &str, settings: &str) -> Planned {
    let case = TestProject::new().file("specimens.csv", format!("{SURVEY}{rows}"));
    case.file("vessels.csv", format!("{STOCK}{SMALL}{vessels}")).file("settings.toml", settings).planned()
}

/// The requested measures, as numbers.
#[derive(Debug)]
struct RequestedVessel {
    sides: Vec<f64>,
    round: bool,
    mouth: Option<f64>,
    pieces: u32,
}

fn asked(text: &str) -> RequestedVessel {
    let (sides, rest) = text
        .trim_start_matches("A jar of ")
        .strip_prefix("at least ")
        .and_then(|text| text.split_once(" mm inside ("))
        .unwrap_or_else(|| panic!("{text}"));
    let after = |word: &str| {
        let rest = &rest[rest.find(word)? + word.len()..];
        rest.trim().split([' ', ',']).next()?.parse::<f64>().ok()
    };
    let pieces =
        rest.split(", ").find_map(|part| part.strip_suffix(" of them")).map_or(1, |n| n.parse().expect("a number"));
    RequestedVessel {
        sides: sides.split(" × ").map(|side| side.parse().expect("a number")).collect(),
        round: rest.starts_with("round"),
        mouth: after(", mouth "),
        pieces,
    }
}

/// A line of the stock list for a vessel with the requested measures times `times`.
fn found(asked: &RequestedVessel, closure: &str, times: f64) -> String {
    let sides: Vec<f64> = asked.sides.iter().map(|side| side * times).collect();
    let (plan, height) = match sides[..] {
        [bore, height] if asked.round => (format!("cylinder,{bore},,"), height),
        [length, width, height] if !asked.round => (format!("rectangular,,{length},{width}"), height),
        _ => panic!("{asked:?}"),
    };
    let mouth = asked.mouth.map_or(String::new(), |mouth| (mouth * times).to_string());
    format!("jar,{plan},{height},{mouth},,borosilicate,{closure},{}\n", asked.pieces)
}

fn wants(planned: &Planned) -> Vec<(String, bool)> {
    let wants = planned.plan["wants"].as_array().expect("a list");
    let of = |want: &Value| (want["text"].as_str().expect("text").to_owned(), !want["instead_of_tank"].is_null());
    wants.iter().map(of).collect()
}

#[test]
fn a_vessel_as_requested_or_larger_places_the_row() {
    let bodies = [
        "55,42,30,rounded,as-set",
        "55,42,30,box,as-set",
        "80,40,12,box,upright",
        "80,40,12,rounded,any",
        "420,9,9,rounded,coil",
        "30,30,30,box,either",
        "120,55,18,box,any",
        "58,58,200,rounded,as-set",
        "6,4,3,rounded,either",
    ];
    let fluids = [("ethanol-70", 10), ("formalin-10", 10), ("ethanol-96", 5), ("glycerol-70", 10)];
    let displays = ["", "clear", "flat"];
    let more = [",1,1,,,", "20,3,3,,,", ",1,1,,2.5,", "180,12,1,,,"];
    for (i, body) in bodies.iter().enumerate() {
        for (j, display) in displays.iter().enumerate() {
            let (fluid, years) = fluids[(i + j) % 4];
            // The smallest body has too little tissue for the other settings.
            let more = if body.starts_with("6,") { more[0] } else { more[(2 * i + j) % 4] };
            let row = format!("A-1,{body},{fluid},{fluid},{display},{more}{years},\n");
            let planned_now = planned(&row, "", "");
            let wants = wants(&planned_now);
            if planned_now.placement("A-1")["outcome"] != "needs a decision" {
                continue;
            }
            let [(text, false)] = &wants[..] else { panic!("{row}: {wants:?}") };
            assert_eq!(text.contains("(rectangular)"), *display == "flat", "{row}: {text}");
            assert_eq!(text.contains("clear"), !display.is_empty(), "{row}: {text}");
            let asked = asked(text);
            for (closure, times) in
                [("ground-glass-stopper", 1.0), ("pp-cap-ptfe", 1.0 + 0.3 * j as f64 + 0.2 * i as f64)]
            {
                let vessel = found(&asked, closure, times);
                let with = planned(&row, &vessel, "");
                let placement = with.placement("A-1");
                assert_eq!(placement["outcome"], "on hand", "{row}: {text}: {vessel}: {}", placement["reason"]);
            }
        }
    }
}

#[test]
fn no_vessel_is_requested_that_the_rules_would_refuse() {
    // Longer than any material lasts; under a shelf that is too low; restricted to a tank that the lot is too small for.
    let never = planned("A-1,40,12,10,rounded,as-set,ethanol-70,ethanol-70,,,,,,,900,\n", "", "");
    let [(text, false)] = &wants(&never)[..] else { panic!("{:?}", wants(&never)) };
    assert!(text.contains("no material and closure") && !text.contains("at least"), "{text}");
    let low = planned("A-1,40,12,90,rounded,as-set,ethanol-70,ethanol-70,,,,,50,,,\n", "", "");
    let [(text, false)] = &wants(&low)[..] else { panic!("{:?}", wants(&low)) };
    assert!(
        text.starts_with("no suitable size of vessel was found: check ") && text.contains("max_outer_height_mm"),
        "{text}"
    );
    let pinned = planned("A-1,40,12,10,rounded,as-set,ethanol-70,ethanol-70,,,,,,,,@tank\n", "", "");
    assert_eq!(wants(&pinned), []);
    // Under a shelf that is high enough, the limit is part of the request.
    let high = planned("A-1,40,12,90,rounded,as-set,ethanol-70,ethanol-70,,,,,150,,,\n", "", "");
    assert!(wants(&high)[0].0.contains("at most 150 mm high outside"), "{:?}", wants(&high));
}

#[test]
fn a_jar_is_requested_in_place_of_a_tank() {
    let row = "A-1,150,90,80,rounded,as-set,formalin-10,formalin-10,,,,,,,,\n";
    let with_tank = planned(row, "", "currency = \"crowns\"\n");
    assert_eq!(with_tank.placement("A-1")["outcome"], "custom tank");
    let [(text, true)] = &wants(&with_tank)[..] else { panic!("{:?}", wants(&with_tank)) };
    let cost: f64 = with_tank.tanks[0]["cost"].parse().expect("a price");
    assert!(
        text.ends_with(&format!(" would also do: ask for one before paying {cost:.2} crowns for a tank")),
        "{text}"
    );
    let unfolded = with_tank.ran.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(unfolded.contains(text.as_str()), "{text} is on the screen");
    // Once found, the jar takes the place of the tank.
    let jar = found(&asked(text), "ground-glass-stopper", 1.0);
    assert_eq!(planned(row, &jar, "").placement("A-1")["outcome"], "on hand");
    // No jar of this size is made.
    let large = planned("A-1,660,110,460,box,as-set,formalin-10,formalin-10,,,,,,,,\n", "", "");
    assert_eq!(large.placement("A-1")["outcome"], "custom tank");
    assert_eq!(wants(&large), []);
}

#[test]
fn requested_inner_measures_hold_the_tissue() {
    // Much tissue in a flat box: 310 × 40 × 26 mm hold 322 ml.
    for row in [
        "A-1,300,30,18,box,as-set,ethanol-70,ethanol-70,flat,155,,,,,,\n",
        "A-1,30,6,6,rounded,upright,ethanol-70,ethanol-70,,40,60,,,,,\n",
        "A-1,30,6,6,rounded,upright,ethanol-70,ethanol-70,,40,60,,60,,,\n",
    ] {
        let now = planned(row, "", "[tank]\nsmallest_side_mm = 500\n");
        let [(text, false)] = &wants(&now)[..] else { panic!("{row}: {:?}", wants(&now)) };
        assert!(!text.contains("holding"), "{text}");
        let vessel = found(&asked(text), "ground-glass-stopper", 1.0);
        let placement = planned(row, &vessel, "");
        assert_eq!(placement.placement("A-1")["outcome"], "on hand", "{text}: {vessel}");
    }
}

#[test]
fn closures_and_materials_are_named_where_common_ones_do_not_serve() {
    let carnoy = planned("A-1,40,12,10,rounded,as-set,carnoy,carnoy,,,,,,,,\n", "", "");
    let [(text, false)] = &wants(&carnoy)[..] else { panic!("{:?}", wants(&carnoy)) };
    assert!(
        text.contains("; closure: ground-glass-stopper, flame-sealed-ampoule") && !text.contains("pp-cap"),
        "{text}"
    );
    assert!(text.contains("material: borosilicate"), "{text}");
    let usual = planned("A-1,40,12,10,rounded,as-set,formalin-10,formalin-10,,,,,,,,\n", "", "");
    assert!(!wants(&usual)[0].0.contains("closure"), "{:?}", wants(&usual));
}
