//! Rounds relaxed solutions to plans.
//!
//! Method: lots by the method of largest remainders, class by class; packs of the solution rounded up, and packs of
//! [`super::packs`]; lots beyond the budget are deferred, then deferred lots are placed greedily where possible ([`super::greedy`]).
//! (Common practice, no source.) Only plans that satisfy every constraint are offered to the incumbent.

use super::formulation::Formulation;
use super::incumbent::Incumbent;
use super::instance::Instance;
use super::linear::Ended;
use super::{evaluate, greedy, packs};
use crate::decision::{Chosen, Class, ClassIndex, Decision, OfferIndex, PacksBought, Question, SupplyIndex};
use crate::units::{IndexTable, Money, Packs, Pieces, items, number_of, truncated};

/// Whether the relaxation of a node is rounded: each of the first nodes, then one in 4, then one in 16.
pub fn worth_trying(node: usize, nodes: usize) -> bool {
    let every = match nodes {
        ..12 => 1,
        12..200 => 4,
        _ => 16,
    };
    node.is_multiple_of(every)
}

/// Fixes the packs of the last solution at whole numbers, solves for the lots and rounds them. With packs fixed, the programme is
/// nearly a transportation problem. Restores the bounds of all columns.
pub fn offer_at_fixed_packs(
    instance: &Instance,
    formulation: &mut Formulation,
    incumbent: &mut Incumbent,
    stop: &dyn Fn() -> bool,
) {
    let column = |offer: OfferIndex| {
        let column = formulation.packs_of(offer);
        (column, formulation.simplex.values()[column], formulation.simplex.bounds(column))
    };
    let before: Vec<(usize, f64, (f64, f64))> = instance.offers.positions().map(column).collect();
    for (offer, &(column, value, (least, most))) in instance.offers.iter().zip(&before) {
        let fraction = value - (value + 1e-7).floor();
        let mut whole = (value + 1e-7).floor() + f64::from(u8::from(fraction >= 0.5));
        let least_packs = offer.terms.min_packs.0 as f64;
        if whole > 0.0 && whole < least_packs {
            whole = if value >= 0.5 * least_packs { least_packs } else { 0.0 };
        }
        let whole = whole.clamp(least, most);
        formulation.simplex.set_bounds(column, (whole, whole));
    }
    if formulation.simplex.minimise(f64::INFINITY, 500, stop) == Ended::Optimal {
        offer(instance, formulation, incumbent);
    }
    for (column, _, bounds) in before {
        formulation.simplex.set_bounds(column, bounds);
    }
}

/// Rounds the last solution of a formulation and offers the plans to the incumbent.
pub fn offer(instance: &Instance, formulation: &Formulation, incumbent: &mut Incumbent) {
    let question = instance.question;
    let chosen = lots(instance, formulation);
    let used = evaluate::pieces_used(question, &chosen);
    for packs in [programme_packs(instance, formulation, &used), packs::cover(question, &used)].into_iter().flatten() {
        let decision = Decision { chosen: chosen.clone(), packs, ..Decision::default() };
        let Some(decision) = within_budget(question, decision) else { continue };
        if evaluate::check(question, &decision).is_ok() {
            incumbent.offer(greedy::complete(question, &decision));
            incumbent.offer(decision);
        }
    }
}

/// Whole lots in each choice: the largest remainders are rounded up, class by class.
fn lots(instance: &Instance, formulation: &Formulation) -> Chosen {
    let values = formulation.simplex.values();
    let classes = instance.question.classes.enumerated();
    let of_class = |(at, class): (ClassIndex, &Class)| {
        let columns = class.choices.len() + instance.runs[at].len();
        let shares = &values[formulation.placed[at]..formulation.placed[at] + columns];
        let whole = by_largest_remainder(shares, number_of(class.members.len()));
        let (placed, waiting) = whole.split_at(class.choices.len());
        let mut chosen = vec![None; class.members.len()];
        let mut choices =
            class.choices.positions().zip(placed).flat_map(|(choice, &n)| std::iter::repeat_n(choice, items(n)));
        for (run, &waiting) in instance.runs[at].iter().zip(waiting) {
            let placed = run.len - items(waiting).min(run.len);
            for member in &mut chosen[run.start..run.start + placed] {
                *member = choices.next();
            }
        }
        chosen
    };
    classes.map(of_class).collect()
}

