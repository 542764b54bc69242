//! Tests that a folder is complete or absent, whatever fails.

use super::*;

fn plan(generation: &str) -> Vec<File> {
    let sheet = File { name: "inputs/placements.csv".into(), bytes: generation.into() };
    let listed = format!(r#"{{"files": [{{"name": "{}", "sha256": "{}"}}]}}"#, sheet.name, sha256(&sheet.bytes));
    vec![sheet, File { name: PLAN_FILE.into(), bytes: listed.into() }]
}

/// Does the first steps of writing a folder, as the table in `output` counts them, and stops.
fn stop_after(step: usize, dir: &Path, files: &[File]) {
    let place = OutputPlace::of(dir).unwrap();
    match step {
        0 => {
            fs::create_dir_all(place.unfinished.join("inputs")).unwrap();
            fs::write(place.unfinished.join("inputs/placements.csv"), "half a fi").unwrap();
        }
        1 => stage(&place, files, &[]).unwrap(),
        2 => {
            stop_after(1, dir, files);
            if exists(&place.real) {
                fs::rename(&place.real, &place.set_aside).unwrap();
            }
        }
        3 => {
            stop_after(2, dir, files);
            fs::rename(&place.unfinished, &place.real).unwrap();
        }
        4 => {
            stage(&place, files, &[]).unwrap();
            swap(&place).unwrap();
        }
        _ => {
            stop_after(4, dir, files);
            let _ = fs::remove_dir_all(place.unfinished.join("inputs"));
        }
    }
}

fn names_in(folder: &Path) -> Vec<String> {
    fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect()
}

#[test]
fn wherever_a_writing_stops_the_next_start_finds_the_old_plan_or_the_new_one_and_nothing_else() {
    for step in 0..=5 {
        let around = tempfile::tempdir().unwrap();
        let dir = around.path().join("out");
        write_folder(&dir, &plan("old"), &[], false).unwrap();
        stop_after(step, &dir, &plan("new"));
        recover(&dir).unwrap();
        assert_eq!(read_folder(&dir).unwrap(), plan(if step < 3 { "old" } else { "new" }), "stopped after {step}");
        assert_eq!(names_in(around.path()), ["out"], "stopped after {step}");
        write_folder(&dir, &plan("newer"), &[], false).unwrap();
        assert_eq!(read_folder(&dir).unwrap(), plan("newer"));
    }
}

#[test]
fn wherever_a_first_writing_stops_the_next_start_finds_no_plan_or_a_whole_one() {
    for step in 0..=5 {
        let around = tempfile::tempdir().unwrap();
        let dir = around.path().join("out");
        stop_after(step, &dir, &plan("new"));
        recover(&dir).unwrap();
        assert_eq!(names_in(around.path()), if step < 3 { vec![] } else { vec!["out"] }, "stopped after {step}");
        if step >= 3 {
            assert_eq!(read_folder(&dir).unwrap(), plan("new"));
        }
    }
}

#[test]
fn a_file_that_cannot_be_made_to_its_end_leaves_the_old_folder_and_so_does_what_is_not_published() {
    let around = tempfile::tempdir().unwrap();
    let dir = around.path().join("out");
    write_folder(&dir, &plan("old"), &[], false).unwrap();
    let half = |out: &mut dyn Write| out.write_all(b"half a fi").and_then(|()| Err(io::Error::other("no more")));
    let made = MadeFile { name: "made.txt", write: &half };
    let failure = stage_folder(&dir, &plan("new"), &[made], &[], false).err().unwrap();
    assert!(failure.to_string().contains("no more"), "{failure}");
    assert_eq!(read_folder(&dir).unwrap(), plan("old"));
    assert_eq!(names_in(around.path()), ["out"]);
    let whole = |out: &mut dyn Write| out.write_all(b"a whole file");
    let stage =
        || stage_folder(&dir, &plan("new"), &[MadeFile { name: "made.txt", write: &whole }], &[], false).unwrap();
    drop(stage());
    assert_eq!(read_folder(&dir).unwrap(), plan("old"));
    assert_eq!(names_in(around.path()), ["out"]);
    stage().publish().unwrap();
    assert_eq!(fs::read(dir.join("made.txt")).unwrap(), b"a whole file");
}

#[test]
fn a_rename_that_fails_is_undone() {
    let around = tempfile::tempdir().unwrap();
    let dir = around.path().join("out");
    write_folder(&dir, &plan("old"), &[], false).unwrap();
    // Nothing was staged, so the second rename fails.
    let failure = swap(&OutputPlace::of(&dir).unwrap()).unwrap_err();
    assert!(failure.to_string().contains("cannot put the new folder in its place"), "{failure}");
    assert_eq!(read_folder(&dir).unwrap(), plan("old"));
    assert_eq!(names_in(around.path()), ["out"]);
}
