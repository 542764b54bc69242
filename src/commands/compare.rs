//! `rehouse compare`: what differs between two saved plans.

use std::path::{Path, PathBuf};

use super::saved_folder::{Audited, PapersChecked, SavedFolder, listed};
use super::screen::Working;
use super::{Ending, Failure, bench_record, print, print_text, tell};
use crate::cli::{AnswerFormat, CompareArguments};
use crate::comparison::{Comparison, ProjectPlan, TwoCurrencies, compare};
use crate::output;
use crate::plan::Plan;
use crate::project::Project;
use crate::report::comparison::Compared;

/// Audits both plans, compares them and shows what differs.
pub fn run(arguments: &CompareArguments) -> Result<Ending, Failure> {
    if let Some(file) = &arguments.out {
        check_page(file, [&arguments.old, &arguments.new])?;
    }
    let [old, new] = [&arguments.old, &arguments.new].map(|folder| SoundPlan::read(folder));
    // Findings about both are told in one run.
    let (old, new) = (old?, new?);
    let (Some(old), Some(new)) = (old, new) else { return Ok(Ending::Findings) };
    let comparison = compared(old.sides(), new.sides())?;
    let names = [&arguments.old, &arguments.new].map(|folder| folder.display().to_string());
    let shown = Compared {
        comparison: &comparison,
        names: [&names[0], &names[1]],
        versions: [old.version.as_deref(), new.version.as_deref()],
    };
    if let Some(file) = &arguments.out {
        output::write_file(file, &shown.page(), &[]).map_err(Failure::from)?;
    }
    match arguments.format {
        AnswerFormat::Table => print_text(&shown.text())?,
        AnswerFormat::Csv => print(&String::from_utf8_lossy(&shown.csv()))?,
        AnswerFormat::Json => print(&shown.json())?,
    }
    Ok(Ending::Done)
}

/// A plan that passed its audit, with the project saved with it.
pub struct SoundPlan {
    project: Project,
    plan: Plan,
    /// The version of the program that wrote it, if it was not this one.
    pub version: Option<String>,
}

impl SoundPlan {
    /// Reads and audits a folder. Of one that fails, the findings are told and `None` is returned.
    pub fn read(folder: &Path) -> Result<Option<Self>, Failure> {
        let working = Working::on(&format!("reading {}", folder.display()));
        let saved = SavedFolder::read(folder)?;
        let mut findings = saved.changed_files();
        working.now(format!("recalculating every figure of {}", folder.display()));
        let Audited { findings: of_plan, papers, plan } = saved.audited()?;
        drop(working);
        findings.extend(of_plan);
        match plan.filter(|_| findings.is_empty()) {
            Some((project, plan)) => {
                let version = match papers {
                    PapersChecked::Compared => None,
                    PapersChecked::Of(version) => Some(version),
                };
                Ok(Some(SoundPlan { project, plan, version }))
            }
            None => {
                let what = format!("this plan fails its audit and is not compared\n{}", listed(folder, &findings));
                let cure = "plan again, or restore the files as they were written";
                tell(Failure::cured(what.trim_end(), cure).message());
                Ok(None)
            }
        }
    }

    /// The project and the plan.
    pub fn sides(&self) -> ProjectPlan<'_> {
        ProjectPlan { project: &self.project, plan: &self.plan }
    }
}

/// Compares two plans; of two currencies, the error.
pub fn compared<'a>(old: ProjectPlan<'a>, new: ProjectPlan<'a>) -> Result<Comparison<'a>, Failure> {
    compare(old, new).map_err(Failure::from)
}

impl From<TwoCurrencies> for Failure {
    fn from(TwoCurrencies { old, new }: TwoCurrencies) -> Self {
        let what = format!("the old plan is in {old} and the new one in {new}: their money cannot be compared");
        Failure::cured(what, "plan one of them again with the currency and the prices of the other")
    }
}

/// Refuses a place for the page that is not for it.
fn check_page(file: &Path, folders: [&PathBuf; 2]) -> Result<(), Failure> {
    if !file.extension().is_some_and(|end| end.eq_ignore_ascii_case("html") || end.eq_ignore_ascii_case("htm")) {
        let what = format!("--out {} writes a page to print, and its name does not end in .html", file.display());
        return Err(Failure::cured(what, "name it so; --format csv and --format json print the lines for a program"));
    }
    let real = |path: &Path| std::fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let parent = file.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if let Some(folder) = folders.into_iter().find(|folder| real(parent).starts_with(real(folder))) {
        let what = format!("--out {} is inside {}", file.display(), folder.display());
        return Err(Failure::cured(what, "name a file outside it: that folder holds only the plan's own files"));
    }
    bench_record::refuse_to_replace(file)
}
