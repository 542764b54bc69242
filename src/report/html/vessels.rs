//! The placements grouped by vessel: drawings of lots in their vessels, and tables of the same lots.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use itertools::Itertools;

use super::page::{Markup, counted, element, element_with, grouped, mm, paragraph, section};
use super::{Extent, Paper, rest};
use crate::fit::Stance;
use crate::options::Fit;
use crate::plan::Placement;
use crate::report::columns::placements::Placed;
use crate::report::drawing::frame::Frame;
use crate::report::drawing::vessel::{standing, symbol};
use crate::report::table::html::{PaperCell, PaperTable};
use crate::report::table::{Column, Kind, Unit};
use crate::stock::{Section, Vessel, VesselId};
use crate::units::{decimal, truncated_count};
use crate::words;

/// A placement in a listed vessel, with its fit.
type Housed<'a> = (&'a Placement, Fit);

/// The section of drawings.
pub(super) fn vessels(paper: Paper) -> Markup {
    let groups = groups(paper);
    if groups.is_empty() {
        let words = "No lot goes into a listed vessel.";
        return section("vessels", "Vessels and their contents", paragraph("", words));
    }
    let mut content = paragraph("", EXPLAINED);
    match paper.extent {
        Extent::Pictures => {}
        Extent::Rows => content
            .push(paragraph("note", "Two drawings for each vessel and posture: the tightest lot and the loosest.")),
        Extent::Groups => {
            let words = "Two drawings for each vessel and posture: the tightest lot and the loosest. placements.csv has every lot.";
            content.push(paragraph("note", words));
        }
    }
    let drawn = fullest(paper, &groups);
    let shown = groups.iter().filter(|(id, _)| drawn.contains(id));
    // Groups with one row of drawings stand side by side; longer groups stand alone and may break across pages.
    let shown: Vec<(bool, Markup)> = shown.map(|(id, rows)| group(paper, *id, rows)).collect();
    for alike in shown.chunk_by(|(one, _), (other, _)| one == other) {
        let groups: Markup = alike.iter().map(|(_, group)| group.clone()).collect();
        content.push(if alike[0].0 { element("div", "groups", groups) } else { groups });
    }
    content.push(rest(drawn.len(), groups.len(), "placements.csv"));
    section("vessels", "Vessels and their contents", content)
}

/// The annex of tables: every lot, vessel by vessel.
pub(super) fn lots(paper: Paper) -> Markup {
    let groups = groups(paper);
    if groups.is_empty() {
        return Markup::new();
    }
    let mut content = summary(paper, &groups).with(paragraph("note", COLUMNS));
    content.push(loose(paper, &groups));
    let shown = fullest(paper, &groups);
    let mut lots: Vec<Housed> = Vec::new();
    for (_, rows) in groups.iter().filter(|(id, _)| shown.contains(id)) {
        // If not every lot is listed, the lots that are drawn are.
        match paper.extent {
            Extent::Groups => lots.extend(drawn(paper, rows).iter().map(|(housed, _)| *housed)),
            _ => lots.extend(rows),
        }
    }
    content.push(table(paper, &lots));
    content.push(rest(lots.len(), groups.values().map(Vec::len).sum(), "placements.csv"));
    section("lots", "Annex: every lot, vessel by vessel", content)
}

/// Placements by vessel, those of each vessel sorted by key.
fn groups(paper: Paper) -> BTreeMap<VesselId, Vec<Housed>> {
    let mut groups: BTreeMap<VesselId, Vec<Housed>> = BTreeMap::new();
    for placement in &paper.plan.placements {
        if let (Some(vessel), Some(fit)) = (placement.vessel, placement.fit) {
            groups.entry(vessel).or_default().push((placement, fit));
        }
    }
    for rows in groups.values_mut() {
        rows.sort_by_key(|(placement, _)| &paper.project.collection.specimens[placement.specimen].key);
    }
    groups
}

/// Vessels whose lots are shown: all, or beyond [`super::EVERY_ROW`] rows those with the most lots.
fn fullest(paper: Paper, groups: &BTreeMap<VesselId, Vec<Housed>>) -> BTreeSet<VesselId> {
    let shown = if paper.extent == Extent::Groups { MOST_VESSELS } else { groups.len() };
    let by_rows = groups.iter().sorted_by_key(|(id, rows)| (Reverse(rows.len()), **id));
    by_rows.take(shown).map(|(id, _)| *id).collect()
}

/// Largest number of vessels shown with their lots beyond [`super::EVERY_ROW`] rows.
const MOST_VESSELS: usize = 150;
/// Largest number of vessels in the summary beyond [`super::EVERY_ROW`] rows.
const MOST_LISTED: usize = 2_000;

