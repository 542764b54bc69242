//! `labels.csv` and `labels.html`: one label a jar with its fields, and the jars whose label does not fit.

use rehouse::plan::Warning;
use rehouse::report::labels;

use super::{demo, paper, planned};
use crate::support::{row, rows};

#[test]
fn there_is_a_label_for_each_jar_with_every_field_of_the_survey() {
    let (project, plan) = planned(&demo());
    let table = rows(&labels::file(&project, &plan));
    let jars = |placement: &rehouse::plan::Placement| placement.fit.map_or(1, |fit| fit.pieces as usize);
    let wanted: usize = plan.moved().map(jars).sum();
    assert_eq!(table.len(), wanted);
    let label = row(&table, "catalogNumber", "A0309");
    for (column, cell) in [
        ("institutionCode", "WDLM"),
        ("scientificName", "Bos taurus"),
        ("individualCount", "2"),
        ("eventID", "TCH-2016-01"),
        ("preparations", "eye halves"),
        ("locality", "teaching series"),
        ("fluid", "formalin-10"),
        ("strength_pct", "4"),
        ("date_filled", ""),
        ("stands", "yes"),
    ] {
        assert_eq!(label[column], cell, "{column}");
    }
    let divided: Vec<_> = table.iter().filter(|row| row["catalogNumber"] == "H0133").collect();
    let jars: Vec<_> = divided.iter().map(|row| format!("{} of {}", row["jar"], row["jars"])).collect();
    assert_eq!(jars, ["1 of 3", "2 of 3", "3 of 3"]);
}

#[test]
fn the_sheet_has_as_many_labels_and_names_those_that_do_not_fit() {
    let (project, plan, sheet) = paper(&demo(), "labels.html");
    let table = rows(&labels::file(&project, &plan));
    assert_eq!(sheet.matches("<div class=\"label\"").count(), table.len());
    assert_eq!(sheet.matches("<div class=\"date\">").count(), table.len());
    let named = sheet.split("too large to stand in the vessel").nth(1).expect("some cannot").split("</ul>").next();
    let named = named.unwrap_or_default();
    let cannot: Vec<_> = table.iter().filter(|row| row["stands"] == "no").collect();
    assert!(!cannot.is_empty());
    for label in cannot {
        assert!(
            named.contains(&label["catalogNumber"]) && named.contains(&label["vessel"]),
            "{}",
            label["catalogNumber"]
        );
    }
    assert!(!named.contains("A0309"));
}

#[test]
fn the_size_of_a_label_is_a_setting_that_the_warning_follows() {
    let mut files = demo();
    let settings = String::from_utf8(files["settings.toml"].clone()).expect("UTF-8");
    let small = format!("{settings}\n[labels]\nwidth_mm = 30\nheight_mm = 12.5\n");
    files.insert("settings.toml".to_owned(), small.clone().into_bytes());
    let (_, plan, sheet) = paper(&files, "labels.html");
    assert!(sheet.contains("width: 30mm; height: 12.5mm;"));
    assert!(!sheet.contains("too large to stand in the vessel"));
    assert!(!plan.warnings.iter().any(|one| matches!(one, Warning::LabelTooLarge { .. })));
    assert!(!sheet.contains("too small for the text"));
    let tiny = small.replace("= 30", "= 12").replace("= 12.5", "= 6");
    files.insert("settings.toml".to_owned(), tiny.into_bytes());
    assert!(paper(&files, "labels.html").2.contains("161 labels too small for the text"));
}

#[test]
fn cells_that_a_spreadsheet_would_run_are_guarded_once() {
    let survey = "catalogNumber,scientificName,length_mm,width_mm,height_mm,fluid,locality\n\
        A-1,=1+1,60,20,20,ethanol-70,\"@Pond, \"\"N\"\"\"\n";
    let stock = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n\
        JAR,cylinder,70,100,borosilicate,pp-cap-ptfe,40\n";
    let files = [("specimens.csv", survey), ("vessels.csv", stock)];
    let (project, plan) = planned(&files.map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec())).into());
    let label = &rows(&labels::file(&project, &plan))[0];
    assert_eq!(label["scientificName"], "'=1+1");
    assert_eq!(label["locality"], "'@Pond, \"N\"");
}

#[test]
fn labels_are_black_in_one_type_size_with_marks_to_cut_by() {
    let (_, _, sheet) = paper(&demo(), "labels.html");
    let sizes: std::collections::BTreeSet<&str> =
        sheet.split("class=\"label\" style=\"font-size:").skip(1).filter_map(|label| label.split('"').next()).collect();
    assert_eq!(sizes.len(), 1, "{sizes:?}");
    let style = rehouse::report::html::page::STYLE;
    assert!(style.contains("--print: #000000"));
    let of_labels = style.lines().filter(|line| line.starts_with(".label"));
    for line in of_labels {
        assert!(!line.contains("--soft") && !line.contains("--line") && !line.contains("font-size"), "{line}");
    }
    assert_eq!(sheet.matches("<i></i>").count(), sheet.matches("<div class=\"label\"").count());
}

#[test]
fn a_fluid_name_is_shortened_before_a_line_is_left_off_and_lines_left_off_are_reported() {
    let stock = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n\
        JAR,cylinder,70,100,borosilicate,pp-cap-ptfe,40\n";
    let sheet = |fluid: &str, height: &str, more: &str| {
        let survey = format!(
            "catalogNumber,institutionCode,scientificName,individualCount,length_mm,width_mm,height_mm,fluid,locality\n\
             A-1,WDLM,Rana temporaria,1,60,20,20,{fluid},{more}\n"
        );
        let settings = format!("accept_unproven = true\n[labels]\nwidth_mm = 40\nheight_mm = {height}\n");
        let files = [("specimens.csv", survey.as_str()), ("vessels.csv", stock), ("settings.toml", &settings)];
        paper(&files.map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec())).into(), "labels.html").2
    };
    let on_it = |sheet: &str| sheet.split("class=\"labels\"").nth(1).unwrap_or_default().to_owned();
    let long = sheet("formol-saline-10", "17", "");
    let label = on_it(&long);
    assert!(label.contains(">WDLM<") && label.contains(">formol-saline-10<"), "{label}");
    assert!(long.contains("number of individuals</b>: WDLM:A-1") && !label.contains("individual<"), "{label}");
    let roomy = sheet("formol-saline-10", "24", "");
    assert!(on_it(&roomy).contains(">1 individual<") && !roomy.contains("Left off"), "{}", on_it(&roomy));
    let full = sheet("ethanol-70", "17", "a long way upstream of the old mill by the third bridge over the river");
    assert!(full.contains("Left off for want of room"), "{}", on_it(&full));
    assert!(full.contains("event, locality, date and collector</b>: WDLM:A-1"), "{}", on_it(&full));
}
