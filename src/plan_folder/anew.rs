//! Makes the files of a plan's folder again from the saved plan and compares them with those in the folder.

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

/// SHA-256 of each file, by name.
pub type Digests = BTreeMap<String, String>;

/// Digests that plan.json lists. The bench record has none, because people write in it.
pub type ListedDigests = BTreeMap<String, Option<String>>;

/// Files of a plan's folder that differ from what this program makes from the plan, by name, each with the reason.
///
/// `inputs` are the copies kept with the plan, by their names in a project folder; `found` are the digests of all files in the
/// folder, and `listed` those in its plan.json. Whether these two agree is checked elsewhere.
///
/// # Errors
/// If a file cannot be made again.
pub fn differing(
    (project, plan): (&Project, &Plan),
    inputs: Vec<InputFile>,
    (found, listed): (&Digests, ListedDigests),
) -> io::Result<Vec<(String, &'static str)>> {
    let papers = papers_of(found);
    // A file in `inputs/` that the program does not read is not part of the plan.
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
        // The workbook has other bytes if it was written where no thread could be started.
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

/// Papers that the folder was written with, judged by its files.
fn papers_of(found: &Digests) -> Papers {
    match (found.contains_key("report.html"), found.contains_key("transfer-sheets.html")) {
        (false, _) => Papers::None,
        (true, false) => Papers::Some,
        (true, true) => Papers::All,
    }
}

/// The list in plan.json; the bench record is in it exactly if papers are written.
fn with_record(mut listed: ListedDigests, papers: Papers) -> Vec<Listed> {
    listed.remove(BENCH_RECORD);
    if papers != Papers::None {
        listed.insert(BENCH_RECORD.to_owned(), None);
    }
    listed.into_iter().collect()
}

/// Digest of what a function writes.
fn digest(write: impl FnOnce(&mut dyn io::Write) -> io::Result<()>) -> io::Result<String> {
    let mut nowhere = io::sink();
    let mut out = Digesting::new(&mut nowhere);
    write(&mut out)?;
    Ok(out.sha256())
}
