//! One specimen judged against every vessel: the choice, other suitable vessels, and refusals with their shortfalls.

use itertools::Itertools;

use super::columns::judged::{JudgedLine, Suits};
use super::table::terminal::{SHOWN_ROWS, spared};
use super::table::{Cell, Column, Field, Table, cells};
use super::wrapping::wrapped;
use crate::collection::{Posture, Size, Specimen};
use crate::fit;
use crate::options::Refusal;
use crate::options::judge::{self, judge, nearness};
use crate::options::table::undecided;
use crate::options::{Fit, Rule, Treatment};
use crate::plan::{Placement, Plan, wants};
use crate::project::Project;
use crate::rules::{FluidId, clearance};
use crate::stock::{Section, VesselId};
use crate::tank::remarks::ALWAYS_PRINTED;
use crate::units::{Millilitres, decimal};
use crate::words;
use crate::words::tank::warnings::remarks;

/// The text for the row at this index of the survey, with the verdict on every vessel unless it is not wanted.
pub fn why(project: &Project, plan: &Plan, index: usize, verdicts: bool) -> String {
    let specimen = &project.collection.specimens[index];
    let placement = &plan.placements[index];
    let mut text = format!("{} {}\n", specimen.key, specimen.name);
    text.push_str(&format!("  {}\n", asked(project, specimen)));
    let vessel = placement.vessel.map_or(String::new(), |id| format!(" → {}", project.stock.vessel(id).id));
    text.push_str(&format!("  {}{vessel}; {}\n", placement.outcome.name(), words::reason(project, placement)));
    if placement.marks.any() {
        text.push_str(&wrapped(&format!("review: {}", words::review(placement.marks)), 2));
    }
    text.push_str(&treated(project, placement));
    if placement.fit.is_some_and(|fit| fit.marks.very_loose)
        && let Some(wanted) = wants::wanted(project, specimen)
    {
        text.push_str(&wrapped(&format!("smaller vessel to look for: {}", words::wanted_vessel(project, &wanted)), 2));
    }
    if let Some(id) = placement.vessel
        && let Some(coil) = judge::coil(&project.settings, specimen, project.stock.vessel(id))
    {
        let [core, height] = [coil.core, coil.height].map(|length| decimal(length.mm(), 1));
        let turns = decimal(coil.turns, 1);
        let unit = if turns == "1" { "turn" } else { "turns" };
        text.push_str(&format!("  coiled along the wall: {turns} {unit}, open core {core} mm, {height} mm high\n"));
    }
    if let Some(tank) = plan.tanks.iter().find(|tank| tank.specimen == index) {
        let clear = [tank.length, tank.width, tank.height].map(|side| decimal(side.mm(), 1)).join(" × ");
        let price = words::tank::price_and_ways_out(tank.price_basis, &tank.ways_out);
        text.push_str(&format!("  tank {clear} mm clear, {} l, {}\n", tank.fluid.litres(), price));
        if let Some(design) = &tank.design {
            let [wall, base, lid] = [design.wall, design.base, design.lid].map(|thickness| decimal(thickness.mm(), 1));
            let [stress, allowable] = [design.stress, design.allowable].map(|stress| decimal(stress.mpa(), 2));
            let (construction, stressed) =
                (words::tank::construction(&design.construction), words::tank::place(design.stressed));
            text.push_str(&format!(
                "  glass {wall} mm, base {base} mm, lid {lid} mm, {construction}; {stress} of {allowable} MPa in the {stressed}; {} kg full\n",
                decimal(design.full.kg(), 1)
            ));
        }
        text.push_str(&wrapped(&remarks(&ALWAYS_PRINTED), 2));
    }
    if !verdicts || specimen.held(&project.rules).is_some() || undecided(project, specimen).is_some() {
        return text;
    }
    let mut serving: Vec<(VesselId, Fit)> = Vec::new();
    let mut refused: Vec<(VesselId, Refusal)> = Vec::new();
    for (id, _) in project.stock.listed() {
        match judge(project, specimen, id) {
            Ok(fit) => serving.push((id, fit)),
            Err(refusal) => refused.push((id, refusal)),
        }
    }
    refused.sort_by_key(|(id, refusal)| (nearness(refusal), *id));
    text.push_str(&options(project, plan, index, &serving));
    text.push_str(&refusals(project, specimen, &refused));
    text
}

