//! Very many vessels: the decision among the choices of each lot that look best.
//!
//! Problem: with tens of thousands of vessels each lot has thousands of choices, and neither the linear programme nor the flow,
//! whose moves go from any vessel to any other, fits in memory. Hardly any choice is ever taken.
//!
//! Notation: f(c, o) money and weighed litres of choice o of class c; p(c, o) its pieces with their spares; a(v) the least
//! price of a piece of its vessel v in any pack, rounded down, and 0 where pieces are free or not sold.
//!
//! Method: a core problem (E. Balas and E. Zemel, "An algorithm for large zero-one knapsack problems", Operations Research 28
//! (1980) 1130–1154, from memory), twice. Of each class the choices of least f + p a are kept, and those of least f among vessels
//! with free pieces; a greedy plan of these tells which vessels are worth sharing packs of. Then the choices in those vessels are
//! kept, with tanks and the few best others, and, up to [`MOST_DECIDED`] pairs, decided from that plan by linear relaxations, in
//! part of the time.
//!
//! What is claimed: the plan keeps every constraint of the whole, of which the core is a part. The bounds of money and fluid
//! are one leaf each of the whole ([`crate::decision::certificate`]): for money pieces at a(v), for fluid at 0; a deferred
//! lot as high as can be where none of its priority waits; all other multipliers 0. Delivery, whole packs and what others
//! take of the free pieces are not in it, so the plan is hardly ever proved best.
//!
//! Cost: a pass over all choices; then that of the core.

use super::clock::Clock;
use super::progress::Progress;
use super::{evaluate, greedy, levels, pairs};
use crate::decision::certificate::{MOST, Node, Numbers, Weights};
use crate::decision::{
    Aim, Certificate, Choice, ChoiceIndex, Class, ClassIndex, Decision, OwnedSupply, Proof, Question, Status, Supply,
    SupplyIndex,
};
use crate::stock::VesselId;
use crate::units::{IndexTable, Millilitres, Money, Packs, Pieces, saturated};

/// Vessels from which on only the core is decided, where there are too many pairs for the programme.
pub const MANY_VESSELS: usize = 3_000;
/// Choices that the first core keeps of all classes together, of each at least, and at most.
const KEPT: usize = 200_000;
const FEWEST: usize = 8;
const MOST_KEPT: usize = 200;
/// Choices of each class that the second core keeps beside those in vessels of the plan.
const OTHERS: usize = 3;
/// Pairs of a class and a choice of the second core beyond which its plan is not bettered.
const MOST_DECIDED: usize = 60_000;
/// Share of the time that the second core has: no proof of it is one of the whole.
const SHARE: f64 = 0.3;

/// Decides a question of very many vessels.
pub fn decide(
    question: &Question,
    clock: &Clock,
    report: &mut dyn FnMut(Progress),
    stop: &dyn Fn() -> bool,
) -> Decision {
    let prices = prices(question);
    let most = (KEPT / question.classes.len().max(1)).clamp(FEWEST, MOST_KEPT);
    let best = question.classes.map(|class| best(question, class, &prices, most));
    let first = Core::of(question, best);
    let mut decision = first.decision(question, greedy::decide(&first.question));
    let second = Core::of(question, first.worth_sharing(question, &decision));
    if pairs(&second.question) <= MOST_DECIDED {
        let start = second.start(&decision);
        let stop = clock.after(SHARE, stop);
        decision = second.decision(question, levels::decide(&second.question, start, clock, report, &stop));
    }
    let values = evaluate::values(question, &decision);
    let begun = decision.status != Status::NotOptimised;
    let mut decision = levels::with_trivial_bounds(question, decision, begun);
    let none = prices.filled(0);
    for level in &mut decision.levels {
        let bounded = match level.aim {
            Aim::Deferred(_) => continue,
            Aim::Money => one_leaf(question, level.aim, &prices, &values),
            Aim::Fluid => one_leaf(question, level.aim, &none, &values),
        };
        if let Some((bound, certificate)) = bounded.filter(|(bound, _)| *bound > level.bound) {
            level.bound = bound.min(level.value);
            level.proof = if level.bound == level.value { Proof::Recomputed } else { Proof::None };
            level.certificate = certificate;
        }
    }
    decision.status = levels::status(question, &decision.levels, begun);
    decision
}

