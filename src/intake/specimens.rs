//! Reads the rows of the survey into specimens.

use std::collections::HashMap;
use std::sync::Arc;

use super::cells::{CellFault, quoted};
use super::columns::{InputColumns, SpecimenColumn as Column};
use super::findings::Findings;
use super::fluids::{current_fluid, fluid};
use super::hazards::hazards;
use super::names::{FluidNames, VesselNames, unknown};
use super::references::References;
use super::table::{At, InputTable, TableRow, Zero};
use crate::collection::{
    Collection, Display, Envelope, Key, Outline, Particulars, Posture, Size, Specimen, Tissue, VesselChoice,
};
use crate::diagnostics::{Code, Diagnostic};

/// Reads the survey.
pub fn read(table: &InputTable<Column>, references: &References, findings: &mut Findings) -> Collection {
    table.only_defaults(findings, |row| specimen(row, references, &mut FluidNames::new(references.rules)));
    let new = || SurveyShare::new(references);
    let parts = table.each_in_parts(findings, new, |part, row| part.add(row, references));
    let mut parts = parts.into_iter();
    let SurveyShare { mut specimens, mut keys_at, mut bad_keys, .. } = parts.next().unwrap_or_else(new);
    for part in parts {
        specimens.extend(part.specimens);
        keys_at.extend(part.keys_at);
        bad_keys.extend(part.bad_keys);
    }
    let mut collection =
        Collection { specimens, key_headers: key_headers(table), carried_headers: table.carried_headers() };
    if !bad_keys.is_empty() || has_equal_keys(&collection) {
        drop_equal_keys(table, &mut collection.specimens, &keys_at, &bad_keys, findings);
    }
    collection
}

/// Whether two specimens share a key. Most surveys are nearly in order of their keys, and then this check is faster than the
/// search for the repeated rows.
fn has_equal_keys(collection: &Collection) -> bool {
    let key = |at: u32| &collection.specimens[at as usize].key;
    collection.by_key().windows(2).any(|pair| key(pair[0]) == key(pair[1]))
}

/// The rows that were read in one part of the survey. Parts may be read by different threads.
struct SurveyShare<'r> {
    fluids: FluidNames<'r>,
    specimens: Vec<Specimen>,
    keys_at: Vec<At>,
    bad_keys: Vec<(Key, At)>,
}

impl<'r> SurveyShare<'r> {
    fn new(references: &References<'r>) -> Self {
        let fluids = FluidNames::new(references.rules);
        SurveyShare { fluids, specimens: Vec::new(), keys_at: Vec::new(), bad_keys: Vec::new() }
    }

    fn add(&mut self, row: &mut TableRow<Column>, references: &References) {
        if row.is_bad() {
            return;
        }
        let at = row.at(Column::CatalogNumber);
        let specimen = specimen(row, references, &mut self.fluids);
        if row.is_bad() {
            self.bad_keys.push((specimen.key, at));
        } else {
            self.specimens.push(specimen);
            self.keys_at.push(at);
        }
    }
}

fn key_headers(table: &InputTable<Column>) -> Vec<String> {
    let columns = [Column::CatalogNumber, Column::InstitutionCode, Column::CollectionCode, Column::Part];
    let present = columns.into_iter().filter(|column| table.has(*column) || table.has_default(*column));
    present.map(|column| column.column().name.to_owned()).collect()
}

/// Reports every row whose key an earlier row has, and removes its specimen.
fn drop_equal_keys(
    table: &InputTable<Column>,
    specimens: &mut Vec<Specimen>,
    keys_at: &[At],
    bad_keys: &[(Key, At)],
    findings: &mut Findings,
) {
    let good = specimens.iter().zip(keys_at).enumerate().map(|(i, (specimen, at))| (&specimen.key, *at, Some(i)));
    let bad = bad_keys.iter().map(|(key, at)| (key, *at, None));
    let mut rows: Vec<(&Key, At, Option<usize>)> =
        good.chain(bad).filter(|(key, ..)| !key.catalog_number.is_empty()).collect();
    rows.sort_by_key(|(_, at, _)| at.line);
    let mut first_lines: HashMap<&Key, usize> = HashMap::with_capacity(rows.len());
    let mut repeated = vec![false; specimens.len()];
    for (key, at, specimen) in rows {
        let first = *first_lines.entry(key).or_insert(at.line);
        if first == at.line {
            continue;
        }
        let message = format!("the key {} is also in {}", quoted(&key.to_string()), table.line_named(first));
        let error = Diagnostic::error(Code::DuplicateKey, table.place(at), message);
        let cure = "give each row its own catalogNumber, institutionCode, collectionCode and part together";
        findings.row(table.line_place(at.line), vec![error.cure(cure)]);
        if let Some(specimen) = specimen {
            repeated[specimen] = true;
        }
    }
    if repeated.contains(&true) {
        let mut is_repeated = repeated.into_iter();
        specimens.retain(|_| !is_repeated.next().unwrap_or(false));
    }
}

