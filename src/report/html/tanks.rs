//! Tanks made to measure: dimensioned drawings, cut lists, and the sheets the panes are cut from.

use std::cmp::Reverse;

use itertools::Itertools;

use super::page::{Markup, counted, element, element_with, list, mm, paragraph, section};
use super::{Extent, Paper, rest};
use crate::plan::sheets::by_thickness;
use crate::plan::tanks::TankDesign;
use crate::plan::{SheetLayout, Tank};
use crate::report::columns::tanks::{Cut, Made, sides};
use crate::report::drawing;
use crate::report::summary::ways_out;
use crate::report::table::html::PaperTable;
use crate::report::table::{Column, Unit};
use crate::tank::remarks::{PLAINLY, RIGID_BRACE};
use crate::tank::seams;
use crate::units::decimal;

/// The whole section.
pub(super) fn tanks(paper: Paper) -> Markup {
    let Paper { project, plan, .. } = paper;
    if plan.tanks.is_empty() {
        // So little needs no page of its own.
        let content = element("h2", "", "Custom tanks").with(paragraph("", "No tank is needed."));
        return element_with("section", &[("id", "tanks"), ("class", "none")], content);
    }
    let mut tanks: Vec<&Tank> = plan.tanks.iter().collect();
    tanks.sort_by_key(|tank| &project.collection.specimens[tank.specimen].key);
    let mut content = summary(paper, &tanks);
    let drawn = drawn(paper, &tanks);
    content.push(drawn.iter().map(|(tank, alike)| one(paper, tank, *alike)).collect::<Markup>());
    let alike = drawn.iter().map(|(_, alike)| alike).sum::<usize>();
    if alike < tanks.len() {
        let words = format!("{} of other sizes: panes.csv has their cut lists.", counted(tanks.len() - alike, "tank"));
        content.push(paragraph("note", words));
    }
    content.push(sheets(paper));
    if tanks.iter().any(|tank| tank.design.is_some()) {
        content.push(orders_of_work(paper, &tanks));
        let braced = tanks.iter().filter_map(|tank| tank.design.as_deref()).any(TankDesign::braced);
        let braced = braced.then_some(RIGID_BRACE);
        content.push(element("h3", "", "Limits of these designs"));
        content.push(list("", PLAINLY.iter().copied().chain([seams::REMARK]).chain(braced).map(Markup::from)));
    }
    section("tanks", "Custom tanks", content)
}

/// The order of work of every tank, tanks that are built alike together.
fn orders_of_work(paper: Paper, tanks: &[&Tank]) -> Markup {
    let designed = tanks.iter().filter_map(|tank| Some((tank.design.as_deref()?, tank.specimen)));
    let alike = designed.map(|(design, specimen)| (&design.order_of_work, specimen)).into_group_map();
    let mut alike: Vec<(&Vec<String>, Vec<usize>)> = alike.into_iter().collect();
    alike.sort_by_key(|(_, specimens)| specimens.first().map(|row| &paper.project.collection.specimens[*row].key));
    let one = |(steps, specimens): (&Vec<String>, Vec<usize>)| {
        let keys: Vec<String> = specimens
            .iter()
            .take(MOST_KEYS)
            .map(|row| paper.project.collection.specimens[*row].key.to_string())
            .collect();
        let more = specimens.len() - keys.len();
        let more = if more > 0 { format!(" and {}", counted(more, "more tank")) } else { String::new() };
        let steps: Markup = steps.iter().map(|step| element("li", "", step)).collect();
        let heading = element("h3", "", format!("Order of work: {}{more}", keys.join(", ")));
        element("div", "keep", heading.with(element("ol", "", steps)))
    };
    alike.into_iter().map(one).collect()
}

/// Tanks that one order of work names.
const MOST_KEYS: usize = 12;

fn summary(paper: Paper, tanks: &[&Tank]) -> Markup {
    let fields = [
        Made::LOT,
        Made::NAME.headed("name"),
        Made::CLEAR,
        Made::FLUID,
        Made::LITRES,
        Made::GLASS,
        Made::FULL.headed("full, kg"),
        Made::PRICE,
        Made::SHORT_NOTE,
    ];
    let shown = paper.extent.shown(tanks.len());
    let rows = tanks[..shown].iter().map(|tank| Made::of(paper.project, tank));
    let table = paper.money(PaperTable::of("Length × width × height", &fields, rows));
    let ways = ways_out(paper.project, paper.plan).into_iter();
    let ways = ways.map(|(fluid, ways)| {
        paragraph("note", format!("Instead of bonded glass, for {fluid}: {ways}; price unknown."))
    });
    table.markup().with(rest(shown, tanks.len(), "tanks.csv")).with(ways.collect::<Markup>())
}

fn clear(tank: &Tank) -> String {
    sides(&[tank.length, tank.width, tank.height])
}

/// All tanks; beyond [`super::EVERY_PICTURE`] rows one of each size with how many are alike, the most frequent sizes.
fn drawn<'a>(paper: Paper, tanks: &[&'a Tank]) -> Vec<(&'a Tank, usize)> {
    let most = match paper.extent {
        Extent::Pictures => return tanks.iter().map(|tank| (*tank, 1)).collect(),
        Extent::Rows => MOST_SIZES,
        Extent::Groups => MOST_SIZES / 3,
    };
    let name = |tank: &Tank| (clear(tank), tank.design.as_ref().map(|design| design.construction.clone()));
    let sizes = tanks.iter().copied().into_group_map_by(|tank| name(tank));
    let sizes = sizes.into_iter().sorted_by_key(|(size, tanks)| (Reverse(tanks.len()), size.clone()));
    let sizes = sizes.take(most).filter_map(|(_, tanks)| Some((*tanks.first()?, tanks.len())));
    sizes.sorted_by_key(|(tank, _)| name(tank)).collect()
}

