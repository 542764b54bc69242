//! Local search in a plan that is not proved best.
//!
//! Method: with the packs of the plan kept, every lot is tried in every other choice, and every two lots in each other's
//! places, until no such change makes the plan better.
//!
//! Cost: each change tried evaluates the whole plan, so it is done only for up to [`MOST_LOTS`] lots and until `stop`.

use super::incumbent::Incumbent;
use super::{evaluate, packs};
use crate::decision::{ChoiceIndex, ClassIndex, Decision, Question, SupplyIndex};
use crate::units::Money;

/// A lot: its class, and which member of it.
type Lot = (ClassIndex, usize);

/// Most lots for which changes are tried.
const MOST_LOTS: usize = 300;

/// Improves the incumbent by moves of one lot and exchanges of two, until none improves it or `stop` says so.
pub fn improve(incumbent: &mut Incumbent, stop: &dyn Fn() -> bool) {
    let lots: Vec<Lot> = incumbent
        .decision
        .chosen
        .enumerated()
        .flat_map(|(class, members)| (0..members.len()).map(move |member| (class, member)))
        .collect();
    if lots.len() > MOST_LOTS {
        return;
    }
    while !stop() && (one_moves(incumbent, &lots, stop) || two_change_places(incumbent, &lots, stop)) {}
}

/// The cheapest plan in which one more lot of a priority is placed, every lot of a later priority waits, and all others are as
/// they are; `None` where no such lot finds a place.
pub fn with_one_more(question: &Question, decision: &Decision, priority: u8) -> Option<Decision> {
    let mut urgent = decision.clone();
    for (class, chosen) in question.classes.iter().zip(&mut urgent.chosen) {
        if class.priority > priority {
            chosen.fill(None);
        }
    }
    let mut best: Option<(Money, Decision)> = None;
    for (at, class) in question.classes.enumerated().filter(|(_, class)| class.priority == priority) {
        // The members of a class stand in order of their constants: the first that waits is the cheapest.
        let Some(member) = urgent.chosen[at].iter().position(Option::is_none) else { continue };
        for choice in class.choices.positions() {
            urgent.chosen[at][member] = Some(choice);
            let used = evaluate::pieces_used(question, &urgent.chosen);
            let Some(packs) = packs::cover(question, &used) else { continue };
            let placed = Decision { packs, ..urgent.clone() };
            let money = evaluate::values(question, &placed).money;
            if best.as_ref().is_none_or(|(least, _)| money < *least) && evaluate::check(question, &placed).is_ok() {
                best = Some((money, placed));
            }
        }
        urgent.chosen[at][member] = None;
    }
    best.map(|(_, decision)| decision)
}

fn one_moves(incumbent: &mut Incumbent, lots: &[Lot], stop: &dyn Fn() -> bool) -> bool {
    let mut better = false;
    for &(class, member) in lots {
        for choice in incumbent.question().classes[class].choices.positions() {
            if stop() {
                return better;
            }
            let mut decision = incumbent.decision.clone();
            if decision.chosen[class][member].replace(choice) != Some(choice) {
                better |= incumbent.offer(decision);
            }
        }
    }
    better
}

fn two_change_places(incumbent: &mut Incumbent, lots: &[Lot], stop: &dyn Fn() -> bool) -> bool {
    let mut better = false;
    for (at, &one) in lots.iter().enumerate() {
        for &other in &lots[at + 1..] {
            if stop() {
                return better;
            }
            let question = incumbent.question();
            let choice = |lot: Lot| incumbent.decision.chosen[lot.0][lot.1];
            let supply = |lot: Lot| choice(lot).map(|at| question.classes[lot.0].choices[at].supply);
            let (Some(to_one), Some(to_other)) =
                (place(question, one.0, supply(other)), place(question, other.0, supply(one)))
            else {
                continue;
            };
            if (to_one, to_other) == (choice(one), choice(other)) {
                continue;
            }
            let mut decision = incumbent.decision.clone();
            decision.chosen[one.0][one.1] = to_one;
            decision.chosen[other.0][other.1] = to_other;
            better |= incumbent.offer(decision);
        }
    }
    better
}

/// The choice of a class in a vessel (`Some(Some(_))`), in a tank (`Some(None)`) or deferred (`None`); `None` if it has no such choice.
fn place(question: &Question, class: ClassIndex, supply: Option<Option<SupplyIndex>>) -> Option<Option<ChoiceIndex>> {
    let Some(supply) = supply else { return Some(None) };
    let choices = &question.classes[class].choices;
    choices.position(|choice| choice.supply == supply).map(Some)
}
