//! Keeps the entries in the bench record of a plan's folder in the project folder before the plan's folder is replaced.
//!
//! A line counts as filled in unless it is exactly as printed (see [`crate::report::xlsx::bench_record`]). So does any other
//! content of the file, a file that cannot be read, and a file in which only formats were changed (coloured rows): a program that
//! saves a workbook never writes the parts beside its cells exactly as they were printed. Lines that are already in a form in
//! `DIR/done/` need no copy; if one line is missing there, the whole file is copied to it, byte by byte, under a new name.
//! Without a project folder there is no place for a copy, so the run is refused.

use std::collections::{BTreeMap, HashMap, HashSet};
use std::fs;
use std::path::{Path, PathBuf};

use super::{Failure, tell};
use crate::collection::Specimen;
use crate::intake;
use crate::intake::grid::{Grid, grids, is_workbook, parts_beside_cells};
use crate::output;
use crate::project::Project;
use crate::report::xlsx::bench_record::{PLAN, PRINTED, mark, printed_anew};

/// Folder for filled-in forms in a project folder; also part of the names of such forms.
const FORMS: &str = "done";

/// Workbook of a plan. Earlier plans had the bench record in it, as a sheet.
const PLAN_BOOK: &str = "plan.xlsx";

/// Keeps the entries in the bench record of the folder `out`.
pub struct Keeping<'a> {
    out: &'a Path,
    forms: Option<PathBuf>,
}

/// Headers of the columns that make up a key, in lower case.
const KEY: [&str; 4] = ["institutioncode", "collectioncode", "catalognumber", "part"];

/// A line of a form: text by header in lower case, without blank cells.
type FormLine = BTreeMap<String, String>;

/// A file of a plan's folder that somebody has written in.
struct Written {
    path: PathBuf,
    name: String,
    bytes: Vec<u8>,
    /// The filled-in lines. `None` if the file cannot be read, so that all of it counts; empty if only formats were changed.
    lines: Option<Vec<FormLine>>,
}

impl<'a> Keeping<'a> {
    /// For a run that reads `inputs` and writes the folder `out`.
    ///
    /// # Errors
    /// If `out` is the folder of filled-in forms or is inside it.
    pub fn of(out: &'a Path, inputs: &[PathBuf]) -> Result<Self, Failure> {
        let forms = folder_of_forms(inputs);
        let real = |path: &Path| fs::canonicalize(path).or_else(|_| std::path::absolute(path));
        if let Some(forms) = &forms
            && let (Ok(forms_at), Ok(out_at)) = (real(forms), real(out))
            && out_at.starts_with(forms_at)
        {
            let cure = "name another folder; this one holds what was written at the bench";
            return Err(Failure::cured(format!("{}: it is, or is inside, {}", out.display(), forms.display()), cure));
        }
        Ok(Keeping { out, forms })
    }

    /// Refuses early what `keep` could not keep.
    ///
    /// # Errors
    /// If the record is filled in and there is no project folder, or if a form cannot be read as a file.
    pub fn check(&self) -> Result<(), Failure> {
        let Some(written) = self.written()?.into_iter().find(|_| self.forms.is_none()) else { return Ok(()) };
        let cure = "plan the project folder instead of single files (its folder \"done\" then takes a copy), name another \
                    folder for the plan, or move this file away";
        let (file, what) = (&written.path, written.what());
        Err(Failure::cured(format!("{}: {what}, and without a project folder it would be lost", file.display()), cure))
    }

    /// Refuses to replace the plan of another project whose bench record is filled in: the record belongs with that project.
    ///
    /// # Errors
    /// If fewer than half of that plan's lots are in this survey.
    pub fn check_project(&self, project: &Project) -> Result<(), Failure> {
        if self.forms.is_none() || self.written()?.is_empty() || !plans_other_lots(self.out, project) {
            return Ok(());
        }
        let cure = "name another folder with --out, or plan the project that this folder belongs to";
        let what = "it holds the plan of another project, and its bench record is filled in";
        Err(Failure::cured(format!("{}: {what}", self.out.display()), cure))
    }

    /// Copies filled-in forms into the project folder, unless their lines are there already.
    ///
    /// # Errors
    /// If a copy cannot be made: then the plan's folder must not be replaced.
    pub fn keep(&self) -> Result<(), Failure> {
        let written = self.written()?;
        let Some(forms) = self.forms.as_ref().filter(|_| !written.is_empty()) else { return self.check() };
        let kept = KeptForms::of(forms);
        for written in written.iter().filter(|written| !kept.has(written)) {
            let copy = output::write_under_new_name(forms, &written.name, &written.bytes).map_err(Failure::from)?;
            tell(format!("{}: {}; kept as {}.\n", written.path.display(), written.what(), copy.display()));
        }
        Ok(())
    }

    /// The files of the plan's folder that are filled in.
    fn written(&self) -> Result<Vec<Written>, Failure> {
        // A file is a bench record by its name, and a sheet with the headers of one is a record whatever the file's name.
        let counts = |name: &str, grid: &Grid| match name {
            PLAN_BOOK => grid.name == FORMS,
            _ => name.to_lowercase().contains(FORMS) || is_sheet_of_record(grid),
        };
        let found = forms_of_a_plan(self.out).into_iter().map(|path| Written::of(path, counts));
        found.filter_map(Result::transpose).collect()
    }
}

