//! The folder that `starter` writes: complete, helpful, and made from the same tables by which the program reads.

use std::collections::BTreeMap;
use std::fs;
use std::io::{Cursor, Read};
use std::path::Path;

use assert_cmd::cargo::cargo_bin_cmd;
use calamine::{Reader, Xlsx};
use rehouse::diagnostics::Severity;
use rehouse::intake::columns::{FILES, FileColumns};
use rehouse::intake::schema::table_schema;
use rehouse::intake::{default_rules, read_texts};
use rehouse::settings::Settings;
use tempfile::TempDir;

fn starter() -> (TempDir, String) {
    let folder = TempDir::new().expect("a temporary folder");
    let output =
        cargo_bin_cmd!("rehouse").args(["starter", "new"]).current_dir(folder.path()).output().expect("it runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    (folder, String::from_utf8_lossy(&output.stdout).into_owned())
}

fn book(name: &str) -> Xlsx<Cursor<Vec<u8>>> {
    let files = rehouse::starter::files(&default_rules());
    let file = files.into_iter().find(|file| file.name == name).expect(name);
    Xlsx::new(Cursor::new(file.bytes)).expect("a workbook")
}

/// The sheet of a form as a table of texts.
fn rows(book: &mut Xlsx<Cursor<Vec<u8>>>, sheet: &str) -> Vec<Vec<String>> {
    let range = book.worksheet_range(sheet).expect("a sheet");
    range.rows().map(|row| row.iter().map(ToString::to_string).collect()).collect()
}

fn forms() -> impl Iterator<Item = (&'static FileColumns, String)> {
    FILES.iter().take(2).map(|file| (file, format!("{}.xlsx", file.name())))
}

#[test]
fn a_folder_is_made_once_and_checking_it_as_it_is_finds_no_rows_yet() {
    let (folder, said) = starter();
    assert!(said.contains("START-HERE.txt"), "{said}");
    let run = |command: &str| {
        cargo_bin_cmd!("rehouse").args([command, "new"]).current_dir(folder.path()).output().expect("it runs")
    };
    let checked = run("check");
    let screen = String::from_utf8_lossy(&checked.stdout).into_owned();
    assert_eq!(checked.status.code(), Some(0), "{screen}");
    assert!(screen.contains("Survey            no rows yet\nStock list        no rows yet\n"), "{screen}");
    let planned = run("plan");
    assert_eq!(planned.status.code(), Some(0));
    assert!(String::from_utf8_lossy(&planned.stdout).contains("Next: write a line for each specimen"));

    fs::write(folder.path().join("new/specimens.xlsx"), "mine").expect("a file");
    let again = run("starter");
    assert_eq!(again.status.code(), Some(2));
    assert_eq!(fs::read(folder.path().join("new/specimens.xlsx")).expect("the file"), b"mine");
    fs::create_dir(folder.path().join("empty")).expect("a folder");
    let over_empty = cargo_bin_cmd!("rehouse").args(["starter", "empty"]).current_dir(folder.path()).output();
    assert_eq!(over_empty.expect("it runs").status.code(), Some(2));
}

#[test]
fn the_starter_files_are_the_same_bytes_each_time() {
    assert_eq!(rehouse::starter::files(&default_rules()), rehouse::starter::files(&default_rules()));
}

#[test]
fn forms_have_a_frozen_header_of_every_column_numbered_rows_and_lists() {
    for (file, name) in forms() {
        let names: Vec<&str> = file.columns.iter().map(|column| column.name).collect();
        let mut book = book(&name);
        assert_eq!(book.sheet_names(), [file.name(), "lists", "columns", "example"]);
        let form = rows(&mut book, file.name());
        assert_eq!(form[0], names);
        let numbers: Vec<String> = form[1..].iter().map(|row| row[0].clone()).collect();
        assert_eq!(numbers, (1..=500).map(|n| n.to_string()).collect::<Vec<_>>());
        let explained: Vec<String> = rows(&mut book, "columns")[1..].iter().map(|row| row[0].clone()).collect();
        assert_eq!(explained, names);

        let files = rehouse::starter::files(&default_rules());
        let bytes = files.into_iter().find(|file| file.name == name).expect("the form").bytes;
        let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).expect("an archive");
        let mut xml = String::new();
        archive.by_name("xl/worksheets/sheet1.xml").expect("a sheet").read_to_string(&mut xml).expect("text");
        let lists = rows(&mut book, "lists");
        assert_eq!(xml.matches("<dataValidation ").count(), lists[0].len(), "a list for each of {:?}", lists[0]);
        assert!(xml.contains("state=\"frozen\""));
        for (index, head) in lists[0].iter().enumerate() {
            let offered = lists[1..].iter().filter(|row| !row[index].is_empty()).count();
            let range = format!("lists!${0}$2:${0}${1}", rehouse::diagnostics::letters(index + 1), offered + 1);
            assert!(xml.contains(&range), "{head}: {range}");
        }
    }
}

