//! Names in a project folder that nearly match a file the program reads (`Settings.toml`, `setting.toml`, `settings.toml.txt`).
//! Such a file was almost certainly meant to be read. It is neither read nor ignored: the run stops and says what to rename.

use std::path::Path;

use super::columns::{FluidStockColumn, InputColumns, SpecimenColumn, SupplierColumn, VesselColumn};
use super::workbook::ENDINGS;
use super::{opening, workbook};
use crate::diagnostics::{Code, Diagnostic, Place};

/// Files and folders that are read from a project folder.
const KNOWN: [&str; 6] =
    [SpecimenColumn::FILE, VesselColumn::FILE, SupplierColumn::FILE, FluidStockColumn::FILE, "settings.toml", "rules"];

/// One error for each name in the folder that nearly matches one of [`KNOWN`].
pub(super) fn misnamed(dir: &Path) -> Vec<Diagnostic> {
    // A folder that may be entered but not listed can still be read from.
    let Ok(names) = opening::names_in(dir) else { return Vec::new() };
    let is_there = |known: &str| names.iter().any(|name| stands_for(name, known));
    let meant = |name: &String| {
        let is_known = KNOWN.iter().any(|known| stands_for(name, known));
        let known = KNOWN.iter().find(|known| !is_known && is_nearly(name, known, is_there(known)))?;
        Some((name.clone(), *known))
    };
    names.iter().filter_map(meant).map(|(name, known)| diagnostic(dir, &name, known)).collect()
}

fn stands_for(name: &str, known: &str) -> bool {
    name == known || workbook::stands_for(name, known)
}

/// Whether a name differs from a known one only in case, underscores or spaces. If the known name is absent, also whether it has
/// another ending, or one letter too many, too few or wrong; if the known name is present, such a file may be a copy.
fn is_nearly(name: &str, known: &str, is_there: bool) -> bool {
    let plain: String = name.to_lowercase().replace(['_', ' '], "-");
    if stands_for(&plain, known) {
        return true;
    }
    let Some((stem, ending)) = known.split_once('.') else {
        // In so short a name, one different letter gives another word (`ruler`); only a letter added or left out counts.
        let longer_by_one = plain.len().abs_diff(known.len()) == 1;
        return !is_there && longer_by_one && strsim::osa_distance(&plain, known) == 1;
    };
    let (own_stem, own_ending) = plain.split_once('.').unwrap_or((&plain, ""));
    let same_ending = own_ending == ending || ending == "csv" && ENDINGS.contains(&own_ending);
    let other_ending = own_stem == stem
        && (own_ending.is_empty()
            || OTHER_ENDINGS.contains(&own_ending)
            || own_ending.strip_prefix(ending).is_some_and(|more| more.starts_with('.')));
    !is_there && (other_ending || same_ending && strsim::osa_distance(own_stem, stem) == 1)
}

/// Endings that another program may have given the file.
const OTHER_ENDINGS: [&str; 6] = ["txt", "csv", "tsv", "toml", "xls", "xlsm"];

fn diagnostic(dir: &Path, name: &str, known: &str) -> Diagnostic {
    let place = Place::file(dir.join(name).display().to_string());
    let message = format!("this is not read; its name is close to {known}");
    let cure = format!(
        "if you mean {known}, rename it to {known}; otherwise give it a clearly different name or move it out of the folder"
    );
    Diagnostic::error(Code::NearlyKnownName, place, message).cure(cure)
}
