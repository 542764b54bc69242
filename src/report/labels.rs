//! Labels for inside the vessels, one for each jar, in working order: `labels.csv` with every Darwin Core field of the survey,
//! and `labels.html`, a sheet to print and cut. The date is left blank, to be filled in.

use itertools::Itertools;

use super::columns::labels::{Label, jars, stands};
use super::columns::{Keys, carried, carried_headers};
use super::html::page::{Markup, counted, document, element, element_with, list, paragraph};
use super::table::{Column, cells, csv};
use super::transfer_sheets::working_order;
use super::work;
use crate::plan::{Placement, Plan};
use crate::project::Project;
use crate::rules::Fluid;
use crate::units::decimal;

/// `labels.csv`: a line for each jar.
pub fn file(project: &Project, plan: &Plan) -> Vec<u8> {
    let keys = Keys::of(project);
    let ours = Label::FILE.map(|field| field.column);
    let carried_headers = carried_headers(project, &ours);
    let carried_columns = carried_headers.iter().map(|header| Column::text(header));
    let columns: Vec<Column> = keys.columns.iter().copied().chain(ours).chain(carried_columns).collect();
    let order = working_order(project, plan);
    let days = (1..).zip(work::days(project, &order));
    let rows = days.flat_map(|(day, rows)| rows.iter().map(move |placement| (day, *placement)));
    let labels = rows.flat_map(|(day, placement)| {
        let specimen = &project.collection.specimens[placement.specimen];
        (1..=jars(placement)).map(move |jar| Label { project, specimen, placement, day, jar })
    });
    let rows =
        labels.map(|label| keys.cells(label.specimen).chain(cells(&Label::FILE, label)).chain(carried(label.specimen)));
    csv::file(&columns, &plan.skipped_rows, rows)
}

/// `labels.html`: labels to cut. Labels that cannot stand in their vessel are named at the top and printed last.
pub fn sheet(project: &Project, plan: &Plan) -> Vec<u8> {
    let order = working_order(project, plan);
    let (standing, other): (Vec<&Placement>, Vec<&Placement>) =
        order.into_iter().partition(|placement| stands(project, placement));
    let [wide, high] = [project.settings.label_width, project.settings.label_height].map(|side| decimal(side.mm(), 2));
    let mut body = element("h1", "", "Labels");
    if !plan.skipped_rows.is_empty() {
        let words = format!(
            "Left out: {} of the survey or stock lists that could not be read.",
            counted(plan.skipped_rows.len(), "line")
        );
        body.push(paragraph("first", words));
    }
    let words = format!(
        "{} × {} mm, one for each jar. Print at full size (100 %) on paper that lasts in the fluid, with ink tested in \
         it. Cut along the corner marks. Write in the date when the vessel is filled. Keep every old label: the new \
         one goes in beside it.",
        wide, high
    );
    body.push(paragraph("screen", words));
    body.push(cannot_stand(project, &other));
    let [standing, other] = [standing, other].map(|rows| {
        let jars = rows.into_iter().flat_map(|row| (1..=jars(row)).map(move |jar| (row, jar)));
        jars.map(|(row, jar)| content(project, row, jar)).collect_vec()
    });
    let room = [project.settings.label_width.mm() - 3.0, project.settings.label_height.mm() - 2.2];
    let type_mm = common_type(standing.iter().chain(&other), room);
    let [standing, other] =
        [standing, other].map(|labels| labels.into_iter().map(|content| label(content, type_mm, room)).collect_vec());
    let cut = standing.iter().chain(&other).filter(|set| !set.whole).count();
    if cut > 0 {
        let words = format!("{} too small for the text: set a larger size under [labels].", counted(cut, "label"));
        body.push(paragraph("first", words));
    }
    body.push(left_out(standing.iter().chain(&other)));
    let sheet =
        |labels: Vec<LabelSet>| element("div", "labels", labels.into_iter().map(|set| set.label).collect::<Markup>());
    body.push(sheet(standing));
    if !other.is_empty() {
        body.push(element("h2", "", "To be tied on, or printed smaller"));
        body.push(sheet(other));
    }
    let style = format!(
        "@page {{ margin: 10mm; @bottom-right {{ content: none; }} }} .labels {{ grid-template-columns: repeat(auto-fill, {wide}mm); }} .label {{ width: {wide}mm; \
         height: {high}mm; }}"
    );
    document("Labels", "cut", &style, element("main", "", body))
}