/// How to read the drawings.
const EXPLAINED: &str = "Each drawing shows the box around the largest individual, hatched, in front view and in plan. \
    Printed at full size it is to the scale given above it. The broken line with a triangle is the surface of the \
    fluid; the figure to its right is the depth of fluid above the highest point, in mm. The short heavy line in the \
    plan marks where the body is nearest to the wall; the figure under it is the gap there. A dotted outline in the \
    plan is the mouth.";

/// How to read the tables.
const COLUMNS: &str = "Wall: gap at the wall. Cover: fluid above the highest point; for a lot, above one individual, \
    the largest. Mouth: total free space in the mouth. Tissue: its share of the filled volume. Lasts: how long vessel \
    and closure are expected to last in this fluid.";

/// Very loose lots (`very_loose_pct`), each with the vessel to look for.
fn loose(paper: Paper, groups: &BTreeMap<VesselId, Vec<Housed>>) -> Markup {
    let Paper { project, extent, .. } = paper;
    // Two decimals, so that a share just below the limit is not printed as the limit.
    let fields = [
        Placed::LOT,
        Placed::NAME.headed("name"),
        Placed::VESSEL,
        Placed::TISSUE_SHARE.headed("tissue, %").kind(Kind::Decimal(2)),
        Placed::SMALLER_VESSEL,
    ];
    let loose: Vec<Housed> = groups.values().flatten().copied().filter(|(_, fit)| fit.marks.very_loose).collect();
    let shown = extent.shown(loose.len());
    let rows = loose[..shown].iter().map(|(placement, _)| Placed::of(project, paper.plan, placement));
    let table = PaperTable::of("", &fields, rows).markup();
    if table.is_empty() {
        return table;
    }
    let title =
        format!("Very loose: tissue below {} % of the filled volume", decimal(project.settings.very_loose_pct.0, 1));
    element("h3", "", title).with(table).with(rest(shown, loose.len(), "placements.csv"))
}

/// The table of vessels with their lots and pieces.
fn summary(paper: Paper, groups: &BTreeMap<VesselId, Vec<Housed>>) -> Markup {
    let columns = [
        Column::text("vessel"),
        Column::whole("lots"),
        Column::count("pieces"),
        Column::count("from the shelf"),
        Column::count("to order"),
        Column::decimal("one holds, ml", 0, Unit::Millilitres),
        Column::length("least free at the wall, mm"),
        Column::decimal("most tissue, %", 1, Unit::Percent),
    ];
    let mut table = PaperTable::new("", columns);
    let shown = if paper.extent == Extent::Groups { groups.len().min(MOST_LISTED) } else { groups.len() };
    for (id, rows) in groups.iter().take(shown) {
        let vessel = paper.project.stock.vessel(*id);
        let pieces: i64 = rows.iter().map(|(_, fit)| i64::from(fit.pieces)).sum();
        let on_hand: i64 = rows.iter().map(|(placement, _)| i64::from(placement.pieces_on_hand)).sum();
        let gaps = rows.iter().filter_map(|(_, fit)| fit.wall_gap).reduce(|one, other| one.min(other));
        let share = rows.iter().filter_map(|(_, fit)| fit.tissue_share).reduce(f64::max);
        table.row([
            (&vessel.id).into(),
            rows.len().into(),
            pieces.into(),
            on_hand.into(),
            (pieces - on_hand).into(),
            vessel.brimful.ml().into(),
            gaps.into(),
            share.map(|share| share * 100.0).into(),
        ]);
    }
    table.markup().with(rest(shown, groups.len(), "placements.csv"))
}

/// Drawings of the lots in one vessel; `true` if they fit in one row.
fn group(paper: Paper, id: VesselId, rows: &[Housed]) -> (bool, Markup) {
    let vessel = paper.project.stock.vessel(id);
    let drawn = drawn(paper, rows);
    let one = Frame::of(vessel).size[0];
    let columns = format!("grid-template-columns:repeat(auto-fill,{}mm)", decimal(one, 1));
    let figures = |drawn: &[(Housed, &str)]| {
        let figures: Markup = drawn.iter().map(|(housed, why)| figure(paper, id, *housed, why)).collect();
        element_with("div", &[("class", "figures"), ("style", &columns)], figures)
    };
    // The heading and the first row of drawings stay on one page.
    let in_a_row = truncated_count((PAGE_MM + GAP_MM) / (one + GAP_MM)).clamp(1, drawn.len().max(1));
    let (first, others) = drawn.split_at(in_a_row.min(drawn.len()));
    let head: Markup = [
        element("h3", "", format!("{}: {}", vessel.id, counted(rows.len(), "lot"))),
        paragraph("note", described(paper, vessel)),
        element_with("svg", &[("class", "hidden"), ("aria-hidden", "true")], symbol(vessel, id)),
        figures(first),
    ]
    .into_iter()
    .collect();
    let mut content = element("div", "keep", head);
    if !others.is_empty() {
        content.push(figures(others));
    }
    // A group is only as wide as its drawings, so that vessels with few lots stand side by side, and no wider than the page.
    let n = in_a_row as f64;
    let width = format!("width:min(100%,{}mm)", decimal(n * one + (n - 1.0) * GAP_MM + 0.2, 1));
    (others.is_empty(), element_with("div", &[("class", "group"), ("style", &width)], content))
}

