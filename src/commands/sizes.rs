//! `rehouse sizes`: what sizes of vessel are worth to the plan.

use std::path::PathBuf;
use std::time::Duration;

use super::screen::{Working, words};
use super::{Ending, Failure, bench_record, plan, print, print_text, reading};
use crate::assign::Progress;
use crate::cli::{AnswerFormat, Format, SizesArguments};
use crate::inquiry::listed::{ListedVessels, listed};
use crate::inquiry::{Inquiry, Watch};
use crate::options::table::judge_all;
use crate::output;
use crate::project::Project;
use crate::report;
use crate::report::curve::EndedBy;
use crate::system::clock::Stopwatch;
use crate::system::interrupt;

/// Answers and prints; ends with 1 where rows were left out.
pub fn run(arguments: &SizesArguments) -> Result<Ending, Failure> {
    arguments.out.as_deref().map_or(Ok(()), bench_record::refuse_to_replace)?;
    let messages = if arguments.format == AnswerFormat::Json { Format::Json } else { Format::Table };
    let reading = reading::read(&arguments.input.inputs, &arguments.input.beside, messages)?;
    let inputs = plan::input_paths(&arguments.input, &reading.files);
    let Some(project) = reading.project else { return Ok(Ending::Findings) };
    let started = Stopwatch::start();
    let late = || started.elapsed() >= Duration::from_secs(arguments.time);
    let answer = answer(&project, &|| late() || interrupt::requested());
    let ended = match () {
        () if answer.is_whole() => None,
        () if interrupt::requested() => Some(EndedBy::Interruption),
        () => Some(EndedBy::Time(arguments.time)),
    };
    interrupt::patient(None);
    show(arguments, &inputs, &answer, &SizesShown { project: &project, ended, left_out: &reading.skipped })?;
    Ok(match () {
        () if interrupt::requested() => Ending::Interrupted,
        () if !reading.skipped.is_empty() => Ending::Findings,
        () => Ending::Done,
    })
}

/// What is shown with an answer.
struct SizesShown<'a> {
    project: &'a Project,
    ended: Option<EndedBy>,
    left_out: &'a [String],
}

fn answer(project: &Project, stop: &dyn Fn() -> bool) -> ListedVessels {
    let working = Working::on("checking every specimen against every vessel");
    let rows = judge_all(project);
    interrupt::patient(Some(
        "Interrupted: the search stops, and what was found so far is shown. Interrupt again to end at once.",
    ));
    let mut report = |progress: Progress| working.now(words(&progress));
    let mut watch = Watch { report: &mut report, stop };
    listed(&Inquiry::about(project, &rows), &mut watch)
}

fn show(
    arguments: &SizesArguments,
    inputs: &[PathBuf],
    answer: &ListedVessels,
    shown: &SizesShown,
) -> Result<(), Failure> {
    let csv = || report::sizes::listed::csv(shown.project, answer, shown.left_out);
    if let Some(file) = &arguments.out {
        output::write_file(file, &csv(), inputs).map_err(Failure::from)?;
    }
    match arguments.format {
        AnswerFormat::Table => {
            print_text(&report::summary::skipped(shown.left_out))?;
            print_text(&report::sizes::listed::text(shown.project, answer, shown.ended))
        }
        AnswerFormat::Csv => print(&String::from_utf8_lossy(&csv())),
        AnswerFormat::Json => print(&report::sizes::listed::json(shown.project, answer, shown.left_out)),
    }
}
