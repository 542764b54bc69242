//! Counts, money and litres added up again.

use std::collections::{BTreeMap, BTreeSet};

use super::claims::Claims;
use super::exact::Exact;
use crate::plan::{Outcome, Placement, Plan, Totals};
use crate::project::Project;
use crate::rules::FluidId;
use crate::units::Money;

/// What a plan comes to.
pub(super) struct Sums {
    /// Packs, delivery, fluid and tanks.
    pub(super) money: Exact,
    /// Fluid of all charges of all rows within the totals.
    pub(super) millilitres: i128,
}

/// Holds totals, make-up and budget against the rows, purchases and deliveries.
pub(super) fn audit(project: &Project, plan: &Plan, claims: &mut Claims) -> Sums {
    counts(plan, claims);
    let fluids = make_up(project, plan, claims);
    let totals = &plan.totals;
    let purchase: Exact = plan
        .purchases
        .iter()
        .map(|line| Exact::times(project.stock.offers[line.offer].pack_price, i128::from(line.packs)))
        .sum();
    // Each delivery is held against its supplier's terms elsewhere.
    let delivery: Exact = plan.deliveries.iter().map(|line| Exact::from(line.charge)).sum();
    let fluid: Exact = fluids.values().map(|sum| sum.cost).sum();
    let tanks: Exact = plan.tanks.iter().filter_map(|tank| tank.cost).map(Exact::from).sum();
    let millilitres = fluids.values().map(|sum| sum.millilitres).fold(0, i128::saturating_add);
    let money = purchase + delivery + fluid + tanks;
    claims.money("totals.purchase", totals.purchase, purchase);
    claims.money("totals.delivery", totals.delivery, delivery);
    claims.money("totals.fluid", totals.fluid, fluid);
    claims.money("totals.tanks", totals.tanks, tanks);
    claims.money("totals.money", totals.money, money);
    claims.litres("totals.litres", i128::from(totals.litres.0), millilitres);
    claims.money("totals.to_pay", totals.to_pay, money);
    // A tank of unknown price stands outside all money, its labour included.
    let unpriced = plan.tanks.iter().filter(|tank| tank.cost.is_none()).count();
    let labour = Exact::times(labour_per_row(project), placed(plan) as i128 - unpriced as i128);
    claims.money("totals.labour", totals.labour, labour);
    if let Some(budget) = project.settings.budget {
        let counted = if project.settings.labour_in_budget { money + labour } else { money };
        claims.at_most("totals: what counts against the budget", counted, Exact::from(budget));
    }
    Sums { money, millilitres }
}

/// Labour of one row that is moved, rounded to four places.
pub(super) fn labour_per_row(project: &Project) -> Money {
    let hours = project.settings.minutes_per_move.0 / 60.0;
    Money::estimate(project.settings.rate_per_hour.approximate() * hours).unwrap_or(Money::ZERO)
}

fn placed(plan: &Plan) -> usize {
    of(plan, Outcome::OnHand) + of(plan, Outcome::Order) + of(plan, Outcome::CustomTank)
}

/// Rows of one outcome.
fn of(plan: &Plan, outcome: Outcome) -> usize {
    plan.placements.iter().filter(|row| row.outcome == outcome).count()
}

fn counts(plan: &Plan, claims: &mut Claims) {
    let Totals { placed: all, on_hand, order, custom_tank, deferred, needs_decision, held, .. } = plan.totals;
    claims.same("totals.placed", all, placed(plan));
    claims.same("totals.on_hand", on_hand, of(plan, Outcome::OnHand));
    claims.same("totals.order", order, of(plan, Outcome::Order));
    claims.same("totals.custom_tank", custom_tank, of(plan, Outcome::CustomTank));
    claims.same("totals.deferred", deferred, of(plan, Outcome::Deferred));
    claims.same("totals.needs_decision", needs_decision, of(plan, Outcome::NeedsDecision));
    claims.same("totals.held", held, of(plan, Outcome::Held));
}

