//! Hours, days and baths: published figures, and small projects worked by hand.

use rehouse::plan::work::{Share, minutes};
use rehouse::settings::{Factor, Settings};

use super::support::{TestProject, figure};

/// The days for this many moves of half an hour each, with this many people.
fn days(rows: usize, people: u32, hours: f64) -> i64 {
    let settings =
        Settings { minutes_per_move: Factor(30.0), people, hours_per_day: Factor(hours), ..Settings::default() };
    Share { rows, times: [rows as i64, 0, 0, 0, 0], longest_baths: 0.0 }.days(&settings)
}

#[test]
fn a_published_project_takes_its_published_months() {
    // D. H. Dicus, Journal of the American Institute for Conservation 39(1), 2000, section 3: planned 31 000 objects of half
    // an hour, 13 people, 8 hours: seven months; in fact 51 000 objects at five hours a day: 19 months. A month is 21 days.
    assert_eq!(days(31_000, 13, 8.0), 150);
    assert_eq!(days(51_000, 13, 5.0), 393);
    assert_eq!((150.0 / 21.0_f64).round(), 7.0);
    assert_eq!((393.0 / 21.0_f64).round(), 19.0);
}

#[test]
fn minutes_add_up_by_kind_of_work() {
    let settings = Settings::default();
    // 10 moves, 2 further vessels, 3 fillings, 4 baths, 1 tank: 150 + 10 + 15 + 20 + 60.
    assert_eq!(minutes(&settings, &[10, 2, 3, 4, 1]), 255.0);
}

const STOCK: &str = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand,supplier,unit_price\n\
                     SHELF,cylinder,70,100,borosilicate,pp-cap-ptfe,40,,\n\
                     WIDE,cylinder,130,180,borosilicate,pp-cap-ptfe,,Foss,4\n";

fn case(rows: &str, settings: &str) -> TestProject {
    let header = "catalogNumber,length_mm,width_mm,height_mm,outline,tissue_ml,fluid,current_fluid,priority,location\n";
    TestProject::new()
        .file("specimens.csv", format!("{header}{rows}"))
        .file("vessels.csv", STOCK)
        .file("suppliers.csv", "supplier,lead_days\nFoss,21\n")
        .file("settings.toml", settings)
}

#[test]
fn days_in_baths_grow_with_the_square_of_the_thickness() {
    // Two days in water, then two baths. The table gives 7 days a bath, here for 30 mm: 15 mm a quarter, 42.4 mm double, and never more than four times.
    let rows = "A,60,30,30,,,ethanol-70,formalin-10,,\nB,60,30,15,,,ethanol-70,formalin-10,,\n\
                C,70,50,42.4,,,ethanol-70,formalin-10,,\nD,90,80,75,,,ethanol-70,formalin-10,,\n\
                E,60,30,8,,,isopropanol-40,formalin-10,,\n";
    let planned = case(rows, "").planned();
    let days = |key: &str| figure(planned.placement(key), "bath_days");
    assert_eq!([days("A"), days("B"), days("C"), days("D")], [16.0, 6.0, 30.0, 58.0]);
    // Washing in water, a day each (USGS Open-File Report 93-104), does not depend on the thickness.
    assert_eq!(days("E"), 2.0);
}

#[test]
fn work_is_grouped_by_its_earliest_start_with_urgent_lots_first() {
    let rows = "A,60,30,30,,,ethanol-70,,3,Bay 1\nB,60,30,30,,,ethanol-70,,1,Bay 9\nC,90,60,60,,,ethanol-70,,1,Bay 2\n\
                D,60,30,30,,,ethanol-70,formalin-10,2,Bay 3\n";
    let case = case(rows, "[labour]\nrate_per_hour = 12\nminutes_per_bath = 10\n");
    let screen = case.plan().stdout;
    assert!(screen.contains("from the shelf now: 3 lots"), "{screen}");
    assert!(screen.contains("when the order arrives (up to 21 days after ordering): 1 lot"), "{screen}");
    let planned = case.planned();
    // Four moves of 15 minutes and four baths of 10 (water twice, 30 and 50 %): 100 minutes, 20.00 at 12 an hour.
    assert_eq!((planned.total("minutes"), planned.total("labour")), (100.0, 20.0));
    case.papers("all");
    let sheets = std::fs::read_to_string(case.out().join("transfer-sheets.html")).expect("the sheets");
    let at = |key: &str| sheets.find(&format!("<b>{key}</b>")).unwrap_or_else(|| panic!("{key} is on no sheet"));
    let order = ["B", "A", "D", "C"].map(at);
    assert!(order.is_sorted(), "priority 1, then by place, then what waits for the order: {order:?}");
    let line = &sheets[at("D")..];
    let line = &line[..line.find("</tr>").expect("an end")];
    assert_eq!(line.matches("<span class=\"bath\">").count(), 4, "a box for each bath: {line}");
}