/// By supply, what a piece costs at least where none is free, in ten-millionths; 0 where pieces are free or none can be bought.
fn prices(question: &Question) -> IndexTable<SupplyIndex, i64> {
    let of_supply = |supply: &Supply| {
        let pieces =
            supply.offers.iter().map(|offer| offer.pack_price.parts().div_euclid(offer.pack_size.max(Pieces(1)).0));
        if supply.free > Pieces::ZERO { 0 } else { pieces.min().unwrap_or(0) }
    };
    question.supplies.map(of_supply)
}

/// By class of the core, its choices in the whole.
type KeptChoices = IndexTable<ClassIndex, IndexTable<ChoiceIndex, ChoiceIndex>>;

/// The part of a question that is decided.
struct Core {
    question: Question,
    /// What it is in the whole.
    kept: KeptChoices,
    /// By supply of the core, its position in the whole.
    supplies: IndexTable<SupplyIndex, SupplyIndex>,
}

impl Core {
    /// The part with these choices of each class, in the order in which they stand.
    fn of(question: &Question, kept: KeptChoices) -> Self {
        let mut is_kept = question.supplies.filled(false);
        for (class, kept) in question.classes.iter().zip(&kept) {
            for supply in kept.iter().filter_map(|at| class.choices[*at].supply) {
                is_kept[supply] = true;
            }
        }
        let supplies: IndexTable<SupplyIndex, SupplyIndex> =
            question.supplies.positions().filter(|supply| is_kept[*supply]).collect();
        let mut position: IndexTable<SupplyIndex, Option<SupplyIndex>> = question.supplies.filled(None);
        supplies.enumerated().for_each(|(at, supply)| position[*supply] = Some(at));
        let class = |(class, kept): (&Class, &IndexTable<ChoiceIndex, ChoiceIndex>)| {
            let choice = |at: &ChoiceIndex| {
                let choice = class.choices[*at];
                Choice { supply: choice.supply.and_then(|supply| position[supply]), ..choice }
            };
            Class { priority: class.priority, members: class.members.clone(), choices: kept.map(choice) }
        };
        let owned = |fluid: &OwnedSupply| {
            let needs = fluid.of_choice.iter().zip(&kept);
            let of_choice = needs.map(|(needs, kept)| kept.iter().filter_map(|at| needs.get(*at).copied()));
            OwnedSupply { of_choice: of_choice.map(Iterator::collect).collect(), ..fluid.clone() }
        };
        let question = Question {
            classes: question.classes.iter().zip(&kept).map(class).collect(),
            supplies: supplies.map(|supply| question.supplies[*supply].clone()),
            suppliers: question.suppliers.clone(),
            owned: question.owned.iter().map(owned).collect(),
            ..*question
        };
        Core { question, kept, supplies }
    }

    /// A decision of the core as one of the whole.
    fn decision(&self, question: &Question, decision: Decision) -> Decision {
        let mut packs = question.supplies.map(|supply| vec![Packs::ZERO; supply.offers.len()]);
        for (supply, of_core) in self.supplies.iter().zip(decision.packs) {
            packs[*supply] = of_core;
        }
        let mut chosen = decision.chosen;
        for (chosen, kept) in chosen.iter_mut().zip(&self.kept) {
            chosen.iter_mut().flatten().for_each(|choice| *choice = kept[*choice]);
        }
        Decision { chosen, packs, levels: Vec::new(), status: decision.status }
    }
}

impl Core {
    /// By class, the choices that the second core keeps: those in vessels that the plan uses, tanks, and the first [`OTHERS`] of each list,
    /// which look best.
    fn worth_sharing(&self, question: &Question, decision: &Decision) -> KeptChoices {
        let mut is_used = decision.packs.map(|packs| packs.iter().any(|packs| *packs > Packs::ZERO));
        for (class, chosen) in question.classes.iter().zip(&decision.chosen) {
            for supply in chosen.iter().flatten().filter_map(|choice| class.choices[*choice].supply) {
                is_used[supply] = true;
            }
        }
        let of_class = |(class, kept): (&Class, &IndexTable<ChoiceIndex, ChoiceIndex>)| {
            let is_kept = |(at, choice): (usize, &ChoiceIndex)| {
                let supply = class.choices[*choice].supply;
                (at < OTHERS || supply.is_none_or(|supply| is_used[supply])).then_some(*choice)
            };
            kept.iter().enumerate().filter_map(is_kept).collect()
        };
        question.classes.iter().zip(&self.kept).map(of_class).collect()
    }

