//! The tables of a plan on a terminal, each with its first rows.

use std::collections::BTreeMap;

use itertools::Itertools;

use super::counted;
use crate::plan::sheets;
use crate::plan::{Outcome, Placement, Plan, Tank, Want};
use crate::project::Project;
use crate::report::columns::placements::Placed;
use crate::report::columns::purchases::Ordered;
use crate::report::columns::tanks::Made;
use crate::report::table::terminal::{SHOWN_ROWS, spared};
use crate::report::table::{Field, Kind, Table};
use crate::report::wrapping::wrapped;
use crate::tank::remarks::TankWarning;
use crate::units::decimal;
use crate::words::tank::warnings::warning as tank_warning;
use crate::words::{self, caution};

/// A table of the first lots that `is_listed` selects.
fn lots<'a>(
    title: &'a str,
    fields: &[Field<'a, Placed<'a>>],
    (project, plan): (&'a Project, &'a Plan),
    is_listed: fn(&Placement) -> bool,
) -> Table<'a> {
    let listed = plan.placements.iter().filter(|placement| is_listed(placement));
    Table::of_first(SHOWN_ROWS, title, fields, listed.map(|placement| Placed::of(project, plan, placement)))
}

/// The column with the name of a lot.
const fn name<'a>() -> Field<'a, Placed<'a>> {
    Placed::NAME.headed("name").spared(spared::NAME)
}

pub(super) fn decisions(project: &Project, plan: &Plan, rest: &str) -> String {
    let fields = [Placed::LOT, name(), Placed::REASON];
    let table = lots("Needs a decision", &fields, (project, plan), |lot| lot.outcome == Outcome::NeedsDecision);
    table.text(rest) + &look_for(project, plan, false)
}

/// The first vessels to look for: for lots without a suitable vessel, or (`instead_of_tank`) for lots that get a tank.
fn look_for(project: &Project, plan: &Plan, instead_of_tank: bool) -> String {
    let wants = plan.wants.iter().filter(|want| want.instead_of.is_some() == instead_of_tank).collect_vec();
    let line = |want: &&Want| {
        let lots = counted(want.specimens.len(), "lot");
        let look_for = if instead_of_tank { "" } else { "look for: " };
        wrapped(&format!("{look_for}{}: {lots}", words::want(project, want)), 2)
    };
    let mut text: String = wants.iter().take(MOST_WANTS).map(line).collect();
    if wants.len() > MOST_WANTS {
        text.push_str(&format!("  {} more: see report.html\n", wants.len() - MOST_WANTS));
    }
    text
}

/// Largest number of kinds of vessel to look for on a terminal.
const MOST_WANTS: usize = 30;

pub(super) fn orders(project: &Project, plan: &Plan, rest: &str) -> String {
    let fields = [
        Ordered::SUPPLIER,
        Ordered::ORDER_CODE.headed("order code").spared(spared::ORDER_CODE),
        Ordered::WHAT,
        Ordered::PACKS_OF,
        Ordered::SPARE.spared(spared::SPARE),
        Ordered::LINE_TOTAL.headed("price"),
    ];
    let table = Table::of_first(SHOWN_ROWS, "To order", &fields, Ordered::all(project, plan));
    table.in_currency(&project.settings.currency).text(rest)
}

/// For each fluid whose tank is not of bonded glass, what else may hold it.
pub fn ways_out(project: &Project, plan: &Plan) -> BTreeMap<String, String> {
    let otherwise = plan.tanks.iter().filter(|tank| !tank.ways_out.is_empty());
    let said = |tank: &Tank| {
        let fluid = project.rules.fluid(project.collection.specimens[tank.specimen].fluid);
        (fluid.id.clone(), words::tank::ways_out(&tank.ways_out).into_owned())
    };
    otherwise.map(said).collect()
}

