//! Shows the answer to a planner's question in the format that was asked for, and writes its lines to a file.

use std::path::PathBuf;

use super::{Failure, print, print_text};
use crate::cli::{AnswerArguments, AnswerFormat, Format};
use crate::{output, report};

/// Makes each form of an answer; only the one that is asked for is made.
pub struct AnswerForms<'a> {
    /// For a terminal.
    pub text: &'a dyn Fn() -> String,
    /// Its lines as CSV.
    pub csv: &'a dyn Fn() -> Vec<u8>,
    /// With the levels of each plan as JSON.
    pub json: &'a dyn Fn() -> String,
}

/// Writes the file of `--out` and prints the answer. `inputs` must not be replaced; `left_out` are rows that could not be read.
pub fn show(
    arguments: &AnswerArguments,
    inputs: &[PathBuf],
    left_out: &[String],
    forms: &AnswerForms,
) -> Result<(), Failure> {
    if let Some(file) = &arguments.out {
        output::write_file(file, &(forms.csv)(), inputs).map_err(Failure::from)?;
    }
    match arguments.format {
        AnswerFormat::Table => {
            print_text(&report::summary::skipped(left_out))?;
            print_text(&(forms.text)())
        }
        AnswerFormat::Csv => print(&String::from_utf8_lossy(&(forms.csv)())),
        AnswerFormat::Json => print(&(forms.json)()),
    }
}

/// The format of messages beside an answer in this format.
pub fn of_messages(format: AnswerFormat) -> Format {
    if format == AnswerFormat::Json { Format::Json } else { Format::Table }
}
