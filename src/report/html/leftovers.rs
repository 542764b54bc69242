//! Lots that are not placed, with the reason and the vessels to look for; and near misses: lots without a suitable
//! listed vessel, each drawn against the nearest vessel, the one that refuses it by least.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use itertools::Itertools;

use super::page::{Markup, counted, element, list, paragraph, section};
use super::{Extent, Paper, rest};
use crate::options::{Cause, Refusal, Rule};
use crate::plan::{Outcome, Placement, Want};
use crate::report::columns::placements::Placed;
use crate::report::drawing::miss;
use crate::report::table::html::PaperTable;
use crate::stock::VesselId;
use crate::words::{self, warning};

/// Outcomes of lots that are not placed, each with the title of its table and the heading of its reason column.
const GROUPS: [(Outcome, &str, &str); 3] = [
    (Outcome::NeedsDecision, "Needs a decision", "reason"),
    (Outcome::Deferred, "Deferred", "reason"),
    (Outcome::Held, "Held, not to be moved", "reason"),
];

/// Largest number of unplaced lots on the decision pages. If there are more, the annex lists all of them.
const ON_THE_DECISION: usize = 18;
/// Largest number of kinds of vessel to look for on the decision pages.
const WANTS_ON_THE_DECISION: usize = 10;

/// Lots that need a decision, are deferred or are held, as many as two pages hold; then the points to check.
pub(super) fn decisions(paper: Paper) -> Markup {
    let Paper { project, plan, .. } = paper;
    let mut content = waiting(paper, on_the_decision(paper), WANTS_ON_THE_DECISION, "the annex");
    if plan.warnings.len() + plan.prices_not_yours.len() > 0 {
        content.push(element("h3", "", "Points to check"));
        let prices = warning::default_prices(project, plan);
        let prices = prices.iter().map(|price| Markup::from(format!("default price, not your own: {price}")));
        let warnings = warning::sentences(project, plan);
        content.push(list("columns", warnings.into_iter().map(Markup::from).chain(prices)));
    }
    if content.is_empty() {
        content = paragraph("", "Every lot is placed, and nothing is in doubt.");
    }
    section("decisions", "Decisions and doubts", content)
}

/// Annex: all lots that are not placed; empty if the decision pages have all of them.
pub(super) fn all_waiting(paper: Paper) -> Markup {
    let most = on_the_decision(paper);
    let cut = GROUPS.iter().any(|(outcome, ..)| paper.rows_of(*outcome).len() > most);
    if !cut && paper.plan.wants.len() <= WANTS_ON_THE_DECISION {
        return Markup::new();
    }
    let all = waiting(paper, usize::MAX, usize::MAX, "placements.csv");
    section("waiting", "Annex: every lot that is not placed", all)
}

/// Largest number of lots of each outcome on the decision pages: equal shares, where outcomes with few lots leave room to the others.
fn on_the_decision(paper: Paper) -> usize {
    let rows = GROUPS.map(|(outcome, ..)| paper.rows_of(outcome).len());
    let fits = |most: usize| rows.iter().map(|rows| rows.min(&most)).sum::<usize>() <= ON_THE_DECISION;
    (1..=ON_THE_DECISION).take_while(|&most| fits(most)).last().unwrap_or(1)
}

/// Lots that are not placed, at most `most` of each outcome, the most urgent first, and at most `most_wants` kinds of
/// vessel to look for. `elsewhere` names where the rest is listed.
fn waiting(paper: Paper, most: usize, most_wants: usize, elsewhere: &str) -> Markup {
    let project = paper.project;
    let mut content = Markup::new();
    for (outcome, title, why) in GROUPS {
        let mut rows = paper.rows_of(outcome);
        if rows.is_empty() {
            continue;
        }
        // The sort is stable: lots of one priority stay in the order of their keys.
        rows.sort_by_key(|placement| project.collection.specimens[placement.specimen].priority);
        let shown = paper.extent.shown(rows.len()).min(most);
        let fields = [Placed::LOT, Placed::NAME.headed("name"), Placed::PRIORITY, Placed::REASON.headed(why)];
        let placed = rows[..shown].iter().map(|placement| Placed::of(project, paper.plan, placement));
        let table = PaperTable::of("", &fields, placed);
        content.push(element("h3", "", format!("{title}: {}", counted(rows.len(), "lot"))));
        content.push(table.markup());
        content.push(rest(shown, rows.len(), elsewhere));
        if outcome == Outcome::NeedsDecision {
            content.push(to_look_for(paper, "Vessels to look for:", false, most_wants, elsewhere));
        }
    }
    content.push(to_look_for(paper, "Vessels to look for instead of a tank:", true, most_wants, elsewhere));
    content
}

