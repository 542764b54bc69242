//! Papers of large plans: drawings of groups above 2 000 rows, groups alone above 20 000, never above 10 MB.

use rehouse::plan::Plan;
use rehouse::project::Project;
use rehouse::report::html::report;
use rehouse::report::{labels, transfer_sheets};
use rehouse::stock::VesselId;

use super::{demo, planned};
use crate::support::TestProject;

/// The demo's rows repeated under other numbers, each with the same placement.
fn repeated(rows: usize) -> (Project, Plan) {
    let (mut project, mut plan) = planned(&demo());
    let (specimens, placements) = (project.collection.specimens.clone(), plan.placements.clone());
    let tanks = plan.tanks.clone();
    for i in specimens.len()..rows {
        let from = i % specimens.len();
        let mut specimen = specimens[from].clone();
        specimen.key.catalog_number = format!("{}-{i}", specimen.key.catalog_number);
        project.collection.specimens.push(specimen);
        let mut placement = placements[from].clone();
        placement.specimen = i;
        plan.placements.push(placement);
        if let Some(tank) = tanks.iter().find(|tank| tank.specimen == from) {
            let mut tank = tank.clone();
            tank.specimen = i;
            plan.tanks.push(tank);
        }
    }
    (project, plan)
}

fn text(project: &Project, plan: &Plan) -> String {
    String::from_utf8(report(project, plan, &[])).expect("UTF-8")
}

#[test]
fn above_2000_rows_each_vessel_and_posture_has_its_tightest_and_its_loosest_row() {
    let (project, plan) = repeated(2_001);
    let report = text(&project, &plan);
    let vessels = report.split("<section id=\"vessels\">").nth(1).expect("vessels").split("</section>").next();
    let vessels = vessels.unwrap_or_default();
    let kinds: std::collections::BTreeSet<_> = plan
        .placements
        .iter()
        .filter_map(|placement| Some((placement.vessel?, placement.fit?.stance.map(|stance| stance.name()))))
        .collect();
    // Every kind has several rows, since each row of the demo occurs more than eleven times.
    assert_eq!(vessels.matches("</b> tightest: ").count(), kinds.len());
    assert_eq!(vessels.matches("</b> loosest: ").count(), kinds.len());
    assert_eq!(vessels.matches("<svg role=\"img\"").count(), 2 * kinds.len());
    let listed = plan.placements.iter().filter(|placement| placement.vessel.is_some()).count();
    let lots = report.split("<section id=\"lots\">").nth(1).expect("lots").split("</section>").next();
    let lines = lots.unwrap_or_default().split("<tr>").filter(|row| row.matches("<td").count() == 11).count();
    assert_eq!(lines, listed, "every row is in a table");
}

#[test]
fn up_to_2000_rows_every_row_is_drawn() {
    let (project, plan) = repeated(2_000);
    let report = text(&project, &plan);
    let placed = plan.placements.iter().filter(|placement| placement.vessel.is_some()).count();
    assert!(report.matches("<svg role=\"img\"").count() > placed);
    assert!(report.len() < 10_000_000, "{} bytes", report.len());
}

#[test]
fn at_20000_rows_every_row_is_listed_below_10_megabytes() {
    let (project, plan) = repeated(20_000);
    let report = text(&project, &plan);
    assert!(!report.contains("placements.csv has them all"));
    assert!(report.len() <= 10_000_000, "{} bytes", report.len());
}

#[test]
fn above_20000_rows_the_report_has_groups_and_points_to_the_files() {
    let (project, plan) = repeated(20_001);
    let report = text(&project, &plan);
    assert!(report.contains("placements.csv has them all"));
    assert!(report.contains("tanks.csv has them all"));
    assert!(report.len() < 3_000_000, "{} bytes", report.len());
}

#[test]
fn at_120000_rows_the_report_stays_below_10_megabytes() {
    let (project, plan) = repeated(120_000);
    let report = text(&project, &plan);
    assert!(report.len() <= 10_000_000, "{} bytes", report.len());
    let book = rehouse::report::xlsx::workbook(&project, &plan).expect("a workbook").len();
    assert!(book <= 10_000_000, "{book} bytes of plan.xlsx");
}

#[test]
fn at_120000_rows_in_5000_kinds_of_vessel_the_report_stays_below_10_megabytes() {
    let (mut project, mut plan) = repeated(120_000);
    let kinds = project.stock.vessels.len();
    for i in kinds..5_000 {
        let mut vessel = project.stock.vessels[i % kinds].clone();
        vessel.id = format!("zz-{i:05}");
        project.stock.vessels.push(vessel);
    }
    for (i, placement) in plan.placements.iter_mut().enumerate() {
        if let Some(VesselId(id)) = placement.vessel {
            let turn = i % (5_000 / kinds);
            let same = (turn * kinds) as u32 + id;
            placement.vessel = Some(VesselId(same));
        }
    }
    let report = text(&project, &plan);
    assert!(report.len() <= 10_000_000, "{} bytes", report.len());
}

#[test]
fn papers_of_2000_rows_take_less_than_three_seconds() {
    let (project, plan) = repeated(2_000);
    let start = std::time::Instant::now();
    let bytes = report(&project, &plan, &[]).len()
        + transfer_sheets::transfer_sheets(&project, &plan).len()
        + labels::sheet(&project, &plan).len();
    // Generous: allows for a busy machine without optimisation.
    assert!(start.elapsed().as_millis() < 3_000, "{bytes} bytes in {:?}", start.elapsed());
}

/// A project of `rows` small rows in one kind of vessel.
fn plain(rows: usize) -> TestProject {
    let mut survey = "catalogNumber,length_mm,width_mm,height_mm,outline,tissue_ml,fluid\n".to_owned();
    for i in 0..rows {
        survey.push_str(&format!("N{i},30,10,10,rounded,2,ethanol-70\n"));
    }
    let stock = format!(
        "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\njar,cylinder,60,90,soda-lime,\
         pp-cap-foamed-pe,{rows}\n"
    );
    TestProject::new().file("specimens.csv", survey).file("vessels.csv", stock)
}

#[test]
fn the_time_for_carried_columns_grows_no_faster_than_their_number() {
    let time = |columns: usize| {
        let mut survey = "catalogNumber,length_mm,width_mm,height_mm,outline,tissue_ml,fluid".to_owned();
        (0..columns).for_each(|i| survey.push_str(&format!(",c{i}")));
        survey.push_str("\nN1,30,10,10,rounded,2,ethanol-70");
        (0..columns).for_each(|_| survey.push_str(",v"));
        let case = plain(1).file("specimens.csv", survey + "\n");
        let start = std::time::Instant::now();
        case.papers("all");
        start.elapsed().as_secs_f64()
    };
    // Comparing each column with each would take sixteen times as long for four times the columns.
    let (few, many) = (time(4_000), time(16_000));
    assert!(many < 8.0 * few + 1.0, "4 000 columns take {few:.2} s, 16 000 {many:.2} s");
}

#[test]
fn the_papers_argument_chooses_which_are_written() {
    let all = ["fire-sheet.html", "labels.csv", "labels.html", "report.html", "transfer-sheets.html"];
    let written = |rows: usize, papers: &str| plain(rows).papers(papers);
    assert_eq!(written(5, "some"), all);
    assert_eq!(written(5, "all"), all);
    assert_eq!(written(5, "none"), [""; 0]);
    assert_eq!(written(20_001, "some"), ["fire-sheet.html", "report.html"]);
    assert_eq!(written(20_001, "all"), all);
}
