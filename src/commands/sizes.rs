//! `rehouse sizes`: what sizes of vessel are worth to the plan.

use std::path::Path;
use std::time::Duration;

use super::answer::{self, AnswerForms};
use super::screen::{Working, words};
use super::{Ending, Failure, bench_record, plan, reading};
use crate::assign::Progress;
use crate::audit;
use crate::cli::SizesArguments;
use crate::decision::Status;
use crate::inquiry::catalogue::{CatalogueWorth, WithCatalogue, catalogue_worth, with_catalogue};
use crate::inquiry::kept::{KeptKinds, kept};
use crate::inquiry::listed::{ListedVessels, listed};
use crate::inquiry::new_sizes::{NewSizes, NoNewSizes, families, new_sizes};
use crate::inquiry::{Inquiry, Watch};
use crate::intake::Reading;
use crate::options::table::judge_all;
use crate::project::Project;
use crate::report;
use crate::report::curve::EndedBy;
use crate::system::clock::Stopwatch;
use crate::system::interrupt;
use crate::units::index;

/// Answers and prints; ends with 1 where rows were left out.
pub fn run(arguments: &SizesArguments) -> Result<Ending, Failure> {
    arguments.answer.out.as_deref().map_or(Ok(()), bench_record::refuse_to_replace)?;
    let messages = answer::of_messages(arguments.answer.format);
    let reading = reading::read(&arguments.input.inputs, &arguments.input.beside, messages)?;
    let inputs = plan::input_paths(&arguments.input, &reading.files);
    let Some(project) = &reading.project else { return Ok(Ending::Findings) };
    if let Some(most) = arguments.keep {
        refuse_to_keep(project, most)?;
    }
    if let Some(most) = arguments.new {
        refuse_new_sizes(project, most)?;
    }
    let offered = match &arguments.offer {
        Some(path) => Some(offered(path, &reading, project, arguments)?),
        None => None,
    };
    let Ok(offered) = offered.map_or(Ok(None), |offered| offered.ok_or(()).map(Some)) else {
        return Ok(Ending::Findings);
    };
    let mut left_out = reading.skipped.clone();
    left_out.extend(offered.iter().flat_map(|offered| offered.left_out.iter().cloned()));
    let started = Stopwatch::start();
    let late = || started.elapsed() >= Duration::from_secs(arguments.answer.time);
    let stop = || late() || interrupt::requested();
    let found = answer_of(project, arguments, offered.as_ref().map(|offered| &offered.with), &stop);
    let ended = match () {
        () if found.is_whole(stop()) => None,
        () if interrupt::requested() => Some(EndedBy::Interruption),
        () => Some(EndedBy::Time(arguments.answer.time)),
    };
    interrupt::patient(None);
    let shown = SizesShown { project, ended, left_out: &left_out };
    let forms = AnswerForms { text: &|| found.text(&shown), csv: &|| found.csv(&shown), json: &|| found.json(&shown) };
    answer::show(&arguments.answer, &inputs, &left_out, &forms)?;
    Ok(match () {
        () if interrupt::requested() => Ending::Interrupted,
        () if !left_out.is_empty() => Ending::Findings,
        () => Ending::Done,
    })
}

/// What is shown with an answer.
struct SizesShown<'a> {
    project: &'a Project,
    ended: Option<EndedBy>,
    left_out: &'a [String],
}

/// An answer of any kind.
enum SizesAnswer {
    Listed(ListedVessels),
    Kept(KeptKinds),
    Offered(Box<Project>, CatalogueWorth),
    NewSizes(Box<NewSizes>),
}

/// The project with a supplier's list; `None` where the list has faults, which were told.
fn offered(
    path: &Path,
    reading: &Reading,
    project: &Project,
    arguments: &SizesArguments,
) -> Result<Option<Offered>, Failure> {
    let messages = answer::of_messages(arguments.answer.format);
    let list = reading::read_catalogue(path, reading, &arguments.input.beside, messages)?;
    let Some(read) = list.project else { return Ok(None) };
    let name = path.display();
    if read.stock.offers.is_empty() {
        let cure = "give each row a vessel and a price: unit_price or pack_price";
        return Err(Failure::cured(format!("{name} has no row that could be bought"), cure));
    }
    let with = with_catalogue(project, &read.stock).map_err(|vessels| {
        let what = format!("{name}: the stock list has other sizes, materials or closures for {}", vessels.join(", "));
        Failure::cured(what, "make them agree, or give the vessels of the list names of their own")
    })?;
    Ok(Some(Offered { with, left_out: list.skipped }))
}

/// A project with a supplier's list, and rows of the list that could not be read.
struct Offered {
    with: WithCatalogue,
    left_out: Vec<String>,
}

/// Refuses what `--keep` cannot answer.
fn refuse_to_keep(project: &Project, most: u32) -> Result<(), Failure> {
    let (listed, settings) = (project.stock.vessels.len(), &project.settings);
    let refused = |what: String, cure: &str| Err(Failure::cured(format!("--keep {most}: {what}"), cure));
    match () {
        () if index(most) > listed => {
            refused(format!("the stock list has {listed} kinds of vessel"), &format!("write {listed} or less"))
        }
        () if settings.spare_pct.0 > 0.0 => refused(
            "spare pieces are asked of what is bought, and here pieces on the shelf count alike".to_owned(),
            "add --set spare_pct=0",
        ),
        () if settings.max_vessel_types.is_some() => refused(
            "max_vessel_types limits the kinds bought, and this the kinds in use".to_owned(),
            "add --set max_vessel_types=\"\"",
        ),
        () => Ok(()),
    }
}

