//! Tanks made to measure: drawings with measures, cut lists, sheets, what is said wherever a tank is shown.

use super::{Column, counted, escaped, figure, money, table};
use crate::plan::{Plan, Tank, sheets};
use crate::project::Project;
use crate::report::drawing::glass;
use crate::tank::remarks;
use crate::units::decimal;

/// Tanks and sheets that are drawn.
const MOST_DRAWN: usize = 60;

pub fn section(project: &Project, plan: &Plan) -> String {
    if plan.tanks.is_empty() {
        return String::new();
    }
    let said: String = remarks::PLAINLY.iter().map(|line| format!("<li>{line}</li>")).collect();
    let mut text = format!("<ul class=\"notes\">{said}</ul>");
    for tank in plan.tanks.iter().take(MOST_DRAWN) {
        text.push_str(&one(project, tank));
    }
    if plan.tanks.len() > MOST_DRAWN {
        let more = plan.tanks.len() - MOST_DRAWN;
        text.push_str(&format!("<p class=\"note\">and {more} more in tanks.csv and panes.csv</p>"));
    }
    let order: String = remarks::ORDER_OF_WORK.iter().map(|step| format!("<li>{}</li>", escaped(step))).collect();
    text.push_str(&format!("<h3>Order of work</h3><ol class=\"notes\">{order}</ol>"));
    for (thickness, count, whole, used) in sheets::by_thickness(&plan.sheets) {
        text.push_str(&format!(
            "<p>{} mm glass: {}, {} % of it used.</p>",
            decimal(thickness.mm(), 1),
            counted(count, "stock sheet", "stock sheets"),
            decimal(100.0 * used / whole, 0)
        ));
    }
    for (at, sheet) in plan.sheets.iter().take(MOST_DRAWN).enumerate() {
        let caption = format!("Sheet {}, {} mm glass", at + 1, decimal(sheet.thickness.mm(), 1));
        text.push_str(&figure(&glass::sheet(project, at + 1, sheet), &caption));
    }
    text
}

fn one(project: &Project, tank: &Tank) -> String {
    let specimen = &project.collection.specimens[tank.specimen];
    let [length, width, height] = [tank.length, tank.width, tank.height].map(|side| decimal(side.mm(), 1));
    let cost = tank.cost.map_or("price unknown".to_owned(), |cost| money(project, cost));
    let mut text = format!(
        "<h3>{} <span class=\"light\"><i>{}</i> · {length} × {width} × {height} mm clear · {} · {} l · {cost}</span></h3><p \
         class=\"note\">{}</p>",
        escaped(&specimen.key.to_string()),
        escaped(&specimen.name),
        escaped(&project.rules.fluid(specimen.fluid).id),
        tank.fluid.litres(),
        escaped(&tank.note)
    );
    let Some(design) = &tank.design else { return text };
    text.push_str(&format!(
        "<p>{}. Walls {} mm, base {} mm. Stress {} of {} MPa, bends {} of {} mm, seams {} MPa ({}). {} kg empty, {} kg full; \
         {} ml of sealant, {}.</p>",
        escaped(&design.construction),
        decimal(design.wall.mm(), 1),
        decimal(design.base.mm(), 1),
        decimal(design.stress.mpa(), 2),
        decimal(design.allowable.mpa(), 2),
        decimal(design.deflection.mm(), 2),
        decimal(design.deflection_limit.mm(), 2),
        decimal(design.seam.mpa(), 3),
        escaped(&design.seam_class),
        decimal(design.empty.kg(), 1),
        decimal(design.full.kg(), 1),
        decimal(design.sealant.ml(), 0),
        counted(usize::try_from(design.cartridges).unwrap_or(0), "cartridge", "cartridges"),
    ));
    text.push_str(&figure(&glass::tank(project, tank), "Front, side and plan; dashed: clear inside; line: fluid"));
    let panes = design.panes.iter().map(|pane| {
        let mm = |side: crate::units::Length| decimal(side.mm(), 1);
        vec![
            escaped(&pane.pane),
            pane.pieces.to_string(),
            mm(pane.length),
            mm(pane.width),
            mm(pane.thickness),
            escaped(&pane.edges),
        ]
    });
    let columns = [
        Column("pane", false),
        Column("pieces", true),
        Column("length, mm", true),
        Column("width, mm", true),
        Column("thick, mm", true),
        Column("edges", false),
    ];
    text.push_str(&table("Cut list", &columns, &panes.collect::<Vec<_>>()));
    let warnings: String = design.warnings.iter().map(|warning| format!("<li>{}</li>", escaped(warning))).collect();
    if !warnings.is_empty() {
        text.push_str(&format!("<ul class=\"notes\">{warnings}</ul>"));
    }
    text
}
