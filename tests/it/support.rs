//! A project folder made for one case, planned and audited with the real binary.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;
use tempfile::TempDir;

/// The number of cases of a long test to try: all, or the first one in `REHOUSE_TEST_SAMPLE`.
pub fn sampled(cases: u64) -> u64 {
    cases.div_ceil(one_in())
}

/// Whether all cases are tried, so that counts over them are meaningful.
pub fn tries_all() -> bool {
    one_in() == 1
}

/// One case in this many is tried.
pub fn one_in() -> u64 {
    let given = std::env::var("REHOUSE_TEST_SAMPLE").ok();
    given.map_or(1, |given| {
        given.parse().ok().filter(|one_in| *one_in > 0).expect("REHOUSE_TEST_SAMPLE is a whole number")
    })
}

/// Prints a line of the table of figures: what was tried, how often, and the result. `--nocapture` shows it.
pub fn tried(what: &str, times: usize, result: &str) {
    println!("tried | {what} | {times} | {result} |");
}

/// The files of a project, by name.
pub type ProjectFiles = BTreeMap<String, Vec<u8>>;

/// One row of a CSV file, by header name.
pub type CsvRow = BTreeMap<String, String>;

/// The rows of a CSV file.
pub type CsvTable = Vec<CsvRow>;

/// A project in a temporary folder, removed when the case is dropped.
pub struct TestProject {
    folder: TempDir,
}

/// Exit code and output of the binary.
pub struct Ran {
    pub code: i32,
    pub stdout: String,
    pub stderr: String,
}

/// A plan that was made, written and audited.
pub struct Planned {
    pub ran: Ran,
    pub plan: Value,
    pub placements: CsvTable,
    pub purchases: CsvTable,
    pub tanks: CsvTable,
    pub make_up: CsvTable,
    pub options: CsvTable,
}

impl TestProject {
    /// An empty project.
    pub fn new() -> Self {
        let folder = TempDir::new().expect("a temporary folder");
        fs::create_dir(folder.path().join("project")).expect("the project folder");
        Self { folder }
    }

    /// Writes a file of the project (`vessels.csv`, `rules/fluids.csv`).
    pub fn file(self, name: &str, text: impl AsRef<[u8]>) -> Self {
        let path = self.project().join(name);
        fs::create_dir_all(path.parent().expect("a file stands in a folder")).expect("a folder of the project");
        fs::write(&path, text).expect("a file of the project");
        self
    }

    /// The project folder.
    pub fn project(&self) -> PathBuf {
        self.folder.path().join("project")
    }

    /// The folder of the plan.
    pub fn out(&self) -> PathBuf {
        self.folder.path().join("out")
    }

    /// Runs the program.
    pub fn run(arguments: &[&Path]) -> Ran {
        let output =
            assert_cmd::cargo::cargo_bin_cmd!("rehouse").args(arguments).output().expect("the binary can be run");
        Ran {
            code: output.status.code().unwrap_or(-1),
            stdout: String::from_utf8_lossy(&output.stdout).into_owned(),
            stderr: String::from_utf8_lossy(&output.stderr).into_owned(),
        }
    }

    /// Runs `rehouse plan project --out out --options options.csv`.
    pub fn plan(&self) -> Ran {
        self.plan_of(&[&self.project()])
    }

    /// Names of the papers that `plan --papers WHICH` writes: web pages and labels.
    pub fn papers(&self, which: &str) -> Vec<String> {
        let (project, out) = (self.project(), self.out());
        let ran = Self::run(&[
            Path::new("plan"),
            &project,
            Path::new("--out"),
            &out,
            Path::new("--papers"),
            Path::new(which),
        ]);
        assert_eq!(ran.code, 0, "{}", ran.stderr);
        let names = fs::read_dir(&out).expect("the plan").map(|entry| entry.expect("an entry").file_name());
        let names = names.filter_map(|name| name.into_string().ok());
        let mut papers: Vec<String> =
            names.filter(|name| name.ends_with(".html") || name.starts_with("labels")).collect();
        papers.sort();
        papers
    }

