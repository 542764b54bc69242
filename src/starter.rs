//! A project folder to fill in: forms for the survey and the stock list, as workbooks and as CSV, how to measure, the
//! settings with their defaults, and scripts to double-click.
//!
//! All of it is made from the tables the program itself reads by: columns, settings, rules.

mod forms;
mod print;

use serde_json::Value;

use crate::intake::columns::{FILES, FileColumns};
use crate::intake::schema::data_package;
use crate::output::File;
use crate::report::csv;
use crate::report::html::page::STYLE;
use crate::rules::Rules;
use crate::settings::Settings;

/// The scripts that check, plan and open the report: file name and whether its lines end as on Windows.
pub const SCRIPTS: [&str; 3] = ["check-plan-open.cmd", "check-plan-open.command", "check-plan-open.sh"];

/// Every file of the folder.
pub fn files(rules: &Rules) -> Vec<File> {
    let file = |name: &str, bytes: Vec<u8>| File { name: name.to_owned(), bytes };
    let form = |name: &str, example| {
        // Short as it is, it needs no more than memory.
        forms::workbook(&table(name), rules, example).expect("memory takes a form")
    };
    let mut files = vec![
        file("START-HERE.txt", include_str!("starter/start-here.txt").into()),
        file("how-to-measure.html", measuring().into_bytes()),
        file("form-to-print.html", print::form(&table("specimens.csv"))),
        file("settings.toml", settings().into_bytes()),
        file("specimens.xlsx", form("specimens.csv", &forms::SURVEY_EXAMPLE)),
        file("vessels.xlsx", form("vessels.csv", &forms::STOCK_EXAMPLE)),
        // The command interpreter of Windows wants its own line ends.
        file(SCRIPTS[0], include_str!("starter/check-plan-open.cmd").replace('\n', "\r\n").into_bytes()),
        file(SCRIPTS[1], include_str!("starter/check-plan-open.sh").into()),
        file(SCRIPTS[2], include_str!("starter/check-plan-open.sh").into()),
    ];
    let tables: Vec<FileColumns> = FILES.iter().filter(|file| !file.file.contains('/')).copied().collect();
    for table in &tables {
        let header: Vec<&str> = table.columns.iter().map(|column| column.name).collect();
        files.push(file(&format!("csv/{}", table.file), csv::texts(&header, std::iter::empty())));
    }
    let described: Vec<(&str, FileColumns)> = tables.iter().map(|table| (table.file, *table)).collect();
    let package: Value = data_package("rehouse-project", &described);
    files.push(file("csv/datapackage.json", format!("{package:#}\n").into_bytes()));
    files
}

/// How to measure, in the style of all papers.
fn measuring() -> String {
    include_str!("starter/how-to-measure.html").replace("/* the papers' own style */", STYLE)
}

fn table(name: &str) -> FileColumns {
    // The table of columns holds all files by name.
    *FILES.iter().find(|file| file.file == name).unwrap_or(&FILES[0])
}

/// Every setting at its default, commented out.
fn settings() -> String {
    let mut text = String::from(
        "# Settings of this project. Every line that starts with # is a note, or a setting at its default.\n# To \
         change one, delete the # before its name and write your own value.\n\n",
    );
    for line in Settings::default().to_toml().lines() {
        let is_setting = !line.is_empty() && !line.starts_with(['#', '[']);
        text.push_str(&format!("{}{line}\n", if is_setting { "#" } else { "" }));
        // Groups that are empty at their defaults have an example.
        if let Some((_, example)) = EXAMPLES.iter().find(|(group, _)| line == format!("[{group}]")) {
            text.push_str(&format!("#{example}\n"));
        }
    }
    text
}

/// A line for each group of settings whose keys are names of the user's own.
const EXAMPLES: [(&str, &str); 3] = [
    ("fluid_price", "ethanol-70 = 4.00"),
    ("disposal_price", "alcohol = 0.90"),
    ("containers", "ethanol-96 = \"1=8.40|5=32|25=135\""),
];
