//! `transfer-sheets.html`: every placed specimen once, in working order, in batches of a day's work.

use super::{demo, paper};

/// The body of each day.
fn days(sheets: &str) -> Vec<&str> {
    sheets.split("<section class=\"day\">").skip(1).collect()
}

fn with_per_day(per_day: u32) -> super::Files {
    let mut files = demo();
    let settings = String::from_utf8(files["settings.toml"].clone()).expect("UTF-8");
    files.insert("settings.toml".to_owned(), format!("per_day = {per_day}\n{settings}").into_bytes());
    files
}

#[test]
fn every_placed_specimen_has_a_line_in_working_order_in_batches() {
    let (project, plan, sheets) = paper(&with_per_day(30), "transfer-sheets.html");
    let days = days(&sheets);
    assert_eq!(days.len(), plan.totals.placed.div_ceil(30));
    for (i, day) in days.iter().enumerate() {
        let lines = day.matches("<th scope=\"row\"").count();
        let expected = if i + 1 < days.len() { 30 } else { plan.totals.placed - 30 * i };
        assert_eq!(lines, expected, "day {}", i + 1);
        assert!(day.contains("<th scope=\"col\" class=\"w\">old labels moved</th>"));
    }
    let mut order: Vec<_> = plan.placements.iter().filter(|placement| placement.fluid.is_some()).collect();
    order.sort_by_key(|placement| {
        let specimen = &project.collection.specimens[placement.specimen];
        (specimen.location.clone(), specimen.fluid, specimen.priority, specimen.key.clone())
    });
    let mut from = 0;
    for placement in order {
        let key = format!("<b>{}</b>", project.collection.specimens[placement.specimen].key);
        let found = sheets[from..].find(&key).unwrap_or_else(|| panic!("{key} does not follow"));
        from += found + key.len();
        assert!(!sheets[from..].contains(&key), "{key} stands twice");
    }
}

#[test]
fn a_divided_lot_has_a_box_for_each_jar_and_hazards_stand_on_their_line() {
    let (_, _, sheets) = paper(&demo(), "transfer-sheets.html");
    for jar in ["jar 1 of 3", "jar 2 of 3", "jar 3 of 3"] {
        assert_eq!(sheets.matches(jar).count(), 1, "{jar}");
    }
    let line = |key: &str| {
        let start = sheets.find(&format!("<b>{key}</b>")).unwrap_or_else(|| panic!("no {key}"));
        &sheets[start..start + sheets[start..].find("</tr>").expect("an end")]
    };
    assert!(line("WDLM:ANA:A0310").contains("HUMAN"));
    assert!(line("WDLM:ANA:A0311").contains("MERCURY"));
    assert!(line("WDLM:HRP:H0102").contains("ethanol-70 at 60 %"), "from which fluid, at which strength");
    assert!(line("WDLM:INV:I0232").contains("first baths of"), "{}", line("WDLM:INV:I0232"));
    assert!(line("WDLM:ANA:A0320").contains("to be built"));
}

#[test]
fn a_days_batch_of_no_row_is_refused() {
    let reading = rehouse::intake::read_texts(&with_per_day(0), &[], false);
    assert!(reading.project.is_none());
    assert!(rehouse::report::diagnostics::text(&reading.diagnostics).contains("a whole number from 1 up"));
}
