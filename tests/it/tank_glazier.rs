//! The sheet for the glazier, and tanks of other materials.

use std::fs;
use std::path::Path;

use quick_xml::Reader;
use quick_xml::events::Event;
use rehouse::intake::default_rules;
use rehouse::options::tank::TankPriceBasis;
use rehouse::plan::Tank;
use rehouse::rules::Verdict;
use rehouse::tank::ways_out::{LargeVessel, WayOut, ways_out};
use rehouse::words::tank as words;
use tempfile::TempDir;

use super::audit_mutations::planned;
use super::audit_mutations::scenes::project;
use super::support::TestProject;

const TANK: [&str; 9] = ["tank", "--length", "2000", "--width", "400", "--height", "400", "--fluid", "formalin-10"];

/// Runs the program with these arguments; returns the sheet that it wrote, if any.
fn sheet(arguments: &[&str]) -> (super::support::Ran, Option<String>) {
    let folder = TempDir::new().expect("a temporary folder");
    let file = folder.path().join("glazier.html");
    let all = arguments.iter().map(Path::new).chain([Path::new("--html"), file.as_path()]);
    let ran = TestProject::run(&all.collect::<Vec<_>>());
    (ran, fs::read_to_string(&file).ok())
}

/// The pane numbers in the first cell of a row of the pane list.
fn numbers_of(row: &str) -> Vec<String> {
    let first = row.split("</t").next().and_then(|cell| cell.rsplit('>').next()).unwrap_or_default();
    first.split(", ").map(str::to_owned).collect()
}

/// The rectangles of the first drawing: left, top, width, height.
fn rectangles(sheet: &str) -> Vec<[f64; 4]> {
    let drawing = sheet.split("</svg>").next().unwrap();
    let number = |tag: &str, key: &str| -> f64 {
        let after = tag.split(&format!(" {key}=\"")).nth(1).unwrap_or_else(|| panic!("{key} in {tag}"));
        after.split('"').next().unwrap().parse().unwrap()
    };
    let tags = drawing.split("<rect").skip(1).map(|rest| rest.split('>').next().unwrap());
    tags.map(|tag| ["x", "y", "width", "height"].map(|key| number(tag, key))).collect()
}

#[test]
fn the_drawing_shows_the_construction_and_where_every_strip_lies() {
    // The rectangles in order: lid, base and two end walls in section, then in plan two long walls, two end walls, strips.
    let (_, standing) =
        sheet(&["tank", "--length", "300", "--width", "200", "--height", "200", "--fluid", "formalin-10"]);
    let standing = standing.expect("a sheet");
    assert!(standing.contains("walls on base"), "{standing}");
    let of = rectangles(&standing);
    let [lid, base, wall] = [of[0], of[1], of[2]];
    assert_eq!(of.len(), 8);
    assert_eq!((base[0], base[2]), (lid[0], lid[2]), "the base is as long as the lid");
    assert!((wall[1] + wall[3] - base[1]).abs() < 0.02, "the walls stand on it");
    let (_, inside) = sheet(&[
        "tank",
        "--length",
        "1500",
        "--width",
        "400",
        "--height",
        "500",
        "--fluid",
        "formalin-10",
        "--set",
        "tank.seam_mpa=0.14",
    ]);
    let inside = inside.expect("a sheet");
    assert!(inside.contains("base inside") && inside.contains("the cross strip"), "{inside}");
    let of = rectangles(&inside);
    let [base, left, right] = [of[1], of[2], of[3]];
    assert!(
        (base[0] - (left[0] + left[2])).abs() < 0.02 && (base[0] + base[2] - right[0]).abs() < 0.02,
        "between the walls"
    );
    assert!((left[1] + left[3] - (base[1] + base[3])).abs() < 0.02, "which reach down beside it");
    // Two end strips, one across in the middle, two along: all between the walls.
    let strips = &of[8..13];
    // In section under the lid: the long strip behind, and the strips that are cut, two at the ends and one in the middle.
    let [along, cut @ ..] = &of[13..] else { panic!("{of:?}") };
    assert_eq!(cut.len(), 3);
    assert!((along[1] - (of[0][1] + of[0][3])).abs() < 0.02, "flush with the rim");
    for strip in cut {
        assert!((strip[1] - (along[1] + along[3])).abs() < 0.02, "{strip:?} under {along:?}");
    }
    let plan = [of[4][0] + left[2], of[4][1] + of[4][3], of[4][2] - 2.0 * left[2], of[5][1] - of[4][1] - of[4][3]];
    for strip in strips {
        assert!(strip[0] >= plan[0] - 0.02 && strip[0] + strip[2] <= plan[0] + plan[2] + 0.02, "{strip:?} in {plan:?}");
        assert!(strip[1] >= plan[1] - 0.02 && strip[1] + strip[3] <= plan[1] + plan[3] + 0.02, "{strip:?} in {plan:?}");
    }
    let middle = strips[2][0] + strips[2][2] / 2.0;
    assert!((middle - plan[0] - plan[2] / 2.0).abs() < 0.02, "the one across lies in the middle");
}

