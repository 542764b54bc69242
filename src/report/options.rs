//! Every specimen × vessel with its verdict, as CSV: what `--options` writes.

use super::csv::{key_cells, key_headers, write};
use crate::options::judge::judge_treated;
use crate::options::table::undecided;
use crate::options::{Filling, Treatment};
use crate::project::Project;
use crate::units::decimal;

/// One line per pair, in survey order, then by vessel. Rows that are held, or about which something is unknown, have
/// no line: no vessel is asked about them. `left_out` are rows that could not be read.
pub fn options(project: &Project, left_out: &[String]) -> Vec<u8> {
    let ours =
        ["vessel", "verdict", "pieces", "posture", "charges", "fluid_ml", "fluid_cost", "rule", "shortfall", "unit"];
    let header = key_headers(project).chain(ours.map(str::to_owned)).collect();
    let specimens = project.collection.specimens.iter();
    let judged =
        specimens.filter(|specimen| specimen.held(&project.rules).is_none() && undecided(project, specimen).is_none());
    let rows = judged.flat_map(|specimen| {
        let key = key_cells(project, &specimen.key);
        let treatment = Treatment::of(project, specimen);
        project.stock.listed().map(move |(id, vessel)| {
            let cells: [String; 10] = match judge_treated(project, specimen, &treatment, id) {
                Ok(fit) => [
                    vessel.id.clone(),
                    "option".to_owned(),
                    fit.pieces.to_string(),
                    fit.stance.map_or(String::new(), |stance| stance.name().to_owned()),
                    fit.charges.to_string(),
                    fit.fluid().0.to_string(),
                    Filling::of(project, specimen, &treatment, fit.charges, fit.fluid())
                        .money(project, specimen.fluid)
                        .text(),
                    String::new(),
                    String::new(),
                    String::new(),
                ],
                Err(refusal) => [
                    vessel.id.clone(),
                    "refused".to_owned(),
                    String::new(),
                    String::new(),
                    String::new(),
                    String::new(),
                    String::new(),
                    refusal.rule.name().to_owned(),
                    refusal.shortfall.map_or(String::new(), |amount| decimal(amount, 1)),
                    refusal.shortfall.map_or("", |_| refusal.cause.unit()).to_owned(),
                ],
            };
            key.iter().cloned().chain(cells).collect()
        })
    });
    write(header, left_out, rows)
}
