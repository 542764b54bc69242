//! The real binary on the same projects: exit codes of `--strict`, and the same bytes in every run.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use rehouse::assign::question::question;
use rehouse::options::table::{Row, judge_all, judge_row};
use rehouse::system::threads::{THREADS, in_so_many_threads};
use serde_json::Value;
use tempfile::TempDir;

use super::files::{ProjectTables, XorShift};
use super::{PROJECTS, planned, random_files};

#[allow(dead_code, reason = "its main is for the command line")]
#[path = "../../../examples/synthetic_collection.rs"]
mod synthetic_collection;

use synthetic_collection::{Packs, Recipe, Sizes};

/// The project in a folder of its own.
fn folder(files: &ProjectTables) -> TempDir {
    let folder = TempDir::new().expect("a temporary folder");
    for (name, text) in files.texts() {
        std::fs::write(folder.path().join(name), text).expect("a file of the project");
    }
    folder
}

fn plan(project: &Path, flags: &[&str], threads: &str) -> (Option<i32>, String) {
    let mut command = assert_cmd::cargo::cargo_bin_cmd!("rehouse");
    let output =
        command.env(THREADS, threads).arg("plan").arg(project).args(flags).output().expect("the binary can be run");
    (output.status.code(), String::from_utf8_lossy(&output.stdout).into_owned())
}

/// Every file below a folder by its relative path.
fn bytes(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut all = BTreeMap::new();
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        if path.is_dir() {
            all.extend(bytes(&path).into_iter().map(|(inner, bytes)| (format!("{name}/{inner}"), bytes)));
        } else {
            all.insert(name, std::fs::read(&path).expect("a file"));
        }
    }
    all
}

#[test]
fn strict_runs_end_with_1_where_a_row_is_deferred_or_needs_a_decision() {
    let (mut open, mut closed) = (0, 0);
    let mut check = |files: &ProjectTables| {
        let totals = planned(files).plan.totals;
        let is_open = totals.deferred + totals.needs_decision > 0;
        let project = folder(files);
        let (easy, shown) = plan(project.path(), &[], "1");
        let (strict, also_shown) = plan(project.path(), &["--strict"], "1");
        assert_eq!((easy, strict), (Some(0), Some(i32::from(is_open))), "{totals:?}");
        assert_eq!(shown, also_shown);
        if is_open { open += 1 } else { closed += 1 }
    };
    for seed in PROJECTS {
        let mut files = random_files(seed);
        check(&files);
        // Only the rows that the first plan places: nothing is left open.
        let placed = planned(&files).places();
        let is_placed = |row: &BTreeMap<String, String>| {
            let key = |key: &String| key.contains(&row["catalogNumber"]) && key.ends_with('b') == (row["part"] == "b");
            placed.iter().any(|(of, (outcome, _))| key(of) && ["on hand", "order", "custom tank"].contains(outcome))
        };
        files.survey.retain(is_placed);
        if !files.survey.is_empty() {
            check(&files);
        }
    }
    assert!(open > 10 && closed > 10, "{open} open, {closed} closed");
}

#[test]
fn the_same_files_give_the_same_bytes_with_any_number_of_threads() {
    for seed in PROJECTS.step_by(3) {
        let project = folder(&random_files(seed));
        let out = TempDir::new().expect("a temporary folder");
        let runs = ["1", "2", "8", "1"].map(|threads| {
            let to = out.path().join("plan");
            let (code, shown) = plan(project.path(), &["--out", &to.to_string_lossy()], threads);
            assert_eq!(code, Some(0), "project {seed}");
            let written = bytes(&to);
            std::fs::remove_dir_all(&to).expect("the folder was written");
            (shown, written)
        });
        assert!(runs[0].1.len() > 8, "{:?}", runs[0].1.keys());
        for run in &runs[1..] {
            assert!(*run == runs[0], "project {seed}");
        }
    }
}