#[test]
fn the_sheet_has_numbered_panes_fluid_sealant_order_of_work_and_a_place_for_a_name() {
    let (ran, sheet) = sheet(&TANK);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let sheet = sheet.expect("a sheet");
    let panes = sheet.split("<caption>Panes</caption>").nth(1).and_then(|rest| rest.split("</table>").next()).unwrap();
    let rows: Vec<&str> = panes.split("<tr>").filter(|row| row.contains("<td")).collect();
    let numbers: Vec<String> = rows.iter().flat_map(|row| numbers_of(row)).collect();
    assert_eq!(numbers, (1..=numbers.len()).map(|number| number.to_string()).collect::<Vec<_>>(), "{panes}");
    for (pane, least) in
        [("long wall", 2), ("end wall", 2), ("base", 1), ("lid", 1), ("long strip", 2), ("end strip", 2)]
    {
        let of_pane = rows.iter().filter(|row| row.contains(&format!(">{pane}<")));
        let of_pane: Vec<&&str> = of_pane.collect();
        let n: usize = of_pane.iter().map(|row| numbers_of(row).len()).sum();
        let boxes: usize = of_pane.iter().map(|row| row.matches('☐').count()).sum();
        assert!(n >= least && boxes == n, "{pane}: {n} numbers, {boxes} boxes to tick");
    }
    let drawing = sheet.split("</svg>").next().unwrap();
    for number in &numbers {
        assert!(drawing.contains(&format!(">{number}</text>")), "{number} is not in the drawing");
    }
    for words in [
        "Formalin 10 % (4 % formaldehyde)",
        "one-part silicone",
        "inside fillet 6 mm",
        "Order of work",
        "bond the end strips",
        "fill with water",
        "checked by",
        "Planning figures for a competent fabricator",
    ] {
        assert!(sheet.contains(words), "{words}");
    }
    let mut reader = Reader::from_str(sheet.trim_start_matches("<!DOCTYPE html>"));
    loop {
        match reader.read_event().expect("well formed") {
            Event::Eof => break,
            _ => continue,
        }
    }
    assert!(ran.stderr.contains("sign it"), "{}", ran.stderr);
}

/// A strip may bend by a thousandth of its span, and the walls are computed as if it did not (common practice, no source).
#[test]
fn the_limits_of_the_design_state_that_a_brace_is_taken_as_rigid() {
    let (screen, sheet) = sheet(&TANK);
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    for text in [&screen.stdout, &sheet.expect("a sheet")] {
        let after = words(text).split_once("Limits of this design").map(|(_, rest)| rest.to_owned());
        assert!(after.is_some_and(|rest| rest.contains("taken as rigid supports of the walls")), "{text}");
    }
    let free =
        ["tank", "--length", "300", "--width", "200", "--height", "200", "--fluid", "formalin-10"].map(Path::new);
    assert!(!TestProject::run(&free).stdout.contains("rigid supports"));
}

