//! Reads the files of a project and the compiled-in tables into records. One run reports every fault, each with its place.
//!
//! [`read`] takes files, [`read_texts`] the same from memory. Inside: `source` (bytes → text and places), `table` (text →
//! rows of known columns), `cells` (cell → value), one reader per file, `findings` (diagnostics, and whether one stops the
//! plan). Nothing is guessed: a cell that can be read in two ways is an error.

pub mod cells;
pub mod columns;
mod compatibility;
mod findings;
mod fluids;
pub(crate) mod grid;
mod hazards;
mod misnamed;
mod names;
mod near;
mod offers;
mod opening;
mod project;
mod references;
mod rule_tables;
mod rules;
pub mod schema;
mod settings;
mod source;
mod specimens;
mod suppliers;
mod table;
mod transfers;
pub mod typed;
mod unknown_fluids;
mod vessels;
mod workbook;

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use self::columns::{FILES, FluidStockColumn, InputColumns, SpecimenColumn, SupplierColumn, VesselColumn};
use self::findings::{Findings, RowLeftOut};
use self::names::VesselNames;
use self::rule_tables::RuleTable;
use self::settings::SettingsRead;
use self::source::Source;
use self::suppliers::SupplierNames;
use self::table::InputTable;
use crate::collection::Collection;
use crate::diagnostics::{Code, Diagnostic, Place};
use crate::project::Project;
use crate::rules::{Rules, TABLES};
use crate::stock::{Offer, Stock};

pub use self::project::{InputFile, Sources, is_read, one_in, stands_for};
pub use self::settings::FLAGS;

/// Result of reading a project.
#[derive(Debug, Default)]
pub struct Reading {
    /// The project; `None` if an error stops the plan.
    pub project: Option<Project>,
    /// All diagnostics, sorted by file, line and column. Errors in rows that were left out are included; they do not stop
    /// the plan.
    pub diagnostics: Vec<Diagnostic>,
    /// The files that were read, for copying and digests.
    pub files: Vec<InputFile>,
    /// Name of the sheet that was read from each workbook, by the workbook's path.
    pub sheets: BTreeMap<String, String>,
    /// Rows that were left out, as `specimens.csv, row 14: message`.
    pub skipped: Vec<String>,
}

/// Reads the files of a project. `overrides` are settings by key (`budget`, `clearance.wall_pct`) that win over the
/// settings file. With `skip_bad_rows`, rows with errors are left out instead of stopping the plan.
pub fn read(sources: &Sources, overrides: &[(String, toml::Value)], skip_bad_rows: bool) -> Reading {
    let mut findings = Findings::new(skip_bad_rows);
    let files = project::load(sources, &mut findings);
    read_files(files, overrides, findings)
}

/// Reads settings and rules alone, for commands that need no survey: the project has no specimens and no vessels.
pub fn read_rules(settings: Option<&Path>, rules: Option<&Path>, overrides: &[(String, toml::Value)]) -> Reading {
    let mut findings = Findings::new(false);
    let files = project::load_rules_and_settings(settings, rules, &mut findings);
    read_files(files, overrides, findings)
}

/// Reads a supplier's list, with the columns of a stock list, under the settings, rules and suppliers of a project whose files
/// were read: the project has no specimens, and the vessels and offers of the list. Only what is wrong with the list is reported.
pub fn read_catalogue(
    catalogue: &Path,
    files: &[InputFile],
    overrides: &[(String, toml::Value)],
    skip_bad_rows: bool,
) -> Reading {
    let mut findings = Findings::new(skip_bad_rows);
    let list = project::load_table(VesselColumn::FILE, catalogue, &mut findings);
    let others = [SpecimenColumn::FILE, VesselColumn::FILE, FluidStockColumn::FILE];
    let kept = |file: &&InputFile| !others.iter().any(|name| project::stands_for(&file.name, name));
    let files = files.iter().filter(kept).cloned().chain(list).collect();
    let mut reading = read_files(files, overrides, findings);
    let path = catalogue.display().to_string();
    reading.diagnostics.retain(|diagnostic| diagnostic.place.file == path);
    reading
}

