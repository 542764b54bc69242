//! The work of a plan, counted again from its rows.

use super::claims::Claims;
use super::exact::Exact;
use crate::plan::{Outcome, Plan};
use crate::project::Project;
use crate::units::Money;

/// Checks minutes and labour against the rows. Returns the labour that counts against the budget.
pub(super) fn audit(project: &Project, plan: &Plan, claims: &mut Claims) -> Exact {
    let settings = &project.settings;
    let (mut moves, mut vessels, mut fillings, mut baths, mut tanks) = (0i128, 0i128, 0i128, 0i128, 0i128);
    for row in &plan.placements {
        let in_tank = row.outcome == Outcome::CustomTank;
        // A tank of unknown price is left out of all money, its labour included.
        let priced = || plan.tank_of(row.specimen).is_some_and(|tank| tank.cost.is_some());
        let pieces = match row.outcome {
            Outcome::OnHand | Outcome::Order => row.fit.map_or(1, |fit| i128::from(fit.pieces)),
            Outcome::CustomTank if priced() => 1,
            _ => continue,
        };
        moves += 1;
        vessels += pieces - 1;
        fillings += pieces * i128::from(row.charges.saturating_sub(1));
        baths += row.baths.len() as i128;
        tanks += i128::from(in_tank);
    }
    let each = [
        (moves, settings.minutes_per_move.0),
        (vessels, settings.minutes_per_vessel.0),
        (fillings, settings.minutes_per_filling.0),
        (baths, settings.minutes_per_bath.0),
        (tanks, settings.minutes_per_tank.0),
    ];
    let minutes: f64 = each.iter().map(|(times, minutes)| *times as f64 * minutes).sum();
    claims.number("totals.minutes".to_owned(), Some(plan.totals.minutes as f64), Some(minutes.round()), 1.0);
    let price = |minutes: f64| {
        let hour = settings.rate_per_hour.approximate();
        Money::estimate_or_most(hour * (minutes / 60.0))
    };
    let labour: Exact = each.iter().map(|(times, minutes)| Exact::times(price(*minutes), *times)).sum();
    claims.money("totals.labour", plan.totals.labour, labour);
    let counted =
        if settings.labour_in_budget { Exact::times(labour_per_row(project), moves) } else { Exact::from(Money::ZERO) };
    claims.money("totals.labour_counted", plan.totals.labour_counted, counted);
    counted
}

/// Labour of one row that is moved, rounded to four places.
pub(super) fn labour_per_row(project: &Project) -> Money {
    let hours = project.settings.minutes_per_move.0 / 60.0;
    Money::estimate_or_most(project.settings.rate_per_hour.approximate() * hours)
}