/// Reads one row. The row collects its faults; if it has errors, only the key of the returned specimen may be used.
fn specimen(row: &mut TableRow<Column>, references: &References, fluids: &mut FluidNames) -> Specimen {
    let text = |row: &TableRow<Column>, column| row.text(column).to_owned();
    let key = Key {
        catalog_number: row.required(Column::CatalogNumber).unwrap_or_default().to_owned(),
        institution: text(row, Column::InstitutionCode),
        collection: text(row, Column::CollectionCode),
        part: text(row, Column::Part),
    };
    let individuals = row.whole(Column::IndividualCount).unwrap_or(1);
    let size = size(row, references);
    let outline = row.word(Column::Outline, &[("box", Outline::Box), ("rounded", Outline::Rounded)]);
    let kept_in = fluid(row, fluids, references);
    let present = current_fluid(row, fluids, references);
    let particulars = particulars(row, references, fluids);
    let specimen = Specimen {
        key,
        line: row.line,
        name: text(row, Column::ScientificName),
        individuals,
        size,
        outline: outline.unwrap_or(Outline::Box),
        outline_stated: outline.is_some(),
        posture: row.word_or(Column::Posture, &POSTURES, || POSTURE_CURE.to_owned()).unwrap_or(Posture::Either),
        tissue: tissue(row, size, individuals),
        fluid: kept_in,
        current_fluid: present,
        section_give: row.number(Column::SectionGive).unwrap_or(0.0) / 100.0,
        keep_years: row.number(Column::KeepYears).unwrap_or(references.keep_years),
        display: row.word(Column::Display, &DISPLAYS).unwrap_or(Display::No),
        priority: priority(row).unwrap_or(3),
        max_vessels: row.whole(Column::MaxVessels).unwrap_or(1),
        location: text(row, Column::Location),
        particulars: if particulars.are_blank() { Arc::clone(&references.nothing_more) } else { Arc::new(particulars) },
    };
    refuse_contradictory_choices(row, &specimen.particulars, references);
    specimen
}

/// Reads the columns that few rows fill.
fn particulars(row: &mut TableRow<Column>, references: &References, fluids: &mut FluidNames) -> Particulars {
    let (hazards, known_hazards) = hazards(row, references, fluids);
    Particulars {
        body_factor: body_factor(row),
        current_strength_pct: row.number(Column::CurrentStrength),
        current_fluid_ml: row.volume(Column::CurrentFluidVolume, Zero::Allowed),
        tank_quote: row.money(Column::TankQuote),
        must_use: choices(row, Column::MustUse, references),
        must_not_use: choices(row, Column::MustNotUse, references),
        clearance: row.length(Column::Clearance, Zero::Allowed),
        max_outer_height: row.length(Column::MaxOuterHeight, Zero::Refused),
        hazards,
        known_hazards,
        hold: hold(row),
        disposition: row.text(Column::Disposition).to_owned(),
        current_vessel: row.text(Column::CurrentVessel).to_owned(),
        current_material: row.text(Column::CurrentMaterial).to_owned(),
        current_closure: row.text(Column::CurrentClosure).to_owned(),
        event: row.text(Column::EventId).to_owned(),
        type_status: row.text(Column::TypeStatus).to_owned(),
        carried: row.carried(),
    }
}

