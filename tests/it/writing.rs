//! Written folders, refusals, and the state after full disks, signals and power cuts.

use std::fs;
use std::path::{Path, PathBuf};

use rehouse::output::{
    File, PLAN_FILE, check_writable, read_folder, recover, sha256, verify_digests, write_file, write_folder,
};

/// A folder like a saved plan: every sheet contains its generation, and `plan.json` lists them all.
fn plan(generation: usize) -> Vec<File> {
    let names = ["fire-sheet.html", "inputs/rules/fluids.csv", "inputs/specimens.csv", "placements.csv"];
    let mut files: Vec<File> = names
        .iter()
        .map(|name| File { name: name.to_string(), bytes: format!("generation {generation}\n").repeat(500).into() })
        .collect();
    let listed: Vec<_> =
        files.iter().map(|file| serde_json::json!({"name": file.name, "sha256": sha256(&file.bytes)})).collect();
    let plan_json = serde_json::json!({"schema": "rehouse-plan/1", "generation": generation, "files": listed});
    files.push(File { name: PLAN_FILE.into(), bytes: plan_json.to_string().into() });
    files.sort_by(|a, b| a.name.cmp(&b.name));
    files
}

/// The generation of a saved plan; asserts that all its files have the same one.
fn generation(dir: &Path) -> usize {
    let files = read_folder(dir).unwrap();
    let plan_json = &files.iter().find(|file| file.name == PLAN_FILE).unwrap().bytes;
    let generation = serde_json::from_slice::<serde_json::Value>(plan_json).unwrap()["generation"].as_u64().unwrap();
    assert_eq!(files, plan(generation as usize));
    assert_eq!(verify_digests(plan_json, &files), [""; 0]);
    generation as usize
}