#[test]
fn required_columns_come_first_and_a_form_to_print_holds_them_on_one_page() {
    for (file, _) in forms() {
        let required: Vec<usize> = (0..file.columns.len()).filter(|&i| file.columns[i].required()).collect();
        // For a vessel the measures of both forms stand among the required columns.
        assert!(*required.last().expect("some") < 9, "{}: {required:?}", file.file);
    }
    let files = rehouse::starter::files(&default_rules());
    let page = files.into_iter().find(|file| file.name == "form-to-print.html").expect("the form").bytes;
    let page = String::from_utf8(page).expect("UTF-8");
    for column in FILES[0].columns.iter().filter(|column| column.required()) {
        assert!(page.contains(&format!(">{}<", column.name)), "{}", column.name);
    }
    // A header has room on its line: a letter of 6.2 pt is 0.5 em wide, a bold one 0.6 em (usual of sans-serif type), and all columns stand
    // side by side on Letter in landscape, with margins of 8 mm.
    let heads = page.split("<th scope=\"col\" class=\"").skip(1).map(|head| {
        let (style, name) = head.split_once("mm\">").expect("a width");
        let width: f64 = style.split("width:").nth(1).expect("a width").parse().expect("a number");
        (style.starts_with("must"), width, name.split('<').next().expect("a name"))
    });
    let heads: Vec<(bool, f64, &str)> = heads.collect();
    for (must, width, name) in &heads {
        let letter = if *must { 0.6 } else { 0.5 } * 6.2 * 25.4 / 72.0;
        assert!(*width >= letter * name.len() as f64 + 1.2, "{name} on {width} mm");
    }
    let all = 6.0 + heads.iter().map(|(_, width, _)| width).sum::<f64>();
    assert!(all <= 279.4 - 16.0, "{all} mm");
    assert!(page.contains("size: landscape") && page.matches("<tr>").count() > 15);
}

#[test]
fn a_measure_has_its_unit_in_its_header() {
    use rehouse::intake::columns::CellKind;
    let hand = FILES.iter().filter(|file| !file.file.contains('/'));
    let measures = hand.flat_map(|file| file.columns).filter(|column| matches!(column.kind, CellKind::Measured(_)));
    let names: Vec<&str> = measures.map(|column| column.name).collect();
    assert!(names.len() > 20, "{names:?}");
    let bare = names.iter().find(|name| {
        let unit = name.rsplit('_').next().expect("a name");
        !["mm", "ml", "g", "litres"].contains(&unit)
    });
    assert_eq!(bare, None);
    // No text column has a name that ends like a unit.
    let texts = FILES
        .iter()
        .flat_map(|file| file.columns)
        .filter(|column| matches!(column.kind, CellKind::Text | CellKind::Carried));
    for column in texts {
        assert!(!["_mm", "_ml", "_g", "_pct", "_l"].iter().any(|unit| column.name.ends_with(unit)), "{}", column.name);
    }
}