/// One fluid over all rows that get it.
#[derive(Default)]
struct FluidSum {
    rows: usize,
    millilitres: i128,
    reused: i128,
    baths: i128,
    cost: Exact,
    millilitres_outside: i128,
    cost_outside: Exact,
}

/// All fillings of a row, as it is placed.
fn all_fillings(row: &Placement) -> i128 {
    row.fluid.map_or(0, |fluid| i128::from(fluid.0)) * i128::from(row.charges)
}

/// What a litre of a fluid costs with loss and tax, to four places.
pub(super) fn price_of(project: &Project, fluid: FluidId) -> Money {
    let (price, settings) = (project.rules.fluid(fluid).price, &project.settings);
    let (loss, tax) = (settings.fluid_loss_pct.0 / 100.0, settings.fluid_tax_pct.0 / 100.0);
    Money::estimate(price.approximate() * (1.0 + loss) * (1.0 + tax)).unwrap_or(price)
}

fn make_up(project: &Project, plan: &Plan, claims: &mut Claims) -> BTreeMap<FluidId, FluidSum> {
    let unpriced: BTreeSet<usize> =
        plan.tanks.iter().filter(|tank| tank.cost.is_none()).map(|tank| tank.specimen).collect();
    let mut sums: BTreeMap<FluidId, FluidSum> = BTreeMap::new();
    for row in &plan.placements {
        if !matches!(row.outcome, Outcome::OnHand | Outcome::Order | Outcome::CustomTank) {
            continue;
        }
        let fluid = project.collection.specimens[row.specimen].fluid;
        let sum = sums.entry(fluid).or_default();
        sum.rows += 1;
        let outside = row.outcome == Outcome::CustomTank && unpriced.contains(&row.specimen);
        let reused = i128::from(row.reused.0);
        let mut poured = vec![(fluid, all_fillings(row) - reused)];
        poured.extend(row.baths.iter().map(|&(bath, amount)| (bath, i128::from(amount.0))));
        if !outside {
            sum.millilitres = sum.millilitres.saturating_add(all_fillings(row));
            sum.reused = sum.reused.saturating_add(reused);
            for &(bath, amount) in &poured[1..] {
                let sum = sums.entry(bath).or_default();
                sum.baths = sum.baths.saturating_add(amount);
            }
        }
        for (fluid, amount) in poured {
            let cost = Exact::per_litre(price_of(project, fluid), amount);
            let sum = sums.entry(fluid).or_default();
            if outside {
                sum.millilitres_outside = sum.millilitres_outside.saturating_add(amount);
                sum.cost_outside += cost;
            } else {
                sum.cost += cost;
            }
        }
    }
    let names = |ids: Vec<FluidId>| {
        ids.into_iter().map(|id| project.rules.fluid(id).id.as_str()).collect::<Vec<_>>().join(", ")
    };
    let stated = plan.make_up.iter().map(|line| line.fluid).collect();
    claims.same("make_up: fluids", names(stated), names(sums.keys().copied().collect()));
    for (i, line) in plan.make_up.iter().enumerate() {
        let Some(sum) = sums.get(&line.fluid) else { continue };
        claims.same(format_args!("make_up[{i}].rows"), line.rows, sum.rows);
        claims.litres(format_args!("make_up[{i}].litres"), i128::from(line.amount.0), sum.millilitres);
        claims.litres(format_args!("make_up[{i}].litres_reused"), i128::from(line.reused.0), sum.reused);
        claims.litres(format_args!("make_up[{i}].litres_in_baths"), i128::from(line.baths.0), sum.baths);
        claims.money(format_args!("make_up[{i}].cost"), line.cost, sum.cost);
        let outside = i128::from(line.amount_outside.0);
        claims.litres(format_args!("make_up[{i}].litres_outside"), outside, sum.millilitres_outside);
        claims.money(format_args!("make_up[{i}].cost_outside"), line.cost_outside, sum.cost_outside);
    }
    sums
}
