//! `rehouse why`: prints the choice for some specimens, every vessel with its verdict, and what other places do to the whole plan.

use std::collections::BTreeSet;

use super::answer::of_messages;
use super::screen::{Working, words};
use super::{Ending, Failure, print, print_text, reading};
use crate::assign::Progress;
use crate::cli::{AnswerFormat, WhyArguments};
use crate::collection::{Specimen, VesselChoice};
use crate::decision::Decision;
use crate::diagnostics::nearest;
use crate::inquiry::instead::{Housing, elsewhere, housings, instead};
use crate::inquiry::threshold::thresholds;
use crate::inquiry::{Inquiry, Watch};
use crate::options::table::judge_all;
use crate::project::Project;
use crate::report;
use crate::report::instead::{Elsewhere, LotInstead};
use crate::report::threshold::{self, LotThresholds};

/// Prints every choice and refusal of the named specimens, and the prices of other places.
pub fn run(arguments: &WhyArguments) -> Result<Ending, Failure> {
    let messages = of_messages(arguments.format);
    let reading = reading::read(&arguments.inputs, &arguments.beside, messages)?;
    let Some(project) = reading.project else { return Ok(Ending::Findings) };
    let wanted = wanted(&project, &arguments.keys)?;
    let asked = asked(&project, &arguments.instead)?;
    let working = Working::on("deciding");
    let rows = judge_all(&project);
    let mut report = |progress: Progress| working.now(words(&progress));
    let mut watch = Watch { report: &mut report, stop: &|| false };
    let mut inquiry = Inquiry::about(&project, &rows);
    let decision = inquiry.decide(&mut watch);
    let mut plan = inquiry.plan(&decision);
    plan.skipped_rows = reading.skipped;
    let lots: Vec<LotInstead> = wanted
        .iter()
        .map(|&row| lot(&mut inquiry, row, &decision, (&asked, arguments.thresholds), &mut watch))
        .collect();
    let answer = Elsewhere::of(&project, &inquiry, &decision, &lots);
    drop(working);
    match arguments.format {
        AnswerFormat::Csv if arguments.thresholds => {
            let lots: Vec<LotThresholds> =
                lots.into_iter().map(|lot| (lot.row, lot.thresholds.unwrap_or_default())).collect();
            print(&String::from_utf8_lossy(&threshold::csv(&project, &lots, &plan.skipped_rows)))?;
        }
        AnswerFormat::Csv => print(&String::from_utf8_lossy(&answer.csv(&plan.skipped_rows)))?,
        AnswerFormat::Json => print(&answer.json(&plan.skipped_rows))?,
        AnswerFormat::Table => {
            print_text(&report::summary::skipped(&plan.skipped_rows))?;
            for lot in &lots {
                print_text(&report::why::why(&project, &plan, lot.row, asked.is_empty()))?;
                print_text(&(answer.text(lot) + "\n"))?;
                if let Some(thresholds) = &lot.thresholds {
                    print_text(&(threshold::text(&project, thresholds) + "\n"))?;
                }
            }
        }
    }
    Ok(Ending::Done)
}

/// Other places for a lot, and what follows.
fn lot(
    inquiry: &mut Inquiry,
    row: usize,
    plan: &Decision,
    (asked, with_thresholds): (&[Housing], bool),
    watch: &mut Watch,
) -> LotInstead {
    let goes = housings(inquiry, plan).get(&row).copied();
    let all = elsewhere(inquiry, row, plan);
    let (to, not_asked) = match asked {
        [] if all.len() > MOST_PRICED => {
            let vessels = all.iter().take(MOST_PRICED - 1).chain(all.last()).copied().collect();
            (vessels, all.len() - MOST_PRICED)
        }
        [] => (all, 0),
        asked => (asked.to_vec(), 0),
    };
    let other = instead(inquiry, row, plan, &to, watch);
    let thresholds = with_thresholds.then(|| thresholds(inquiry, row, plan, &|| false));
    LotInstead { row, goes, other, not_asked, thresholds }
}

/// Other places that are priced unasked, to wait among them: each is a decision of its own.
const MOST_PRICED: usize = 8;

/// The rows of these keys.
fn wanted(project: &Project, keys: &[String]) -> Result<Vec<usize>, Failure> {
    let specimens = &project.collection.specimens;
    let mut wanted = Vec::new();
    for key in keys {
        let is = |specimen: &Specimen| specimen.key.catalog_number == *key || specimen.key.to_string() == *key;
        let found: Vec<usize> = (0..specimens.len()).filter(|&index| is(&specimens[index])).collect();
        if found.is_empty() {
            // A key with a colon is compared with whole keys, any other with the catalogue numbers.
            let whole: Vec<String> = specimens.iter().map(|specimen| specimen.key.to_string()).collect();
            let numbers = specimens.iter().map(|specimen| specimen.key.catalog_number.as_str());
            let near = match key.contains(':') {
                true => nearest(key, whole.iter().map(String::as_str)),
                false => nearest(key, numbers),
            };
            let what = format!("no lot \"{key}\" in the survey");
            return Err(match near {
                Some(near) => Failure::cured(what, format!("did you mean {near}?")),
                None => Failure::cured(
                    what,
                    "write a catalogNumber of the survey, or the whole key as `placements.csv` has it",
                ),
            });
        }
        wanted.extend(found);
    }
    Ok(wanted)
}

/// The places that are asked about, each once.
fn asked(project: &Project, named: &[String]) -> Result<Vec<Housing>, Failure> {
    let mut asked = Vec::new();
    let mut seen = BTreeSet::new();
    for name in named.iter().filter(|name| seen.insert(name.as_str())) {
        asked.push(match name.as_str() {
            "wait" => Housing::Waits,
            "@tank" => Housing::In(VesselChoice::Tank),
            vessel => match project.stock.listed().find(|(_, listed)| listed.id == vessel) {
                Some((id, _)) => Housing::In(VesselChoice::Listed(id)),
                None => {
                    let ids = project.stock.listed().map(|(_, listed)| listed.id.as_str());
                    let cure = match nearest(vessel, ids.chain(["wait", "@tank"])) {
                        Some(near) => format!("did you mean {near}?"),
                        None => "name a vessel of the stock list, @tank or wait".to_owned(),
                    };
                    return Err(Failure::cured(format!("--instead {vessel}: no such vessel in the stock list"), cure));
                }
            },
        });
    }
    Ok(asked)
}
