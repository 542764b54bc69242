//! `report.html`: the plan as a paper of its own. One file, no script, nothing from elsewhere; reads on a screen and
//! prints on A4 and Letter. What a drawing shows stands in a table too.

mod basis;
mod opening;
mod orders;
mod placed;
mod tanks;
mod waiting;

use super::drawing::escaped;
use crate::plan::Plan;
use crate::project::Project;
use crate::units::Money;

/// Above this many rows of the survey one drawing stands for a vessel and posture: the tightest and the loosest.
pub const MOST_DRAWN: usize = 2_000;

/// Above this many rows the report has no line for each: `placements.csv` has.
pub const MOST_LISTED: usize = 20_000;

/// The whole report; `inputs` are the files that were read with their digests.
pub fn report(project: &Project, plan: &Plan, inputs: &[(String, String)]) -> Vec<u8> {
    let sections = [
        ("Orders", orders::section(project, plan)),
        ("Into vessels", placed::section(project, plan)),
        ("Custom tanks", tanks::section(project, plan)),
        ("Not placed", waiting::section(project, plan)),
        ("Fluid", orders::fluids(project, plan)),
        ("Cautions", basis::cautions(plan)),
        ("What this rests on", basis::section(project, plan, inputs)),
    ];
    let sections: Vec<(&str, String)> = sections.into_iter().filter(|(_, body)| !body.is_empty()).collect();
    let anchor = |title: &str| title.to_lowercase().replace(' ', "-");
    let contents: String =
        sections.iter().map(|(title, _)| format!("<a href=\"#{}\">{title}</a>", anchor(title))).collect();
    let body: String = sections
        .iter()
        .map(|(title, body)| format!("<section id=\"{}\"><h2>{title}</h2>{body}</section>", anchor(title)))
        .collect();
    format!(
        "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"/><meta name=\"viewport\" \
         content=\"width=device-width\"/><title>Rehousing plan</title><style>{STYLE}</style></head>\n<body>{PATTERNS}<main>{}\
         <nav aria-label=\"Contents\">{contents}</nav>{body}</main></body></html>\n",
        opening::section(project, plan)
    )
    .into_bytes()
}

const STYLE: &str = include_str!("html/report.css");

/// Hatchings that the drawings share.
const PATTERNS: &str = "<svg width=\"0\" height=\"0\" aria-hidden=\"true\" focusable=\"false\"><defs>\
    <pattern id=\"hatch\" width=\"5\" height=\"5\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\">\
    <path d=\"M0 0V5\" stroke=\"#1d2a2e\" stroke-width=\"1.3\"/></pattern>\
    <pattern id=\"dots\" width=\"5\" height=\"5\" patternUnits=\"userSpaceOnUse\"><rect width=\"5\" height=\"5\" \
    fill=\"#d6e4e3\"/><circle cx=\"2\" cy=\"2\" r=\"1\" fill=\"#12545c\"/></pattern>\
    <pattern id=\"lines\" width=\"4\" height=\"4\" patternUnits=\"userSpaceOnUse\"><rect width=\"4\" height=\"4\" \
    fill=\"#fff\"/><path d=\"M0 2H4\" stroke=\"#12545c\" stroke-width=\"1.2\"/></pattern></defs></svg>";

/// A column of a table: its head, and whether it holds numbers.
struct Column(&'static str, bool);

/// A table of cells that are HTML already.
fn table(caption: &str, columns: &[Column], rows: &[Vec<String>]) -> String {
    if rows.is_empty() {
        return String::new();
    }
    let class = |column: &Column| if column.1 { " class=\"n\"" } else { "" };
    let head: String =
        columns.iter().map(|column| format!("<th scope=\"col\"{}>{}</th>", class(column), column.0)).collect();
    let line = |row: &Vec<String>| {
        let cells = row.iter().zip(columns).map(|(cell, column)| format!("<td{}>{cell}</td>", class(column)));
        format!("<tr>{}</tr>", cells.collect::<String>())
    };
    let caption = if caption.is_empty() { String::new() } else { format!("<caption>{caption}</caption>") };
    format!(
        "<table>{caption}<thead><tr>{head}</tr></thead><tbody>{}</tbody></table>",
        rows.iter().map(line).collect::<String>()
    )
}

/// An amount with its currency.
fn money(project: &Project, amount: Money) -> String {
    match project.settings.currency.as_str() {
        "" => amount.on_screen(),
        currency => format!("{} {}", amount.on_screen(), escaped(currency)),
    }
}

/// `1 row`, `3 rows`.
fn counted(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// A drawing with its caption.
fn figure(drawing: &str, caption: &str) -> String {
    if drawing.is_empty() {
        return String::new();
    }
    format!("<figure>{drawing}<figcaption>{caption}</figcaption></figure>")
}
