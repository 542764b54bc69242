//! Errors and warnings about inputs, each with its place and its cure. [`crate::report`] turns them into text; the code that
//! finds them never prints.

mod nearest;

use std::fmt;

pub use nearest::{KnownNames, nearest};

/// One error or warning.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Diagnostic {
    /// Place in the inputs.
    pub place: Place,
    /// Whether it stops the plan.
    pub severity: Severity,
    /// Kind of fault.
    pub code: Code,
    /// What is wrong, with the cell quoted.
    pub message: String,
    /// What to do.
    pub cure: Option<Box<str>>,
}

/// Defines the kinds of faults, each with its name in messages.
macro_rules! codes {
    ($($code:ident $name:literal,)*) => {
        /// Kind of fault of a diagnostic. The names explain themselves.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        #[allow(missing_docs)]
        pub enum Code {
            $($code,)*
        }

        impl Code {
            /// All kinds.
            pub const ALL: &[Code] = &[$(Code::$code,)*];

            /// Stable name to search for, in kebab case (`unknown-unit`).
            pub fn name(self) -> &'static str {
                match self {
                    $(Code::$code => $name,)*
                }
            }
        }
    };
}

codes! {
    AmbiguousNumber "ambiguous-number",
    AmbiguousPart "ambiguous-part",
    BlankCell "blank-cell",
    BlankPrice "blank-price",
    CannotRead "cannot-read",
    CapacityAboveGeometry "capacity-above-geometry",
    CapacityBelowGeometry "capacity-below-geometry",
    CapacityBeyondGeometry "capacity-beyond-geometry",
    ContradictoryMouth "contradictory-mouth",
    ContradictoryPins "contradictory-pins",
    ContradictoryPrice "contradictory-price",
    ContradictoryRows "contradictory-rows",
    DateCell "date-cell",
    DaysAndBaths "days-and-baths",
    DuplicateColumn "duplicate-column",
    DuplicateKey "duplicate-key",
    DuplicateName "duplicate-name",
    DuplicatePair "duplicate-pair",
    DuplicateSupplier "duplicate-supplier",
    EmptyFile "empty-file",
    ErrorCell "error-cell",
    FluidMissing "fluid-missing",
    FormMismatch "form-mismatch",
    HazardInText "hazard-in-text",
    HazardousFluid "hazardous-fluid",
    IncompleteMouth "incomplete-mouth",
    IncompleteSize "incomplete-size",
    MassBeyondEnvelope "mass-beyond-envelope",
    MergedCells "merged-cells",
    MissingColumn "missing-column",
    MouthWiderThanBody "mouth-wider-than-body",
    NearlyKnownName "nearly-known-name",
    Negative "negative",
    NoClosure "no-closure",
    NoRows "no-rows",
    NotANumber "not-a-number",
    NotAPriority "not-a-priority",
    NotASize "not-a-size",
    NotAWorkbook "not-a-workbook",
    NotCalculated "not-calculated",
    NotFinite "not-finite",
    NotPositive "not-positive",
    NotText "not-text",
    NotToml "not-toml",
    NotUtf8 "not-utf-8",
    NotWhole "not-whole",
    OrderLimitBelowPack "order-limit-below-pack",
    OutOfRange "out-of-range",
    OuterBelowInner "outer-below-inner",
    RaggedRow "ragged-row",
    ReservedName "reserved-name",
    ShoulderAboveTop "shoulder-above-top",
    StockOnSeveralRows "stock-on-several-rows",
    StrayQuote "stray-quote",
    StrengthMissing "strength-missing",
    SupplierLeftOut "supplier-left-out",
    TissueBeyondEnvelope "tissue-beyond-envelope",
    TooLarge "too-large",
    TooManyRows "too-many-rows",
    TooPrecise "too-precise",
    TwoFiles "two-files",
    TwoStrengths "two-strengths",
    UnclearHold "unclear-hold",
    UnclosedQuote "unclosed-quote",
    UnfactoredStress "unfactored-stress",
    UnitMissing "unit-missing",
    UnknownClosure "unknown-closure",
    UnknownColumn "unknown-column",
    UnknownFamily "unknown-family",
    UnknownFluid "unknown-fluid",
    UnknownHazard "unknown-hazard",
    UnknownMaterial "unknown-material",
    UnknownNeckFinish "unknown-neck-finish",
    UnknownPart "unknown-part",
    UnknownSetting "unknown-setting",
    UnknownSupplier "unknown-supplier",
    UnknownTable "unknown-table",
    UnknownUnit "unknown-unit",
    UnknownVessel "unknown-vessel",
    UnknownWord "unknown-word",
    UnnamedColumn "unnamed-column",
    Utf16 "utf-16",
    VesselLeftOut "vessel-left-out",
    WhichSheet "which-sheet",
    WorkbookTooLarge "workbook-too-large",
    WrongLastBath "wrong-last-bath",
    WrongOrder "wrong-order",
    WrongSetting "wrong-setting",
    YearsMissing "years-missing",
    YearsNotTaken "years-not-taken",
    Zero "zero",
    ZeroIsUnknown "zero-is-unknown",
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// Whether a diagnostic stops the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The plan is not made, or the row is left out where that was asked for.
    Error,
    /// The plan is made.
    Warning,
}