#[test]
fn how_to_measure_has_a_drawing_with_words_for_each_measure() {
    let files = rehouse::starter::files(&default_rules());
    let page = files.into_iter().find(|file| file.name == "how-to-measure.html").expect("the page").bytes;
    let page = String::from_utf8(page).expect("UTF-8");
    let sections: Vec<&str> = page.split("<section>").skip(1).collect();
    assert_eq!(sections.len(), 10);
    // Priorities have a table instead of a drawing.
    assert!(
        sections[9].contains("<table>")
            && ["1", "2", "3", "4"].iter().all(|n| sections[9].contains(&format!(">{n}</th>")))
    );
    for section in &sections[..9] {
        assert_eq!(section.matches("<svg viewBox=").count(), 1, "{section}");
        assert_eq!(section.matches("<title id=").count() + section.matches("<desc id=").count(), 2, "{section}");
    }
    for (index, said) in [
        (0, "with everything that goes in with it"),
        (0, "Limbs that stand out count"),
        (1, "a third wider"),
        (1, "Look through a"),
        (1, "current_vessel"),
        (2, "largest cylinder"),
        (3, "to the brim"),
        (4, "narrowest opening"),
        (5, "underside of the closure"),
        (6, "liner or the gasket"),
        (7, "Weigh:"),
        (7, "displace:"),
        (8, "alcohol hydrometer"),
    ] {
        assert!(sections[index].contains(said), "{said}");
    }
    for column in [
        "length_mm",
        "width_mm",
        "height_mm",
        "inner_diameter_mm",
        "capacity_ml",
        "mouth_diameter_mm",
        "inner_height_mm",
    ] {
        assert!(page.contains(column), "{column}");
    }
}

#[test]
fn the_windows_script_has_crlf_line_ends_and_the_same_three_steps() {
    let files = rehouse::starter::files(&default_rules());
    let script = files.into_iter().find(|file| file.name == "check-plan-open.cmd").expect("the script").bytes;
    let script = String::from_utf8(script).expect("UTF-8");
    assert!(script.lines().count() > 20 && script.split('\n').all(|line| line.is_empty() || line.ends_with('\r')));
    let steps = [
        "cd /d \"%~dp0\"",
        "\"%REHOUSE%\" check .",
        "\"%REHOUSE%\" plan . --out plan",
        "start \"\" \"plan\\report.html\"",
        "pause",
    ];
    let at = steps.map(|step| script.find(step).unwrap_or_else(|| panic!("no {step}")));
    assert!(at.is_sorted(), "{at:?}");
}

#[test]
fn the_examples_are_read_without_a_diagnostic_and_the_lists_offer_their_words() {
    let mut texts = BTreeMap::new();
    for (file, name) in forms() {
        let mut book = book(&name);
        let example = rows(&mut book, "example");
        let lists = rows(&mut book, "lists");
        for (index, head) in lists[0].iter().enumerate() {
            let column = example[0].iter().position(|name| name == head).expect("a column");
            for row in &example[1..] {
                let offered = lists[1..].iter().any(|choices| choices[index] == row[column]);
                assert!(row[column].is_empty() || offered, "{head}: {}", row[column]);
            }
        }
        texts.insert(file.file.to_owned(), rehouse::report::csv::texts(&example[0], example[1..].iter().cloned()));
    }
    let reading = read_texts(&texts, &[], false);
    let errors: Vec<_> = reading.diagnostics.iter().filter(|found| found.severity == Severity::Error).collect();
    assert!(errors.is_empty(), "{errors:?}");
    assert_eq!(reading.project.expect("a project").collection.specimens.len(), 3);
}

