//! Custom tanks: one for each row that gets one, of the size its envelope and the clearances give.

use super::claims::Claims;
use super::row;
use super::sharing::Sharing;
use crate::collection::{Envelope, Size, Specimen};
use crate::fit::{Stance, coil};
use crate::options::Vessels;
use crate::options::tank::TankOption;
use crate::plan::tanks::{PaneLine, TankDesign};
use crate::plan::{Outcome, Plan, Tank};
use crate::project::Project;
use crate::settings::Settings;
use crate::units::{Length, Money, TOUCH_MM, decimal};
use crate::words::tank as words;

/// Checks every tank against its row.
pub(super) fn audit(project: &Project, vessels: &Vessels, plan: &Plan, sharing: &Sharing, claims: &mut Claims) {
    let key = |row: &usize| project.collection.specimens[*row].key.to_string();
    let list = |rows: Vec<usize>| rows.iter().map(key).collect::<Vec<_>>().join(", ");
    let stated = plan.tanks.iter().map(|tank| tank.specimen).collect();
    let placed = plan.placements.iter().filter(|row| row.outcome == Outcome::CustomTank).map(|row| row.specimen);
    claims.same("tanks: rows", list(stated), list(placed.collect()));
    for (i, tank) in plan.tanks.iter().enumerate() {
        let specimen = &project.collection.specimens[tank.specimen];
        let shared = sharing.shared.get(&tank.specimen);
        let derived = shared.cloned().or_else(|| row::tank(project, vessels, specimen));
        against_design(project, specimen, derived, (i, tank), claims);
        against_envelope(&project.settings, specimen, shared.is_some(), (i, tank), claims);
    }
}

/// Checks a tank against the option of its row.
fn against_design(
    project: &Project,
    specimen: &Specimen,
    derived: Option<TankOption>,
    (i, tank): (usize, &Tank),
    claims: &mut Claims,
) {
    let Some(derived) = derived else {
        return claims.refute(format_args!("tanks[{i}]"), "a tank", "no tank as an option");
    };
    let at = |field: &str| format!("tanks[{i}].{field}");
    claims.length(at("length_mm"), Some(tank.length), Some(derived.length));
    claims.length(at("width_mm"), Some(tank.width), Some(derived.width));
    claims.length(at("height_mm"), Some(tank.height), Some(derived.height));
    claims.same(at("posture"), tank.stance.name(), derived.stance.name());
    claims.same(at("fluid_ml"), tank.fluid.0, derived.fluid.0);
    claims.same(at("charges"), tank.charges, derived.charges);
    claims.shown(at("cost"), tank.cost, derived.cost, |cost: &Money| cost.text());
    if let Some(quote) = specimen.particulars.tank_quote {
        claims.shown(at("cost"), tank.cost, Some(quote), |cost: &Money| cost.text());
    }
    claims.fact(at("price_basis"), Some(&tank.price_basis), Some(&derived.price_basis), |price| {
        words::price(*price).into_owned()
    });
    claims
        .fact(at("ways_out"), Some(&tank.ways_out), Some(&derived.ways_out), |ways| words::ways_out(ways).into_owned());
    let design = TankDesign::of(project, specimen.fluid, &derived);
    claims.fact(at("design"), tank.design.as_deref(), design.as_ref(), in_words);
    if let Some(design) = &tank.design {
        against_panes(&project.settings, (i, tank), design, claims);
    }
}

/// A design in words: `walls 6 mm, base 8 mm, lid 6 mm, outside 452 × 352 × 254 mm, 6 panes, 10.4 kg empty`.
fn in_words(design: &TankDesign) -> String {
    let mm = |length: Length| decimal(length.mm(), 3);
    let [length, width, height] = design.outer.map(mm);
    let panes: u64 = design.panes.iter().map(|pane| u64::from(pane.pieces)).sum();
    format!(
        "walls {} mm, base {} mm, lid {} mm, outside {length} × {width} × {height} mm, {panes} panes, {} kg empty",
        mm(design.wall),
        mm(design.base),
        mm(design.lid),
        decimal(design.empty.kg(), 3)
    )
}

