//! `rehouse plan`: reads, judges, decides, plans, audits, writes and prints.

use std::path::{Path, PathBuf};

use super::bench_record::{self, Keeping};
use super::compare::{SoundPlan, compared};
use super::screen::{Working, words};
use super::{Ending, Failure, print, print_text, reading, tell};
use crate::assign;
use crate::cli::{Format, InputArguments, PlanArguments, SolverName};
use crate::comparison::{ProjectPlan, same_currency};
use crate::inquiry::questions::ask;
use crate::intake::{InputFile, Reading};
use crate::options::table::judge_all;
use crate::output;
use crate::plan::answers::are_audited;
use crate::plan::{self, Plan, Questions};
use crate::plan_folder::{self, Papers};
use crate::project::Project;
use crate::report::comparison::Compared;
use crate::system::interrupt;
use crate::system::threads::both;
use crate::units::Money;
use crate::{answers_audit, report, saved};

/// Plans a project.
pub fn run(arguments: &PlanArguments) -> Result<Ending, Failure> {
    check_places(arguments)?;
    let before = match arguments.against.as_deref().map(SoundPlan::read).transpose()? {
        Some(None) => {
            tell("Nothing was planned.\n");
            return Ok(Ending::Findings);
        }
        before => before.flatten(),
    };
    let Reading { project, files, skipped, .. } =
        reading::read(&arguments.input.inputs, &arguments.input.beside, arguments.format)?;
    let inputs = input_paths(&arguments.input, &files);
    let keeping = arguments.out.as_deref().map(|dir| keep_what_is_written(dir, arguments, &inputs)).transpose()?;
    let Some(project) = project else { return Ok(Ending::Findings) };
    before.iter().try_for_each(|before| same_currency(before.sides().project, &project))?;
    keeping.iter().try_for_each(|keeping| keeping.check_project(&project))?;
    let plan = decide(&project, arguments, skipped);
    if plan.totals.beyond_counting() {
        let most = Money::MOST.on_screen();
        let what = format!("nothing was planned: the sums of this plan are beyond what can be counted, {most}");
        tell(Failure::cured(what, "check the prices, the amounts and the labour settings").message());
        return Ok(Ending::Findings);
    }
    if interrupt::requested() {
        let without =
            if plan.questions == questions(&project, arguments) { "" } else { ", without answers to questions" };
        tell(format!("Interrupted: the best plan found so far is written in full{without}.\n"));
    }
    let working = Working::on("recalculating every figure");
    let written = audited_and_written(arguments, (&project, &plan), files, &inputs, keeping.as_ref())?;
    drop(working);
    interrupt::patient(None);
    if let Some(file) = &arguments.options {
        output::write_file(file, &report::options::options(&project, &plan.skipped_rows), &inputs).map_err(fail)?;
    }
    show(arguments, &project, &plan, written)?;
    if let (Some(before), Some(folder)) = (&before, &arguments.against) {
        show_against(before, folder, ProjectPlan { project: &project, plan: &plan })?;
    }
    let open = plan.totals.deferred + plan.totals.needs_decision > 0;
    let findings = !plan.skipped_rows.is_empty() || (arguments.strict && open);
    // The process is about to end, and freeing the memory of a large survey piece by piece takes long.
    std::mem::forget((project, plan, before));
    Ok(match () {
        () if interrupt::requested() => Ending::Interrupted,
        () if findings => Ending::Findings,
        () => Ending::Done,
    })
}

/// Audits the plan and, where a folder is named, writes it. Returns the folder and the digest of its plan.json.
fn audited_and_written(
    arguments: &PlanArguments,
    (project, plan): (&Project, &Plan),
    files: Vec<InputFile>,
    inputs: &[PathBuf],
    keeping: Option<&Keeping>,
) -> Result<Option<(String, String)>, Failure> {
    let Some(dir) = &arguments.out else {
        audited(project, plan)?;
        return Ok(None);
    };
    // While the audit runs, the files are written under a temporary name; they get their own if the audit has no findings.
    let staged = || {
        let place = (dir.as_path(), arguments.replace);
        plan_folder::stage((project, plan), files, inputs, arguments.papers, place).map_err(fail)
    };
    let (sound, staged) = both(|| audited(project, plan), staged);
    sound?;
    let staged = staged?;
    // As late as possible: somebody may have gone on writing into the bench record.
    keeping.map_or(Ok(()), Keeping::keep)?;
    let digest = staged.digest.clone();
    staged.publish().map_err(fail)?;
    Ok(Some((dir.display().to_string(), digest)))
}

/// Prints what differs between the plan that was in a folder and this one.
fn show_against(before: &SoundPlan, folder: &Path, now: ProjectPlan) -> Result<(), Failure> {
    let comparison = compared(before.sides(), now)?;
    let name = folder.display().to_string();
    let shown =
        Compared { comparison: &comparison, names: [&name, "this one"], versions: [before.version.as_deref(), None] };
    print(&format!("\nCompared with the plan in {name}\n\n"))?;
    print_text(&shown.text())
}