/// Kinds of vessel to look for, those wanted by the most lots first.
fn to_look_for(paper: Paper, heading: &'static str, instead_of_tank: bool, most: usize, elsewhere: &str) -> Markup {
    let wants = paper.plan.wants.iter().filter(|want| want.instead_of.is_some() == instead_of_tank);
    let wants: Vec<&Want> = wants.sorted_by_key(|want| Reverse(want.specimens.len())).collect();
    if wants.is_empty() {
        return Markup::new();
    }
    let shown = if paper.extent == Extent::Pictures { wants.len() } else { wants.len().min(MOST_WANTS) };
    let shown = shown.min(most);
    let want = |want: &&Want| {
        let lots = counted(want.specimens.len(), "lot");
        Markup::from(format!("{}: {lots}", words::want(paper.project, want)))
    };
    let listed = list(if shown > 8 { "columns" } else { "" }, wants.iter().take(shown).map(want));
    paragraph("", heading).with(listed).with(rest(
        shown,
        wants.len(),
        if most < usize::MAX { elsewhere } else { "plan.json" },
    ))
}

/// Largest number of kinds of vessel listed if the survey has more than [`super::EVERY_PICTURE`] rows.
const MOST_WANTS: usize = 60;

/// A lot, its nearest vessel, and the refusal.
type Miss<'a> = (&'a Placement, VesselId, Refusal);

/// Lots without a suitable listed vessel, each against its nearest vessel.
pub(super) fn leftovers(paper: Paper) -> Markup {
    let Paper { project, plan, .. } = paper;
    let missed = plan.placements.iter().filter_map(|placement| {
        let (vessel, refusal) = *placement.near_miss.as_deref()?;
        // A refusal by `must_use` or `must_not_use` says nothing about what the vessel lacks.
        let missed = placement.vessel.is_none() && refusal.rule != Rule::Pin;
        missed.then_some((placement, vessel, refusal))
    });
    let mut missed: Vec<Miss> = missed.collect();
    if missed.is_empty() {
        let words = "Every lot that can be decided has a suitable listed vessel.";
        return section("leftovers", "Near misses: lots without a suitable listed vessel", paragraph("", words));
    }
    missed.sort_by_key(|(placement, ..)| &project.collection.specimens[placement.specimen].key);
    let shown = paper.extent.shown(missed.len());
    let fields = [
        Placed::LOT,
        Placed::NAME.headed("name"),
        Placed::OUTCOME,
        Placed::NEAREST_VESSEL.headed("nearest vessel"),
        Placed::NEAREST_SHORTFALL.headed("misses by"),
    ];
    let rows = missed[..shown].iter().map(|(placement, ..)| Placed::of(project, plan, placement));
    let table = PaperTable::of("", &fields, rows);
    let drawn = drawn(paper, &missed);
    let figures: Markup = drawn.iter().enumerate().filter_map(|(i, miss)| figure(paper, *miss, i)).collect();
    let mut content = paragraph("", EXPLAINED);
    if !figures.is_empty() {
        content.push(element("div", "figures", figures));
    }
    content.push(table.markup());
    content.push(rest(shown, missed.len(), "placements.csv"));
    section("leftovers", "Near misses: lots without a suitable listed vessel", content)
}

const EXPLAINED: &str = "No listed vessel is suitable for these lots. Each is drawn against the nearest vessel. \
    Cross-hatching marks the part that does not fit; the dotted line is the limit after the required free space is \
    deducted. If the reason is something other than space, the table gives it.";

/// Misses to draw: all, or beyond [`super::EVERY_PICTURE`] rows the smallest and the largest of each vessel and cause.
fn drawn<'a>(paper: Paper, missed: &[Miss<'a>]) -> Vec<Miss<'a>> {
    if paper.extent == Extent::Pictures {
        return missed.to_vec();
    }
    let mut groups: BTreeMap<(VesselId, Cause), Vec<Miss>> = BTreeMap::new();
    for miss in missed {
        groups.entry((miss.1, miss.2.cause)).or_default().push(*miss);
    }
    let by = |miss: &Miss| miss.2.shortfall.unwrap_or(0.0);
    let mut shown = Vec::new();
    for mut rows in groups.into_values().take(MOST_GROUPS) {
        rows.sort_by(|one, other| by(one).total_cmp(&by(other)));
        shown.extend(rows.first().copied());
        shown.extend(rows.last().copied().filter(|_| rows.len() > 1));
    }
    shown
}

/// Largest number of pairs of vessel and cause drawn if not every miss is.
const MOST_GROUPS: usize = 100;

fn figure(paper: Paper, (placement, vessel, refusal): Miss, number: usize) -> Option<Markup> {
    let specimen = &paper.project.collection.specimens[placement.specimen];
    let name = format!("miss-{number}");
    let drawing = miss::overlap(paper.project, specimen, vessel, refusal, &name)?;
    let against = format!(" against {}", words::near_miss(paper.project, &(vessel, refusal)));
    let caption = element("b", "", specimen.key.to_string()).with(against);
    Some(element("figure", "", drawing.with(element("figcaption", "", caption))))
}
