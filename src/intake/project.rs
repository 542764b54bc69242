//! Finds the files of a project and reads their bytes.

use std::path::{Path, PathBuf};

use super::columns::{FluidStockColumn, InputColumns, SpecimenColumn, SupplierColumn, VesselColumn};
use super::findings::Findings;
use super::workbook::{ENDINGS, is_workbook, with_ending};

pub use super::workbook::stands_for;
use super::{misnamed, opening};
use crate::diagnostics::{Code, Diagnostic, Place, nearest};
use crate::rules::TABLES;

/// Where the input files are.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sources {
    /// The survey.
    pub specimens: PathBuf,
    /// The stock list.
    pub vessels: PathBuf,
    /// Suppliers' terms.
    pub suppliers: Option<PathBuf>,
    /// Fluid on the shelf.
    pub fluid_stock: Option<PathBuf>,
    /// Settings.
    pub settings: Option<PathBuf>,
    /// Folder of tables that replace the compiled-in ones.
    pub rules: Option<PathBuf>,
    /// The project folder, if there is one. Its files must be regular files; files named on the command line may be pipes.
    pub folder: Option<PathBuf>,
}

/// A file that was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InputFile {
    /// Its name in a project folder: `specimens.csv`, `rules/fluids.csv`.
    pub name: String,
    /// Its path as the user named it.
    pub path: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

impl Sources {
    /// Finds the files of a project folder.
    ///
    /// # Errors
    /// If it is not a folder, has no survey or no stock list, or holds the same table twice.
    pub fn project(dir: &Path) -> Result<Sources, Diagnostic> {
        let cannot_read =
            |message: String| Diagnostic::error(Code::CannotRead, Place::file(dir.display().to_string()), message);
        if !dir.is_dir() {
            let what = if dir.exists() { "this is a file, not a project folder" } else { "there is no such folder" };
            return Err(cannot_read(what.to_owned()).cure("name a project folder, or the survey and the stock list"));
        }
        let present = |name: &str| {
            let path = dir.join(name);
            opening::exists(&path).map(|there| Some(path).filter(|_| there))
        };
        let table = |name: &str| one_in(dir, name);
        let (specimens, vessels) = (table(SpecimenColumn::FILE)?, table(VesselColumn::FILE)?);
        let (Some(specimens), Some(vessels)) = (&specimens, &vessels) else {
            let named = [(&specimens, SpecimenColumn::FILE), (&vessels, VesselColumn::FILE)];
            let missing: Vec<&str> = named.iter().filter(|(path, _)| path.is_none()).map(|(_, name)| *name).collect();
            let nearly = misnamed::misnamed(dir).into_iter().next();
            if let Some(nearly) = nearly {
                return Err(nearly);
            }
            let message = format!("there is no {} in this folder", missing.join(" and no "));
            return Err(cannot_read(message)
                .cure("a project folder holds specimens.csv and vessels.csv, or either as .xlsx or .ods"));
        };
        Ok(Sources {
            specimens: specimens.clone(),
            vessels: vessels.clone(),
            suppliers: table(SupplierColumn::FILE)?,
            fluid_stock: table(FluidStockColumn::FILE)?,
            settings: present("settings.toml")?,
            rules: present("rules")?,
            folder: Some(dir.to_owned()),
        })
    }

    /// A survey and a stock list, without other files.
    pub fn named(specimens: impl Into<PathBuf>, vessels: impl Into<PathBuf>) -> Sources {
        Sources {
            specimens: specimens.into(),
            vessels: vessels.into(),
            suppliers: None,
            fluid_stock: None,
            settings: None,
            rules: None,
            folder: None,
        }
    }
}

/// Path of the table with this name in a folder, or of a workbook in its place. What exists there may turn out not to be a file.
///
/// # Errors
/// If there is more than one, or the folder may not be searched.
pub fn one_in(dir: &Path, name: &str) -> Result<Option<PathBuf>, Diagnostic> {
    let names = std::iter::once(name.to_owned()).chain(ENDINGS.iter().map(|ending| with_ending(name, ending)));
    let mut found = Vec::new();
    for path in names.map(|name| dir.join(name)) {
        if opening::exists(&path)? {
            found.push(path);
        }
    }
    match found.len() {
        0 | 1 => Ok(found.pop()),
        _ => Err(two_of_one(found.iter().map(|path| path.display().to_string()).collect())),
    }
}

/// Whether a file of this name in a project folder is read, as a table, as a workbook in its place, or as the settings.
pub fn is_read(given: &str) -> bool {
    let tables = [SpecimenColumn::FILE, VesselColumn::FILE, SupplierColumn::FILE, FluidStockColumn::FILE];
    let of_rules = |given: &str| TABLES.iter().any(|(name, _)| stands_for(given, name));
    match given.strip_prefix("rules/") {
        Some(given) => of_rules(given),
        None => given == "settings.toml" || tables.iter().any(|name| stands_for(given, name)),
    }
}