fn names_in(folder: &Path) -> Vec<String> {
    let mut names: Vec<_> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

/// Everything below a folder with its contents, to check that nothing was changed.
fn contents(folder: &Path) -> Vec<(PathBuf, Option<Vec<u8>>)> {
    let mut all = Vec::new();
    for name in names_in(folder) {
        let path = folder.join(name);
        let is_folder = path.symlink_metadata().unwrap().is_dir();
        all.push((path.clone(), if is_folder { None } else { fs::read(&path).ok() }));
        if is_folder {
            all.extend(contents(&path));
        }
    }
    all
}

/// A folder that contains `out` with generation 1.
fn saved_plan() -> (tempfile::TempDir, PathBuf) {
    let around = tempfile::tempdir().unwrap();
    let out = around.path().join("out");
    write_folder(&out, &plan(1), &[], false).unwrap();
    (around, out)
}

/// Asserts that the early check and the writing both refuse for this reason, with a cure, and change nothing.
fn assert_refused(around: &Path, out: &Path, inputs: &[PathBuf], replace: bool, reason: &str) {
    let before = contents(around);
    for refused in [check_writable(out, inputs, replace), write_folder(out, &plan(2), inputs, replace)] {
        let message = refused.expect_err(&format!("{} is not refused ({reason})", out.display())).to_string();
        assert!(message.contains(reason), "{message}\n  but wanted: {reason}");
        assert!(message.starts_with(&out.display().to_string()), "{message}");
        assert!(message.contains("\n    → "), "{message}");
    }
    assert_eq!(contents(around), before, "something was touched ({reason})");
}

#[test]
fn digests_are_those_of_the_standard() {
    // NIST, Cryptographic Standards and Guidelines, Examples with Intermediate Values: SHA-256, one-block and two-block
    // message samples (the samples of FIPS 180-2, appendix B.1 and B.2).
    assert_eq!(sha256(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    assert_eq!(
        sha256(b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"
    );
}

#[test]
fn a_new_plan_replaces_the_old_one_whole() {
    let (around, out) = saved_plan();
    let mut first = plan(1);
    first.push(File { name: "only-in/the/old.csv".into(), bytes: b"x".into() });
    write_folder(&out, &first, &[], false).unwrap();
    assert!(out.join("only-in/the/old.csv").is_file());
    // That file is not in the list, so the next writing needs `replace`.
    write_folder(&out, &plan(2), &[], true).unwrap();
    assert_eq!(generation(&out), 2);
    assert!(!out.join("only-in").exists());
    assert_eq!(names_in(around.path()), ["out"]);
}

#[test]
fn an_untouched_plan_and_an_empty_folder_are_replaced_without_the_flag() {
    let (around, out) = saved_plan();
    fs::remove_file(out.join("fire-sheet.html")).unwrap();
    check_writable(&out, &[], false).unwrap();
    write_folder(&out, &plan(2), &[], false).unwrap();
    assert_eq!(generation(&out), 2);
    let empty = around.path().join("empty");
    fs::create_dir(&empty).unwrap();
    check_writable(&empty, &[], false).unwrap();
    write_folder(&empty, &plan(3), &[], false).unwrap();
    assert_eq!(generation(&empty), 3);
    assert_eq!(names_in(around.path()), ["empty", "out"]);
}

#[test]
fn a_sheet_filled_in_by_hand_is_lost_only_with_replace() {
    let (around, out) = saved_plan();
    let sheet = out.join("placements.csv");
    fs::write(&sheet, "moved on Tuesday, initials in ink").unwrap();
    assert_refused(around.path(), &out, &[], false, "changed since it was written: placements.csv");
    check_writable(&out, &[], true).unwrap();
    assert_eq!(fs::read_to_string(&sheet).unwrap(), "moved on Tuesday, initials in ink");
    write_folder(&out, &plan(2), &[], true).unwrap();
    assert_eq!(generation(&out), 2);
}

#[test]
fn files_that_a_plan_does_not_list_are_lost_only_with_replace() {
    let (around, out) = saved_plan();
    for number in 0..7 {
        fs::write(out.join(format!("inputs/photograph-{number}.jpg")), "grey").unwrap();
    }
    let reason = "does not list: inputs/photograph-0.jpg, inputs/photograph-1.jpg, inputs/photograph-2.jpg, \
                  inputs/photograph-3.jpg, inputs/photograph-4.jpg and 2 more";
    assert_refused(around.path(), &out, &[], false, reason);
    write_folder(&out, &plan(2), &[], true).unwrap();
    assert_eq!(generation(&out), 2);
}

#[test]
fn a_folder_that_is_no_plan_is_lost_only_with_replace() {
    let (around, out) = saved_plan();
    fs::remove_file(out.join(PLAN_FILE)).unwrap();
    assert_refused(around.path(), &out, &[], false, "not a saved plan and holds fire-sheet.html, inputs");
    fs::write(out.join(PLAN_FILE), r#"{"files": "all of them"}"#).unwrap();
    assert_refused(around.path(), &out, &[], false, "not a saved plan and holds fire-sheet.html, inputs");
    write_folder(&out, &plan(2), &[], true).unwrap();
    assert_eq!(generation(&out), 2);
}

#[test]
fn a_folder_of_an_input_is_never_replaced() {
    let around = tempfile::tempdir().unwrap();
    let project = around.path().join("project");
    fs::create_dir_all(project.join("rules")).unwrap();
    fs::write(project.join("specimens.csv"), "catalogNumber\n").unwrap();
    let survey = [project.join("specimens.csv")];
    let spelled = project.join("rules/../specimens.csv");
    for replace in [false, true] {
        assert_refused(around.path(), &project, &survey, replace, "holds, an input");
        assert_refused(around.path(), &project, std::slice::from_ref(&spelled), replace, "holds, an input");
        assert_refused(around.path(), &project, std::slice::from_ref(&project), replace, "holds, an input");
        assert_refused(around.path(), &project, &[project.join("rules")], replace, "holds, an input");
    }
    // A folder inside a project is a common place for a plan.
    write_folder(&project.join("out"), &plan(1), &[project.clone(), project.join("specimens.csv")], false).unwrap();
    assert_eq!(generation(&project.join("out")), 1);
}

#[test]
fn places_that_cannot_be_replaced_are_refused_early() {
    let (around, out) = saved_plan();
    let beside = around.path();
    fs::write(beside.join("notes"), "by hand").unwrap();
    for replace in [false, true] {
        assert_refused(beside, &beside.join("notes"), &[], replace, "it is a file");
        assert_refused(beside, &beside.join("notes/out"), &[], replace, "the path above it is not a folder");
        assert_refused(beside, &beside.join("nowhere/out"), &[], replace, "find the folder above it");
        let too_long = beside.join("x".repeat(250));
        assert_refused(beside, &too_long, &[], replace, "cannot make a folder beside it");
        // Only checked: a fault in the program must do no harm here.
        for (path, reason) in [("/", "root"), (env!("CARGO_MANIFEST_DIR"), "you are in"), (".", "you are in")] {
            let message = check_writable(Path::new(path), &[], replace).unwrap_err().to_string();
            assert!(message.contains(reason), "{message}");
        }
    }
    #[cfg(unix)]
    {
        let mode = fs::metadata(&out).unwrap().permissions();
        let mut read_only = mode.clone();
        read_only.set_readonly(true);
        fs::set_permissions(&out, read_only).unwrap();
        assert_refused(beside, &out, &[], true, "it is read-only");
        fs::set_permissions(&out, mode).unwrap();
    }
}

#[test]
fn names_that_lead_out_of_the_folder_are_refused_and_leave_nothing() {
    let (around, out) = saved_plan();
    let unsound =
        ["../stray.csv", "/stray.csv", "", "inputs/../../stray.csv", "inputs\\stray.csv", "C:stray.csv", "a//b"];
    // The last name is in the list already: two files of one name would lose one.
    for name in unsound.into_iter().chain(["placements.csv"]) {
        let mut files = plan(2);
        files.push(File { name: name.into(), bytes: b"x".into() });
        let message = write_folder(&out, &files, &[], false).unwrap_err().to_string();
        assert!(message.contains("not a name for a file") || message.contains("File exists"), "{message}");
        assert_eq!(names_in(around.path()), ["out"]);
        assert_eq!(generation(&out), 1);
    }
}

#[test]
fn a_place_is_found_through_links_and_odd_spellings() {
    let (around, out) = saved_plan();
    fs::create_dir(around.path().join("links")).unwrap();
    let spelled = around.path().join("links/../out/");
    write_folder(&spelled, &plan(2), &[], false).unwrap();
    assert_eq!(generation(&out), 2);
    #[cfg(unix)]
    {
        let link = around.path().join("links/to-out");
        std::os::unix::fs::symlink("../out", &link).unwrap();
        write_folder(&link, &plan(3), &[], false).unwrap();
        assert!(link.symlink_metadata().unwrap().is_symlink());
        assert_eq!(generation(&out), 3);
        // After a stop between the renames the link is broken; the folder set aside lies beside the link's target.
        fs::rename(&out, around.path().join(".out.rehouse-set-aside")).unwrap();
        recover(&link).unwrap();
        assert_eq!(generation(&out), 3);
        assert_eq!(names_in(around.path()), ["links", "out"]);
        assert_refused(around.path(), &link, std::slice::from_ref(&out), true, "holds, an input");
    }
}

#[test]
fn recovery_changes_nothing_where_nothing_was_left_behind() {
    let (around, out) = saved_plan();
    let before = contents(around.path());
    recover(&out).unwrap();
    recover(&around.path().join("never-written")).unwrap();
    recover(&around.path().join("nowhere/at/all")).unwrap();
    assert_eq!(contents(around.path()), before);
}

#[test]
fn a_folder_made_by_hand_while_the_plan_was_set_aside_is_kept() {
    let (around, out) = saved_plan();
    let set_aside = around.path().join(".out.rehouse-set-aside");
    fs::rename(&out, &set_aside).unwrap();
    // An empty folder gives way.
    fs::create_dir(&out).unwrap();
    recover(&out).unwrap();
    assert_eq!(generation(&out), 1);
    // A folder with a file in it does not, and both folders are kept.
    fs::rename(&out, &set_aside).unwrap();
    fs::create_dir(&out).unwrap();
    fs::write(out.join("notes.txt"), "by hand").unwrap();
    for replace in [false, true] {
        assert_refused(around.path(), &out, &[], replace, ".out.rehouse-set-aside");
    }
    assert_eq!(generation(&set_aside), 1);
    // Once that folder is moved away, the plan is restored.
    fs::rename(&out, around.path().join("mine")).unwrap();
    recover(&out).unwrap();
    assert_eq!(generation(&out), 1);
}

#[test]
fn digests_show_which_files_of_a_saved_plan_were_changed() {
    let (_around, out) = saved_plan();
    fs::write(out.join("placements.csv"), "changed").unwrap();
    fs::write(out.join("notes.txt"), "not listed").unwrap();
    fs::remove_file(out.join("inputs/specimens.csv")).unwrap();
    let files = read_folder(&out).unwrap();
    assert!(files.is_sorted_by(|a, b| a.name < b.name));
    let plan_json = &files.iter().find(|file| file.name == PLAN_FILE).unwrap().bytes;
    assert_eq!(verify_digests(plan_json, &files), ["inputs/specimens.csv", "notes.txt", "placements.csv"]);
    assert_eq!(verify_digests(b"{}", &plan(1)).len(), 5, "without a list nothing is as written");
}

#[test]
fn a_folder_that_is_no_saved_plan_is_not_read_as_one() {
    let (around, out) = saved_plan();
    for (path, reason) in [("out/inputs", "no plan.json"), ("never-written", "there is no such folder")] {
        let message = read_folder(&around.path().join(path)).unwrap_err().to_string();
        assert!(message.contains(reason), "{message}");
    }
    fs::remove_file(out.join(PLAN_FILE)).unwrap();
    assert!(read_folder(&out).unwrap_err().to_string().contains("no plan.json"));
}

#[test]
fn one_file_is_replaced_whole_but_never_an_input_or_a_folder() {
    let around = tempfile::tempdir().unwrap();
    let (survey, options) = (around.path().join("specimens.csv"), around.path().join("options.csv"));
    fs::write(&survey, "catalogNumber\n").unwrap();
    let inputs = [survey.clone()];
    write_file(&options, b"first", &inputs).unwrap();
    write_file(&options, b"second", &inputs).unwrap();
    assert_eq!(fs::read(&options).unwrap(), b"second");
    let refuse = |path: &Path, reason: &str| {
        let message = write_file(path, b"third", &inputs).unwrap_err().to_string();
        assert!(message.contains(reason) && message.contains("\n    → "), "{message}");
    };
    refuse(&survey, "it is one of the inputs");
    refuse(&around.path().join(".").join("specimens.csv"), "it is one of the inputs");
    refuse(around.path(), "it is a folder");
    refuse(&options.join("x"), "the path above it is not a folder");
    assert_eq!(fs::read(&survey).unwrap(), b"catalogNumber\n");
    #[cfg(unix)]
    {
        let link = around.path().join("link.csv");
        std::os::unix::fs::symlink(&survey, &link).unwrap();
        refuse(&link, "it is one of the inputs");
        fs::remove_file(&link).unwrap();
    }
    let mut mode = fs::metadata(&options).unwrap().permissions();
    mode.set_readonly(true);
    fs::set_permissions(&options, mode).unwrap();
    refuse(&options, "it is read-only");
    assert_eq!(names_in(around.path()), ["options.csv", "specimens.csv"]);
}

#[cfg(target_os = "linux")]
#[test]
fn pipes_and_devices_are_written_to_and_not_replaced() {
    use std::os::unix::fs::FileTypeExt;
    write_file(Path::new("/dev/null"), b"x", &[]).unwrap();
    assert!(fs::metadata("/dev/null").unwrap().file_type().is_char_device());
    let message = write_file(Path::new("/dev/full"), b"x", &[]).unwrap_err().to_string();
    assert!(message.contains("No space left") && message.contains("make room"), "{message}");
    // A mount point cannot be renamed; only checked: a fault in the program must do no harm here.
    let message = check_writable(Path::new("/proc"), &[], true).unwrap_err().to_string();
    assert!(message.contains("a disk of its own") || message.contains("read-only"), "{message}");
}

#[cfg(unix)]
mod processes;
#[cfg(unix)]
mod program;
mod record;