/// Lines of a file, all but the first sorted.
fn sorted_lines(bytes: &[u8]) -> Vec<&[u8]> {
    let mut lines: Vec<&[u8]> = bytes.split(|byte| *byte == b'\n').collect();
    lines[1..].sort_unstable();
    lines
}

#[test]
fn a_survey_large_enough_for_threads_gives_the_same_bytes_on_any_number_of_threads_and_the_same_plan_in_any_order() {
    let dir = TempDir::new().expect("a temporary folder");
    let project = dir.path().join("project");
    let recipe =
        Recipe { specimens: 5_000, vessels: 40, seed: 7, packs: Packs::Small, sizes: Sizes::Whole, budget: None };
    synthetic_collection::write(&project, &recipe).expect("a project");
    let run = |threads: &str| {
        let to = dir.path().join("plan");
        // These limits depend on the work done, never on the clock.
        let flags = ["--set", "solver.gap_pct=0.1", "--set", "solver.time_limit_s=600", "--out"];
        let (code, shown) = plan(&project, &[&flags[..], &[&to.to_string_lossy()]].concat(), threads);
        assert_eq!(code, Some(0), "{shown}");
        let written = bytes(&to);
        std::fs::remove_dir_all(&to).expect("the folder was written");
        (shown, written)
    };
    let one = run("1");
    for threads in ["2", "8"] {
        assert!(run(threads) == one, "{threads} threads");
    }
    let survey = project.join("specimens.csv");
    let text = std::fs::read_to_string(&survey).expect("the survey");
    let mut lines: Vec<&str> = text.lines().collect();
    XorShift::from(11).shuffle(&mut lines[1..]);
    std::fs::write(&survey, lines.join("\n") + "\n").expect("the survey is written");
    let [shuffled, again] = ["1", "8"].map(run);
    assert!(shuffled == again, "8 threads, shuffled");
    for name in ["purchases.csv", "make-up.csv", "sheets.csv"] {
        assert!(shuffled.1[name] == one.1[name], "{name}");
    }
    for name in
        ["placements.csv", "tanks.csv", "labels.csv", "panes.csv"].iter().filter(|name| one.1.contains_key(**name))
    {
        assert!(sorted_lines(&shuffled.1[*name]) == sorted_lines(&one.1[*name]), "{name}");
    }
    let of_plan = |written: &BTreeMap<String, Vec<u8>>| {
        let mut whole: Value = serde_json::from_slice(&written["plan.json"]).expect("a plan");
        ["levels", "totals", "status", "gap", "purchases", "deliveries", "make_up"].map(|field| whole[field].take())
    };
    assert_eq!(of_plan(&shuffled.1), of_plan(&one.1));
}

#[test]
fn every_level_of_a_long_search_is_proved_by_a_certificate() {
    let dir = TempDir::new().expect("a temporary folder");
    // Projects whose search splits into some hundred nodes.
    for (specimens, vessels, seed, packs) in
        [(600, 40, 4, Packs::All), (2_000, 60, 1, Packs::All), (600, 40, 4, Packs::Small)]
    {
        let name = format!("{specimens}-{seed}-{packs:?}");
        let project = dir.path().join(&name);
        let recipe = Recipe { specimens, vessels, seed, packs, sizes: Sizes::Whole, budget: None };
        synthetic_collection::write(&project, &recipe).expect("a project");
        let (code, shown) = plan(&project, &["--set", "solver.time_limit_s=600", "--format", "json"], "2");
        assert_eq!(code, Some(0), "{name}: {shown}");
        let whole: Value = serde_json::from_str(&shown).expect("a plan");
        for level in whole["levels"].as_array().expect("levels") {
            assert_eq!(level["proof"], "recomputed", "{name}: {}", level["level"]);
            assert_eq!(level["bound"], level["value"], "{name}: {}", level["level"]);
        }
        // Leaves share sets of multipliers.
        let certificate = &whole["levels"][4]["certificate"];
        let [tree, numbers] = ["tree", "numbers"].map(|field| certificate[field].as_array().expect("texts").len());
        assert!(numbers <= tree, "{name}: {numbers} of {tree}");
    }
}

