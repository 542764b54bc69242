//! Designs of tanks and the sheets they are cut from in plan.json, both ways.

use serde_json::{Value, json};

use super::object::{Object, count, length, number as figure, text, whole};
use super::{keyed, millimetres, number};
use crate::plan::tanks::{PaneLine, TankDesign};
use crate::plan::{SheetLayout, SheetPane};
use crate::project::Project;
use crate::units::{Length, Mass, Pressure, Volume};

/// A design, or nothing.
pub(super) fn written(design: Option<&TankDesign>) -> Value {
    let Some(design) = design else { return Value::Null };
    let panes: Vec<Value> = design.panes.iter().map(pane_written).collect();
    json!({
        "thickness_mm": millimetres(design.wall),
        "base_mm": millimetres(design.base),
        "lid_mm": millimetres(design.lid),
        "construction": design.construction,
        "outer_length_mm": millimetres(design.outer[0]),
        "outer_width_mm": millimetres(design.outer[1]),
        "outer_height_mm": millimetres(design.outer[2]),
        "stress_mpa": number(design.stress.mpa()),
        "stress_in": design.stressed,
        "allowable_mpa": number(design.allowable.mpa()),
        "deflection_mm": millimetres(design.deflection),
        "deflection_limit_mm": millimetres(design.deflection_limit),
        "seam_mpa": number(design.seam.mpa()),
        "seam_class": design.seam_class,
        "sealant_ml": number(design.sealant.ml()),
        "cartridges": design.cartridges,
        "empty_kg": number(design.empty.kg()),
        "full_kg": number(design.full.kg()),
        "panes": panes,
        "warnings": design.warnings,
        "order_of_work": design.order_of_work,
    })
}

fn pane_written(pane: &PaneLine) -> Value {
    json!({
        "pane": pane.pane,
        "pieces": pane.pieces,
        "length_mm": millimetres(pane.length),
        "width_mm": millimetres(pane.width),
        "thickness_mm": millimetres(pane.thickness),
        "edges": pane.edges,
    })
}

/// The design of a tank, if it has one; `None` where it cannot be read.
pub(super) fn read(tank: &Object) -> Option<Option<Box<TankDesign>>> {
    let value = tank.field("design")?;
    if value.is_null() {
        return Some(None);
    }
    let design = Object::new(&tank.at("design"), value, tank.findings)?;
    let mm = |key| design.read(key, "millimetres", length);
    let mpa = |key| design.read(key, "megapascals", |value| figure(value).and_then(Pressure::new));
    let kg = |key| design.read(key, "kilograms", |value| figure(value).and_then(|kg| Mass::new((kg * 1000.0).round())));
    let words = |key| design.read(key, "text", text).map(str::to_owned);
    let (wall, base, lid) = (mm("thickness_mm"), mm("base_mm"), mm("lid_mm"));
    let construction = words("construction");
    let outer = [mm("outer_length_mm"), mm("outer_width_mm"), mm("outer_height_mm")];
    let (stress, allowable) = (mpa("stress_mpa"), mpa("allowable_mpa"));
    let stressed = words("stress_in");
    let (deflection, deflection_limit) = (mm("deflection_mm"), mm("deflection_limit_mm"));
    let (seam, seam_class) = (mpa("seam_mpa"), words("seam_class"));
    let sealant = design.read("sealant_ml", "millilitres", |value| figure(value).and_then(Volume::new));
    let cartridges = design.read("cartridges", "a whole number", whole);
    let (empty, full) = (kg("empty_kg"), kg("full_kg"));
    let panes = design.objects("panes", pane_read);
    let (warnings, order_of_work) = (design.texts("warnings"), design.texts("order_of_work"));
    design.done();
    let outer: Vec<Length> = outer.into_iter().collect::<Option<_>>()?;
    Some(Some(Box::new(TankDesign {
        wall: wall?,
        base: base?,
        lid: lid?,
        construction: construction?,
        outer: [outer[0], outer[1], outer[2]],
        stress: stress?,
        stressed: stressed?,
        allowable: allowable?,
        deflection: deflection?,
        deflection_limit: deflection_limit?,
        seam: seam?,
        seam_class: seam_class?,
        sealant: sealant?,
        cartridges: cartridges?,
        empty: empty?,
        full: full?,
        panes: panes?,
        warnings: warnings?,
        order_of_work: order_of_work?,
    })))
}

fn pane_read(line: &Object) -> Option<PaneLine> {
    let mm = |key| line.read(key, "millimetres", length);
    let (pane, pieces) = (line.read("pane", "text", text), line.read("pieces", "a whole number", count));
    let (long, wide, thickness) = (mm("length_mm"), mm("width_mm"), mm("thickness_mm"));
    let edges = line.read("edges", "text", text);
    Some(PaneLine {
        pane: pane?.to_owned(),
        pieces: pieces?,
        length: long?,
        width: wide?,
        thickness: thickness?,
        edges: edges?.to_owned(),
    })
}

/// A sheet.
pub(super) fn sheet_written(project: &Project, sheet: &SheetLayout) -> Value {
    let pane = |pane: &SheetPane| {
        let rest = json!({
            "pane": pane.pane,
            "x_mm": millimetres(pane.x),
            "y_mm": millimetres(pane.y),
            "length_mm": millimetres(pane.length),
            "width_mm": millimetres(pane.width),
        });
        keyed(&project.collection.specimens[pane.specimen].key, rest)
    };
    json!({
        "thickness_mm": millimetres(sheet.thickness),
        "length_mm": millimetres(sheet.length),
        "width_mm": millimetres(sheet.width),
        "panes": sheet.panes.iter().map(pane).collect::<Vec<_>>(),
    })
}

/// A sheet, read; `row` finds whose tank a pane is of.
pub(super) fn sheet_read(sheet: &Object, row: impl Fn(&Object) -> Option<usize>) -> Option<SheetLayout> {
    let mm = |key| sheet.read(key, "millimetres", length);
    let (thickness, long, wide) = (mm("thickness_mm"), mm("length_mm"), mm("width_mm"));
    let panes = sheet.objects("panes", |line| {
        let mm = |key| line.read(key, "millimetres", length);
        let (specimen, pane) = (row(line), line.read("pane", "text", text));
        let (x, y, long, wide) = (mm("x_mm"), mm("y_mm"), mm("length_mm"), mm("width_mm"));
        Some(SheetPane { specimen: specimen?, pane: pane?.to_owned(), x: x?, y: y?, length: long?, width: wide? })
    });
    Some(SheetLayout { thickness: thickness?, length: long?, width: wide?, panes: panes? })
}
