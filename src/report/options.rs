//! The verdict on every pair of specimen and vessel as CSV, which `--options` writes.

use super::columns::Keys;
use super::columns::judged::{JudgedLine, Suits};
use super::table::csv::file;
use super::table::{Column, cells};
use crate::options::Treatment;
use crate::options::judge::judge_treated;
use crate::options::table::undecided;
use crate::project::Project;

/// One line per pair, in survey order, then by vessel. Lots that are held or undecided have no line, because no vessel is
/// judged for them. `left_out` are input rows that could not be read.
pub fn options(project: &Project, left_out: &[String]) -> Vec<u8> {
    let keys = Keys::of(project);
    let columns: Vec<Column> = keys.columns.iter().copied().chain(JudgedLine::FILE.map(|field| field.column)).collect();
    let specimens = project.collection.specimens.iter();
    let judged =
        specimens.filter(|specimen| specimen.held(&project.rules).is_none() && undecided(project, specimen).is_none());
    let rows = judged.flat_map(|specimen| {
        let keys = &keys;
        let treatment = Treatment::of(project, specimen);
        project.stock.listed().map(move |(id, vessel)| {
            let suits = |fit| Suits::of(project, specimen, &treatment, fit);
            let verdict = judge_treated(project, specimen, &treatment, id).map(suits);
            keys.cells(specimen).chain(cells(&JudgedLine::FILE, JudgedLine { vessel, verdict }))
        })
    });
    file(&columns, left_out, rows)
}