/// Sizes of tank that are drawn where not every one is.
const MOST_SIZES: usize = 60;

fn one(paper: Paper, tank: &Tank, alike: usize) -> Markup {
    let specimen = &paper.project.collection.specimens[tank.specimen];
    let alike = if alike > 1 { format!(", and {} more of this size", alike - 1) } else { String::new() };
    let heading = element("h3", "", format!("{} {}: {} mm{alike}", specimen.key, specimen.name, clear(tank)));
    let drawn = element("figure", "", drawing::tank::tank(paper.project, tank));
    let Some(design) = tank.design.as_deref() else {
        let beside = paragraph("", tank.note_and_ways());
        return element("div", "keep", heading.with(element("div", "beside", drawn.with(beside))));
    };
    let beside = element("div", "", figures(&paper.project.settings.tank_lid, design));
    let content = heading.with(element("div", "beside", drawn.with(beside))).with(cut_list(design));
    // What to mind may run on over the page; drawing and cut list may not.
    element("div", "keep", content).with(list("note", design.warnings.iter().map(Markup::from)))
}

fn figures(lid: &str, design: &TankDesign) -> Markup {
    let mpa = |stress: crate::units::Pressure| decimal(stress.mpa(), 2);
    let rows = [
        ("glass", format!("walls {}, base {}, lid {}; {}", design.wall, design.base, design.lid, design.construction)),
        ("lid", lid.to_owned()),
        ("outside with its lid", format!("{} mm", design.outer.map(mm).join(" × "))),
        (
            "glass stress",
            format!("{} of {} MPa allowed, in the {}", mpa(design.stress), mpa(design.allowable), design.stressed),
        ),
        (
            "bending of a wall",
            format!(
                "{} of {} mm allowed",
                decimal(design.deflection.mm(), 3),
                decimal(design.deflection_limit.mm(), 2)
            ),
        ),
        ("highest joint stress", format!("{} MPa: {}", mpa(design.seam), design.seam_class)),
        ("sealant", format!("{} ml; cartridges: {}", decimal(design.sealant.ml(), 0), design.cartridges)),
        ("mass", format!("{} kg empty, {} kg full", decimal(design.empty.kg(), 1), decimal(design.full.kg(), 1))),
    ];
    let mut table = PaperTable::new("", [Column::text(""), Column::text("")]);
    for (what, figure) in rows {
        table.row([what.into(), figure.into()]);
    }
    table.markup()
}

fn cut_list(design: &TankDesign) -> Markup {
    let fields = [
        Cut::PANE,
        Cut::PIECES,
        Cut::LENGTH.headed("length, mm"),
        Cut::WIDTH.headed("width, mm"),
        Cut::THICKNESS.headed("thickness, mm"),
        Cut::EDGES,
    ];
    PaperTable::of("Cut list", &fields, design.panes.iter().map(|pane| Cut { pane })).markup()
}

/// Stock sheets, drawn with their panes.
fn sheets(paper: Paper) -> Markup {
    let sheets = &paper.plan.sheets;
    if sheets.is_empty() {
        return Markup::new();
    }
    let most = match paper.extent {
        Extent::Pictures => sheets.len(),
        Extent::Rows => MOST_SHEETS,
        Extent::Groups => MOST_SHEETS / 3,
    };
    let shown = sheets.len().min(most);
    let mut content = element("h3", "", format!("Glass: {}", counted(sheets.len(), "stock sheet")));
    let columns = [
        Column::length("thickness, mm"),
        Column::whole("sheets"),
        Column::decimal("their area, m²", 2, Unit::None),
        Column::decimal("used, %", 0, Unit::Percent),
    ];
    let mut table = PaperTable::new("To order", columns).narrow();
    for (thickness, count, whole, used) in by_thickness(sheets) {
        table.row([thickness.into(), count.into(), whole.into(), (100.0 * used / whole.max(1e-9)).into()]);
    }
    content.push(table.markup());
    for (i, sheet) in sheets[..shown].iter().enumerate() {
        content.push(layout(paper, sheet, i + 1));
    }
    content.with(rest(shown, sheets.len(), "plan.json"))
}

/// Stock sheets that are drawn where not everything is.
const MOST_SHEETS: usize = 15;

fn layout(paper: Paper, sheet: &SheetLayout, number: usize) -> Markup {
    let area = |length: crate::units::Length, width: crate::units::Length| length.mm() * width.mm() / 1e6;
    let used: f64 = sheet.panes.iter().map(|pane| area(pane.length, pane.width)).sum();
    let whole = area(sheet.length, sheet.width);
    let share = decimal(100.0 * used / whole.max(1e-9), 0);
    let size = format!("{} × {} × {} mm", mm(sheet.length), mm(sheet.width), mm(sheet.thickness));
    let caption = format!("Sheet {number}: {size}, {share} % used");
    let figure = element(
        "figure",
        "",
        drawing::sheet::layout(paper.project, sheet).with(element("figcaption", "", caption.as_str())),
    );
    let columns = [
        Column::whole("no"),
        Column::text("pane"),
        Column::text("for"),
        Column::length("length, mm"),
        Column::length("width, mm"),
        Column::length("from the left, mm"),
        Column::length("from below, mm"),
    ];
    let mut table = PaperTable::new("", columns);
    for (i, pane) in sheet.panes.iter().enumerate() {
        let key = paper.project.collection.specimens[pane.specimen].key.to_string();
        table.row([
            (i + 1).into(),
            (&pane.pane).into(),
            key.into(),
            pane.length.into(),
            pane.width.into(),
            pane.x.into(),
            pane.y.into(),
        ]);
    }
    figure.with(table.markup())
}