/// Checks a design against its own cut list: thickness, outer size, masses and limits.
fn against_panes(settings: &Settings, (i, tank): (usize, &Tank), design: &TankDesign, claims: &mut Claims) {
    let at = |field: &str| format!("tanks[{i}].design.{field}");
    let both = design.wall + design.wall;
    claims.length(at("outer_length_mm"), Some(design.outer[0]), Some(tank.length + both));
    claims.length(at("outer_width_mm"), Some(design.outer[1]), Some(tank.width + both));
    let grams = |pane: &PaneLine| {
        let ml = pane.length.mm() * pane.width.mm() * pane.thickness.mm() / 1000.0;
        ml * settings.glass_density.0 * f64::from(pane.pieces)
    };
    let glass: f64 = design.panes.iter().map(grams).sum();
    if (glass - design.empty.g()).abs() > 1.0 {
        claims.refute(at("empty_kg"), design.empty.kg(), glass / 1000.0);
    }
    if design.stress > design.allowable {
        claims.refute(at("stress_mpa"), design.stress.mpa(), design.allowable.mpa());
    }
    if design.deflection > design.deflection_limit {
        claims.refute(at("deflection_mm"), design.deflection, design.deflection_limit);
    }
    if design.seam.mpa() > settings.seam_limit.0.mpa() + 5e-4 {
        claims.refute(at("seam_mpa"), design.seam.mpa(), settings.seam_limit.0.mpa());
    }
    let thinnest = settings.least_thickness.max(settings.least_bite);
    for (field, pane) in [("thickness_mm", design.wall), ("base_mm", design.base), ("lid_mm", design.lid)] {
        if !thinnest.max(design.wall).fits(pane) {
            claims.refute(at(field), pane, thinnest.max(design.wall));
        }
    }
}

/// Checks the clear size against the sum of envelope and clearances, each side rounded up; the longer side is the length.
fn against_envelope(
    settings: &Settings,
    specimen: &Specimen,
    shared: bool,
    (i, tank): (usize, &Tank),
    claims: &mut Claims,
) {
    let Size::Measured(Envelope { length, width, height }) = specimen.size else {
        return claims.refute(format_args!("tanks[{i}]"), "a tank", "a row that is not measured");
    };
    let (vertical, across) = match tank.stance {
        Stance::Height => (height, [length, width]),
        Stance::Length => (length, [width, height]),
        Stance::Width => (width, [length, height]),
        Stance::Coil => {
            let coiled = coil::coil_envelope(length, width.max(height));
            (coiled.height, [coiled.length, coiled.width])
        }
    };
    if !Stance::allowed(specimen.posture).contains(&tank.stance) {
        let stated = tank.stance.name();
        claims.refute(format_args!("tanks[{i}].posture"), stated, "a posture that the row does not allow");
    }
    let wall = settings.tank_wall.max(specimen.particulars.clearance.unwrap_or(Length::ZERO));
    let sides = across.map(|side| rounded_up(settings, side + wall + wall));
    let rise = rounded_up(settings, settings.tank_floor + vertical + settings.tank_cover + settings.tank_freeboard);
    if shared {
        // `sharing` checks by how much a shared size may be larger.
        return;
    }
    let at = |field: &str| format!("tanks[{i}].{field}");
    claims.length(at("length_mm"), Some(tank.length), Some(sides[0].max(sides[1])));
    claims.length(at("width_mm"), Some(tank.width), Some(sides[0].min(sides[1])));
    claims.length(at("height_mm"), Some(tank.height), Some(rise));
}

fn rounded_up(settings: &Settings, length: Length) -> Length {
    let step = settings.tank_round_up.mm();
    if step == 0.0 { length } else { Length::at_least_zero(((length.mm() - TOUCH_MM) / step).ceil() * step) }
}
