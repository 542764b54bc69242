//! Files that exist and cannot be read as files: reported, never treated as missing, never waited for.

use std::fs;
use std::os::unix::fs::{MetadataExt, PermissionsExt, symlink};
use std::os::unix::process::CommandExt;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

use super::{STOCK, SURVEY};

/// A complete project folder.
fn project() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("specimens.csv"), SURVEY.replace("pp-cap", "pp-cap-ptfe")).expect("the survey");
    fs::write(folder.path().join("vessels.csv"), STOCK.replace("pp-cap", "pp-cap-ptfe")).expect("the stock list");
    folder
}

/// Runs the program; fails after a minute.
fn run(arguments: &[&str], input: Stdio) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_rehouse"))
        .args(arguments)
        .stdin(input)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program");
    let start = Instant::now();
    while child.try_wait().expect("its state").is_none() {
        if start.elapsed() > Duration::from_secs(60) {
            child.kill().expect("its end");
            panic!("{arguments:?} waits");
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    child.wait_with_output().expect("what it said")
}

fn check(folder: &Path) -> (i32, String) {
    let output = run(&["check", &folder.display().to_string()], Stdio::null());
    (output.status.code().unwrap_or(-1), String::from_utf8_lossy(&output.stderr).into_owned())
}

fn pipe(path: &Path) {
    assert!(Command::new("mkfifo").arg(path).status().expect("mkfifo").success());
}

const KNOWN: [&str; 6] = ["settings.toml", "suppliers.csv", "fluid-stock.ods", "rules", "specimens.csv", "vessels.csv"];

#[test]
fn a_known_name_that_leads_to_no_file_is_an_error() {
    type Make = fn(&Path);
    let kinds: [(&str, Make, &str); 5] = [
        ("a dangling link", |path| symlink("nowhere", path).expect("a link"), "a broken link"),
        ("a link to itself", |path| symlink(path, path).expect("a link"), "this link cannot be followed"),
        ("a folder", |path| fs::create_dir(path).expect("a folder"), "this is a folder, not a file"),
        ("a pipe", pipe, "this is a pipe or a device, not a file"),
        ("a device", |path| symlink("/dev/zero", path).expect("a link"), "this is a pipe or a device, not a file"),
    ];
    for (kind, make, reason) in kinds {
        for name in KNOWN.into_iter().filter(|name| !(*name == "rules" && kind == "a folder")) {
            let folder = project();
            let path = folder.path().join(name);
            let _ = fs::remove_file(&path);
            make(&path);
            let (code, said) = check(folder.path());
            let reason = if name == "rules" && !kind.contains("link") { "this must be a folder" } else { reason };
            assert_eq!(code, 2, "{name} as {kind}: {said}");
            assert!(
                said.contains(reason) && said.contains(name) && said.contains("    → "),
                "{name} as {kind}: {said}"
            );
        }
    }
}

#[test]
fn a_table_of_rules_that_is_no_file_is_an_error_too() {
    let folder = project();
    fs::create_dir(folder.path().join("rules")).expect("a folder");
    symlink("nowhere", folder.path().join("rules/fluids.csv")).expect("a link");
    pipe(&folder.path().join("rules/closures.csv"));
    let (code, said) = check(folder.path());
    assert_eq!(code, 2, "{said}");
    assert!(
        said.contains("a broken link") && said.contains("a pipe or a device"),
        "all that is wrong in one run: {said}"
    );
}

#[test]
fn files_behind_links_are_read() {
    let (folder, elsewhere) = (project(), tempfile::tempdir().expect("a folder"));
    let settings = elsewhere.path().join("mine.toml");
    fs::write(&settings, "budget = \"x\"\n").expect("settings");
    symlink(&settings, folder.path().join("settings.toml")).expect("a link");
    let (code, said) = check(folder.path());
    assert_eq!(code, 1, "{said}");
    assert!(said.contains("budget"), "{said}");
}

#[test]
fn files_named_one_by_one_may_be_pipes_of_limited_length() {
    let folder = project();
    let at = |name: &str| folder.path().join(name).display().to_string();
    let survey = fs::File::open(folder.path().join("specimens.csv")).expect("the survey");
    let mut cat = Command::new("cat").stdin(survey).stdout(Stdio::piped()).spawn().expect("cat");
    let piped = Stdio::from(cat.stdout.take().expect("its output"));
    let output = run(&["check", "/dev/stdin", &at("vessels.csv")], piped);
    cat.wait().expect("its end");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    for (named, reason) in [("/dev/zero", "without reaching its end"), (".", "a folder, not a file")] {
        let output = run(&["check", &at("specimens.csv"), &at("vessels.csv"), "--settings", named], Stdio::null());
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{said}");
        assert!(said.contains(reason), "{said}");
    }
}

/// Checks a folder as a user without privileges, since nothing is forbidden to the superuser.
fn check_as_anybody(folder: &Path) -> (i32, String) {
    const NOBODY: u32 = 65_534;
    let mut command = Command::new(env!("CARGO_BIN_EXE_rehouse"));
    let bench = tempfile::tempdir().expect("a folder");
    if fs::metadata("/proc/self").is_ok_and(|own| own.uid() == 0) {
        // A copy of the program in a folder that this user can enter.
        let program = bench.path().join("rehouse");
        fs::copy(env!("CARGO_BIN_EXE_rehouse"), &program).expect("a copy");
        fs::set_permissions(bench.path(), fs::Permissions::from_mode(0o755)).expect("its mode");
        command = Command::new(program);
        command.uid(NOBODY).gid(NOBODY);
    }
    let output = command.arg("check").arg(folder).output().expect("the program");
    (output.status.code().unwrap_or(-1), String::from_utf8_lossy(&output.stderr).into_owned())
}

#[test]
fn files_without_read_permission_are_reported_as_such() {
    let folder = project();
    fs::write(folder.path().join("settings.toml"), "").expect("settings");
    fs::create_dir(folder.path().join("rules")).expect("a folder");
    let set = |path: &Path, mode: u32| fs::set_permissions(path, fs::Permissions::from_mode(mode)).expect("its mode");
    set(folder.path(), 0o755);
    assert_eq!(check_as_anybody(folder.path()).0, 0);
    for (name, reason) in [
        ("settings.toml", "you do not have permission to read this file"),
        ("rules", "you do not have permission to open this folder"),
        ("", "you do not have permission to read this file or to open its folder"),
    ] {
        let path = folder.path().join(name);
        set(&path, 0);
        let (code, said) = check_as_anybody(folder.path());
        set(&path, 0o755);
        assert_eq!(code, 2, "{name}: {said}");
        assert!(said.contains(reason) && said.contains("    → "), "{name}: {said}");
    }
}

#[test]
fn a_plan_file_that_is_a_pipe_is_not_waited_for() {
    let (folder, out) = (project(), tempfile::tempdir().expect("a folder"));
    let dir = out.path().join("plan");
    fs::create_dir(&dir).expect("a folder");
    pipe(&dir.join("plan.json"));
    let at = |path: &Path| path.display().to_string();
    for arguments in [vec!["plan".into(), at(folder.path()), "--out".into(), at(&dir)], vec!["audit".into(), at(&dir)]]
    {
        let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
        assert_eq!(run(&arguments, Stdio::null()).status.code(), Some(2));
    }
    // A bench record that is a pipe is not waited for either.
    fs::remove_dir_all(&dir).expect("it goes");
    let planned = run(&["plan", &at(folder.path()), "--out", &at(&dir)], Stdio::null());
    assert!(planned.status.success(), "{}", String::from_utf8_lossy(&planned.stderr));
    fs::remove_file(dir.join("done.xlsx")).expect("it goes");
    pipe(&dir.join("done.xlsx"));
    assert_eq!(run(&["plan", &at(folder.path()), "--out", &at(&dir)], Stdio::null()).status.code(), Some(2));
}

#[test]
fn file_names_close_to_a_known_name_are_reported() {
    let folder = project();
    let write = |name: &str| fs::write(folder.path().join(name), "x").expect("it can be written");
    for (name, known) in [
        ("Settings.toml", "settings.toml"),
        ("setting.toml", "settings.toml"),
        ("settings.toml.txt", "settings.toml"),
        ("settings", "settings.toml"),
        ("Suppliers.csv", "suppliers.csv"),
        ("fluid_stock.csv", "fluid-stock.csv"),
        ("Fluid Stock.xlsx", "fluid-stock.csv"),
        ("Rules", "rules"),
    ] {
        write(name);
        let (code, said) = check(folder.path());
        assert_eq!(code, 1, "{name}: {said}");
        assert!(said.contains(name) && said.contains(&format!("rename it to {known}")), "{name}: {said}");
        fs::remove_file(folder.path().join(name)).expect("it can be removed");
    }
    for name in
        ["notes.toml", "specimens-2023.csv", "specimens.csv.bak", "vessels copy.csv", "photos", "done.xlsx", "ruler"]
    {
        write(name);
    }
    assert_eq!(check(folder.path()), (0, String::new()));
    // Of two files that differ in case, neither is chosen.
    write("Specimens.CSV");
    assert_eq!(check(folder.path()).0, 1);
    fs::remove_file(folder.path().join("specimens.csv")).expect("it can be removed");
    let (code, said) = check(folder.path());
    assert!(code != 0 && said.contains("rename it to specimens.csv"), "{said}");
}

#[test]
fn a_file_that_is_changed_while_it_is_read_is_not_believed() {
    let folder = project();
    let path = folder.path().join("specimens.csv");
    // So long that reading it takes many times the pause between two changes.
    fs::File::options().write(true).open(&path).expect("the survey").set_len(300_000_000).expect("a long survey");
    let (over, is_over) = std::sync::mpsc::channel::<()>();
    let writer = std::thread::spawn(move || {
        use std::io::Write;
        let mut open = fs::File::options().append(true).open(&path).expect("the survey");
        while is_over.try_recv().is_err() {
            open.write_all(b"x").expect("a change");
            std::thread::sleep(Duration::from_millis(1));
        }
    });
    let (code, said) = check(folder.path());
    over.send(()).expect("the writer waits");
    writer.join().expect("it ends");
    assert_eq!(code, 2, "{said}");
    assert!(said.contains("specimens.csv") && said.contains("changed while it was read"), "{said}");
}
