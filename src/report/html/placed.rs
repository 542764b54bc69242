//! What goes into which vessel, by vessel, each drawn to scale; how full they are, and where the list has holes.

use std::collections::BTreeMap;

use itertools::Itertools;

use super::{Column, MOST_DRAWN, MOST_LISTED, counted, escaped, figure, table};
use crate::collection::Size;
use crate::options::Fit;
use crate::plan::{Placement, Plan};
use crate::project::Project;
use crate::report::drawing::{charts, vessel};
use crate::stock::{Section, Vessel, VesselId};
use crate::units::{Length, decimal};

pub fn section(project: &Project, plan: &Plan) -> String {
    let mut groups: BTreeMap<VesselId, Vec<(&Placement, Fit)>> = BTreeMap::new();
    for placement in &plan.placements {
        if let (Some(id), Some(fit)) = (placement.vessel, placement.fit) {
            groups.entry(id).or_default().push((placement, fit));
        }
    }
    if groups.is_empty() {
        return String::new();
    }
    let listed = plan.placements.len() <= MOST_LISTED;
    let mut text = charts_of(project, plan);
    if !listed {
        text.push_str("<p class=\"note\">There are too many rows to list here: placements.csv has every one.</p>");
    }
    for (id, rows) in &groups {
        let vessel = project.stock.vessel(*id);
        let pieces: u32 = rows.iter().map(|(_, fit)| fit.pieces).sum();
        text.push_str(&format!(
            "<h3>{} <span class=\"light\">{} · {} · {}</span></h3>",
            escaped(&vessel.id),
            counted(pieces as usize, "piece", "pieces"),
            counted(rows.len(), "row", "rows"),
            escaped(&inside(vessel))
        ));
        if listed {
            let lines: Vec<_> = rows.iter().map(|row| line(project, row)).collect();
            text.push_str(&table("", &COLUMNS, &lines).replacen("<table>", "<table class=\"lines\">", 1));
        }
        text.push_str(&drawings(project, plan, vessel, rows));
    }
    text
}

const COLUMNS: [Column; 10] = [
    Column("specimen", false),
    Column("name", false),
    Column("outcome", false),
    Column("posture", false),
    Column("wall, mm", true),
    Column("cover, mm", true),
    Column("tissue, %", true),
    Column("fillings", true),
    Column("fluid, ml", true),
    Column("look at", false),
];

fn line(project: &Project, (placement, fit): &(&Placement, Fit)) -> Vec<String> {
    let specimen = &project.collection.specimens[placement.specimen];
    let mm = |length: Option<Length>| length.map_or(String::new(), |length| decimal(length.mm(), 1));
    let pieces = if fit.pieces > 1 { format!(" in {} vessels", fit.pieces) } else { String::new() };
    vec![
        escaped(&specimen.key.to_string()),
        format!("<i>{}</i>", escaped(&specimen.name)),
        format!("{}{pieces}", placement.outcome.name()),
        fit.stance.map_or("as now", |stance| stance.name()).to_owned(),
        mm(fit.wall_gap),
        mm(fit.cover),
        fit.tissue_share.map_or(String::new(), |share| decimal(share * 100.0, 1)),
        placement.charges.to_string(),
        placement.fluid.map_or(String::new(), |fluid| fluid.0.to_string()),
        escaped(&placement.review),
    ]
}

/// `round 95 × 180 mm inside, mouth round 74 mm`.
fn inside(vessel: &Vessel) -> String {
    let section = |section: Section| match section {
        Section::Round(bore) => format!("round {}", decimal(bore.mm(), 1)),
        Section::Rectangular(..) => {
            format!("{} × {}", decimal(section.larger().mm(), 1), decimal(section.smaller().mm(), 1))
        }
    };
    let mouth =
        if vessel.mouth == vessel.section { String::new() } else { format!(", mouth {} mm", section(vessel.mouth)) };
    format!("{} × {} mm inside{mouth}", section(vessel.section), decimal(vessel.inner_height.mm(), 1))
}

/// Every row while there are few; else of each posture the tightest and the loosest.
fn drawings(project: &Project, plan: &Plan, vessel: &Vessel, rows: &[(&Placement, Fit)]) -> String {
    let gap = |(_, fit): &&&(&Placement, Fit)| fit.wall_gap.map_or(f64::INFINITY, Length::mm);
    let chosen: Vec<&(&Placement, Fit)> = if plan.placements.len() <= MOST_DRAWN {
        rows.iter().collect()
    } else {
        let by_stance = rows.iter().into_group_map_by(|(_, fit)| fit.stance);
        let ends = by_stance.values().flat_map(|rows| {
            let tightest = rows.iter().min_by(|a, b| gap(a).total_cmp(&gap(b)));
            let loosest = rows.iter().max_by(|a, b| gap(a).total_cmp(&gap(b)));
            [tightest, loosest].into_iter().flatten().copied()
        });
        ends.sorted_by_key(|(placement, _)| placement.specimen).dedup_by(|a, b| a.0.specimen == b.0.specimen).collect()
    };
    let drawn: String = chosen
        .into_iter()
        .map(|(placement, fit)| {
            let specimen = &project.collection.specimens[placement.specimen];
            let posture = fit.stance.map_or("as now", |stance| stance.name());
            figure(
                &vessel::placed(project, specimen, vessel, fit),
                &format!("{} · {posture}", escaped(&specimen.key.to_string())),
            )
        })
        .collect();
    format!("<div class=\"drawings\">{drawn}</div>")
}

/// Bodies against vessels, and how full the vessels are.
fn charts_of(project: &Project, plan: &Plan) -> String {
    let specimens = &project.collection.specimens;
    let measured = specimens.iter().filter_map(|specimen| match specimen.size {
        Size::Measured(envelope) => {
            let mut across = [envelope.width.mm(), envelope.height.mm(), envelope.length.mm()];
            across.sort_by(f64::total_cmp);
            Some((across[1], across[2]))
        }
        _ => None,
    });
    // So many points that more would only blacken the page.
    let every = (specimens.len() / MOST_POINTS).max(1);
    let bodies: Vec<(f64, f64)> = measured.step_by(every).collect();
    let vessels: Vec<(f64, f64)> =
        project.stock.listed().map(|(_, vessel)| (vessel.section.smaller().mm(), vessel.inner_height.mm())).collect();
    let limit = project.settings.tissue_share_pct.0;
    let mut counts = vec![0_usize; ((limit / 5.0).ceil() as usize).clamp(1, 20)];
    let shares = plan.placements.iter().filter_map(|placement| placement.fit?.tissue_share);
    for share in shares {
        let at = ((share * 20.0) as usize).min(counts.len() - 1);
        counts[at] += 1;
    }
    let sizes = "Second-largest and largest side of each specimen (points) against the smaller inner width and height of each \
                 kind of vessel (squares): where points stand without a square above and to their right the list has a hole";
    figure(&charts::sizes(&bodies, &vessels), sizes)
        + &figure(&charts::shares(&counts, limit), "How full the vessels are")
}

const MOST_POINTS: usize = 4_000;
