//! `rehouse audit`: derives a saved plan again from the inputs saved with it.

use std::collections::BTreeMap;

use super::saved_folder::{Audited, PapersChecked, SavedFolder, listed};
use super::{Ending, Failure, print_text};
use crate::cli::AuditArguments;
use crate::intake;
use crate::output::{self, File};
use crate::plan::answers::are_audited;

/// Audits a saved plan.
pub fn run(arguments: &AuditArguments) -> Result<Ending, Failure> {
    let saved = SavedFolder::read(&arguments.folder)?;
    let mut findings = saved.changed_files();
    let found = saved.digests.get(output::PLAN_FILE).map_or("", String::as_str);
    if let Some(noted) = arguments.digest.as_deref().filter(|noted| *noted != found) {
        findings.push(format!("plan.json: its SHA-256 is {found}, not {noted}"));
    }
    if let Some(project_folder) = &arguments.against {
        findings.extend(changed_inputs(project_folder, &saved.inputs)?);
    }
    let Audited { findings: of_plan, papers, plan } = saved.audited()?;
    findings.extend(of_plan);
    if findings.is_empty() {
        print_text(&sound(arguments, papers))?;
        if plan.is_some_and(|(_, plan)| !plan.answers.is_empty() && !are_audited(plan.placements.len())) {
            print_text(&format!("{}\n", crate::words::NOT_AUDITED))?;
        }
        return Ok(Ending::Done);
    }
    print_text(&format!("{}{NEXT}", listed(&arguments.folder, &findings)))?;
    Ok(Ending::Findings)
}

const NEXT: &str = "Next: plan again, or restore the files as they were written.\n";

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
