//! `labels.csv` and `labels.html`: a label for every vessel that is filled, the date left to be written in pencil.

use itertools::Itertools;

use super::csv::{key_cells, key_headers, write};
use super::drawing::escaped;
use crate::collection::Specimen;
use crate::plan::cautions::label_stands_in;
use crate::plan::{Placement, Plan};
use crate::project::Project;
use crate::rules::Fluid;
use crate::units::decimal;

/// Header of our own columns, after the key columns and before the carried ones.
const COLUMNS: [&str; 8] =
    ["scientificName", "individualCount", "fluid", "strength_pct", "vessel", "jar", "jars", "date_filled"];

/// One label: a placement and which of its vessels.
fn labels(plan: &Plan) -> impl Iterator<Item = (&Placement, u32, u32)> {
    let placed = plan.placements.iter().filter(|placement| placement.fluid.is_some());
    placed.flat_map(|placement| {
        let jars = placement.fit.map_or(1, |fit| fit.pieces);
        (1..=jars).map(move |jar| (placement, jar, jars))
    })
}

fn strength(fluid: &Fluid) -> String {
    fluid.strength_pct.map_or(String::new(), |strength| decimal(strength, 2))
}

fn vessel(project: &Project, placement: &Placement) -> String {
    placement.vessel.map_or("custom tank".to_owned(), |id| project.stock.vessel(id).id.clone())
}

/// `labels.csv`: a line for each label, in survey order, with the survey's own columns carried through.
pub fn table(project: &Project, plan: &Plan) -> Vec<u8> {
    let carried = project.collection.carried_headers.iter().map(|header| {
        let ours = COLUMNS.iter().any(|column| column.eq_ignore_ascii_case(header));
        if ours { format!("input_{header}") } else { header.clone() }
    });
    let header = key_headers(project).chain(COLUMNS.map(str::to_owned)).chain(carried).collect();
    let rows = labels(plan).map(|(placement, jar, jars)| {
        let specimen = &project.collection.specimens[placement.specimen];
        let fluid = project.rules.fluid(specimen.fluid);
        let own = [
            specimen.name.clone(),
            specimen.individuals.to_string(),
            fluid.id.clone(),
            strength(fluid),
            vessel(project, placement),
            jar.to_string(),
            jars.to_string(),
            String::new(),
        ];
        key_cells(project, &specimen.key).into_iter().chain(own).chain(specimen.carried.iter().cloned()).collect()
    });
    write(header, &plan.skipped_rows, rows)
}

const STYLE: &str = include_str!("labels.css");

/// `labels.html`: labels of the size in the settings, with lines to cut along.
pub fn sheet(project: &Project, plan: &Plan) -> Vec<u8> {
    let settings = &project.settings;
    let [width, height] = [settings.label_width, settings.label_height].map(|side| decimal(side.mm(), 1));
    let made: String = labels(plan).map(|label| one(project, label)).collect();
    let small = plan.placements.iter().filter_map(|placement| placement.vessel).sorted().dedup();
    let small = small.map(|id| project.stock.vessel(id));
    let small = small.filter(|vessel| !label_stands_in(&project.settings, vessel));
    let small = small.map(|vessel| escaped(&vessel.id)).join(", ");
    let small = match small.is_empty() {
        true => String::new(),
        false => format!("<p class=\"first\">A label of this size cannot stand in: {small}.</p>"),
    };
    format!(
        "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"/><meta name=\"viewport\" \
         content=\"width=device-width\"/><title>Labels</title><style>{STYLE}.label{{width:{width}mm;height:{height}mm}}</style>\
         </head>\n<body><main><p class=\"note\">{width} × {height} mm; print at full size on paper that stands the fluid; write \
         the date in soft pencil. Old labels stay with the specimen.</p>{small}<div class=\"labels\">{made}</div></main></body>\
         </html>\n"
    )
    .into_bytes()
}

fn one(project: &Project, (placement, jar, jars): (&Placement, u32, u32)) -> String {
    let specimen: &Specimen = &project.collection.specimens[placement.specimen];
    let count = if specimen.individuals > 1 { format!(" × {}", specimen.individuals) } else { String::new() };
    let jar = if jars > 1 { format!(" · jar {jar} of {jars}") } else { String::new() };
    let kind = if specimen.type_status.is_empty() { String::new() } else { format!(" · {}", specimen.type_status) };
    format!(
        "<div class=\"label\"><b>{}</b><i>{}{}</i><span>{}{}{}</span><span class=\"date\">filled</span></div>",
        escaped(&specimen.key.to_string()),
        escaped(&specimen.name),
        count,
        escaped(&project.rules.fluid(specimen.fluid).name),
        jar,
        escaped(&kind),
    )
}
