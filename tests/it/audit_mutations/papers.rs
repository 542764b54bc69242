//! Files of a plan's folder changed together with their digests, and what `--digest` finds.

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use rehouse::output::sha256;

use crate::support::{Ran, TestProject};

const SURVEY: &str = "catalogNumber,length_mm,width_mm,height_mm,outline,fluid,must_use\n\
    A-1,40,14,12,rounded,ethanol-70,\nA-2,60,20,18,rounded,ethanol-70,\nA-3,300,90,120,box,formalin-10,@tank\n";
const STOCK: &str = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand,unit_price,supplier\n\
    jar-60,cylinder,60,110,borosilicate,pp-cap-ptfe,1,3.00,Alder Glass\n";

fn case() -> TestProject {
    TestProject::new()
        .file("specimens.csv", SURVEY)
        .file("vessels.csv", STOCK)
        .file("suppliers.csv", "supplier,delivery_charge\nAlder Glass,4\n")
}

fn audit(case: &TestProject, more: &[&str]) -> Ran {
    let out = case.out();
    let more = more.iter().map(Path::new);
    TestProject::run(&[Path::new("audit"), &out].into_iter().chain(more).collect::<Vec<_>>())
}

/// Changes a file of the plan and its digest in plan.json.
fn forged(case: &TestProject, name: &str, change: impl FnOnce(&str) -> String) {
    let path = case.out().join(name);
    let old = fs::read(&path).expect(name);
    let text = String::from_utf8_lossy(&old).into_owned();
    let new = change(&text);
    assert_ne!(new, text, "{name} is changed");
    fs::write(&path, &new).expect(name);
    let plan_json = case.out().join("plan.json");
    let plan = fs::read_to_string(&plan_json).expect("plan.json");
    assert!(plan.contains(&sha256(&old)), "plan.json lists {name}");
    fs::write(plan_json, plan.replace(&sha256(&old), &sha256(new.as_bytes()))).expect("plan.json");
}

/// Puts another file into the folder and lists it in plan.json.
fn added(case: &TestProject, name: &str) {
    fs::write(case.out().join(name), "MZ").expect(name);
    let plan_json = case.out().join("plan.json");
    let plan = fs::read_to_string(&plan_json).expect("plan.json");
    let (before, after) = plan.rsplit_once("]\n}").expect("the list of files is last");
    let entry = format!(",{{\"name\":\"{name}\",\"sha256\":\"{}\"}}", sha256(b"MZ"));
    fs::write(plan_json, format!("{before}{entry}]\n}}{after}")).expect("plan.json");
}

#[test]
fn a_file_that_is_changed_together_with_its_digest_is_found() {
    let case = case();
    let names = [
        "placements.csv",
        "purchases.csv",
        "tanks.csv",
        "panes.csv",
        "sheets.csv",
        "make-up.csv",
        "curve.csv",
        "curve-suppliers.csv",
        "curve-fluid.csv",
        "sizes.csv",
        "labels.csv",
        "labels.html",
        "report.html",
        "transfer-sheets.html",
        "fire-sheet.html",
        "inputs/settings.toml",
    ];
    for name in names {
        let ran = case.plan();
        assert_eq!(ran.code, 0, "{}", ran.stderr);
        assert_eq!(audit(&case, &[]).code, 0);
        forged(&case, name, |text| format!("{text}\n# 99.99\n"));
        let ran = audit(&case, &[]);
        assert_eq!(ran.code, 1, "{name}\n{}", ran.stdout);
        assert!(ran.stdout.contains(name), "{name} is named\n{}", ran.stdout);
        fs::remove_dir_all(case.out()).expect("the plan");
    }
    case.plan();
    forged(&case, "plan.xlsx", |text| format!("{text} "));
    assert!(audit(&case, &[]).stdout.contains("plan.xlsx: it is not what this plan gives"));
}

#[test]
fn a_script_in_the_report_and_files_of_other_names_are_found() {
    let case = case();
    case.plan();
    forged(&case, "report.html", |text| text.replacen("</body>", "<script>alert(1)</script></body>", 1));
    added(&case, "x.exe");
    added(&case, "inputs/x.exe");
    let ran = audit(&case, &[]);
    assert_eq!(ran.code, 1);
    for said in [
        "report.html: it is not what this plan gives",
        "  x.exe: no file of this plan has this name",
        "  inputs/x.exe: no file of this plan has this name",
    ] {
        assert!(ran.stdout.contains(said), "{said}\n{}", ran.stdout);
    }
}

#[test]
fn every_choice_of_papers_is_compared_and_a_record_may_be_filled_in_or_removed() {
    for papers in ["all", "some", "none"] {
        let case = case();
        case.papers(papers);
        let ran = audit(&case, &[]);
        assert_eq!(ran.code, 0, "{papers}\n{}", ran.stdout);
        assert!(ran.stdout.contains("every file was made again and is the same"), "{}", ran.stdout);
        if papers != "none" {
            fs::write(case.out().join("done.xlsx"), "anything").expect("a record");
            assert_eq!(audit(&case, &[]).code, 0);
            fs::remove_file(case.out().join("done.xlsx")).expect("a record");
            assert_eq!(audit(&case, &[]).code, 0);
            fs::remove_file(case.out().join("fire-sheet.html")).expect("a paper");
            assert_eq!(audit(&case, &[]).code, 1);
        }
    }
}