#[test]
fn a_days_batch_follows_from_the_hours_a_day_unless_it_is_set() {
    let rows: String = (1..=9).map(|n| format!("A{n},60,30,30,,,ethanol-70,,3,\n")).collect();
    let sheets = |settings: &str| {
        let case = case(&rows, settings);
        case.papers("all");
        let sheets = std::fs::read_to_string(case.out().join("transfer-sheets.html")).expect("the sheets");
        sheets.matches("<section class=\"day\">").count()
    };
    // Nine times a quarter of an hour: 2.25 hours. At an hour a day that is three days, for two people two.
    assert_eq!(sheets("[labour]\nhours_per_day = 1\n"), 3);
    assert_eq!(sheets("[labour]\nhours_per_day = 1\npeople = 2\n"), 2);
    assert_eq!(sheets("per_day = 2\n[labour]\nhours_per_day = 1\n"), 5);
}

#[test]
fn a_small_body_in_a_large_vessel_is_marked_with_the_vessel_to_look_for() {
    let header = "catalogNumber,length_mm,width_mm,height_mm,outline,posture,mass_g,fluid\n";
    let stock = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n\
                 DRUM,cylinder,240,250,borosilicate,pp-cap-ptfe,4\n";
    let case = |settings: &str| {
        TestProject::new()
            .file("specimens.csv", format!("{header}V,560,26,24,rounded,coil,140,ethanol-70\n"))
            .file("vessels.csv", stock)
            .file("settings.toml", settings)
    };
    let marked = case("");
    let planned = marked.planned();
    assert!(planned.placement("V")["review"].contains("very loose"), "{:?}", planned.placement("V"));
    assert!(figure(planned.placement("V"), "tissue_share_pct") < 3.0);
    let screen = marked.plan().stdout;
    assert!(
        screen.contains("Very loose: tissue below 3 % of the filled volume") && screen.contains("at least"),
        "{screen}"
    );
    let unmarked = case("[tissue]\nvery_loose_pct = 1\n").planned();
    assert!(!unmarked.placement("V")["review"].contains("very loose"));
}

/// By hand: a move with two baths of water and three of alcohol takes longer than a quarter of an hour; a tank of formalin is bonded and
/// cures before its lot is moved (7 to 14 days: common practice, no source).
#[test]
fn hours_are_shown_without_a_rate_and_moves_into_tanks_wait_for_curing() {
    let rows = "A,60,30,30,,,ethanol-70,formalin-10,1,Bay 1\nB,660,110,460,,,formalin-10,formalin-10,3,Bay 2\n";
    let case = case(rows, "");
    let screen = case.plan().stdout;
    let hours: f64 = screen
        .lines()
        .find_map(|line| line.strip_prefix("Work ")?.trim().split_once(" h: ")?.0.parse().ok())
        .unwrap_or_else(|| panic!("no hours on\n{screen}"));
    let planned = case.planned();
    assert!((hours - planned.total("minutes") / 60.0).abs() <= 0.05, "{hours}");
    assert!(hours > 0.5, "two moves, baths and a tank: {hours}");
    assert!(screen.contains("when tanks have cured (14 days after they are built): 1 lot"), "{screen}");
    assert!(screen.contains("from the shelf now: 1 lot"), "{screen}");
    case.papers("all");
    let paper = |name: &str| std::fs::read_to_string(case.out().join(name)).expect(name);
    assert!(paper("report.html").contains(&format!("{hours} h")), "on paper too");
    // Each bath has a box to tick and room for the date.
    let sheets = paper("transfer-sheets.html");
    let baths: Vec<&str> = sheets.split("<span class=\"bath\">").skip(1).collect();
    assert_eq!(baths.len(), planned.placement("A")["baths"].split('|').count());
    for bath in baths {
        let bath = bath.split("<td").next().expect("a cell");
        assert!(bath.contains("class=\"tick\"") && bath.contains("class=\"write\""), "{bath}");
    }
}
