//! `rehouse plan`: read, judge, decide, plan, audit, print, write.

use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use itertools::Itertools;

use super::bench_record::{self, Keeping};
use super::screen::{Working, words};
use super::{Ending, Failure, print, print_text, reading, tell};
use crate::assign;
use crate::cli::{Format, InputArguments, Papers, PlanArguments, SolverName};
use crate::intake::{self, InputFile, Reading};
use crate::options::table::judge_all;
use crate::output::{self, Digesting, File, MadeFile, Staged};
use crate::plan::{self, Plan};
use crate::project::Project;
use crate::saved::{BENCH_RECORD, Listed};
use crate::threads::{at_once, both};
use crate::{audit, interrupt, report, saved};

/// Plans a project.
pub fn run(arguments: &PlanArguments) -> Result<Ending, Failure> {
    if let (Some(dir), Some(file)) = (&arguments.out, &arguments.options)
        && file.starts_with(dir)
    {
        let cure = "name a file outside it: that folder holds only the plan's own files";
        return Err(Failure(format!("--options {} is inside the folder of --out\n    → {cure}", file.display())));
    }
    arguments.options.as_deref().map_or(Ok(()), bench_record::refuse_to_replace)?;
    if let Some(dir) = &arguments.out {
        output::recover(dir).map_err(fail)?;
    }
    let Reading { project, files, skipped, .. } =
        reading::read(&arguments.input.inputs, &arguments.input.beside, arguments.format)?;
    // Names as they were given, too: those of the files are for showing.
    let mut inputs: Vec<PathBuf> = files.iter().map(|file| PathBuf::from(&file.path)).collect();
    let InputArguments { inputs: named, beside } = &arguments.input;
    let beside = [&beside.suppliers, &beside.fluid_stock, &beside.settings, &beside.rules];
    inputs.extend(named.iter().chain(beside.into_iter().flatten()).cloned());
    inputs.extend(bench_record::forms(named));
    let keeping = arguments.out.as_deref().map(|dir| Keeping::of(dir, &arguments.input.inputs)).transpose()?;
    if let (Some(dir), Some(keeping)) = (&arguments.out, &keeping) {
        output::check_writable(dir, &inputs, arguments.replace).map_err(fail)?;
        keeping.check()?;
    }
    let Some(project) = project else { return Ok(Ending::Findings) };
    let plan = decide(&project, arguments.solver, skipped);
    if interrupt::requested() {
        tell("Interrupted: the best plan found so far is written in full.\n");
    }
    let working = Working::on("recalculating every figure");
    let written = match &arguments.out {
        None => {
            audited(&project, &plan)?;
            None
        }
        Some(dir) => {
            // The files go onto the disk meanwhile, under another name, and take their place once the plan is found sound.
            let staged = || stage(&project, &plan, files, (arguments, dir), &inputs);
            let (sound, staged) = both(|| audited(&project, &plan), staged);
            sound?;
            let staged = staged?;
            // At the last moment: somebody may have gone on writing.
            keeping.iter().try_for_each(Keeping::keep)?;
            staged.publish().map_err(fail)?;
            Some(dir.display().to_string())
        }
    };
    drop(working);
    if let Some(file) = &arguments.options {
        output::write_file(file, &report::options::options(&project, &plan.skipped_rows), &inputs).map_err(fail)?;
    }
    match arguments.format {
        Format::Table => {
            let first = (arguments.papers != Papers::None).then_some("report.html");
            print_text(&report::summary::plan(&project, &plan, written.as_deref(), first))?;
        }
        Format::Json => print(&String::from_utf8_lossy(&saved::to_json(&project, &plan, &[])))?,
    }
    let open = plan.totals.deferred + plan.totals.needs_decision > 0;
    let findings = !plan.skipped_rows.is_empty() || (arguments.strict && open);
    // The process is at its end, and to hand back the memory of a large survey piece by piece takes long.
    std::mem::forget((project, plan));
    Ok(match () {
        () if interrupt::requested() => Ending::Interrupted,
        () if findings => Ending::Findings,
        () => Ending::Done,
    })
}

fn fail(failure: output::Failure) -> Failure {
    Failure(failure.to_string())
}

