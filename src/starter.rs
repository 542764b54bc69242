//! Makes the project folder to fill in: forms for the survey and the stock list (workbooks and CSV), instructions for measuring,
//! the settings with their defaults, and scripts to double-click.
//!
//! Everything is made from the definitions that the program itself reads by: columns, settings, rules.

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

/// File names of the scripts that check, plan and open the report. The one for Windows has CRLF line ends.
pub const SCRIPTS: [&str; 3] = ["check-plan-open.cmd", "check-plan-open.command", "check-plan-open.sh"];

/// All files of the folder.
pub fn files(rules: &Rules) -> Vec<File> {
    let file = |name: &str, bytes: Vec<u8>| File { name: name.to_owned(), bytes };
    let form = |name: &str, example| {
        // The form is small enough to be made in memory.
        forms::workbook(&table(name), rules, example).expect("memory takes a form")
    };
    let mut files = vec![
        file("START-HERE.txt", include_str!("starter/start-here.txt").into()),
        file("how-to-measure.html", measuring().into_bytes()),
        file("form-to-print.html", print::form(&table("specimens.csv"))),
        file("settings.toml", settings().into_bytes()),
        file("specimens.xlsx", form("specimens.csv", &forms::SURVEY_EXAMPLE)),
        file("vessels.xlsx", form("vessels.csv", &forms::STOCK_EXAMPLE)),
        // The Windows command interpreter needs CRLF line ends.
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

/// The page on how to measure, in the style of all papers.
fn measuring() -> String {
    include_str!("starter/how-to-measure.html").replace("/* the papers' own style */", STYLE)
}

fn table(name: &str) -> FileColumns {
    // `FILES` has every file that is asked for.
    *FILES.iter().find(|file| file.file == name).unwrap_or(&FILES[0])
}

/// The settings file with every setting at its default, commented out.
fn settings() -> String {
    let mut text = String::from(
        "# Settings of this project. Every line that starts with # is a note, or a setting at its default.\n# To \
         change one, delete the # before its name and write your own value.\n\n",
    );
    for line in Settings::default().to_toml().lines() {
        let is_setting = !line.is_empty() && !line.starts_with(['#', '[']);
        text.push_str(&format!("{}{line}\n", if is_setting { "#" } else { "" }));
        // Groups without default entries get an example.
        if let Some((_, example)) = EXAMPLES.iter().find(|(group, _)| line == format!("[{group}]")) {
            text.push_str(&format!("#{example}\n"));
        }
    }
    text
}

/// An example line for each group of settings whose keys are chosen by the user.
const EXAMPLES: [(&str, &str); 3] = [
    ("fluid_price", "ethanol-70 = 4.00"),
    ("disposal_price", "alcohol = 0.90"),
    ("containers", "ethanol-96 = \"1=8.40|5=32|25=135\""),
];
