//! Where there is nothing to save, a signal ends the run at once.

use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use std::{fs, thread};

use crate::support::Case;

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

/// Sends a signal once the program waits, and expects it to end with 130 in a moment.
fn ends_at_once(child: Child, name: &str) -> String {
    // It waits for a pipe by then, with its handler in place.
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
    let case = Case::new().file("vessels.csv", STOCK);
    let pipe = case.project().join("pipe");
    fifo(&pipe);
    for (name, code, says) in [
        ("QUIT", 2, "was ended by signal 3 "),
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
        let case = Case::new().file("specimens.csv", survey(20)).file("vessels.csv", STOCK);
        let (project, out) = (case.project(), case.out());
        // A survey that never comes.
        let pipe = project.join("pipe");
        fifo(&pipe);
        let vessels = project.join("vessels.csv");
        let said = ends_at_once(start(&["plan".as_ref(), &pipe, &vessels, "--out".as_ref(), &out]), name);
        assert!(!said.contains("best plan"), "{said}");
        assert!(!out.exists());
        // Options that nobody takes.
        let said = ends_at_once(start(&["plan".as_ref(), &project, "--options".as_ref(), &pipe]), name);
        assert!(!said.contains("best plan"), "{said}");
        ends_at_once(start(&["check".as_ref(), &pipe, &vessels]), name);
    }
}

#[test]
fn a_signal_at_any_moment_ends_the_run_or_is_answered_with_what_it_waits_for() {
    let moments = if std::env::var_os("REHOUSE_LARGE").is_some() { 500 } else { 12 };
    let case = Case::new().file("specimens.csv", survey(800)).file("vessels.csv", STOCK.replace("500", "700"));
    let (project, out) = (case.project(), case.out());
    let begin = Instant::now();
    assert_eq!(case.plan().code, 0);
    let span = begin.elapsed();
    for number in 0..moments {
        let child = start(&["plan".as_ref(), &project, "--out".as_ref(), &out]);
        thread::sleep(span.mul_f64((f64::from(number) * 0.618_033_988_75).fract()));
        let name = ["INT", "TERM"][number as usize % 2];
        let _ = Command::new("kill").args([&format!("-{name}"), &child.id().to_string()]).status();
        let output = child.wait_with_output().expect("it ends");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        // Before the handler is there the system ends it.
        assert!(matches!(output.status.code(), None | Some(0 | 130)), "{:?}: {said}", output.status);
        let waited = said.contains("the search stops, and the best plan so far is written in full");
        assert!(!waited || said.contains("Interrupt again"), "{said}");
        assert!(fs::exists(out.join("plan.json")).expect("a folder"));
        case.audit();
    }
}
