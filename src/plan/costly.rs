//! Lots that take much of the budget while others wait.
//!
//! What a lot takes is its tank, its fluid and its share of the packs of its vessel: their price, divided by their pieces, for each
//! piece that it does not have from the shelf. Delivery and labour are not divided among lots.

use super::{Outcome, Placement, Plan};
use crate::project::Project;
use crate::settings::PriorityRule;
use crate::units::{Money, saturated};

/// A lot takes much where it takes more than one part in so many of the budget (common practice, no source).
const PARTS_OF_BUDGET: i64 = 10;

/// Lots that take more than a tenth of the budget, with what each takes, the most first; none where priorities are weighed or no lot
/// waits. Amounts are as a file shows them, so that a plan read back gives the same.
pub fn costly(project: &Project, plan: &Plan) -> Vec<(usize, Money)> {
    let waits = plan.placements.iter().any(|placement| placement.outcome == Outcome::Deferred);
    let Some(budget) = project.settings.budget.filter(|_| waits) else { return Vec::new() };
    if project.settings.priority_rule != PriorityRule::Strict {
        return Vec::new();
    }
    let placed = plan.placements.iter().filter(|placement| !plan.waits_for_price(placement));
    let takes = placed.map(|placement| (placement.specimen, takes(project, plan, placement)));
    let mut costly: Vec<(usize, Money)> = takes.filter(|(_, money)| *money * PARTS_OF_BUDGET > budget).collect();
    costly.sort_by(|(a, of_a), (b, of_b)| {
        let key = |row: usize| &project.collection.specimens[row].key;
        of_b.cmp(of_a).then_with(|| key(*a).cmp(key(*b)))
    });
    costly
}

/// What a lot takes of the budget.
fn takes(project: &Project, plan: &Plan, placement: &Placement) -> Money {
    let tank = plan.tank_of(placement.specimen).and_then(|tank| tank.cost).unwrap_or_default();
    let bought = placement.vessel.zip(placement.fit).map_or(Money::ZERO, |(vessel, fit)| {
        let lines = plan.purchases.iter().filter(|line| project.stock.offers[line.offer].vessel == vessel);
        let (money, pieces) = lines.fold((0_i128, 0_i128), |(money, pieces), line| {
            (money + i128::from(line.line_total.rounded().parts()), pieces + i128::from(line.pieces))
        });
        let own = i128::from(fit.pieces.saturating_sub(placement.pieces_on_hand));
        Money::from_parts(saturated(money * own / pieces.max(1)))
    });
    (tank.rounded() + placement.fluid_cost.unwrap_or_default().rounded() + bought).rounded()
}
