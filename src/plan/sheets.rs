//! The stock sheets that the panes of all tanks are cut from.

use super::{SheetLayout, SheetPane, Tank};
use crate::project::Project;
use crate::tank::sheets::nest;
use crate::units::Length;

/// Nests the panes of all tanks, thinnest glass first. Tanks are taken by key, so that the order of the survey has no effect.
///
/// No pane is larger than every sheet: `tank::design` refuses such a tank, and rounding a pane to three decimals does not carry it
/// beyond a sheet, whose sides have no more decimals (`settings::glass`). A pane of a plan that was made otherwise is left out.
pub fn sheets(project: &Project, tanks: &[Tank]) -> Vec<SheetLayout> {
    let settings = &project.settings;
    let mut by_key: Vec<&Tank> = tanks.iter().collect();
    by_key.sort_by_key(|tank| &project.collection.specimens[tank.specimen].key);
    let mut panes: Vec<(Length, SheetPane)> = Vec::new();
    for tank in by_key {
        for line in tank.design.iter().flat_map(|design| &design.panes) {
            let (x, y) = (Length::ZERO, Length::ZERO);
            let pane =
                SheetPane { specimen: tank.specimen, pane: line.kind, x, y, length: line.length, width: line.width };
            panes.extend((0..line.pieces).map(|_| (line.thickness, pane.clone())));
        }
    }
    let mut thicknesses: Vec<Length> = panes.iter().map(|(thickness, _)| *thickness).collect();
    thicknesses.sort_by(|a, b| a.mm().total_cmp(&b.mm()));
    thicknesses.dedup();
    let of_one = |thickness: Length| {
        let fits = |pane: &&SheetPane| {
            let (long, short) = (pane.length.max(pane.width), pane.length.min(pane.width));
            settings.sheets.0.iter().any(|(length, width)| long.fits(*length) && short.fits(*width))
        };
        let panes = panes.iter().filter(|(own, _)| *own == thickness).map(|(_, pane)| pane);
        let panes: Vec<&SheetPane> = panes.filter(fits).collect();
        let sides: Vec<_> = panes.iter().map(|pane| (pane.length, pane.width)).collect();
        let nested = nest(&sides, &settings.sheets.0, settings.kerf).unwrap_or_default();
        nested
            .into_iter()
            .map(move |sheet| SheetLayout {
                thickness,
                length: sheet.length,
                width: sheet.width,
                panes: sheet
                    .placed
                    .into_iter()
                    .map(|at| SheetPane {
                        x: rounded(at.x),
                        y: rounded(at.y),
                        length: at.length,
                        width: at.width,
                        ..panes[at.pane].clone()
                    })
                    .collect(),
            })
            .collect::<Vec<_>>()
    };
    thicknesses.into_iter().flat_map(of_one).collect()
}

/// Rounded to three decimals, as in plan.json.
fn rounded(length: Length) -> Length {
    Length::at_least_zero((length.mm() * 1000.0).round() / 1000.0)
}

/// By thickness: the number of sheets, their area, and the area of the panes on them, in m².
pub fn by_thickness(sheets: &[SheetLayout]) -> Vec<(Length, usize, f64, f64)> {
    let mut sums: Vec<(Length, usize, f64, f64)> = Vec::new();
    let m2 = |length: Length, width: Length| length.mm() * width.mm() / 1e6;
    for sheet in sheets {
        if sums.last().is_none_or(|(thickness, ..)| *thickness != sheet.thickness) {
            sums.push((sheet.thickness, 0, 0.0, 0.0));
        }
        if let Some((_, count, whole, used)) = sums.last_mut() {
            *count += 1;
            *whole += m2(sheet.length, sheet.width);
            *used += sheet.panes.iter().map(|pane| m2(pane.length, pane.width)).sum::<f64>();
        }
    }
    sums
}
