//! What each vessel in use is worth: what the plan comes to without it, as charts and their table.

use std::collections::BTreeSet;

use super::Paper;
use super::buys::unaudited;
use super::page::{Markup, element, list, paragraph, section};
use crate::inquiry::listed::{ListedVessel, ListedVessels};
use crate::report::columns::sizes::ListedLine;
use crate::report::drawing::chart;
use crate::report::table::html::PaperTable;
use crate::stock::VesselId;
use crate::units::Money;
use crate::words::{counted, worth as words};

/// Vessels that a chart shows.
const SHOWN: usize = 24;

/// The whole section; empty where nothing was asked.
pub(super) fn worth(paper: Paper) -> Markup {
    let Some(listed) = ListedVessels::of_answers(paper.project, paper.plan) else { return Markup::new() };
    let most = words::worth_most(paper.project, paper.plan).map(|most| paragraph("", format!("{most}.")));
    let content = [most.unwrap_or_default(), lost(paper, &listed), dearer(paper, &listed), table(paper, &listed)];
    let content: Markup = content.into_iter().chain([notes(paper, &listed)]).collect();
    section("worth", "Vessels worth having", unaudited(paper).with(content))
}

/// Vessels without which lots have no place.
fn lost(paper: Paper, listed: &ListedVessels) -> Markup {
    let bar = |vessel: &ListedVessel| {
        let by_priority = listed.lost_without(vessel);
        let lost = by_priority.map(|lots| lots.max(0));
        let gained: i64 = by_priority.iter().map(|lots| (-lots).max(0)).sum();
        let mut words = counted(number(lost.iter().sum()), "lot", "lots");
        if gained > 0 {
            words += &format!("; {} placed instead", counted(number(gained), "other", "others"));
        }
        by_priority.iter().any(|lots| *lots != 0).then(|| (name(paper, vessel), lost.map(|lots| lots as f64), words))
    };
    let title = "Lots without a place if a vessel were not to be had";
    let bars: Vec<(String, [f64; 4], String)> = listed.by_worth().into_iter().filter_map(bar).take(SHOWN).collect();
    figure(title, "", chart::by_priority(title, DRAWN_FROM, &bars), bars.is_empty())
}

fn number(lots: i64) -> usize {
    usize::try_from(lots).unwrap_or(0)
}

/// What every chart says of its figures.
const DRAWN_FROM: &str = "The figures are in the table below.";

/// Vessels without which as many lots are placed at a higher cost.
fn dearer(paper: Paper, listed: &ListedVessels) -> Markup {
    let bar = |vessel: &ListedVessel| {
        let money = vessel.without.values.money - listed.now.values.money;
        let shown = listed.lost_without(vessel) == [0; 4] && money > Money::ZERO;
        shown.then(|| (name(paper, vessel), [money.approximate(), 0.0], money.on_screen()))
    };
    let title = "What the plan costs more if a vessel were not to be had";
    let bars: Vec<(String, [f64; 2], String)> = listed.by_worth().into_iter().filter_map(bar).take(SHOWN).collect();
    figure(title, &paper.in_currency("Cost"), chart::bars(title, DRAWN_FROM, &bars), bars.is_empty())
}

fn name(paper: Paper, vessel: &ListedVessel) -> String {
    paper.project.stock.vessel(vessel.vessel).id.clone()
}

/// A chart with its title; empty where it has no bars.
fn figure(title: &str, caption: &str, chart: Markup, is_empty: bool) -> Markup {
    if is_empty {
        return Markup::new();
    }
    let caption = if caption.is_empty() { Markup::new() } else { element("figcaption", "", caption) };
    element("h3", "", title).with(element("figure", "", chart.with(caption)))
}

fn table(paper: Paper, listed: &ListedVessels) -> Markup {
    let project = paper.project;
    let lines = listed.by_worth().into_iter().map(|vessel| ListedLine {
        project,
        now: &listed.now,
        listed: vessel,
        offer: None,
    });
    let mut fields =
        vec![ListedLine::VESSEL, ListedLine::LOTS, ListedLine::USED.headed("pieces"), ListedLine::COST_WITHOUT];
    if listed.vessels.iter().any(|vessel| vessel.one_more.is_some()) {
        fields.push(ListedLine::COST_WITH_PIECE);
    }
    fields.push(ListedLine::PROVED);
    PaperTable::of("sizes.csv", &fields, lines).narrow().markup()
}

fn notes(paper: Paper, listed: &ListedVessels) -> Markup {
    let in_use: BTreeSet<VesselId> = paper.plan.placements.iter().filter_map(|row| row.vessel).collect();
    let shown = listed.vessels.len();
    let rest = (shown < in_use.len())
        .then(|| format!("These are the {shown} vessels that hold most lots, of {} in use.", in_use.len()));
    let mut notes = vec![
        "Without it: what the best plan costs more if no piece of the vessel is to be had, and how many lots then have no \
         place that have one now."
            .to_owned(),
        "The price up to which a pack is worth buying, and what one more piece on the shelf saves: `rehouse sizes`."
            .to_owned(),
    ];
    if crate::words::not_audited(paper.project).is_none() && !listed.vessels.iter().all(ListedVessel::is_proved) {
        notes.push("Not proved: the search ended before it could show that no plan is better.".to_owned());
    }
    list("", rest.into_iter().chain(notes).map(Markup::from))
}