#[test]
fn diagnostics_of_a_large_survey_are_the_same_on_any_number_of_threads() {
    let dir = TempDir::new().expect("a temporary folder");
    let project = dir.path().join("project");
    let recipe =
        Recipe { specimens: 5_000, vessels: 40, seed: 3, packs: Packs::Small, sizes: Sizes::Whole, budget: None };
    synthetic_collection::write(&project, &recipe).expect("a project");
    let survey = project.join("specimens.csv");
    let text = std::fs::read_to_string(&survey).expect("the survey");
    // Lengths that cannot be read, duplicate keys, blank lines, a number that may have thousands or decimals.
    let damaged = |(n, line): (usize, &str)| {
        let line = line.replace(',', ";");
        match n {
            2 => line.replacen(";1;", ";1,5;", 1) + "\r\n",
            _ if n > 0 && n % 700 == 0 => line.replacen(";1;", ";1;cmm ", 1) + "\r\n\r\n",
            _ if n > 0 && n % 900 == 0 => format!("{line}\r\n{line}\r\n"),
            4_400 => line.replacen(";1;", ";1;1.234", 1) + "\r\n",
            _ => line + "\r\n",
        }
    };
    std::fs::write(&survey, text.lines().enumerate().map(damaged).collect::<String>()).expect("the survey is written");
    let told = |threads: &str| {
        let mut command = assert_cmd::cargo::cargo_bin_cmd!("rehouse");
        let output = command.env(THREADS, threads).arg("check").arg(&project).output().expect("the binary can be run");
        (output.status.code(), String::from_utf8_lossy(&output.stderr).into_owned(), output.stdout)
    };
    let one = told("1");
    assert!(one.0 == Some(1) && one.1.lines().count() > 20, "{}", one.1);
    for threads in ["2", "3", "8"] {
        assert!(told(threads) == one, "{threads} threads");
    }
}

#[test]
fn rows_are_judged_alike_on_any_number_of_threads() {
    let sources = rehouse::intake::Sources::project(Path::new("demo-data")).expect("the demo project");
    let project = rehouse::intake::read(&sources, &[], false).project.expect("it can be read");
    // Enough rows to start threads.
    let many: Vec<_> = project.collection.specimens.iter().cycle().take(2_000).collect();
    let on = |threads: usize| in_so_many_threads(threads, &many, |specimen| judge_row(&project, specimen));
    let one = on(1);
    assert_eq!(one.len(), many.len());
    for threads in [2, 3, 8, 5_000] {
        assert!(on(threads) == one, "{threads} threads");
    }
}

#[test]
fn rows_that_share_lists_of_fits_give_the_same_question() {
    let sources = rehouse::intake::Sources::project(Path::new("demo-data")).expect("the demo project");
    for settings in [vec![], vec![("reuse_fluid".to_owned(), toml::Value::String("top-up".to_owned()))]] {
        let project = rehouse::intake::read(&sources, &settings, false).project.expect("it can be read");
        let shared = judge_all(&project);
        let own: Vec<_> = project.collection.specimens.iter().map(|specimen| judge_row(&project, specimen)).collect();
        assert!(shared == own);
        let lists = |rows: &[Row]| {
            let list = |row: &Row| if let Row::Judged(judged) = row { Some(judged.fits.as_ptr()) } else { None };
            rows.iter().filter_map(list).collect::<BTreeSet<_>>().len()
        };
        assert!(lists(&shared) < lists(&own), "{} of {}", lists(&shared), lists(&own));
        let asked = |rows: &[Row]| format!("{:?}", question(&project, rows));
        assert_eq!(asked(&shared), asked(&own));
    }
}
