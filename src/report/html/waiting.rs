//! Rows that are not placed: what needs a decision with its nearest vessel drawn, what waits, what is held.

use itertools::Itertools;

use super::{Column, MOST_LISTED, escaped, figure, table};
use crate::options::Rule;
use crate::plan::{Outcome, Placement, Plan, cautions};
use crate::project::Project;
use crate::report::drawing::vessel;

/// Near misses that are drawn.
const MOST_DRAWN: usize = 60;

pub fn section(project: &Project, plan: &Plan) -> String {
    let mut text = String::new();
    for (outcome, title) in [
        (Outcome::NeedsDecision, "Needs a decision"),
        (Outcome::Deferred, "Deferred: waits for money, stock or limits"),
        (Outcome::Held, "Held: not to be moved"),
    ] {
        let rows = cautions::rows_of(plan, outcome).take(MOST_LISTED).map(|row| line(project, row)).collect_vec();
        text.push_str(&table(title, &COLUMNS, &rows));
    }
    let wants: String = plan.wants.iter().map(|want| format!("<li>{}</li>", escaped(&want.text))).collect();
    if !wants.is_empty() {
        text.push_str(&format!("<h3>Vessels to look for</h3><ul>{wants}</ul>"));
    }
    let missing = plan.placements.iter().filter(|row| row.vessel.is_none()).filter_map(|row| {
        let (id, refusal) = row.near_miss.filter(|(_, refusal)| matches!(refusal.rule, Rule::Mouth | Rule::Room))?;
        let (specimen, vessel) = (&project.collection.specimens[row.specimen], project.stock.vessel(id));
        let why = refusal.to_string();
        let drawing = vessel::missed(project, specimen, vessel, &why);
        let caption =
            format!("{} against {}: {}", escaped(&specimen.key.to_string()), escaped(&vessel.id), escaped(&why));
        Some(figure(&drawing, &caption)).filter(|figure| !figure.is_empty())
    });
    let missing: String = missing.take(MOST_DRAWN).collect();
    if !missing.is_empty() {
        text.push_str(&format!(
            "<h3>Near misses</h3><p class=\"note\">The vessel that misses by least; hatched: what stops it.</p><div \
             class=\"drawings\">{missing}</div>"
        ));
    }
    text
}

const COLUMNS: [Column; 4] =
    [Column("specimen", false), Column("name", false), Column("priority", true), Column("why", false)];

fn line(project: &Project, row: &Placement) -> Vec<String> {
    let specimen = &project.collection.specimens[row.specimen];
    vec![
        escaped(&specimen.key.to_string()),
        format!("<i>{}</i>", escaped(&specimen.name)),
        specimen.priority.to_string(),
        escaped(&row.reason),
    ]
}
