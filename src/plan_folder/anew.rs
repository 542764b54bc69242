//! Makes a plan's folder again from the plan that was read, and compares it with the files on the disk.

use std::collections::BTreeMap;
use std::io;

use super::{PLACEMENTS, Papers, WORKBOOK, files};
use crate::intake::InputFile;
use crate::output::{Digesting, PLAN_FILE};
use crate::plan::Plan;
use crate::project::Project;
use crate::report::xlsx::SheetsMade;
use crate::saved::{BENCH_RECORD, Listed};
use crate::system::threads::{at_once, both};
use crate::{intake, output, report, saved};

/// SHA-256 of files, by name.
pub type Digests = BTreeMap<String, String>;

/// SHA-256 of files, by name, as plan.json lists them; `None` for the bench record, which people write in.
pub type ListedDigests = BTreeMap<String, Option<String>>;

/// Files of a plan's folder that differ from those this program makes from the plan, by name, each with what is wrong.
///
/// `inputs` are the copies kept with the plan, under their names in a project folder. `found` are all files in the folder, and
/// `listed` those that its plan.json lists; whether these two agree is checked elsewhere.
///
/// # Errors
/// A workbook cannot be made.
pub fn differing(
    (project, plan): (&Project, &Plan),
    inputs: Vec<InputFile>,
    (found, listed): (&Digests, ListedDigests),
) -> io::Result<Vec<(String, &'static str)>> {
    let papers = papers_of(found);
    // A file beside the copies that the program does not read is not part of the plan.
    let inputs = inputs.into_iter().filter(|file| intake::is_read(&file.name)).collect();
    let placements = || digest(|out| report::csv::write_placements(project, plan, out));
    let (placements, others) = both(placements, || files(project, plan, inputs, papers));
    let others = at_once(&others?, |file| (file.name.clone(), output::sha256(&file.bytes)));
    let mut made: Digests = others.into_iter().collect();
    made.insert(PLACEMENTS.to_owned(), placements?);
    made.insert(
        PLAN_FILE.to_owned(),
        digest(|out| saved::write_json(project, plan, &with_record(listed, papers), out))?,
    );
    if made.get(WORKBOOK).is_some_and(|digest| found.get(WORKBOOK) != Some(digest)) {
        // Its bytes are different if it was written when no thread could be started.
        let book = report::xlsx::workbook_by(SheetsMade::OneAfterTheOther, project, plan)?;
        made.insert(WORKBOOK.to_owned(), output::sha256(&book));
    }
    let mut wrong = Vec::new();
    for (name, digest) in found.iter().filter(|(name, _)| *name != BENCH_RECORD) {
        match made.remove(name) {
            Some(made) if made == *digest => {}
            Some(_) => wrong.push((name.clone(), "it is not what this plan gives")),
            None => wrong.push((name.clone(), "no file of this plan has this name")),
        }
    }
    wrong.extend(made.into_keys().map(|name| (name, "it belongs to this plan and is missing")));
    wrong.sort();
    Ok(wrong)
}

/// Which papers the folder was written with, judged by the files found in it.
fn papers_of(found: &Digests) -> Papers {
    match (found.contains_key("report.html"), found.contains_key("transfer-sheets.html")) {
        (false, _) => Papers::None,
        (true, false) => Papers::Some,
        (true, true) => Papers::All,
    }
}

/// The list of plan.json, with the bench record if papers are written.
fn with_record(mut listed: ListedDigests, papers: Papers) -> Vec<Listed> {
    listed.remove(BENCH_RECORD);
    if papers != Papers::None {
        listed.insert(BENCH_RECORD.to_owned(), None);
    }
    listed.into_iter().collect()
}

/// SHA-256 of what `write` writes.
fn digest(write: impl FnOnce(&mut dyn io::Write) -> io::Result<()>) -> io::Result<String> {
    let mut nowhere = io::sink();
    let mut out = Digesting::new(&mut nowhere);
    write(&mut out)?;
    Ok(out.sha256())
}
