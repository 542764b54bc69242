//! The bench record: what people write into it is kept under every flag and blocks neither audit nor plan.

use std::fs;
use std::io::Cursor;
use std::path::{Path, PathBuf};

use calamine::{Reader, Xlsx};
use rehouse::report::xlsx::bench_record::{BY_HAND, PRINTED};
use rust_xlsxwriter::Workbook;

use super::{contents, names_in};
use crate::support::{Ran, TestProject};

/// Three lots for jars on the shelf.
fn case(names: [&str; 3]) -> TestProject {
    let mut survey = String::from("catalogNumber,scientificName,length_mm,width_mm,height_mm,outline,fluid,location\n");
    for (number, name) in (1..).zip(names) {
        let name = name.replace('"', "\"\"");
        survey += &format!("00{number},\"{name}\",40,14,12,rounded,ethanol-70,1.10\n");
    }
    let stock = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n\
                 jar,cylinder,60,110,borosilicate,ground-glass-stopper,5\n";
    TestProject::new().file("specimens.csv", survey).file("vessels.csv", stock)
}

fn plain() -> TestProject {
    case(["Rana temporaria", "Bufo bufo", "Natrix natrix"])
}

fn plan(case: &TestProject, flags: &[&str]) -> Ran {
    run(case, &[case.project()], flags)
}

fn plan_by_files(case: &TestProject, flags: &[&str]) -> Ran {
    run(case, &["specimens.csv", "vessels.csv"].map(|name| case.project().join(name)), flags)
}

fn run(case: &TestProject, inputs: &[PathBuf], flags: &[&str]) -> Ran {
    let out = case.out();
    let mut arguments = vec![Path::new("plan")];
    arguments.extend(inputs.iter().map(PathBuf::as_path));
    arguments.extend([Path::new("--out"), &out]);
    arguments.extend(flags.iter().map(Path::new));
    TestProject::run(&arguments)
}

fn record(case: &TestProject) -> PathBuf {
    case.out().join("done.xlsx")
}

/// The sheet of a record as texts.
fn sheet(bytes: &[u8]) -> Vec<Vec<String>> {
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).expect("a workbook");
    let range = book.worksheet_range("done").expect("its sheet");
    range.rows().map(|row| row.iter().map(ToString::to_string).collect()).collect()
}

/// A record saved by another program, with changed cells.
fn written(case: &TestProject, write: impl Fn(&mut Vec<Vec<String>>)) -> Vec<u8> {
    let mut rows = sheet(&fs::read(record(case)).expect("the record"));
    write(&mut rows);
    let mut book = Workbook::new();
    let sheet = book.add_worksheet().set_name("done").expect("a name");
    for (row, cells) in (0..).zip(rows) {
        for (column, cell) in (0..).zip(cells) {
            match cell.parse::<f64>() {
                Ok(number) if !cell.starts_with('0') && cell != "1.10" => {
                    sheet.write_number(row, column, number).expect("a number")
                }
                _ => sheet.write_string(row, column, cell).expect("a text"),
            };
        }
    }
    book.save_to_buffer().expect("a workbook")
}

/// The position of the column with this header.
fn column(rows: &[Vec<String>], head: &str) -> usize {
    rows[0].iter().position(|known| known == head).unwrap_or_else(|| panic!("no {head} in {:?}", rows[0]))
}

/// Marks a line as done.
fn done(rows: &mut [Vec<String>], line: usize, by: &str) {
    let (done, who) = (column(rows, "done"), column(rows, "by"));
    (rows[line][done], rows[line][who]) = ("yes".to_owned(), by.to_owned());
}

fn kept(case: &TestProject) -> Vec<String> {
    let folder = case.project().join("done");
    if folder.exists() { names_in(&folder) } else { Vec::new() }
}

#[test]
fn the_record_has_a_line_for_each_lot_to_move_and_is_listed_without_a_digest() {
    let case = plain();
    let planned = case.planned();
    let listed = planned.plan["files"].as_array().expect("a list");
    let record_listed = listed.iter().find(|file| file["name"] == "done.xlsx").expect("it is listed");
    assert_eq!(*record_listed, serde_json::json!({"name": "done.xlsx"}));
    assert!(listed.iter().all(|file| file["name"] == "done.xlsx" || file["sha256"].is_string()));
    let rows = sheet(&fs::read(record(&case)).expect("the record"));
    assert_eq!(rows.len(), 4);
    let heads: Vec<&str> =
        ["catalogNumber"].into_iter().chain(PRINTED).chain(BY_HAND.map(|by_hand| by_hand.head)).collect();
    assert_eq!(rows[0][..heads.len()], heads);
    let digest = rehouse::output::sha256(&fs::read(case.out().join("plan.json")).expect("plan.json"));
    assert!(rows[1][column(&rows, "plan")].starts_with(&digest[..12]), "{:?} is not of {digest}", rows[1]);
    assert_eq!(rows[1][column(&rows, "vessel")], "jar");
}

