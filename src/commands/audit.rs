//! `rehouse audit`: derives a saved plan again from the inputs saved with it.

use std::collections::BTreeMap;

use super::{Ending, Failure, print_text};
use crate::audit::Finding;
use crate::cli::AuditArguments;
use crate::output::{self, File};
use crate::plan::Plan;
use crate::plan_folder::{self, Digests};
use crate::project::Project;
use crate::{answers_audit, audit, intake, report, saved};

/// Audits a saved plan.
pub fn run(arguments: &AuditArguments) -> Result<Ending, Failure> {
    let folder = &arguments.folder;
    output::recover(folder).map_err(Failure::from)?;
    let files = output::read_folder(folder).map_err(Failure::from)?;
    let digests = output::digests_of(&files);
    // Bytes that are not needed any more are dropped: the files of a large plan fill much of the memory.
    let (mut inputs, mut plan_json) = (BTreeMap::new(), None);
    for file in files {
        if let Some(name) = file.name.strip_prefix("inputs/") {
            inputs.insert(name.to_owned(), file.bytes);
        } else if file.name == output::PLAN_FILE {
            plan_json = Some(file.bytes);
        }
    }
    let Some(plan_json) = plan_json else {
        let cure = "name the folder that a plan was written to";
        return Err(Failure::cured(format!("there is no plan.json in {}", folder.display()), cure));
    };
    let changed = output::not_as_listed(&plan_json, &digests);
    let told = |name: &String| format!("{name}: changed, added or removed since the plan was written");
    let mut findings: Vec<String> = changed.iter().map(told).collect();
    let found = digests.get(output::PLAN_FILE).map_or("", String::as_str);
    if let Some(noted) = arguments.digest.as_deref().filter(|noted| *noted != found) {
        findings.push(format!("plan.json: its SHA-256 is {found}, not {noted}"));
    }
    if let Some(project_folder) = &arguments.against {
        findings.extend(changed_inputs(project_folder, &inputs)?);
    }
    let (of_plan, papers) = of_plan(inputs, plan_json, &digests, &changed)?;
    findings.extend(of_plan);
    if findings.is_empty() {
        print_text(&sound(arguments, papers))?;
        return Ok(Ending::Done);
    }
    let list: String = findings.iter().map(|finding| format!("  {finding}\n")).collect();
    let count = if findings.len() == 1 { "1 finding".to_owned() } else { format!("{} findings", findings.len()) };
    print_text(&format!(
        "{}: {count}\n{list}Next: plan again, or restore the files as they were written.\n",
        folder.display()
    ))?;
    Ok(Ending::Findings)
}

/// Whether the other files of the folder were made again and compared.
enum PapersChecked {
    Compared,
    /// Not compared: this version of the program wrote them.
    Of(String),
}

/// Findings about a plan and its papers, without the files already known to have `changed`.
fn of_plan(
    inputs: BTreeMap<String, Vec<u8>>,
    plan_json: Vec<u8>,
    digests: &Digests,
    changed: &[String],
) -> Result<(Vec<String>, PapersChecked), Failure> {
    // Rows that were left out when the plan was made are left out again.
    let reading = intake::read_texts(&inputs, &[], true);
    drop(inputs);
    let Some(project) = reading.project else {
        super::tell(report::diagnostics::text(&reading.diagnostics));
        return Ok((vec!["the saved inputs cannot be read".to_owned()], PapersChecked::Compared));
    };
    let plan = saved::from_json(&project, &plan_json);
    let version = saved::version(&plan_json).unwrap_or_default();
    let listed = output::listed(&plan_json).unwrap_or_default();
    drop(plan_json);
    let plan = match plan {
        Ok(plan) => plan,
        Err(errors) => return Ok((errors, PapersChecked::Compared)),
    };
    let mut findings = audit::left_out(&plan, &reading.skipped);
    findings.extend(answers_audit::audit(&project, &plan));
    if version != env!("CARGO_PKG_VERSION") {
        return Ok((listed_with_keys(&findings, &project, &plan), PapersChecked::Of(version)));
    }
    if !findings.is_empty() {
        // The papers of a wrong plan are wrong too; they are not compared.
        return Ok((listed_with_keys(&findings, &project, &plan), PapersChecked::Compared));
    }
    let differing = plan_folder::differing((&project, &plan), reading.files, (digests, listed)).map_err(|error| {
        let cure = "resolve the system error, then run it again";
        Failure::cured(format!("the workbook cannot be made again to compare it: {error}"), cure)
    })?;
    let differing = differing.into_iter().filter(|(name, _)| !changed.contains(name));
    Ok((differing.map(|(name, what)| format!("{name}: {what}")).collect(), PapersChecked::Compared))
}

