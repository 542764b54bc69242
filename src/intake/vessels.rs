//! The stock list: rows → vessels and offers. Several rows of one vessel are several offers; what they say of the vessel
//! itself is put together here, and checked as a whole.

use std::collections::{BTreeMap, BTreeSet};

use super::cells::{CellFault, quoted};
use super::columns::VesselColumn as Column;
use super::findings::{Findings, RowLeftOut};
use super::names;
use super::offers::offer;
use super::suppliers::SupplierNames;
use super::table::{At, InputTable, TableRow, Zero};
use super::vessel_body::{Shape, StatedMeasures, VesselBody};
use crate::diagnostics::{Code, Diagnostic, Severity};
use crate::rules::{ClosureId, MaterialId, NeckFinish, Rules};
use crate::stock::{Offer, Section, Vessel, VesselId};
use crate::units::{Length, Mass, Volume};

/// What the stock list says.
pub struct StockList {
    /// Sorted by id.
    pub vessels: Vec<Vessel>,
    /// Sorted by vessel, then line.
    pub offers: Vec<Offer>,
    /// Every name typed, whether or not its row could be read.
    pub names: BTreeSet<String>,
}

/// Reads the stock list.
pub fn read(
    table: &InputTable<Column>,
    rules: &Rules,
    suppliers: &mut SupplierNames,
    findings: &mut Findings,
) -> StockList {
    let mut names = BTreeSet::new();
    let mut kinds: BTreeMap<String, VesselKind> = BTreeMap::new();
    // Where rows with errors stop the plan, what can be read of them is still judged, so that all is said in one run.
    let leaves_out = findings.skips_bad_rows();
    let mut left_out: BTreeMap<String, usize> = BTreeMap::new();
    let mut prices = Prices::default();
    table.each(findings, |row| {
        let known_bad = row.is_bad();
        let Some(name) = row.required(Column::Vessel) else { return };
        names.insert(name.to_owned());
        if known_bad {
            return;
        }
        if name.starts_with('@') || name.contains('|') {
            let says = "must_use could not name it: @tank means a custom tank, and | separates names";
            row.fault(
                Column::Vessel,
                CellFault::new(Code::ReservedName, says, "choose a name that does not start with @ and has no |"),
            );
        }
        let facts = facts(row, rules);
        let offer = offer(row, suppliers);
        prices.add(row, name);
        let pieces = PIECES.map(|column| row.whole(column).map(|n| StatedMeasures { value: n, at: row.at(column) }));
        match kinds.get_mut(name) {
            None if row.is_bad() && leaves_out => {}
            None => {
                let kind = VesselKind {
                    at: row.at(Column::Vessel),
                    description: row.text(Column::Description).to_owned(),
                    facts,
                    pieces,
                    offers: offer.into_iter().collect(),
                    carried: table.carried_headers().into_iter().zip(row.carried()).collect(),
                    lines: vec![row.line],
                };
                kinds.insert(name.to_owned(), kind);
            }
            Some(kind) => kind.merge(row, facts, pieces, offer, leaves_out),
        }
        if row.is_bad() && leaves_out {
            left_out.entry(name.to_owned()).or_insert(row.line);
        }
    });
    let mut vessels = Vec::new();
    let mut offers = Vec::new();
    for (name, kind) in kinds {
        let mut found = Vec::new();
        let vessel = kind.vessel(&name, table, rules, &mut found);
        if let Some(line) = left_out.get(&name) {
            kind.blame_row_left_out(&name, *line, table, &mut found);
        }
        findings.row(table.line_place(kind.at.line), found);
        match vessel {
            Some(vessel) => {
                let id = VesselId(vessels.len() as u32);
                offers.extend(kind.offers.into_iter().map(|offer| Offer { vessel: id, ..offer }));
                vessels.push(vessel);
            }
            // Its first row is named with what is wrong; the others go with it.
            None if leaves_out => {
                let others = kind.lines.iter().filter(|line| **line != kind.at.line);
                findings.skipped.extend(others.map(|line| RowLeftOut {
                    place: table.line_place(*line),
                    message: format!("an offer of {}, which is left out", quoted(&name)),
                }));
            }
            None => {}
        }
    }
    prices.end(table, findings);
    StockList { vessels, offers, names }
}

/// Which kinds of vessel have a price. A blank one among others may be a cell that was forgotten where the vessel is of no
/// use without it (there is no piece of it) or somebody sells it: such a vessel is never ordered, and nothing in the plan
/// would show why. Empties on the shelf that nobody sells need none.
#[derive(Default)]
struct Prices {
    kinds: BTreeMap<String, Priced>,
}

