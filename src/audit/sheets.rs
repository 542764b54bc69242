//! Checks the layouts of glass sheets: every pane once, inside its sheet, a kerf apart, and separable by cuts from edge to edge.

use std::collections::BTreeMap;

use super::claims::Claims;
use crate::plan::sheets::sheets;
use crate::plan::{Plan, SheetLayout};
use crate::project::Project;
use crate::tank::panes::PaneKind;
use crate::units::{Length, decimal};
use crate::words::tank as words;

/// Tolerance in mm: sides are kept to three decimals.
const HAIR: f64 = 0.01;

/// Checks every layout against the cut lists. Panes are laid out again only where the cut lists are those that the inputs give:
/// a list that states a million panes would take forever.
pub(super) fn audit(project: &Project, plan: &Plan, lists_hold: bool, claims: &mut Claims) {
    let settings = &project.settings;
    let mut owed: BTreeMap<(usize, PaneKind, String), i64> = BTreeMap::new();
    let size = |thickness: Length, one: Length, other: Length| {
        let (long, short) = (one.max(other), one.min(other));
        format!("{:.3} x {:.3} x {:.3}", long.mm(), short.mm(), thickness.mm())
    };
    for tank in &plan.tanks {
        for line in tank.design.iter().flat_map(|design| &design.panes) {
            let key = (tank.specimen, line.kind, size(line.thickness, line.length, line.width));
            *owed.entry(key).or_default() += i64::from(line.pieces);
        }
    }
    let n_panes = usize::try_from(owed.values().sum::<i64>()).unwrap_or(usize::MAX);
    for (i, sheet) in plan.sheets.iter().enumerate() {
        let at = |what: &str| format!("sheets[{i}].{what}");
        let stocked = |(length, width): &(Length, Length)| *length == sheet.length && *width == sheet.width;
        if !settings.sheets.0.iter().any(stocked) {
            claims.refute(at("length_mm"), sheet.length, "a sheet that is stocked");
        }
        for pane in &sheet.panes {
            let key = (pane.specimen, pane.pane, size(sheet.thickness, pane.length, pane.width));
            *owed.entry(key).or_default() -= 1;
            let ends = ((pane.x + pane.length).mm(), (pane.y + pane.width).mm());
            if ends.0 > sheet.length.mm() + HAIR || ends.1 > sheet.width.mm() + HAIR {
                claims.refute(at("panes"), words::pane(pane.pane), "a pane inside its sheet");
            }
        }
        // A layout with more panes than the cut lists is found wrong below, so it need not be tested.
        if lists_hold && sheet.panes.len() <= n_panes && !cuttable(&boxes(sheet), settings.kerf.mm()) {
            claims.refute(at("panes"), "panes that no cuts from edge to edge part", "a layout that can be cut");
        }
    }
    for ((row, pane, size), left) in owed {
        if left != 0 {
            let (pane, key) = (words::pane(pane), &project.collection.specimens[row].key);
            let stated = format!("{} too {}", left.abs(), if left > 0 { "few" } else { "many" });
            claims.refute(format_args!("sheets: {key}, {pane} {size}"), stated, "each pane of the cut list once");
        }
    }
    if !lists_hold {
        return;
    }
    // Other layouts would do as well, but a plan must hold the one that the program makes.
    let derived = sheets(project, &plan.tanks);
    claims.same("sheets: count", plan.sheets.len(), derived.len());
    for (i, (stated, derived)) in plan.sheets.iter().zip(&derived).enumerate() {
        claims.fact(format_args!("sheets[{i}]"), Some(stated), Some(derived), in_words);
    }
}

/// A layout in words: `3210 × 2250 mm, 6 mm thick, with 5 panes`.
fn in_words(sheet: &SheetLayout) -> String {
    let [length, width, thickness] = [sheet.length, sheet.width, sheet.thickness].map(|side| decimal(side.mm(), 3));
    format!("{length} × {width} mm, {thickness} mm thick, with {} panes", sheet.panes.len())
}

/// x, y, length and width in mm.
type Box4 = [f64; 4];

fn boxes(sheet: &SheetLayout) -> Vec<Box4> {
    sheet.panes.iter().map(|pane| [pane.x, pane.y, pane.length, pane.width].map(Length::mm)).collect()
}

/// Whether cuts from edge to edge, first through the sheet and then through each part, separate all panes.
fn cuttable(panes: &[Box4], kerf: f64) -> bool {
    if panes.len() <= 1 {
        return true;
    }
    (0..2).any(|axis| {
        let mut sorted = panes.to_vec();
        sorted.sort_by(|a, b| a[axis].total_cmp(&b[axis]));
        let mut end = f64::NEG_INFINITY;
        (0..sorted.len()).any(|i| {
            let free = i > 0 && sorted[i][axis] + HAIR >= end + kerf;
            end = end.max(sorted[i][axis] + sorted[i][axis + 2]);
            // Any first cut will do: each part of a cuttable layout is cuttable.
            free && cuttable(&sorted[..i], kerf) && cuttable(&sorted[i..], kerf)
        })
    })
}
