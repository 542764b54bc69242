//! `rehouse audit`: derives a saved plan again from the inputs saved with it.

use std::collections::BTreeMap;

use super::{Ending, Failure, print_text};
use crate::cli::AuditArguments;
use crate::output::{self, File};
use crate::{audit, intake, report, saved};

/// Audits a saved plan.
pub fn run(arguments: &AuditArguments) -> Result<Ending, Failure> {
    let folder = &arguments.folder;
    output::recover(folder).map_err(Failure::from)?;
    let files = output::read_folder(folder).map_err(Failure::from)?;
    let Some(plan_file) = files.iter().find(|file| file.name == output::PLAN_FILE) else {
        let cure = "name the folder that a plan was written to";
        return Err(Failure::cured(format!("there is no plan.json in {}", folder.display()), cure));
    };
    let changed = output::verify_digests(&plan_file.bytes, &files);
    let told = |name: String| format!("{name}: changed, added or removed since the plan was written");
    let mut findings: Vec<String> = changed.into_iter().map(told).collect();
    // What is not needed any more is let go: of a large plan the files fill much of the memory.
    let (mut inputs, mut plan_json) = (BTreeMap::new(), Vec::new());
    for file in files {
        if let Some(name) = file.name.strip_prefix("inputs/") {
            inputs.insert(name.to_owned(), file.bytes);
        } else if file.name == output::PLAN_FILE {
            plan_json = file.bytes;
        }
    }
    if let Some(project_folder) = &arguments.against {
        findings.extend(changed_inputs(project_folder, &inputs)?);
    }
    // Rows that were left out when the plan was made are left out again.
    let reading = intake::read_texts(&inputs, &[], true);
    match reading.project {
        None => {
            super::tell(report::diagnostics::text(&reading.diagnostics));
            findings.push("the saved inputs cannot be read".to_owned());
        }
        Some(project) => {
            let plan = saved::from_json(&project, &plan_json);
            drop(plan_json);
            match plan {
                Ok(plan) => findings
                    .extend(audit::audit(&project, &plan).iter().map(|finding| finding.with_key(&project, &plan))),
                Err(errors) => findings.extend(errors),
            }
        }
    }
    if findings.is_empty() {
        print_text(&format!("{}: every figure was recalculated and agrees.\n", folder.display()))?;
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

/// Files of a project folder that are no longer the ones a plan was made from. Settings are compared as they work out.
fn changed_inputs(folder: &std::path::Path, inputs: &BTreeMap<String, Vec<u8>>) -> Result<Vec<String>, Failure> {
    let sources = intake::Sources::project(folder).map_err(|diagnostic| Failure::from(&diagnostic))?;
    let now = intake::read(&sources, &[], true);
    let mut findings = Vec::new();
    let saved = inputs.get("settings.toml").map(|bytes| String::from_utf8_lossy(bytes).into_owned());
    if let (Some(project), Some(saved)) = (&now.project, saved) {
        // The saved settings are as they worked out, flags included: so are these, line by line.
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
