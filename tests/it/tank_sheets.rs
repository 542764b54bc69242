//! Panes on stock sheets: each pane once, inside the sheet, a kerf apart, and obtainable by cuts from edge to edge.

use proptest::prelude::*;
use rehouse::tank::sheets::{GlassSheet, nest};
use rehouse::units::Length;

use crate::support::TestProject;

fn mm(length: f64) -> Length {
    Length::new(length).unwrap()
}

fn pairs(sides: &[(f64, f64)]) -> Vec<(Length, Length)> {
    sides.iter().map(|(one, other)| (mm(*one), mm(*other))).collect()
}

#[test]
fn four_panes_that_exactly_fill_a_sheet_with_its_cuts_need_one_sheet() {
    let quarters = pairs(&[(498.0, 298.0), (298.0, 498.0), (498.0, 298.0), (498.0, 298.0)]);
    let sheets = nest(&quarters, &pairs(&[(1000.0, 600.0)]), mm(4.0)).unwrap();
    assert_eq!(sheets.len(), 1);
    assert_eq!(nest(&quarters, &pairs(&[(1000.0, 600.0)]), mm(4.1)).unwrap().len(), 2);
}

#[test]
fn a_small_order_uses_the_smaller_sheet_and_a_pane_larger_than_all_sheets_uses_none() {
    let sizes = pairs(&[(3000.0, 2000.0), (1000.0, 600.0)]);
    let sheets = nest(&pairs(&[(600.0, 400.0)]), &sizes, mm(3.0)).unwrap();
    assert_eq!((sheets.len(), sheets[0].length), (1, mm(1000.0)));
    assert_eq!(nest(&pairs(&[(3100.0, 10.0)]), &sizes, mm(3.0)), None);
}

#[test]
fn a_pane_as_large_as_its_sheet_is_cut_from_it_whatever_its_decimals() {
    // Clear 440.0006 × 340.0006: base and lid measure 452.0006, which a plan states as 452.001.
    let planned = |sheet: &str| {
        let survey = "catalogNumber,length_mm,width_mm,height_mm,outline,fluid\nA-1,400,300,200,box,glycerol-50\n";
        let stock = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n\
                     jar,cylinder,60,110,borosilicate,ground-glass-stopper,5\n";
        let settings = format!("[tank]\nwall_mm = 20.0003\nround_up_mm = 0.0001\n[glass]\nsheets_mm = \"{sheet}\"\n");
        TestProject::new().file("specimens.csv", survey).file("vessels.csv", stock).file("settings.toml", settings)
    };
    let plan = planned("452.001x400").planned().plan;
    let panes =
        plan["sheets"].as_array().expect("sheets").iter().map(|sheet| sheet["panes"].as_array().expect("panes").len());
    assert_eq!(panes.sum::<usize>(), 6);
    // A sheet that a plan could not state is refused, so no pane that fits it is too large once it is stated.
    let refused = planned("452.0006x400").plan();
    assert!(refused.code != 0 && refused.stderr.contains("at most 3 decimals"), "{}", refused.stderr);
}

/// Whether the panes are a kerf apart, within rounding.
fn apart(sheet: &GlassSheet, kerf: f64) -> bool {
    let ends = |from: Length, side: Length| (from.mm(), (from + side).mm());
    let clear = |a: (f64, f64), b: (f64, f64)| a.1 + kerf <= b.0 + 1e-6 || b.1 + kerf <= a.0 + 1e-6;
    sheet.placed.iter().enumerate().all(|(i, a)| {
        sheet.placed[i + 1..]
            .iter()
            .all(|b| clear(ends(a.x, a.length), ends(b.x, b.length)) || clear(ends(a.y, a.width), ends(b.y, b.width)))
    })
}

/// Whether cuts from edge to edge separate the panes; tried at every edge of a pane.
fn cuttable(boxes: &[[f64; 4]]) -> bool {
    boxes.len() <= 1
        || (0..2).any(|axis| {
            boxes.iter().any(|cut| {
                let at = cut[axis];
                let (before, after): (Vec<[f64; 4]>, Vec<[f64; 4]>) =
                    boxes.iter().partition(|b| b[axis] + b[axis + 2] <= at + 1e-6);
                let clean = after.iter().all(|b| b[axis] >= at - 1e-6);
                clean && !before.is_empty() && !after.is_empty() && cuttable(&before) && cuttable(&after)
            })
        })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_layout_can_be_cut(
        sides in proptest::collection::vec((40.0..1500.0, 40.0..900.0), 1..25), kerf in 0.0..6.0f64
    ) {
        let panes = pairs(&sides);
        let sizes = pairs(&[(2000.0, 1200.0), (1600.0, 1000.0)]);
        let sheets = nest(&panes, &sizes, mm(kerf)).unwrap();
        let mut seen: Vec<usize> = sheets.iter().flat_map(|sheet| sheet.placed.iter().map(|at| at.pane)).collect();
        seen.sort();
        prop_assert_eq!(seen, (0..panes.len()).collect::<Vec<_>>());
        for sheet in &sheets {
            prop_assert!(sizes.contains(&(sheet.length, sheet.width)));
            for at in &sheet.placed {
                let (one, other) = panes[at.pane];
                prop_assert!((at.length, at.width) == (one, other) || (at.length, at.width) == (other, one));
                prop_assert!((at.x + at.length).fits(sheet.length) && (at.y + at.width).fits(sheet.width));
            }
            prop_assert!(apart(sheet, kerf));
            let boxes: Vec<_> = sheet.placed.iter().map(|at| [at.x, at.y, at.length, at.width].map(Length::mm)).collect();
            prop_assert!(cuttable(&boxes));
        }
        prop_assert_eq!(nest(&panes, &sizes, mm(kerf)).unwrap(), sheets);
    }
}