/// A place in an input file.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Place {
    /// Path of the file as the user named it.
    pub file: String,
    /// Sheet of a workbook; `line` is then its row.
    pub sheet: Option<Box<str>>,
    /// Line, from 1; 0 for the file as a whole.
    pub line: usize,
    /// Column, from 1: a character, or in a sheet a cell; 0 for the line as a whole.
    pub column: usize,
    /// Row of a table as a spreadsheet counts, from 1; 0 if the file is not a table or no row is meant. Line breaks inside cells
    /// make it smaller than the line.
    pub row: usize,
    /// Name of the column or setting; empty if none is meant.
    pub name: Box<str>,
}

impl Diagnostic {
    /// An error.
    pub fn error(code: Code, place: Place, message: impl Into<String>) -> Self {
        Self { place, severity: Severity::Error, code, message: with_short_words(message.into()), cure: None }
    }

    /// A warning.
    pub fn warning(code: Code, place: Place, message: impl Into<String>) -> Self {
        Self { place, severity: Severity::Warning, code, message: with_short_words(message.into()), cure: None }
    }

    /// Adds a cure.
    pub fn cure(mut self, cure: impl Into<String>) -> Self {
        self.cure = Some(with_short_words(cure.into()).into());
        self
    }
}

impl Place {
    /// A file as a whole.
    pub fn file(file: impl Into<String>) -> Self {
        Self { file: file.into(), ..Self::default() }
    }
}

/// Name of a spreadsheet column, from 1: A, B … Z, AA.
pub fn letters(column: usize) -> String {
    let (mut left, mut name) = (column, Vec::new());
    while left > 0 {
        name.push(b'A' + u8::try_from((left - 1) % 26).expect("below 26"));
        left = (left - 1) / 26;
    }
    name.iter().rev().map(|letter| char::from(*letter)).collect()
}

impl Place {
    /// The place for programs, or for an editor to jump to: `vessels.csv:3:8`, or `book.xlsx:Survey!D14`.
    pub fn position(&self) -> String {
        let mut text = self.file.clone();
        if let Some(sheet) = &self.sheet {
            text.push_str(&format!(":{sheet}"));
            match (self.line, self.column) {
                (0, _) => {}
                (row, 0) => text.push_str(&format!("!{row}")),
                (row, column) => text.push_str(&format!("!{}{row}", letters(column))),
            }
            return text;
        }
        for part in [self.line, self.column].into_iter().filter(|part| *part > 0) {
            text.push_str(&format!(":{part}"));
        }
        text
    }
}

impl fmt::Display for Place {
    /// The place for people: `specimens.csv, row 14, length_mm`; `book.xlsx, sheet Survey, row 14, length_mm (D14)`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.file)?;
        if let Some(sheet) = &self.sheet {
            write!(f, ", sheet {}", shortened(sheet))?;
        }
        match (self.row, self.line) {
            (0, 0) => {}
            (0, line) if self.sheet.is_none() => write!(f, ", line {line}")?,
            (0, row) | (row, _) => write!(f, ", row {row}")?,
        }
        if !self.name.is_empty() {
            write!(f, ", {}", self.name)?;
        }
        if self.sheet.is_some() && self.line > 0 && self.column > 0 {
            write!(f, " ({}{})", letters(self.column), self.line)?;
        }
        Ok(())
    }
}

impl fmt::Display for Diagnostic {
    /// Writes `specimens.csv, row 14, length_mm: …`, then the cure on a line of its own, then the code.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.place, self.message)?;
        if let Some(cure) = &self.cure {
            write!(f, "\n    → {cure}")?;
        }
        write!(f, "  [{}]", self.code)
    }
}

/// Longest text, in characters, that may be a misspelt name.
pub const LONGEST_NAME: usize = 64;

/// A name that somebody typed, for a message or a place: of a text that is no name, the start tells which it is.
pub fn shortened(typed: &str) -> String {
    match typed.char_indices().nth(LONGEST_NAME) {
        Some((end, _)) => format!("{}…", &typed[..end]),
        None => typed.to_owned(),
    }
}

/// The text with the start of each word that is too long to be read. Such words come from files that are damaged or not what they
/// should be.
fn with_short_words(text: String) -> String {
    let is_long = |word: &str| word.len() > LONGEST_WORD;
    if !text.split(char::is_whitespace).any(is_long) {
        return text;
    }
    let short = |part: &str| if is_long(part) { format!("{} ", shortened(part)) } else { part.to_owned() };
    text.split_inclusive(char::is_whitespace).map(short).collect::<String>().trim_end().to_owned()
}

/// Bytes of a word, or of a path without spaces, up to which a message holds all of it.
const LONGEST_WORD: usize = 400;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_message_holds_the_start_of_a_word_that_is_too_long() {
        let message = |text: String| Diagnostic::error(Code::NotAWorkbook, Place::file("a.ods"), text).message;
        let usual = "write plate-silicone\nor leave the cell blank".to_owned();
        assert_eq!(message(usual.clone()), usual);
        assert_eq!(
            message(format!("expected {} here", "cell".repeat(1000))),
            format!("expected {}… here", "cell".repeat(16))
        );
        assert_eq!(message("ä".repeat(4000)), format!("{}…", "ä".repeat(64)));
        let cure = Diagnostic::warning(Code::NotAWorkbook, Place::file("a.ods"), "").cure("x".repeat(401)).cure;
        assert_eq!(cure.as_deref(), Some(format!("{}…", "x".repeat(64)).as_str()));
    }
}
