//! System limits: memory, open files, disks, closed outputs. The exit code is always 0, 1, 2 or 130.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use rehouse::output::recover;

use crate::support::TestProject;

/// Runs the program in a shell, after the shell commands `before`.
fn within(before: &str, arguments: &[&Path], after: &str) -> Output {
    let command = format!("{before} exec \"$0\" \"$@\" {after}");
    Command::new("sh").args(["-c", &command, env!("CARGO_BIN_EXE_rehouse")]).args(arguments).output().expect("a shell")
}

fn expected(output: &Output, what: &str) {
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(matches!(output.status.code(), Some(0..=2)), "{what}: {:?}\n{said}", output.status);
    assert!(!said.contains("panicked"), "{what}: {said}");
}

#[test]
fn within_any_memory_limit_it_plans_or_reports_the_want_of_memory() {
    let around = tempfile::tempdir().expect("a folder");
    let out = around.path().join("out");
    let step = if std::env::var_os("REHOUSE_LARGE").is_some() { 1 } else { 6 };
    let (mut planned, mut refused) = (0, 0);
    for megabytes in (24..200).step_by(step) {
        let limit = format!("ulimit -v {};", megabytes * 1024);
        let output = within(&limit, &["plan".as_ref(), "demo-data".as_ref(), "--out".as_ref(), &out], "");
        expected(&output, &limit);
        let said = String::from_utf8_lossy(&output.stderr);
        match output.status.code() {
            Some(0) => planned += 1,
            _ => {
                assert!(said.contains("memory") || said.contains("cannot"), "{limit} {said}");
                refused += 1;
            }
        }
        recover(&out).expect("what was left is put right");
        if out.exists() {
            let audit = within("", &["audit".as_ref(), &out], "");
            assert!(audit.status.success(), "{limit} {}", String::from_utf8_lossy(&audit.stdout));
        }
        let names: Vec<_> =
            fs::read_dir(around.path()).expect("a folder").flatten().map(|entry| entry.file_name()).collect();
        assert!(names.iter().all(|name| name == "out"), "{names:?}");
    }
    println!("limits on memory: {planned} planned, {refused} refused");
    assert!(planned > 0 && refused > 0);
}

#[test]
fn with_few_open_files_or_closed_outputs_it_ends_with_exit_code_0_1_or_2() {
    let around = tempfile::tempdir().expect("a folder");
    for files in 3..16 {
        let out = around.path().join(format!("out-{files}"));
        let limit = format!("ulimit -n {files};");
        let output = within(&limit, &["plan".as_ref(), "demo-data".as_ref(), "--out".as_ref(), &out], "");
        // The shell itself needs some open files.
        if !matches!(output.status.code(), Some(126 | 127)) {
            expected(&output, &limit);
        }
    }
    for (after, code) in [
        (">&-", &[0][..]),
        ("2>&-", &[0]),
        (">&- 2>&-", &[0]),
        ("<&- >&- 2>&-", &[0]),
        (">/dev/full", &[2]),
        ("2>/dev/full", &[0]),
        (">/dev/full 2>/dev/full", &[2]),
        ("| head -1", &[0]),
    ] {
        for arguments in [
            &["plan", "demo-data"][..],
            &["check", "demo-data"],
            &["plan", "demo-data", "--format", "json"],
            &["why", "A0302", "--in", "demo-data"],
            &["schema"],
            &["rules"],
            &["tank", "--specimen", "660x110x460", "--fluid", "formalin-10"],
        ] {
            let arguments: Vec<&Path> = arguments.iter().map(Path::new).collect();
            let command = if after.starts_with('|') { "" } else { "exec" };
            let output = Command::new("sh")
                .args(["-c", &format!("{command} \"$0\" \"$@\" {after}"), env!("CARGO_BIN_EXE_rehouse")])
                .args(&arguments)
                .output()
                .expect("a shell");
            expected(&output, after);
            assert!(code.contains(&output.status.code().unwrap_or(-1)), "{arguments:?} {after}: {:?}", output.status);
        }
    }
}

#[test]
fn a_disk_that_is_full_at_any_size_leaves_the_old_plan_or_none() {
    let case = TestProject::new()
        .file("specimens.csv", "catalogNumber,length_mm,width_mm,height_mm,fluid\nA-1,40,14,12,ethanol-70\n")
        .file("vessels.csv", "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\njar,cylinder,60,110,borosilicate,pp-cap-ptfe,5\n");
    let (project, out) = (case.project(), case.out());
    let sizes = if std::env::var_os("REHOUSE_LARGE").is_some() { 100 } else { 25 };
    for blocks in 0..sizes {
        let limit = format!("trap '' XFSZ; ulimit -f {blocks};");
        let output = within(&limit, &["plan".as_ref(), &project, "--replace".as_ref(), "--out".as_ref(), &out], "");
        expected(&output, &limit);
        recover(&out).expect("what was left is put right");
        if out.exists() {
            case.audit();
        } else {
            assert_eq!(output.status.code(), Some(2), "{limit}");
        }
    }
}
