//! Defines the files of a plan's folder and writes them together.

mod anew;

use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use itertools::Itertools;

use crate::inquiry::budget::BudgetCurve;
use crate::inquiry::fluid::FluidCurve;
use crate::inquiry::limits::{LimitCurve, LimitOf};
use crate::inquiry::listed::ListedVessels;
use crate::intake::{self, InputFile};
use crate::output::{self, Digesting, File, MadeFile, Staged};
use crate::plan::Plan;
use crate::project::Project;
use crate::saved::{BENCH_RECORD, Listed};
use crate::system::threads::at_once;
use crate::{report, saved};

pub use anew::{Digests, differing};

/// Papers that a plan's folder gets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "program", derive(clap::ValueEnum))]
pub enum Papers {
    /// All, whatever the size of the survey.
    All,
    /// Those that can be read and printed at the size of the survey.
    Some,
    /// CSV files and plan.json only.
    None,
}

/// Writes every file of the plan's folder to the disk under a temporary name.
///
/// `inputs` are the files that the project was read from; they are copied. `dir` must not hold any of them or of `also_read`.
/// With `replace`, files in `dir` that no plan wrote are lost.
///
/// # Errors
/// If `dir` must not be replaced, a workbook cannot be made or writing fails; nothing is then left behind.
pub fn stage(
    (project, plan): (&Project, &Plan),
    inputs: Vec<InputFile>,
    also_read: &[PathBuf],
    papers: Papers,
    (dir, replace): (&Path, bool),
) -> Result<StagedPlan, output::OutputFailure> {
    let with_record = papers != Papers::None;
    let read: Vec<PathBuf> =
        inputs.iter().map(|file| PathBuf::from(&file.path)).chain(also_read.iter().cloned()).collect();
    let files =
        files(project, plan, inputs, papers).map_err(|error| output::OutputFailure::no_workbook(dir, &error))?;
    let digests = at_once(&files, |file| (file.name.clone(), output::sha256(&file.bytes)));
    let (of_placements, of_plan) = (OnceLock::new(), OnceLock::new());
    let placements = |out: &mut dyn Write| {
        let mut out = Digesting::new(out);
        report::csv::write_placements(project, plan, &mut out)?;
        let _ = of_placements.set(out.sha256());
        Ok(())
    };
    // plan.json lists all other files, so it is written after them.
    let plan_json = |out: &mut dyn Write| {
        let placements = of_placements.get().map(|digest: &String| (PLACEMENTS.to_owned(), digest.clone()));
        let digests = digests.iter().cloned().chain(placements).map(|(name, digest)| (name, Some(digest)));
        let record = with_record.then(|| (BENCH_RECORD.to_owned(), None));
        let listed: Vec<Listed> = digests.chain(record).sorted().collect();
        let mut out = Digesting::new(out);
        saved::write_json(project, plan, &listed, &mut out)?;
        let _ = of_plan.set(out.sha256());
        Ok(())
    };
    // The bench record names the plan by the digest of plan.json, so it is written last.
    let record = |out: &mut dyn Write| {
        let digest = of_plan.get().map_or("", String::as_str);
        out.write_all(&report::xlsx::bench_record::workbook(project, plan, digest)?)
    };
    let made = [
        MadeFile { name: PLACEMENTS, write: &placements },
        MadeFile { name: output::PLAN_FILE, write: &plan_json },
        MadeFile { name: BENCH_RECORD, write: &record },
    ];
    let made = &made[..made.len() - usize::from(!with_record)];
    let staged = output::stage_folder(dir, &files, made, &read, replace)?;
    Ok(StagedPlan { staged, digest: of_plan.into_inner().unwrap_or_default() })
}

/// A plan's folder on the disk under a temporary name.
pub struct StagedPlan {
    staged: Staged,
    /// SHA-256 of its `plan.json`, which lists all other files with their digests.
    pub digest: String,
}

impl StagedPlan {
    /// Gives the folder its own name.
    ///
    /// # Errors
    /// If a rename fails; the old folder is then unchanged.
    pub fn publish(self) -> Result<(), output::OutputFailure> {
        self.staged.publish()
    }
}

