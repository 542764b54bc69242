//! Counts, money and litres added up again.

use super::claims::Claims;
use super::exact::Exact;
use super::{flammable, fluids, work};
use crate::plan::{Outcome, Plan, Totals};
use crate::project::Project;

/// The sums of a plan.
#[derive(Clone, Copy)]
pub(super) struct Sums {
    /// Packs, delivery, fluid and tanks.
    pub(super) money: Exact,
    /// Millilitres of all fillings of all rows within the totals.
    pub(super) millilitres: i128,
}

/// Checks totals, make-up and budget against the rows, purchases and deliveries.
pub(super) fn audit(project: &Project, plan: &Plan, claims: &mut Claims) -> Sums {
    // A tank of unknown price is left out of all money, its labour included, and its row waits.
    let unpriced = plan.tanks.iter().filter(|tank| tank.cost.is_none()).count();
    let counts = Counts::of_rows(plan, unpriced);
    counts.check(&plan.totals, claims);
    let fluids = fluids::audit(project, plan, claims);
    flammable::audit(project, plan, claims);
    let totals = &plan.totals;
    let purchase: Exact = plan
        .purchases
        .iter()
        .map(|line| Exact::times(project.stock.offers[line.offer].pack_price, i128::from(line.packs)))
        .sum();
    // `supply` checks each delivery against its supplier's terms.
    let delivery: Exact = plan.deliveries.iter().map(|line| Exact::from(line.charge)).sum();
    let fluid: Exact = fluids.sums.values().map(|sum| sum.cost).sum();
    let tanks: Exact = plan.tanks.iter().filter_map(|tank| tank.cost).map(Exact::from).sum();
    let millilitres = fluids.sums.values().map(|sum| sum.millilitres).fold(0, i128::saturating_add);
    let money = purchase + delivery + fluid + tanks;
    claims.money("totals.purchase", totals.purchase, purchase);
    claims.money("totals.delivery", totals.delivery, delivery);
    claims.money("totals.fluid", totals.fluid, fluid);
    claims.money("totals.tanks", totals.tanks, tanks);
    claims.money("totals.money", totals.money, money);
    claims.litres("totals.litres", i128::from(totals.litres.0), millilitres);
    claims.money("totals.disposal", totals.disposal, fluids.disposal);
    claims.money("totals.containers", totals.containers, fluids.containers);
    claims.money("totals.to_pay", totals.to_pay, money + fluids.disposal + fluids.containers);
    let labour = work::audit(project, plan, claims);
    if let Some(budget) = project.settings.budget {
        let counted = money + labour;
        claims.at_most("totals: what counts against the budget", counted, Exact::from(budget));
    }
    Sums { money, millilitres }
}

/// Rows by outcome, and those whose tank has no price.
struct Counts([usize; Outcome::ALL.len()], usize);

impl Counts {
    fn of_rows(plan: &Plan, unpriced: usize) -> Self {
        let mut counts = [0; Outcome::ALL.len()];
        plan.placements.iter().for_each(|row| counts[row.outcome as usize] += 1);
        Self(counts, unpriced)
    }

    fn of(&self, outcome: Outcome) -> usize {
        self.0[outcome as usize]
    }

    fn placed(&self) -> usize {
        self.of(Outcome::OnHand) + self.of(Outcome::Order) + self.priced_tanks()
    }

    fn priced_tanks(&self) -> usize {
        self.of(Outcome::CustomTank).saturating_sub(self.1)
    }

    fn check(&self, totals: &Totals, claims: &mut Claims) {
        let Totals { placed, on_hand, order, custom_tank, unpriced_tanks, deferred, needs_decision, held, .. } =
            *totals;
        claims.same("totals.placed", placed, self.placed());
        claims.same("totals.on_hand", on_hand, self.of(Outcome::OnHand));
        claims.same("totals.order", order, self.of(Outcome::Order));
        claims.same("totals.custom_tank", custom_tank, self.priced_tanks());
        claims.same("totals.unpriced_tanks", unpriced_tanks, self.1);
        claims.same("totals.deferred", deferred, self.of(Outcome::Deferred));
        claims.same("totals.needs_decision", needs_decision, self.of(Outcome::NeedsDecision));
        claims.same("totals.held", held, self.of(Outcome::Held));
    }
}
