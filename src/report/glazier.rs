//! One sheet for the glazier: what is to be in the tank, the sealant, every pane numbered, the order of work, what to mind,
//! and a place for the name of whoever has checked it.

use super::drawing::{Anchor, Drawing};
use super::html::page::{Markup, document, element, list, mm, paragraph, to_fill_in};
use super::html::table::{Figures, Table, Words};
use super::tank::{Answer, Page, sizes};
use crate::tank::design::Design;
use crate::tank::glass::counted_on;
use crate::tank::order::order_of_work;
use crate::tank::panes::Piece;
use crate::tank::remarks::{self, limits_of, warnings};
use crate::units::{Density, decimal};

/// Which sealant (common practice, no source).
const SEALANT: &str = "one-part silicone for structural glass joints, never a sanitary silicone with fungicide; ask \
    its maker about immersion in this fluid";

/// So close that the whole stays on one sheet of A4 or Letter.
const ONE_SHEET: &str = "
@media print {
  .glazier { font-size: 7.8pt; line-height: 1.22; }
  .glazier h1 { font-size: 15pt; }
  .glazier h3 { font-size: 10.5pt; margin: 1.8mm 0 .3mm; }
  .glazier .lead { font-size: 9pt; margin: .5mm 0 1mm; }
  .glazier ol, .glazier ul { columns: 2; column-gap: 8mm; max-width: none; margin: .5mm 0; font-size: 7.6pt; }
  .glazier li { margin: 0; }
  .glazier table { font-size: 7.6pt; margin: 0 0 1mm; }
  .glazier th, .glazier td { padding: .2mm 2mm .2mm 0; }
  .glazier .fill-in { margin: 4mm 0 0; }
}";

/// The sheet; `None` where there is no design.
pub fn sheet(page: &Page) -> Option<Vec<u8>> {
    let Answer::Designed { design, unproven, .. } = page.answer else { return None };
    let title = format!("Glass tank to be made: {} mm clear inside", sizes(&page.clear));
    let lead = "Planning figures for a competent fabricator to check before any glass is cut. Length × width × height.";
    let panes = numbered(design);
    let steps: Markup = order_of_work(page.settings, design).iter().map(|step| element("li", "", step)).collect();
    let mut mind = warnings(page.settings, design);
    if *unproven {
        mind.insert(0, remarks::unproven(page.fluid));
    }
    let plain = limits_of(design).into_iter().map(Markup::from);
    let body = [
        element("h1", "", title.as_str()),
        paragraph("lead", lead),
        element("div", "beside", element("figure", "", drawn(design, &panes)).with(facts(page, design))),
        cut_list(page, &panes),
        element("h3", "", "Order of work"),
        element("ol", "", steps),
        element("h3", "", "Cautions"),
        list("note", mind.iter().map(Markup::from)),
        element("h3", "", "Limits of this design"),
        list("note", plain),
        to_fill_in(&["checked by", "made by", "date"]),
    ];
    Some(document(&title, "glazier", ONE_SHEET, element("main", "", body.into_iter().collect::<Markup>())))
}

/// Every single pane with its number, in the order of the cut list.
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
        ("built", design.construction()),
        ("lid", settings.tank_lid.clone()),
        ("sealant", SEALANT.to_owned()),
        ("joints", joint),
        ("outside with its lid", format!("{} mm", sizes(&design.outer))),
        ("mass", format!("{} kg empty, {} kg full", decimal(design.empty_mass.kg(), 1), decimal(full.kg(), 1))),
        (
            "stress",
            format!(
                "{} of {} MPa allowed, in the {}; joints {} MPa",
                decimal(design.stress.mpa(), 2),
                decimal(design.allowable.mpa(), 2),
                design.stressed,
                decimal(design.seams.worst().mpa(), 3)
            ),
        ),
    ];
    let mut table = Table::new("", &[("", Words), ("", Words)]);
    for (what, fact) in rows {
        table.row([what.into(), fact.into()]);
    }
    table.markup()
}