pub(super) fn tanks(project: &Project, plan: &Plan, rest: &str) -> String {
    let fields = [
        Made::LOT,
        Made::CLEAR,
        Made::FLUID,
        Made::LITRES.headed("fluid, l").spared(spared::FLUID_LITRES),
        Made::GLASS.spared(spared::GLASS),
        Made::FULL.headed("full, kg").spared(spared::FULL),
        Made::PRICE,
        Made::SHORT_NOTE.spared(spared::NOTE),
    ];
    let title = "Custom tanks (length × width × height)";
    let table = Table::of_first(SHOWN_ROWS, title, &fields, Made::all(project, plan));
    let mut text = table.in_currency(&project.settings.currency).text(rest);
    text.push_str(&look_for(project, plan, true));
    for (fluid, ways) in ways_out(project, plan) {
        text.push_str(&wrapped(&format!("instead of bonded glass, for {fluid}: {ways}; price unknown"), 2));
    }
    let warnings = plan.tanks.iter().filter_map(|tank| tank.design.as_ref()).flat_map(|design| &design.warnings);
    let unproven = warnings.filter_map(|warning| match warning {
        TankWarning::Unproven { alcohol } => Some(*alcohol),
        _ => None,
    });
    let unproven = unproven.unique().map(|alcohol| tank_warning(&TankWarning::Unproven { alcohol }));
    text.extend(unproven.map(|sentence| wrapped(&sentence, 2)));
    for (thickness, count, whole, used) in sheets::by_thickness(&plan.sheets) {
        let what = if count == 1 { "sheet" } else { "sheets" };
        let (thickness, part) = (decimal(thickness.mm(), 1), decimal(100.0 * used / whole, 0));
        text.push_str(&format!("  {thickness} mm glass: {count} stock {what}, {part} % used\n"));
    }
    if plan.tanks.iter().any(|tank| tank.design.is_some()) {
        let list = "cut list: panes.csv, sheets to order: sheets.csv, stress, masses and warnings: tanks.csv (with \
            --out DIR); one tank on a page, \
                    with its order of work: `rehouse tank --specimen LENGTHxWIDTHxHEIGHT --fluid FLUID`";
        text.push_str(&wrapped(list, 2));
    }
    text
}

pub(super) fn placements(project: &Project, plan: &Plan, rest: &str) -> String {
    let fields = [
        Placed::LOT,
        Placed::OUTCOME.spared(spared::OUTCOME),
        Placed::VESSELS,
        Placed::STANCE.spared(spared::POSTURE),
        Placed::WALL_GAP.headed("wall mm").spared(spared::WALL),
        Placed::COVER.headed("cover mm").spared(spared::COVER),
        Placed::FLUID_ML.headed("fluid ml"),
        Placed::REVIEW,
    ];
    let is_housed = |lot: &Placement| lot.vessel.is_some() && lot.fit.is_some();
    let mut text = lots("Placed in vessels", &fields, (project, plan), is_housed).text(rest);
    if plan.placements.iter().any(|p| p.fit.is_some() && project.collection.specimens[p.specimen].individuals > 1) {
        text.push_str("  wall and cover: for the largest individual of a lot\n");
    }
    text
}

/// Very loose lots (`very_loose_pct`), each with the vessel to look for.
pub(super) fn loose(project: &Project, plan: &Plan, rest: &str) -> String {
    // Two decimals, so that a share just below the limit is not printed as the limit.
    let fields = [
        Placed::LOT,
        Placed::VESSEL,
        Placed::TISSUE_SHARE.headed("tissue %").kind(Kind::Decimal(2)).spared(spared::TISSUE),
        Placed::SMALLER_VESSEL,
    ];
    let title =
        format!("Very loose: tissue below {} % of the filled volume", decimal(project.settings.very_loose_pct.0, 1));
    let is_loose = |lot: &Placement| lot.vessel.is_some() && lot.fit.is_some_and(|fit| fit.marks.very_loose);
    lots(&title, &fields, (project, plan), is_loose).text(rest)
}

pub(super) fn deferred(project: &Project, plan: &Plan, rest: &str) -> String {
    let fields = [Placed::LOT, Placed::PRIORITY, name(), Placed::REASON];
    lots("Deferred", &fields, (project, plan), |lot| lot.outcome == Outcome::Deferred).text(rest)
}

pub(super) fn held(project: &Project, plan: &Plan, rest: &str) -> String {
    let fields = [Placed::LOT, name(), Placed::REASON];
    lots("Held, not to be moved", &fields, (project, plan), |lot| lot.outcome == Outcome::Held).text(rest)
}

pub(super) fn cautions(project: &Project, plan: &Plan) -> String {
    let lines: String = caution::sentences(&project.rules, plan).iter().map(|caution| wrapped(caution, 2)).collect();
    format!("\nCautions\n{lines}")
}