#[test]
fn a_filled_in_record_blocks_neither_audit_nor_the_next_plan_and_is_kept_once() {
    for flags in
        [&[][..], &["--replace"], &["--papers", "none"], &["--papers", "none", "--replace"], &["--skip-bad-rows"]]
    {
        let case = plain();
        case.planned();
        let filled = written(&case, |rows| done(rows, 2, "A. Keeper"));
        fs::write(record(&case), &filled).expect("written");
        case.audit();
        let ran = plan(&case, flags);
        assert_eq!(ran.code, 0, "{flags:?}: {}", ran.stderr);
        assert!(ran.stderr.contains("1 line is filled in; kept as"), "{flags:?}: {}", ran.stderr);
        assert_eq!(kept(&case), ["done-1.xlsx"], "{flags:?}");
        assert_eq!(fs::read(case.project().join("done/done-1.xlsx")).expect("the copy"), filled, "{flags:?}");
        case.audit();
        // A fresh record holds nothing to keep, and the same entries are kept already.
        assert_eq!(plan(&case, &[]).code, 0);
        fs::write(record(&case), &filled).expect("written");
        let ran = plan(&case, &[]);
        assert_eq!((ran.code, kept(&case).len()), (0, 1), "{}", ran.stderr);
        // Other entries are new.
        let other = written(&case, |rows| done(rows, 3, "A. Keeper"));
        fs::write(record(&case), &other).expect("written");
        assert_eq!(plan(&case, flags).code, 0);
        assert_eq!(kept(&case), ["done-1.xlsx", "done-2.xlsx"]);
        assert_eq!(fs::read(case.project().join("done/done-2.xlsx")).expect("the copy"), other);
    }
}

#[test]
fn a_run_without_a_project_folder_is_refused_rather_than_lose_an_entry() {
    let case = plain();
    assert_eq!(plan_by_files(&case, &[]).code, 0);
    assert_eq!(plan_by_files(&case, &[]).code, 0, "a record as it was printed hinders nothing");
    fs::write(record(&case), written(&case, |rows| done(rows, 1, "A. Keeper"))).expect("written");
    for flags in [&[][..], &["--replace"], &["--papers", "none", "--replace"]] {
        let before = contents(&case.out());
        let ran = plan_by_files(&case, flags);
        assert_eq!(ran.code, 2, "{flags:?}: {}", ran.stderr);
        assert!(
            ran.stderr.contains("done.xlsx: 1 line is filled in") && ran.stderr.contains("    → "),
            "{}",
            ran.stderr
        );
        assert_eq!(contents(&case.out()), before, "{flags:?}");
    }
}

#[test]
fn a_record_of_another_project_is_neither_adopted_nor_replaced() {
    let case = plain();
    case.planned();
    let filled = written(&case, |rows| done(rows, 1, "A. Keeper"));
    fs::write(record(&case), &filled).expect("written");
    // The same numbers, of other lots.
    let other = self::case(["Perca fluviatilis", "Esox lucius", "Salmo trutta"]);
    for flags in [&[][..], &["--replace"]] {
        let before = contents(&case.out());
        let (project, out) = (other.project(), case.out());
        let arguments = [Path::new("plan"), &project, Path::new("--out"), &out].into_iter();
        let ran = TestProject::run(&arguments.chain(flags.iter().map(Path::new)).collect::<Vec<_>>());
        assert_eq!(ran.code, 2, "{flags:?}: {}", ran.stderr);
        assert!(ran.stderr.contains("it holds the plan of another project"), "{}", ran.stderr);
        assert!(ran.stderr.contains("    → name another folder with --out"), "{}", ran.stderr);
        assert_eq!(contents(&case.out()), before, "{flags:?}");
        assert!(!other.project().join("done").exists());
    }
    // A project that has more lots is still the same project.
    let survey = fs::read_to_string(case.project().join("specimens.csv")).expect("the survey");
    let case = case.file("specimens.csv", format!("{survey}004,Lacerta agilis,40,14,12,rounded,ethanol-70,1.10\n"));
    assert_eq!(plan(&case, &[]).code, 0);
    assert_eq!(kept(&case), ["done-1.xlsx"]);
}

