//! Processes that write until something stops them. Each is this test program, started again on the one test
//! [`each_writing_replaces_the_one_before`] with its work named in the environment.

use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::os::unix::process::ExitStatusExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::time::{Duration, Instant};
use std::{env, thread};

use super::{generation, names_in, plan, saved_plan};
use rehouse::output::{recover, write_file, write_folder};
use rehouse::system::interrupt;

const WORK: &str = "REHOUSE_TEST_WORK";
const OUT: &str = "REHOUSE_TEST_OUT";

#[test]
fn each_writing_replaces_the_one_before() {
    let Ok(work) = env::var(WORK) else {
        let (_around, out) = saved_plan();
        for number in 2..6 {
            write_folder(&out, &plan(number), &[], false).unwrap();
            assert_eq!(generation(&out), number);
        }
        return;
    };
    let out = PathBuf::from(env::var(OUT).unwrap());
    let beside = |name: &str| out.with_file_name(name);
    match work.as_str() {
        "write once" => write_folder(&out, &plan(2), &[], false).unwrap_or_else(|failure| panic!("{failure}")),
        "write a file" => write_file(&out, &[b'x'; 100_000], &[]).unwrap_or_else(|failure| panic!("{failure}")),
        "write until killed" => {
            for number in 2.. {
                write_folder(&out, &plan(number), &[], false).unwrap();
                fs::write(beside("written"), number.to_string()).unwrap();
            }
        }
        "write until asked to end" => {
            interrupt::install().unwrap();
            fs::write(beside("ready"), "").unwrap();
            let mut number = 2;
            while !interrupt::requested() {
                write_folder(&out, &plan(number), &[], false).unwrap();
                number += 1;
            }
            std::process::exit(interrupt::EXIT_CODE);
        }
        "rename for a while" => {
            interrupt::install().unwrap();
            interrupt::critical(|| {
                fs::write(beside("ready"), "").unwrap();
                thread::sleep(Duration::from_millis(600));
                fs::write(beside("renamed"), "").unwrap();
            });
            thread::sleep(Duration::from_secs(60));
        }
        "search for a while" => {
            interrupt::install().unwrap();
            fs::write(beside("ready"), "").unwrap();
            thread::sleep(Duration::from_secs(60));
        }
        other => panic!("no such work: {other}"),
    }
}

