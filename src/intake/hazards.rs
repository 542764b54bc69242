//! Finds the hazards of a survey row: those it states, those its fluids name, and hazard words in other columns, which give
//! a warning.

use super::cells::quoted;
use super::columns::SpecimenColumn as Column;
use super::names::FluidNames;
use super::references::References;
use super::table::{TableRow, either};
use crate::diagnostics::{Code, nearest};
use crate::rules::HazardId;
use crate::rules::hazards::Where;

/// The hazard words as typed, in lower case, and the hazards that they and the fluids name.
pub(super) fn hazards(
    row: &mut TableRow<Column>,
    references: &References,
    fluids: &mut FluidNames,
) -> (Vec<String>, Vec<HazardId>) {
    let mut typed = Vec::new();
    let mut known = Vec::new();
    for word in row.list(Column::Hazard) {
        let named = references.rules.hazards.named_in(word, Where::AmongHazards);
        if named.is_empty() {
            unknown(row, word, references);
        }
        known.extend(named);
        typed.push(word.to_lowercase());
    }
    for column in [Column::Fluid, Column::CurrentFluid] {
        if let Some(name) = row.stated(column) {
            known.extend(&fluids.find(name).hazards);
        }
    }
    known.sort_unstable();
    known.dedup();
    elsewhere(row, references, &known);
    (typed, known)
}

fn unknown(row: &mut TableRow<Column>, word: &str, references: &References) {
    let ids: Vec<&str> = references.rules.hazards.all().map(|(_, hazard)| hazard.id.as_str()).collect();
    let message = format!(
        "{} has {}, which is not in the hazards table: no lot is held for it",
        row.header(Column::Hazard),
        quoted(word)
    );
    let cure = match nearest(word, ids.iter().copied()) {
        Some(near) => format!("if you mean {near:?}, write that; to hold the lot, give the reason under hold"),
        None => format!(
            "write {}, or add the word to hazards.csv; to hold the lot, give the reason under hold",
            either(&ids)
        ),
    };
    row.warning(Column::Hazard, Code::UnknownHazard, message, cure);
}

/// Columns with another purpose that are searched for hazard words.
const SEARCHED: [Column; 3] = [Column::ScientificName, Column::Location, Column::CurrentClosure];

/// Searches other columns for hazard words: the columns that are only passed on (notes, preparations), the scientific name,
/// the location and the present closure (`Homo sapiens`, a picric acid cupboard, a lead seal). A note may speak of the past
/// or deny the hazard ("no picric acid"), so a word found there gives a warning and does not hold the lot.
fn elsewhere(row: &mut TableRow<Column>, references: &References, known: &[HazardId]) {
    let mut said: Vec<HazardId> = known.to_vec();
    let own = SEARCHED.into_iter().filter_map(|column| Some((row.at(column), row.header(column), row.stated(column)?)));
    let own: Vec<_> = own.collect();
    for (at, header, text) in own.into_iter().chain(row.carried_cells()) {
        for id in references.rules.hazards.named_in(text, Where::Elsewhere) {
            if said.contains(&id) {
                continue;
            }
            said.push(id);
            let hazard = references.rules.hazards.get(id);
            let message = format!("{header} is {}: this names a hazard ({})", quoted(text), hazard.id);
            let cure = format!("if the lot has it, write {} under hazard. {}", hazard.id, hazard.words);
            row.warning_at(at, Code::HazardInText, message, &cure);
        }
    }
}