    /// Like [`TestProject::plan`], with every file named one by one.
    pub fn plan_by_files(&self) -> Ran {
        let [specimens, vessels, suppliers, settings, rules] =
            ["specimens.csv", "vessels.csv", "suppliers.csv", "settings.toml", "rules"]
                .map(|it| self.project().join(it));
        let [with_suppliers, with_settings, with_rules] = ["--suppliers", "--settings", "--rules"].map(Path::new);
        self.plan_of(&[&specimens, &vessels, with_suppliers, &suppliers, with_settings, &settings, with_rules, &rules])
    }

    fn plan_of(&self, inputs: &[&Path]) -> Ran {
        let (out, options) = (self.out(), self.folder.path().join("options.csv"));
        let before = [Path::new("plan")];
        let after = [Path::new("--out"), &out, Path::new("--options"), &options];
        Self::run(&[&before, inputs, &after].concat())
    }

    /// `rehouse audit out`, which must find nothing wrong.
    pub fn audit(&self) {
        let ran = Self::run(&[Path::new("audit"), &self.out()]);
        assert_eq!(ran.code, 0, "the audit failed\n{}\n{}", ran.stdout, ran.stderr);
    }

    /// Plans, expects success, audits, and reads what was written.
    pub fn planned(&self) -> Planned {
        self.written(self.plan())
    }

    /// Expects a success, audits, and reads what was written.
    pub fn written(&self, ran: Ran) -> Planned {
        assert_eq!(ran.code, 0, "no plan\n{}\n{}", ran.stdout, ran.stderr);
        self.audit();
        let out = self.out();
        let json = fs::read_to_string(out.join("plan.json")).expect("plan.json");
        Planned {
            ran,
            plan: serde_json::from_str(&json).expect("plan.json is JSON"),
            placements: table(&out.join("placements.csv")),
            purchases: table(&out.join("purchases.csv")),
            tanks: table(&out.join("tanks.csv")),
            make_up: table(&out.join("make-up.csv")),
            options: table(&self.folder.path().join("options.csv")),
        }
    }
}

impl Planned {
    /// A number of `totals`, written as a JSON number or as a decimal in quotes.
    pub fn total(&self, name: &str) -> f64 {
        let value = &self.plan["totals"][name];
        number(value).unwrap_or_else(|| panic!("totals.{name} is {value}"))
    }

    /// The status of the plan.
    pub fn status(&self) -> &str {
        self.plan["status"].as_str().unwrap_or_else(|| panic!("status is {}", self.plan["status"]))
    }

    /// The placement of the row with this catalogue number.
    pub fn placement(&self, number: &str) -> &CsvRow {
        row(&self.placements, "catalogNumber", number)
    }

    /// The row of the options file for a catalogue number and a vessel.
    pub fn option(&self, number: &str, vessel: &str) -> &CsvRow {
        self.options
            .iter()
            .find(|row| row["catalogNumber"] == number && row["vessel"] == vessel)
            .unwrap_or_else(|| panic!("no verdict on {number} in {vessel}"))
    }
}

/// A JSON number, or a decimal in quotes.
pub fn number(value: &Value) -> Option<f64> {
    value.as_f64().or_else(|| value.as_str()?.parse().ok())
}

/// The one row with this cell in this column.
pub fn row<'a>(table: &'a CsvTable, column: &str, cell: &str) -> &'a CsvRow {
    let mut found = table.iter().filter(|row| row.get(column).is_some_and(|it| it == cell));
    let first = found.next().unwrap_or_else(|| panic!("no row with {column} {cell}"));
    assert!(found.next().is_none(), "two rows with {column} {cell}");
    first
}

/// Reads a CSV file with a header.
pub fn table(path: &Path) -> CsvTable {
    let text = fs::read(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    rows(&text)
}

/// Reads CSV text with a header, with or without a byte-order mark; lines that start with `#` are comments.
pub fn rows(text: &[u8]) -> CsvTable {
    let text = text.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(text);
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text);
    let headers = reader.headers().expect("a header").clone();
    let read = |record: Result<csv::StringRecord, csv::Error>| {
        let record = record.expect("a row as long as the header");
        headers.iter().map(str::to_owned).zip(record.iter().map(str::to_owned)).collect()
    };
    reader.records().map(read).collect()
}

/// The number in a cell.
pub fn figure(row: &BTreeMap<String, String>, column: &str) -> f64 {
    row[column].parse().unwrap_or_else(|_| panic!("{column} is {:?}, not a number", row[column]))
}
