//! `transfer-sheets.html`: every placed specimen once, in working order, in batches of a day's work.

use rehouse::plan::Outcome;

use super::{demo, paper};
use crate::support::ProjectFiles;

/// The markup of each day.
fn days(sheets: &str) -> Vec<&str> {
    sheets.split("<section class=\"day\">").skip(1).collect()
}

/// A place with its numbers padded with zeros, which sorts in walking order.
fn walked(place: &str) -> String {
    let mut filled = String::new();
    let mut digits = String::new();
    for c in place.chars().chain(['\n']) {
        if c.is_ascii_digit() {
            digits.push(c);
            continue;
        }
        if !digits.is_empty() {
            filled.push_str(&format!("{digits:0>12}"));
            digits.clear();
        }
        filled.push(c);
    }
    filled
}

fn with_per_day(per_day: u32) -> ProjectFiles {
    let mut files = demo();
    let settings = String::from_utf8(files["settings.toml"].clone()).expect("UTF-8");
    files.insert("settings.toml".to_owned(), format!("per_day = {per_day}\n{settings}").into_bytes());
    files
}

#[test]
fn every_placed_specimen_has_a_line_in_working_order_in_batches() {
    let (project, plan, sheets) = paper(&with_per_day(30), "transfer-sheets.html");
    let days = days(&sheets);
    // Work that waits for the order, or for tanks to cure, begins on a day of its own.
    let stages = [plan.totals.on_hand, plan.totals.order, plan.totals.custom_tank];
    let expected = |rows: usize| (0..rows.div_ceil(30)).map(move |day| (rows - 30 * day).min(30));
    let expected: Vec<usize> = stages.into_iter().flat_map(expected).collect();
    assert_eq!(days.len(), expected.len());
    for (i, day) in days.iter().enumerate() {
        let lines = day.matches("<th scope=\"row\"").count();
        assert_eq!(lines, expected[i], "day {}", i + 1);
        assert!(day.contains("<th scope=\"col\" class=\"w\">old labels moved</th>"));
    }
    let mut order: Vec<_> = plan.moved().collect();
    order.sort_by_key(|placement| {
        let specimen = &project.collection.specimens[placement.specimen];
        let stage = [Outcome::OnHand, Outcome::Order, Outcome::CustomTank].iter().position(|o| *o == placement.outcome);
        (
            stage,
            specimen.priority > 1,
            walked(&specimen.location),
            specimen.fluid,
            specimen.priority,
            specimen.key.clone(),
        )
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
fn the_days_stand_before_the_sheets_with_what_each_takes() {
    let (_, plan, sheets) = paper(&with_per_day(30), "transfer-sheets.html");
    let front = sheets.split("<section class=\"day\">").next().expect("a front");
    let cells = |row: &str| -> Vec<String> {
        let cells = row.split("<td").skip(1).map(|cell| cell.split_once('>').expect("a cell").1);
        cells.map(|cell| cell.split("</td>").next().unwrap_or_default().to_owned()).collect()
    };
    let body = front.split("<tbody>").nth(1).expect("a table");
    let lines: Vec<Vec<String>> = body.split("<tr>").skip(1).map(cells).collect();
    assert_eq!(lines.len(), days(&sheets).len());
    let sum = |column: usize| -> f64 { lines.iter().map(|line| line[column].parse::<f64>().expect("a number")).sum() };
    assert_eq!(sum(2), plan.totals.placed as f64, "lots");
    let pieces = |row: &&rehouse::plan::Placement| row.fit.map_or(0, |fit| fit.pieces);
    assert_eq!(
        sum(4),
        f64::from(plan.placements.iter().filter(|row| row.vessel.is_some()).map(|row| pieces(&row)).sum::<u32>())
    );
    assert_eq!(sum(5), plan.purchases.iter().map(|purchase| purchase.pieces_used).sum::<i64>() as f64, "ordered");
    assert_eq!(sum(6), plan.totals.custom_tank as f64, "tanks");
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
    assert!(line("WDLM:HRP:H0102").contains("ethanol-70 at 60\u{a0}%"), "from which fluid, at which strength");
    assert!(line("WDLM:INV:I0232").contains("<span class=\"bath\">"), "{}", line("WDLM:INV:I0232"));
    assert!(line("WDLM:ANA:A0320").contains("to be built"));
}

#[test]
fn a_batch_of_zero_rows_a_day_is_refused() {
    let reading = rehouse::intake::read_texts(&with_per_day(0), &[], false);
    assert!(reading.project.is_none());
    assert!(rehouse::report::diagnostics::text(&reading.diagnostics).to_string().contains("per_day"));
}

/// A few rows at a few places, one of them divided, one held.
fn a_few() -> ProjectFiles {
    let survey = "catalogNumber,scientificName,length_mm,width_mm,height_mm,individualCount,max_vessels,tissue_ml,fluid,priority,\
        current_fluid,location,hold\n\
        C-3,Rana,60,20,20,,,,ethanol-70,3,formalin-10,Bay 2,\n\
        A-1,Esox lucius,60,20,20,,,,formalin-10,2,,Bay 1,\n\
        B-2,Esox lucius,60,20,20,,,,ethanol-70,3,,Bay 1,\n\
        B-1,Esox lucius,60,20,20,,,,ethanol-70,1,,Bay 1,\n\
        D-1,Tinca tinca,55,22,22,12,3,180,ethanol-70,3,,Bay 10,\n\
        E-1,Held,60,20,20,,,,ethanol-70,3,,Bay 1,kept as it is\n";
    let stock = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n\
        JAR,cylinder,70,100,borosilicate,pp-cap-ptfe,40\n";
    [("specimens.csv", survey), ("vessels.csv", stock)]
        .map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec()))
        .into()
}

#[test]
fn rows_are_worked_place_by_place_and_fluid_by_fluid_the_urgent_first() {
    let (_, plan, sheets) = paper(&a_few(), "transfer-sheets.html");
    let at = |key: &str| sheets.find(&format!("<b>{key}</b>")).unwrap_or_else(|| panic!("{key} is on no sheet"));
    let order = ["B-1", "B-2", "A-1", "C-3", "D-1"].map(at);
    assert!(order.is_sorted(), "{order:?}");
    assert!(!sheets.contains("<b>E-1</b>"), "what is held is not moved");
    assert!(sheets.contains("Not on these sheets: 1 held, not to be moved."));
    let divided = plan.placements.iter().find_map(|row| row.fit.filter(|fit| fit.pieces > 1).map(|fit| (row, fit)));
    let (row, fit) = divided.expect("a divided lot");
    let all = row.fluid.expect("fluid").0;
    let each = (all + i64::from(fit.pieces) / 2) / i64::from(fit.pieces);
    assert!(
        sheets.contains(&format!("<b>{all}</b> ethanol-70, about {each} in each")),
        "{all} ml in all, {each} in each"
    );
    // From formalin into alcohol: the cautions of both are on the line.
    let line = &sheets[at("C-3")..];
    let line = &line[..line.find("</tr>").expect("an end")];
    assert!(line.contains("formaldehyde: extraction") && line.contains("flammable vapour"), "{line}");
}
