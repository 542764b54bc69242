//! Tanks made to measure: dimensioned drawings, cut lists, and the sheets the panes are cut from.

use std::cmp::Reverse;

use itertools::Itertools;

use super::page::{Markup, counted, element, element_with, list, mm, paragraph, section};
use super::{Extent, Paper, rest};
use crate::plan::sheets::by_thickness;
use crate::plan::tanks::TankDesign;
use crate::plan::{SheetLayout, Tank};
use crate::report::columns::tanks::{CutLine, Made, sides};
use crate::report::drawing;
use crate::report::summary::ways_out;
use crate::report::table::html::PaperTable;
use crate::report::table::{Column, Unit};
use crate::tank::design::{Footing, RimSupport, TankConstruction};
use crate::tank::order::WorkStep;
use crate::tank::remarks::limits_of;
use crate::units::{Length, decimal};
use crate::words::tank as words;
use crate::words::tank::steps::step;
use crate::words::tank::warnings::{remark, warning};

/// The whole section.
pub(super) fn tanks(paper: Paper) -> Markup {
    let Paper { project, plan, .. } = paper;
    if plan.tanks.is_empty() {
        // One sentence needs no page of its own.
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
        content.push(element("h3", "", "Limits of these designs"));
        content.push(list("columns", limits_of(braced).into_iter().map(|one| Markup::from(remark(one)))));
    }
    section("tanks", "Custom tanks", content)
}

/// The orders of work, each printed once for all tanks that are built alike.
fn orders_of_work(paper: Paper, tanks: &[&Tank]) -> Markup {
    // Sorted by the first tank of each order of work.
    let mut alike: Vec<(&[WorkStep], Vec<usize>)> = Vec::new();
    for (design, specimen) in tanks.iter().filter_map(|tank| Some((tank.design.as_deref()?, tank.specimen))) {
        match alike.iter_mut().find(|(steps, _)| *steps == design.order_of_work) {
            Some((_, specimens)) => specimens.push(specimen),
            None => alike.push((&design.order_of_work, vec![specimen])),
        }
    }
    let one = |(steps, specimens): (&[WorkStep], Vec<usize>)| {
        let keys: Vec<String> = specimens
            .iter()
            .take(MOST_KEYS)
            .map(|row| paper.project.collection.specimens[*row].key.to_string())
            .collect();
        let more = specimens.len() - keys.len();
        let more = if more > 0 { format!(" and {}", counted(more, "more tank")) } else { String::new() };
        let steps: Markup = steps.iter().map(|one| element("li", "", step(one))).collect();
        let heading = element("h3", "", format!("Order of work: {}{more}", keys.join(", ")));
        element("div", "keep", heading.with(element("ol", "", steps)))
    };
    alike.into_iter().map(one).collect()
}

/// Largest number of tanks named in the heading of an order of work.
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

/// Tanks to draw, each with the number of tanks like it: all tanks, or beyond [`super::EVERY_PICTURE`] rows one tank of
/// each of the most frequent sizes and constructions.
fn drawn<'a>(paper: Paper, tanks: &[&'a Tank]) -> Vec<(&'a Tank, usize)> {
    let most = match paper.extent {
        Extent::Pictures => return tanks.iter().map(|tank| (*tank, 1)).collect(),
        Extent::Rows => MOST_SIZES,
        Extent::Groups => MOST_SIZES / 3,
    };
    let built = |tank: &Tank| (clear(tank), tank.design.as_ref().map(|design| order_of(design.construction)));
    let sizes = tanks.iter().copied().into_group_map_by(|tank| built(tank));
    let sizes = sizes.into_iter().sorted_by_key(|(size, tanks)| (Reverse(tanks.len()), size.clone()));
    let sizes = sizes.take(most).filter_map(|(_, tanks)| Some((*tanks.first()?, tanks.len())));
    sizes.sorted_by_key(|(tank, _)| built(tank)).collect()
}

/// Key by which constructions are grouped and sorted.
fn order_of(construction: TankConstruction) -> (Footing, u8, u64) {
    let (rim, strips) = match construction.rim {
        RimSupport::Free => (0, Length::ZERO),
        RimSupport::Strips { width } => (1, width),
        RimSupport::BondedLid => (2, Length::ZERO),
    };
    // The bits of floats that are not negative sort as the floats do.
    (construction.footing, rim, strips.mm().to_bits())
}

/// Largest number of sizes of tank drawn if not every tank is.
const MOST_SIZES: usize = 60;

fn one(paper: Paper, tank: &Tank, alike: usize) -> Markup {
    let specimen = &paper.project.collection.specimens[tank.specimen];
    let alike = if alike > 1 { format!(", and {} more of this size", alike - 1) } else { String::new() };
    let heading = element("h3", "", format!("{} {}: {} mm{alike}", specimen.key, specimen.name, clear(tank)));
    let drawn = element("figure", "", drawing::tank::tank(paper.project, tank));
    let Some(design) = tank.design.as_deref() else {
        let beside = paragraph("", words::price_and_ways_out(tank.price_basis, &tank.ways_out));
        return element("div", "keep", heading.with(element("div", "beside", drawn.with(beside))));
    };
    let beside = element("div", "", figures(&paper.project.settings.tank_lid, design));
    let content = heading.with(element("div", "beside", drawn.with(beside))).with(cut_list(design));
    // The warnings may break across pages; the drawing and the cut list may not.
    element("div", "keep", content).with(list("note", design.warnings.iter().map(|one| Markup::from(warning(one)))))
}

fn figures(lid: &str, design: &TankDesign) -> Markup {
    let mpa = |stress: crate::units::Pressure| decimal(stress.mpa(), 2);
    let construction = words::construction(&design.construction);
    let rows = [
        ("glass", format!("walls {}, base {}, lid {}; {construction}", design.wall, design.base, design.lid)),
        ("lid", lid.to_owned()),
        ("outside with its lid", format!("{} mm", design.outer.map(mm).join(" × "))),
        (
            "glass stress",
            format!(
                "{} of {} MPa allowed, in the {}",
                mpa(design.stress),
                mpa(design.allowable),
                words::place(design.stressed)
            ),
        ),
        (
            "bending of a wall",
            format!(
                "{} of {} mm allowed",
                decimal(design.deflection.mm(), 3),
                decimal(design.deflection_limit.mm(), 2)
            ),
        ),
        ("highest joint stress", format!("{} MPa: {}", mpa(design.seam), words::seam_class(design.seam_class))),
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
        CutLine::PANE,
        CutLine::PIECES,
        CutLine::LENGTH.headed("length, mm"),
        CutLine::WIDTH.headed("width, mm"),
        CutLine::THICKNESS.headed("thickness, mm"),
        CutLine::EDGES,
    ];
    PaperTable::of("Cut list", &fields, design.panes.iter().map(|pane| CutLine { pane })).markup()
}

/// Stock sheets of glass: the table to order from, and each sheet with its panes.
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

/// Largest number of stock sheets drawn if not every lot is.
const MOST_SHEETS: usize = 15;

fn layout(paper: Paper, sheet: &SheetLayout, number: usize) -> Markup {
    let area = |length: Length, width: Length| length.mm() * width.mm() / 1e6;
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
            words::pane(pane.pane).into(),
            key.into(),
            pane.length.into(),
            pane.width.into(),
            pane.x.into(),
            pane.y.into(),
        ]);
    }
    figure.with(table.markup())
}