    /// A plan of the whole whose choices it has, as one of the core.
    fn start(&self, decision: &Decision) -> Decision {
        let place = |kept: &IndexTable<ChoiceIndex, ChoiceIndex>, choice| kept.position(|kept| *kept == choice);
        let chosen = decision.chosen.iter().zip(&self.kept);
        let chosen = chosen.map(|(chosen, kept)| chosen.iter().map(|choice| place(kept, (*choice)?)).collect());
        let packs = self.supplies.map(|supply| decision.packs[*supply].clone());
        Decision { chosen: chosen.collect(), packs, ..Decision::default() }
    }
}

/// The choices of a class that look best, the best first: the cheapest at the prices of pieces, the cheapest of what is free,
/// tanks.
fn best(
    question: &Question,
    class: &Class,
    prices: &IndexTable<SupplyIndex, i64>,
    most: usize,
) -> IndexTable<ChoiceIndex, ChoiceIndex> {
    let cost = |choice: &Choice| {
        let pieces = choice.supply.map_or(0, |supply| priced(question, prices[supply], choice.pieces));
        own_cost(question, choice).saturating_add(pieces)
    };
    let mut order: Vec<(i64, ChoiceIndex)> =
        class.choices.enumerated().map(|(at, choice)| (cost(choice), at)).collect();
    order.sort_unstable();
    let is_free =
        |at: ChoiceIndex| class.choices[at].supply.is_some_and(|at| question.supplies[at].free > Pieces::ZERO);
    let (free, bought): (Vec<ChoiceIndex>, Vec<ChoiceIndex>) =
        order.into_iter().map(|(_, at)| at).partition(|at| is_free(*at));
    let tanks = class.choices.enumerated().filter(|(_, choice)| choice.supply.is_none()).map(|(at, _)| at);
    let bought = bought.into_iter().filter(|at| class.choices[*at].supply.is_some());
    bought.take(most).chain(free.into_iter().take(most / 2)).chain(tanks).collect()
}

/// Weighed money of a choice, owned fluid left out.
fn own_cost(question: &Question, choice: &Choice) -> i64 {
    (choice.money + question.limits.litre_weight.per_litre(choice.fluid)).parts()
}

/// Pieces with their spares at a price, rounded down.
fn priced(question: &Question, price: i64, pieces: Pieces) -> i64 {
    let with_spare = i128::from(price) * i128::from(10_000 + question.limits.spare_per_10_000) * i128::from(pieces.0);
    saturated(with_spare.div_euclid(10_000))
}

/// The bound of money or fluid of one leaf at the prices of pieces, with its certificate.
fn one_leaf(
    question: &Question,
    aim: Aim,
    prices: &IndexTable<SupplyIndex, i64>,
    values: &evaluate::Values,
) -> Option<(i64, Certificate)> {
    // Lots of a priority of which none waits may not wait; of any other they may, at nothing.
    let deferred = values.deferred.map(|waiting| if waiting == 0 { MOST } else { 0 });
    let weighed = |money: Money, fluid: Millilitres| match aim {
        Aim::Fluid => i128::from(fluid.0),
        _ => i128::from((money + question.limits.litre_weight.per_litre(fluid)).parts()),
    };
    let mut sum: i128 = 0;
    for class in &question.classes {
        let waits = i128::from(deferred[usize::from(class.priority.clamp(1, 4)) - 1]);
        let cost = |choice: &Choice| {
            let pieces = choice.supply.map_or(0, |supply| priced(question, prices[supply], choice.pieces));
            weighed(choice.money, choice.fluid) + i128::from(pieces)
        };
        let cheapest = class.choices.iter().map(cost).min()?;
        sum += class.members.iter().map(|lot| (cheapest + weighed(lot.money, lot.fluid)).min(waits)).sum::<i128>();
    }
    let unit = if aim == Aim::Money { i128::from(evaluate::weighed_unit(question).parts()) } else { 1 };
    let bound = i64::try_from((sum.div_euclid(unit) + i128::from(sum.rem_euclid(unit) > 0)) * unit).ok()?;
    let named = question.supplies.iter().zip(prices).filter(|(_, price)| **price > 0);
    let mut prices: Vec<(VesselId, i64)> = named.map(|(of, price)| (of.vessel, *price)).collect();
    prices.sort_unstable();
    let weights = Weights { deferred, ..Weights::alone(aim) };
    let numbers = vec![Numbers { weights, prices, ..Numbers::default() }];
    Some((bound, Certificate { nodes: vec![Node::Leaf { numbers: 0 }], numbers, ..Certificate::default() }))
}