/// The file that holds this table. More than one is reported; the first is returned.
pub(super) fn one_of<'f>(files: &'f [InputFile], name: &str, findings: &mut Findings) -> Option<&'f InputFile> {
    let found: Vec<&InputFile> = files.iter().filter(|file| stands_for(&file.name, name)).collect();
    if found.len() > 1 {
        findings.report(two_of_one(found.iter().map(|file| file.path.clone()).collect()));
    }
    found.first().copied()
}

fn two_of_one(paths: Vec<String>) -> Diagnostic {
    let message = format!("the same table is in {}", paths.join(" and in "));
    Diagnostic::error(Code::TwoFiles, Place::file(paths[0].as_str()), message)
        .cure("keep the current one, and move the other out of the folder")
}

/// Reads the bytes of all files of a project.
pub(super) fn load(sources: &Sources, findings: &mut Findings) -> Vec<InputFile> {
    let single = [
        (SpecimenColumn::FILE, Some(&sources.specimens)),
        (VesselColumn::FILE, Some(&sources.vessels)),
        (SupplierColumn::FILE, sources.suppliers.as_ref()),
        (FluidStockColumn::FILE, sources.fluid_stock.as_ref()),
        ("settings.toml", sources.settings.as_ref()),
    ];
    for nearly in sources.folder.iter().flat_map(|folder| misnamed::misnamed(folder)) {
        findings.report(nearly);
    }
    let mut files = Vec::new();
    for (name, path) in single {
        let Some(path) = path else { continue };
        let in_folder = sources.folder.as_deref().is_some_and(|folder| path.parent() == Some(folder));
        let bytes = if in_folder { opening::file(path) } else { opening::file_or_pipe(path) };
        files.extend(loaded(name_of(name, path), path, bytes, findings));
    }
    if let Some(dir) = &sources.rules {
        files.extend(load_rules(dir, findings));
    }
    files
}

/// Reads the bytes of a settings file and of a folder of rules, where they are given.
pub(super) fn load_rules_and_settings(
    settings: Option<&Path>,
    rules: Option<&Path>,
    findings: &mut Findings,
) -> Vec<InputFile> {
    let mut files: Vec<InputFile> =
        settings.and_then(|path| load_named("settings.toml".to_owned(), path, findings)).into_iter().collect();
    if let Some(dir) = rules {
        files.extend(load_rules(dir, findings));
    }
    files
}

/// Reads the bytes of one table.
pub(super) fn load_table(name: &str, path: &Path, findings: &mut Findings) -> Option<InputFile> {
    load_named(name_of(name, path), path, findings)
}

/// The name of a file in a project folder: `suppliers.csv`, or `suppliers.xlsx` if it is a workbook.
fn name_of(name: &str, path: &Path) -> String {
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase()).unwrap_or_default();
    let is_workbook = name.ends_with(".csv") && ENDINGS.contains(&ending.as_str());
    if is_workbook { with_ending(name, &ending) } else { name.to_owned() }
}

fn load_named(name: String, path: &Path, findings: &mut Findings) -> Option<InputFile> {
    loaded(name, path, opening::file_or_pipe(path), findings)
}

fn loaded(name: String, path: &Path, bytes: Result<Vec<u8>, Diagnostic>, findings: &mut Findings) -> Option<InputFile> {
    match bytes {
        Ok(bytes) => Some(InputFile { name, path: path.display().to_string(), bytes }),
        Err(error) => {
            findings.report(error);
            None
        }
    }
}

fn load_rules(dir: &Path, findings: &mut Findings) -> Vec<InputFile> {
    let names = match opening::names_in(dir) {
        Ok(names) => names.into_iter().filter(|name| name.ends_with(".csv") || is_workbook(name)),
        Err(error) => {
            findings.report(error);
            return Vec::new();
        }
    };
    let known = || TABLES.iter().map(|(name, _)| *name);
    let mut files = Vec::new();
    for name in names {
        let path = dir.join(&name);
        if known().any(|known| stands_for(&name, known)) {
            files.extend(loaded(format!("rules/{name}"), &path, opening::file(&path), findings));
            continue;
        }
        let place = Place::file(path.display().to_string());
        let warning =
            Diagnostic::warning(Code::UnknownTable, place, "there is no rules table of this name; it is not read");
        findings.report(match nearest(&name, known()) {
            Some(near) => warning.cure(format!("if you mean {near}, rename it")),
            None => warning.cure(format!("the tables are {}", known().collect::<Vec<_>>().join(", "))),
        });
    }
    files
}
