//! Two charts, each with its table: bodies against the available vessels (shows gaps in the list), and tissue share of
//! the lots in vessels.

use std::collections::BTreeSet;

use super::Paper;
use super::page::{Markup, element, paragraph, section};
use crate::collection::{Envelope, Outline, Posture, Size, Specimen};
use crate::fit::coil::coil_envelope;
use crate::fit::footprint::Footprint;
use crate::fit::{Stance, mouth};
use crate::report::drawing::chart::{self, Point};
use crate::report::table::Column;
use crate::report::table::html::PaperTable;
use crate::stock::{Section, VesselId};
use crate::units::{Length, decimal, truncated_count};

/// Both charts.
pub(super) fn sizes(paper: Paper) -> Markup {
    section("sizes", "Annex: sizes, and how full the vessels are", against_vessels(paper).with(tissue(paper)))
}

/// Smallest round mouth that the body passes, and the body's height, in the stance that needs the narrowest mouth.
fn least_section(specimen: &Specimen) -> Option<(Length, Length)> {
    let Size::Measured(measured) = specimen.size else { return None };
    let coiled = specimen.posture == Posture::Coil;
    let thick = measured.width.max(measured.height);
    let envelope: Envelope = if coiled { coil_envelope(measured.length, thick) } else { measured };
    let stances = if coiled { &[Stance::Height] } else { Stance::allowed(specimen.posture) };
    let outline = if coiled { Outline::Rounded } else { specimen.outline };
    let of = |stance: &Stance| {
        let (vertical, (along, across)) = stance.measures(&envelope);
        (mouth::measure(Footprint { outline, along, across }, Section::Round(Length::ZERO)), vertical)
    };
    stances.iter().map(of).min_by(|one, other| one.0.mm().total_cmp(&other.0.mm()))
}

fn against_vessels(paper: Paper) -> Markup {
    let Paper { project, plan, .. } = paper;
    let used: BTreeSet<VesselId> = plan.placements.iter().filter_map(|placement| placement.vessel).collect();
    let available =
        |id: VesselId| project.stock.vessel(id).free_pieces() > 0 || project.stock.offers_of(id).next().is_some();
    let vessels = project.stock.listed().filter(|(id, _)| available(*id)).map(|(id, vessel)| {
        let point = if used.contains(&id) { Point::UsedVessel } else { Point::Vessel };
        (point, vessel.section.smaller().mm(), vessel.inner_height.mm())
    });
    let vessels: Vec<(Point, f64, f64)> = vessels.collect();
    let bodies = plan.placements.iter().filter_map(|placement| {
        let (wide, high) = least_section(&project.collection.specimens[placement.specimen])?;
        let left = placement.near_miss.is_some() && placement.vessel.is_none();
        Some((if left { Point::Leftover } else { Point::Body }, wide.mm(), high.mm()))
    });
    let bodies: Vec<(Point, f64, f64)> = bodies.collect();
    if bodies.is_empty() {
        return Markup::new();
    }
    let title = "Bodies against the available vessels";
    let words = "Squares: available vessels, filled where one is used. Points: bodies in the posture that needs the \
        narrowest mouth, larger where several are alike. Crosses: bodies for which no listed vessel is suitable. A \
        cross with no square near it, above and to the right, shows a gap in the list. Both scales are logarithmic.";
    let all: Vec<(Point, f64, f64)> = vessels.iter().chain(&bodies).copied().collect();
    let figure = element("figure", "", chart::sizes(title, words, &all).with(element("figcaption", "", words)));
    let columns = [
        Column::text("width, mm"),
        Column::whole("bodies"),
        Column::whole("of which without a suitable vessel"),
        Column::whole("kinds of vessel"),
    ];
    let mut table = PaperTable::new(
        "The same figures by width of the part that must pass, and of the bore or smaller width of a vessel",
        columns,
    )
    .narrow();
    for (low, high) in bands() {
        let within = |points: &[(Point, f64, f64)], of: &dyn Fn(Point) -> bool| {
            points.iter().filter(|(point, wide, _)| of(*point) && *wide >= low && *wide < high).count()
        };
        let [bodies_here, left] = [within(&bodies, &|_| true), within(&bodies, &|point| point == Point::Leftover)];
        let vessels_here = within(&vessels, &|_| true);
        if bodies_here + vessels_here > 0 {
            let name = if high.is_finite() { format!("{low} to {high}") } else { format!("{low} and more") };
            table.row([name.into(), bodies_here.into(), left.into(), vessels_here.into()]);
        }
    }
    element("h3", "", title).with(figure).with(table.markup())
}

/// Bands of width in mm: lower limit (included) and upper limit (excluded).
fn bands() -> impl Iterator<Item = (f64, f64)> {
    let steps = [0.0, 10.0, 20.0, 35.0, 50.0, 75.0, 100.0, 150.0, 200.0, 300.0, 500.0, f64::INFINITY];
    (1..steps.len()).map(move |i| (steps[i - 1], steps[i]))
}

/// Histogram of the tissue share in the fullest vessel of each lot, in classes up to the allowed share.
fn tissue(paper: Paper) -> Markup {
    let Paper { project, plan, .. } = paper;
    let shares = plan.placements.iter().filter_map(|placement| placement.fit?.tissue_share);
    let shares: Vec<f64> = shares.collect();
    if shares.is_empty() {
        return Markup::new();
    }
    let limit = project.settings.tissue_share_pct.0;
    let step = (limit / CLASSES as f64).max(0.1);
    let mut counts = [0usize; CLASSES];
    for share in &shares {
        counts[truncated_count(share * 100.0 / step).min(CLASSES - 1)] += 1;
    }
    let name = |i: usize| format!("{}–{}", decimal(step * i as f64, 1), decimal(step * (i + 1) as f64, 1));
    let bars: Vec<(String, usize)> = counts.iter().enumerate().map(|(i, count)| (name(i), *count)).collect();
    let title = "Tissue share of the lots in vessels, %";
    let words = format!(
        "Lots by tissue share of the filled volume, in the fullest vessel of each; at most {} % is allowed.",
        decimal(limit, 1)
    );
    let most = (CLASSES, format!("most {} %", decimal(limit, 1)));
    let edges: Vec<String> = (0..=CLASSES).map(|i| decimal(step * i as f64, 1)).collect();
    let figure = element("figure", "", chart::histogram(title, &words, &counts, &edges, Some(most)));
    let mut table = PaperTable::new("", [Column::text("tissue share, %"), Column::whole("lots")]).narrow();
    for (name, count) in bars {
        table.row([name.into(), count.into()]);
    }
    let unknown = plan.placements.iter().filter(|p| p.fit.is_some_and(|fit| fit.tissue_share.is_none())).count();
    let unknown = if unknown > 0 {
        paragraph("note", format!("{} not shown: tissue unknown.", super::page::counted(unknown, "lot")))
    } else {
        Markup::new()
    };
    element("h3", "", title).with(figure).with(paragraph("note", words)).with(table.markup()).with(unknown)
}

/// Number of classes of tissue share.
const CLASSES: usize = 12;
