//! Files and compiled-in tables → rows → records. Everything wrong in a run is reported at once, with its place.

mod cells;
pub mod columns;
mod findings;
mod names;
mod rules;
mod settings;
mod source;
mod specimens;
mod suppliers;
mod table;
mod vessel_body;
mod vessels;

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use columns::{Columns, FluidStockColumn, SpecimenColumn, SupplierColumn, VesselColumn};
use findings::Findings;
use names::VesselNames;
use rules::RulesFile;
use source::Source;
use specimens::References;
use suppliers::SupplierNames;
use table::{Table, required_columns_found};

use crate::diagnostics::{Diagnostic, Place};
use crate::project::Project;
use crate::rules::{Rules, TABLES};
use crate::stock::Stock;

/// The files of a run, as the user named them.
#[derive(Clone, Debug, Default)]
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
    /// A folder of rules tables that replace the compiled-in ones.
    pub rules: Option<PathBuf>,
}

impl Sources {
    /// The files of a project folder under their own names.
    ///
    /// # Errors
    /// Where the folder lacks the survey or the stock list.
    pub fn project(dir: &Path) -> Result<Sources, Diagnostic> {
        let (specimens, vessels) = (dir.join("specimens.csv"), dir.join("vessels.csv"));
        for needed in [&specimens, &vessels] {
            if !needed.is_file() {
                let message = format!("there is no {} in it", needed.file_name().unwrap_or_default().to_string_lossy());
                let error = Diagnostic::error("missing-file", Place::file(dir.display().to_string()), message);
                return Err(error.help("a project folder holds specimens.csv and vessels.csv"));
            }
        }
        let optional = |name: &str| Some(dir.join(name)).filter(|path| path.exists());
        Ok(Sources {
            specimens,
            vessels,
            suppliers: optional("suppliers.csv"),
            fluid_stock: optional("fluid-stock.csv"),
            settings: optional("settings.toml"),
            rules: optional("rules"),
        })
    }

    /// A survey and a stock list.
    pub fn named(specimens: PathBuf, vessels: PathBuf) -> Sources {
        Sources { specimens, vessels, ..Sources::default() }
    }
}

/// A file that was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InputFile {
    /// Its name in a project folder: `specimens.csv`, `rules/fluids.csv`.
    pub name: String,
    /// As it was.
    pub bytes: Vec<u8>,
    /// Where it lies; `None` if it came from memory.
    pub path: Option<PathBuf>,
}

/// What was read, and what is wrong with it.
#[derive(Clone, Debug, Default)]
pub struct Reading {
    /// `None` where an error stops the plan.
    pub project: Option<Project>,
    /// Sorted by file, line and column.
    pub diagnostics: Vec<Diagnostic>,
    /// The files, for copies and digests.
    pub files: Vec<InputFile>,
    /// Rows left out, where that was asked for: `file:line: message`.
    pub skipped: Vec<String>,
}

/// Reads the files of a run. `overrides` are settings given as flags, which win over the file.
pub fn read(sources: &Sources, overrides: &[(String, toml::Value)], skip_bad_rows: bool) -> Reading {
    let mut wanted = vec![("specimens.csv".to_owned(), sources.specimens.clone())];
    wanted.push(("vessels.csv".to_owned(), sources.vessels.clone()));
    for (name, path) in [
        ("suppliers.csv", &sources.suppliers),
        ("fluid-stock.csv", &sources.fluid_stock),
        ("settings.toml", &sources.settings),
    ] {
        wanted.extend(path.clone().map(|path| (name.to_owned(), path)));
    }
    let mut findings = Findings::new(skip_bad_rows);
    if let Some(dir) = &sources.rules {
        let tables = TABLES.iter().map(|(name, _)| (format!("rules/{name}"), dir.join(name)));
        let found: Vec<_> = tables.filter(|(_, path)| path.exists()).collect();
        if found.is_empty() {
            let error =
                Diagnostic::error("no-tables", Place::file(dir.display().to_string()), "it holds no rules table");
            findings.report(error.help("`rehouse rules --export DIR` writes them"));
        }
        wanted.extend(found);
    }
    let mut files = Vec::new();
    for (name, path) in wanted {
        match std::fs::read(&path) {
            Ok(bytes) => files.push(InputFile { name, bytes, path: Some(path) }),
            Err(error) => {
                let place = Place::file(path.display().to_string());
                findings.report(Diagnostic::error("cannot-read", place, format!("cannot read it: {error}")));
            }
        }
    }
    understand(files, overrides, findings)
}

/// The same from memory: files by their names in a project folder.
pub fn read_texts(
    files: &BTreeMap<String, Vec<u8>>,
    overrides: &[(String, toml::Value)],
    skip_bad_rows: bool,
) -> Reading {
    let input = |(name, bytes): (&String, &Vec<u8>)| InputFile { name: name.clone(), bytes: bytes.clone(), path: None };
    let mut findings = Findings::new(skip_bad_rows);
    for needed in ["specimens.csv", "vessels.csv"] {
        if !files.contains_key(needed) {
            findings.report(Diagnostic::error("missing-file", Place::file(needed), "it is not there"));
        }
    }
    understand(files.iter().map(input).collect(), overrides, findings)
}

/// The compiled-in rules.
///
/// # Panics
/// If a compiled-in table does not read cleanly, which a test excludes.
pub fn default_rules() -> Rules {
    let mut findings = Findings::new(false);
    let rules = rules::read(&rules_files(&[]), &mut findings);
    assert!(!findings.stopped, "the compiled-in tables read cleanly: {:#?}", findings.diagnostics);
    rules
}

