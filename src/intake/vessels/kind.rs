//! Collects the rows of one vessel and checks them as a whole.

use super::body::{Shape, VesselBody};
use super::stated::{StatedValue, agree, length, named, stated};
use crate::diagnostics::{Code, Diagnostic, Severity};
use crate::intake::cells::{CellFault, quoted};
use crate::intake::columns::VesselColumn as Column;
use crate::intake::names;
use crate::intake::offers::offer;
use crate::intake::suppliers::SupplierNames;
use crate::intake::table::{At, InputTable, TableRow, Zero};
use crate::rules::{ClosureId, MaterialId, NeckFinish, Rules};
use crate::stock::{Offer, Section, Vessel};
use crate::units::{Length, Mass, Volume};

/// Counts of pieces. Each is stated on one row of a vessel.
const PIECES: [Column; 3] = [Column::OnHand, Column::OnOrder, Column::Reserve];

/// Values in one row.
pub(super) struct VesselRow {
    facts: Facts,
    pieces: [Option<StatedValue<u32>>; 3],
    offer: Option<Offer>,
}

impl VesselRow {
    /// Reads a row; its faults are collected in the row.
    pub fn read(row: &mut TableRow<Column>, rules: &Rules, suppliers: &mut SupplierNames) -> VesselRow {
        let facts = facts(row, rules);
        let offer = offer(row, suppliers);
        let pieces = PIECES.map(|column| row.whole(column).map(|n| StatedValue { value: n, at: row.at(column) }));
        VesselRow { facts, pieces, offer }
    }
}

/// One vessel, collected from its rows.
pub(super) struct VesselKind {
    /// Its name in its first row.
    pub at: At,
    description: String,
    facts: Facts,
    pieces: [Option<StatedValue<u32>>; 3],
    /// Its offers; their vessel id is filled in later.
    pub offers: Vec<Offer>,
    carried: Vec<(String, String)>,
    /// Lines of its rows.
    pub lines: Vec<usize>,
}

/// Properties of the vessel itself, collected from all its rows, without the offers.
#[derive(Clone, Default)]
struct Facts {
    body: VesselBody,
    capacity: Option<StatedValue<Volume>>,
    material: Option<StatedValue<MaterialId>>,
    closure: Option<StatedValue<ClosureId>>,
    outer_height: Option<StatedValue<Length>>,
    outer_diameter: Option<StatedValue<Length>>,
    outer_length: Option<StatedValue<Length>>,
    outer_width: Option<StatedValue<Length>>,
    empty_mass: Option<StatedValue<Mass>>,
    /// Columns whose cells could not be read. They have been reported, so they are not reported as blank as well.
    unread: Vec<Column>,
    /// Whether one of them is an inner dimension.
    inside_unread: bool,
}

fn facts(row: &mut TableRow<Column>, rules: &Rules) -> Facts {
    let mut unread = Vec::new();
    let finish = named(row, Column::NeckFinish, &mut unread, |typed| {
        let ids = || rules.neck_finishes.iter().map(|finish: &NeckFinish| finish.id.as_str());
        let finish = rules.neck_finishes.iter().position(|finish| finish.id == typed);
        finish.ok_or_else(|| {
            let near = crate::diagnostics::nearest(typed, ids());
            names::unknown(Code::UnknownNeckFinish, "neck finish", near, "neck-finishes.csv")
        })
    });
    let body = VesselBody::read(row, finish, &mut unread);
    let inside_unread = !unread.is_empty();
    Facts {
        body,
        capacity: stated(row, Column::Capacity, &mut unread, |row, column| row.volume(column, Zero::Refused)),
        material: named(row, Column::Material, &mut unread, |typed| names::material(rules, typed)),
        closure: named(row, Column::Closure, &mut unread, |typed| names::closure(rules, typed)),
        outer_height: length(row, Column::OuterHeight, &mut unread),
        outer_diameter: length(row, Column::OuterDiameter, &mut unread),
        outer_length: length(row, Column::OuterLength, &mut unread),
        outer_width: length(row, Column::OuterWidth, &mut unread),
        empty_mass: stated(row, Column::EmptyMass, &mut unread, |row, column| row.mass(column, Zero::Refused)),
        unread,
        inside_unread,
    }
}

