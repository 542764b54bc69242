//! Whether a vessel is an option, implemented again from the text of the rules alone, in plain numbers.
//!
//! Every comparison has a slack, so that a case close to a limit can be judged on either side. Turned bodies are tried at sampled
//! angles, not by a formula.

use std::f64::consts::PI;

use super::survey::{OracleSettings, OracleSpecimen, OracleVessel, PlanShape};
use super::tables::{CLOSURES, COMPATIBILITY, FLUIDS, MATERIALS, RENEWED};
use super::treatment::{Treated, treated};

/// The verdict on one specimen and one vessel.
#[derive(Debug)]
pub enum OracleVerdict {
    Option {
        pieces: u32,
        posture: &'static str,
        leans: bool,
        fluid_ml: i64,
        charges: u32,
        money: f64,
    },
    /// Refused by any one of these rules, each with the shortfalls it may state (`None`: no number).
    Refused(Vec<(&'static str, Vec<Shortfall>)>),
}

#[derive(Clone, Copy, Debug)]
pub enum Shortfall {
    Of(f64),
    NotANumber,
    Any,
}

/// The slack at a limit (mm, percentage points), and a reading of the rules where their text is open.
#[derive(Clone, Copy)]
pub struct RuleReading {
    pub slack: f64,
    /// Whether a row shown behind flat faces may lean.
    pub flat_leans: bool,
    /// Whether a body may lean that is low enough to stand but too broad.
    pub broad_leans: bool,
}

pub fn judge(
    specimen: &OracleSpecimen,
    at: usize,
    vessels: &[OracleVessel],
    settings: &OracleSettings,
    reading: RuleReading,
) -> OracleVerdict {
    let vessel = &vessels[at];
    let slack = reading.slack;
    let pinned = specimen.must_use.contains(&at);
    if (!specimen.must_use.is_empty() && !pinned) || specimen.must_not_use.contains(&at) {
        return refused("pin", vec![Shortfall::NotANumber]);
    }
    let incompatible = compatible(specimen, vessel, settings, pinned);
    if !incompatible.is_empty() {
        return refused("compatible", incompatible);
    }
    let (posture, leans) = match (specimen.size, specimen.present) {
        (Some(size), _) => match stands(specimen, size, vessel, settings, reading) {
            Ok(stance) => stance,
            Err((rule, lack)) => return refused(rule, vec![lack]),
        },
        (None, Some(present)) => match as_large(vessel, &vessels[present], slack) {
            true => ("", false),
            false => {
                return OracleVerdict::Refused(vec![("mouth", vec![Shortfall::Any]), ("room", vec![Shortfall::Any])]);
            }
        },
        (None, None) => panic!("{} has neither a size nor a present vessel", specimen.number),
    };
    let filled = vessel.brimful_ml() * (1.0 - headspace(specimen, vessel, settings));
    let pieces = match pieces(specimen, filled, settings, slack) {
        Ok(pieces) => pieces,
        Err(over) => return refused("crowding", vec![Shortfall::Of(over)]),
    };
    if let (Some(outer), Some(shelf)) = (vessel.outer_height, specimen.max_outer_height)
        && outer > shelf + slack
    {
        return refused("shelf", vec![Shortfall::Of(outer - shelf)]);
    }
    let free = i64::from(vessel.on_hand) + i64::from(vessel.on_order) - i64::from(vessel.reserve);
    let for_sale = vessel.unit_price.is_some() && vessel.order_limit != Some(0);
    if free < 1 && !for_sale {
        return refused("supply", vec![Shortfall::Of(f64::from(pieces))]);
    }
    let nearest = |ml: f64| (ml + 0.5).floor() as i64;
    let low = tissue(specimen, settings, false).unwrap_or(0.0);
    let fluid_ml = i64::from(pieces) * nearest(filled) - nearest(low);
    let fullest = f64::from(specimen.individuals.div_ceil(pieces)) / f64::from(specimen.individuals);
    let share = tissue(specimen, settings, true).map(|tissue| tissue * fullest / filled);
    let Treated { charges, money } = treated(specimen, settings, share, fluid_ml, slack);
    OracleVerdict::Option { pieces, posture, leans, fluid_ml, charges, money }
}

fn refused(rule: &'static str, shortfalls: Vec<Shortfall>) -> OracleVerdict {
    OracleVerdict::Refused(vec![(rule, shortfalls)])
}

/// Rule 1: every reason to refuse; empty means compatible.
fn compatible(
    specimen: &OracleSpecimen,
    vessel: &OracleVessel,
    settings: &OracleSettings,
    pinned: bool,
) -> Vec<Shortfall> {
    let fluid = &FLUIDS[specimen.fluid];
    let material = &MATERIALS[vessel.material];
    let closure = &CLOSURES[vessel.closure];
    let mut reasons = Vec::new();
    let mut life = f64::INFINITY;
    for part in [material, closure] {
        let renewed = settings.renewals && RENEWED.contains(&part.id);
        if !renewed {
            life = life.min(part.life_years.unwrap_or(f64::INFINITY));
        }
        let row_for = |of: &str| COMPATIBILITY.iter().find(|row| row.0 == of && row.1 == part.id);
        // A mixture of two families is judged by both, unless the fluid has a row of its own.
        let families = || [Some(fluid.family), fluid.also].into_iter().flatten().map(row_for).collect::<Vec<_>>();
        let rows = row_for(fluid.id).map_or_else(families, |own| vec![Some(own)]);
        let any = |verdict: &str| rows.iter().flatten().any(|row| row.2 == verdict);
        let unknown = any("unproven") || rows.contains(&None);
        if any("unsuitable") {
            reasons.push(Shortfall::NotANumber);
        } else if unknown {
            if !settings.accept_unproven && !pinned {
                reasons.push(Shortfall::NotANumber);
            }
        } else if !renewed {
            let years = rows.iter().flatten().filter(|row| row.2 == "limited").map(|row| f64::from(row.3));
            life = years.fold(life, f64::min);
        }
    }
    let keep = f64::from(specimen.keep_years.unwrap_or(settings.keep_years));
    if life < keep {
        reasons.push(Shortfall::Of(keep - life));
    }
    let shown = match specimen.display {
        "clear" => material.marked,
        "flat" => material.marked && matches!(vessel.section, PlanShape::Oblong(..)),
        _ => true,
    };
    if !shown {
        reasons.push(Shortfall::NotANumber);
    }
    reasons
}

/// The postures that a row allows: name, vertical measure, and section across it.
fn postures(specimen: &OracleSpecimen, [length, width, height]: [f64; 3]) -> Vec<(&'static str, f64, (f64, f64))> {
    let as_set = ("as-set", height, (length, width));
    let upright = ("upright", length, (width, height));
    let on_side = ("on-side", width, (length, height));
    let thickness = width.max(height);
    match specimen.posture {
        "as-set" => vec![as_set],
        "upright" => vec![upright],
        "either" => vec![as_set, upright],
        "any" => vec![as_set, upright, on_side],
        _ => vec![("coil", length, (thickness, thickness))],
    }
}

/// Rules 2 and 3 for a measured body: the first posture that passes both, or the failed rule and its shortfall.
fn stands(
    specimen: &OracleSpecimen,
    [length, width, height]: [f64; 3],
    vessel: &OracleVessel,
    settings: &OracleSettings,
    reading: RuleReading,
) -> Result<(&'static str, bool), (&'static str, Shortfall)> {
    let slack = reading.slack;
    let thickness = width.max(height);
    let mut mouth_lack = f64::INFINITY;
    let mut room_lack: Option<f64> = None;
    let mut by_hand = None;
    for (posture, vertical, section) in postures(specimen, [length, width, height]) {
        let rounded = specimen.rounded || posture == "coil";
        let (fits, lack) = mouth(specimen, section, rounded, vessel, settings);
        let straight = fits(slack);
        if !straight && !turned_in(specimen, [length, width, height], vertical, vessel, settings, slack) {
            mouth_lack = mouth_lack.min(lack);
            continue;
        }
        let lack = match posture {
            "coil" => coil_lack(specimen, vertical, thickness, vessel, settings),
            _ => room(specimen, vertical, section, vessel, settings, slack),
        };
        if lack <= slack && straight {
            return Ok((posture, false));
        }
        if lack <= slack {
            by_hand = by_hand.or(Some((posture, false)));
            continue;
        }
        room_lack = Some(room_lack.map_or(lack, |least| least.min(lack)));
        let too_tall = height_lack(specimen, vertical, vessel, settings) > slack;
        let may_lean = settings.leaning
            && straight
            && posture != "coil"
            && (specimen.display != "flat" || reading.flat_leans)
            && (too_tall || reading.broad_leans);
        if may_lean && leaning(specimen, vertical, section, vessel, settings) >= -slack {
            by_hand = by_hand.or(Some((posture, true)));
        }
    }
    if let Some(way) = by_hand {
        return Ok(way);
    }
    // Where the clearance alone exceeds the mouth or the width, the shortfall of the body is not checked.
    let lacking = |lack, width, clearance| if width < clearance { Shortfall::Any } else { Shortfall::Of(lack) };
    Err(match room_lack {
        Some(lack) => ("room", lacking(lack, vessel.section.widths().1, 2.0 * wall(specimen, vessel, settings))),
        None => ("mouth", lacking(mouth_lack, vessel.mouth().widths().1, settings.mouth[2])),
    })
}

fn clamped(measure: f64, [pct, least, most]: [f64; 3]) -> f64 {
    (measure * pct / 100.0).max(least).min(most)
}

fn mouth(
    specimen: &OracleSpecimen,
    section: (f64, f64),
    rounded: bool,
    vessel: &OracleVessel,
    settings: &OracleSettings,
) -> (impl Fn(f64) -> bool, f64) {
    let give = 1.0 - specimen.give_pct / 100.0;
    let section = (section.0 * give, section.1 * give);
    let larger = section.0.max(section.1);
    let measure = match vessel.mouth() {
        PlanShape::Round(_) if !rounded => section.0.hypot(section.1),
        _ => larger,
    };
    let may_turn = specimen.display != "flat";
    let (spare, lack) = plan(section, rounded, vessel.mouth(), clamped(measure, settings.mouth), may_turn);
    (move |slack: f64| spare >= -slack, lack)
}

/// Whether a body can pass the mouth with another measure vertical and be turned below the neck, tried at sampled angles: the largest
/// extent while turning in the plane, beside the measure that stays level.
fn turned_in(
    specimen: &OracleSpecimen,
    sides: [f64; 3],
    vertical: f64,
    vessel: &OracleVessel,
    settings: &OracleSettings,
    slack: f64,
) -> bool {
    if !settings.turning || specimen.posture == "coil" {
        return false;
    }
    let stands = sides.iter().position(|side| *side == vertical).expect("one of its measures");
    (0..3).filter(|enters| *enters != stands).any(|enters| {
        let level = sides[3 - enters - stands];
        let (fits, _) = mouth(specimen, (vertical, level), specimen.rounded, vessel, settings);
        let widest = (0..=900)
            .map(|step| (PI / 1800.0 * f64::from(step)).sin_cos())
            .map(|(sin, cos)| match specimen.rounded {
                true => (sides[enters] * cos).hypot(vertical * sin),
                false => sides[enters] * cos + vertical * sin,
            })
            .fold(0.0, f64::max);
        let walls = 2.0 * wall(specimen, vessel, settings);
        let (spare, _) = plan((widest, level), specimen.rounded, vessel.section, walls, specimen.display != "flat");
        fits(slack) && widest <= vessel.body_height() + slack && spare >= -slack
    })
}

fn wall(specimen: &OracleSpecimen, vessel: &OracleVessel, settings: &OracleSettings) -> f64 {
    specimen.clearance.unwrap_or_else(|| clamped(vessel.section.widths().1, settings.wall))
}

/// The height lacking for a body of this height.
fn height_lack(specimen: &OracleSpecimen, vertical: f64, vessel: &OracleVessel, settings: &OracleSettings) -> f64 {
    let top = settings.floor + vertical;
    let surface = vessel.inner_height * (1.0 - headspace(specimen, vessel, settings));
    let cover = clamped(vessel.inner_height, settings.cover);
    (top - vessel.body_height()).max(top + cover - surface)
}

fn room(
    specimen: &OracleSpecimen,
    vertical: f64,
    section: (f64, f64),
    vessel: &OracleVessel,
    settings: &OracleSettings,
    slack: f64,
) -> f64 {
    let walls = 2.0 * wall(specimen, vessel, settings);
    let (spare, lack) = plan(section, specimen.rounded, vessel.section, walls, specimen.display != "flat");
    let across = if spare >= -slack { -spare } else { lack };
    across.max(height_lack(specimen, vertical, vessel, settings))
}

/// The room to spare for a body that leans in a plane of two of its measures, the third level (negative: it does not fit). A rounded
/// body is taken as its box.
fn leaning(
    specimen: &OracleSpecimen,
    vertical: f64,
    section: (f64, f64),
    vessel: &OracleVessel,
    settings: &OracleSettings,
) -> f64 {
    let walls = 2.0 * wall(specimen, vessel, settings);
    // The height left for a body: that of the vessel less what is lacking for a body of no height.
    let high = -height_lack(specimen, 0.0, vessel, settings);
    let (first, second) = section;
    let mut best = f64::NEG_INFINITY;
    for (thick, level) in [(first, second), (second, first)] {
        let rooms = match vessel.section {
            PlanShape::Round(bore) if bore - walls >= level => vec![((bore - walls).powi(2) - level.powi(2)).sqrt()],
            PlanShape::Round(_) => vec![],
            PlanShape::Oblong(length, width) => {
                let ways = [(length - walls, width - walls), (width - walls, length - walls)];
                ways.into_iter().filter(|(_, across)| *across >= level).map(|(along, _)| along).collect()
            }
        };
        for along in rooms {
            let (p, q) = (vertical.max(thick), vertical.min(thick));
            best = best.max(turned(p, q, false, along.max(high), along.min(high)));
        }
    }
    best
}

fn coil_lack(
    specimen: &OracleSpecimen,
    length: f64,
    thickness: f64,
    vessel: &OracleVessel,
    settings: &OracleSettings,
) -> f64 {
    let inside = vessel.section.widths().1 - 2.0 * wall(specimen, vessel, settings);
    let turn = inside - thickness;
    let core_lack = (settings.coil_core_least.min(settings.coil_core) + 2.0) * thickness - inside;
    if core_lack > 0.0 {
        return core_lack;
    }
    core_lack.max(height_lack(specimen, thickness * (1.0 + length / (PI * turn)), vessel, settings))
}

/// A section in a plan shape less `free` in each direction: the room to spare at the best rotation (negative: it does not fit), and the
/// lack as it stands.
fn plan((first, second): (f64, f64), rounded: bool, shape: PlanShape, free: f64, may_turn: bool) -> (f64, f64) {
    let (p, q) = (first.max(second), first.min(second));
    let (a, b) = shape.widths();
    let (a, b) = (a - free, b - free);
    if let PlanShape::Round(_) = shape {
        let needed = if rounded { p } else { p.hypot(q) };
        return (a - needed, needed - a);
    }
    let square_on = (a - p).min(b - q);
    let turned = if may_turn { turned(p, q, rounded, a, b) } else { square_on };
    (square_on.max(turned), -square_on)
}

/// The most room to spare at any angle: sampled coarsely, then finely round the best.
fn turned(p: f64, q: f64, rounded: bool, a: f64, b: f64) -> f64 {
    let spare = |angle: f64| {
        let (sin, cos) = angle.sin_cos();
        let (along, across) = match rounded {
            true => ((p * cos).hypot(q * sin), (p * sin).hypot(q * cos)),
            false => (p * cos + q * sin, p * sin + q * cos),
        };
        (a - along).min(b - across)
    };
    let best = |from: f64, to: f64, steps: u32| {
        (0..=steps)
            .map(|i| from + (to - from) * f64::from(i) / f64::from(steps))
            .max_by(|x, y| spare(*x).total_cmp(&spare(*y)))
            .expect("at least one angle")
    };
    let coarse = best(0.0, PI / 2.0, 900);
    let step = PI / 1800.0;
    let fine = best((coarse - step).max(0.0), (coarse + step).min(PI / 2.0), 400);
    spare(fine)
}

/// Headspace as a share of the brimful volume.
fn headspace(specimen: &OracleSpecimen, vessel: &OracleVessel, settings: &OracleSettings) -> f64 {
    let fluid = &FLUIDS[specimen.fluid];
    let sealed = CLOSURES[vessel.closure].marked || fluid.strength_pct.is_some_and(|strength| strength >= 90.0);
    let pct = match (fluid.family, sealed) {
        ("alcohol", true) => settings.sealed_pct,
        ("alcohol", false) if settings.controlled => settings.controlled_pct,
        ("alcohol", false) => settings.uncontrolled_pct,
        _ => settings.aqueous_pct,
    };
    let least = settings.headspace_least.min(0.12 * vessel.inner_height) / vessel.inner_height;
    (pct / 100.0).max(least).max(2.0 * fluid.growth_pct / 100.0)
}

/// Tissue of the row in ml, the high estimate for crowding, the low one for the volume of fluid; `None` where nothing is known.
pub fn tissue(specimen: &OracleSpecimen, settings: &OracleSettings, high: bool) -> Option<f64> {
    if let Some(measured) = specimen.tissue_ml.or(specimen.mass_g.map(|mass| mass / settings.density)) {
        return Some(measured);
    }
    let envelopes = specimen.size?.iter().product::<f64>() / 1000.0 * f64::from(specimen.individuals);
    let estimated = match (specimen.posture, high) {
        ("coil", true) => PI / 4.0,
        ("coil", false) => 0.5,
        (_, false) => settings.low,
        (_, true) if specimen.rounded => settings.high_rounded,
        (_, true) => settings.high_box,
    };
    Some(envelopes * specimen.body_factor.unwrap_or(estimated))
}

/// Rule 4: the least number of vessels, or by how many per cent of the filled volume the tissue exceeds the limit.
fn pieces(specimen: &OracleSpecimen, filled: f64, settings: &OracleSettings, slack: f64) -> Result<u32, f64> {
    let Some(tissue) = tissue(specimen, settings, true) else { return Ok(1) };
    let mut least = f64::INFINITY;
    for pieces in 1..=specimen.max_vessels.min(specimen.individuals) {
        let fullest = f64::from(specimen.individuals.div_ceil(pieces)) / f64::from(specimen.individuals);
        let over = 100.0 * tissue * fullest / filled - settings.share_pct;
        if over <= slack {
            return Ok(pieces);
        }
        least = least.min(over);
    }
    Err(least)
}

/// Whether a vessel is at least as large inside in every respect, without clearance.
fn as_large(vessel: &OracleVessel, present: &OracleVessel, slack: f64) -> bool {
    let holds = |outer: PlanShape, inner: PlanShape| match (outer, inner) {
        (PlanShape::Round(bore), PlanShape::Oblong(length, width)) => length.hypot(width) <= bore + slack,
        _ => {
            let ((a, b), (p, q)) = (outer.widths(), inner.widths());
            p <= a + slack && q <= b + slack
        }
    };
    holds(vessel.section, present.section)
        && holds(vessel.mouth(), present.mouth())
        && vessel.inner_height + slack >= present.inner_height
        && vessel.body_height() + slack >= present.body_height()
        && vessel.brimful_ml() + slack >= present.brimful_ml()
}