/// The list of labels that cannot stand, by vessel.
fn cannot_stand(project: &Project, rows: &[&Placement]) -> Markup {
    if rows.is_empty() {
        return Markup::new();
    }
    let mut by_vessel: Vec<(&str, Vec<String>)> = rows
        .iter()
        .filter_map(|row| Some((project.stock.vessel(row.vessel?).id.as_str(), row.specimen)))
        .into_group_map()
        .into_iter()
        .map(|(vessel, rows)| {
            (vessel, rows.into_iter().map(|row| project.collection.specimens[row].key.to_string()).sorted().collect())
        })
        .collect();
    by_vessel.sort();
    let items =
        by_vessel.into_iter().map(|(vessel, keys)| element("b", "", vessel).with(format!(": {}", keys.join(", "))));
    let heading = element("b", "", format!("{} too large to stand in the vessel:", counted(rows.len(), "label")));
    element("div", "first", paragraph("", heading).with(list("", items)))
}

/// A line of a label: its class, its text, and whether it may be left out if there is no room.
struct LabelLine(&'static str, String, bool);

/// The lines of a label, the key of its specimen, and the id of its fluid, which replaces the name if there is no room.
struct Content {
    lines: Vec<LabelLine>,
    key: String,
    fluid: String,
}

/// A label, whether all required lines fit on it, the classes of the lines that were left out, and the key of its specimen.
struct LabelSet {
    label: Markup,
    whole: bool,
    left_out: Vec<&'static str>,
    key: String,
}

/// The largest type size in which the required lines fit on every label: one size for the whole sheet.
fn common_type<'a>(labels: impl Iterator<Item = &'a Content> + Clone, room: [f64; 2]) -> f64 {
    let needed = |content: &Content, size: f64| height(content.lines.iter().filter(|line| !line.2), size, room[0]);
    let fits = |size: &f64| labels.clone().all(|content| needed(content, *size) <= room[1]);
    TYPE_MM.into_iter().find(fits).unwrap_or(TYPE_MM[TYPE_MM.len() - 1])
}

/// The lines of one label.
fn content(project: &Project, placement: &Placement, jar: u32) -> Content {
    let jars = jars(placement);
    let specimen = &project.collection.specimens[placement.specimen];
    let fluid = project.rules.fluid(specimen.fluid);
    let mut house = [&specimen.key.institution, &specimen.key.collection].into_iter().filter(|part| !part.is_empty());
    let mut number = [&specimen.key.catalog_number, &specimen.key.part].into_iter().filter(|part| !part.is_empty());
    let count = counted(specimen.individuals as usize, "individual");
    let of = if jars > 1 { format!("jar {jar} of {jars}") } else { String::new() };
    let about =
        [specimen.particulars.type_status.clone(), count, of].into_iter().filter(|part| !part.is_empty()).join(" · ");
    let place = ["locality", "eventdate", "recordedby"].iter().filter_map(|wanted| {
        let column = project.collection.carried_headers.iter().position(|name| name.eq_ignore_ascii_case(wanted))?;
        specimen.particulars.carried.get(column).filter(|cell| !cell.is_empty())
    });
    let from = std::iter::once(&specimen.particulars.event).filter(|event| !event.is_empty()).chain(place).join(" · ");
    // The line for one individual, not divided and without type status, may be left out.
    let plain = specimen.individuals == 1 && jars == 1 && specimen.particulars.type_status.is_empty();
    let mut lines = vec![
        LabelLine("house", house.join(" "), true),
        LabelLine("number", number.join(" "), false),
        LabelLine("name", specimen.name.clone(), false),
        LabelLine("about", about, plain),
        LabelLine("from", from, true),
        LabelLine("in", named_with_strength(fluid), false),
    ];
    lines.retain(|LabelLine(_, text, _)| !text.is_empty());
    Content { lines, key: specimen.key.to_string(), fluid: fluid.id.clone() }
}