impl Facts {
    /// Takes the facts of another row of the same vessel. Values that contradict those at hand are errors of the row.
    fn agree(&mut self, row: &mut TableRow<Column>, other: Facts) {
        let Facts {
            body,
            capacity,
            material,
            closure,
            outer_height,
            outer_diameter,
            outer_length,
            outer_width,
            empty_mass,
            unread,
            inside_unread,
        } = other;
        self.body.agree(row, body);
        agree(row, Column::Capacity, &mut self.capacity, capacity);
        agree(row, Column::Material, &mut self.material, material);
        agree(row, Column::Closure, &mut self.closure, closure);
        agree(row, Column::OuterHeight, &mut self.outer_height, outer_height);
        agree(row, Column::OuterDiameter, &mut self.outer_diameter, outer_diameter);
        agree(row, Column::OuterLength, &mut self.outer_length, outer_length);
        agree(row, Column::OuterWidth, &mut self.outer_width, outer_width);
        agree(row, Column::EmptyMass, &mut self.empty_mass, empty_mass);
        self.unread.extend(unread);
        self.inside_unread |= inside_unread;
    }
}

impl VesselKind {
    /// Takes the first row of a vessel.
    pub fn new(
        row: &TableRow<Column>,
        VesselRow { facts, pieces, offer }: VesselRow,
        table: &InputTable<Column>,
    ) -> Self {
        VesselKind {
            at: row.at(Column::Vessel),
            description: row.text(Column::Description).to_owned(),
            facts,
            pieces,
            offers: offer.into_iter().collect(),
            carried: table.carried_headers().into_iter().zip(row.carried()).collect(),
            lines: vec![row.line],
        }
    }

    /// Adds another row of the same vessel. Values that contradict earlier rows are errors of this row. With `leaves_out`, a row
    /// with errors changes nothing.
    pub fn merge(&mut self, row: &mut TableRow<Column>, other: VesselRow, leaves_out: bool) {
        let VesselRow { facts, pieces, offer } = other;
        let before = (self.facts.clone(), self.pieces);
        self.facts.agree(row, facts);
        for ((known, other), column) in self.pieces.iter_mut().zip(pieces).zip(PIECES) {
            match (&*known, other) {
                (_, None | Some(StatedValue { value: 0, .. })) => {}
                (None | Some(StatedValue { value: 0, .. }), other) => *known = other,
                (Some(first), Some(_)) => {
                    let says = format!("{} also counts pieces of this vessel", row.line_named(first.at.line));
                    let cure = "count the pieces on one row of the vessel, and leave the others blank";
                    row.fault(column, CellFault::new(Code::StockOnSeveralRows, says, cure));
                }
            }
        }
        if row.is_bad() && leaves_out {
            (self.facts, self.pieces) = before;
        } else {
            if self.description.is_empty() {
                self.description = row.text(Column::Description).to_owned();
            }
            self.offers.extend(offer);
            self.lines.push(row.line);
        }
    }

    /// The vessel, or `None` with the errors in `found`.
    pub fn vessel(
        &self,
        name: &str,
        table: &InputTable<Column>,
        rules: &Rules,
        found: &mut Vec<Diagnostic>,
    ) -> Option<Vessel> {
        let facts = &self.facts;
        let before = found.len();
        for (column, blank) in [
            (Column::Form, facts.body.form.is_none()),
            (Column::InnerHeight, facts.body.inner_height.is_none()),
            (Column::Material, facts.material.is_none()),
            (Column::Closure, facts.closure.is_none()),
        ] {
            if blank && table.has(column) && !facts.unread.contains(&column) {
                let place = table.place(self.at.in_column(table, column));
                let message = format!("this cell is blank for {}", quoted(name));
                found.push(
                    Diagnostic::error(Code::BlankCell, place, message).cure("fill it in on one row of the vessel"),
                );
            }
        }
        let shape = facts.body.shape(name, self.at, table, &rules.neck_finishes, &facts.unread, found)?;
        let geometry = Vessel::geometric_volume(shape.section, shape.body_height, shape.mouth, shape.inner_height);
        if let Some(capacity) = facts.capacity.as_ref().filter(|_| !facts.inside_unread) {
            found.extend(judge_capacity(name, capacity, geometry, table));
        }
        self.judge_outside(&shape, table, found);
        if found[before..].iter().any(|diagnostic| diagnostic.severity == Severity::Error) {
            return None;
        }
        let (material, closure) = (facts.material.as_ref()?, facts.closure.as_ref()?);
        let pieces = |i: usize| self.pieces[i].as_ref().map_or(0, |pieces| pieces.value);
        Some(Vessel {
            id: name.to_owned(),
            line: self.at.line,
            description: self.description.clone(),
            section: shape.section,
            inner_height: shape.inner_height,
            body_height: shape.body_height,
            mouth: shape.mouth,
            mouth_assumed: shape.mouth_assumed,
            brimful: facts.capacity.as_ref().map_or(geometry, |capacity| capacity.value),
            material: material.value,
            closure: closure.value,
            on_hand: pieces(0),
            on_order: pieces(1),
            reserve: pieces(2),
            outer_height: facts.outer_height.as_ref().map(|height| height.value),
            outer_width: facts.outer_diameter.as_ref().or(facts.outer_length.as_ref()).map(|width| width.value),
            empty_mass: facts.empty_mass.as_ref().map(|mass| mass.value),
            carried: self.carried.clone(),
        })
    }

