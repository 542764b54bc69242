//! Describes the input columns as a Table Schema, as the tables of README and as help for a terminal. Everything is made from
//! `columns`.
//!
//! Source of the format: Frictionless Standards, Table Schema and Tabular Data Package, version 1
//! (specs.frictionlessdata.io/table-schema, …/tabular-data-package). The schema describes files in their simplest form: headers
//! as in `columns`, numbers with a decimal point and without a unit in the cell. The program also accepts other forms.

use serde_json::{Map, Value, json};

use super::columns::{CellKind, FileColumns, InputColumn, Need};

/// The Table Schema of one file.
pub fn table_schema(file: &FileColumns) -> Value {
    let fields: Vec<Value> = file.columns.iter().map(field).collect();
    json!({ "fields": fields, "missingValues": [""] })
}

/// The Tabular Data Package of these files, each under the given path.
pub fn data_package(name: &str, files: &[(&str, FileColumns)]) -> Value {
    let resources: Vec<Value> = files
        .iter()
        .map(|(path, file)| {
            json!({
                "name": file.name(),
                "profile": "tabular-data-resource",
                "path": path,
                "format": "csv",
                "mediatype": "text/csv",
                "encoding": "utf-8",
                "schema": table_schema(file),
            })
        })
        .collect();
    json!({ "name": name, "profile": "tabular-data-package", "resources": resources })
}

fn field(column: &InputColumn) -> Value {
    let mut field = Map::new();
    field.insert("name".to_owned(), column.name.into());
    let kind = match column.kind {
        CellKind::Text | CellKind::List | CellKind::Word(_) | CellKind::Carried => "string",
        CellKind::Number(..) | CellKind::Money | CellKind::Measured(_) => "number",
        CellKind::Whole(..) | CellKind::Numbering => "integer",
    };
    field.insert("type".to_owned(), kind.into());
    field.insert("description".to_owned(), column.meaning.into());
    let mut constraints = Map::new();
    if column.need == Need::EveryCell {
        constraints.insert("required".to_owned(), true.into());
    }
    match column.kind {
        CellKind::Word(words) => {
            constraints.insert("enum".to_owned(), words.into());
        }
        CellKind::Number(least, most) => {
            constraints.insert("minimum".to_owned(), least.into());
            constraints.insert("maximum".to_owned(), most.into());
        }
        CellKind::Whole(least, most) => {
            constraints.insert("minimum".to_owned(), least.into());
            constraints.insert("maximum".to_owned(), most.into());
        }
        CellKind::Money | CellKind::Measured(_) => {
            constraints.insert("minimum".to_owned(), 0.into());
        }
        CellKind::Numbering => {
            constraints.insert("minimum".to_owned(), 1.into());
        }
        CellKind::Text | CellKind::List | CellKind::Carried => {}
    }
    if !constraints.is_empty() {
        field.insert("constraints".to_owned(), constraints.into());
    }
    field.into()
}

/// The content of a column's cells, in a few words.
pub fn holds(column: &InputColumn) -> String {
    match column.kind {
        CellKind::Text | CellKind::Carried => "text".to_owned(),
        CellKind::Word(words) => words.join(", "),
        CellKind::List => "names separated by |".to_owned(),
        CellKind::Number(least, most) => format!("number, {least} to {most}"),
        // So high a limit only catches typing errors; it is not worth printing.
        CellKind::Whole(least, most) if most > 100_000 => format!("whole number, at least {least}"),
        CellKind::Whole(least, most) => format!("whole number, {least} to {most}"),
        CellKind::Money => "amount".to_owned(),
        CellKind::Measured(measure) => measure.usual_of(column.name).name.to_owned(),
        CellKind::Numbering => "whole number".to_owned(),
    }
}

/// Whether a column is required, in a word or two.
pub fn needed(column: &InputColumn) -> &'static str {
    match column.need {
        Need::EveryCell => "every row",
        Need::Column => "column",
        Need::Nothing => "",
    }
}

/// The columns of one file as a Markdown table for README.
pub fn markdown(file: &FileColumns) -> String {
    let mut text = format!("`{}`\n\n| column | needed | holds | meaning |\n|---|---|---|---|\n", file.file);
    for column in file.columns {
        let cells = [format!("`{}`", column.name), needed(column).to_owned(), holds(column), column.meaning.to_owned()];
        text.push_str(&format!("| {} |\n", cells.map(|cell| cell.replace('|', "\\|")).join(" | ")));
    }
    text
}

/// The required columns of these files, for the end of a help page.
pub fn help(files: &[FileColumns]) -> String {
    let mut text = String::from("Columns that must be there (`rehouse schema` lists all):\n");
    for file in files {
        let names: Vec<&str> =
            file.columns.iter().filter(|column| column.required()).map(|column| column.name).collect();
        text.push_str(&format!("  {:<16}{}\n", file.name(), names.join(", ")));
    }
    text.trim_end().to_owned()
}
