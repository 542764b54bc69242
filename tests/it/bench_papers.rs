//! Transfer sheets and labels: every row that moves once, in working order, a day's work to a sheet.

use std::fs;

use super::support::{Case, Planned, rows};

const STOCK: &str = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n\
                     JAR,cylinder,70,100,borosilicate,pp-cap-ptfe,40\nTUBE,cylinder,16,60,borosilicate,pp-cap-ptfe,40\n";
const SURVEY: &str = "catalogNumber,scientificName,length_mm,width_mm,height_mm,individualCount,max_vessels,tissue_ml,fluid,priority,\
                      current_fluid,location,hazard,hold,locality,must_use\n\
                      C-3,<b>Rana</b>,60,20,20,,,,ethanol-70,3,formalin-10,Bay 2,human,,\"Pond, \"\"N\"\"\",JAR\n\
                      A-1,Esox lucius,60,20,20,,,,formalin-10,2,,Bay 1,,,,JAR\n\
                      B-2,Esox lucius,60,20,20,,,,ethanol-70,3,,Bay 1,,,,JAR\n\
                      B-1,Esox lucius,60,20,20,,,,ethanol-70,1,,Bay 1,,,,JAR\n\
                      D-1,Tinca tinca,55,22,22,12,3,180,ethanol-70,3,,Bay 3,,,,JAR\n\
                      E-1,Held,60,20,20,,,,ethanol-70,3,,Bay 1,,on loan,,\n\
                      F-1,Small,20,6,6,,,,ethanol-70,3,,Bay 4,,,,TUBE\n";

/// A plan, the text of its transfer sheets and of its labels.
fn papers(settings: &str) -> (Planned, String, Vec<u8>, String) {
    let case = Case::new().file("specimens.csv", SURVEY).file("vessels.csv", STOCK).file("settings.toml", settings);
    let planned = case.planned();
    let read = |name: &str| fs::read(case.out().join(name)).expect(name);
    let text = |name: &str| String::from_utf8(read(name)).expect("text");
    (planned, text("transfer-sheets.html"), read("labels.csv"), text("labels.html"))
}

#[test]
fn every_row_that_moves_has_its_lines_in_working_order() {
    let (planned, sheets, ..) = papers("");
    let at = |key: &str| sheets.find(&format!("<b>{key}</b>")).unwrap_or_else(|| panic!("{key} is on no sheet"));
    // Bay by bay, fluids in table order, the more urgent first.
    let order = ["B-1", "B-2", "A-1", "C-3", "D-1", "F-1"].map(at);
    assert!(order.is_sorted(), "{order:?}");
    assert!(!sheets.contains("E-1"), "what is held is not moved");
    assert!(sheets.contains("Not here: 1 are held"));
    let jars: u32 = planned.placement("D-1")["vessels_used"].parse().expect("a number");
    assert!(jars > 1);
    for jar in 1..=jars {
        assert_eq!(sheets.matches(&format!("jar {jar} of {jars}")).count(), 1);
    }
    assert_eq!(sheets.matches("<tr><td>").count(), 5 + jars as usize);
    for said in ["HUMAN", "flammable", "formaldehyde: extraction", "bath: ", "old labels moved", "initials"] {
        assert!(sheets.contains(said), "{said}");
    }
}

#[test]
fn a_sheet_is_a_days_work() {
    for (settings, sheets) in [("per_day = 2\n", 3), ("per_day = 6\n", 1), ("", 1)] {
        let (_, text, ..) = papers(settings);
        assert_eq!(text.matches("<section>").count(), sheets, "{settings}");
        assert!(text.contains(&format!("Sheet 1 of {sheets}")));
    }
}

#[test]
fn every_vessel_has_a_label_with_what_the_survey_carries() {
    let (planned, _, csv, html) = papers("[labels]\nwidth_mm = 50\nheight_mm = 30\n");
    let labels = rows(&csv);
    let jars: usize = planned.placement("D-1")["vessels_used"].parse().expect("a number");
    assert_eq!(labels.len(), 5 + jars);
    assert_eq!(html.matches("<div class=\"label\">").count(), labels.len());
    let label = labels.iter().find(|label| label["catalogNumber"] == "C-3").expect("a label");
    assert_eq!(
        (label["fluid"].as_str(), label["strength_pct"].as_str(), label["jar"].as_str()),
        ("ethanol-70", "70", "1")
    );
    assert_eq!((label["locality"].as_str(), label["date_filled"].as_str()), ("Pond, \"N\"", ""));
    assert!(html.contains("width:50mm;height:30mm"));
    assert!(html.contains("A label of this size cannot stand in: TUBE."));
    let warnings = planned.plan["warnings"].to_string();
    assert!(warnings.contains("a label of 50 × 30 mm cannot stand in: TUBE"), "{warnings}");
}

#[test]
fn what_a_person_typed_is_shown_and_nothing_is_fetched() {
    let (_, sheets, _, labels) = papers("");
    for paper in [sheets, labels] {
        assert!(paper.contains("&lt;b&gt;Rana&lt;/b&gt;") && !paper.contains("<b>Rana"));
        for reference in ["http", "src=", "<script", "url(", "@import"] {
            assert!(!paper.contains(reference), "{reference}");
        }
    }
}