    /// Blank cells may have been filled in on the row that was left out: replaces their errors by one error that names that row.
    pub fn blame_row_left_out(&self, name: &str, line: usize, table: &InputTable<Column>, found: &mut Vec<Diagnostic>) {
        let before = found.len();
        found.retain(|diagnostic| diagnostic.code != Code::BlankCell);
        if found.len() < before {
            let line = table.line_named(line);
            let message = format!("{} is not fully described without {line}, which is left out", quoted(name));
            let error = Diagnostic::error(Code::VesselLeftOut, table.place(self.at), message);
            found.push(error.cure(format!("correct {line}")));
        }
    }

    /// Warns of outer dimensions smaller than the inner ones.
    fn judge_outside(&self, shape: &Shape, table: &InputTable<Column>, found: &mut Vec<Diagnostic>) {
        let [length, width] = match shape.section {
            Section::Round(bore) => [bore; 2],
            Section::Rectangular(length, width) => [length, width],
        };
        let inner = [shape.inner_height, length, length, width];
        let facts = &self.facts;
        let outer = [&facts.outer_height, &facts.outer_diameter, &facts.outer_length, &facts.outer_width];
        for (outer, inner) in outer.into_iter().zip(inner) {
            let Some(outer) = outer.as_ref().filter(|outer| outer.value < inner) else { continue };
            let message = format!("outside it measures {}, inside {inner}", outer.value);
            let warning = Diagnostic::warning(Code::OuterBelowInner, table.place(outer.at), message);
            found.push(warning.cure("check which of the two was measured outside"));
        }
    }
}

/// Compares the stated brimful volume with the volume computed from the inner dimensions.
fn judge_capacity(
    name: &str,
    capacity: &StatedValue<Volume>,
    geometry: Volume,
    table: &InputTable<Column>,
) -> Option<Diagnostic> {
    let place = table.place(capacity.at);
    let (stated, computed) = (capacity.value.ml(), geometry.ml());
    let amounts = format!(
        "{} ml are stated for {}, but its inner measures give {} ml",
        crate::units::decimal(stated, 1),
        quoted(name),
        crate::units::decimal(computed, 1)
    );
    if stated > MOST_OVER_GEOMETRY * computed {
        let error = Diagnostic::error(Code::CapacityBeyondGeometry, place, amounts);
        return Some(error.cure("check the inner measures; a brimful volume is at most 30 % above them"));
    }
    if stated > computed * (1.0 + 1e-9) {
        let warning = Diagnostic::warning(Code::CapacityAboveGeometry, place, amounts);
        return Some(warning.cure("the stated volume is used; check the inner measures if it is not brimful"));
    }
    (stated < NOMINAL_BELOW * computed).then(|| {
        let message = format!("{amounts}: it may be the nominal volume");
        let warning = Diagnostic::warning(Code::CapacityBelowGeometry, place, message);
        warning.cure("fill one to the brim and measure, or leave the cell blank to use the inner measures")
    })
}

/// A brimful volume above this multiple of the computed volume is an error (common practice, no source).
const MOST_OVER_GEOMETRY: f64 = 1.30 + 1e-9;

/// Below this multiple of the computed volume it is likely a nominal volume (common practice, no source).
const NOMINAL_BELOW: f64 = 0.85;
