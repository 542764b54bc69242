//! `rehouse curve`: the best plans as one thing changes.

use std::time::Duration;

use super::answer::{self, AnswerForms};
use super::screen::{Working, words};
use super::{Ending, Failure, bench_record, plan, reading};
use crate::assign::Progress;
use crate::cli::{CurveArguments, CurveOf};
use crate::inquiry::budget::{self, BudgetCurve};
use crate::inquiry::fluid::{FluidCurve, fluid_curve};
use crate::inquiry::limits::{LimitCurve, LimitOf, limit_curve};
use crate::inquiry::{Inquiry, Watch};
use crate::options::table::judge_all;
use crate::project::Project;
use crate::report;
use crate::report::curve::EndedBy;
use crate::system::clock::Stopwatch;
use crate::system::interrupt;

/// Answers and prints; ends with 1 where rows were left out.
pub fn run(arguments: &CurveArguments) -> Result<Ending, Failure> {
    arguments.answer.out.as_deref().map_or(Ok(()), bench_record::refuse_to_replace)?;
    let messages = answer::of_messages(arguments.answer.format);
    let reading = reading::read(&arguments.input.inputs, &arguments.input.beside, messages)?;
    let inputs = plan::input_paths(&arguments.input, &reading.files);
    let Some(project) = reading.project else { return Ok(Ending::Findings) };
    let started = Stopwatch::start();
    let late = || started.elapsed() >= Duration::from_secs(arguments.answer.time);
    let (curve, most) = answer_of(&project, arguments, &|| late() || interrupt::requested());
    let ended = match () {
        () if curve.is_whole() => None,
        () if interrupt::requested() => Some(EndedBy::Interruption),
        () if late() => Some(EndedBy::Time(arguments.answer.time)),
        () if curve.len() < most => Some(EndedBy::Search),
        () => Some(EndedBy::Points(most.into())),
    };
    interrupt::patient(None);
    let shown = Showing { project: &project, ended, left_out: &reading.skipped };
    let forms = AnswerForms { text: &|| curve.text(&shown), csv: &|| curve.csv(&shown), json: &|| curve.json(&shown) };
    answer::show(&arguments.answer, &inputs, shown.left_out, &forms)?;
    Ok(match () {
        () if interrupt::requested() => Ending::Interrupted,
        () if !reading.skipped.is_empty() => Ending::Findings,
        () => Ending::Done,
    })
}

/// A curve of any kind.
enum AnyCurve {
    Budget(BudgetCurve),
    Limit(LimitCurve),
    Fluid(FluidCurve),
}

/// What is shown with it.
struct Showing<'a> {
    project: &'a Project,
    ended: Option<EndedBy>,
    left_out: &'a [String],
}

/// Most lines of a curve, and budgets where the steps are not looked for.
const MOST_LINES: u32 = 200;
const BUDGETS: u32 = 40;

/// The curve, and how many lines it may have.
fn answer_of(project: &Project, arguments: &CurveArguments, stop: &dyn Fn() -> bool) -> (AnyCurve, u32) {
    let working = Working::on("checking every specimen against every vessel");
    let rows = judge_all(project);
    interrupt::patient(Some(
        "Interrupted: the search stops, and what was found so far is shown. Interrupt again to end at once.",
    ));
    let mut report = |progress: Progress| working.now(words(&progress));
    let mut watch = Watch { report: &mut report, stop };
    let mut inquiry = Inquiry::about(project, &rows);
    let most = arguments.steps.unwrap_or(MOST_LINES);
    match arguments.of {
        CurveOf::Fluid => (AnyCurve::Fluid(fluid_curve(inquiry.question(), most, &mut watch)), most),
        CurveOf::Kinds => (AnyCurve::Limit(limit_curve(&mut inquiry, LimitOf::Kinds, most, &mut watch)), most),
        CurveOf::Suppliers => (AnyCurve::Limit(limit_curve(&mut inquiry, LimitOf::Suppliers, most, &mut watch)), most),
        CurveOf::Budget if inquiry.takes_goals() && (arguments.exact || budget::is_short(&inquiry)) => {
            (AnyCurve::Budget(budget::staircase(&mut inquiry, most, &mut watch)), most)
        }
        CurveOf::Budget => {
            let budgets = arguments.steps.unwrap_or(BUDGETS);
            (AnyCurve::Budget(budget::spread(&mut inquiry, budgets, &mut watch)), budgets)
        }
    }
}

impl AnyCurve {
    fn is_whole(&self) -> bool {
        match self {
            AnyCurve::Budget(curve) => curve.whole,
            AnyCurve::Limit(curve) => curve.whole,
            AnyCurve::Fluid(curve) => curve.whole,
        }
    }

    fn len(&self) -> u32 {
        let lines = match self {
            AnyCurve::Budget(curve) => curve.points.len(),
            AnyCurve::Limit(curve) => curve.points.len(),
            AnyCurve::Fluid(curve) => curve.points.len(),
        };
        u32::try_from(lines).unwrap_or(u32::MAX)
    }

    fn csv(&self, shown: &Showing) -> Vec<u8> {
        match self {
            AnyCurve::Budget(curve) => report::curve::budget::csv(shown.project, curve, shown.left_out),
            AnyCurve::Limit(curve) => report::curve::limits::csv(curve, shown.left_out),
            AnyCurve::Fluid(curve) => report::curve::fluid::csv(curve, shown.left_out),
        }
    }

    fn json(&self, shown: &Showing) -> String {
        match self {
            AnyCurve::Budget(curve) => report::curve::budget::json(shown.project, curve, shown.left_out),
            AnyCurve::Limit(curve) => report::curve::limits::json(shown.project, curve, shown.left_out),
            AnyCurve::Fluid(curve) => report::curve::fluid::json(shown.project, curve, shown.left_out),
        }
    }

    fn text(&self, shown: &Showing) -> String {
        match self {
            AnyCurve::Budget(curve) => report::curve::budget::text(shown.project, curve, shown.ended),
            AnyCurve::Limit(curve) => report::curve::limits::text(shown.project, curve, shown.ended),
            AnyCurve::Fluid(curve) => report::curve::fluid::text(shown.project, curve, shown.ended),
        }
    }
}
