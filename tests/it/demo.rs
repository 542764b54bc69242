//! The demo project gives what README shows of it, and contains what it is meant to show.

use std::collections::BTreeSet;
use std::fs;

use assert_cmd::cargo::cargo_bin_cmd;

use super::support::{CsvTable, table};

/// The text of this file of the repository.
fn ours(name: &str) -> String {
    fs::read_to_string(name).unwrap_or_else(|error| panic!("{name}: {error}"))
}

/// The texts between triple backticks in README.
fn excerpts() -> Vec<String> {
    ours("README.md").split("```").skip(1).step_by(2).map(str::to_owned).collect()
}

fn planned() -> (String, CsvTable) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let out = folder.path().join("plan");
    let output = cargo_bin_cmd!("rehouse").args(["plan", "demo-data", "--out"]).arg(&out).output().expect("it runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    (String::from_utf8_lossy(&output.stdout).into_owned(), table(&out.join("placements.csv")))
}

#[test]
fn what_readme_shows_is_what_the_demo_gives() {
    let (screen, placements) = planned();
    let excerpts = excerpts();
    let summary = excerpts.iter().find(|block| block.contains("Needs a decision")).expect("the summary");
    for line in summary.trim().lines() {
        assert!(screen.lines().any(|shown| shown == line), "README shows a line that is not printed: {line}");
    }
    let rows = excerpts.iter().find(|block| block.contains(",outcome,vessel,")).expect("a placement");
    let mut lines = rows.trim().lines();
    let header = lines.next().expect("a header").split(',');
    let cells = lines.next().expect("a row").split(',');
    let stated: Vec<(&str, &str)> = header.zip(cells).filter(|(name, _)| *name != "…").collect();
    let number = stated.first().expect("a key").1;
    let row = placements.iter().find(|row| row["catalogNumber"] == number).expect("the row");
    for (name, cell) in stated {
        assert_eq!(row[name], cell, "{name} of {number}");
    }
}

#[test]
fn the_answers_that_readme_shows_are_those_of_the_demo() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let demo = fs::canonicalize("demo-data").expect("the demonstration");
    std::os::unix::fs::symlink(demo, folder.path().join("demo-data")).expect("a link");
    let readme = ours("README.md");
    let section = readme.split("## Questions you will be asked").nth(1).and_then(|rest| rest.split("\n## ").next());
    let blocks = section.expect("the section").split("```").skip(1).step_by(2);
    let (mut screen, mut shown) = (String::new(), 0);
    for line in blocks.flat_map(|block| block.trim_matches('\n').lines()) {
        if let Some(command) = line.strip_prefix("$ rehouse ") {
            let ran =
                cargo_bin_cmd!("rehouse").args(command.split(' ')).current_dir(&folder).output().expect("it runs");
            assert!(ran.status.success(), "{command}: {}", String::from_utf8_lossy(&ran.stderr));
            screen = String::from_utf8_lossy(&ran.stdout).into_owned();
        } else {
            assert!(screen.lines().any(|printed| printed == line), "README shows a line that is not printed: {line}");
            shown += 1;
        }
    }
    assert!(shown > 15, "{shown} lines");
}

#[test]
fn rows_that_readme_shows_of_the_inputs_are_in_them() {
    for (start, file) in [("catalogNumber,scientificName", "specimens.csv"), ("vessel,form", "vessels.csv")] {
        let excerpts = excerpts();
        let block = excerpts.iter().find(|block| block.trim().starts_with(start)).expect("an excerpt");
        let mut lines = block.trim().lines();
        let header: Vec<&str> = lines.next().expect("a header").split(',').collect();
        let rows = table(&std::path::Path::new("demo-data").join(file));
        for line in lines {
            let cells: Vec<&str> = line.split(',').collect();
            let row = rows.iter().find(|row| row[header[0]] == cells[0]).unwrap_or_else(|| panic!("{line}"));
            for (name, cell) in header.iter().zip(cells) {
                assert_eq!(row[*name], cell, "{name} of {line}");
            }
        }
    }
}

#[test]
fn every_outcome_occurs_and_the_budget_bites() {
    let (_, placements) = planned();
    let outcomes: BTreeSet<&str> = placements.iter().map(|row| row["outcome"].as_str()).collect();
    let all = ["custom tank", "deferred", "held", "needs a decision", "on hand", "order"];
    assert_eq!(outcomes, BTreeSet::from(all));
    assert!(placements.iter().any(|row| row["reason"].contains("of the budget is left")), "the budget bites");
    assert!(
        placements.iter().any(|row| row["posture"] == "coil")
            && placements.iter().any(|row| !["", "1"].contains(&row["vessels_used"].as_str()))
    );
    let kinds: BTreeSet<String> =
        table("demo-data/vessels.csv".as_ref()).into_iter().map(|row| row["vessel"].clone()).collect();
    assert!(placements.len() >= 120 && kinds.len() >= 40, "{} rows, {} kinds", placements.len(), kinds.len());
    assert_eq!(table("demo-data/suppliers.csv".as_ref()).len(), 4);
}