/// Refuses to write another file over a bench record that is filled in.
///
/// # Errors
/// If `file` is such a record.
pub fn refuse_to_replace(file: &Path) -> Result<(), Failure> {
    if !is_form(file) || !fs::metadata(file).is_ok_and(|found| found.is_file()) {
        return Ok(());
    }
    match Written::of(file.to_owned(), |_, grid| is_sheet_of_record(grid))? {
        None => Ok(()),
        Some(written) => {
            let what = written.what();
            Err(Failure::cured(format!("{}: {what}, and it would be replaced", file.display()), "name another file"))
        }
    }
}

impl Written {
    /// Reads the filled-in lines of a file, on the sheets for which `counts` is true; `None` if nothing is filled in.
    fn of(path: PathBuf, counts: impl Fn(&str, &Grid) -> bool) -> Result<Option<Written>, Failure> {
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let unread = |what: &str| {
            let cure = "make it readable, or move it";
            Failure::cured(format!("{}: {what}, so it is not known whether it is filled in", path.display()), cure)
        };
        if !fs::metadata(&path).map_err(|error| unread(&error.to_string()))?.is_file() {
            return Err(unread("this is not a file"));
        }
        let bytes = fs::read(&path).map_err(|error| unread(&error.to_string()))?;
        let lines = match grids(&name, &bytes) {
            Ok(grids) => {
                let counting = grids.iter().filter(|grid| counts(&name, grid));
                Some(counting.flat_map(entries).collect::<Vec<_>>())
            }
            // A file that cannot be read counts as a record only by its name.
            Err(_) if !name.to_lowercase().contains(FORMS) => return Ok(None),
            Err(_) => None,
        };
        let filled = lines.as_ref().is_none_or(|lines| !lines.is_empty()) || is_formatted(&name, &bytes);
        Ok(filled.then_some(Written { path, name, bytes, lines }))
    }

    fn what(&self) -> String {
        match self.lines.as_ref().map(Vec::len) {
            Some(0) => "its colours or formats were changed, or another program saved it".to_owned(),
            Some(1) => "1 line is filled in".to_owned(),
            Some(n) => format!("{n} lines are filled in"),
            None => "it cannot be read and may be filled in".to_owned(),
        }
    }
}

/// Whether fewer than half of the lots of the plan in a folder are in this project's survey, with the same key and name.
fn plans_other_lots(out: &Path, project: &Project) -> bool {
    let inputs = out.join("inputs");
    let read = |folder: &Path, prefix: &str| -> Vec<(String, Vec<u8>)> {
        let entries = fs::read_dir(folder).into_iter().flatten().flatten().map(|entry| entry.path());
        let files = entries.filter(|path| path.is_file()).filter_map(|path| {
            let name = format!("{prefix}{}", path.file_name()?.to_string_lossy());
            Some((name, fs::read(&path).ok()?))
        });
        files.collect()
    };
    let saved: BTreeMap<String, Vec<u8>> =
        read(&inputs, "").into_iter().chain(read(&inputs.join("rules"), "rules/")).collect();
    let Some(then) = intake::read_texts(&saved, &[], true).project else { return false };
    let lot = |specimen: &Specimen| (specimen.key.clone(), specimen.name.clone());
    let now: HashSet<_> = project.collection.specimens.iter().map(lot).collect();
    let lots = &then.collection.specimens;
    2 * lots.iter().filter(|specimen| now.contains(&lot(specimen))).count() < lots.len()
}

/// Content of the forms in the project folder.
struct KeptForms {
    files: Vec<Vec<u8>>,
    by_key: HashMap<String, Vec<FormLine>>,
}

impl KeptForms {
    fn of(folder: &Path) -> KeptForms {
        let mut kept = KeptForms { files: Vec::new(), by_key: HashMap::new() };
        for path in files_in(folder) {
            let is_file = fs::metadata(&path).is_ok_and(|found| found.is_file());
            let Some(bytes) = Some(&path).filter(|_| is_file).and_then(|path| fs::read(path).ok()) else { continue };
            // A form that cannot be read proves nothing about its lines.
            let grids = grids(&path.to_string_lossy(), &bytes).unwrap_or_default();
            for line in grids.iter().flat_map(lines) {
                kept.by_key.entry(key(&line)).or_default().push(line);
            }
            kept.files.push(bytes);
        }
        kept
    }

    fn has(&self, written: &Written) -> bool {
        let has = |line: &FormLine| {
            let same = self.by_key.get(&key(line)).into_iter().flatten();
            same.into_iter().any(|kept| line.iter().all(|(head, text)| head == PLAN || kept.get(head) == Some(text)))
        };
        let lines = written.lines.as_ref().filter(|lines| !lines.is_empty());
        self.files.contains(&written.bytes) || lines.is_some_and(|lines| lines.iter().all(has))
    }
}