#[test]
fn entries_in_any_cell_of_a_record_are_kept() {
    type Write = fn(&mut Vec<Vec<String>>);
    let writings: [(&str, Write); 6] = [
        ("a problem alone", |rows| {
            let problem = column(rows, "problem");
            rows[1][problem] = "stopper stuck".to_owned();
        }),
        ("the printed vessel crossed out", |rows| {
            let vessel = column(rows, "vessel");
            rows[1][vessel] = "jar-500".to_owned();
        }),
        ("the printed amount changed", |rows| {
            let fluid = column(rows, "fluid_ml");
            rows[3][fluid] = "999".to_owned();
        }),
        ("a line of its own", |rows| rows.push(vec!["0099".to_owned(), "found behind the shelf".to_owned()])),
        ("a column of its own", |rows| {
            rows[0].push("temperature".to_owned());
            rows[2].push("19".to_owned());
        }),
        ("heads taken away", |rows| drop(rows.remove(0))),
    ];
    for (what, write) in writings {
        let case = plain();
        case.planned();
        let filled = written(&case, write);
        fs::write(record(&case), &filled).expect("written");
        assert_eq!(plan_by_files(&case, &["--replace"]).code, 2, "{what}");
        assert_eq!(plan(&case, &["--replace"]).code, 0, "{what}");
        assert_eq!(fs::read(case.project().join("done/done-1.xlsx")).expect(what), filled);
    }
    // A record that cannot be read may hold anything.
    let case = plain();
    case.planned();
    fs::write(record(&case), b"locked with a password").expect("written");
    assert_eq!(plan_by_files(&case, &["--replace"]).code, 2);
    assert_eq!(plan(&case, &[]).code, 0);
    assert_eq!(fs::read(case.project().join("done/done-1.xlsx")).expect("the copy"), b"locked with a password");
}

#[test]
fn a_record_under_a_name_of_its_own_is_kept_too() {
    let case = plain();
    case.planned();
    let filled = written(&case, |rows| done(rows, 1, "A. Keeper"));
    fs::write(case.out().join("done-bay-1.xlsx"), &filled).expect("written");
    let refused = plan(&case, &[]);
    assert_eq!(refused.code, 2, "a file the plan does not list");
    assert_eq!(plan(&case, &["--replace"]).code, 0);
    assert_eq!(kept(&case), ["done-bay-1-1.xlsx"]);
}

#[test]
fn a_record_is_recognized_by_its_headers_anywhere_in_the_folder() {
    for name in ["Copy of done.xlsx", "bay 1/Monday.xlsx", "Done.XLSX"] {
        let case = plain();
        case.planned();
        let filled = written(&case, |rows| done(rows, 1, "A. Keeper"));
        let path = case.out().join(name);
        fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        fs::write(&path, &filled).expect("written");
        let refused = plan_by_files(&case, &["--replace"]);
        assert_eq!(refused.code, 2, "{name}: {}", refused.stderr);
        let ran = plan(&case, &["--replace"]);
        assert_eq!(ran.code, 0, "{name}: {}", ran.stderr);
        let [copy] = kept(&case).try_into().expect("one copy");
        assert_eq!(fs::read(case.project().join("done").join(copy)).expect(name), filled);
    }
}

#[test]
fn a_file_in_place_of_the_folder_of_forms_is_reported() {
    let case = plain();
    case.planned();
    let case = case.file("done", "a note");
    fs::write(record(&case), written(&case, |rows| done(rows, 1, "A. Keeper"))).expect("written");
    let ran = plan(&case, &[]);
    assert_eq!(ran.code, 2, "{}", ran.stderr);
    assert!(ran.stderr.contains("a file named done is in the way"), "{}", ran.stderr);
    assert!(ran.stderr.contains("    → move or rename it") && !ran.stderr.contains("os error"), "{}", ran.stderr);
}

#[test]
fn a_table_of_options_never_replaces_a_filled_in_record() {
    let case = plain();
    case.planned();
    let options = |case: &TestProject| {
        TestProject::run(&[Path::new("plan"), &case.project(), Path::new("--options"), &record(case)])
    };
    let filled = written(&case, |rows| done(rows, 1, "A. Keeper"));
    fs::write(record(&case), &filled).expect("written");
    let ran = options(&case);
    assert_eq!(ran.code, 2, "{}", ran.stderr);
    assert!(ran.stderr.contains("1 line is filled in, and it would be replaced"), "{}", ran.stderr);
    assert_eq!(fs::read(record(&case)).expect("the record"), filled);
}

#[test]
fn entries_that_a_form_of_the_project_holds_are_not_copied_again() {
    let case = plain();
    case.planned();
    let filled = written(&case, |rows| {
        done(rows, 1, "A. Keeper");
        done(rows, 2, "A. Keeper");
    });
    let rows = sheet(&filled);
    let csv: String = rows.iter().map(|row| row.join(";") + "\n").collect();
    let case = case.file("done/bay-1.csv", &csv);
    fs::write(record(&case), &filled).expect("written");
    assert_eq!(plan(&case, &[]).code, 0);
    assert_eq!(kept(&case), ["bay-1.csv"]);
    // The same lots with other entries are new.
    fs::write(record(&case), written(&case, |rows| done(rows, 1, "B. Keeper"))).expect("written");
    assert_eq!(plan(&case, &[]).code, 0);
    assert_eq!(kept(&case), ["bay-1.csv", "done-1.xlsx"]);
}