#[test]
fn the_settings_file_gives_the_defaults_with_its_comments_and_without() {
    let files = rehouse::starter::files(&default_rules());
    let text = files.iter().find(|file| file.name == "settings.toml").expect("settings").bytes.clone();
    let text = String::from_utf8(text).expect("text");
    let read = |text: &str| {
        let mut settings = Settings::default();
        let table: toml::Table = text.parse().expect("TOML");
        for (name, value) in &table {
            match value {
                toml::Value::Table(section)
                    if !["defaults", "fluid_price", "disposal_price", "containers"].contains(&name.as_str()) =>
                {
                    for (key, value) in section {
                        settings.set(&format!("{name}.{key}"), value).expect("a key").expect("a value");
                    }
                }
                toml::Value::Table(_) => {}
                value => settings.set(name, value).expect("a key").expect("a value"),
            }
        }
        settings
    };
    assert_eq!(read(&text), Settings::default());
    let bare: String = text
        .lines()
        .map(|line| format!("{}\n", line.strip_prefix('#').filter(|rest| !rest.starts_with(' ')).unwrap_or(line)))
        .collect();
    assert_eq!(read(&bare), Settings::default());
    for key in Settings::KEYS {
        let name = key.rsplit('.').next().expect("a name");
        assert!(text.lines().any(|line| line.starts_with(&format!("#{name} = "))), "{key}");
    }
}

#[test]
fn the_schema_beside_the_csv_forms_is_the_one_of_the_columns() {
    let files = rehouse::starter::files(&default_rules());
    let text = |name: &str| files.iter().find(|file| file.name == name).expect(name).bytes.clone();
    let package: serde_json::Value = serde_json::from_slice(&text("csv/datapackage.json")).expect("JSON");
    let resources = package["resources"].as_array().expect("resources");
    assert_eq!(resources.len(), 4);
    for resource in resources {
        let path = resource["path"].as_str().expect("a path");
        let file = FILES.iter().find(|file| file.file == path).expect(path);
        assert_eq!(resource["schema"], table_schema(file));
        let header: Vec<&str> = file.columns.iter().map(|column| column.name).collect();
        assert_eq!(text(&format!("csv/{path}")), format!("{}\n", header.join(",")).into_bytes());
    }
}

/// The script that is double-clicked on Linux and macOS, with a stand-in for the program that opens the report.
#[cfg(unix)]
#[test]
fn the_script_checks_plans_and_opens_the_report() {
    use std::os::unix::fs::PermissionsExt;
    let (folder, _) = starter();
    let new = folder.path().join("new");
    let mode = |name: &str| fs::metadata(new.join(name)).expect(name).permissions().mode();
    assert_ne!(mode("check-plan-open.sh") & 0o100, 0);
    assert_eq!(mode("settings.toml") & 0o111, 0);
    std::os::unix::fs::symlink(assert_cmd::cargo::cargo_bin!("rehouse"), new.join("rehouse")).expect("a link");
    for name in ["specimens", "vessels"] {
        fs::remove_file(new.join(format!("{name}.xlsx"))).expect("the form");
        fs::copy(Path::new("demo-data").join(format!("{name}.csv")), new.join(format!("{name}.csv"))).expect("a copy");
    }
    let tools = folder.path().join("tools");
    fs::create_dir(&tools).expect("a folder");
    for name in ["open", "xdg-open"] {
        fs::write(tools.join(name), "#!/bin/sh\necho \"$1\" > opened\n").expect("a stand-in");
        fs::set_permissions(tools.join(name), fs::Permissions::from_mode(0o755)).expect("its mode");
    }
    let run = || {
        let path = format!("{}:/usr/bin:/bin", tools.display());
        let mut shell = std::process::Command::new("/bin/sh");
        shell.arg("check-plan-open.sh").current_dir(&new).env("PATH", path).stdin(std::process::Stdio::null());
        shell.output().expect("a shell")
    };
    let done = run();
    assert!(
        done.status.success(),
        "{}{}",
        String::from_utf8_lossy(&done.stdout),
        String::from_utf8_lossy(&done.stderr)
    );
    let opened = fs::read_to_string(new.join("opened")).expect("what was opened");
    assert!(["plan/report.html", "plan/plan.xlsx"].contains(&opened.trim()), "{opened}");
    fs::write(new.join("specimens.csv"), "catalogNumber,length_mm\n1,2\n").expect("a bad survey");
    assert_eq!(run().status.code(), Some(1));
}