/// The forms of a project and their folder, which no output may replace.
pub fn forms(inputs: &[PathBuf]) -> Vec<PathBuf> {
    folder_of_forms(inputs).map_or(Vec::new(), |folder| files_in(&folder).into_iter().chain([folder]).collect())
}

fn folder_of_forms(inputs: &[PathBuf]) -> Option<PathBuf> {
    if let [folder] = inputs { Some(folder.join(FORMS)) } else { None }
}

/// The forms directly in a folder, sorted by name; empty if there is no such folder.
fn files_in(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten().map(|entry| entry.path());
    let mut forms: Vec<PathBuf> = entries.filter(|path| is_form(path)).collect();
    forms.sort();
    forms
}

fn is_form(path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    // Such names are temporary files of a spreadsheet program that has the form open.
    let own = name.starts_with('.') || name.starts_with('~');
    !own && [".xlsx", ".ods", ".csv"].iter().any(|ending| name.to_lowercase().ends_with(ending))
}

/// The forms in a plan's folder and in folders that people made in it, without the plan's own tables and inputs.
fn forms_of_a_plan(out: &Path) -> Vec<PathBuf> {
    let folders = fs::read_dir(out)
        .into_iter()
        .flatten()
        .flatten()
        .filter(|entry| entry.file_type().is_ok_and(|kind| kind.is_dir()) && entry.file_name() != "inputs");
    let own = |path: &PathBuf| {
        path.parent() == Some(out) && OWN_TABLES.iter().any(|own| path.file_name().is_some_and(|name| name == *own))
    };
    let mut forms: Vec<PathBuf> = files_in(out).into_iter().filter(|path| !own(path)).collect();
    forms.extend(folders.flat_map(|folder| forms_of_a_plan(&folder.path())));
    forms.sort();
    forms
}

/// Tables of a plan. Changes to them are found by their digests.
const OWN_TABLES: [&str; 7] =
    ["placements.csv", "purchases.csv", "tanks.csv", "panes.csv", "sheets.csv", "make-up.csv", "labels.csv"];

fn key(line: &FormLine) -> String {
    KEY.map(|head| line.get(head).map_or("", String::as_str)).join("\u{1f}")
}

/// Lines of a sheet: by header if it is a bench record, else by column letter.
fn lines(grid: &Grid) -> Vec<FormLine> {
    let heads = grid.rows.first().filter(|heads| is_record(heads));
    let head = |column: usize| match heads.and_then(|heads| heads.get(column)) {
        Some(head) if !head.is_empty() => head.to_lowercase(),
        _ => format!("column {}", crate::diagnostics::letters(column + 1)),
    };
    let line = |row: &Vec<String>| -> FormLine {
        let filled = row.iter().enumerate().filter(|(_, text)| !text.is_empty());
        filled.map(|(column, text)| (head(column), text.clone())).collect()
    };
    grid.rows.iter().skip(usize::from(heads.is_some())).map(line).filter(|line| !line.is_empty()).collect()
}

fn is_sheet_of_record(grid: &Grid) -> bool {
    grid.rows.first().is_some_and(|heads| is_record(heads))
}

fn is_record(heads: &[String]) -> bool {
    ["done", "vessel_used"].iter().all(|wanted| heads.iter().any(|head| head.eq_ignore_ascii_case(wanted)))
}

/// Whether the formats of a bench record differ from the printed ones. A text file has no formats, and the plan's own workbook
/// has a digest.
fn is_formatted(name: &str, bytes: &[u8]) -> bool {
    if !is_workbook(name) || name == PLAN_BOOK {
        return false;
    }
    let grids = grids(name, bytes).unwrap_or_default();
    let sheets: Vec<(&str, &[Vec<String>])> =
        grids.iter().map(|grid| (grid.name.as_str(), grid.rows.as_slice())).collect();
    grids.iter().any(is_sheet_of_record)
        && printed_anew(&sheets).is_none_or(|printed| parts_beside_cells(&printed) != parts_beside_cells(bytes))
}

/// Lines of a sheet that are not exactly as printed.
fn entries(grid: &Grid) -> Vec<FormLine> {
    let marked = grid.rows.first().is_some_and(|heads| heads.iter().any(|head| head.eq_ignore_ascii_case(PLAN)));
    let as_printed = |line: &FormLine| {
        let printed = |head: &String| {
            KEY.contains(&head.as_str()) || PRINTED.iter().any(|known| known.eq_ignore_ascii_case(head))
        };
        line.keys().all(printed) && (!marked || is_marked(line))
    };
    lines(grid).into_iter().filter(|line| !as_printed(line)).collect()
}

/// Whether the check in a line's `plan` column is right.
fn is_marked(line: &FormLine) -> bool {
    let Some((stated, plan)) = line.get(PLAN).and_then(|stated| Some((stated, stated.split_once('-')?.0))) else {
        return false;
    };
    let printed = line.iter().filter(|(head, _)| *head != PLAN).map(|(head, text)| (head.as_str(), text.as_str()));
    *stated == mark(plan, printed)
}