/// Refuses what `--new` cannot answer.
fn refuse_new_sizes(project: &Project, most: u32) -> Result<(), Failure> {
    let refused = |what: &str, cure: &str| Err(Failure::cured(format!("--new {most}: {what}"), cure));
    match (families(project), &project.settings) {
        (_, settings) if settings.max_vessel_types.is_some() => refused(
            "max_vessel_types limits all kinds bought, and this the new ones",
            "add --set max_vessel_types=\"\"",
        ),
        (_, settings) if settings.max_suppliers.is_some() => refused(
            "max_suppliers counts suppliers, and who would sell a new size is not known",
            "add --set max_suppliers=\"\"",
        ),
        (Err(NoNewSizes::NoVessels), _) => refused(
            "the stock list has no vessel whose proportions a new size could have",
            "list a vessel of each form, material and closure that may be ordered",
        ),
        (Err(NoNewSizes::NoPrices), _) => refused(
            "the stock list has no prices at two different capacities, so no price can be estimated",
            "list prices, or state some by litres: --set sizes.price=\"0.1=1.20|1=3.50\"",
        ),
        (Ok(_), _) => Ok(()),
    }
}

fn answer_of(
    project: &Project,
    arguments: &SizesArguments,
    offered: Option<&WithCatalogue>,
    stop: &dyn Fn() -> bool,
) -> SizesAnswer {
    let working = Working::on("checking every specimen against every vessel");
    let rows = judge_all(project);
    interrupt::patient(Some(
        "Interrupted: the search stops, and what was found so far is shown. Interrupt again to end at once.",
    ));
    let mut report = |progress: Progress| working.now(words(&progress));
    let mut watch = Watch { report: &mut report, stop };
    let inquiry = Inquiry::about(project, &rows);
    if let Some(most) = arguments.new {
        let found = new_sizes(&inquiry, most, &|project, plan| audit::audit(project, plan).is_empty(), &mut watch);
        return SizesAnswer::NewSizes(Box::new(found.expect("families with prices, as asked before")));
    }
    match (arguments.keep, offered) {
        (Some(most), _) => SizesAnswer::Kept(kept(&inquiry, most, &mut watch)),
        (None, Some(with)) => {
            let now = inquiry.plan_value(&inquiry.decide(&mut watch));
            let rows = judge_all(&with.project);
            let other = Inquiry::about(&with.project, &rows);
            let worth = catalogue_worth(now, &other, &with.offers, &mut watch);
            SizesAnswer::Offered(Box::new(with.project.clone()), worth)
        }
        (None, None) => SizesAnswer::Listed(listed(&inquiry, &mut watch)),
    }
}

impl SizesAnswer {
    fn is_whole(&self, stopped: bool) -> bool {
        match self {
            SizesAnswer::Listed(listed) => listed.is_whole(),
            SizesAnswer::Kept(kept) => !stopped || kept.plan.status == Status::ProvedBest,
            SizesAnswer::Offered(_, worth) => worth.is_whole(),
            SizesAnswer::NewSizes(found) => found.is_whole() && (!stopped || found.plan.status == Status::ProvedBest),
        }
    }

    fn csv(&self, shown: &SizesShown) -> Vec<u8> {
        match self {
            SizesAnswer::Listed(listed) => report::sizes::listed::csv(shown.project, listed, shown.left_out),
            SizesAnswer::Kept(kept) => report::sizes::kept::csv(shown.project, kept, shown.left_out),
            SizesAnswer::Offered(with, worth) => report::sizes::catalogue::csv(with, worth, shown.left_out),
            SizesAnswer::NewSizes(found) => report::sizes::new_sizes::csv(found, shown.left_out),
        }
    }

    fn json(&self, shown: &SizesShown) -> String {
        match self {
            SizesAnswer::Listed(listed) => report::sizes::listed::json(shown.project, listed, shown.left_out),
            SizesAnswer::Kept(kept) => report::sizes::kept::json(shown.project, kept, shown.left_out),
            SizesAnswer::Offered(with, worth) => report::sizes::catalogue::json(with, worth, shown.left_out),
            SizesAnswer::NewSizes(found) => report::sizes::new_sizes::json(found, shown.left_out),
        }
    }

    fn text(&self, shown: &SizesShown) -> String {
        match self {
            SizesAnswer::Listed(listed) => report::sizes::listed::text(shown.project, listed, shown.ended),
            SizesAnswer::Kept(kept) => report::sizes::kept::text(shown.project, kept, shown.ended),
            SizesAnswer::Offered(with, worth) => report::sizes::catalogue::text(with, worth, shown.ended),
            SizesAnswer::NewSizes(found) => report::sizes::new_sizes::text(found, shown.ended),
        }
    }
}
