//! Reads the folder of a saved plan, and audits it: every figure is derived again, and every file made again.

use std::collections::BTreeMap;
use std::path::Path;

use super::Failure;
use crate::audit::Finding;
use crate::output;
use crate::plan::Plan;
use crate::plan_folder::{self, Digests};
use crate::project::Project;
use crate::{answers_audit, audit, intake, report, saved};

/// The files of a plan's folder.
pub struct SavedFolder {
    /// The copies of the inputs, by their names in a project folder.
    pub inputs: BTreeMap<String, Vec<u8>>,
    /// Digests of all files.
    pub digests: Digests,
    plan_json: Vec<u8>,
    /// Files that are not as plan.json lists them.
    changed: Vec<String>,
}

/// Whether the other files of the folder were made again and compared.
pub enum PapersChecked {
    /// They were.
    Compared,
    /// They were not: this version of the program wrote them.
    Of(String),
}

/// The result of an audit.
pub struct Audited {
    /// What does not hold, in words; nothing of a sound plan.
    pub findings: Vec<String>,
    /// Whether the papers were compared.
    pub papers: PapersChecked,
    /// The project and its plan, if they can be read.
    pub plan: Option<(Project, Plan)>,
}

impl SavedFolder {
    /// Reads a folder.
    pub fn read(folder: &Path) -> Result<Self, Failure> {
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
        Ok(SavedFolder { inputs, digests, plan_json, changed })
    }

    /// Files that were changed, added or removed since the plan was written.
    pub fn changed_files(&self) -> Vec<String> {
        let told = |name: &String| format!("{name}: changed, added or removed since the plan was written");
        self.changed.iter().map(told).collect()
    }

    /// Audits the plan and its papers, without the files already known to have changed.
    pub fn audited(self) -> Result<Audited, Failure> {
        let SavedFolder { inputs, digests, plan_json, changed } = self;
        // Rows that were left out when the plan was made are left out again.
        let reading = intake::read_texts(&inputs, &[], true);
        drop(inputs);
        let stopped = |findings| Ok(Audited { findings, papers: PapersChecked::Compared, plan: None });
        let Some(project) = reading.project else {
            super::tell(report::diagnostics::text(&reading.diagnostics));
            return stopped(vec!["the saved inputs cannot be read".to_owned()]);
        };
        let plan = saved::from_json(&project, &plan_json);
        let version = saved::version(&plan_json).unwrap_or_default();
        let listed = output::listed(&plan_json).unwrap_or_default();
        drop(plan_json);
        let plan = match plan {
            Ok(plan) => plan,
            Err(errors) => return stopped(errors),
        };
        let mut findings = audit::left_out(&plan, &reading.skipped);
        findings.extend(answers_audit::audit(&project, &plan));
        if version != env!("CARGO_PKG_VERSION") {
            let findings = listed_with_keys(&findings, &project, &plan);
            return Ok(Audited { findings, papers: PapersChecked::Of(version), plan: Some((project, plan)) });
        }
        if !findings.is_empty() {
            // The papers of a wrong plan are wrong too; they are not compared.
            return stopped(listed_with_keys(&findings, &project, &plan));
        }
        let differing =
            plan_folder::differing((&project, &plan), reading.files, (&digests, listed)).map_err(|error| {
                let cure = "resolve the system error, then run it again";
                Failure::cured(format!("the workbook cannot be made again to compare it: {error}"), cure)
            })?;
        let differing = differing.into_iter().filter(|(name, _)| !changed.contains(name));
        let findings = differing.map(|(name, what)| format!("{name}: {what}")).collect();
        Ok(Audited { findings, papers: PapersChecked::Compared, plan: Some((project, plan)) })
    }
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

/// Findings about a folder, a line for each after a heading.
pub fn listed(folder: &Path, findings: &[String]) -> String {
    let list: String = findings.iter().map(|finding| format!("  {finding}\n")).collect();
    let count = if findings.len() == 1 { "1 finding".to_owned() } else { format!("{} findings", findings.len()) };
    format!("{}: {count}\n{list}", folder.display())
}
