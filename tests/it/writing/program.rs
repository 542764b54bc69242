//! The program itself, stopped while it plans into a folder that holds an earlier plan.

use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use std::{fs, thread};

use super::processes::{end, moment, signal};
use super::{contents, names_in};
use rehouse::output::{PLAN_FILE, read_folder, recover, verify_digests};

/// A project of lots that all go into one kind of jar on hand.
fn project(folder: &Path, lots: usize) -> PathBuf {
    fs::create_dir(folder).unwrap();
    let mut survey = String::from("catalogNumber,length_mm,width_mm,height_mm,outline,fluid,location\n");
    for lot in 1..=lots {
        survey += &format!("LOT-{lot:03},{},14,12,rounded,ethanol-70,bay {}\n", 30 + lot % 20, lot % 4);
    }
    fs::write(folder.join("specimens.csv"), survey).unwrap();
    let stock = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n\
                 jar,cylinder,60,110,borosilicate,ground-glass-stopper,500\n";
    fs::write(folder.join("vessels.csv"), stock).unwrap();
    folder.to_owned()
}

fn start_plan(project: &Path, out: &Path) -> Child {
    Command::new(env!("CARGO_BIN_EXE_rehouse"))
        .arg("plan")
        .arg(project)
        .arg("--out")
        .arg(out)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap()
}

fn plan(project: &Path, out: &Path) {
    let (said, status) = end(start_plan(project, out));
    assert!(status.success(), "{said}");
    assert_whole(out);
}

fn assert_whole(out: &Path) {
    let files = read_folder(out).unwrap();
    let plan_json = &files.iter().find(|file| file.name == PLAN_FILE).unwrap().bytes;
    assert_eq!(verify_digests(plan_json, &files), [""; 0]);
}

#[test]
fn a_plan_stopped_at_any_moment_leaves_the_old_plan_or_a_new_one_and_the_next_start_goes_on() {
    let around = tempfile::tempdir().unwrap();
    let [old, new] = [("old", 40), ("new", 60)].map(|(name, lots)| project(&around.path().join(name), lots));
    let inputs = [contents(&old), contents(&new)];
    let out = around.path().join("out");
    let begin = Instant::now();
    plan(&new, &out);
    let span = begin.elapsed().mul_f64(1.2).max(Duration::from_millis(5));
    let lots = |out: &Path| fs::read_to_string(out.join("placements.csv")).unwrap().matches("LOT-").count();

    for number in 0..42 {
        // Every round also tests the next start after the end of the last one.
        plan(&old, &out);
        assert_eq!(lots(&out), 40);
        assert_eq!(names_in(around.path()), ["new", "old", "out"]);
        let child = start_plan(&new, &out);
        thread::sleep(moment(number, span));
        let name = ["INT", "TERM", "KILL"][number as usize % 3];
        signal(&child, name);
        let (said, status) = end(child);
        if name != "KILL" {
            // Before the handler is installed the system ends the run.
            assert!(matches!(status.code(), Some(0 | 130) | None), "{status}: {said}");
            assert!(out.exists(), "{name} came between the renames");
        }
        recover(&out).unwrap();
        assert_whole(&out);
        assert!([40, 60].contains(&lots(&out)));
    }
    assert_eq!([contents(&old), contents(&new)], inputs, "an input was touched");
}

#[test]
fn a_plan_that_would_lose_an_input_or_a_sheet_filled_in_by_hand_is_refused_before_the_work() {
    let around = tempfile::tempdir().unwrap();
    let project = project(&around.path().join("project"), 5);
    let out = around.path().join("out");
    plan(&project, &out);
    fs::write(out.join("placements.csv"), "moved on Tuesday").unwrap();
    let before = contents(around.path());
    for (place, reason) in [(&out, "placements.csv"), (&project, "an input")] {
        let (said, status) = end(start_plan(&project, place));
        assert_eq!(status.code(), Some(2), "{said}");
        assert!(said.contains(reason), "{said}");
        assert_eq!(contents(around.path()), before);
    }
}