/// Refuses a vessel that is both under must_use and under must_not_use.
fn refuse_contradictory_choices(row: &mut TableRow<Column>, particulars: &Particulars, references: &References) {
    if let Some(both) = particulars.must_use.iter().find(|choice| particulars.must_not_use.contains(choice)) {
        let name = match both {
            VesselChoice::Tank => TANK,
            VesselChoice::Listed(id) => &references.stock.vessel(*id).id,
        };
        let says = format!("{} is also under must_not_use", quoted(name));
        row.fault(Column::MustUse, CellFault::new(Code::ContradictoryPins, says, "name it in one of the two"));
    }
}

const POSTURES: [(&str, Posture); 5] = [
    ("as-set", Posture::AsSet),
    ("upright", Posture::Upright),
    ("either", Posture::Either),
    ("any", Posture::Any),
    ("coil", Posture::Coil),
];

/// People describe how the body lies or stands; the column asks which measure may be vertical.
const POSTURE_CURE: &str = "write as-set for a body kept as it was fixed (height vertical), upright for one on end \
    (length vertical), either: height or length vertical; any: any side; coil: it still bends and will be coiled";

/// Reads the priority. Words are refused: their order of urgency differs from person to person.
fn priority(row: &mut TableRow<Column>) -> Option<u8> {
    let typed = row.stated(Column::Priority)?;
    let is_whole = typed.parse::<u32>().is_ok();
    if !typed.contains(|c: char| c.is_ascii_digit()) || is_whole && !matches!(typed.parse(), Ok(1..=4)) {
        let cure = "write 1 for urgent, 2 for this year, 3 for in its turn or 4 for what can wait";
        row.fault(Column::Priority, CellFault::new(Code::NotAPriority, "it is not a number from 1 to 4", cure));
        return None;
    }
    u8::try_from(row.whole(Column::Priority)?).ok()
}

const DISPLAYS: [(&str, Display); 3] = [("no", Display::No), ("clear", Display::Clear), ("flat", Display::Flat)];

/// The name of a custom tank in must_use and must_not_use.
const TANK: &str = "@tank";

fn size(row: &mut TableRow<Column>, references: &References) -> Size {
    let columns = [Column::Length, Column::Width, Column::Height];
    let sides = columns.map(|column| row.length(column, Zero::Refused));
    if let [Some(length), Some(width), Some(height)] = sides {
        return Size::Measured(Envelope { length, width, height });
    }
    let stated = columns.map(|column| row.stated(column).is_some());
    if stated.contains(&true) {
        if let Some(blank) = (0..3).find(|i| !stated[*i] && row.has(columns[*i])) {
            let given = columns[(0..3).find(|i| stated[*i]).unwrap_or(0)];
            let message = format!("this cell is blank, but {} is {}", row.header(given), quoted(row.text(given)));
            let cure = "give all three sizes, or none of them";
            row.error(columns[blank], Code::IncompleteSize, message, cure);
        }
        return Size::Unknown;
    }
    like_for_like(row, references)
}

/// A row without sizes takes the size of its present vessel if that is in the stock list (like for like).
fn like_for_like(row: &mut TableRow<Column>, references: &References) -> Size {
    let Some(name) = row.stated(Column::CurrentVessel) else { return Size::Unknown };
    if let Some(vessel) = references.stock.vessel_named(name) {
        return Size::LikeForLike(vessel);
    }
    if !references.vessel_names.may_be_listed(name) {
        if let Some(near) = references.vessel_names.nearest(name) {
            let message = row.says(Column::CurrentVessel, "no size is given, and no vessel of this name is listed");
            row.warning(
                Column::CurrentVessel,
                Code::UnknownVessel,
                message,
                format!("if you mean {near:?}, write that"),
            );
        }
    } else if references.skips_bad_rows {
        left_out(row, Column::CurrentVessel, name, references);
    }
    Size::Unknown
}

/// Reports a cell that names a vessel whose own row was left out.
fn left_out(row: &mut TableRow<Column>, column: Column, name: &str, references: &References) {
    let VesselNames { file, .. } = references.vessel_names;
    let at = references.vessel_names.row_of(name).unwrap_or("the row");
    let message = format!("{at} of {file}, which describes {}, could not be read", quoted(name));
    let cure = format!("correct {at} of {file}");
    row.error(column, Code::VesselLeftOut, message, cure);
}