fn by_largest_remainder(shares: &[f64], n: i64) -> Vec<i64> {
    let mut whole: Vec<i64> = shares.iter().map(|share| truncated((share + 1e-7).floor()).max(0)).collect();
    let mut left = n - whole.iter().sum::<i64>();
    let mut order: Vec<usize> = (0..shares.len()).collect();
    let remainder = |at: usize| shares[at] - (shares[at] + 1e-7).floor();
    order.sort_by(|a, b| remainder(*b).total_cmp(&remainder(*a)).then(a.cmp(b)));
    for at in order {
        if left > 0 && remainder(at) > 1e-7 {
            whole[at] += 1;
            left -= 1;
        }
    }
    whole
}

/// The packs of the last solution, rounded up, and more where the lots need more; `None` if the offers cannot provide them.
fn programme_packs(
    instance: &Instance,
    formulation: &Formulation,
    used: &IndexTable<SupplyIndex, Pieces>,
) -> Option<PacksBought> {
    let question = instance.question;
    let values = formulation.simplex.values();
    let mut packs = IndexTable::with_capacity(question.supplies.len());
    for (supply, terms) in question.supplies.enumerated() {
        let needed = evaluate::pieces_to_buy(question, used[supply], terms.free);
        let offers = instance.offers_in(supply);
        let mut of_supply: Vec<Packs> = offers
            .positions()
            .map(|offer| {
                let packs = Packs(truncated((values[formulation.packs_of(offer)] - 1e-7).ceil().max(0.0)));
                let least = instance.offers[offer].terms.min_packs;
                if packs > Packs::ZERO { packs.max(least).min(instance.offers[offer].most) } else { Packs::ZERO }
            })
            .collect();
        let pieces = |packs: &[Packs]| -> Pieces {
            terms.offers.iter().zip(packs).map(|(offer, packs)| offer.pack_size * *packs).sum()
        };
        // More packs of an offer that is bought already, else of any; the lowest price a piece first.
        while pieces(&of_supply) < needed {
            let room = |at: &usize| of_supply[*at] < instance.offers[offers][*at].most;
            let at = (0..of_supply.len()).filter(room).min_by_key(|&at| {
                let offer = &terms.offers[at];
                (of_supply[at] == Packs::ZERO, offer.pack_price.parts() / offer.pack_size.max(Pieces(1)).0, at)
            })?;
            of_supply[at] = (of_supply[at] + Packs(1)).max(terms.offers[at].min_packs);
        }
        packs.push(of_supply);
    }
    Some(packs)
}

/// The same with lots deferred until the budget is met: the last priority first, and in it the dearest lots first.
fn within_budget(question: &Question, mut decision: Decision) -> Option<Decision> {
    let limits = &question.limits;
    let Some(budget) = limits.budget else { return Some(decision) };
    for _ in 0..MOST_ROUNDS {
        let values = evaluate::values(question, &decision);
        let over = values.money + limits.labour_per_row * values.placed - budget;
        if over <= Money::ZERO {
            return Some(decision);
        }
        let mut placed: Vec<(u8, Money, ClassIndex, usize)> = Vec::new();
        for ((at, class), chosen) in question.classes.enumerated().zip(&decision.chosen) {
            for (member, choice) in chosen.iter().enumerate() {
                if let Some(choice) = choice {
                    let choice = &class.choices[*choice];
                    let piece = choice.supply.map_or(Money::ZERO, |supply| piece_price(question, supply));
                    let cost = choice.money + class.members[member].money + piece * choice.pieces;
                    placed.push((class.priority, cost + limits.labour_per_row, at, member));
                }
            }
        }
        placed.sort_by_key(|&(priority, cost, class, member)| (std::cmp::Reverse((priority, cost)), class, member));
        let mut saved = Money::ZERO;
        for (_, cost, class, member) in placed {
            decision.chosen[class][member] = None;
            saved += cost;
            if saved >= over {
                break;
            }
        }
        let used = evaluate::pieces_used(question, &decision.chosen);
        decision.packs = packs::cover(question, &used)?;
    }
    None
}

const MOST_ROUNDS: usize = 12;

/// The least price of a piece of a vessel in any pack.
fn piece_price(question: &Question, supply: SupplyIndex) -> Money {
    let offers = question.supplies[supply].offers.iter();
    offers
        .map(|offer| Money::from_parts(offer.pack_price.parts() / offer.pack_size.max(Pieces(1)).0))
        .min()
        .unwrap_or_default()
}
