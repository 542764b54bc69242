//! One sheet for the glazier: the fluid, the sealant, every pane with its number, the order of work, warnings,
//! and space for the name of the person who has checked it.

use super::columns::tanks::sides;
use super::drawing::{Anchor, Drawing};
use super::html::page::{Markup, document, element, list, mm, paragraph, to_fill_in};
use super::table::html::PaperTable;
use super::table::{Column, Unit};
use super::tank::{Page, TankAnswer, does_not_last};
use crate::tank::brace::Brace;
use crate::tank::design::{Design, Footing, Top};
use crate::tank::glass::counted_on;
use crate::tank::order::order_of_work;
use crate::tank::panes::{PaneKind, Piece};
use crate::tank::remarks::{self, limits_of};
use crate::units::{Density, Length, decimal};
use crate::words::tank as words;
use crate::words::tank::steps::step;
use crate::words::tank::warnings::{remark, warning};

/// The sealant to use (common practice, no source).
const SEALANT: &str = "one-part silicone for structural glass joints, never a sanitary silicone with fungicide; ask \
    its maker about immersion in this fluid";

/// The spacing is small so that everything fits on one sheet of A4 or Letter.
const ONE_SHEET: &str = "
@media print {
  .glazier { font-size: 7.6pt; line-height: 1.18; }
  .glazier h1 { font-size: 15pt; }
  .glazier h3 { font-size: 10.5pt; margin: 1.8mm 0 .3mm; }
  .glazier .lead { font-size: 9pt; margin: .5mm 0 1mm; }
  .glazier ol, .glazier ul { columns: 2; column-gap: 8mm; max-width: none; margin: .5mm 0; font-size: 7.3pt; }
  .glazier li { margin: 0; }
  .glazier table { font-size: 7.6pt; margin: 0 0 1mm; }
  .glazier th, .glazier td { padding: .2mm 2mm .2mm 0; }
}
@page { margin: 10mm 14mm 12mm; }
.glazier .fill-in { flex-direction: column; gap: 5mm; margin: 6mm 0 0; }";

/// The sheet; `None` if there is no design.
pub fn sheet(page: &Page) -> Option<Vec<u8>> {
    let TankAnswer::Designed { design, unproven, life_years } = page.answer else { return None };
    let title = format!("Glass tank to be made: {} mm clear inside", sides(&page.clear));
    let lead = "Planning figures for a competent fabricator to check before any glass is cut. Length × width × height.";
    let panes = numbered(design);
    let steps = order_of_work(page.settings, design);
    let steps: Markup = steps.iter().map(|one| element("li", "", step(one))).collect();
    let mut cautions = remarks::warnings(page.settings, design);
    if *unproven {
        cautions.insert(0, remarks::unproven(page.fluid));
    }
    let short = does_not_last(page.settings, *life_years).map(Markup::from);
    let plain = limits_of(design.braced()).into_iter().map(|one| Markup::from(remark(one)));
    let beside = facts(page, design).with(to_fill_in(&["checked by", "made by", "date"]));
    let body = [
        element("h1", "", title.as_str()),
        paragraph("lead", lead),
        element(
            "div",
            "beside",
            element("figure", "", drawn(design, &panes, page.settings.tank_freeboard)).with(element("div", "", beside)),
        ),
        cut_list(page, &panes),
        element("h3", "", "Order of work"),
        element("ol", "", steps),
        element("h3", "", "Cautions"),
        list("note", short.into_iter().chain(cautions.iter().map(|one| Markup::from(warning(one))))),
        element("h3", "", "Limits of this design"),
        list("note", plain),
    ];
    Some(document(&title, "glazier", ONE_SHEET, element("main", "", body.into_iter().collect::<Markup>())))
}

/// Every pane with its number, in the order of the cut list.
fn numbered(design: &Design) -> Vec<(usize, &Piece)> {
    let each = design.pieces.iter().flat_map(|piece| (0..piece.count).map(move |_| piece));
    each.enumerate().map(|(i, piece)| (i + 1, piece)).collect()
}