/// As [`read`], from memory: `texts` holds the bytes of each file by its name in a project folder.
pub fn read_texts(
    texts: &BTreeMap<String, Vec<u8>>,
    overrides: &[(String, toml::Value)],
    skip_bad_rows: bool,
) -> Reading {
    let mut findings = Findings::new(skip_bad_rows);
    let there = |name: &str| texts.keys().any(|given| project::stands_for(given, name));
    for name in [SpecimenColumn::FILE, VesselColumn::FILE].into_iter().filter(|name| !there(name)) {
        let error = Diagnostic::error(Code::CannotRead, Place::file(name), "there is no such file");
        findings.report(error.cure("a project needs a survey and a stock list"));
    }
    let file =
        |(name, bytes): (&String, &Vec<u8>)| InputFile { name: name.clone(), path: name.clone(), bytes: bytes.clone() };
    read_files(texts.iter().map(file).collect(), overrides, findings)
}

/// A table in a workbook as CSV text; other files as they are.
///
/// # Errors
/// All diagnostics of the file, one a line, if it cannot be read.
pub fn as_csv(path: &Path, name: &str) -> Result<String, String> {
    let mut findings = Findings::new(false);
    let file = project::load_table(name, path, &mut findings);
    let wanted = FILES.iter().find(|known| known.file.ends_with(name));
    let source = file.zip(wanted).and_then(|(file, wanted)| Source::table(&file, wanted, &mut findings));
    match source {
        Some(source) if !findings.stopped => Ok(source.as_csv()),
        _ => Err(findings.diagnostics.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")),
    }
}

/// The compiled-in rules.
pub fn default_rules() -> Rules {
    let mut findings = Findings::new(false);
    let tables = std::array::from_fn(|index| rules::compiled_in(index, &mut findings));
    rules::read(&tables, &mut findings)
}

/// The suppliers of a table; without one, or where it cannot be read, any name is a supplier.
fn supplier_names(source: Option<&Source>, findings: &mut Findings) -> SupplierNames {
    match source.and_then(|source| InputTable::new(source, findings)) {
        Some(table) => SupplierNames::read(&table, findings),
        None => SupplierNames::any(),
    }
}

fn read_files(files: Vec<InputFile>, overrides: &[(String, toml::Value)], mut findings: Findings) -> Reading {
    let settings = files.iter().find(|file| file.name == "settings.toml");
    let settings =
        settings.filter(|file| opening::fits(&file.path, &file.bytes, opening::MOST_OF_SETTINGS, &mut findings));
    let settings = settings.and_then(|file| Source::new(&file.path, &file.bytes, &mut findings));
    let mut sheets = BTreeMap::new();
    let mut source = |name: &str| {
        let file = project::one_of(&files, name, &mut findings)?;
        let wanted = FILES.iter().find(|known| known.file == name)?;
        let source = Source::table(file, wanted, &mut findings);
        if let Some(sheet) = source.as_ref().and_then(Source::sheet) {
            sheets.insert(file.path.clone(), sheet.to_owned());
        }
        Some(source)
    };
    let specimens = source(SpecimenColumn::FILE).flatten();
    let vessels = source(VesselColumn::FILE).flatten();
    let suppliers = source(SupplierColumn::FILE);
    let fluid_stock = source(FluidStockColumn::FILE).flatten();
    // A byte-for-byte copy of a compiled-in table (exported, or kept with a plan) is not the user's own table: its prices
    // still count as default prices.
    let copied = |name: &str, text: &str| files.iter().any(|file| file.name == name && file.bytes == text.as_bytes());
    let replaced: [Option<Option<Source>>; TABLES.len()] = std::array::from_fn(|i| {
        let (name, text) = (format!("rules/{}", TABLES[i].0), TABLES[i].1);
        if copied(&name, text) { None } else { source(&name) }
    });

    let mut index = 0;
    let tables = replaced.map(|users| {
        index += 1;
        match users {
            Some(source) => RuleTable { source, is_users: true },
            None => rules::compiled_in(index - 1, &mut findings),
        }
    });
    let mut rules = rules::read(&tables, &mut findings);
    let mut settings = settings::read(settings.as_ref(), overrides, &mut findings);
    settings.check_against_rules(&mut rules, &mut findings);

    let (specimens, vessels) = without_files_in_wrong_order(specimens, vessels, &mut findings);
    let suppliers_given = suppliers.is_some();
    let suppliers = supplier_names(suppliers.flatten().as_ref(), &mut findings);
    let (mut stock, vessel_names) = read_stock(vessels.as_ref(), &rules, suppliers, &mut findings);
    if let Some(table) = fluid_stock.as_ref().and_then(|source| InputTable::new(source, &mut findings)) {
        stock.fluids = suppliers::owned_fluids(&table, &rules, &mut findings);
    }
    let collection = read_survey(specimens.as_ref(), &rules, &stock, &vessel_names, &settings, &mut findings);

    let Findings { mut diagnostics, skipped, stopped, .. } = findings;
    let skipped = skipped.into_iter().map(|row| in_project_folder(row, &files)).collect();
    diagnostics.sort();
    diagnostics.dedup();
    let project = Project { collection, stock, rules, settings: settings.settings, suppliers_given };
    Reading { project: (!stopped).then_some(project), diagnostics, files, skipped, sheets }
}

/// A left-out row as text, with the file's name in a project folder in place of its path: a plan holds no path of the
/// machine, and its own copies of the files have these names.
fn in_project_folder(RowLeftOut { mut place, message }: RowLeftOut, files: &[InputFile]) -> String {
    if let Some(file) = files.iter().find(|file| file.path == place.file) {
        place.file.clone_from(&file.name);
    }
    format!("{place}: {message}")
}

/// Reports a survey that was given as the stock list, or the reverse, and drops it so that its rows give no further errors.
fn without_files_in_wrong_order(
    specimens: Option<Source>,
    vessels: Option<Source>,
    findings: &mut Findings,
) -> (Option<Source>, Option<Source>) {
    let is_survey = |source: &Source| {
        let found = table::required_columns_found::<SpecimenColumn>(source);
        found >= 3 && found > table::required_columns_found::<VesselColumn>(source)
    };
    let is_stock_list = |source: &Source| {
        let found = table::required_columns_found::<VesselColumn>(source);
        found >= 3 && found > table::required_columns_found::<SpecimenColumn>(source)
    };
    let first_wrong = specimens.as_ref().filter(|source| is_stock_list(source));
    let second_wrong = vessels.as_ref().filter(|source| is_survey(source));
    let error = |source: &Source, message: &str| Diagnostic::error(Code::WrongOrder, source.place(), message);
    match (first_wrong, second_wrong) {
        (None, None) => return (specimens, vessels),
        (Some(first), Some(second)) => {
            let message = format!("this is a stock list and {} is a survey: they are in the wrong order", second.name);
            findings.report(
                error(first, &message).cure(format!("give them in this order: {} {}", second.name, first.name)),
            );
            return (None, None);
        }
        (Some(first), None) => {
            let error = error(first, "this is a stock list, but it was given as the survey");
            findings.report(error.cure("give the survey first, then the stock list"));
        }
        (None, Some(second)) => {
            let error = error(second, "this is a survey, but it was given as the stock list");
            findings.report(error.cure("give the survey first, then the stock list"));
        }
    }
    let (first_is_wrong, second_is_wrong) = (first_wrong.is_some(), second_wrong.is_some());
    (specimens.filter(|_| !first_is_wrong), vessels.filter(|_| !second_is_wrong))
}

fn read_stock(
    source: Option<&Source>,
    rules: &Rules,
    mut suppliers: SupplierNames,
    findings: &mut Findings,
) -> (Stock, VesselNames) {
    let table: Option<InputTable<VesselColumn>> = source.and_then(|source| InputTable::new(source, findings));
    let Some(table) = table else {
        let file = VesselColumn::FILE.to_owned();
        return (Stock { suppliers: suppliers.sorted().0, ..Stock::default() }, VesselNames::new(None, file));
    };
    let list = vessels::read(&table, rules, &mut suppliers, findings);
    let (suppliers, moved) = suppliers.sorted();
    let renumbered = |offer: Offer| Offer { supplier: offer.supplier.map(|id| moved[id.0 as usize]), ..offer };
    let offers = list.offers.into_iter().map(renumbered).collect();
    let named = list.names.into_iter().map(|(name, line)| (name, table.line_named(line))).collect();
    let names = VesselNames::new(Some(named), table.file().to_owned());
    (Stock { vessels: list.vessels, offers, suppliers, ..Stock::default() }, names)
}

fn read_survey(
    source: Option<&Source>,
    rules: &Rules,
    stock: &Stock,
    vessel_names: &VesselNames,
    settings: &SettingsRead,
    findings: &mut Findings,
) -> Collection {
    let Some(mut table) = source.and_then(|source| InputTable::new(source, findings)) else {
        return Collection::default();
    };
    for (column, default) in &settings.defaults {
        table.set_default(*column, default.clone());
    }
    let references = references::References {
        rules,
        stock,
        vessel_names,
        keep_years: settings.settings.keep_years.0,
        skips_bad_rows: findings.skips_bad_rows(),
        nothing_more: Arc::default(),
    };
    specimens::read(&table, &references, findings)
}
