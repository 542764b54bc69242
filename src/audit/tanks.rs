//! Custom tanks: one for each row that gets one, of the size its envelope and the clearances give.

use super::claims::Claims;
use super::row;
use crate::collection::{Envelope, Size, Specimen};
use crate::fit::{Stance, coil};
use crate::plan::{Outcome, Plan, Tank};
use crate::project::Project;
use crate::settings::Settings;
use crate::units::{Length, Money, TOUCH_MM};

/// Holds every tank against its row.
pub(super) fn audit(project: &Project, plan: &Plan, claims: &mut Claims) {
    let list = |rows: Vec<usize>| rows.iter().map(usize::to_string).collect::<Vec<_>>().join(", ");
    let stated = plan.tanks.iter().map(|tank| tank.specimen).collect();
    let placed = plan.placements.iter().filter(|row| row.outcome == Outcome::CustomTank).map(|row| row.specimen);
    claims.same("tanks: rows", list(stated), list(placed.collect()));
    for (i, tank) in plan.tanks.iter().enumerate() {
        let specimen = &project.collection.specimens[tank.specimen];
        against_design(project, specimen, (i, tank), claims);
        against_envelope(&project.settings, specimen, (i, tank), claims);
    }
}

/// As the options have it.
fn against_design(project: &Project, specimen: &Specimen, (i, tank): (usize, &Tank), claims: &mut Claims) {
    let leftover = row::fits(project, specimen).next().is_none();
    let Some(derived) = row::tank(project, specimen, leftover) else {
        return claims.refute(format_args!("tanks[{i}]"), "a tank", "no tank as an option");
    };
    let at = |field: &str| format!("tanks[{i}].{field}");
    claims.length(at("length_mm"), Some(tank.length), Some(derived.length));
    claims.length(at("width_mm"), Some(tank.width), Some(derived.width));
    claims.length(at("height_mm"), Some(tank.height), Some(derived.height));
    claims.same(at("posture"), tank.stance.name(), derived.stance.name());
    claims.same(at("fluid_ml"), tank.fluid.0, derived.fluid.0);
    claims.shown(at("cost"), tank.cost, derived.cost, |cost: &Money| cost.text());
    if let Some(quote) = specimen.tank_quote {
        claims.shown(at("cost"), tank.cost, Some(quote), |cost: &Money| cost.text());
    }
    claims.same(at("note"), tank.note.as_str(), derived.note);
}

/// By the sum: envelope and clearances, each side rounded up; the longer side is the length.
fn against_envelope(settings: &Settings, specimen: &Specimen, (i, tank): (usize, &Tank), claims: &mut Claims) {
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
    let wall = settings.tank_wall.max(specimen.clearance.unwrap_or(Length::ZERO));
    let sides = across.map(|side| rounded_up(settings, side + wall + wall));
    let rise = rounded_up(settings, settings.tank_floor + vertical + settings.tank_cover + settings.tank_freeboard);
    let at = |field: &str| format!("tanks[{i}].{field}");
    claims.length(at("length_mm"), Some(tank.length), Some(sides[0].max(sides[1])));
    claims.length(at("width_mm"), Some(tank.width), Some(sides[0].min(sides[1])));
    claims.length(at("height_mm"), Some(tank.height), Some(rise));
}

fn rounded_up(settings: &Settings, length: Length) -> Length {
    let step = settings.tank_round_up.mm();
    if step == 0.0 { length } else { Length::at_least_zero(((length.mm() - TOUCH_MM) / step).ceil() * step) }
}
