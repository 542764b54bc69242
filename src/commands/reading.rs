//! Reads the inputs that a command names and prints their diagnostics to stderr.

use std::path::{Path, PathBuf};

use super::screen::Working;
use super::{Failure, tell};
use crate::cli::{Format, OtherInputArguments};
use crate::diagnostics::{Code, Diagnostic, Severity, nearest};
use crate::intake::{self, FLAGS, Reading, Sources};
use crate::report;

/// Reads the inputs and prints every diagnostic as text or JSON. The project is `None` if an error stops the plan.
pub fn read(inputs: &[PathBuf], beside: &OtherInputArguments, format: Format) -> Result<Reading, Failure> {
    let reading = read_silently(inputs, beside)?;
    if format == Format::Json {
        tell(report::diagnostics::lines(&reading.diagnostics));
        return Ok(reading);
    }
    for (path, sheet) in &reading.sheets {
        tell(format!("Read sheet \"{sheet}\" of {path}.\n"));
    }
    tell(report::diagnostics::text(&reading.diagnostics));
    if reading.project.is_none() {
        tell("Nothing was planned.\n");
    }
    Ok(reading)
}

/// Reads the inputs and prints no diagnostics.
pub fn read_silently(inputs: &[PathBuf], beside: &OtherInputArguments) -> Result<Reading, Failure> {
    let sources = sources(inputs, beside)?;
    let working = Working::on("reading");
    let reading = intake::read(&sources, &overrides(beside)?, beside.skip_bad_rows);
    drop(working);
    no_faults_of_usage(&reading.diagnostics)?;
    Ok(reading)
}

/// Reads a supplier's list beside the project that was read, and prints what is wrong with it.
pub fn read_catalogue(
    catalogue: &Path,
    project: &Reading,
    beside: &OtherInputArguments,
    format: Format,
) -> Result<Reading, Failure> {
    let reading = intake::read_catalogue(catalogue, &project.files, &overrides(beside)?, beside.skip_bad_rows);
    no_faults_of_usage(&reading.diagnostics)?;
    match format {
        Format::Json => tell(report::diagnostics::lines(&reading.diagnostics)),
        Format::Table => tell(report::diagnostics::text(&reading.diagnostics)),
    }
    Ok(reading)
}

/// The error of files that cannot be read and of flags that are wrong: they are errors of usage, not of the data, and end the
/// run.
pub fn no_faults_of_usage(diagnostics: &[Diagnostic]) -> Result<(), Failure> {
    let of_usage = |diagnostic: &&Diagnostic| {
        diagnostic.severity == Severity::Error
            && (diagnostic.code == Code::CannotRead || diagnostic.place.file == FLAGS)
    };
    let faults: Vec<Diagnostic> = diagnostics.iter().filter(of_usage).cloned().collect();
    if faults.is_empty() {
        return Ok(());
    }
    Err(Failure::new(format!("this command cannot be run\n{}", report::diagnostics::text(&faults))))
}

/// Paths of a command's inputs: a project folder or two files, and the files named by options.
fn sources(inputs: &[PathBuf], beside: &OtherInputArguments) -> Result<Sources, Failure> {
    let mut sources = match inputs {
        [folder] if folder.is_dir() => Sources::project(folder).map_err(|diagnostic| Failure::from(&diagnostic))?,
        [file] => {
            let (there, named) = (file.try_exists(), "name a project folder, or a survey and a stock list");
            let (what, cure) = match (there, file.is_symlink(), near(file)) {
                (Ok(true), ..) => ("is not a folder", named.to_owned()),
                (Ok(false), true, _) => ("is a broken link", named.to_owned()),
                (Ok(false), false, Some(near)) => ("does not exist", format!("did you mean {near}?")),
                (Ok(false), false, None) => ("does not exist", named.to_owned()),
                (Err(error), ..) => {
                    let cure = "give access to the folders above it, or name another one";
                    return Err(Failure::cured(format!("{} cannot be opened: {error}", file.display()), cure));
                }
            };
            return Err(Failure::cured(format!("{} {what}", file.display()), cure));
        }
        [specimens, vessels, ..] => Sources::named(specimens.clone(), vessels.clone()),
        [] => return Err(Failure::new("no input files named")),
    };
    for (given, source) in [
        (&beside.suppliers, &mut sources.suppliers),
        (&beside.fluid_stock, &mut sources.fluid_stock),
        (&beside.settings, &mut sources.settings),
        (&beside.rules, &mut sources.rules),
    ] {
        if given.is_some() {
            source.clone_from(given);
        }
    }
    Ok(sources)
}

/// The path with the most similar name in the same folder, for a path that does not exist.
fn near(path: &Path) -> Option<String> {
    let typed = path.file_name()?.to_str()?;
    let parent = path.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut names: Vec<String> =
        std::fs::read_dir(parent).ok()?.filter_map(|entry| entry.ok()?.file_name().into_string().ok()).collect();
    names.sort();
    let near = nearest(typed, names.iter().map(String::as_str))?;
    Some(path.with_file_name(near).display().to_string())
}

/// Settings given as flags, which take precedence over the settings file.
fn overrides(beside: &OtherInputArguments) -> Result<Vec<(String, toml::Value)>, Failure> {
    let mut overrides = set(&beside.set)?;
    if let Some(budget) = &beside.budget {
        overrides.push(("budget".to_owned(), toml::Value::String(budget.clone())));
    }
    if beside.accept_unproven {
        overrides.push(("accept_unproven".to_owned(), toml::Value::Boolean(true)));
    }
    Ok(overrides)
}

/// Reads settings given as KEY=VALUE.
pub fn set(pairs: &[String]) -> Result<Vec<(String, toml::Value)>, Failure> {
    let one = |pair: &String| match pair.split_once('=') {
        Some((key, value)) => Ok((key.trim().to_owned(), value_of(value.trim()))),
        None => Err(Failure::new(format!("--set {pair}: write KEY=VALUE, such as --set clearance.wall_pct=6"))),
    };
    pairs.iter().map(one).collect()
}

/// A value as in the settings file; anything that is not a TOML value is text.
fn value_of(text: &str) -> toml::Value {
    let table: Result<toml::Table, _> = format!("value = {text}").parse();
    table.ok().and_then(|mut table| table.remove("value")).unwrap_or_else(|| toml::Value::String(text.to_owned()))
}