/// The six tables: the compiled-in ones, replaced one by one.
fn rules_files(files: &[InputFile]) -> Vec<RulesFile<'_>> {
    let table = |(name, text): (&'static str, &'static str)| {
        match files.iter().find(|file| file.name.strip_prefix("rules/") == Some(name)) {
            Some(file) => {
                // A copy of a compiled-in table is still ours: its prices are not the user's.
                let compiled_in = file.bytes == text.as_bytes();
                RulesFile { name, shown: shown(file), bytes: &file.bytes, compiled_in }
            }
            None => RulesFile { name, shown: format!("rules/{name}"), bytes: text.as_bytes(), compiled_in: true },
        }
    };
    TABLES.into_iter().map(table).collect()
}

/// As the user named it.
fn shown(file: &InputFile) -> String {
    file.path.as_ref().map_or_else(|| file.name.clone(), |path| path.display().to_string())
}

/// Rows → records, for all files of a run.
fn understand(files: Vec<InputFile>, flags: &[(String, toml::Value)], mut findings: Findings) -> Reading {
    let project = project(&files, flags, &mut findings);
    let mut diagnostics = findings.diagnostics;
    diagnostics.sort();
    diagnostics.dedup();
    let project = project.filter(|_| !findings.stopped);
    Reading { project, diagnostics, files, skipped: findings.skipped }
}

fn project(files: &[InputFile], flags: &[(String, toml::Value)], findings: &mut Findings) -> Option<Project> {
    let source = |name: &str, findings: &mut Findings| {
        let file = files.iter().find(|file| file.name == name)?;
        Some(Source::new(&shown(file), &file.bytes, findings))
    };
    let mut rules = rules::read(&rules_files(files), findings);
    let settings_file = source("settings.toml", findings).flatten();
    let given = settings::read(settings_file.as_ref(), flags, findings);
    given.meet(&mut rules, findings);

    let suppliers_file = source("suppliers.csv", findings);
    let suppliers_given = suppliers_file.is_some();
    let mut suppliers = match &suppliers_file {
        None => SupplierNames::any(),
        Some(source) => match source.as_ref().and_then(|source| Table::<SupplierColumn>::new(source, findings)) {
            Some(table) => SupplierNames::read(&table, findings),
            None => SupplierNames::unreadable(),
        },
    };
    let survey = source("specimens.csv", findings).flatten();
    let list = source("vessels.csv", findings).flatten();
    if let (Some(survey), Some(list)) = (&survey, &list)
        && swapped(survey, list)
    {
        let message = "this looks like the stock list, and the other file like the survey";
        let error = Diagnostic::error("files-swapped", survey.place(), message);
        findings.report(error.help("name the survey first, then the stock list"));
        return None;
    }
    let vessel_table = list.as_ref().and_then(|source| Table::<VesselColumn>::new(source, findings));
    let (stock, vessel_names) = match &vessel_table {
        Some(table) => {
            let read = vessels::read(table, &rules, &mut suppliers, findings);
            let names = VesselNames { typed: Some(read.names), file: table.file().to_owned() };
            (Stock { vessels: read.vessels, offers: read.offers, ..Stock::default() }, names)
        }
        None => (Stock::default(), VesselNames { typed: None, file: "vessels.csv".to_owned() }),
    };
    let stock = with_suppliers(stock, suppliers);
    let fluid_file = source("fluid-stock.csv", findings).flatten();
    let fluid_table = fluid_file.as_ref().and_then(|source| Table::<FluidStockColumn>::new(source, findings));
    let owned = fluid_table.map(|table| suppliers::owned_fluids(&table, &rules, findings));
    let stock = Stock { fluids: owned.unwrap_or_default(), ..stock };

    let survey = survey?;
    let mut survey_table = Table::<SpecimenColumn>::new(&survey, findings)?;
    for (column, cell) in &given.defaults {
        survey_table.set_default(*column, cell.clone());
    }
    let references = References {
        rules: &rules,
        stock: &stock,
        vessel_names: &vessel_names,
        keep_years: given.settings.keep_years.0,
        skips_bad_rows: findings.skips_bad_rows(),
    };
    let collection = specimens::read(&survey_table, &references, findings);
    Some(Project { collection, stock, rules, settings: given.settings, suppliers_given })
}

/// Puts the suppliers in order, and the offers' references with them.
fn with_suppliers(stock: Stock, suppliers: SupplierNames) -> Stock {
    let (suppliers, moved) = suppliers.sorted();
    let mut offers = stock.offers;
    for offer in &mut offers {
        offer.supplier = offer.supplier.map(|id| moved[id.0 as usize]);
    }
    Stock { suppliers, offers, ..stock }
}

/// True if each file has the header of the other.
fn swapped(survey: &Source, list: &Source) -> bool {
    let all = |columns: &[columns::Column]| columns.iter().filter(|column| column.required).count();
    let found: [usize; 4] = [
        required_columns_found::<SpecimenColumn>(survey),
        required_columns_found::<VesselColumn>(survey),
        required_columns_found::<VesselColumn>(list),
        required_columns_found::<SpecimenColumn>(list),
    ];
    let whole = BTreeSet::from([all(SpecimenColumn::ALL), all(VesselColumn::ALL)]);
    found[0] < found[1] && found[2] < found[3] && whole.iter().any(|all| found[1] >= all - 1)
}
