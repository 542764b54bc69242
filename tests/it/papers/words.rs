//! Wording of papers and files that outside people read: the trade's terms, and singular or plural as due.

use std::fs;
use std::path::Path;

use crate::support::{TestProject, row, table};

const SURVEY: &str =
    "catalogNumber,individualCount,length_mm,width_mm,height_mm,outline,posture,fluid,current_fluid,tissue_ml\n";
const STOCK: &str = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n";

/// The text of a page without its style and tags.
fn read(page: &str) -> String {
    let (mut text, mut rest) = (String::new(), page);
    while let Some((before, after)) = rest.split_once('<') {
        text.push_str(before);
        text.push(' ');
        let styled = after.strip_prefix("style").and_then(|after| after.split_once("</style>"));
        rest = styled.or_else(|| after.split_once('>')).map_or("", |(_, after)| after);
    }
    text + rest
}

/// The demo project with all its papers.
fn papers() -> [(&'static str, String); 4] {
    let folder = tempfile::tempdir().expect("a folder");
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data");
    let flags = ["--papers", "all", "--out"].map(Path::new);
    let ran =
        TestProject::run(&[&[Path::new("plan"), &demo], &flags[..], &[folder.path().join("plan").as_path()]].concat());
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    ["report.html", "transfer-sheets.html", "labels.html", "fire-sheet.html"]
        .map(|name| (name, fs::read_to_string(folder.path().join("plan").join(name)).expect(name)))
}

#[test]
fn papers_speak_of_lots_and_never_of_rows() {
    for (name, page) in papers() {
        let text = read(&page);
        let words: Vec<&str> = text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
        assert!(words.len() > 200, "{name}: {} words", words.len());
        let at = words.iter().position(|word| ["row", "rows", "Row", "Rows"].contains(word));
        assert_eq!(at.map(|at| words[at.saturating_sub(5)..].iter().take(10).collect::<Vec<_>>()), None, "{name}");
    }
}

#[test]
fn the_report_goes_from_the_decision_to_orders_glazier_drawings_and_annex() {
    let [(_, report), _, _, (_, fire)] = papers();
    let sections: Vec<&str> =
        report.split("<section id=\"").skip(1).filter_map(|section| section.split('"').next()).collect();
    let wanted = ["decisions", "order", "tanks", "vessels", "sizes", "settings"];
    let at = wanted.map(|id| sections.iter().position(|section| *section == id).unwrap_or_else(|| panic!("no {id}")));
    assert!(at.is_sorted(), "{sections:?}");
    assert!(at[0] == 0 && read(&report).contains("Settle these first"));
    assert!(fire.contains("Quantities the fire authority usually asks about"));
}

#[test]
fn gaps_of_one_individual_of_a_lot_are_labelled_as_such() {
    let survey = format!(
        "{SURVEY}A-1,6,40,14,12,rounded,as-set,ethanol-70,ethanol-70,20\nA-2,1,40,14,12,rounded,as-set,ethanol-70,ethanol-70,5\n"
    );
    let stock = format!("{STOCK}jar,cylinder,60,80,borosilicate,ground-glass-stopper,4\n");
    let case = TestProject::new().file("specimens.csv", survey).file("vessels.csv", stock);
    let planned = case.planned();
    let written = table(&case.out().join("placements.csv"));
    let said = |key: &str| row(&written, "catalogNumber", key).get("gaps_of").cloned();
    assert_eq!([said("A-1"), said("A-2")].map(Option::unwrap_or_default), ["one individual", ""]);
    assert!(
        planned.ran.stdout.contains("wall and cover: for the largest individual of a lot"),
        "{}",
        planned.ran.stdout
    );
}

/// By hand: in a bore of 100 mm with walls of 5 mm a body of 10 mm lies on a circle of 80 mm diameter, 251 mm round.
#[test]
fn a_coil_of_one_turn_is_one_turn() {
    let stock = format!("{STOCK}jar,cylinder,100,150,borosilicate,ground-glass-stopper,2\n");
    let coiled = |length: u32| {
        let survey = format!("{SURVEY}A-1,1,{length},10,10,rounded,coil,ethanol-70,ethanol-70,15\n");
        let case = TestProject::new().file("specimens.csv", survey).file("vessels.csv", &stock);
        let project = case.project();
        TestProject::run(&[Path::new("why"), Path::new("A-1"), Path::new("--in"), &project]).stdout
    };
    assert!(coiled(251).contains("coiled along the wall: 1 turn, open core 70 mm"), "{}", coiled(251));
    assert!(coiled(503).contains("coiled along the wall: 2 turns, open core 70 mm"), "{}", coiled(503));
}

#[test]
fn one_body_is_in_the_singular_and_two_are_in_the_plural() {
    const LEANING: &str = "135,10,10,box,upright,ethanol-70,ethanol-70,12\n";
    let case_of = |lots: &str| {
        TestProject::new()
            .file("specimens.csv", format!("{SURVEY}{lots}"))
            .file("vessels.csv", format!("{STOCK}jar,cylinder,90,150,borosilicate,ground-glass-stopper,2\n"))
            .file("settings.toml", "leaning = true\n")
    };
    let said = |keys: &[&str]| {
        let lots: String = keys.iter().map(|key| format!("{key},1,{LEANING}")).collect();
        case_of(&lots).planned().plan["warnings"].to_string()
    };
    let one = said(&["A-1"]);
    assert!(one.contains("1 body leans in the vessel and needs support"), "{one}");
    let two = said(&["A-1", "A-2"]);
    assert!(two.contains("2 bodies lean in the vessel and need support"), "{two}");
    // Each body of a lot is supported.
    let lot = case_of(&format!("A-1,3,{LEANING}A-2,1,{LEANING}")).planned().plan["warnings"].to_string();
    assert!(lot.contains("4 bodies lean in the vessel and need support"), "{lot}");
}