#[test]
fn a_plan_of_another_version_is_recalculated_and_its_papers_are_reported_as_not_compared() {
    let case = case();
    case.plan();
    let path = case.out().join("plan.json");
    let text = fs::read_to_string(&path).expect("plan.json");
    let ours = format!("\"version\":\"{}\"", env!("CARGO_PKG_VERSION"));
    assert!(text.contains(&ours));
    fs::write(&path, text.replace(&ours, "\"version\":\"0.0.9\"")).expect("plan.json");
    let ran = audit(&case, &[]);
    assert_eq!(ran.code, 0, "{}", ran.stdout);
    assert!(ran.stdout.contains("Papers not compared: written by 0.0.9."), "{}", ran.stdout);
    fs::write(&path, text.replace("\"name\":\"rehouse\"", "\"name\":\"another\"")).expect("plan.json");
    assert_eq!(audit(&case, &[]).code, 1);
}

#[test]
fn audit_with_the_printed_digest_passes_and_with_another_fails() {
    let case = case();
    let ran = case.plan();
    let printed = ran.stdout.lines().last().expect("a digest").to_owned();
    assert_eq!(printed, sha256(&fs::read(case.out().join("plan.json")).expect("plan.json")));
    assert_eq!(audit(&case, &["--digest", &printed]).code, 0);
    assert_eq!(audit(&case, &["--digest", &printed.to_uppercase()]).code, 0);
    let other = sha256(b"another plan");
    let ran = audit(&case, &["--digest", &other]);
    assert_eq!(ran.code, 1);
    assert!(ran.stdout.contains(&format!("plan.json: its SHA-256 is {printed}, not {other}")), "{}", ran.stdout);
    for wrong in [&printed[..63], "", "g", &printed.replace(|c: char| c.is_ascii_digit(), "z"), &format!("{printed}0")]
    {
        let ran = audit(&case, &["--digest", wrong]);
        assert_eq!(ran.code, 2, "{wrong}");
        assert!(ran.stderr.contains("a SHA-256 is 64 hexadecimal digits"), "{}", ran.stderr);
    }
}

#[test]
fn skipped_rows_must_be_exactly_those_that_cannot_be_read() {
    let bad = format!("{SURVEY}A-4,x,14,12,rounded,ethanol-70,\nA-5,y,14,12,rounded,ethanol-70,\n");
    let case = case().file("specimens.csv", bad);
    let (project, out) = (case.project(), case.out());
    let plan = ["plan", "--skip-bad-rows", "--out"].map(Path::new);
    assert_eq!(TestProject::run(&[plan[0], &project, plan[1], plan[2], &out]).code, 1);
    let ran = audit(&case, &[]);
    assert_eq!(ran.code, 0, "{}", ran.stdout);
    let path = out.join("plan.json");
    let text = fs::read_to_string(&path).expect("plan.json");
    let said = "\"specimens.csv, row 5: length_mm: \\\"x\\\" – not a number\"";
    assert!(text.contains(said), "no path of the machine\n{text}");
    let (before, after) = text.split_once("\"skipped_rows\": [").expect("the rows");
    let rest = after.split_once(']').expect("the rows").1;
    for rows in ["", "\n    \"specimens.csv, row 9: invented\"\n  ", said] {
        fs::write(&path, format!("{before}\"skipped_rows\": [{rows}]{rest}")).expect("plan.json");
        let ran = audit(&case, &[]);
        assert_eq!(ran.code, 1, "{rows}");
        assert!(ran.stdout.contains("skipped_rows["), "{}", ran.stdout);
    }
}

#[test]
fn a_million_panes_of_one_tank_are_found_wrong_within_twenty_seconds() {
    let case = case();
    case.plan();
    let path = case.out().join("plan.json");
    let text = fs::read_to_string(&path).expect("plan.json");
    let at = text.find("\"pieces\":2").expect("two panes of a kind");
    let forged = format!("{}\"pieces\":1000001{}", &text[..at], &text[at + "\"pieces\":2".len()..]);
    fs::write(&path, forged).expect("plan.json");
    let start = Instant::now();
    let ran = audit(&case, &[]);
    assert_eq!(ran.code, 1);
    assert!(ran.stdout.contains("tanks[0].design"), "{}", ran.stdout);
    assert!(start.elapsed() < Duration::from_secs(20), "{:?}", start.elapsed());
}

#[test]
fn flammable_fluid_in_a_place_without_a_name_may_not_be_left_out() {
    let case = case();
    case.plan();
    let path = case.out().join("plan.json");
    let text = fs::read_to_string(&path).expect("plan.json");
    let (before, after) = text.split_once("\"flammable\": [").expect("places");
    let rest = after.split_once("\n  ]").expect("places").1;
    assert!(after.contains("\"location\":\"\""), "{text}");
    fs::write(&path, format!("{before}\"flammable\": []{rest}")).expect("plan.json");
    let ran = audit(&case, &[]);
    assert_eq!(ran.code, 1);
    assert!(ran.stdout.contains("flammable: locations"), "{}", ran.stdout);
}

#[test]
fn papers_of_a_plan_that_was_read_back_are_the_same_byte_for_byte() {
    let out = tempfile::tempdir().expect("a folder");
    let dir = out.path().join("plan");
    let plan = ["plan", "demo-data", "--papers", "all", "--out"].map(Path::new);
    assert_eq!(TestProject::run(&[&plan[..], &[&dir]].concat()).code, 0);
    let ran = TestProject::run(&[Path::new("audit"), &dir]);
    assert_eq!(ran.code, 0, "{}", ran.stdout);
}
