//! What vessels are worth, from the answers of a plan.

use std::cmp::Reverse;

use super::{ListedVessel, ListedVessels};
use crate::assign::evaluate::Values;
use crate::assign::question;
use crate::collection::VesselChoice;
use crate::decision::{Aim, Level};
use crate::inquiry::PlanValue;
use crate::plan::answers::{Housing, PlanAnswer, PlanChange};
use crate::plan::{Placement, Plan};
use crate::project::Project;
use crate::stock::VesselId;
use crate::units::{Millilitres, Money, Pieces};

impl ListedVessels {
    /// The vessels that the plan was made without, in the order of the answers; `None` where there are none.
    pub fn of_answers(project: &Project, plan: &Plan) -> Option<Self> {
        let housed = plan.placements.iter().filter_map(|row| Some((row.specimen, plan.housing(row)?)));
        let housed: Vec<(usize, Housing)> = housed.collect();
        let now = by_priority(project, housed.iter().copied());
        let now = LotsNow { without_place: now[1], placed: now[0] };
        let value = |answer: &PlanAnswer| {
            // The lots of the plan that the answer does not place, and those that it places beside them.
            let [placed, _] = by_priority(project, answer.places(plan));
            let more = |at: usize| placed[at] - now.placed[at];
            let without_place = std::array::from_fn(|at| now.without_place[at] - more(at));
            let placed_in_all = placed.iter().sum::<i64>();
            let money = answer.money - question::limits(project).labour_per_row * placed_in_all;
            let values = values(&answer.levels, answer.deferred, placed_in_all, money, answer.weighed());
            PlanValue {
                without_place,
                ranked: ranked(project, without_place),
                values,
                status: answer.status,
                levels: answer.levels.clone(),
            }
        };
        let listed = |vessel: VesselId, without: &PlanAnswer| {
            let (lots, used) = held(plan, vessel);
            let one_more = plan.answers.iter().find(|answer| answer.change == PlanChange::FreePiece(vessel));
            let (without, one_more) = (value(without), one_more.map(value));
            ListedVessel { vessel, lots, used, without, one_more, offers: Vec::new() }
        };
        let vessels: Vec<ListedVessel> = plan
            .answers
            .iter()
            .filter_map(|answer| match answer.change {
                PlanChange::Without(vessel) => Some(listed(vessel, answer)),
                _ => None,
            })
            .collect();
        let in_all = project.stock.vessels.len();
        (!vessels.is_empty()).then(|| ListedVessels { now: as_planned(project, plan, now), vessels, in_all })
    }
}

impl ListedVessels {
    /// Lots that have no place without a vessel and have one now, beyond those that get one, by priority.
    pub fn lost_without(&self, vessel: &ListedVessel) -> [i64; 4] {
        std::array::from_fn(|at| vessel.without.without_place[at] - self.now.without_place[at])
    }

    /// The vessels, those first without which the plan gets worst.
    pub fn by_worth(&self) -> Vec<&ListedVessel> {
        let mut vessels: Vec<&ListedVessel> = self.vessels.iter().collect();
        vessels.sort_by_key(|vessel| (Reverse(vessel.without.rank()), vessel.vessel));
        vessels
    }
}

/// Lots by priority.
#[derive(Clone, Copy)]
struct LotsNow {
    placed: [i64; 4],
    without_place: [i64; 4],
}

/// Lots that have a place, and lots that wait, by priority.
fn by_priority(project: &Project, lots: impl IntoIterator<Item = (usize, Housing)>) -> [[i64; 4]; 2] {
    let mut counts = [[0; 4]; 2];
    for (row, housing) in lots {
        let priority = usize::from(project.collection.specimens[row].priority) - 1;
        counts[usize::from(housing == Housing::Waits)][priority] += 1;
    }
    counts
}

/// What the plan comes to.
fn as_planned(project: &Project, plan: &Plan, lots: LotsNow) -> PlanValue {
    let level = |aim: Aim| plan.levels.iter().find(|level| level.aim == aim).map_or(0, |level| level.value);
    let fluid = Millilitres(level(Aim::Fluid));
    let weighed = Money::from_parts(level(Aim::Money)).rounded();
    let money = weighed - project.settings.litre_weight.per_litre(fluid);
    PlanValue {
        without_place: lots.without_place,
        ranked: ranked(project, lots.without_place),
        values: values(&plan.levels, lots.without_place, lots.placed.iter().sum(), money, weighed),
        status: plan.status,
        levels: plan.levels.clone(),
    }
}

/// Lots without a place as the priorities are compared.
fn ranked(project: &Project, lots: [i64; 4]) -> [i64; 4] {
    match project.settings.weights_in_force() {
        None => lots,
        Some(weights) => [weights.iter().zip(lots).map(|(weight, lots)| i64::from(*weight) * lots).sum(), 0, 0, 0],
    }
}

fn values(levels: &[Level], deferred: [i64; 4], placed: i64, money: Money, weighed: Money) -> Values {
    let level = |aim: Aim| levels.iter().find(|level| level.aim == aim).map_or(0, |level| level.value);
    let (weighted_deferred, fluid) = (level(Aim::WeightedDeferred), Millilitres(level(Aim::Fluid)));
    Values { deferred, weighted_deferred, money, weighed, fluid, placed }
}

/// Rows that the plan puts into a vessel, in survey order, and the pieces that they use.
fn held(plan: &Plan, vessel: VesselId) -> (Vec<u32>, Pieces) {
    let is_in = |row: &&Placement| plan.housing(row) == Some(Housing::In(VesselChoice::Listed(vessel)));
    let rows = plan.placements.iter().filter(is_in);
    let pieces = rows.clone().filter_map(|row| row.fit).map(|fit| Pieces(fit.pieces.into())).sum();
    let mut lots: Vec<u32> = rows.filter_map(|row| u32::try_from(row.specimen).ok()).collect();
    lots.sort_unstable();
    (lots, pieces)
}