/// One line for each row of the survey. Like `plan.json` and the bench record, this file grows with the survey, so it is written
/// while it is made.
const PLACEMENTS: &str = "placements.csv";

/// Name of the plan's workbook.
const WORKBOOK: &str = "plan.xlsx";

/// All files of the plan's folder except those three, by name.
fn files(project: &Project, plan: &Plan, inputs: Vec<InputFile>, papers: Papers) -> io::Result<Vec<File>> {
    let file = |name: &str, bytes: Vec<u8>| File { name: name.to_owned(), bytes };
    let mut files = vec![
        file("purchases.csv", report::csv::purchases(project, plan)),
        file("tanks.csv", report::csv::tanks(project, plan)),
        file("panes.csv", report::csv::panes(project, plan)),
        file("sheets.csv", report::csv::sheets(plan)),
        file("make-up.csv", report::csv::make_up(project, plan)),
    ];
    files.extend(curves(project, plan).into_iter().map(|(name, bytes)| file(name, bytes)));
    let copied = inputs.into_iter().filter(|input| input.name != "settings.toml");
    files.extend(copied.map(|input| file(&format!("inputs/{}", input.name), input.bytes)));
    // The effective settings and rules are kept, so that the plan can be audited years later.
    files.push(file("inputs/settings.toml", project.settings.to_toml().into_bytes()));
    for (name, text) in crate::rules::TABLES {
        let name = format!("inputs/rules/{name}");
        if !files.iter().any(|file| intake::stands_for(&file.name, &name)) {
            files.push(file(&name, text.as_bytes().to_vec()));
        }
    }
    if papers != Papers::None {
        files.push(file("fire-sheet.html", report::fire_sheet::fire_sheet(project, plan)));
        files.push(file(WORKBOOK, report::xlsx::workbook(project, plan)?));
        files.push(file("report.html", report::html::report(project, plan, &digests_of_inputs(&files))));
    }
    // With more rows than this, transfer sheets and labels are written only if asked for.
    let few = plan.placements.len() <= report::html::EVERY_ROW;
    if papers == Papers::All || (papers == Papers::Some && few) {
        files.push(file("transfer-sheets.html", report::transfer_sheets::transfer_sheets(project, plan)));
        files.push(file("labels.csv", report::labels::file(project, plan)));
        files.push(file("labels.html", report::labels::sheet(project, plan)));
    }
    files.sort_by(|a, b| a.name.cmp(&b.name));
    Ok(files)
}

/// A file for each curve that the answers give, as `rehouse curve` writes it, and one of the vessels in use, as `rehouse sizes` does.
fn curves(project: &Project, plan: &Plan) -> Vec<(&'static str, Vec<u8>)> {
    let left_out = &plan.skipped_rows;
    let budget = BudgetCurve::of_answers(project, plan);
    let budget = budget.map(|curve| ("curve.csv", report::curve::budget::csv(project, &curve, left_out)));
    let limits = [(LimitOf::Kinds, "curve-kinds.csv"), (LimitOf::Suppliers, "curve-suppliers.csv")];
    let limits = limits.into_iter().filter_map(|(of, name)| {
        let curve = LimitCurve::of_answers(project, plan, of)?;
        Some((name, report::curve::limits::csv(&curve, left_out)))
    });
    let fluid = FluidCurve::of_answers(project, plan);
    let fluid = fluid.map(|curve| ("curve-fluid.csv", report::curve::fluid::csv(&curve, left_out)));
    let sizes = ListedVessels::of_answers(project, plan);
    let sizes = sizes.map(|listed| ("sizes.csv", report::sizes::listed::csv(project, &listed, left_out)));
    budget.into_iter().chain(limits).chain(fluid).chain(sizes).collect()
}

/// Digests of the inputs among the files of a folder, by name.
fn digests_of_inputs(files: &[File]) -> Vec<(String, String)> {
    let inputs = files.iter().filter(|file| file.name.starts_with("inputs/"));
    inputs.map(|file| (file.name.clone(), output::sha256(&file.bytes))).sorted().collect()
}
