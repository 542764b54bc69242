//! `rehouse schema`: prints name, contents and meaning of the columns of the input files.

use super::{Ending, Failure, print, print_text};
use crate::cli::{Format, SchemaArguments};
use crate::diagnostics::nearest;
use crate::intake::columns::{FILES, FileColumns};
use crate::intake::schema::{data_package, holds, needed, table_schema};
use crate::report;

/// Prints the columns, as text or as a Table Schema.
pub fn run(arguments: &SchemaArguments) -> Result<Ending, Failure> {
    let wanted = arguments.file.as_deref().map(one).transpose()?;
    match (arguments.format, wanted) {
        (Format::Table, Some(file)) => print_text(table(&file).trim_start())?,
        (Format::Table, None) => print_text(FILES.iter().map(table).collect::<String>().trim_start())?,
        (Format::Json, Some(file)) => print(&pretty(&table_schema(&file)))?,
        (Format::Json, None) => {
            let files: Vec<(&str, FileColumns)> = FILES.iter().map(|file| (file.file, *file)).collect();
            print(&pretty(&data_package("rehouse-inputs", &files)))?;
        }
    }
    Ok(Ending::Done)
}

fn one(typed: &str) -> Result<FileColumns, Failure> {
    let name = typed.rsplit('/').next().unwrap_or(typed).trim_end_matches(".csv");
    FILES.iter().find(|file| file.name() == name).copied().ok_or_else(|| {
        let cure = match nearest(name, FILES.iter().map(FileColumns::name)) {
            Some(near) => format!("did you mean {near}?"),
            None => format!("use one of {}", FILES.iter().map(FileColumns::name).collect::<Vec<_>>().join(", ")),
        };
        Failure::cured(format!("there is no input \"{typed}\""), cure)
    })
}

fn table(file: &FileColumns) -> String {
    let described: Vec<_> = file
        .columns
        .iter()
        .map(|column| [column.name.to_owned(), needed(column).to_owned(), holds(column), column.meaning.to_owned()])
        .collect();
    report::schema::columns(file.file, &described)
}

/// JSON indented for people, with a line end.
pub fn pretty(value: &serde_json::Value) -> String {
    format!("{value:#}\n")
}
