//! Tanks that share a size: their shared sizes are derived again. The levels of such a plan are those of the decision before
//! sharing, so the sums with every tank in its own size are derived too, for the check of the levels.
//!
//! A plan that states no shared size is not checked for sizes that could have been shared.

use std::collections::BTreeMap;

use super::claims::Claims;
use super::exact::Exact;
use super::fluids;
use super::money::Sums;
use super::row;
use crate::options::shared::share;
use crate::options::tank::{TankOption, TankPriceBasis};
use crate::options::{Filling, Treatment, Vessels};
use crate::plan::{Outcome, Plan, Tank};
use crate::project::Project;
use crate::units::TOUCH_MM;
use crate::words::tank as words;

/// The tanks of a plan in their own sizes, and those that share a size, by row. Empty where no tank states that it shares one.
#[derive(Default)]
pub(super) struct Sharing {
    alone: BTreeMap<usize, TankOption>,
    pub(super) shared: BTreeMap<usize, TankOption>,
}

impl Sharing {
    /// Derives both from the rows that the plan gives a tank.
    pub(super) fn of(project: &Project, vessels: &Vessels, plan: &Plan) -> Self {
        if plan.tanks.iter().all(|tank| tank.price_basis != TankPriceBasis::SharedEstimate) {
            return Self::default();
        }
        let placed = plan.placements.iter().filter(|row| row.outcome == Outcome::CustomTank);
        let option = |row: usize| row::tank(project, vessels, &project.collection.specimens[row]);
        let alone: BTreeMap<usize, TankOption> =
            placed.filter_map(|row| Some((row.specimen, option(row.specimen)?))).collect();
        let tanks: Vec<(usize, &TankOption)> = alone.iter().map(|(row, tank)| (*row, tank)).collect();
        let shared = share(project, &tanks);
        Self { alone, shared }
    }

    /// Checks the tanks that share sizes. Returns the sums of the plan before they shared.
    pub(super) fn audit(&self, project: &Project, plan: &Plan, after: &Sums, claims: &mut Claims) -> Sums {
        self.sizes(project, plan, claims);
        let before = self.before(project, plan, after);
        claims.money("totals.saved_by_sharing", plan.totals.saved_by_sharing, less(before.money, after.money));
        let weigh = |sums: &Sums| sums.money + Exact::per_litre(project.settings.litre_weight, sums.millilitres);
        if !self.shared.is_empty() && weigh(after) >= weigh(&before) {
            claims.refute("tanks: shared sizes", weigh(after), format!("less than {}", weigh(&before)));
        }
        before
    }

    /// Checks that sharing is on, that each shared size has two tanks or more, and that no side is below a tank's own or far above it.
    fn sizes(&self, project: &Project, plan: &Plan, claims: &mut Claims) {
        let settings = &project.settings;
        let shares = |tank: &Tank| tank.price_basis == TankPriceBasis::SharedEstimate;
        let stated = || words::price(TankPriceBasis::SharedEstimate);
        for (i, tank) in plan.tanks.iter().enumerate().filter(|(_, tank)| shares(tank)) {
            let sides = [tank.length, tank.width, tank.height];
            let alike =
                plan.tanks.iter().filter(|other| shares(other) && [other.length, other.width, other.height] == sides);
            if !settings.share_sizes {
                claims.refute(
                    format_args!("tanks[{i}].price_basis"),
                    stated(),
                    "a size of its own: tank.share_sizes is false",
                );
            }
            if alike.count() < 2 {
                claims.refute(format_args!("tanks[{i}].price_basis"), stated(), "no other tank of this size");
            }
            let Some(own) = self.alone.get(&tank.specimen) else { continue };
            for (own, shared) in [own.length, own.width, own.height].into_iter().zip(sides) {
                let larger = shared.mm() - own.mm();
                if larger < -TOUCH_MM || larger > settings.share_within.mm() + TOUCH_MM {
                    claims.refute(format_args!("tanks[{i}]: size"), shared, format!("{own}, or a little larger"));
                }
            }
        }
    }

    /// Money and fluid with every tank in its own size.
    fn before(&self, project: &Project, plan: &Plan, after: &Sums) -> Sums {
        if self.shared.is_empty() {
            return *after;
        }
        let mut apart = plan.clone();
        let shares = |row: usize| self.alone.get(&row).filter(|_| self.shared.contains_key(&row));
        for row in &mut apart.placements {
            let Some(tank) = shares(row.specimen) else { continue };
            let specimen = &project.collection.specimens[row.specimen];
            let treatment = Treatment::of(project, specimen);
            let filling = Filling::of(project, specimen, &treatment, tank.charges, tank.fluid);
            (row.fluid, row.charges) = (Some(tank.fluid), tank.charges);
            (row.reused, row.baths) = (filling.reused, filling.baths);
        }
        for tank in &mut apart.tanks {
            tank.cost = shares(tank.specimen).map_or(tank.cost, |alone| alone.cost);
        }
        let money = |plan: &Plan| {
            let tanks: Exact = plan.tanks.iter().filter_map(|tank| tank.cost).map(Exact::from).sum();
            fluids::sums(project, plan).values().map(|sum| sum.cost).sum::<Exact>() + tanks
        };
        let millilitres =
            fluids::sums(project, &apart).values().map(|sum| sum.millilitres).fold(0, i128::saturating_add);
        Sums { money: after.money + less(money(&apart), money(plan)), millilitres }
    }
}

/// `sum` − `other`.
fn less(sum: Exact, other: Exact) -> Exact {
    sum + Exact(other.0.saturating_neg())
}