/// How a placed lot is transferred to its fluid; empty if one filling is enough.
fn treated(project: &Project, placement: &Placement) -> String {
    let specimen = &project.collection.specimens[placement.specimen];
    let id = |fluid: FluidId| &project.rules.fluid(fluid).id;
    let now = specimen.current_fluid.map_or(String::new(), |current| {
        let strength =
            specimen.particulars.current_strength_pct.map_or(String::new(), |pct| format!(" at {} %", decimal(pct, 1)));
        format!("in {}{strength} now; ", id(current))
    });
    let mut steps: Vec<String> = Vec::new();
    if !placement.baths.is_empty() {
        let baths = placement.baths.iter().map(|(bath, amount)| format!("{} {} ml", id(*bath), amount.0)).join(", ");
        steps.push(format!("baths of {baths}, {} days in all", decimal(placement.bath_days, 1)));
    }
    if placement.charges > 1 {
        steps.push(format!("filled {} times", placement.charges));
    }
    if placement.reused > Millilitres::ZERO {
        steps.push(format!("{} ml of its own fluid kept", placement.reused.0));
    }
    if steps.is_empty() { String::new() } else { format!("  {now}{}\n", steps.join("; ")) }
}

/// What the lot requires: size, fluid, years, priority.
fn asked(project: &Project, specimen: &Specimen) -> String {
    let size = match specimen.size {
        Size::Measured(envelope) => {
            let sides = [envelope.length, envelope.width, envelope.height].map(|side| decimal(side.mm(), 1));
            format!("{} mm (length × width × height)", sides.join(" × "))
        }
        Size::LikeForLike(id) => format!("size taken from its present vessel {}", project.stock.vessel(id).id),
        Size::Unknown => "size unknown".to_owned(),
    };
    let fluid = &project.rules.fluid(specimen.fluid).id;
    format!("{size}, {fluid}, to keep {} years, priority {}", decimal(specimen.keep_years, 1), specimen.priority)
}

fn options(project: &Project, plan: &Plan, index: usize, serving: &[(VesselId, Fit)]) -> String {
    let specimen = &project.collection.specimens[index];
    let chosen = plan.placements[index].vessel;
    let treatment = Treatment::of(project, specimen);
    let fields: [Field<JudgedLine>; 9] = [
        JudgedLine::VESSEL,
        JudgedLine::POSTURE_OR_NOW.spared(spared::POSTURE),
        JudgedLine::WALL_GAP.headed("wall mm").spared(spared::WALL),
        JudgedLine::COVER.headed("cover mm").spared(spared::COVER),
        JudgedLine::TISSUE_SHARE.headed("tissue %").spared(spared::TISSUE),
        JudgedLine::LIFE_YEARS.headed("years").spared(spared::YEARS),
        JudgedLine::FLUID_ML.headed("fluid ml"),
        JudgedLine::CHARGES.headed("fillings").spared(spared::FILLINGS),
        JudgedLine::FLUID_COST.headed("fluid"),
    ];
    let ours = fields.map(|field| field.column);
    let columns = [Column::text("")].into_iter().chain(ours).chain([Column::text("available")]);
    let mut table = Table::new("Suitable", columns).in_currency(&project.settings.currency);
    for (id, fit) in serving.iter().take(SHOWN_ROWS) {
        let suits = Suits::of(project, specimen, &treatment, *fit);
        let judged = JudgedLine { vessel: project.stock.vessel(*id), verdict: Ok(suits) };
        let mark = if chosen == Some(*id) { "chosen" } else { "" };
        let available = Cell::from(supply(project, plan, index, *id));
        table.row([mark.into()].into_iter().chain(cells(&fields, judged)).chain([available]));
    }
    table.more = serving.len().saturating_sub(SHOWN_ROWS);
    table.text(EVERY_VESSEL)
}

/// The command that lists every vessel.
const EVERY_VESSEL: &str = "`rehouse plan --options FILE` lists every specimen and vessel";

