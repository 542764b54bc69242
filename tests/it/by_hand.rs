//! What an experienced keeper does by hand: a body turned below a neck, a coil tighter than usual. Such fits are options, with a mark.

use crate::support::{Planned, TestProject};

const SURVEY: &str = "catalogNumber,length_mm,width_mm,height_mm,outline,posture,fluid,current_fluid,tissue_ml\n";
const STOCK: &str =
    "vessel,form,inner_diameter_mm,inner_height_mm,body_height_mm,mouth_diameter_mm,material,closure,on_hand\n";

fn planned(body: &str, vessel: &str, settings: &str) -> Planned {
    TestProject::new()
        .file("specimens.csv", format!("{SURVEY}A-1,{body}\n"))
        .file("vessels.csv", format!("{STOCK}jar,cylinder,{vessel},borosilicate,ground-glass-stopper,1\n"))
        .file("settings.toml", settings)
        .planned()
}

/// Whether the lot is placed, and whether a mark and a warning of one lot tell how.
fn said(planned: &Planned, mark: &str, warning: &str) -> (bool, bool, bool) {
    let placement = planned.placement("A-1");
    let warnings = planned.plan["warnings"].as_array().expect("a list");
    let counts = |one: &serde_json::Value| one["lots"] == 1 || one["bodies"] == 1;
    let warned = warnings.iter().any(|one| one["kind"] == warning && counts(one));
    (placement["outcome"] == "on hand", placement["review"].contains(mark), warned)
}

#[test]
fn a_body_is_turned_below_the_neck_where_that_is_allowed_and_there_is_room() {
    // Lying, the body is 84 mm long and does not pass the mouth of 60 mm; end on it does. Walls of 5 mm leave 90 mm across to turn it.
    let jar = "100,130,110,60";
    let turning =
        |body: &str, jar: &str| said(&planned(body, jar, "turning = true\n"), "turned below the neck", "turned-in");
    let body = "84,20,40,rounded,as-set,ethanol-70,ethanol-70,20";
    assert_eq!(turning(body, jar), (true, true, true));
    assert_eq!(
        said(&planned(body, jar, ""), "turned", "turned-in"),
        (false, false, false),
        "only where it is asked for"
    );
    // A box is 93 mm across while it is turned.
    assert_eq!(turning("84,20,40,box,as-set,ethanol-70,ethanol-70,20", jar), (false, false, false));
    assert_eq!(turning("70,20,40,box,as-set,ethanol-70,ethanol-70,20", jar), (true, true, true));
    // A low neck leaves no room to turn; through a narrow mouth no end passes.
    assert_eq!(turning(body, "100,130,80,60"), (false, false, false));
    assert_eq!(turning(body, "100,130,110,40"), (false, false, false));
    // A body that enters in its final stance has no mark.
    assert_eq!(turning(body, "100,130,110,99"), (true, false, false));
    let upright = "84,20,40,rounded,either,ethanol-70,ethanol-70,20";
    assert_eq!(turning(upright, jar), (true, false, false), "as it stands comes before by hand");
}

#[test]
fn a_body_that_was_not_measured_goes_into_no_vessel_that_holds_less_than_its_own() {
    // The same measures; the shoulders differ.
    let placed = |holds: &str| {
        let survey = "catalogNumber,length_mm,width_mm,height_mm,fluid,current_fluid,current_vessel,must_not_use\n\
                      A-1,,,,ethanol-70,ethanol-70,old,old\n";
        let jar = |name: &str, holds: &str, pieces: u32| {
            format!("{name},cylinder,60,110,{holds},borosilicate,ground-glass-stopper,{pieces}\n")
        };
        let stock = format!(
            "vessel,form,inner_diameter_mm,inner_height_mm,capacity_ml,material,closure,on_hand\n{}{}",
            jar("old", "300", 0),
            jar("new", holds, 1)
        );
        let planned = TestProject::new().file("specimens.csv", survey).file("vessels.csv", stock).planned();
        let placement = planned.placement("A-1");
        (placement["outcome"].clone(), placement["reason"].clone())
    };
    assert_eq!(placed("300").0, "on hand");
    assert_eq!(placed("").0, "on hand");
    let (outcome, reason) = placed("290");
    assert_eq!(outcome, "needs a decision");
    assert!(reason.contains("new: holds less than its present vessel: 10 ml less"), "{reason}");
}

#[test]
fn a_coil_with_a_core_of_two_thicknesses_is_an_option_and_marked() {
    // Walls take 5 % on each side: cores of 2.14, 3.4 and 1.96 thicknesses.
    let coil = "400,10,10,rounded,coil,ethanol-70,ethanol-70,";
    let coiled = |bore: &str, settings: &str| {
        said(&planned(coil, &format!("{bore},90,,"), settings), "tight coil", "tight-coil")
    };
    assert_eq!(coiled("46", ""), (true, true, true));
    assert_eq!(coiled("60", ""), (true, false, false));
    assert_eq!(coiled("44", ""), (false, false, false));
    assert_eq!(coiled("46", "[clearance]\ncoil_core_least = 3\n"), (false, false, false));
    // Stated alone, each of the two holds, and the default of the other gives way: a core of 3.4 is less than 3.5, one of 1.96
    // is more than 1.9.
    assert_eq!(coiled("60", "[clearance]\ncoil_core_least = 3.5\n"), (false, false, false));
    assert_eq!(coiled("44", "[clearance]\ncoil_core = 1.9\n"), (true, false, false));
}