/// Refuses places that the command cannot write to, and options that exclude one another, before anything is read.
fn check_places(arguments: &PlanArguments) -> Result<(), Failure> {
    if let (Some(folder), Format::Json) = (&arguments.against, arguments.format) {
        let folder = folder.display();
        let what = "--against shows a comparison for people, and --format json prints plan.json alone";
        let cure = format!("write the plan to a folder (--out NEW), then `rehouse compare {folder} NEW --format json`");
        return Err(Failure::cured(what, cure));
    }
    if let (Some(dir), Some(file)) = (&arguments.out, &arguments.options)
        && file.starts_with(dir)
    {
        let cure = "name a file outside it: that folder holds only the plan's own files";
        return Err(Failure::cured(format!("--options {} is inside the folder of --out", file.display()), cure));
    }
    arguments.options.as_deref().map_or(Ok(()), bench_record::refuse_to_replace)?;
    if let Some(dir) = &arguments.out {
        output::recover(dir).map_err(fail)?;
    }
    Ok(())
}

/// Every path that is read; no output may replace one.
pub(super) fn input_paths(InputArguments { inputs, beside }: &InputArguments, files: &[InputFile]) -> Vec<PathBuf> {
    let mut paths: Vec<PathBuf> = files.iter().map(|file| PathBuf::from(&file.path)).collect();
    // The paths as they were given are added: those of the files are for messages.
    let beside = [&beside.suppliers, &beside.fluid_stock, &beside.settings, &beside.rules];
    paths.extend(inputs.iter().chain(beside.into_iter().flatten()).cloned());
    paths.extend(bench_record::forms(inputs));
    paths
}

/// Checks that the folder may be replaced; returns what will keep the entries of people in it.
fn keep_what_is_written<'a>(
    dir: &'a Path,
    arguments: &'a PlanArguments,
    inputs: &[PathBuf],
) -> Result<Keeping<'a>, Failure> {
    let keeping = Keeping::of(dir, &arguments.input.inputs)?;
    output::check_writable(dir, inputs, arguments.replace).map_err(fail)?;
    keeping.check()?;
    Ok(keeping)
}

/// Prints the result. `written` is the folder of the plan and the digest of its plan.json.
fn show(
    arguments: &PlanArguments,
    project: &Project,
    plan: &Plan,
    written: Option<(String, String)>,
) -> Result<(), Failure> {
    match arguments.format {
        Format::Table => {
            let first = (arguments.papers != Papers::None).then_some("report.html");
            let folder = written.as_ref().map(|(folder, _)| folder.as_str());
            print_text(&report::summary::plan(project, plan, folder, first))?;
            if let Some((folder, digest)) = &written {
                // The digest is on a line of its own and is not wrapped, so that it can be copied.
                print(&format!("SHA-256 of plan.json, for `rehouse audit {folder} --digest`:\n{digest}\n"))?;
            }
        }
        Format::Json => print(&String::from_utf8_lossy(&saved::to_json(project, plan, &[])))?,
    }
    Ok(())
}

fn fail(failure: output::OutputFailure) -> Failure {
    Failure::from(failure)
}

/// How many questions are answered beside the plan.
fn questions(project: &Project, arguments: &PlanArguments) -> Questions {
    let is_small = are_audited(project.collection.specimens.len());
    let is_kept = arguments.out.is_some() && arguments.papers != Papers::None;
    match arguments.questions {
        Some(questions) => questions,
        None if is_small && is_kept => Questions::Some,
        None => Questions::None,
    }
}

/// Decides the whole project and makes the plan, with the answers to the questions.
fn decide(project: &Project, arguments: &PlanArguments, skipped: Vec<String>) -> Plan {
    let solver = match arguments.solver {
        SolverName::Exact => assign::Solver::Exact,
        SolverName::General => assign::Solver::General(assign::Backend::default()),
    };
    let working = Working::on("checking every specimen against every vessel");
    let rows = judge_all(project);
    // Before this point there is no plan to save, so a signal ends the run at once.
    interrupt::patient(Some(
        "Interrupted: the search stops, and the best plan so far is written in full. Interrupt again to end at once.",
    ));
    let mut report = |progress: assign::Progress| working.now(words(&progress));
    let assign::Answered { question, decision } =
        assign::decide_rows_by(solver, project, &rows, &mut report, &interrupt::requested);
    let labour = assign::question::labour_per_row(project);
    working.now("putting the plan together");
    let mut plan = plan::plan(project, &rows, &question, &decision, labour, skipped);
    drop((question, decision));
    let asked = questions(project, arguments);
    if asked != Questions::None && !are_audited(project.collection.specimens.len()) {
        tell(format!("{}\n", crate::words::NOT_AUDITED));
    }
    if asked != Questions::None && arguments.out.is_none() && arguments.format == Format::Table {
        tell("The answers stand in plan.json, curve.csv and report.html: add --out DIR, or --format json.\n");
    }
    if asked != Questions::None && !plan.totals.beyond_counting() {
        working.now("asking what more money buys");
        if let Some(answers) = ask(project, &rows, &plan, asked, &interrupt::requested) {
            (plan.questions, plan.answers) = (asked, answers);
        }
    }
    plan
}

/// The error if the audit has findings about the program's own plan.
fn audited(project: &Project, plan: &Plan) -> Result<(), Failure> {
    let findings = answers_audit::audit(project, plan);
    if findings.is_empty() {
        return Ok(());
    }
    let list: String =
        findings.iter().take(20).map(|finding| format!("  {}\n", finding.with_key(project, plan))).collect();
    Err(Failure::new(format!(
        "the plan failed its own audit. This is a fault of rehouse {}, not of your data; nothing was written.\n{list}\
         Please report it, with the input files.",
        env!("CARGO_PKG_VERSION")
    )))
}