/// Where pieces come from: free pieces (and, if all are taken, the lots that take them), and the cheapest offer.
fn supply(project: &Project, plan: &Plan, index: usize, id: VesselId) -> String {
    let free = project.stock.vessel(id).free_pieces();
    let cheapest = project.stock.offers_of(id).min_by_key(|(_, offer)| (offer.pack_price, offer.pack_size));
    let order = cheapest.map(|(_, offer)| {
        let most = offer.order_limit.map_or(String::new(), |most| format!(", {most} at most"));
        let price = offer.pack_price.on_screen();
        match offer.pack_size {
            1 => format!("order at {price}{most}"),
            size => format!("order, {size} for {price}{most}"),
        }
    });
    let takers = plan.placements.iter().filter(|other| other.vessel == Some(id) && other.pieces_on_hand > 0);
    let taken: i64 = takers.clone().map(|other| i64::from(other.pieces_on_hand)).sum();
    let others: Vec<String> = takers
        .filter(|other| other.specimen != index)
        .map(|other| project.collection.specimens[other.specimen].key.catalog_number.clone())
        .collect();
    let free = (free > 0).then(|| match others.as_slice() {
        named if taken == free && !named.is_empty() => {
            let more = if named.len() > SHOWN_TAKERS {
                format!(" and {} more", named.len() - SHOWN_TAKERS)
            } else {
                String::new()
            };
            let named = named.iter().take(SHOWN_TAKERS).join(", ");
            format!("{free} free, taken by {named}{more}")
        }
        _ => format!("{free} free"),
    });
    free.into_iter().chain(order).join("; ")
}

/// Largest number of lots named in a cell as takers of free pieces.
const SHOWN_TAKERS: usize = 3;

fn refusals(project: &Project, specimen: &Specimen, refused: &[(VesselId, Refusal)]) -> String {
    let columns = [JudgedLine::VESSEL.column, JudgedLine::RULE.column, Column::text("by")];
    let mut table = Table::new("Refused, nearest miss first", columns);
    for (id, refusal) in refused.iter().filter(|(_, refusal)| refusal.rule != Rule::Pin) {
        let by_hand = by_hand(project, specimen, *id).filter(|_| refusal.rule == Rule::Mouth).unwrap_or_default();
        let by = format!("{}{by_hand}", words::refusal(refusal));
        table.row_of_many([(&project.stock.vessel(*id).id).into(), refusal.rule.name().into(), by.into()]);
    }
    let pinned = refused.len() - table.rows.len() - table.more;
    let mut text = table.text(EVERY_VESSEL);
    if pinned > 0 {
        text.push_str(&format!("  {pinned} not considered: excluded, or other vessels are required\n"));
    }
    text
}

/// A hint if a body passes a round mouth end on but not as it will stand: it may be turned in by hand.
fn by_hand(project: &Project, specimen: &Specimen, id: VesselId) -> Option<String> {
    let vessel = project.stock.vessel(id);
    let (Size::Measured(envelope), Section::Round(bore)) = (specimen.size, vessel.mouth) else { return None };
    if specimen.posture == Posture::Coil {
        return None;
    }
    let mut sides = [envelope.length, envelope.width, envelope.height];
    sides.sort_by(|a, b| a.mm().total_cmp(&b.mm()));
    let [thickness, width, length] = sides;
    let end_on = fit::footprint::Footprint { outline: specimen.outline, along: width, across: thickness };
    let section = fit::mouth::measure(end_on, vessel.mouth);
    if !(section + clearance::mouth(&project.settings, section)).fits(bore) {
        return None;
    }
    if length.fits(vessel.body_height) {
        // If turning is allowed, `judge` has tried it already.
        let hint =
            "; it goes in end on and lies down below the neck: try by hand, or allow it as an option (turning = true)";
        return judge::serves_if_turned(project, specimen, id).then(|| hint.to_owned());
    }
    let neck = vessel.inner_height.less(vessel.body_height);
    let tilt = decimal(fit::mouth::most_tilt(thickness, bore, neck)?, 1);
    Some(format!("; it goes in end on and tilts at most {tilt}° in the neck: difficult, try by hand"))
}