fn cut_list(page: &Page, panes: &[(usize, &Piece)]) -> Markup {
    let columns = [
        ("no", Figures),
        ("pane", Words),
        ("length, mm", Figures),
        ("width, mm", Figures),
        ("thickness, mm", Figures),
        ("kg", Figures),
        ("edges", Words),
        ("cut", Words),
    ];
    let density = Density::at_least_zero(page.settings.glass_density.0 * 1000.0);
    let mut table = Table::new("Panes", &columns);
    for (number, pane) in panes {
        table.row([
            (*number).into(),
            pane.name.into(),
            mm(pane.length).into(),
            mm(pane.width).into(),
            mm(pane.thickness).into(),
            decimal(pane.mass(density).kg(), 1).into(),
            pane.edges.into(),
            "☐".into(),
        ]);
    }
    table.markup()
}

/// Width of the drawing on paper, and the room for each of its two views, mm.
const WIDE: f64 = 102.0;
const VIEW: [f64; 2] = [78.0, 34.0];

/// Front and plan with the numbers of the panes; not to scale in thickness.
fn drawn(design: &Design, panes: &[(usize, &Piece)]) -> Markup {
    let numbers = |name: &str| -> Vec<String> {
        panes.iter().filter(|(_, pane)| pane.name == name).map(|(number, _)| number.to_string()).collect()
    };
    let nth = |name: &str, i: usize| numbers(name).get(i).cloned().unwrap_or_default();
    let [length, width, height] = design.build.clear.map(|side| side.mm());
    let scale = (VIEW[0] / length).min(VIEW[1] / height).min(VIEW[1] / width);
    let glass = 2.2;
    let (left, top) = (12.0, 10.0);
    let [long, deep, high] = [length, width, height].map(|side| side * scale);
    let plan_top = top + high + 2.0 * glass + 14.0;
    let title = "The tank with the numbers of its panes, front and plan";
    let mut drawing = Drawing::new(WIDE, plan_top + deep + 2.0 * glass + 8.0, title, title);
    let (right, floor) = (left + long, top + glass + high);
    drawing.text([left, top - 3.5], Anchor::Start, "front: walls, base, lid (thickness not to scale)");
    drawing.rect("glass", [left - glass, top], [long + 2.0 * glass, glass]);
    drawing.rect("glass", [left - glass, floor], [long + 2.0 * glass, glass]);
    for x in [left - glass, right] {
        drawing.rect("glass", [x, top + glass], [glass, high]);
    }
    drawing.text([right + glass + 2.0, top + glass], Anchor::Start, &nth("lid", 0));
    drawing.text([right + glass + 2.0, floor + glass], Anchor::Start, &nth("base", 0));
    drawing.text([(left + right) / 2.0, top + glass + high / 2.0], Anchor::Middle, &nth("long wall", 0));
    drawing.text([left, plan_top - 3.5], Anchor::Start, "plan: long walls, end walls, strips");
    let under = plan_top + glass + deep;
    for y in [plan_top, under] {
        drawing.rect("glass", [left - glass, y], [long + 2.0 * glass, glass]);
    }
    for x in [left - glass, right] {
        drawing.rect("glass", [x, plan_top + glass], [glass, deep]);
    }
    let middle = plan_top + glass + deep / 2.0;
    drawing.text([(left + right) / 2.0, plan_top + glass + 3.6], Anchor::Middle, &nth("long wall", 1));
    drawing.text([(left + right) / 2.0, under - 1.4], Anchor::Middle, &nth("long wall", 0));
    drawing.text([left - glass - 2.0, middle], Anchor::End, &nth("end wall", 0));
    drawing.text([right + glass + 2.0, middle], Anchor::Start, &nth("end wall", 1));
    let strips: Vec<String> = ["long strip", "end strip", "cross strip"].into_iter().flat_map(numbers).collect();
    if !strips.is_empty() {
        let words = format!("strips inside the rim: {}", strips.join(", "));
        drawing.text([(left + right) / 2.0, middle], Anchor::Middle, &words);
    }
    drawing.markup()
}