/// One label in this size of type. If there is no room, first the id replaces the name of the fluid, then lines are left out.
fn label(Content { mut lines, key, fluid }: Content, type_mm: f64, room: [f64; 2]) -> LabelSet {
    let mut left_out = Vec::new();
    let whole = loop {
        if height(lines.iter(), type_mm, room[0]) <= room[1] {
            break true;
        }
        let long = |line: &&mut LabelLine| line.0 == "in" && line.1.chars().count() > fluid.chars().count();
        if let Some(line) = lines.iter_mut().find(long) {
            line.1.clone_from(&fluid);
            continue;
        }
        match lines.iter().rposition(|LabelLine(_, _, optional)| *optional) {
            Some(last) => left_out.push(lines.remove(last).0),
            None => break false,
        }
    };
    let lines = lines.into_iter().map(|LabelLine(class, text, _)| element("div", class, text));
    let date = Markup::fixed("<div class=\"date\">filled</div><i></i>");
    let style = format!("font-size:{type_mm}mm");
    let label = element_with("div", &[("class", "label"), ("style", &style)], lines.chain([date]).collect::<Markup>());
    LabelSet { label, whole, left_out, key }
}

/// The list of labels with lines left out, by missing line.
fn left_out<'a>(labels: impl Iterator<Item = &'a LabelSet> + Clone) -> Markup {
    let missing = LEFT_OUT.iter().filter_map(|(class, what)| {
        let of_class = labels.clone().filter(|set| set.left_out.contains(class)).map(|set| set.key.as_str());
        let keys = of_class.dedup().collect_vec();
        (!keys.is_empty()).then(|| element("b", "", *what).with(format!(": {}", keys.join(", "))))
    });
    let items = missing.collect_vec();
    if items.is_empty() {
        return Markup::new();
    }
    let heading = element("b", "", "Left off for want of room; write it in, or set a larger size under [labels]:");
    element("div", "first", paragraph("", heading).with(list("", items)))
}

/// Lines that may be left out, in words.
const LEFT_OUT: [(&str, &str); 3] = [
    ("house", "institution and collection"),
    ("about", "number of individuals"),
    ("from", "event, locality, date and collector"),
];

/// `Ethanol 70 %`: the strength is added to a name that does not state it. The number and `%` stay on one line.
fn named_with_strength(fluid: &Fluid) -> String {
    let named = match fluid.strength_pct.filter(|_| !fluid.name.contains('%')) {
        Some(strength) => format!("{} {} %", fluid.name, decimal(strength, 1)),
        None => fluid.name.clone(),
    };
    named.replace(" %", "\u{a0}%")
}

/// Sizes of type that labels are set in, mm, the largest first.
const TYPE_MM: [f64; 8] = [2.7, 2.5, 2.3, 2.1, 1.9, 1.7, 1.5, 1.3];

/// Height of the lines and the line to fill in, in this size of type, mm.
fn height<'a>(lines: impl Iterator<Item = &'a LabelLine>, size: f64, wide: f64) -> f64 {
    let high = |LabelLine(class, text, _): &LabelLine| rows(class, text, wide / size) * 1.15;
    size * (lines.map(high).sum::<f64>() + 1.6)
}

/// Estimated number of rows of a text, if a row is `wide` times as wide as the size of type. The width of a letter counts as half
/// the size of type, or more in bold and in lines with many capitals.
fn rows(class: &str, text: &str, wide: f64) -> f64 {
    let letter = match class {
        "number" | "in" => 0.56,
        "from" | "house" => 0.53,
        _ => 0.5,
    };
    let (mut rows, mut used) = (1.0, 0.0);
    for word in text.split_whitespace() {
        let long = letter * word.chars().count() as f64;
        let space = if used > 0.0 { letter } else { 0.0 };
        if used + space + long <= wide {
            used += space + long;
            continue;
        }
        // A word longer than a row is broken anywhere.
        let more = (long / wide.max(letter)).ceil();
        rows += if used > 0.0 { more } else { more - 1.0 };
        used = long - (more - 1.0) * wide;
    }
    rows
}
