//! Small whole projects against optima of an outside solver: `tests/reference/small-projects/README.md` names it.

use std::path::{Path, PathBuf};

use crate::support::{Case, figure, number, row, table};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/small-projects")
}

#[test]
fn every_small_project_is_proved_best_at_its_optimum() {
    let optima = table(&folder().join("optima.csv"));
    assert!(optima.len() >= 16);
    for project in optima.iter().map(|optimum| &optimum["project"]) {
        let mut case = Case::new();
        for file in std::fs::read_dir(folder().join(project)).expect("a folder of this name") {
            let path = file.expect("a file of it").path();
            let name = path.file_name().expect("a name").to_string_lossy().into_owned();
            case = case.file(&name, std::fs::read(&path).expect("its text"));
        }
        let planned = case.planned();
        assert_eq!(planned.status(), "proved best", "{project}");
        let optimum = row(&optima, "project", project);
        let level = |at: usize| number(&planned.plan["levels"][at]["value"]).expect("a value");
        for (at, column) in ["deferred_1", "deferred_2", "deferred_3", "deferred_4"].into_iter().enumerate() {
            assert_eq!(level(at), figure(optimum, column), "{project}: {column}");
        }
        assert!((level(4) - figure(optimum, "weighed_money")).abs() < 0.000_06, "{project}: money {}", level(4));
        let litres = level(5);
        assert!((litres * 1000.0 - figure(optimum, "millilitres")).abs() < 0.5, "{project}: {litres} litres");
        case.audit();
    }
}