/// Starts this program on a piece of work, after the shell commands `before` (`umask 027;`).
fn start(before: &str, work: &str, out: &Path) -> Child {
    Command::new("sh")
        .args(["-c", &format!(r#"{before} exec "$0" "$@""#)])
        .arg(env::current_exe().unwrap())
        .args(["--exact", "writing::processes::each_writing_replaces_the_one_before", "--nocapture"])
        .env(WORK, work)
        .env(OUT, out)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap()
}

/// The child's output and exit status.
pub(super) fn end(child: Child) -> (String, ExitStatus) {
    let output = child.wait_with_output().unwrap();
    (String::from_utf8_lossy(&output.stderr).into_owned() + &String::from_utf8_lossy(&output.stdout), output.status)
}

pub(super) fn signal(child: &Child, name: &str) {
    let sent = Command::new("sh").args(["-c", &format!("kill -{name} {}", child.id())]).status().unwrap();
    assert!(sent.success());
}

fn wait_for(path: &Path) {
    let start = Instant::now();
    while !path.exists() {
        assert!(start.elapsed() < Duration::from_secs(60), "{} never came", path.display());
        thread::sleep(Duration::from_millis(2));
    }
}

/// Moments spread evenly over a span, all different.
pub(super) fn moment(number: u32, span: Duration) -> Duration {
    span.mul_f64((f64::from(number) * 0.618_033_988_75).fract())
}

fn mode(path: &Path) -> u32 {
    fs::metadata(path).unwrap().permissions().mode() & 0o7777
}

#[test]
fn written_files_have_the_mode_of_the_umask() {
    for (umask, file, folder) in [("022", 0o644, 0o755), ("027", 0o640, 0o750), ("002", 0o664, 0o775)] {
        let around = tempfile::tempdir().unwrap();
        let out = around.path().join("out");
        let (said, status) = end(start(&format!("umask {umask};"), "write once", &out));
        assert!(status.success(), "{said}");
        assert_eq!([mode(&out.join("placements.csv")), mode(&out.join("inputs/rules/fluids.csv"))], [file; 2]);
        assert_eq!([mode(&out), mode(&out.join("inputs"))], [folder; 2]);
        let (said, status) = end(start(&format!("umask {umask};"), "write a file", &around.path().join("options.csv")));
        assert!(status.success(), "{said}");
        assert_eq!(mode(&around.path().join("options.csv")), file);
    }
}

#[test]
fn a_replaced_folder_or_file_keeps_its_mode() {
    let (around, out) = saved_plan();
    fs::set_permissions(&out, fs::Permissions::from_mode(0o2770)).unwrap();
    write_folder(&out, &plan(2), &[], false).unwrap();
    assert_eq!(mode(&out), 0o2770);
    let options = around.path().join("options.csv");
    write_file(&options, b"first", &[]).unwrap();
    fs::set_permissions(&options, fs::Permissions::from_mode(0o600)).unwrap();
    write_file(&options, b"second", &[]).unwrap();
    assert_eq!(mode(&options), 0o600);
}

#[test]
fn a_full_disk_leaves_the_old_folder_and_the_old_file_whole() {
    let (around, out) = saved_plan();
    // No file may exceed a block or two; in the first case the write fails, in the second the system ends the process.
    let (said, status) = end(start("trap '' XFSZ; ulimit -f 1;", "write once", &out));
    assert!(!status.success());
    assert!(said.contains("cannot write the files for it"), "{said}");
    assert!(said.contains("→ make room, or name a folder on another disk"), "{said}");
    assert_eq!(names_in(around.path()), ["out"]);
    assert_eq!(generation(&out), 1);

    let (said, status) = end(start("ulimit -c 0; ulimit -f 1;", "write once", &out));
    assert!(status.signal().is_some(), "{said}");
    assert_eq!(names_in(around.path()), [".out.rehouse-unfinished", "out"]);
    assert_eq!(generation(&out), 1);
    recover(&out).unwrap();
    assert_eq!(names_in(around.path()), ["out"]);
    assert_eq!(generation(&out), 1);

    let options = around.path().join("options.csv");
    write_file(&options, b"old", &[]).unwrap();
    let (said, status) = end(start("trap '' XFSZ; ulimit -f 1;", "write a file", &options));
    assert!(!status.success() && said.contains("cannot write it"), "{said}");
    assert_eq!(fs::read(&options).unwrap(), b"old");
    assert_eq!(names_in(around.path()), ["options.csv", "out"]);
}

#[test]
fn killed_at_any_moment_it_leaves_a_whole_plan_for_the_next_start() {
    let (around, out) = saved_plan();
    for number in 0..40 {
        let mut child = start("", "write until killed", &out);
        wait_for(&around.path().join("written"));
        thread::sleep(moment(number, Duration::from_millis(30)));
        child.kill().unwrap();
        child.wait().unwrap();
        let written: usize = fs::read_to_string(around.path().join("written")).unwrap().parse().unwrap_or(0);
        recover(&out).unwrap();
        // The generation last reported as written, or the one after it.
        let found = generation(&out);
        assert!(written == 0 || found == written || found == written + 1, "{found} after {written}");
        assert_eq!(names_in(around.path()), ["out", "written"]);
        fs::remove_file(around.path().join("written")).unwrap();
    }
}

#[test]
fn a_signal_leaves_a_whole_plan_in_its_place() {
    let (around, out) = saved_plan();
    for number in 0..40 {
        let child = start("", "write until asked to end", &out);
        wait_for(&around.path().join("ready"));
        thread::sleep(moment(number, Duration::from_millis(30)));
        signal(&child, ["INT", "TERM", "HUP"][number as usize % 3]);
        if number % 2 == 1 {
            signal(&child, "INT");
        }
        let (said, status) = end(child);
        assert_eq!(status.code(), Some(130), "{said}");
        fs::remove_file(around.path().join("ready")).unwrap();
        generation(&out);
        assert_eq!(names_in(around.path()), ["out"], "something was left behind");
    }
}

#[test]
fn a_second_signal_ends_it_at_once_but_not_between_renames() {
    for (work, renamed) in [("search for a while", false), ("rename for a while", true)] {
        let around = tempfile::tempdir().unwrap();
        let child = start("", work, &around.path().join("out"));
        wait_for(&around.path().join("ready"));
        let begin = Instant::now();
        signal(&child, "INT");
        thread::sleep(Duration::from_millis(100));
        signal(&child, "TERM");
        let (said, status) = end(child);
        assert_eq!(status.code(), Some(130), "{said}");
        assert!(begin.elapsed() < Duration::from_secs(30), "it was not ended by the signal");
        assert_eq!(around.path().join("renamed").exists(), renamed, "{work}");
    }
}

#[test]
fn runs_into_one_folder_take_turns() {
    let (around, out) = saved_plan();
    let begin = Instant::now();
    let mut runs: Vec<Child> = (0..3).map(|_| start("", "write until killed", &out)).collect();
    while begin.elapsed() < Duration::from_secs(2) {
        thread::sleep(Duration::from_millis(50));
        assert!(runs.iter_mut().all(|run| run.try_wait().unwrap().is_none()), "a run was broken by another");
    }
    for run in &mut runs {
        run.kill().unwrap();
        run.wait().unwrap();
    }
    recover(&out).unwrap();
    generation(&out);
    assert_eq!(names_in(around.path()), ["out", "written"]);
}