/// Reads the tissue. A volume takes precedence over a mass. Either is refused if it exceeds what the envelopes can hold, a mass
/// at 1.3 g per ml, which is denser than any tissue (common practice, no source).
fn tissue(row: &mut TableRow<Column>, size: Size, individuals: u32) -> Tissue {
    let volume = row.volume(Column::Tissue, Zero::Allowed);
    let mass = row.mass(Column::Mass, Zero::Allowed);
    if let Size::Measured(envelope) = size {
        let room = envelope.volume().ml() * f64::from(individuals);
        let envelopes = || match individuals {
            1 => format!("its envelope of {} ml", crate::units::decimal(room, 1)),
            n => format!("{n} envelopes of {} ml together", crate::units::decimal(room, 1)),
        };
        if volume.is_some_and(|volume| volume.ml() > room * ROUNDING) {
            let says = format!("more tissue than {} can hold", envelopes());
            row.fault(
                Column::Tissue,
                CellFault::new(Code::TissueBeyondEnvelope, says, "check the volume, the sizes and individualCount"),
            );
        }
        if mass.is_some_and(|mass| mass.g() > MOST_G_PER_ML * room * ROUNDING) {
            let says = format!("more than {MOST_G_PER_ML} g per ml of {}", envelopes());
            row.fault(
                Column::Mass,
                CellFault::new(Code::MassBeyondEnvelope, says, "check the mass, the sizes and individualCount"),
            );
        }
    }
    for (column, zero) in [
        (Column::Tissue, volume.is_some_and(|volume| volume.ml() == 0.0)),
        (Column::Mass, mass.is_some_and(|mass| mass.g() == 0.0)),
    ] {
        if zero {
            let message = row.says(column, "treated as unknown and estimated from the sizes");
            row.warning(column, Code::ZeroIsUnknown, message, "measure it, or leave the cell blank");
        }
    }
    match (volume.filter(|volume| volume.ml() > 0.0), mass.filter(|mass| mass.g() > 0.0)) {
        (Some(volume), _) => Tissue::Volume(volume),
        (None, Some(mass)) => Tissue::Mass(mass),
        (None, None) => Tissue::Unknown,
    }
}

/// Upper limit of the density of tissue, g per ml (common practice, no source).
const MOST_G_PER_ML: f64 = 1.3;

/// Tolerance for the rounding of floating-point products.
const ROUNDING: f64 = 1.0 + 1e-9;

fn body_factor(row: &mut TableRow<Column>) -> Option<f64> {
    let factor = row.number(Column::BodyFactor)?;
    if factor == 0.0 {
        row.fault(
            Column::BodyFactor,
            CellFault::new(Code::Zero, "must be above zero", "leave the cell blank if it is not known"),
        );
        return None;
    }
    Some(factor)
}

fn choices(row: &mut TableRow<Column>, column: Column, references: &References) -> Vec<VesselChoice> {
    let mut choices = Vec::new();
    for name in row.list(column) {
        if name.eq_ignore_ascii_case(TANK) {
            choices.push(VesselChoice::Tank);
        } else if let Some(id) = references.stock.vessel_named(name) {
            choices.push(VesselChoice::Listed(id));
        } else if !references.vessel_names.may_be_listed(name) {
            let near = references.vessel_names.nearest(name);
            let mut fault = unknown(Code::UnknownVessel, "vessel", near.as_deref(), &references.vessel_names.file);
            fault.says = format!("no vessel {} is listed", quoted(name));
            row.fault(column, fault);
        } else if references.skips_bad_rows && column == Column::MustUse {
            left_out(row, column, name, references);
        }
    }
    let mut seen: Vec<VesselChoice> = Vec::new();
    choices.retain(|choice| {
        let new = !seen.contains(choice);
        seen.push(*choice);
        new
    });
    choices
}

/// Reads the reason for a hold. Any text is a reason, but words that deny a hold are refused as unclear.
fn hold(row: &mut TableRow<Column>) -> Option<String> {
    let reason = row.stated(Column::Hold)?;
    if ["no", "none", "false", "0", "n"].contains(&reason.to_lowercase().as_str()) {
        let says = "any text in this cell puts the lot on hold";
        row.fault(Column::Hold, CellFault::new(Code::UnclearHold, says, "leave the cell blank if it may be moved"));
        return None;
    }
    Some(reason.to_owned())
}