#[test]
fn no_sheet_is_written_without_a_design_nor_over_the_settings() {
    let (ran, sheet) =
        sheet(&["tank", "--length", "300", "--width", "200", "--height", "200", "--fluid", "ethanol-70"]);
    assert_eq!((ran.code, sheet), (1, None));
    assert!(ran.stderr.contains("Nothing was written"), "{}", ran.stderr);
    let folder = TempDir::new().expect("a temporary folder");
    let settings = folder.path().join("settings.toml");
    fs::write(&settings, "currency = \"crowns\"\n").unwrap();
    let flags = [Path::new("--settings"), &settings, Path::new("--html"), &settings];
    let all: Vec<&Path> = TANK.iter().map(Path::new).chain(flags).collect();
    assert_eq!(TestProject::run(&all).code, 2);
    assert_eq!(fs::read_to_string(&settings).unwrap(), "currency = \"crowns\"\n");
}

const STOCK: &str = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n\
                     JAR-50,cylinder,50,90,borosilicate,pp-cap-ptfe,2\n";

/// A word in the description of a large vessel, its material, and the vessel.
const MADE_OF: [(&str, &str, LargeVessel); 5] = [
    ("stainless", "stainless-steel-316", LargeVessel::SteelTank),
    ("HDPE", "hdpe", LargeVessel::HdpeTank),
    ("polypropylene", "polypropylene", LargeVessel::PolypropyleneTank),
    ("borosilicate", "borosilicate", LargeVessel::BorosilicateVessel),
    ("soda-lime", "soda-lime", LargeVessel::SodaLimeVessel),
];

#[test]
fn no_material_is_recommended_that_the_compatibility_table_refuses() {
    let rules = default_rules();
    for fluid in rules.fluids.iter().filter(|fluid| !fluid.present_only) {
        let id = rules.fluid_named(&fluid.id).expect("its own id");
        let ways = ways_out(&rules, id);
        assert_eq!(ways.last(), Some(&WayOut::ChangeOfFluid), "{}", fluid.id);
        for (word, material, made) in MADE_OF {
            let verdict = rules.compatibility.material(id, rules.material_named(material).expect("a material"));
            let way = ways.iter().find(|way| matches!(way, WayOut::Vessel { vessel, .. } if *vessel == made));
            let limited = match verdict {
                Verdict::Permanent => Some(None),
                Verdict::Limited(years) => Some(Some(years)),
                Verdict::Unproven | Verdict::Unsuitable => None,
            };
            let expected = limited.map(|years| WayOut::Vessel { vessel: made, years });
            assert_eq!(way, expected.as_ref(), "{material} in {}: {ways:?}", fluid.id);
            assert!(way.is_none_or(|way| words::way_out(way).contains(word)), "{material}");
        }
    }
}

#[test]
fn a_tank_for_an_oil_is_of_glass_in_one_piece_and_not_of_plastic() {
    let survey = "catalogNumber,length_mm,width_mm,height_mm,tissue_ml,fluid,posture\n\
                  A-01,300,90,120,100,methyl-salicylate,as-set\nA-02,300,90,120,100,ethanol-70,as-set\n";
    let (_, plan) = planned(project(&[("specimens.csv", survey), ("vessels.csv", STOCK)]));
    assert!(
        plan.tanks
            .iter()
            .map(|tank| tank.price_basis)
            .eq([TankPriceBasis::DoesNotSuit, TankPriceBasis::NotBondedGlass]),
        "{:?}",
        plan.tanks
    );
    assert!(plan.tanks.iter().all(|tank| tank.cost.is_none()));
    // An unsuitable combination has no review mark.
    let marks = |lot: usize| plan.placements[lot].marks.unproven;
    assert!(!marks(0) && marks(1));
    let told = |tank: &Tank| words::price_and_ways_out(tank.price_basis, &tank.ways_out);
    let oil = told(&plan.tanks[0]);
    assert!(oil.contains("borosilicate glass in one piece") && oil.ends_with("price unknown"), "{oil}");
    for refused in ["HDPE", "polypropylene", "steel"] {
        assert!(!oil.contains(refused), "{oil}");
    }
    let alcohol = told(&plan.tanks[1]);
    assert!(alcohol.contains("stainless steel 316"), "{alcohol}");
}