fn facts(page: &Page, design: &Design) -> Markup {
    let (settings, build) = (page.settings, &design.build);
    let joint = format!(
        "{} mm thick, bite at least {} mm, inside fillet {} mm; {} ml, cartridges: {}",
        mm(build.joint),
        mm(counted_on(build.wall)),
        mm(build.fillet),
        decimal(design.sealant.ml(), 0),
        design.cartridges
    );
    let density = format!("{} g/ml at its coldest", decimal(design.coldest.g_ml(), 3));
    let full = design.empty_mass + design.fluid_mass;
    let rows = [
        ("fluid", format!("{}, {density}", page.fluid.name)),
        ("its hazards", page.fluid.hazard.clone()),
        ("glass", "annealed float, no toughened or laminated panes".to_owned()),
        ("built", words::construction(&design.construction()).into_owned()),
        ("lid", settings.tank_lid.clone()),
        ("sealant", SEALANT.to_owned()),
        ("joints", joint),
        ("outside with its lid", format!("{} mm", sides(&design.outer))),
        ("mass", format!("{} kg empty, {} kg full", decimal(design.empty_mass.kg(), 1), decimal(full.kg(), 1))),
        (
            "stress",
            format!(
                "{} MPa ({} allowed), in the {}; joints {} MPa",
                decimal(design.stress.mpa(), 2),
                decimal(design.allowable.mpa(), 2),
                words::place(design.stressed),
                decimal(design.seams.worst().mpa(), 3)
            ),
        ),
    ];
    let mut table = PaperTable::new("", [Column::text(""), Column::text("")]);
    for (what, fact) in rows {
        table.row([what.into(), fact.into()]);
    }
    table.markup()
}

fn cut_list(page: &Page, panes: &[(usize, &Piece)]) -> Markup {
    let columns = [
        Column::text("no"),
        Column::text("pane"),
        Column::length("length, mm"),
        Column::length("width, mm"),
        Column::length("thickness, mm"),
        Column::decimal("kg each", 1, Unit::Kilograms),
        Column::text("edges"),
        Column::text("cut"),
    ];
    let density = Density::at_least_zero(page.settings.glass_density.0 * 1000.0);
    let mut table = PaperTable::new("Panes", columns);
    for alike in panes.chunk_by(|(_, a), (_, b)| a.kind == b.kind) {
        let pane = alike[0].1;
        table.row([
            alike.iter().map(|(number, _)| number.to_string()).collect::<Vec<_>>().join(", ").into(),
            words::pane(pane.kind).into(),
            pane.length.into(),
            pane.width.into(),
            pane.thickness.into(),
            pane.mass(density).kg().into(),
            words::edges(pane.edges).into(),
            vec!["☐"; alike.len()].join(" ").into(),
        ]);
    }
    table.markup()
}

/// Width of the drawing on paper, mm.
const WIDE: f64 = 102.0;
/// Largest width and height of each of its two views, mm.
const VIEW: [f64; 2] = [78.0, 29.0];
/// Drawn thickness of glass, mm.
const GLASS: f64 = 2.2;
/// Gap between glass and the number beside it, mm.
const BESIDE: f64 = 2.0;

/// Section and plan with the numbers of the panes. The thickness of glass is not to scale.
fn drawn(design: &Design, panes: &[(usize, &Piece)], freeboard: Length) -> Markup {
    let [length, width, height] = design.build.clear.map(|side| side.mm());
    let scale = (VIEW[0] / length).min(VIEW[1] / height).min(VIEW[1] / width);
    let sides = [length, width, height].map(|side| side * scale);
    let section = [12.0, 10.0];
    let plan = [section[0], section[1] + sides[2] + 2.0 * GLASS + 14.0];
    let title = "The tank with the numbers of its panes, section and plan";
    let mut drawing = Drawing::new(WIDE, plan[1] + sides[1] + 2.0 * GLASS + 8.0, title, title);
    section_view(&mut drawing, design, &PaneNumbers(panes), section, sides);
    plan_view(&mut drawing, design, &PaneNumbers(panes), plan, (sides, scale));
    if let Top::Braced(brace) = design.build.top {
        let rim = [section[0], section[1] + GLASS];
        strips_in_section(&mut drawing, (design, freeboard), brace, rim, sides[0]);
    }
    drawing.markup()
}

