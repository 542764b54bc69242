//! Inputs that must not make the program panic: arguments that are not text, refused threads, texts and tables of any size.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use crate::support::TestProject;

fn rehouse() -> Command {
    Command::new(env!("CARGO_BIN_EXE_rehouse"))
}

fn said(output: &Output) -> String {
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(!said.contains("panicked"), "{said}");
    said
}

#[cfg(unix)]
#[test]
fn arguments_that_are_not_text_are_refused_or_used_as_file_names() {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt;
    let odd = OsStr::from_bytes(b"caf\xe9");
    for words in [&["check"][..], &["plan", "demo-data", "--set"], &["why"], &["mix", "--to"], &[], &["--color"]] {
        let output = rehouse().args(words).arg(odd).output().expect("it runs");
        said(&output);
        assert_eq!(output.status.code(), Some(2), "{words:?}");
    }
    // A file name need not be text.
    let around = tempfile::tempdir().expect("a folder");
    let project = around.path().join(odd);
    fs::create_dir(&project).expect("a folder");
    for name in ["specimens.csv", "vessels.csv", "settings.toml", "suppliers.csv", "fluid-stock.csv"] {
        fs::copy(Path::new("demo-data").join(name), project.join(name)).expect(name);
    }
    let before = fs::read_dir(&project).expect("a folder").count();
    let output =
        rehouse().arg("plan").arg(&project).arg("--out").arg(around.path().join("out")).output().expect("it runs");
    assert!(output.status.success(), "{}", said(&output));
    // The folder is still recognized as that of an input.
    let output =
        rehouse().arg("plan").arg(&project).args(["--replace", "--out"]).arg(&project).output().expect("it runs");
    assert_eq!(output.status.code(), Some(2), "{}", said(&output));
    assert_eq!(fs::read_dir(&project).expect("a folder").count(), before);
}

#[test]
fn without_threads_the_plan_is_the_same() {
    let around = tempfile::tempdir().expect("a folder");
    // Enough lots to be shared among threads.
    let lots: String = (0..600).map(|n| format!("L-{n},40,14,12,rounded,ethanol-70\n")).collect();
    let stock = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n\
                 jar,cylinder,60,110,borosilicate,ground-glass-stopper,700\n";
    let head = "catalogNumber,length_mm,width_mm,height_mm,outline,fluid\n";
    let case = TestProject::new().file("specimens.csv", format!("{head}{lots}")).file("vessels.csv", stock);
    let written = |name: &str, refused: bool| {
        let mut command = rehouse();
        if refused {
            // No system has room for a stack of this size, so no thread can start.
            command.env("RUST_MIN_STACK", "1000000000000000");
        }
        let out = around.path().join(name);
        let output = command
            .arg("plan")
            .arg(case.project())
            .args(["--papers", "all", "--out"])
            .arg(&out)
            .output()
            .expect("it runs");
        assert!(output.status.success(), "{}", said(&output));
        out
    };
    let [usual, alone] = [written("usual", false), written("alone", true)];
    let names = |folder: &Path| {
        let entries = fs::read_dir(folder).expect("a plan").map(|entry| entry.expect("an entry").file_name());
        let mut names: Vec<_> = entries.filter_map(|name| name.into_string().ok()).collect();
        names.sort();
        names
    };
    assert_eq!(names(&usual), names(&alone));
    // Workbooks are compressed differently, and so their digests in plan.json differ.
    for name in
        names(&usual).iter().filter(|name| !name.ends_with(".xlsx") && *name != "plan.json" && *name != "inputs")
    {
        assert!(fs::read(usual.join(name)).expect(name) == fs::read(alone.join(name)).expect(name), "{name}");
    }
    let audit = rehouse().arg("audit").arg(&alone).env("RUST_MIN_STACK", "1000000000000000").output().expect("it runs");
    assert!(audit.status.success(), "{}", said(&audit));
    let starter = around.path().join("starter");
    let made =
        rehouse().arg("starter").arg(&starter).env("RUST_MIN_STACK", "1000000000000000").output().expect("it runs");
    assert!(made.status.success(), "{}", said(&made));
}

#[test]
fn a_workbook_holds_headers_and_currencies_of_any_length_and_any_number_of_columns() {
    let long = "x".repeat(100_000);
    let frogs = "\u{1F438}".repeat(40_000);
    let many: String = (0..17_000).map(|n| format!(",c{n}")).collect();
    for (head, currency) in [(format!(",{long}"), ""), (format!(",{frogs}"), ""), (many, ""), (String::new(), &*long)] {
        let blank = ",".repeat(head.matches(',').count());
        let survey = format!(
            "catalogNumber,length_mm,width_mm,height_mm,outline,fluid{head}\nA-1,40,14,12,rounded,ethanol-70{blank}\n"
        );
        let stock = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,unit_price\n\
                     jar,cylinder,60,110,borosilicate,ground-glass-stopper,3.00\n";
        let case = TestProject::new()
            .file("specimens.csv", survey)
            .file("vessels.csv", stock)
            .file("settings.toml", format!("currency = \"{currency}\"\n"));
        let ran = case.plan();
        assert!(!ran.stderr.contains("panicked"), "{:.300}", ran.stderr);
        assert_eq!(ran.code, 0, "{:.300}", ran.stderr);
        case.audit();
        assert!(case.out().join("plan.xlsx").is_file());
    }
}

#[test]
fn a_lot_may_wait_for_more_money_than_the_type_can_hold() {
    // 10^6 packs at 10^9 each, for one jar.
    let stock = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,pack_price,pack_size,min_packs\n\
                 jar,cylinder,60,110,borosilicate,ground-glass-stopper,1000000000,1000000,1000000\n";
    let survey = "catalogNumber,length_mm,width_mm,height_mm,outline,fluid\nA-1,40,14,12,rounded,ethanol-70\n";
    let case = TestProject::new()
        .file("specimens.csv", survey)
        .file("vessels.csv", stock)
        .file("settings.toml", "budget = 10\n[fluid_price]\nethanol-70 = 1000000000\n");
    let planned = case.planned();
    let reason = planned.plan["placements"][0]["reason"].as_str().expect("a reason");
    assert!(reason.starts_with("waits: by itself it takes 10000000000.00 more; "), "{reason}");
    case.audit();
}
