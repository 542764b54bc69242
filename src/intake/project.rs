//! Where the files of a project lie, and their bytes.

use std::io;
use std::path::{Path, PathBuf};

use super::findings::Findings;
use crate::diagnostics::{Diagnostic, Place, nearest};
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
}

/// A file that was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InputFile {
    /// Its name in a project folder: `specimens.csv`, `rules/fluids.csv`.
    pub name: String,
    /// As the user named it.
    pub path: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

impl Sources {
    /// A project folder.
    ///
    /// # Errors
    /// If it is no folder, or has no survey or no stock list.
    pub fn project(dir: &Path) -> Result<Sources, Diagnostic> {
        let cannot_read =
            |message: String| Diagnostic::error("cannot-read", Place::file(dir.display().to_string()), message);
        if !dir.is_dir() {
            let what = if dir.exists() { "this is a file, not a project folder" } else { "there is no such folder" };
            return Err(cannot_read(what.to_owned()).help("name a project folder, or the survey and the stock list"));
        }
        let missing: Vec<&str> =
            ["specimens.csv", "vessels.csv"].into_iter().filter(|name| !dir.join(name).is_file()).collect();
        if !missing.is_empty() {
            let message = format!("there is no {} in this folder", missing.join(" and no "));
            return Err(cannot_read(message).help("a project folder holds specimens.csv and vessels.csv"));
        }
        let present = |name: &str| Some(dir.join(name)).filter(|path| path.exists());
        Ok(Sources {
            specimens: dir.join("specimens.csv"),
            vessels: dir.join("vessels.csv"),
            suppliers: present("suppliers.csv"),
            fluid_stock: present("fluid-stock.csv"),
            settings: present("settings.toml"),
            rules: present("rules"),
        })
    }

    /// A survey and a stock list, nothing else.
    pub fn named(specimens: impl Into<PathBuf>, vessels: impl Into<PathBuf>) -> Sources {
        Sources {
            specimens: specimens.into(),
            vessels: vessels.into(),
            suppliers: None,
            fluid_stock: None,
            settings: None,
            rules: None,
        }
    }
}

/// Reads the bytes of all files there are.
pub(super) fn load(sources: &Sources, findings: &mut Findings) -> Vec<InputFile> {
    let single = [
        ("specimens.csv", Some(&sources.specimens)),
        ("vessels.csv", Some(&sources.vessels)),
        ("suppliers.csv", sources.suppliers.as_ref()),
        ("fluid-stock.csv", sources.fluid_stock.as_ref()),
        ("settings.toml", sources.settings.as_ref()),
    ];
    let mut files = Vec::new();
    for (name, path) in single {
        files.extend(path.and_then(|path| load_one(name.to_owned(), path, findings)));
    }
    if let Some(dir) = &sources.rules {
        files.extend(load_rules(dir, findings));
    }
    files
}

/// Reads the bytes of a settings file and of a folder of rules, where they are named.
pub(super) fn load_rules_and_settings(
    settings: Option<&Path>,
    rules: Option<&Path>,
    findings: &mut Findings,
) -> Vec<InputFile> {
    let mut files: Vec<InputFile> =
        settings.and_then(|path| load_one("settings.toml".to_owned(), path, findings)).into_iter().collect();
    if let Some(dir) = rules {
        files.extend(load_rules(dir, findings));
    }
    files
}

fn load_one(name: String, path: &Path, findings: &mut Findings) -> Option<InputFile> {
    match std::fs::read(path) {
        Ok(bytes) => Some(InputFile { name, path: path.display().to_string(), bytes }),
        Err(error) => {
            findings.report(cannot_read(path, &error));
            None
        }
    }
}

fn load_rules(dir: &Path, findings: &mut Findings) -> Vec<InputFile> {
    let entries = match std::fs::read_dir(dir) {
        Ok(entries) => entries,
        Err(error) => {
            findings.report(cannot_read(dir, &error));
            return Vec::new();
        }
    };
    let mut names: Vec<String> = entries
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(|name| name.ends_with(".csv"))
        .collect();
    names.sort();
    let known = || TABLES.iter().map(|(name, _)| *name);
    let mut files = Vec::new();
    for name in names {
        let path = dir.join(&name);
        if known().any(|known| known == name) {
            files.extend(load_one(format!("rules/{name}"), &path, findings));
            continue;
        }
        let place = Place::file(path.display().to_string());
        let warning = Diagnostic::warning("unknown-table", place, "no table of rules has this name; it is not read");
        findings.report(match nearest(&name, known()) {
            Some(near) => warning.help(format!("if {near} is meant, name it so")),
            None => warning.help(format!("the tables are {}", known().collect::<Vec<_>>().join(", "))),
        });
    }
    files
}

fn cannot_read(path: &Path, error: &io::Error) -> Diagnostic {
    let message = match error.kind() {
        io::ErrorKind::NotFound => "there is no such file".to_owned(),
        io::ErrorKind::PermissionDenied => "you may not read this file".to_owned(),
        _ if path.is_dir() => "this is a folder, not a file".to_owned(),
        _ => format!("this file cannot be read: {error}"),
    };
    Diagnostic::error("cannot-read", Place::file(path.display().to_string()), message)
        .help("check the name and its rights")
}