/// What the rows of a kind say of its price.
struct Priced {
    /// Where it stands, or where it would.
    at: At,
    /// No row has a price, or says that it is not for sale.
    blank: bool,
    /// Some row has pieces.
    pieces: bool,
    /// Some row names who sells it.
    sold: bool,
}

impl Prices {
    fn add(&mut self, row: &TableRow<Column>, name: &str) {
        let column = if row.has(Column::UnitPrice) { Column::UnitPrice } else { Column::PackPrice };
        let priced = row.stated(Column::UnitPrice).or(row.stated(Column::PackPrice)).is_some();
        let not_for_sale = row.stated(Column::OrderLimit) == Some("0");
        let none = Priced { at: row.at(column), blank: true, pieces: false, sold: false };
        let kind = self.kinds.entry(name.to_owned()).or_insert(none);
        kind.blank &= !priced && !not_for_sale;
        kind.pieces |= [Column::OnHand, Column::OnOrder]
            .iter()
            .any(|column| row.stated(*column).is_some_and(|pieces| pieces != "0"));
        kind.sold |= [Column::Supplier, Column::OrderCode].iter().any(|column| row.stated(*column).is_some());
    }

    fn end(self, table: &InputTable<Column>, findings: &mut Findings) {
        if self.kinds.values().all(|kind| kind.blank) {
            return;
        }
        let forgotten = |kind: &Priced| kind.blank && (kind.sold || !kind.pieces);
        let blank: Vec<(&str, At)> = self
            .kinds
            .iter()
            .filter(|(_, kind)| forgotten(kind))
            .map(|(name, kind)| (name.as_str(), kind.at))
            .collect();
        let Some(first) = blank.iter().map(|(_, at)| *at).min_by_key(|at| at.line) else { return };
        const MOST: usize = 12;
        let names = blank.iter().take(MOST).map(|(name, _)| *name).collect::<Vec<_>>().join(", ");
        let more = match blank.len().saturating_sub(MOST) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        let kinds = if blank.len() == 1 { "1 vessel has" } else { &format!("{} vessels have", blank.len()) };
        let message = format!("{kinds} no price and will not be ordered, while others have one: {names}{more}");
        let warning = Diagnostic::warning(Code::BlankPrice, table.place(first), message);
        findings.report(warning.help("write the price, or 0 under order_limit where it cannot be bought"));
    }
}

/// Counts of pieces, which stand on one row of a vessel.
const PIECES: [Column; 3] = [Column::OnHand, Column::OnOrder, Column::Reserve];

/// One kind of vessel, put together from its rows.
struct VesselKind {
    at: At,
    description: String,
    facts: Facts,
    pieces: [Option<StatedMeasures<u32>>; 3],
    offers: Vec<Offer>,
    carried: Vec<(String, String)>,
    lines: Vec<usize>,
}