/// Puts every file of the plan's folder onto the disk, under another name than the folder's.
fn stage(
    project: &Project,
    plan: &Plan,
    files: Vec<InputFile>,
    (arguments, dir): (&PlanArguments, &Path),
    inputs: &[PathBuf],
) -> Result<Staged, Failure> {
    let with_record = arguments.papers != Papers::None;
    let files = folder(project, plan, files, arguments.papers).map_err(|error| unwritable(dir, &error))?;
    let digests = at_once(&files, |file| (file.name.clone(), output::sha256(&file.bytes)));
    let (of_placements, of_plan) = (OnceLock::new(), OnceLock::new());
    let placements = |out: &mut dyn Write| {
        let mut out = Digesting::new(out);
        report::csv::write_placements(project, plan, &mut out)?;
        let _ = of_placements.set(out.sha256());
        Ok(())
    };
    // It lists all others.
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
    // Last, for it names the plan by its digest.
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
    output::stage_folder(dir, &files, made, inputs, arguments.replace).map_err(fail)
}

/// The whole decision.
fn decide(project: &Project, solver: SolverName, skipped: Vec<String>) -> Plan {
    let solver = match solver {
        SolverName::Exact => assign::Solver::Exact,
        SolverName::General => assign::Solver::General(assign::Backend::default()),
    };
    let working = Working::on("checking every specimen against every vessel");
    let rows = judge_all(project);
    let mut report = |progress: assign::Progress| working.now(words(&progress));
    let assign::Answered { question, decision } =
        assign::decide_rows_by(solver, project, &rows, &mut report, &interrupt::requested);
    let labour = assign::question::labour_per_row(project);
    working.now("putting the plan together");
    plan::plan(project, &rows, &question, &decision, labour, skipped)
}

/// Refuses a plan that its own audit does not bear out.
fn audited(project: &Project, plan: &Plan) -> Result<(), Failure> {
    let findings = audit::audit(project, plan);
    if findings.is_empty() {
        return Ok(());
    }
    let list: String = findings.iter().take(20).map(|finding| format!("  {}\n", finding.said(project, plan))).collect();
    Err(Failure(format!(
        "the plan failed its own audit. This is a fault of rehouse {}, not of your data; nothing was written.\n{list}\
         Please report it, with the input files.",
        env!("CARGO_PKG_VERSION")
    )))
}

/// A line for each row of the survey: with `plan.json`, which lists the others, and the bench record one of the files that
/// grow with it.
const PLACEMENTS: &str = "placements.csv";

fn unwritable(dir: &Path, error: &io::Error) -> Failure {
    let cure = "resolve the system error, or leave the papers out: --papers none";
    Failure(format!("{}: its workbook cannot be made: {error}\n    → {cure}", dir.display()))
}

/// Every file of the plan's folder but those, by name.
fn folder(project: &Project, plan: &Plan, inputs: Vec<InputFile>, papers: Papers) -> io::Result<Vec<File>> {
    let file = |name: &str, bytes: Vec<u8>| File { name: name.to_owned(), bytes };
    let mut files = vec![
        file("purchases.csv", report::csv::purchases(project, plan)),
        file("tanks.csv", report::csv::tanks(project, plan)),
        file("panes.csv", report::csv::panes(project, plan)),
        file("sheets.csv", report::csv::sheets(plan)),
        file("make-up.csv", report::csv::make_up(project, plan)),
    ];
    let copied = inputs.into_iter().filter(|input| input.name != "settings.toml");
    files.extend(copied.map(|input| file(&format!("inputs/{}", input.name), input.bytes)));
    // The effective settings and rules, so that the plan can be audited years later.
    files.push(file("inputs/settings.toml", project.settings.to_toml().into_bytes()));
    for (name, text) in crate::rules::TABLES {
        let name = format!("inputs/rules/{name}");
        if !files.iter().any(|file| intake::stands_for(&file.name, &name)) {
            files.push(file(&name, text.as_bytes().to_vec()));
        }
    }
    if papers != Papers::None {
        files.push(file("fire-sheet.html", report::fire_sheet::fire_sheet(project, plan)));
        files.push(file("plan.xlsx", report::xlsx::workbook(project, plan)?));
        files.push(file("report.html", report::html::report(project, plan, &digests_of_inputs(&files))));
    }
    // A sheet for each of so many rows is paper that nobody prints unasked.
    let few = plan.placements.len() <= report::html::EVERY_ROW;
    if papers == Papers::All || (papers == Papers::Some && few) {
        files.push(file("transfer-sheets.html", report::transfer_sheets::transfer_sheets(project, plan)));
        files.push(file("labels.csv", report::labels::file(project, plan)));
        files.push(file("labels.html", report::labels::sheet(project, plan)));
    }
    files.sort_by(|a, b| a.name.cmp(&b.name));
    Ok(files)
}

/// The inputs among the files of a folder, by name, with their digests.
fn digests_of_inputs(files: &[File]) -> Vec<(String, String)> {
    let inputs = files.iter().filter(|file| file.name.starts_with("inputs/"));
    inputs.map(|file| (file.name.clone(), output::sha256(&file.bytes))).sorted().collect()
}