#[test]
fn an_output_never_replaces_the_forms() {
    let case = plain().file("done/bay-1.csv", "catalogNumber,done\n001,yes\n");
    let before = contents(&case.project());
    for out in ["done", "done/plan"] {
        let out = case.project().join(out);
        let ran =
            TestProject::run(&[Path::new("plan"), &case.project(), Path::new("--out"), &out, Path::new("--replace")]);
        assert_eq!(ran.code, 2, "{}", ran.stderr);
    }
    let options = case.project().join("done/bay-1.csv");
    let ran = TestProject::run(&[
        Path::new("plan"),
        &case.project(),
        Path::new("--options"),
        &options,
        Path::new("--out"),
        &case.out(),
    ]);
    assert_eq!(ran.code, 2, "{}", ran.stderr);
    let ran = TestProject::run(&[Path::new("plan"), &case.project(), Path::new("--options"), &options]);
    assert_eq!(ran.code, 2, "{}", ran.stderr);
    assert_eq!(contents(&case.project()), before);
}

#[test]
fn an_untouched_record_of_odd_texts_is_recognized_as_untouched() {
    let long = "long ".repeat(10_000);
    for names in [
        ["=1+1", "+2", "@SUM(A1)"],
        ["  spaces around  ", "two\nlines\r\nand three", "tab\there"],
        ["_x0041_ as it stands", "\u{1F438} frog", "ж, é, 蛙"],
        [long.as_str(), "1e5", "12:30"],
        ["\u{1}\u{7}control", "TRUE", "&amp; <b>"],
    ] {
        let case = case(names);
        assert_eq!(plan_by_files(&case, &[]).code, 0);
        let again = plan_by_files(&case, &[]);
        assert_eq!(again.code, 0, "{names:.40?}: {}", again.stderr);
    }
}

/// A record with some rows coloured: the fill colour in `xl/styles.xml` is another one.
fn coloured(bytes: &[u8]) -> Vec<u8> {
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(bytes)).expect("a workbook");
    let mut out = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for index in 0..archive.len() {
        let mut file = archive.by_index(index).expect("a file");
        let mut text = Vec::new();
        std::io::Read::read_to_end(&mut file, &mut text).expect("its bytes");
        let name = file.name().expect("a name").into_owned();
        if name == "xl/styles.xml" {
            text = String::from_utf8(text).expect("a text").replace("CFE3E3", "66FF66").into_bytes();
        }
        out.start_file(name, zip::write::SimpleFileOptions::default()).expect("a name");
        std::io::Write::write_all(&mut out, &text).expect("written");
    }
    out.finish().expect("a workbook").into_inner()
}

#[test]
fn colours_of_rows_are_kept() {
    for flags in [&[][..], &["--replace"], &["--papers", "none", "--replace"]] {
        let case = plain();
        case.planned();
        let form = fs::read(record(&case)).expect("the record");
        let filled = coloured(&form);
        assert_ne!(filled, form);
        // A record as it was printed blocks nothing and is not kept.
        assert_eq!((plan(&case, flags).code, kept(&case).len()), (0, 0), "{flags:?}");
        assert_eq!(plan(&case, &[]).code, 0);
        fs::write(record(&case), &filled).expect("written");
        let ran = plan(&case, flags);
        assert_eq!(ran.code, 0, "{flags:?}: {}", ran.stderr);
        assert!(ran.stderr.contains("its colours or formats were changed"), "{flags:?}: {}", ran.stderr);
        assert_eq!(kept(&case), ["done-1.xlsx"], "{flags:?}");
        assert_eq!(fs::read(case.project().join("done/done-1.xlsx")).expect("the copy"), filled, "{flags:?}");
        // The same record again is kept already.
        assert_eq!(plan(&case, &[]).code, 0);
        fs::write(record(&case), &filled).expect("written");
        assert_eq!((plan(&case, &[]).code, kept(&case).len()), (0, 1));
    }
    let case = plain();
    assert_eq!(plan_by_files(&case, &[]).code, 0);
    fs::write(record(&case), coloured(&fs::read(record(&case)).expect("the record"))).expect("written");
    let ran = plan_by_files(&case, &["--replace"]);
    assert!(ran.code == 2 && ran.stderr.contains("its colours or formats were changed"), "{}", ran.stderr);
}