/// What rows say of the vessel itself.
#[derive(Clone, Default)]
struct Facts {
    body: VesselBody,
    capacity: Option<StatedMeasures<Volume>>,
    material: Option<StatedMeasures<MaterialId>>,
    closure: Option<StatedMeasures<ClosureId>>,
    outer_height: Option<StatedMeasures<Length>>,
    outer_diameter: Option<StatedMeasures<Length>>,
    outer_length: Option<StatedMeasures<Length>>,
    outer_width: Option<StatedMeasures<Length>>,
    empty_mass: Option<StatedMeasures<Mass>>,
    /// Columns whose cells are not blank and could not be read: that has been said.
    unread: Vec<Column>,
    /// One of them is a measure of the inside.
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

fn named<T>(
    row: &mut TableRow<Column>,
    column: Column,
    unread: &mut Vec<Column>,
    find: impl Fn(&str) -> Result<T, CellFault>,
) -> Option<StatedMeasures<T>> {
    stated(row, column, unread, |row, column| find(row.stated(column)?).map_err(|fault| row.fault(column, fault)).ok())
}

/// A value with its place, if stated; a column whose cell cannot be read joins `unread`.
pub(super) fn stated<T>(
    row: &mut TableRow<Column>,
    column: Column,
    unread: &mut Vec<Column>,
    read: impl FnOnce(&mut TableRow<Column>, Column) -> Option<T>,
) -> Option<StatedMeasures<T>> {
    let value = read(row, column);
    if value.is_none() && row.stated(column).is_some() {
        unread.push(column);
    }
    value.map(|value| StatedMeasures { value, at: row.at(column) })
}

/// A length with its place, if stated.
pub(super) fn length(
    row: &mut TableRow<Column>,
    column: Column,
    unread: &mut Vec<Column>,
) -> Option<StatedMeasures<Length>> {
    stated(row, column, unread, |row, column| row.length(column, Zero::Refused))
}

/// Takes what another row of the same vessel says; a different value is an error of that row.
pub(super) fn agree<T: PartialEq>(
    row: &mut TableRow<Column>,
    column: Column,
    known: &mut Option<StatedMeasures<T>>,
    other: Option<StatedMeasures<T>>,
) {
    match (&*known, other) {
        (_, None) => {}
        (None, other) => *known = other,
        (Some(first), Some(other)) if first.value == other.value => {}
        (Some(first), Some(_)) => {
            let says = format!("{} has another value for the same vessel", row.line_named(first.at.line));
            let help = "make the rows of a vessel agree, or leave the cell blank";
            row.fault(column, CellFault::new(Code::ContradictoryRows, says, help));
        }
    }
}

impl VesselKind {
    /// Takes what another row says; a bad row says nothing where such rows are left out.
    fn merge(
        &mut self,
        row: &mut TableRow<Column>,
        facts: Facts,
        pieces: [Option<StatedMeasures<u32>>; 3],
        offer: Option<Offer>,
        leaves_out: bool,
    ) {
        let before = (self.facts.clone(), self.pieces);
        let known = &mut self.facts;
        known.body.agree(row, facts.body);
        agree(row, Column::Capacity, &mut known.capacity, facts.capacity);
        agree(row, Column::Material, &mut known.material, facts.material);
        agree(row, Column::Closure, &mut known.closure, facts.closure);
        agree(row, Column::OuterHeight, &mut known.outer_height, facts.outer_height);
        agree(row, Column::OuterDiameter, &mut known.outer_diameter, facts.outer_diameter);
        agree(row, Column::OuterLength, &mut known.outer_length, facts.outer_length);
        agree(row, Column::OuterWidth, &mut known.outer_width, facts.outer_width);
        agree(row, Column::EmptyMass, &mut known.empty_mass, facts.empty_mass);
        known.unread.extend(facts.unread);
        known.inside_unread |= facts.inside_unread;
        for ((known, other), column) in self.pieces.iter_mut().zip(pieces).zip(PIECES) {
            match (&*known, other) {
                (_, None | Some(StatedMeasures { value: 0, .. })) => {}
                (None | Some(StatedMeasures { value: 0, .. }), other) => *known = other,
                (Some(first), Some(_)) => {
                    let says = format!("{} also counts pieces of this vessel", row.line_named(first.at.line));
                    let help = "count the pieces on one row of the vessel, and leave the others blank";
                    row.fault(column, CellFault::new(Code::StockOnSeveralRows, says, help));
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

    /// The vessel as a whole, or what is wrong with it.
    fn vessel(
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
                    Diagnostic::error(Code::BlankCell, place, message).help("fill it in on one row of the vessel"),
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

    /// What the rows that are kept leave blank may stand on the one left out: that is said once, not cell by cell.
    fn blame_row_left_out(&self, name: &str, line: usize, table: &InputTable<Column>, found: &mut Vec<Diagnostic>) {
        let before = found.len();
        found.retain(|diagnostic| diagnostic.code != Code::BlankCell);
        if found.len() < before {
            let line = table.line_named(line);
            let message = format!("{} is not fully described without {line}, which is left out", quoted(name));
            let error = Diagnostic::error(Code::VesselLeftOut, table.place(self.at), message);
            found.push(error.help(format!("correct {line}")));
        }
    }

    /// Doubts about outer measures below the inner ones.
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
            found.push(warning.help("check which of the two was measured outside"));
        }
    }
}

/// A stated brimful volume against what the inner measures give.
fn judge_capacity(
    name: &str,
    capacity: &StatedMeasures<Volume>,
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
        return Some(error.help("check the inner measures; a brimful volume is at most 30 % above them"));
    }
    if stated > computed * (1.0 + 1e-9) {
        let warning = Diagnostic::warning(Code::CapacityAboveGeometry, place, amounts);
        return Some(warning.help("the stated volume is used; check the inner measures if it is not brimful"));
    }
    (stated < NOMINAL_BELOW * computed).then(|| {
        let message = format!("{amounts}: nominal?");
        let warning = Diagnostic::warning(Code::CapacityBelowGeometry, place, message);
        warning.help("fill one to the brim and measure, or leave the cell blank to use the inner measures")
    })
}

/// A brimful volume above this share of the geometry is a mistake (common practice, no source).
const MOST_OVER_GEOMETRY: f64 = 1.30 + 1e-9;

/// Below this share of the geometry it is likely a nominal volume (common practice, no source).
const NOMINAL_BELOW: f64 = 0.85;
