//! Where there is nothing to save, a signal ends the run at once.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use std::{fs, thread};

use rehouse::output::recover;

use crate::support::{TestProject, tried};

const STOCK: &str = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n\
    jar,cylinder,60,110,borosilicate,pp-cap-ptfe,500\n";

fn fifo(path: &Path) {
    assert!(Command::new("mkfifo").arg(path).status().expect("mkfifo").success());
}

fn start(arguments: &[&Path]) -> Child {
    Command::new(env!("CARGO_BIN_EXE_rehouse"))
        .args(arguments)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("it runs")
}

/// Sends a signal once the program waits, and expects exit code 130 within a moment.
fn ends_at_once(child: Child, name: &str) -> String {
    // By then it waits for the pipe, with its handler installed.
    thread::sleep(Duration::from_millis(700));
    let start = Instant::now();
    let sent = Command::new("kill").args([&format!("-{name}"), &child.id().to_string()]).status().expect("kill");
    assert!(sent.success());
    let output = child.wait_with_output().expect("it ends");
    assert!(start.elapsed() < Duration::from_secs(10), "{:?}", start.elapsed());
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(130), "{name}: {said}");
    said
}

/// The process that does the work of a run whose memory is limited.
fn child_of(parent: u32) -> String {
    let start = Instant::now();
    loop {
        let children = fs::read_to_string(format!("/proc/{parent}/task/{parent}/children")).unwrap_or_default();
        if let Some(child) = children.split_whitespace().next() {
            return child.to_owned();
        }
        assert!(start.elapsed() < Duration::from_secs(20), "no child");
        thread::sleep(Duration::from_millis(5));
    }
}

#[test]
#[cfg(target_os = "linux")]
fn only_what_ends_a_process_without_memory_is_called_a_want_of_memory() {
    let case = TestProject::new().file("vessels.csv", STOCK);
    let pipe = case.project().join("pipe");
    fifo(&pipe);
    for (name, code, says) in [
        ("USR2", 2, "was ended by signal 12 "),
        ("XCPU", 2, "was ended by signal 24 "),
        ("KILL", 2, "there is not enough memory"),
        ("ABRT", 2, "there is not enough memory"),
    ] {
        let parent = Command::new("sh")
            .args(["-c", "ulimit -c 0; ulimit -v 4000000; exec \"$0\" \"$@\"", env!("CARGO_BIN_EXE_rehouse"), "plan"])
            .args([&pipe, &case.project().join("vessels.csv")])
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("it runs");
        let child = child_of(parent.id());
        // By then it waits for the pipe.
        thread::sleep(Duration::from_millis(300));
        assert!(Command::new("kill").args([&format!("-{name}"), &child]).status().expect("kill").success());
        let output = parent.wait_with_output().expect("it ends");
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.code() == Some(code) && said.contains(says), "{name}: {:?} {said}", output.status);
    }
}

fn survey(lots: usize) -> String {
    let mut survey = String::from("catalogNumber,length_mm,width_mm,height_mm,outline,fluid\n");
    for lot in 0..lots {
        survey += &format!("L-{lot},{},14,12,rounded,ethanol-70\n", 30 + lot % 20);
    }
    survey
}

#[test]
fn reading_and_writing_options_end_with_the_first_signal() {
    for name in ["INT", "TERM", "HUP"] {
        let case = TestProject::new().file("specimens.csv", survey(20)).file("vessels.csv", STOCK);
        let (project, out) = (case.project(), case.out());
        // A pipe that no survey is ever written to.
        let pipe = project.join("pipe");
        fifo(&pipe);
        let vessels = project.join("vessels.csv");
        let said = ends_at_once(start(&["plan".as_ref(), &pipe, &vessels, "--out".as_ref(), &out]), name);
        assert!(!said.contains("best plan"), "{said}");
        assert!(!out.exists());
        // A pipe that nobody reads the options from.
        let said = ends_at_once(start(&["plan".as_ref(), &project, "--options".as_ref(), &pipe]), name);
        assert!(!said.contains("best plan"), "{said}");
        ends_at_once(start(&["check".as_ref(), &pipe, &vessels]), name);
    }
}

/// What the vessel of each of two projects is called.
const VESSELS: [&str; 2] = ["jar", "pot"];

/// Two projects whose plans differ in every row.
fn two_projects(lots: usize) -> [TestProject; 2] {
    VESSELS.map(|name| {
        let stock = STOCK.replace("500", "700").replace("jar", name);
        TestProject::new().file("specimens.csv", survey(lots)).file("vessels.csv", stock)
    })
}

#[test]
fn a_signal_at_any_moment_leaves_the_old_plan_or_the_new_one_whole() {
    let moments = if std::env::var_os("REHOUSE_LARGE").is_some() { 500 } else { 12 };
    let projects = two_projects(800);
    let (around, begin) = (tempfile::tempdir().expect("a folder"), Instant::now());
    let out = around.path().join("out");
    let plan = |of: &TestProject| start(&["plan".as_ref(), &of.project(), "--out".as_ref(), &out]);
    assert!(plan(&projects[0]).wait_with_output().expect("it ends").status.success());
    let span = begin.elapsed();
    let (mut ended, mut old) = (BTreeMap::<String, usize>::new(), 0);
    let (mut kept, mut replaced) = (0, 0);
    for number in 0..moments {
        let new = 1 - old;
        let child = plan(&projects[new]);
        thread::sleep(span.mul_f64(1.25 * (f64::from(number) * 0.618_033_988_75).fract()));
        let name = ["INT", "TERM", "KILL"][number as usize % 3];
        let _ = Command::new("kill").args([&format!("-{name}"), &child.id().to_string()]).status();
        let output = child.wait_with_output().expect("it ends");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        // Before the handler is installed the system ends the run.
        assert!(matches!(output.status.code(), None | Some(0 | 130)), "{:?}: {said}", output.status);
        let waited = said.contains("the search stops, and the best plan so far is written in full");
        assert!(!waited || said.contains("Interrupt again"), "{said}");
        *ended.entry(format!("{name}: {}", output.status)).or_default() += 1;
        // The next start puts right what was left.
        let audit = start(&["audit".as_ref(), &out]).wait_with_output().expect("it ends");
        assert!(audit.status.success(), "{name}, {number}: {}", String::from_utf8_lossy(&audit.stdout));
        recover(&out).expect("what was left is put right");
        let names: Vec<_> = fs::read_dir(around.path()).expect("a folder").flatten().map(|it| it.file_name()).collect();
        assert!(names.iter().all(|name| name == "out"), "{names:?}");
        let placements = fs::read_to_string(out.join("placements.csv")).expect("a plan");
        let is = |project: usize| placements.contains(&format!(",{},", VESSELS[project]));
        assert!(is(old) != is(new), "{name}, {number}: the old plan or the new one");
        (kept, replaced) = (kept + usize::from(is(old)), replaced + usize::from(is(new)));
        old = if is(new) { new } else { old };
    }
    println!("{ended:?}");
    let result = format!("{kept} times the whole old plan, {replaced} times the whole new one");
    tried("SIGINT, SIGTERM and SIGKILL", moments as usize, &result);
}
