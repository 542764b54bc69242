//! `rehouse curve`: the best plans as a limit changes.

use std::path::PathBuf;
use std::time::Duration;

use super::screen::{Working, words};
use super::{Ending, Failure, bench_record, plan, print, print_text, reading};
use crate::assign::Progress;
use crate::cli::{CurveArguments, CurveFormat, CurveOf, Format};
use crate::inquiry::limits::{LimitCurve, Limited, limit_curve};
use crate::inquiry::{Inquiry, Watch};
use crate::options::table::judge_all;
use crate::output;
use crate::project::Project;
use crate::report;
use crate::report::curve::EndedBy;
use crate::system::clock::Stopwatch;
use crate::system::interrupt;

/// Answers and prints; ends with 1 where rows were left out.
pub fn run(arguments: &CurveArguments) -> Result<Ending, Failure> {
    arguments.out.as_deref().map_or(Ok(()), bench_record::refuse_to_replace)?;
    let messages = if arguments.format == CurveFormat::Json { Format::Json } else { Format::Table };
    let reading = reading::read(&arguments.input.inputs, &arguments.input.beside, messages)?;
    let inputs = plan::input_paths(&arguments.input, &reading.files);
    let Some(project) = reading.project else { return Ok(Ending::Findings) };
    let of = match arguments.of {
        CurveOf::Kinds => Limited::Kinds,
        CurveOf::Suppliers => Limited::Suppliers,
    };
    let started = Stopwatch::start();
    let late = || started.elapsed() >= Duration::from_secs(arguments.time);
    let curve = limited(&project, of, arguments.steps, &|| late() || interrupt::requested());
    let ended = match () {
        () if curve.whole => None,
        () if interrupt::requested() => Some(EndedBy::Interruption),
        () if late() => Some(EndedBy::Time(arguments.time)),
        () => Some(EndedBy::Points(arguments.steps.into())),
    };
    interrupt::patient(None);
    show(arguments, &inputs, &project, &curve, ended, &reading.skipped)?;
    Ok(match () {
        () if interrupt::requested() => Ending::Interrupted,
        () if !reading.skipped.is_empty() => Ending::Findings,
        () => Ending::Done,
    })
}

fn limited(project: &Project, of: Limited, most_points: u32, stop: &dyn Fn() -> bool) -> LimitCurve {
    let working = Working::on("checking every specimen against every vessel");
    let rows = judge_all(project);
    interrupt::patient(Some(
        "Interrupted: the search stops, and what was found so far is shown. Interrupt again to end at once.",
    ));
    let mut report = |progress: Progress| working.now(words(&progress));
    let mut inquiry = Inquiry::about(project, &rows);
    limit_curve(&mut inquiry, of, most_points, &mut Watch { report: &mut report, stop })
}

fn show(
    arguments: &CurveArguments,
    inputs: &[PathBuf],
    project: &Project,
    curve: &LimitCurve,
    ended: Option<EndedBy>,
    left_out: &[String],
) -> Result<(), Failure> {
    if let Some(file) = &arguments.out {
        output::write_file(file, &report::curve::limit_csv(curve, left_out), inputs).map_err(Failure::from)?;
    }
    match arguments.format {
        CurveFormat::Table => {
            print_text(&report::summary::skipped(left_out))?;
            print_text(&report::curve::limit_text(project, curve, ended))
        }
        CurveFormat::Csv => print(&String::from_utf8_lossy(&report::curve::limit_csv(curve, left_out))),
        CurveFormat::Json => print(&report::curve::limit_json(project, curve, left_out)),
    }
}
