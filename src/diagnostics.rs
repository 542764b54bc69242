//! What is wrong, or doubtful, in an input: a value with its place and its cure. Renderers live apart, in
//! [`crate::report`]; producers never print.

use std::fmt;

/// One thing wrong or doubtful, said once.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Diagnostic {
    /// Where.
    pub place: Place,
    /// Whether it stops the plan.
    pub severity: Severity,
    /// Stable, searchable name: kebab-case words (`unknown-unit`).
    pub code: &'static str,
    /// What was found, quoting the cell.
    pub message: String,
    /// What to type instead.
    pub help: Option<Box<str>>,
}

/// Whether a diagnostic stops the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Nothing is planned, or the row is skipped where that was asked for.
    Error,
    /// The plan goes on.
    Warning,
}

/// A place in an input file.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Place {
    /// File as the user named it.
    pub file: String,
    /// Sheet of a workbook; lines are then its rows.
    pub sheet: Option<Box<str>>,
    /// 1-based line, 0 for the file as a whole.
    pub line: usize,
    /// 1-based column, in characters or, in a sheet, in cells; 0 for the line as a whole.
    pub column: usize,
}

impl Diagnostic {
    /// An error.
    pub fn error(code: &'static str, place: Place, message: impl Into<String>) -> Self {
        Self { place, severity: Severity::Error, code, message: message.into(), help: None }
    }

    /// A warning.
    pub fn warning(code: &'static str, place: Place, message: impl Into<String>) -> Self {
        Self { place, severity: Severity::Warning, code, message: message.into(), help: None }
    }

    /// With a cure.
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into().into());
        self
    }
}

impl Place {
    /// A file as a whole.
    pub fn file(file: impl Into<String>) -> Self {
        Self { file: file.into(), ..Self::default() }
    }
}

/// A column of a sheet as spreadsheets name it, from 1: A, B … Z, AA.
pub fn letters(column: usize) -> String {
    let (mut left, mut name) = (column, Vec::new());
    while left > 0 {
        name.push(b'A' + ((left - 1) % 26) as u8);
        left = (left - 1) / 26;
    }
    name.iter().rev().map(|letter| char::from(*letter)).collect()
}

impl fmt::Display for Place {
    /// `vessels.csv:3:8`, or `book.xlsx:Survey!D14`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.file)?;
        if let Some(sheet) = &self.sheet {
            write!(f, ":{sheet}")?;
            return match (self.line, self.column) {
                (0, _) => Ok(()),
                (row, 0) => write!(f, "!{row}"),
                (row, column) => write!(f, "!{}{row}", letters(column)),
            };
        }
        if self.line > 0 {
            write!(f, ":{}", self.line)?;
        }
        if self.column > 0 {
            write!(f, ":{}", self.column)?;
        }
        Ok(())
    }
}

impl fmt::Display for Diagnostic {
    /// `vessels.csv:3:8: error[unknown-unit]: …`, then the cure on a line of its own.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let severity = match self.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
        };
        write!(f, "{}: {severity}[{}]: {}", self.place, self.code, self.message)?;
        match &self.help {
            Some(help) => write!(f, "\n  help: {help}"),
            None => Ok(()),
        }
    }
}

/// The nearest of some known names to one that was typed, if any is near: for "did you mean".
pub fn nearest<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let typed = typed.to_lowercase();
    // A single letter is near nothing: one change makes it any other.
    let length = typed.chars().count();
    let limit = (length / 3).max(usize::from(length > 1));
    known
        .into_iter()
        .map(|name| (strsim::osa_distance(&typed, &name.to_lowercase()), name))
        .filter(|(distance, name)| *distance <= limit || name.to_lowercase().contains(&typed) && typed.len() >= 3)
        .min()
        .map(|(_, name)| name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_near_name_is_found_and_a_far_one_is_not() {
        let known = ["ethanol-70", "ethanol-96", "formalin-10"];
        assert_eq!(nearest("ethonal-70", known), Some("ethanol-70"));
        assert_eq!(nearest("formalin", known), Some("formalin-10"));
        assert_eq!(nearest("glycerine", known), None);
        assert_eq!(nearest("x", ["?", "y"]), None);
    }
}