/// The findings in words. Those about the proof are for a programmer, so a sentence for everybody stands before them.
fn listed_with_keys(findings: &[Finding], project: &Project, plan: &Plan) -> Vec<String> {
    let first_of_proof = findings.iter().position(Finding::is_of_proof);
    let listed = findings.iter().enumerate().map(|(i, finding)| {
        let said = finding.with_key(project, plan);
        if first_of_proof == Some(i) { format!("{PROOF}\n  {said}") } else { said }
    });
    listed.collect()
}

const PROOF: &str = "The proof in plan.json does not fit the inputs: plan again.";

/// Text for an audit without findings: what was checked and what was not compared.
fn sound(arguments: &AuditArguments, papers: PapersChecked) -> String {
    let folder = arguments.folder.display();
    let figures = format!("{folder}: every figure was recalculated and agrees");
    let mut text = match papers {
        PapersChecked::Compared => format!("{figures}; every file was made again and is the same.\n"),
        PapersChecked::Of(version) => format!("{figures}.\nPapers not compared: written by {version}.\n"),
    };
    if arguments.against.is_none() && arguments.digest.is_none() {
        text.push_str("Not compared: its copies of the inputs (--against DIR), and plan.json itself (--digest HEX).\n");
    }
    text
}

/// Files of a project folder that differ from those the plan was made from. Settings are compared by their effective values.
fn changed_inputs(folder: &std::path::Path, inputs: &BTreeMap<String, Vec<u8>>) -> Result<Vec<String>, Failure> {
    let sources = intake::Sources::project(folder).map_err(|diagnostic| Failure::from(&diagnostic))?;
    let now = intake::read(&sources, &[], true);
    let mut findings = Vec::new();
    let saved = inputs.get("settings.toml").map(|bytes| String::from_utf8_lossy(bytes).into_owned());
    if let (Some(project), Some(saved)) = (&now.project, saved) {
        // The saved settings are the effective ones, flags included, so they are compared with the folder's effective settings,
        // line by line.
        let effective = project.settings.to_toml();
        let (then, now): (Vec<&str>, Vec<&str>) = (saved.lines().collect(), effective.lines().collect());
        let gone = then.iter().filter(|line| !now.contains(line));
        findings.extend(gone.map(|line| format!("settings: the plan was made with `{line}`, which has changed")));
        let come = now.iter().filter(|line| !then.contains(line));
        findings.extend(come.map(|line| format!("settings: `{line}` is new since the plan was made")));
    }
    let now: Vec<File> = now.files.into_iter().map(|file| File { name: file.name, bytes: file.bytes }).collect();
    for file in now.iter().filter(|file| file.name != "settings.toml") {
        match inputs.get(&file.name) {
            Some(bytes) if *bytes == file.bytes => {}
            Some(_) => findings.push(format!("{} has changed since the plan was made", file.name)),
            None => findings.push(format!("{} was not there when the plan was made", file.name)),
        }
    }
    for name in inputs.keys().filter(|name| !name.starts_with("rules/") && *name != "settings.toml") {
        if !now.iter().any(|file| file.name == *name) {
            findings.push(format!("{name} is no longer there"));
        }
    }
    Ok(findings)
}