/// Printed width on A4.
const PAGE_MM: f64 = 188.0;

/// Gap between drawings, as in the style sheet.
const GAP_MM: f64 = 3.0;

/// Lots to draw, each with the words before its caption: all lots, or the tightest and the loosest of each posture.
fn drawn<'a>(paper: Paper, rows: &[Housed<'a>]) -> Vec<(Housed<'a>, &'static str)> {
    if paper.extent == Extent::Pictures {
        return rows.iter().map(|housed| (*housed, "")).collect();
    }
    let by_stance = rows.iter().into_group_map_by(|(_, fit)| fit.stance.map(Stance::name));
    let mut shown = Vec::new();
    for (_, mut rows) in by_stance.into_iter().sorted_by_key(|(stance, _)| *stance) {
        let gap = |(_, fit): &Housed| fit.wall_gap.map_or(0.0, |gap| gap.mm());
        rows.sort_by(|one, other| gap(one).total_cmp(&gap(other)));
        if let (Some(first), Some(last)) = (rows.first(), rows.last()) {
            shown.push((**first, if rows.len() > 1 { "tightest: " } else { "" }));
            if rows.len() > 1 {
                shown.push((**last, "loosest: "));
            }
        }
    }
    shown
}

fn figure(paper: Paper, id: VesselId, (placement, fit): Housed, why: &str) -> Markup {
    let specimen = &paper.project.collection.specimens[placement.specimen];
    let drawing = standing(paper.project, specimen, id, &fit);
    let stance = fit.stance.map_or("as now, not measured", |stance| stance.name());
    let lean = if fit.leaning { ", leaning: needs support" } else { "" };
    let name = if specimen.name.is_empty() { String::new() } else { format!("{} · ", specimen.name) };
    let words = Markup::from(name).with(element("span", "short", format!("{stance}{lean}")));
    let caption = element("b", "", specimen.key.to_string()).with(" ").with(why).with(words);
    element("figure", "", drawing.with(element("figcaption", "", caption)))
}

/// Size, mouth, material, closure and scale of a vessel, in words.
fn described(paper: Paper, vessel: &Vessel) -> String {
    let size = |section: Section| match section {
        Section::Round(bore) => format!("⌀ {}", mm(bore)),
        Section::Rectangular(length, width) => format!("{} × {}", mm(length), mm(width)),
    };
    let shoulder = if vessel.body_height < vessel.inner_height {
        format!(", shoulder at {}", mm(vessel.body_height))
    } else {
        String::new()
    };
    let description = if vessel.description.is_empty() { String::new() } else { format!("{}; ", vessel.description) };
    let rules = &paper.project.rules;
    format!(
        "{description}inside {} × {} mm{shoulder}, mouth {} mm; {}; {}. Drawn {}.",
        size(vessel.section),
        mm(vessel.inner_height),
        size(vessel.mouth),
        rules.material(vessel.material).name,
        rules.closure(vessel.closure).name,
        Frame::of(vessel).words,
    )
}

fn table(paper: Paper, rows: &[Housed]) -> Markup {
    let fields = [
        Placed::LOT,
        Placed::NAME.headed("name"),
        Placed::VESSEL,
        Placed::FROM,
        Placed::POSTURE_OR_NOW,
        Placed::WALL_GAP.headed("wall, mm"),
        Placed::COVER.headed("cover, mm"),
        Placed::MOUTH_GAP.headed("mouth, mm"),
        Placed::TISSUE_SHARE.headed("tissue, %"),
        Placed::LIFE_YEARS.headed("lasts, years"),
        Placed::FLUID,
        Placed::FLUID_ML.headed("fluid, ml"),
    ];
    let placed = rows.iter().map(|(placement, _)| Placed::of(paper.project, paper.plan, placement));
    let mut table = PaperTable::of("", &fields, placed);
    for (cells, (placement, fit)) in table.rows.iter_mut().zip(rows) {
        // The reason for a review stands under the name of the lot.
        if placement.marks.any() {
            let review = element("span", "review", format!("review: {}", words::review(placement.marks)));
            let name = &paper.project.collection.specimens[placement.specimen].name;
            cells[1] = PaperCell::Markup(Markup::from(name).with(review));
        }
        if fit.charges > 1 {
            let fluid = placement.fluid.map_or(String::new(), |fluid| grouped(fluid.0));
            cells[11] = format!("{} × {fluid}", fit.charges).into();
        }
    }
    table.markup()
}