/// Finds the number of a pane by its kind.
struct PaneNumbers<'a>(&'a [(usize, &'a Piece)]);

impl PaneNumbers<'_> {
    /// Number of the pane at this position among the panes of its kind; empty if there is none.
    fn nth(&self, kind: PaneKind, position: usize) -> String {
        let of_kind = self.0.iter().filter(|(_, pane)| pane.kind == kind);
        of_kind.skip(position).map(|(number, _)| number.to_string()).next().unwrap_or_default()
    }
}

/// Lengthwise section: end walls, base, lid, and behind them a long wall.
fn section_view(
    drawing: &mut Drawing,
    design: &Design,
    numbers: &PaneNumbers,
    [left, top]: [f64; 2],
    [long, _, high]: [f64; 3],
) {
    let (right, floor) = (left + long, top + GLASS + high);
    drawing.text([left, top - 3.5], Anchor::Start, "section: end walls, base, lid (thickness not to scale)");
    drawing.rect("glass", [left - GLASS, top], [long + 2.0 * GLASS, GLASS]);
    let (base, walls) = match design.build.footing {
        Footing::WallsOnBase => ([left - GLASS, long + 2.0 * GLASS], high),
        Footing::BaseInside => ([left, long], high + GLASS),
    };
    drawing.rect("glass", [base[0], floor], [base[1], GLASS]);
    for x in [left - GLASS, right] {
        drawing.rect("glass", [x, top + GLASS], [GLASS, walls]);
    }
    let middle = (left + right) / 2.0;
    drawing.text([right + GLASS + BESIDE, top + GLASS], Anchor::Start, &numbers.nth(PaneKind::Lid, 0));
    drawing.text([middle, floor + GLASS + 3.4], Anchor::Middle, &numbers.nth(PaneKind::Base, 0));
    drawing.text([middle, top + GLASS + high / 2.0], Anchor::Middle, &numbers.nth(PaneKind::LongWall, 0));
    drawing.text([left - GLASS - BESIDE, top + GLASS + high / 2.0], Anchor::End, &numbers.nth(PaneKind::EndWall, 0));
    drawing.text([right + GLASS + BESIDE, top + GLASS + high / 2.0], Anchor::Start, &numbers.nth(PaneKind::EndWall, 1));
}

/// Draws the strips of a brace under the lid in a section along the tank: a long strip over the whole length, below it the cut ends
/// of the end strips and cross strips, and the fluid surface.
fn strips_in_section(
    drawing: &mut Drawing,
    (design, freeboard): (&Design, Length),
    brace: Brace,
    [left, rim]: [f64; 2],
    long: f64,
) {
    let wide = brace.width.mm() * long / design.build.clear[0].mm();
    drawing.rect("thin", [left, rim], [long, STRIP]);
    let n_cross = brace.cross as usize;
    let across = (0..n_cross).map(|i| left + long * (i + 1) as f64 / (n_cross + 1) as f64 - wide / 2.0);
    for x in [left, left + long - wide].into_iter().chain(across) {
        drawing.rect("glass", [x, rim + STRIP], [wide, STRIP]);
    }
    // The surface is at the lower strips or below them, as the text says.
    let [depth, freeboard] = [design.build.depth_of_strips(), freeboard].map(|length| length.mm());
    let level = rim + 2.0 * STRIP * (freeboard / depth).min(1.4);
    drawing.surface([left, left + long], level);
}

/// Drawn thickness of a strip, mm.
const STRIP: f64 = 1.5;

/// Plan without the lid: the walls, and the strips of a brace.
fn plan_view(
    drawing: &mut Drawing,
    design: &Design,
    numbers: &PaneNumbers,
    [left, top]: [f64; 2],
    ([long, deep, _], scale): ([f64; 3], f64),
) {
    let brace = match design.build.top {
        Top::Braced(brace) => Some(brace),
        _ => None,
    };
    let with_strips = if brace.is_some() { ", strips" } else { "" };
    drawing.text([left, top - 3.5], Anchor::Start, &format!("plan: long walls, end walls{with_strips}"));
    let (right, inside, under) = (left + long, top + GLASS, top + GLASS + deep);
    for y in [top, under] {
        drawing.rect("glass", [left - GLASS, y], [long + 2.0 * GLASS, GLASS]);
    }
    for x in [left - GLASS, right] {
        drawing.rect("glass", [x, inside], [GLASS, deep]);
    }
    let middle = [(left + right) / 2.0, inside + deep / 2.0];
    drawing.text([right + GLASS, top - 1.0], Anchor::End, &numbers.nth(PaneKind::LongWall, 1));
    drawing.text([right + GLASS, under + GLASS + 3.4], Anchor::End, &numbers.nth(PaneKind::LongWall, 0));
    drawing.text([left - GLASS - BESIDE, middle[1]], Anchor::End, &numbers.nth(PaneKind::EndWall, 0));
    drawing.text([right + GLASS + BESIDE, middle[1]], Anchor::Start, &numbers.nth(PaneKind::EndWall, 1));
    let Some(brace) = brace else { return };
    let wide = brace.width.mm() * scale;
    let n_cross = brace.cross as usize;
    let across = (0..n_cross).map(|i| left + long * (i + 1) as f64 / (n_cross + 1) as f64 - wide / 2.0);
    let ends = [left, right - wide].into_iter().map(|x| (x, PaneKind::EndStrip));
    let across = ends.enumerate().chain(across.map(|x| (x, PaneKind::CrossStrip)).enumerate());
    for (position, (x, kind)) in across {
        drawing.rect("thin", [x, inside], [wide, deep]);
        drawing.text([x + wide / 2.0, middle[1] + 1.2], Anchor::Middle, &numbers.nth(kind, position));
    }
    for (position, y) in [under - wide, inside].into_iter().enumerate() {
        drawing.rect("thin", [left, y], [long, wide]);
        let quarter = left + long / (2.0 * (n_cross + 1) as f64);
        drawing.text([quarter, y + wide / 2.0 + 1.2], Anchor::Middle, &numbers.nth(PaneKind::LongStrip, position));
    }
}
